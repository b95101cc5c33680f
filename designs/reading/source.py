"""From the bytes of a file to a tree of its entries, each with its line and column.

The file is YAML 1.1 without the parts that can surprise: every value is taken as the text that was
written, and the definitions decide what it means. Keys that come twice, tags, merge keys, anchors
and aliases are refused; a tree can therefore never grow larger than its file.
"""

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from designs.reading.beside import file_beside
from designs.reading.complaints import BadFile, Place, bad, quote
from designs.reading.nodes import LINE_BREAKS, Entries, Items, Leaf, Node, shown, text_of
from designs.whole_file import note_as_input

LARGEST = 1_000_000  # bytes; a long design with many options has some ten thousand
DEEPEST = 40  # levels of nesting; a design needs eight
# What YAML 1.1, section 5.1, counts as printable.
UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")
LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


def read_file(path: str | Path) -> Entries:
    """Return the tree of a design file; raises BadFile if it cannot be read or is not well formed."""
    return parse(_bytes_of(Path(path)), str(path))


def read_entries(name: str, folder: Path | None, allow_above: bool, position: Place) -> Entries:
    """Return the tree of another file that a design file names at a place; raises BadFile."""
    return read_file(file_beside(name, folder, allow_above, position))


def _bytes_of(path: Path) -> bytes:
    position = Place(str(path))
    try:
        if not path.is_file():
            read = "something that is not a file" if path.exists() else "no file of this name"
            raise bad(position, read, "a design file")
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
        note_as_input(path)
        return content
    except BadFile:
        raise
    except (OSError, ValueError) as error:
        raise bad(position, getattr(error, "strerror", None) or str(error), "a design file that can be read") from None


def parse(text: str | bytes, name: str) -> Entries:
    """Return the tree of a design text; `name` stands for the file in complaints. Raises BadFile."""
    checked = _checked(text, name)
    grower = _Grower(name)
    try:
        for event in yaml.parse(checked, Loader=LOADER):
            grower.take(event)
    except yaml.YAMLError as error:
        raise _not_well_formed(error, checked, name) from None
    except (ValueError, OverflowError) as error:
        if isinstance(error, BadFile):
            raise
        raise bad(Place(name), f"an escape that is no character ({error})", "plain text") from None
    return _design_of(grower.roots, name)


def _design_of(roots: list[Node], name: str) -> Entries:
    if not roots or (isinstance(roots[0], Leaf) and roots[0].is_nothing):
        raise bad(Place(name), "an empty file", "a design: entries such as 'title: my engine'")
    if not isinstance(roots[0], Entries):
        raise bad(roots[0].place, shown(roots[0]), "a design: entries such as 'title: my engine'")
    return roots[0]


def _checked(text: str | bytes, name: str) -> str:
    """Return the text of a file if it has a fair size, is UTF-8 and holds no control characters."""
    if len(text) > LARGEST:
        raise bad(Place(name), f"more than {LARGEST:,} characters", "a shorter file")
    try:
        return _printable((text if isinstance(text, bytes) else text.encode()).decode("utf-8-sig"), name)
    except UnicodeDecodeError as error:
        position = _place_after(error.object[: error.start].decode("utf-8", "replace"), name)
        byte = f"the byte {error.object[error.start]:#04x}"
        raise bad(position, byte, "UTF-8 text (choose UTF-8 when saving)") from None
    except UnicodeEncodeError as error:
        raise bad(_place_after(error.object[: error.start], name), "half a character", "UTF-8 text") from None


def _printable(text: str, name: str) -> str:
    if wrong := UNPRINTABLE.search(text):
        raise bad(_place_after(text[: wrong.start()], name), f"the control character {wrong[0]!r}", "printable text")
    return text


def _place_after(text: str, name: str) -> Place:
    return Place(name, text.count("\n") + 1, len(text) - text.rfind("\n"))


PLAINER = {
    "cannot start any token": "a character that cannot begin a value; put the text in quotes, indent with spaces",
    "mapping values are not allowed": "a second ':' on one line; put texts with ':' in quotes, and check the indents",
    "could not find expected ':'": "an entry without ':'",
    "did not find expected key": "an entry that does not line up with the others, or a bracket left open",
    "did not find expected ',' or": "a bracket left open, or a comma left out",
    "did not find expected '-' indicator": "a list entry that does not line up with the others",
    "expected <block end>": "an entry that does not line up with the others, or a bracket left open",
    "unexpected end of stream": "a quotation mark that is never closed",
    "nesting depth": "too many levels of nesting",
    "unknown escape": "a backslash in double quotes; put the text in single quotes",
    "expected <document start>": "text that belongs to no entry",
    "alphabetic or numeric": "a text that begins with '*', '&' or '!'; put it in quotes",
    "tag": "a text that begins with '!'; put it in quotes",
    "too long": "a key that is too long, or a bracket or quotation mark left open",
}


def _not_well_formed(error: yaml.YAMLError, text: str, name: str) -> BadFile:
    problem = str(getattr(error, "problem", None) or error)
    mark = getattr(error, "problem_mark", None)
    position = Place(name, *_from_one(mark)) if mark else Place(name)
    read = next((plainer for part, plainer in PLAINER.items() if part in problem), problem)
    if mark and text[mark.index : mark.index + 1] == "\t":
        read = "a tab; indent with spaces"
    return bad(position, read, "'key: value' lines, each level indented by the same number of spaces")


def _from_one(mark: Any) -> tuple[int, int]:
    """Return line and column, which the parser counts from zero."""
    return mark.line + 1, mark.column + 1


@dataclass(slots=True)
class _Grower:
    """Grows the tree from the parser's events, without recursion, and refuses what may surprise."""

    name: str
    roots: list[Node] = field(default_factory=list)
    open: list["_Open"] = field(default_factory=list)

    def take(self, event: yaml.Event) -> None:
        """Add what an event says to the tree."""
        position = Place(self.name, *_from_one(event.start_mark))
        if isinstance(event, yaml.NodeEvent):
            _refuse_what_surprises(event, position)
        if isinstance(event, yaml.ScalarEvent):
            self._add(Leaf(event.value, position, event.style in ("'", '"', "|", ">")))
        elif isinstance(event, yaml.CollectionStartEvent):
            self._open(_Open(position, isinstance(event, yaml.MappingStartEvent)))
        elif isinstance(event, yaml.CollectionEndEvent):
            self._add(self.open.pop().closed())
        elif isinstance(event, yaml.DocumentStartEvent) and self.roots:
            raise bad(position, "a second document after '---'", "one design in a file")

    def _open(self, new: "_Open") -> None:
        if self.open and self.open[-1].wants_key:
            raise bad(new.place, "a list or entries as a key", "a plain text as a key")
        if len(self.open) >= DEEPEST:
            raise bad(new.place, f"more than {DEEPEST} levels of nesting", "fewer levels")
        self.open.append(new)

    def _add(self, node: Node) -> None:
        if self.open:
            self.open[-1].add(node)
        else:
            self.roots.append(node)


def _refuse_what_surprises(event: yaml.NodeEvent, position: Place) -> None:
    if isinstance(event, yaml.AliasEvent):
        raise bad(position, quote(f"*{event.anchor}"), "the value itself; put texts that begin with '*' in quotes")
    if event.anchor is not None:
        raise bad(position, quote(f"&{event.anchor}"), "the value alone; put texts that begin with '&' in quotes")
    tag = getattr(event, "tag", None)
    if tag is not None:
        raise bad(position, quote(tag), "the value without a tag; put texts that begin with '!' in quotes")
    if isinstance(event, yaml.ScalarEvent) and event.style == '"' and UNPRINTABLE.search(event.value):
        raise bad(position, "an escape that stands for a control character", "printable text")


@dataclass(slots=True)
class _Open:
    """A list, or named entries, still being read."""

    place: Place
    named: bool
    key: str | None = None
    items: list[Node] = field(default_factory=list)
    entries: dict[str, Node] = field(default_factory=dict)
    keys: dict[str, Place] = field(default_factory=dict)

    @property
    def wants_key(self) -> bool:
        return self.named and self.key is None

    def add(self, node: Node) -> None:
        if not self.named:
            self.items.append(node)
        elif self.key is None:
            self.key = self._fresh(text_of(node), node.place)
            self.keys[self.key] = node.place
        else:
            self.entries[self.key] = node
            self.key = None

    def _fresh(self, key: str, position: Place) -> str:
        if key == "<<":
            raise bad(position, "'<<'", "entries written out where they belong")
        if LINE_BREAKS.search(key):
            raise bad(position, f"the key {quote(key)}, which has more than one line", "a name of one line")
        if not key.strip():
            raise bad(position, "a key without a name", "'key: value'")
        if key in self.keys:
            first = f"it once; it stands in line {self.keys[key].line} already"
            raise bad(position, f"the key {quote(key)} a second time", first)
        return key

    def closed(self) -> Node:
        return Entries(self.entries, self.keys, self.place) if self.named else Items(tuple(self.items), self.place)

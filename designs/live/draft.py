"""A text of a design file as it is being changed: read, compared with another, and with new values put in."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from designs.design import Design
from designs.options.writing import with_entries
from designs.pages.stated import Entry, entries_of
from designs.reading import BadFile, design_of
from designs.reading.changes import OPTIONS
from designs.reading.complaints import Placed, alike
from designs.reading.nodes import Entries, Items, Leaf, Node, text_of
from designs.reading.placing import node_at
from designs.reading.source import parse

Keys = tuple[str, ...]
LONGEST = 2_000  # characters of a value that is typed


@dataclass(frozen=True, eq=False)
class Draft:
    """A text of a design file.   tree : None where it is not well formed.   design : None if there are complaints."""

    text: str
    tree: Entries | None
    design: Design | None
    complaints: tuple[Placed, ...] = ()

    @cached_property
    def entries(self) -> list[Entry]:
        """Every entry of the design; none where there are complaints."""
        return [] if self.design is None else entries_of(self.design, self.tree)

    @cached_property
    def values(self) -> dict[Keys, str]:
        """The text of every entry by its keys."""
        return {each.keys: each.value for each in self.entries}


def read_draft(text: str | bytes, path: Path, allow_above: bool = False) -> Draft:
    """Return a text as a draft, with every complaint of the reader; `path` is the file that it is of."""
    shown = text if isinstance(text, str) else text.decode("utf-8-sig", "replace")
    try:
        tree = parse(text, path.name)
    except BadFile as error:
        return Draft(shown, None, None, error.complaints)
    try:
        return Draft(shown, tree, design_of(tree, path, allow_above))
    except BadFile as error:
        return Draft(shown, tree, None, error.complaints)


def with_values(draft: Draft, values: dict[Keys, str]) -> str:
    """Return the text of a well-formed draft with entries changed, or added; all else stays as it is written."""
    assert draft.tree is not None
    return with_entries(draft.text, draft.tree, values)


def as_value(text: str) -> str:
    """Return what is typed as one value of a file: as it is where it can be one, else in quotes.

    So nothing that is typed begins another entry; what it means is left to the reader.
    """
    text = " ".join(text[:LONGEST].split())
    try:
        tree = parse(f"{{v: {text}}}", "typed")
        if text and list(tree.entries) == ["v"]:
            return text
    except BadFile:
        pass
    return "'" + text.replace("'", "''") + "'"


def changes(one: Entries, other: Entries) -> dict[Keys, str]:
    """Return what turns one tree into another, new text by keys; what options say is left out.

    Entries that are gone are told by what stands around them, written anew.
    """
    return dict(_changes(one, other, ()))


def _changes(one: Node, other: Node, keys: Keys) -> Iterator[tuple[Keys, str]]:
    if isinstance(one, Entries) and isinstance(other, Entries) and (not keys or set(one.entries) <= set(other.entries)):
        for name, each in other.entries.items():
            if keys or next(alike(name, (OPTIONS,)), None) is None:
                yield from _changed(one.entries.get(name), each, (*keys, name))
    elif isinstance(one, Items) and isinstance(other, Items) and len(one.items) == len(other.items):
        for place, (before, after) in enumerate(zip(one.items, other.items, strict=True)):
            yield from _changes(before, after, (*keys, str(place)))
    elif not _alike(one, other) and flow(one) != flow(other):
        yield keys, flow(other)


def moved_along(keys: Keys, was: Node, now: Node) -> Keys | None:
    """Return where an entry of a tree stands in another, of which lists have other items; None if its item is gone."""
    found: Keys = ()
    for number, key in enumerate(keys):
        place: str | None = key
        if isinstance(was, Items) and isinstance(now, Items) and key.isdecimal() and int(key) < len(was.items):
            place = _same_item(int(key), was, now)
        if place is None:
            return None
        found = (*found, place)
        (was, left), (now, missing) = node_at(was, (key,)), node_at(now, (place,))
        if left or missing:
            return (*found, *keys[number + 1 :])
    return found


def _same_item(place: int, was: Items, now: Items) -> str | None:
    """Return the place of an item in another list: where it is written alike, else its own if none came or went."""
    mine, items = flow(was.items[place]), [flow(each) for each in now.items]
    if place < len(items) and items[place] == mine:
        return str(place)
    if items.count(mine) == 1:
        return str(items.index(mine))
    return str(place) if len(items) == len(was.items) else None


def _alike(one: Node, other: Node) -> bool:
    """Whether two values are written alike, as nearly all are: to see it in a line of a file takes far longer."""
    return text_of(one) == text_of(other) != "" and getattr(one, "quoted", False) == getattr(other, "quoted", False)


def _changed(before: Node | None, after: Node, keys: Keys) -> Iterator[tuple[Keys, str]]:
    if before is None:
        yield keys, flow(after)
    else:
        yield from _changes(before, after, keys)


def flow(node: Node) -> str:
    """Return a node as one line of a file."""
    if isinstance(node, Items):
        return f"[{', '.join(map(flow, node.items))}]"
    if isinstance(node, Entries):
        return "{" + ", ".join(f"{as_value(name)}: {flow(each)}" for name, each in node.entries.items()) + "}"
    assert isinstance(node, Leaf)
    text = str(node.value)
    return as_value(text) if not node.quoted else "'" + text.replace("'", "''") + "'"

"""A design file with other values at some of its entries: the same text, comments and all, but for those values."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import yaml

from designs.reading import changes
from designs.reading.changes import found_at
from designs.reading.nodes import Entries, Items, Leaf, Node
from designs.reading.placing import node_at
from designs.reading.source import LOADER
from designs.reading.units import in_unit_of
from designs.shown import FILE_UNITS, IMPERIAL, System

_QUANTITY = re.compile(r"(?<![\w.])-?[\d.]+ (mm|um|g|kg)(?=[,\]}]|$)")


@dataclass
class _Span:
    """Where a value stands in a text: a single one, or a list or entries with brackets or by their indent."""

    start: int
    end: int
    named: bool = False
    flow: bool = False
    empty: bool = True


def with_values(text: str, tree: Entries, values: dict[str, str]) -> str:
    """Return the text of a design file with new values at key paths that it gives a single value.

    text : of the file that `tree` was read from.   values : new text by path; `*` stands for all.
    """
    spans = _spans(text)
    places = {
        _key(leaf): new for path, new in values.items() for leaf in found_at(tree, path) if isinstance(leaf, Leaf)
    }
    return _replaced(
        text, ((spans[entry].start, spans[entry].end, new) for entry, new in places.items() if entry in spans)
    )


def with_entries(text: str, tree: Entries, values: dict[tuple[str, ...], str]) -> str:
    """Return the text of a design file with new entries at keys: written over what stands there, else added beside it.

    text : of the file that `tree` was read from.   values : new text by keys in the definition.
    """
    spans = _spans(text)
    over: dict[tuple[int, int], str] = {}
    added: dict[tuple[int, int], dict[tuple[str, ...], str]] = {}
    for keys, new in values.items():
        node, remaining = node_at(tree, keys)
        if remaining == 0 or isinstance(node, Leaf):  # a single value that stands for an entry below it
            over[_key(node)] = new
        else:
            added.setdefault(_key(node), {})[keys[len(keys) - remaining :]] = new
    edits = [(spans[path].start, spans[path].end, new) for path, new in over.items()]
    edits += [_addition(text, spans[path], new) for path, new in added.items()]
    return _replaced(text, edits)


def as_given(
    tree: Entries, values: dict[tuple[str, ...], str], system: System = "metric"
) -> dict[tuple[str, ...], str]:
    """Return new values of entries, each in the unit in which a file gives that entry, where that is the same size.

    system : of the file, for lengths and masses of entries that it does not give.
    """
    return {keys: _in_its_unit(node_at(tree, keys), new, system) for keys, new in values.items()}


def _in_its_unit(place: tuple[Node, int], new: str, system: System) -> str:
    (node, remaining), listed = place, new.startswith("[")
    old = node.items if listed and isinstance(node, Items) else (node,) if isinstance(node, Leaf) else ()
    if remaining or not old or "{" in new or "[" in new[1:]:
        return _QUANTITY.sub(_imperial, new) if system == "imperial" else new
    said = new.strip("[]").split(", ")
    likes = [each.value if isinstance(each, Leaf) else "" for each in (*old, *old[-1:] * len(said))]
    found = ", ".join(in_unit_of(each, like) for each, like in zip(said, likes, strict=False))
    return f"[{found}]" if listed else found


def _imperial(quantity: re.Match[str]) -> str:
    return in_unit_of(quantity[0], f"1 {IMPERIAL[FILE_UNITS[quantity[1]][0]][0]}")


def with_option(text: str, tree: Entries, option: str, values: dict[tuple[str, ...], str]) -> str:
    """Return the text of a design file in which an option changes further entries: the last change of an entry holds.

    values : new text by keys in the definition.   Raises BadFile if there is no such option.
    """
    chosen = changes.changed(tree, option)
    said: dict[tuple[str, ...], dict[tuple[str, ...], str]] = {}
    for keys, new in values.items():
        node, remaining = node_at(chosen, keys)
        depth = len(keys) - remaining if remaining == 0 or isinstance(node, Leaf) else len(keys) - remaining + 1
        said.setdefault(keys[:depth], {})[keys[depth:]] = new
    whole = {path: _nested({("", *each): new for each, new in below.items()})[""] for path, below in said.items()}
    entries: dict[tuple[str, ...], str] = {}
    entries |= {(changes.OPTIONS, option, ".".join(path)): new for path, new in whole.items()}
    return with_entries(text, tree, entries)


def _addition(text: str, span: _Span, new: dict[tuple[str, ...], str]) -> tuple[int, int, str]:
    """Return where entries are added, and how: before the closing bracket, or in lines of their own."""
    said = _nested(new)
    if span.flow:
        words = ", ".join(f"{key}: {value}" for key, value in said.items())
        return span.end - 1, span.end - 1, words if span.empty else f", {words}"
    line = text.rfind("\n", 0, span.start) + 1
    indent = " " * (span.start - line)
    end = text.find("\n", span.end)
    end = len(text) if end < 0 else end
    return end, end, "".join(f"\n{indent}{key}: {value}" for key, value in said.items())


def _nested(new: dict[tuple[str, ...], str]) -> dict[str, str]:
    """Return entries below one another as entries in brackets."""
    said: dict[str, str] = {}
    deeper: dict[str, dict[tuple[str, ...], str]] = {}
    for (first, *rest), value in new.items():
        if rest:
            deeper.setdefault(first, {})[tuple(rest)] = value
        else:
            said[first] = value
    for key, inner in deeper.items():
        said[key] = "{" + ", ".join(f"{name}: {value}" for name, value in _nested(inner).items()) + "}"
    return said


def _replaced(text: str, edits: Iterable[tuple[int, int, str]]) -> str:
    done, parts = 0, []
    for start, end, new in sorted(edits):
        parts += [text[done:start], new]
        done = end
    return "".join([*parts, text[done:]])


def _key(node: Node) -> tuple[int, int]:
    return node.place.line, node.place.column


def _spans(text: str) -> dict[tuple[int, int], _Span]:
    """Return where each value stands in a text, by its line and column."""
    starts = _line_starts(text)
    spans: dict[tuple[int, int], _Span] = {}
    open_ones: list[_Span] = []
    for event, start, end in _events(text, starts):
        if isinstance(event, yaml.CollectionEndEvent):
            span = open_ones.pop()
            if span.flow:
                span.end = end
        elif isinstance(event, yaml.NodeEvent):
            span = _Span(
                start, end, isinstance(event, yaml.MappingStartEvent), bool(getattr(event, "flow_style", False))
            )
            mark = event.start_mark
            assert mark is not None
            # A block of entries starts where its first key does, which is then told again by the key: the first stays.
            spans.setdefault((mark.line + 1, mark.column + 1), span)
            if isinstance(event, yaml.CollectionStartEvent):
                open_ones.append(span)
        else:
            continue
        for around in open_ones:
            around.empty, around.end = around.empty and around is span, max(around.end, span.end)
    return spans


def _events(text: str, starts: list[int]) -> Iterator[tuple[yaml.Event, int, int]]:
    for event in yaml.parse(text, Loader=LOADER):
        first, last = event.start_mark, event.end_mark
        assert first is not None
        assert last is not None
        yield event, starts[first.line] + first.column, starts[last.line] + last.column


def _line_starts(text: str) -> list[int]:
    starts = [0]
    for line in text.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    return starts

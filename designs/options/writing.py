"""A design file with other values at some of its entries: the same text, comments and all, but for those values."""

from collections.abc import Iterator

import yaml

from designs.reading.changes import found_at
from designs.reading.source import LOADER, Entries, Leaf


def with_values(text: str, tree: Entries, values: dict[str, str]) -> str:
    """Return the text of a design file with new values at key paths that it gives a single value.

    text : of the file that `tree` was read from.   values : new text by path; `*` stands for all.
    """
    starts = _line_starts(text)
    places = {
        starts[leaf.place.line - 1] + leaf.place.column - 1: new
        for path, new in values.items()
        for leaf in found_at(tree, path)
        if isinstance(leaf, Leaf)
    }
    done, parts = 0, []
    for start, end in _scalars(text, starts):
        if start in places:
            parts += [text[done:start], places[start]]
            done = end
    return "".join([*parts, text[done:]])


def _line_starts(text: str) -> list[int]:
    starts = [0]
    for line in text.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    return starts


def _scalars(text: str, starts: list[int]) -> Iterator[tuple[int, int]]:
    """Yield from where to where each single value stands in a text."""
    for event in yaml.parse(text, Loader=LOADER):
        if isinstance(event, yaml.ScalarEvent):
            first, last = event.start_mark, event.end_mark
            assert first is not None
            assert last is not None
            yield starts[first.line] + first.column, starts[last.line] + last.column

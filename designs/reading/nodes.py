"""The tree of a file's entries, before anything is known of what they mean."""

import re
from dataclasses import dataclass
from typing import Any

from designs.reading.complaints import Place, quote

LINE_BREAKS = re.compile("[\r\n\x85\u2028\u2029]+")
"""What would begin a new line wherever a text is shown."""


@dataclass(frozen=True, slots=True, eq=False)
class Leaf:
    """A single value, as written."""

    value: str
    place: Place
    quoted: bool = False

    @property
    def is_nothing(self) -> bool:
        """Whether the value was left empty."""
        return not self.value and not self.quoted

    @property
    def is_none(self) -> bool:
        """Whether the value says that there shall be none."""
        return not self.quoted and self.value.lower() in ("none", "null", "~")


@dataclass(frozen=True, slots=True, eq=False)
class Items:
    """A list."""

    items: tuple["Node", ...]
    place: Place


@dataclass(frozen=True, slots=True, eq=False)
class Entries:
    """Named entries: what stands under each key, and where each key stands."""

    entries: dict[str, "Node"]
    keys: dict[str, Place]
    place: Place


Node = Leaf | Items | Entries


def shown(node: Node) -> str:
    """Return what a node is, as a complaint says it."""
    if isinstance(node, Items):
        return f"a list of {len(node.items)}"
    if isinstance(node, Entries):
        return "named entries" if node.entries else "no entries"
    return "nothing" if node.is_nothing else quote(node.value)


def text_of(node: Node) -> str:
    """Return the text of a single value as written; "" for everything else."""
    return node.value if isinstance(node, Leaf) else ""


def plain(node: Node) -> Any:
    """Return a node as dicts, lists and texts, without its places."""
    if isinstance(node, Entries):
        return {name: plain(each) for name, each in node.entries.items()}
    if isinstance(node, Items):
        return [plain(each) for each in node.items]
    return node.value

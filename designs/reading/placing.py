"""What a definition and the tree it was read from have to do with each other: places and names."""

import re
from dataclasses import dataclass, field
from math import isclose
from typing import Any

from balance.machine.materials import MATERIALS
from designs.reading.complaints import alike
from designs.reading.nodes import Entries, Items, Leaf, Node
from designs.reading.shapes import Record, Shape, keys_of
from designs.reading.units import BadQuantity, quantity

_MILLIMETRES = re.compile(r"(-?[0-9.]+) mm\b")
ROUNDED = 1e-3  # share by which a length in words may be off


def node_at(node: Node, keys: tuple[str, ...]) -> tuple[Node, int]:
    """Return the deepest node along a path of keys, and how many keys were left over."""
    for done, key in enumerate(keys):
        inner = _inside(node, key)
        if inner is None:
            return node, len(keys) - done
        node = inner
    return node, 0


def _inside(node: Node, key: str) -> Node | None:
    if isinstance(node, Entries):
        return next((node.entries[each] for each in (key, *alike(key, node.entries)) if each in node.entries), None)
    if isinstance(node, Items) and key.isdecimal() and int(key) < len(node.items):
        return node.items[int(key)]
    return None


def with_own_name(shape: Shape, node: Node, name: str, around: Entries) -> Node:
    """Return the entries of a definition that has a name, with the name they stand under unless they give one."""
    if not isinstance(shape, Record) or "name" not in keys_of(shape.cls):
        return node
    if not isinstance(node, Entries) or "name" in node.entries:
        return node
    leaf = Leaf(name, around.keys[name])
    return Entries({**node.entries, "name": leaf}, {**node.keys, "name": leaf.place}, node.place)


@dataclass(frozen=True, slots=True)
class Materials:
    """The materials that a file may name: those that the program knows, and its own in their place."""

    known: dict[str, Any] = field(default_factory=lambda: dict(MATERIALS))

    def add(self, name: str, value: Any) -> bool:
        """Make a material of the file known; return whether it is the file's first of this name."""
        same = next(alike(name, self.known), None)
        is_first = same is None or self.known[same] is MATERIALS.get(same)
        if same is not None:
            del self.known[same]
        self.known[name] = value
        return is_first


def with_written(read: str, text: str) -> str:
    """Return what a complaint says was read, in mm, with the text as the file has it where that is in another unit."""
    match = _MILLIMETRES.match(read)
    try:
        length = quantity(text, "m") * 1e3
    except BadQuantity:
        return read
    if match is None or text.strip().endswith("mm") or not isclose(length, float(match[1]), rel_tol=ROUNDED):
        return read
    return f"{text} ({match[0]}){read[match.end() :]}"

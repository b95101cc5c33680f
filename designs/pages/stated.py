"""Every entry that a design is computed from: what its file states, where, and what is assumed for the rest."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from pathlib import Path
from typing import Any, get_args

import numpy as np

from balance.machine.materials import Material
from balance.quantities import Unit, mark
from designs.design import Design
from designs.reading import changes
from designs.reading.complaints import alike
from designs.reading.nodes import Entries, Items, Leaf, Node, text_of
from designs.reading.source import read_file
from designs.shown import shown
from designs.table import Column, Table, number_text

LONGEST = 12  # values of a list that are written out
DIGITS = 4  # that matter, of a value that was taken and not given


@dataclass(frozen=True)
class Entry:
    """One entry: its key path, its value for people, what it means, and where the value comes from.

    keys : the path as keys.   kind : the annotation of its field.
    """

    path: str
    value: str
    meaning: str
    source: str
    keys: tuple[str, ...] = ()
    kind: Any = None


def entries(design: Design, path: Path | None = None, option: str | None = None) -> list[Entry]:
    """Return every entry of a design; with the file it came from, as written there and with its line."""
    tree = None
    if path is not None:
        tree = read_file(path)
        tree = tree if option is None else changes.changed(tree, option)
    return entries_of(design, tree)


def entries_of(design: Design, tree: Entries | None) -> list[Entry]:
    """Return every entry of a design; with the tree it was read from, as written there and with its line."""
    taken = {".".join(path): each.words for path, each in design.doubts.items() if not each.given}
    found = _of_record(design, (), tree)
    return [replace(each, source=_taken(each, taken)) if each.source in UNSAID else each for each in found]


UNSAID = ("left out", "assumed")


def _taken(entry: Entry, taken: dict[str, str]) -> str:
    return f"taken, not given: {taken[entry.path]}" if entry.path in taken else entry.source


def _of_record(record: Any, at: tuple[str, ...], node: Node | None) -> Iterator[Entry]:
    for each in fields(record):
        if at or each.name not in ("options", "materials", "doubts", "found"):
            yield from _of_value(getattr(record, each.name), (*at, each.name), _inside(node, each.name), each.type)


def _inside(node: Node | None, key: str) -> Node | None:
    if isinstance(node, Entries):
        return next((node.entries[each] for each in (key, *alike(key, node.entries)) if each in node.entries), None)
    if isinstance(node, Items) and key.isdecimal() and int(key) < len(node.items):
        return node.items[int(key)]
    return None


def _of_value(value: Any, at: tuple[str, ...], node: Node | None, kind: Any) -> Iterator[Entry]:
    if is_dataclass(value) and not isinstance(node, Leaf):
        yield from _of_record(value, at, node)
    elif isinstance(value, dict):
        for name, each in value.items():
            yield from _of_value(each, (*at, name), _inside(node, name), kind)
    elif isinstance(value, tuple) and value and any(is_dataclass(each) for each in value):
        for number, each in enumerate(value):
            yield from _of_value(each, (*at, str(number)), _inside(node, str(number)), kind)
    else:
        yield Entry(".".join(at), _written(value, node, kind), _meaning(kind), _source(value, node), at, kind)


def _written(value: Any, node: Node | None, kind: Any) -> str:
    if isinstance(node, Leaf):
        return text_of(node) or "(a table)"
    if isinstance(node, Items) and all(isinstance(each, Leaf) for each in node.items):
        words = [text_of(each) for each in node.items]
        return f"[{', '.join(words[:LONGEST])}{', ...' if len(words) > LONGEST else ''}]"
    return _shown(value, kind)


def _shown(value: Any, kind: Any) -> str:
    """Return a default for people."""
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return f"[{', '.join(_shown(each, kind) for each in value)}]"
    if is_dataclass(value):
        return str(getattr(value, "name", type(value).__name__))
    if not isinstance(value, int | float | np.generic | np.ndarray) or np.ndim(value):
        return str(value)
    unit = mark(kind, Unit)
    si = "" if unit is None else unit.si
    name, factor, decimals = shown(si, 6)
    if si == "K":
        name, factor, decimals = "K", 1.0, 2
    size = float(value) * factor
    size = float(f"{size:.{DIGITS}g}") if abs(size) >= 10**DIGITS else size
    number = number_text(size, max(decimals, 3)).replace("\N{MINUS SIGN}", "-")  # as a file says it
    return f"{number} {name}".strip()


def _meaning(kind: Any) -> str:
    texts = [each for each in getattr(kind, "__metadata__", ()) if isinstance(each, str)]
    if texts:
        return texts[0]
    return next((found for each in get_args(kind) if (found := _meaning(each))), "")


def _source(value: Any, node: Node | None) -> str:
    if node is None:
        return "left out" if value is None else "assumed"
    return f"line {node.place.line}" if getattr(node.place, "line", None) else "stated"


def materials(design: Design) -> Table:
    """Return the properties of every material that a design names."""
    columns = (
        Column("name", "material"),
        Column("density", "density (kg/m^3)", "1"),
        Column("young", "Young's modulus", "stress"),
        Column("shear", "shear modulus", "stress"),
        Column("yield_strength", "yield", "stress"),
        Column("tensile_strength", "tensile", "stress"),
        Column("expansion", "growth with heat (1/K)", "1"),
    )
    found = {each.name: each for each in _materials(design)}
    rows = [tuple(getattr(each, column.key) for column in columns) for each in found.values()]
    note = (
        "Typical handbook values where the file gives none; good to 5 percent for moduli and 15 percent for strengths."
    )
    return Table("materials", "Materials", columns, rows, note)


def _materials(value: Any) -> Iterator[Material]:
    if isinstance(value, Material):
        yield value
    elif is_dataclass(value):
        for each in fields(value):
            if each.name not in ("options", "materials"):
                yield from _materials(getattr(value, each.name))
    elif isinstance(value, dict):
        for each in value.values():
            yield from _materials(each)
    elif isinstance(value, tuple):
        for each in value:
            yield from _materials(each)

"""From a tree of entries to a checked definition, or to every complaint about it at once.

The definition's annotations alone say what is read (designs.reading.shapes). What could not be read
is left out of its parent's checks, so that one slip gives one complaint.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from balance.doubt.ranges import Range
from balance.errors import BadDesign, Complaint
from balance.machine.counterweights import FlatDrawing
from balance.machine.machine import PressureTable
from balance.machine.materials import Material
from balance.quantities import out_of_range
from designs.design import Design
from designs.design.stock import Stock
from designs.reading.complaints import BadFile, Place, Placed, alike, listed, nearest, quote
from designs.reading.doubtful import UNKNOWN, doubt_at
from designs.reading.drawing import read_drawing
from designs.reading.expected import expected, expected_key
from designs.reading.leaves import FAILED, BadLeaf, leaf_value
from designs.reading.nodes import Entries, Items, Leaf, Node, plain, shown, text_of
from designs.reading.placing import Materials, node_at, with_own_name, with_written
from designs.reading.readings import read_readings
from designs.reading.shapes import (
    Either,
    Fixed,
    Named,
    Optional,
    Raw,
    Record,
    Series,
    Shape,
    Tagged,
    columns_of,
    in_order_of,
    is_word_of,
    key_named,
    keys_of,
    shorthand_of,
    stock_of,
)
from designs.reading.source import read_entries
from designs.reading.table import read_table
from designs.reading.taken import with_doubts

Where = tuple[str, ...]
TABLE = "file"  # the key under which a table of readings is named
Made = TypeVar("Made")
MOST_HINTS = 50  # complaints that get a nearest word; finding one takes time, and nobody reads more


def build(cls: type[Made], tree: Entries, folder: Path | None = None, allow_above: bool = False) -> Made:
    """Return the definition that a tree describes.

    folder : where tables are looked for; None if there is no file, and so no table either.
    allow_above : whether tables may also stand outside that folder.
    Raises BadFile with every complaint.
    """
    builder = _Builder(folder, allow_above)
    made: Any = builder.record(cls, tree, ())
    if builder.complaints or made is FAILED:
        raise BadFile(*builder.complaints)
    if isinstance(made, Design):
        made = with_doubts(made, builder.ranges, builder.given)
    return made


@dataclass
class _Builder:
    folder: Path | None
    allow_above: bool
    complaints: list[Placed] = field(default_factory=list)
    materials: Materials = field(default_factory=Materials)
    ranges: dict[Where, Range] = field(default_factory=dict)
    given: set[Where] = field(default_factory=set)

    def complain(self, position: Place, where: Where, read: str, allowed: str, word: str = "", known: Any = ()) -> Any:
        """Note a complaint, with the name in `known` that looks most like `word`; return FAILED."""
        hint = nearest(word, known) if word and len(self.complaints) < MOST_HINTS else None
        self.complaints.append(Placed(position, Complaint(where, read, allowed), hint))
        return FAILED

    def value(self, shape: Shape, node: Node, where: Where) -> Any:
        """Return what a node says where this shape is wanted; FAILED, with a complaint noted, if it cannot be."""
        match shape:
            case Optional():
                return self.optional(shape, node, where)
            case Raw():
                return plain(node)
            case Record():
                return SPECIAL.get(shape.cls, _Builder.record)(self, shape.cls, node, where)
            case Tagged():
                return self.tagged(shape, node, where)
            case Either():
                return self.either(shape, node, where)
            case Series() | Fixed() if isinstance(node, Items):
                return self.items(shape, node, where)
            case Named() if isinstance(node, Entries):
                return self.named(shape, node, where)
        return self.leaf(shape, node, where)

    def leaf(self, shape: Shape, node: Node, where: Where) -> Any:
        try:
            value = leaf_value(shape, node)
        except BadLeaf as error:
            return self.complain(node.place, where, error.read, error.allowed, error.word, error.known)
        return self.doubtful(value, node, where) if isinstance(value, Range) else value

    def doubtful(self, value: Range, node: Node, where: Where) -> Any:
        """Note the range of a number, whose middle is the design's own."""
        if why := doubt_at(where):
            return self.complain(node.place, where, shown(node), why)
        self.ranges[where] = value
        return value.middle

    def optional(self, shape: Optional, node: Node, where: Where) -> Any:
        if isinstance(node, Leaf) and node.is_none and not is_word_of(shape.item, text_of(node)):
            return None
        return self.value(shape.item, node, where)

    def items(self, shape: Series | Fixed, node: Items, where: Where) -> Any:
        if isinstance(shape, Fixed) and len(shape.items) != len(node.items):
            return self.complain(node.place, where, shown(node), expected(shape))
        if isinstance(shape, Series) and self.too_many(shape, len(node.items), node, where):
            return FAILED
        shapes: Sequence[Shape] = shape.items if isinstance(shape, Fixed) else [shape.item] * len(node.items)
        pairs = zip(shapes, node.items, strict=True)
        values = [self.value(each, item, (*where, str(n))) for n, (each, item) in enumerate(pairs)]
        return FAILED if any(each is FAILED for each in values) else tuple(values)

    def too_many(self, shape: Series | Named, count: int, node: Node, where: Where) -> bool:
        """Complain of more than there may be before any of it is looked at; return whether there is more."""
        if shape.most is None or count <= shape.most:
            return False
        self.complain(node.place, where, f"{count} of them", f"at most {shape.most}")
        return True

    def named(self, shape: Named, node: Entries, where: Where) -> Any:
        if self.too_many(shape, len(node.entries), node, where):
            return FAILED
        values = {}
        for name, each in node.entries.items():
            values[name] = self.value(shape.item, with_own_name(shape.item, each, name, node), (*where, name))
            if shape.item == Record(Material) and not self.materials.add(name, values[name]):
                allowed = "names that differ in more than spaces, - and _"
                self.complain(node.keys[name], (*where, name), "the same name twice", allowed)
        return FAILED if any(each is FAILED for each in values.values()) else values

    def material(self, cls: type, node: Node, where: Where) -> Any:
        text = text_of(node)
        if not text:
            return self.record(cls, node, where)
        for same in alike(text, self.materials.known):
            return self.materials.known[same]
        allowed = f"a material: {listed(self.materials.known)}; or its own entries, density: and so on"
        return self.complain(node.place, where, shown(node), allowed, text, self.materials.known)

    def table(self, cls: type, node: Node, where: Where) -> Any:
        return self.from_file(cls, node, where, read_table)

    def drawing(self, cls: type, node: Node, where: Where) -> Any:
        return self.from_file(cls, node, where, read_drawing)

    def stock(self, cls: type, node: Node, where: Where) -> Any:
        """Return a stock that is written in place, or in the file beside the design that a text names."""
        if not text_of(node):
            return self.record(cls, node, where)
        tree = self.from_file(cls, node, where, read_entries)
        return FAILED if tree is FAILED else self.record(cls, tree, where)

    def with_readings(self, cls: type, node: Entries, where: Where) -> Entries:
        """Return entries with those of the table of readings that they name, if they may and do name one."""
        written = next(alike(TABLE, node.entries), None) if columns_of(cls) else None
        if written is None or not text_of(node.entries[written]):
            return node
        read = partial(read_readings, columns=columns_of(cls))
        table = self.from_file(cls, node.entries[written], (*where, TABLE), read)
        if table is FAILED:
            return node
        twice = [key for each in table.entries for key in alike(each, node.entries)]
        for key in twice:
            self.complain(node.keys[key], (*where, key), f"{key!r} beside a table", "either of them")
        if twice:
            return node
        return Entries({**node.entries, **table.entries}, {**node.keys, **table.keys}, node.place)

    def from_file(self, cls: type, node: Node, where: Where, read: Callable[..., Any]) -> Any:
        if not text_of(node):
            return self.complain(node.place, where, shown(node), expected(Record(cls)))
        try:
            return read(text_of(node), self.folder, self.allow_above, node.place)
        except BadFile as error:
            for each in error.complaints:
                self.complaints.append(replace(each, complaint=replace(each.complaint, where=where)))
            return FAILED

    def tagged(self, shape: Tagged, node: Node, where: Where) -> Any:
        classes = dict(shape.classes)
        if text := text_of(node):
            same = next(alike(text, classes), None)
            if same is None:
                return self.complain(node.place, where, shown(node), expected(shape), text, classes)
            return self.record(classes[same], Entries({}, {}, node.place), where)
        if not isinstance(node, Entries):
            return self.complain(node.place, where, shown(node), expected(shape))
        written = next(alike(shape.tag, node.entries), None)
        if written is None:
            return self.complain(node.place, where, f"no '{shape.tag}:'", f"'{shape.tag}:' with {listed(classes)}")
        return self.record_with_tag(classes, node, written, where)

    def record_with_tag(self, classes: dict[str, type], node: Entries, written: str, where: Where) -> Any:
        tag = node.entries[written]
        word = text_of(tag)
        same = next(alike(word, classes), None)
        if same is None:
            return self.complain(tag.place, (*where, written), shown(tag), listed(classes), word, classes)
        return self.record(classes[same], node, where)

    def either(self, shape: Either, node: Node, where: Where) -> Any:
        before, ranges = len(self.complaints), dict(self.ranges)
        tries = []
        for each in shape.items:
            self.ranges = dict(ranges)  # without those of a shape that did not fit after all
            value = self.value(each, node, where)
            tries.append(self.complaints[before:])
            del self.complaints[before:]
            if value is not FAILED and not tries[-1]:
                return value
        deep = [each for each in tries if any(one.complaint.where != where for one in each)]
        if len(deep) == 1:  # only one shape got inside the entries: its complaints are the ones that help
            self.complaints += deep[0]
            return FAILED
        return self.complain(node.place, where, shown(node), expected(shape, text_of(node)))

    def record(self, cls: type, node: Node, where: Where) -> Any:
        stock, text = stock_of(cls), text_of(node)
        if stock and text:
            same = next(alike(text, stock), None)
            if same is None:
                return self.complain(node.place, where, shown(node), expected(Record(cls)), text, stock)
            return stock[same]
        if (order := in_order_of(cls)) and isinstance(node, Items) and len(node.items) == len(order):
            places = {key: each.place for key, each in zip(order, node.items, strict=True)}
            node = Entries(dict(zip(order, node.items, strict=True)), places, node.place)
        short = shorthand_of(cls)
        if short and isinstance(node, Leaf) and not node.is_nothing:
            node = Entries({short.name: node}, {short.name: node.place}, node.place)
        if not isinstance(node, Entries):
            return self.complain(node.place, where, shown(node), expected(Record(cls), text_of(node)))
        before = len(self.complaints)
        node = self.with_readings(cls, node, where)
        values = self.values(cls, node, where)
        readable = {name: value for name, value in values.items() if value is not FAILED}
        if len(readable) == len(values) and len(self.complaints) == before:
            return self.made(cls, values, node, where)
        self.out_of_range(cls, readable, node, where)
        return FAILED

    def values(self, cls: type, node: Entries, where: Where) -> dict[str, Any]:
        """Return the fields by name, FAILED where one could not be read; complain about missing keys."""
        given, meant = self.found(cls, node, where)
        values = {}
        for key in sorted(keys_of(cls).values(), key=lambda each: not _holds_materials(each.shape)):
            if key.name in given and not (key.typical and text_of(given[key.name]).strip() == UNKNOWN):
                self.given.add((*where, key.name))
                values[key.name] = self.value(key.shape, given[key.name], (*where, key.name))
            elif key.needed and key.typical:
                values[key.name] = key.typical.usual
            elif key.asked_for and key.name not in meant:
                self.complain(node.place, (*where, key.name), "nothing", expected_key(key))
        return values

    def found(self, cls: type, node: Entries, where: Where) -> tuple[dict[str, Node], set[str | None]]:
        """Return the nodes of the known keys by field name; complain about unknown and repeated keys.

        Also return the fields that the unknown keys seem to mean, which are then not missing as well.
        """
        given: dict[str, Node] = {}
        meant: set[str | None] = set()
        for written, each in node.entries.items():
            key = key_named(cls, written)
            if key is None:
                known = list(keys_of(cls))
                if written[:1].isdigit():
                    read = f"{quote(written)} by itself, as after a decimal comma (write a point)"
                    self.complain(node.keys[written], where, read, "a number such as 2.5 mm")
                    continue
                self.complain(node.keys[written], (*where, written), "an unknown key", listed(known), written, known)
                meant.add(self.complaints[-1].nearest)
            elif key.name in given:
                self.complain(node.keys[written], (*where, written), f"'{key.name}' a second time", "it once")
            else:
                given[key.name] = each
        return given, meant

    def made(self, cls: type, values: dict[str, Any], node: Entries, where: Where) -> Any:
        try:
            with np.errstate(all="ignore"):  # the definition refuses what is not finite by itself
                return cls(**values)
        except BadDesign as error:
            if not self.out_of_range(cls, values, node, where):
                for each in error.complaints:
                    self.place(each, node, where)
        except ArithmeticError:
            self.complain(node.place, where, "numbers that cannot be computed with", "numbers of a usual size")
        return FAILED

    def out_of_range(self, cls: type, values: dict[str, Any], node: Entries, where: Where) -> bool:
        """Complain about numbers out of their bounds, in the words of the file; return whether there are any."""
        wrong = list(out_of_range(cls, values))
        for each in wrong:
            self.place(each, node, where, as_written=True)
        return bool(wrong)

    def place(self, complaint: Complaint, node: Node, where: Where, as_written: bool = False) -> None:
        """Note a complaint of the definition itself at the deepest node that it speaks of."""
        node, left = node_at(node, complaint.where)
        text = text_of(node)
        read = shown(node) if as_written and text and not left else with_written(complaint.read, text)
        known = complaint.allowed.split(", ")
        self.complain(node.place, (*where, *complaint.where), read, complaint.allowed, text, known)


def _holds_materials(shape: Shape) -> bool:
    return isinstance(shape, Named) and shape.item == Record(Material)


SPECIAL: dict[type, Callable[[_Builder, type, Node, Where], Any]] = {
    Material: _Builder.material,
    PressureTable: _Builder.table,
    FlatDrawing: _Builder.drawing,
    Stock: _Builder.stock,
}

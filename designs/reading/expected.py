"""What a field wants, in the words of a complaint."""

from balance.machine.counterweights import FlatDrawing
from balance.machine.machine import PressureTable
from balance.machine.materials import MATERIALS, Material
from designs.design.stock import Stock
from designs.reading.complaints import listed
from designs.reading.shapes import (
    Choice,
    Either,
    Fixed,
    Flag,
    Key,
    Named,
    Optional,
    Quantity,
    Reading,
    Record,
    Series,
    Shape,
    Tagged,
    Whole,
    Words,
    in_order_of,
    keys_of,
    shorthand_of,
    stock_of,
)
from designs.reading.units import allowed, name


def expected(shape: Shape, text: str = "") -> str:
    """Return what a shape wants, with examples that start from what was read, if it had a number."""
    match shape:
        case Quantity():
            return allowed(shape.si, text)
        case Reading():
            return f"{allowed(shape.si, text)}; with its doubt as 'A +- B', which holds 19 times of 20"
        case Whole():
            return "a whole number"
        case Flag():
            return "yes or no"
        case Words():
            return "a text"
        case Choice():
            return listed(map(str, shape.values))
        case Record():
            return _record(shape.cls, text)
        case Optional():
            return f"{expected(shape.item, text)}; or none"
        case Either():
            return "; or ".join(expected(each, text) for each in shape.items)
    return _collection(shape)


def expected_key(key: Key) -> str:
    """Return what a key wants, and what it means."""
    return f"{expected(key.shape)} ({key.meaning})" if key.meaning else expected(key.shape)


def _collection(shape: Shape) -> str:
    match shape:
        case Fixed():
            return f"[{', '.join(_briefly(each) for each in shape.items)}], each with its unit"
        case Series():
            return f"a list, in each place {_briefly(shape.item)}"
        case Named():
            return f"names of your own, each with {_briefly(shape.item)}"
        case Tagged():
            return f"entries, one of them '{shape.tag}:' with {listed(word for word, _ in shape.classes)}"
    return "an entry"


def _briefly(shape: Shape) -> str:
    if isinstance(shape, Quantity | Reading):
        return name(shape.si)
    if isinstance(shape, Fixed):
        return f"[{', '.join(_briefly(each) for each in shape.items)}]"
    return expected(shape)


def _record(cls: type, text: str) -> str:
    if cls is Material:
        return f"a material: {listed(MATERIALS)}, or one of your own under 'materials:'"
    if cls is FlatDrawing:
        return "the name of a DXF file beside this one, e.g. weight.dxf"
    if cls is PressureTable:
        return "the name of a CSV file beside this one, e.g. pressure.csv"
    if cls is Stock:
        return f"entries: {listed(keys_of(cls))}; or the name of a file with them beside this one, e.g. stock.yaml"
    short = shorthand_of(cls)
    entries = f"entries: {listed(key.name for key in keys_of(cls).values())}"
    if stock := stock_of(cls):
        ordered = f"; or [{', '.join(in_order_of(cls))}]" if in_order_of(cls) else ""
        return f"a designation: {listed(stock)}{ordered}; or {entries}"
    return f"{expected(short.shape, text)}; or {entries}" if short else entries

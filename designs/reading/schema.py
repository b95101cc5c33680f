"""The JSON Schema of a design file, made from the same definitions that read it.

An editor that knows the schema helps while a design is written. It is a little wider than the reader:
it knows what a unit looks like but not what it measures, and nothing of how fields fit together.
"""

from typing import Any

from balance.machine.counterweights import FlatDrawing
from balance.machine.machine import PressureTable
from balance.machine.materials import Material
from balance.quantities import Bound
from designs.design import Design
from designs.design.stock import Stock
from designs.reading.doubtful import pattern
from designs.reading.expected import expected
from designs.reading.leaves import FLAGS
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
from designs.reading.units import NUMBER, UNIT

DIALECT = "https://json-schema.org/draft/2020-12/schema"
NONE = {"enum": [None, "none", "null", "~"]}
Schema = dict[str, Any]


def schema(cls: type = Design) -> Schema:
    """Return the schema of a definition's file as a dict, JSON Schema 2020-12."""
    classes: dict[type, Schema] = {}
    _define(cls, classes)
    definitions = {_name(each): made for each, made in classes.items()}
    return {"$schema": DIALECT, "title": "A design file", **_reference(cls), "$defs": definitions}


def _name(cls: type) -> str:
    return f"{cls.__module__.rpartition('.')[2]}.{cls.__name__}"


def _reference(cls: type) -> Schema:
    return {"$ref": f"#/$defs/{_name(cls)}"}


def _define(cls: type, classes: dict[type, Schema]) -> Schema:
    """Add a definition and all it holds to `classes`, once; return a reference to it."""
    if cls not in classes:
        classes[cls] = {}  # stands in while its fields are described, in case one holds the same again
        classes[cls].update(_object(cls, classes))
    return _reference(cls)


def _object(cls: type, classes: dict[type, Schema]) -> Schema:
    keys = keys_of(cls).values()
    made: Schema = {
        "type": "object",
        "description": (cls.__doc__ or "").partition("\n")[0],
        "properties": {key.name: _property(key, classes) for key in keys},
        "additionalProperties": False,
        "required": [key.name for key in keys if key.asked_for and "_" not in key.name],
    }
    respelt = {_spellings(key.name): made["properties"][key.name] for key in keys if "_" in key.name}
    if respelt:
        made["patternProperties"] = respelt
        made["allOf"] = [_has_key_like(_spellings(key.name)) for key in keys if key.asked_for and "_" in key.name]
    return {word: each for word, each in made.items() if each not in ([], "")}


def _spellings(name: str) -> str:
    return f"^{name.replace('_', '[ _-]+')}$"


def _has_key_like(pattern: str) -> Schema:
    """Return the schema of an object that has a key of this pattern: not all its keys are unlike it."""
    return {"not": {"propertyNames": {"not": {"pattern": pattern}}}}


def _property(key: Key, classes: dict[type, Schema]) -> Schema:
    made = _schema_of(key.shape, classes)
    meaning = "; ".join(each for each in (key.meaning, made.get("description", "")) if each)
    made = {**made, "description": meaning} if meaning else made
    default = _default(key)
    return made if default is None else {**made, "default": default}


def _default(key: Key) -> Any:
    """Return a field's default as a file would write it, None if it has none or no simple one."""
    shape = key.shape.item if isinstance(key.shape, Optional) else key.shape
    if isinstance(shape, Quantity) and isinstance(key.default, float):
        return f"{key.default:g} {shape.si}" if shape.si else key.default
    return key.default if isinstance(key.default, bool | int | str) else None


def _schema_of(shape: Shape, classes: dict[type, Schema]) -> Schema:
    match shape:
        case Quantity() | Reading():
            return _quantity(shape)
        case Whole():
            return {"anyOf": [{"type": "integer", **_limits(shape.bound)}, _text(r"^[+-]?[0-9]{1,9}$")]}
        case Flag():
            return {"anyOf": [{"type": "boolean"}, {"enum": list(FLAGS)}]}
        case Words():
            return {"type": "string"}
        case Choice():
            return {"enum": list(shape.values)}
        case Optional():
            return {"anyOf": [_schema_of(shape.item, classes), NONE]}
        case Either():
            return {"anyOf": [_schema_of(each, classes) for each in shape.items]}
    return _nested(shape, classes)


def _nested(shape: Shape, classes: dict[type, Schema]) -> Schema:
    match shape:
        case Fixed():
            items = [_schema_of(each, classes) for each in shape.items]
            return {"type": "array", "prefixItems": items, "minItems": len(items), "maxItems": len(items)}
        case Series():
            most = {} if shape.most is None else {"maxItems": shape.most}
            return {"type": "array", "items": _schema_of(shape.item, classes), **most}
        case Named():
            most = {} if shape.most is None else {"maxProperties": shape.most}
            return {"type": "object", "additionalProperties": _schema_of(shape.item, classes), **most}
        case Record():
            return _record(shape.cls, classes)
        case Tagged():
            return _tagged(shape, classes)
    return {}


def _record(cls: type, classes: dict[type, Schema]) -> Schema:
    if cls in (PressureTable, FlatDrawing):
        return {"type": "string", "description": expected(Record(cls))}
    if cls in (Material, Stock):
        return {"anyOf": [{"type": "string"}, _define(cls, classes)], "description": expected(Record(cls))}
    short = shorthand_of(cls)
    whole = _define(cls, classes)
    if stock := stock_of(cls):
        named = {"enum": [*stock, *(int(name) for name in stock if name.isdecimal())]}
        return {"anyOf": [named, whole, *_in_order(cls, classes)]}
    return {"anyOf": [_schema_of(short.shape, classes), whole]} if short else whole


def _in_order(cls: type, classes: dict[type, Schema]) -> list[Schema]:
    """Return the list that may stand for a definition, if one may."""
    order = in_order_of(cls)
    return [_nested(Fixed(tuple(keys_of(cls)[key].shape for key in order)), classes)] if order else []


def _tagged(shape: Tagged, classes: dict[type, Schema]) -> Schema:
    whole = [{**_define(cls, classes), "required": [shape.tag]} for _, cls in shape.classes]
    bare = [word for word, cls in shape.classes if not any(key.needed for key in keys_of(cls).values())]
    return {"oneOf": whole + [{"enum": bare}] * bool(bare)}


def _quantity(shape: Quantity | Reading) -> Schema:
    meaning = (
        expected(shape) if str(shape.bound) == str(Bound()) else f"{expected(shape)}; {shape.bound} {shape.si}".strip()
    )
    if shape.si:
        return {**_text(pattern(rf"{NUMBER} ?{UNIT}")), "description": meaning}
    text = _text(pattern(rf"{NUMBER}(?: ?{UNIT})?"))
    return {"anyOf": [{"type": "number", **_limits(shape.bound)}, text], "description": meaning}


def _text(pattern: str) -> Schema:
    return {"type": "string", "pattern": pattern}


def _limits(bound: Bound) -> Schema:
    words = ("exclusiveMinimum", "exclusiveMaximum") if bound.open else ("minimum", "maximum")
    return {
        word: limit for word, limit in zip(words, (bound.least, bound.most), strict=True) if abs(limit) != float("inf")
    }

"""What a field of a definition may hold, worked out from its annotation alone.

The builder, the descriptions in complaints and the schema all follow these shapes, so that a new
field or a new definition can be read, explained and published without a line about it here.
"""

from collections.abc import Mapping
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass, replace
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np

from balance.evidence.estimate import Estimate
from balance.quantities import Beside, Bound, Most, Typical, Unit, mark
from designs.design.columns import Column
from designs.reading.complaints import fold
from shafts.bearings.bearing import STOCK


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with a unit."""

    si: str
    bound: Bound


@dataclass(frozen=True, slots=True)
class Reading:
    """A number with a unit as it was found, with its doubt."""

    si: str
    bound: Bound


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number."""

    bound: Bound


@dataclass(frozen=True, slots=True)
class Flag:
    """Yes or no."""


@dataclass(frozen=True, slots=True)
class Words:
    """Any text."""


@dataclass(frozen=True, slots=True)
class Raw:
    """Anything at all, kept as it was written."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One of some words."""

    values: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Fixed:
    """A list of set length, each place with its own shape."""

    items: tuple["Shape", ...]


@dataclass(frozen=True, slots=True)
class Series:
    """A list of any length, or up to `most`."""

    item: "Shape"
    most: int | None = None


@dataclass(frozen=True, slots=True)
class Named:
    """Entries under free names, of any number or up to `most`."""

    item: "Shape"
    most: int | None = None


@dataclass(frozen=True, slots=True)
class Record:
    """A definition; its fields are the keys."""

    cls: type


@dataclass(frozen=True, slots=True)
class Tagged:
    """One of several definitions, told apart by the word under the key `tag`."""

    tag: str
    classes: tuple[tuple[str, type], ...]


@dataclass(frozen=True, slots=True)
class Optional:
    """Something that may also be none."""

    item: "Shape"


@dataclass(frozen=True, slots=True)
class Either:
    """One of several shapes, told apart by which of them fits."""

    items: tuple["Shape", ...]


Shape = (
    Quantity
    | Reading
    | Whole
    | Flag
    | Words
    | Raw
    | Choice
    | Fixed
    | Series
    | Named
    | Record
    | Tagged
    | Optional
    | Either
)


@dataclass(frozen=True, slots=True)
class Key:
    """A field of a definition as its file sees it."""

    name: str
    shape: Shape
    needed: bool
    default: Any
    meaning: str
    typical: Typical | None = None

    @property
    def asked_for(self) -> bool:
        """Whether a file must give it: it has no default, and nothing usual can be taken."""
        return self.needed and self.typical is None


@cache
def keys_of(cls: type) -> dict[str, Key]:
    """Return the keys of a definition by name, in the order of its fields."""
    hints = get_type_hints(cls, include_extras=True)
    kept = (each for each in fields(cls) if mark(hints[each.name], Beside) is None)
    return {each.name: _key(each, hints[each.name]) for each in kept}


def _key(of: Field, hint: Any) -> Key:
    default = of.default if of.default_factory is MISSING else of.default_factory()
    meaning = next((mark for mark in getattr(hint, "__metadata__", ()) if isinstance(mark, str)), "")
    value, typical = (None if default is MISSING else default), mark(hint, Typical)
    return Key(of.name, shape_of(hint), default is MISSING, value, meaning, typical)


def key_named(cls: type, written: str) -> Key | None:
    """Return the key of a definition that a file means by what is written, None if there is no such key."""
    keys = keys_of(cls)
    return keys.get(written) or keys.get(fold(written))


ANY = Bound()


def shape_of(annotation: Any, bound: Bound = ANY) -> Shape:
    """Return the shape that an annotation describes; a bound on the whole is a bound on its numbers."""
    if get_origin(annotation) is Annotated:
        return _annotated(annotation, bound)
    if get_origin(annotation) in (Union, UnionType):
        return _union(get_args(annotation), bound)
    if get_origin(annotation) is Literal:
        return Choice(get_args(annotation))
    if get_origin(annotation) is tuple:
        return _tuple(get_args(annotation), bound)
    if get_origin(annotation) is dict:
        return Named(shape_of(get_args(annotation)[1], bound))
    return _single(annotation, bound)


def _annotated(annotation: Any, bound: Bound) -> Shape:
    marks = annotation.__metadata__
    bound = next((each for each in marks if isinstance(each, Bound)), bound)
    unit = next((each for each in marks if isinstance(each, Unit)), None)
    kind = get_args(annotation)[0]
    if unit is None:
        shape = shape_of(kind, bound)
    else:
        shape = Reading(unit.si, bound) if kind is Estimate else Quantity(unit.si, bound)
    most = next((each.count for each in marks if isinstance(each, Most)), None)
    return shape if most is None else _up_to(shape, most)


def _up_to(shape: Shape, most: int) -> Shape:
    if isinstance(shape, Optional):
        return Optional(_up_to(shape.item, most))
    assert isinstance(shape, Series | Named)
    return replace(shape, most=most)


def _tuple(items: tuple[Any, ...], bound: Bound) -> Shape:
    if len(items) == 2 and items[1] is Ellipsis:
        return Series(shape_of(items[0], bound))
    return Fixed(tuple(shape_of(each, bound) for each in items))


def _single(annotation: Any, bound: Bound) -> Shape:
    if isinstance(annotation, type) and is_dataclass(annotation):
        return Record(annotation)
    simple: dict[Any, Shape] = {
        bool: Flag(),
        str: Words(),
        int: Whole(bound),
        float: Quantity("", bound),
        np.ndarray: Raw(),
        Any: Raw(),
    }
    if annotation not in simple:
        raise TypeError(f"no file can hold a field of type {annotation!r}")
    return simple[annotation]


def _union(members: tuple[Any, ...], bound: Bound) -> Shape:
    shapes = tuple(shape_of(each, bound) for each in members if each is not NoneType)
    shape = shapes[0] if len(shapes) == 1 else _tagged(shapes) or Either(shapes)
    return Optional(shape) if NoneType in members else shape


def _tagged(shapes: tuple[Shape, ...]) -> Tagged | None:
    """Return the shapes told apart by a tag if all are definitions with a key that has one word in each."""
    classes = [each.cls for each in shapes if isinstance(each, Record)]
    if len(classes) < len(shapes):
        return None
    for name in keys_of(classes[0]):
        tagged = {word: cls for cls in classes if (word := _only_word(keys_of(cls).get(name)))}
        if len(tagged) == len(classes):
            return Tagged(name, tuple(tagged.items()))
    return None


def _only_word(key: Key | None) -> str | None:
    return key.shape.values[0] if key and isinstance(key.shape, Choice) and len(key.shape.values) == 1 else None


def shorthand_of(cls: type) -> Key | None:
    """Return the key that a single value stands for where this definition is wanted, if it names one."""
    name = getattr(cls, "shorthand", None)
    return keys_of(cls)[name] if name else None


def in_order_of(cls: type) -> tuple[str, ...]:
    """Return the keys whose values a list gives in this order where the definition is wanted; none for most."""
    return getattr(cls, "in_order", ())


def columns_of(cls: type) -> Mapping[str, Column]:
    """Return the columns of the table that may give this definition's readings; none for most."""
    return getattr(cls, "columns", {})


def stock_of(cls: type) -> Mapping[str, Any]:
    """Return what may be named where this definition is wanted, in place of its entries, if it comes by designation."""
    return STOCK.get(cls, {})


def is_word_of(shape: Shape, text: str) -> bool:
    """Return whether a text is one of the words that tell definitions apart."""
    return isinstance(shape, Tagged) and any(fold(word) == fold(text) for word, _ in shape.classes)

"""What a definition may hold of other definitions: one of a kind, a row of them, some by name, or a table of numbers.

Rows may come as lists, a part of one number as that number. Rows, names and tables are copied and shut, so that nobody
changes a definition afterwards.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from types import UnionType
from typing import Annotated, Any, NoReturn, Union, get_args, get_origin

import numpy as np

from balance.errors import Complaint
from balance.values import Kind, Unfit, as_kind, kind_of, taken_up


class ReadOnly(dict):
    """Members by name, as a definition holds them."""

    def _refused(self, *_: Any) -> NoReturn:
        raise TypeError("a definition is not changed: make another one by dataclasses.replace")

    __setitem__ = __delitem__ = __ior__ = update = pop = popitem = clear = setdefault = _refused  # type: ignore[assignment]

    def __reduce__(self) -> tuple[type, tuple[dict]]:
        return type(self), (dict(self),)


@dataclass(frozen=True)
class Holds:
    """What a field takes.

    types : of which a member may be.   plain : what a member of plain values may be.
    single, row, named, table : whether it may be one, a row, some by name, or an array of numbers.
    optional : whether it may be left out, as None.
    """

    types: tuple[type, ...]
    plain: Kind | None
    single: bool
    row: bool
    named: bool
    table: bool
    optional: bool


def settled_members(cls: type, values: dict[str, Any]) -> tuple[dict[str, Any], list[Complaint]]:
    """Return the members of a definition that change as it takes them up, and what is of no use."""
    pending = ((name, holds) for name, holds in held(cls)
               if not (holds.single and isinstance(values[name], holds.types)))  # fmt: skip
    return taken_up(values, pending, _settled)


@cache
def held(cls: type) -> tuple[tuple[str, Holds], ...]:
    """Return what each field takes that takes more than plain values; looked up once for each class."""
    pairs = ((each.name, _holds(each.type)) for each in fields(cls) if kind_of(each.type) is None)
    return tuple((name, holds) for name, holds in pairs if holds is not None)


def _holds(annotation: Any) -> Holds | None:
    """Return what a field takes; None where it takes anything at all."""
    leaves = list(_leaves(annotation))
    by = {way: [leaf for leaf, found in leaves if found == way] for way in ("single", "row", "named")}
    plain = [kind for leaf in by["named"] if (kind := kind_of(leaf)) is not None]
    known = (str, type(None), np.ndarray)
    types = tuple(dict.fromkeys(leaf for leaf, _ in leaves if isinstance(leaf, type) and leaf not in known[1:]))
    if any(not (leaf in known or is_dataclass(leaf) or kind_of(leaf) is not None) for leaf, _ in leaves):
        return None
    single = [leaf for leaf in by["single"] if leaf in types]
    return Holds(types, next(iter(plain), None), bool(single), bool(by["row"]), bool(by["named"]),
                 np.ndarray in by["single"], type(None) in by["single"])  # fmt: skip


def _leaves(annotation: Any, way: str = "single") -> Iterator[tuple[Any, str]]:
    """Yield the types of an annotation, and whether each stands by itself, in a row or by name."""
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        yield from _leaves(inner[0], way)
    elif origin in (Union, UnionType):
        for each in inner:
            yield from _leaves(each, way)
    elif origin is tuple and way == "single":
        for each in inner:
            if each is not Ellipsis:
                yield from _leaves(each, "row")
    elif origin is dict and way == "single" and inner[0] is str and kind_of(inner[1]) is None:
        yield from _leaves(inner[1], "named")
    elif origin is dict and way == "single" and inner[0] is str:
        yield inner[1], "named"
    else:
        yield annotation, way


def _settled(value: Any, holds: Holds) -> Any:
    """Return a field's value as a definition holds it; raises Unfit."""
    if value is None and holds.optional:
        return value
    if holds.table:
        return _table(value)
    if holds.named and isinstance(value, Mapping):
        members = {name: _member(each, holds, (str(name),)) for name, each in value.items()}
        same = isinstance(value, ReadOnly) and all(value[name] is new for name, new in members.items())
        return value if same else ReadOnly(members)
    if holds.row and isinstance(value, list | tuple):
        row = tuple(_member(each, holds, (str(index),)) for index, each in enumerate(value))
        return value if isinstance(value, tuple) and all(map(_is, value, row)) else row
    if holds.single:
        return _member(value, holds, ())
    raise Unfit((), _read(value), _allowed(holds))


def _is(one: Any, other: Any) -> bool:
    return one is other


def _member(value: Any, holds: Holds, where: tuple[str, ...]) -> Any:
    """Return one member; a number or a list stands for a part that a file may give by that alone."""
    if holds.plain is not None:
        try:
            return as_kind(value, holds.plain)
        except Unfit as error:
            raise Unfit((*where, *error.where), error.read, error.allowed) from None
    if isinstance(value, holds.types):
        return value
    short = next((kind for kind in holds.types if hasattr(kind, "shorthand")), None)
    if short is not None and isinstance(value, int | float | np.number | np.ndarray) and not isinstance(value, bool):
        return short(**{short.shorthand: value})
    listed = next((kind for kind in holds.types if hasattr(kind, "in_order")), None)
    if listed is not None and isinstance(value, list | tuple) and len(value) == len(listed.in_order):
        return listed(**dict(zip(listed.in_order, value, strict=True)))
    raise Unfit(where, _read(value), " or ".join(map(_name, holds.types)))


def _table(value: Any) -> np.ndarray:
    """Return a table of numbers as an array that nobody changes."""
    try:
        array = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise Unfit((), _read(value), "an array of numbers") from None
    if not array.flags.writeable and array.base is None:
        return array
    copy = np.array(array)
    copy.flags.writeable = False
    return copy


def _allowed(holds: Holds) -> str:
    names = " or ".join(map(_name, holds.types))
    ways = [f"a row of {names}"] * holds.row + [f"{names or 'values'} by name, as a dict"] * holds.named
    return " or ".join([names] * holds.single + ways)


def _name(kind: type) -> str:
    return "a text" if kind is str else kind.__name__


def _read(value: Any) -> str:
    return f"{value!r:.60}" if isinstance(value, str | int | float | bool | None) else f"a {type(value).__name__}"

"""What a value in a definition may be, whatever its Python type: a number, one for each option, a word, yes or no.

Lists, tuples, numpy's scalars and arrays are all read by what they hold. Arrays are copied and shut, so that nobody
changes a definition afterwards.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, fields
from functools import cache
from types import UnionType
from typing import Annotated, Any, Literal, TypeVar, Union, get_args, get_origin

import numpy as np

from balance.errors import Complaint

Taken = TypeVar("Taken")  # what tells what a field takes
ONE_OR_MANY = "one number, or an array of one for each option"


@dataclass(frozen=True, slots=True)
class Kind:
    """What a field takes.

    number, whole, flag : whether it may be a number, a whole one, or yes or no.   words : which words it may be.
    several : whether it may be a row of such values.   single : whether it may be one by itself.
    inner : what each of a row may be.   count : how many make a row; None for any number.
    optional : whether it may be left out, as None.
    """

    number: bool
    whole: bool
    flag: bool
    words: tuple[str, ...]
    several: bool
    single: bool
    inner: "Kind | None"
    count: int | None
    optional: bool


@dataclass(frozen=True)
class Unfit(Exception):
    """A value of the wrong kind: where in its field, what was read, what is allowed."""

    where: tuple[str, ...]
    read: str
    allowed: str


def settled(cls: type, values: dict[str, Any]) -> tuple[dict[str, Any], list[Complaint]]:
    """Return the values of a definition's fields as it is to hold them, those that change, and what is of no use."""
    pending = ((name, kind) for name, kind in kinds(cls)
               if not (type(values[name]) is float and kind.number and kind.single))  # fmt: skip
    return taken_up(values, pending, as_kind)


def taken_up(
    values: dict[str, Any], pending: Iterable[tuple[str, Taken]], settle: Callable[[Any, Taken], Any]
) -> tuple[dict[str, Any], list[Complaint]]:
    """Return the values of some fields that change as a definition takes them up, and what is of no use.

    settle : returns a value as a field is to hold it, the very same if that is it; raises Unfit.
    """
    changed: dict[str, Any] = {}
    wrong: list[Complaint] = []
    for name, holds in pending:
        try:
            new = settle(values[name], holds)
        except Unfit as error:
            wrong.append(Complaint((name, *error.where), error.read, error.allowed))
            continue
        if new is not values[name]:
            changed[name] = new
    return changed, wrong


@cache
def kinds(cls: type) -> tuple[tuple[str, Kind], ...]:
    """Return what each field of plain values takes; looked up once for each class."""
    pairs = ((each.name, kind_of(each.type)) for each in fields(cls))
    return tuple((name, kind) for name, kind in pairs if kind is not None)


def kind_of(annotation: Any) -> Kind | None:
    """Return what a field takes; None where it takes definitions, tables of its own, or anything at all."""
    leaves = list(_leaves(annotation))
    plain = [leaf for leaf, _ in leaves if leaf in (float, int, bool, str, np.ndarray, type(None)) or _words(leaf)]
    if len(plain) < len(leaves) or all(leaf is np.ndarray for leaf in plain):
        return None
    words = tuple(word for leaf in plain for word in _words(leaf))
    if str in plain and not words:
        return None
    several = any(inside for _, inside in leaves)
    single = any(not inside for leaf, inside in leaves if leaf is not type(None))
    number, whole, flag = (kind in plain for kind in (float, int, bool))
    members = _row_of(annotation)
    inner, count = (kind_of(members[0]), None if Ellipsis in members else len(members)) if members else (None, None)
    return Kind(number, whole, flag, words, several, single, inner, count, type(None) in plain)


def _row_of(annotation: Any) -> tuple[Any, ...]:
    """Return the annotations of the members of a row, which are all alike; none where there is no row."""
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is tuple:
        return inner
    choices = inner[:1] if origin is Annotated else inner if origin in (Union, UnionType) else ()
    return next((row for row in map(_row_of, choices) if row), ())


def _leaves(annotation: Any, inside: bool = False) -> Iterator[tuple[Any, bool]]:
    """Yield the plain types of an annotation, and whether each stands within a tuple."""
    origin = get_origin(annotation)
    if origin is Annotated:
        yield from _leaves(get_args(annotation)[0], inside)
    elif origin in (Union, UnionType):
        for each in get_args(annotation):
            yield from _leaves(each, inside)
    elif origin is tuple:
        for each in get_args(annotation):
            if each is not Ellipsis:
                yield from _leaves(each, True)
    else:
        yield annotation, inside


def _words(leaf: Any) -> tuple[str, ...]:
    return tuple(each for each in get_args(leaf) if isinstance(each, str)) if get_origin(leaf) is Literal else ()


def as_kind(value: Any, kind: Kind) -> Any:
    """Return a value as a definition holds it; raises Unfit."""
    if value is None and kind.optional:
        return value
    if isinstance(value, np.ndarray) and value.ndim and kind.several and not kind.single:
        return _row(tuple(value.tolist()), kind)  # never one number for each option: of such a row each is a number
    if isinstance(value, list | tuple) and (kind.several or isinstance(value, tuple)):
        return _row(value, kind)
    if not kind.single:
        raise Unfit((), f"{value!r:.40}", _allowed(kind))
    if isinstance(value, bool | np.bool_):
        return _flag(bool(value), kind)
    if isinstance(value, str):
        if value in kind.words:
            return value
        raise Unfit((), repr(value), _allowed(kind))
    if not (kind.number or kind.whole):
        raise Unfit((), f"{value!r:.40}", _allowed(kind))
    return _number(value, kind)


def _flag(value: bool, kind: Kind) -> bool:
    if kind.flag:
        return value
    raise Unfit((), "yes" if value else "no", _allowed(kind))


def _row(value: Any, kind: Kind) -> tuple:
    if kind.inner is None or (kind.count is not None and len(value) != kind.count):
        raise Unfit((), f"a row of {len(value)} values", _allowed(kind))
    new = []
    for index, each in enumerate(value):
        try:
            new.append(
                each if type(each) is float and kind.inner.number and kind.inner.single else as_kind(each, kind.inner)
            )
        except Unfit as error:
            raise Unfit((str(index), *error.where), error.read, error.allowed) from None
    same = isinstance(value, tuple) and all(one is other for one, other in zip(value, new, strict=True))
    return value if same else tuple(new)


def _number(value: Any, kind: Kind) -> Any:
    array = np.asarray(value)
    if array.dtype.kind not in "iuf" or array.ndim > 1 or array.size == 0:
        read = f"an array of shape {array.shape}" if array.dtype.kind in "iufc" and array.ndim else f"{value!r:.40}"
        raise Unfit((), read, _allowed(kind))
    if kind.whole and not kind.number and np.all(np.isfinite(array)) and np.any(array % 1):
        raise Unfit((), f"{value!r:.40}", "a whole number")
    if array.ndim:
        return _shut(array, kind)
    if isinstance(value, int) and kind.whole:
        return value
    return int(array) if kind.whole and not kind.number and np.isfinite(array) else float(array)


def _shut(array: np.ndarray, kind: Kind) -> np.ndarray:
    """Return a copy that nobody can change, or the array itself if nobody could."""
    wanted = array.dtype if kind.whole and not kind.number else np.dtype(float)
    if not array.flags.writeable and array.base is None and array.dtype == wanted:
        return array
    copy = np.array(array, dtype=wanted)
    copy.flags.writeable = False
    return copy


def _allowed(kind: Kind) -> str:
    words = [] if not kind.single else [ONE_OR_MANY] if kind.number else ["a whole number"] if kind.whole else []
    words += ["yes or no"] if kind.flag else []
    words += [f"one of {', '.join(kind.words)}"] if kind.words else []
    if kind.inner is not None:
        words.append(f"a row of {'values' if kind.count is None else kind.count}: {_allowed(kind.inner)}")
    return " or ".join(words) or "nothing"

"""What a value in a definition may be, whatever its Python type: a number, one for each option, a word, yes or no.

Lists, tuples, numpy's scalars and arrays are all read by what they hold. Arrays are copied and shut, so that nobody
changes a definition afterwards.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields
from functools import cache
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import numpy as np

from balance.errors import Complaint

ONE_OR_MANY = "one number, or an array of one for each option"


@dataclass(frozen=True, slots=True)
class Kind:
    """What a field takes.

    number, whole, flag : whether it may be a number, a whole one, or yes or no.   words : which words it may be.
    several : whether it is a row of such values.   optional : whether it may be left out, as None.
    """

    number: bool
    whole: bool
    flag: bool
    words: tuple[str, ...]
    several: bool
    optional: bool


@dataclass(frozen=True)
class Unfit(Exception):
    """A value of the wrong kind: where in its field, what was read, what is allowed."""

    where: tuple[str, ...]
    read: str
    allowed: str


def settled(cls: type, values: dict[str, Any]) -> tuple[dict[str, Any], list[Complaint]]:
    """Return the values of a definition's fields as it is to hold them, those that change, and what is of no use."""
    changed: dict[str, Any] = {}
    wrong: list[Complaint] = []
    for name, kind in kinds(cls):
        value = values[name]
        if type(value) is float and kind.number:
            continue
        try:
            new = _settled(value, kind)
        except Unfit as error:
            wrong.append(Complaint((name, *error.where), error.read, error.allowed))
            continue
        if new is not value:
            changed[name] = new
    if not wrong:
        wrong = list(_of_unlike_counts({**values, **changed}))
    return changed, wrong


@cache
def kinds(cls: type) -> tuple[tuple[str, Kind], ...]:
    """Return what each field of plain values takes; looked up once for each class."""
    pairs = ((each.name, _kind(each.type)) for each in fields(cls))
    return tuple((name, kind) for name, kind in pairs if kind is not None)


def _kind(annotation: Any) -> Kind | None:
    """Return what a field takes; None where it takes definitions, tables of its own, or anything at all."""
    leaves = list(_leaves(annotation))
    plain = [leaf for leaf, _ in leaves if leaf in (float, int, bool, str, np.ndarray, type(None)) or _words(leaf)]
    if len(plain) < len(leaves) or all(leaf is np.ndarray for leaf in plain):
        return None
    words = tuple(word for leaf in plain for word in _words(leaf))
    if str in plain and not words:
        return None
    several = any(inside for _, inside in leaves)
    return Kind(float in plain, int in plain, bool in plain, words, several, type(None) in plain)


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


def _settled(value: Any, kind: Kind) -> Any:
    """Return a value as a definition holds it; raises Unfit."""
    if value is None and kind.optional:
        return value
    if isinstance(value, list | tuple) and (kind.several or isinstance(value, tuple)):
        return _row(value, kind)
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
    if not kind.several:
        raise Unfit((), f"a row of {len(value)} values", _allowed(kind))
    new = []
    for index, each in enumerate(value):
        try:
            new.append(each if type(each) is float else _settled(each, kind))
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
    words = [ONE_OR_MANY] if kind.number else ["a whole number"] if kind.whole else []
    words += ["yes or no"] if kind.flag else []
    words += [f"one of {', '.join(kind.words)}"] if kind.words else []
    return (" or ".join(words) or "nothing") if not kind.several else "a row: " + " or ".join(words)


def _of_unlike_counts(values: dict[str, Any]) -> Iterator[Complaint]:
    """Yield a complaint where arrays in one definition are not of as many options."""
    counts = {name: len(value) for name, value in values.items() if isinstance(value, np.ndarray) and value.ndim == 1}
    first = next(iter(counts.values()), None)
    for name, count in counts.items():
        if count != first:
            yield Complaint((name,), f"{count} options", f"{first}, as many as in {next(iter(counts))}")

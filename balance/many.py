"""Designs that hold many options at once: planting numbers, picking options, and telling which are legal.

Every number of a definition may be an array (options,). What does not vary stays a single number, so
that it is worked out once for all. Nothing here checks what it makes: `legal` does, for all options.
"""

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from typing import Any, TypeVar

import numpy as np

from balance.errors import Complaint
from balance.quantities import Bound, Scalar, is_table, mark

Part = TypeVar("Part")
Places = np.ndarray | slice
LEAVES = (float, str, int, type(None))


def rebuilt(part: Any, change: Callable[[Any, Any], Any], annotation: Any = None) -> Any:
    """Return a part of a design with every single value in it changed, unchecked.

    change : called with each value and its annotation. What stays the same inside is not copied.
    """
    if isinstance(part, LEAVES):  # most of a design; asked first, since it is quick
        return change(part, annotation)
    if is_dataclass(part) and not isinstance(part, type):
        return _rebuilt_definition(part, change)
    if isinstance(part, tuple):
        new = tuple(rebuilt(each, change, annotation) for each in part)
        return part if all(one is other for one, other in zip(part, new, strict=True)) else new
    if isinstance(part, dict):
        named = {name: rebuilt(each, change, annotation) for name, each in part.items()}
        return part if all(named[name] is each for name, each in part.items()) else named
    return change(part, annotation)


def _rebuilt_definition(part: Part, change: Callable[[Any, Any], Any]) -> Part:
    values = {}
    for name, field in part.__dataclass_fields__.items():  # type: ignore[attr-defined]
        value = getattr(part, name)
        new = rebuilt(value, change, field.type)
        if new is not value:
            values[name] = new
    return unchecked(part, values) if values else part


def unchecked(part: Part, values: dict[str, Any]) -> Part:
    """Return a definition with other values in some fields, without the checks that its making does."""
    made = object.__new__(type(part))
    made.__dict__.update({name: getattr(part, name) for name in part.__dataclass_fields__} | values)  # type: ignore[attr-defined]
    return made


def planted(part: Any, targets: tuple[tuple[str, ...], ...], values: Scalar) -> Any:
    """Return a design with a number or an array (options,) at each of some paths in it, unchecked (see legal)."""
    for keys in targets:
        part = _put(part, keys, values)
    return part


def _put(part: Any, keys: tuple[str, ...], values: Scalar) -> Any:
    if not keys:
        return values
    first, *rest = keys
    if isinstance(part, tuple):
        return tuple(_put(each, tuple(rest), values) if str(n) == first else each for n, each in enumerate(part))
    if isinstance(part, dict):
        return part | {first: _put(part[first], tuple(rest), values)}
    return unchecked(part, {first: _put(getattr(part, first), tuple(rest), values)})


def options_of(part: Any) -> int | None:
    """Return how many options a design holds; None if it is a single one."""
    return next((len(values) for values, _ in _arrays(part)), None)


def picked(part: Part, places: Places) -> Part:
    """Return some options of a design that holds many: by a slice, a mask, or their numbers."""
    return rebuilt(part, lambda value, kind: value[places] if _of_options(value, kind) else value)


def one(part: Part, place: int) -> Part:
    """Return one option as a design of plain numbers."""

    def change(value: Any, kind: Any) -> Any:
        return value[place].item() if _of_options(value, kind) else value

    return rebuilt(part, change)


def _of_options(value: Any, annotation: Any) -> bool:
    return isinstance(value, np.ndarray) and not is_table(annotation)


def _arrays(part: Any) -> Iterator[tuple[np.ndarray, Any]]:
    """Yield every array in a design with the annotation of its field."""
    parts: list[tuple[Any, Any]] = [(part, None)]
    while parts:
        each, annotation = parts.pop()
        if isinstance(each, LEAVES):
            continue
        if isinstance(each, np.ndarray):
            if not is_table(annotation):
                yield each, annotation
        elif isinstance(each, tuple | dict):
            parts += [(inner, annotation) for inner in (each.values() if isinstance(each, dict) else each)]
        elif is_dataclass(each) and not isinstance(each, type):
            parts += [(getattr(each, name), field.type) for name, field in each.__dataclass_fields__.items()]


def legal(design: Any, count: int) -> np.ndarray:
    """Return which options of a design are legal, (options,): the same checks as for one design, for all at once."""
    fine = np.ones(count, dtype=bool)
    for values, annotation in _arrays(design):
        fine &= np.isfinite(values) & (mark(annotation, Bound) or Bound()).holds(values)
    inside = np.flatnonzero(fine)
    if len(inside):
        fine[inside] = _agreeing(picked(design, inside) if len(inside) < count else design, len(inside))
    return fine


def _agreeing(design: Any, count: int) -> np.ndarray:
    fine = np.ones(count, dtype=bool)
    for part in _definitions(design):
        if hasattr(part, "disagreements") and next(_arrays(part), None) is not None:
            fine &= ~_disagreeing(part, count)
    return fine


def _definitions(part: Any) -> Iterator[Any]:
    """Yield every definition in a design, itself included."""
    if is_dataclass(part) and not isinstance(part, type):
        yield part
        part = [getattr(part, each.name) for each in fields(part)]
    if isinstance(part, dict):
        part = part.values()
    if isinstance(part, str) or not hasattr(part, "__iter__") or isinstance(part, np.ndarray):
        return
    for each in part:
        yield from _definitions(each)


def _disagreeing(part: Any, count: int) -> np.ndarray:
    """Return for which options a definition complains; where a complaint does not say, halving finds out."""
    with np.errstate(all="ignore"):
        complaints: list[Complaint] = list(part.disagreements())
    wrong = np.zeros(count, dtype=bool)
    for each in complaints:
        if each.wrong is None or each.wrong.shape != (count,):
            return _by_halves(part, count)
        wrong |= each.wrong
    return wrong


def _by_halves(part: Any, count: int) -> np.ndarray:
    if count == 1:
        return np.ones(1, dtype=bool)
    middle = count // 2
    halves = ((slice(0, middle), middle), (slice(middle, count), count - middle))
    return np.concatenate([_disagreeing(picked(part, places), size) for places, size in halves])

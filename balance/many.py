"""Designs that hold many options at once: planting numbers, picking options, and telling which are legal.

Every number of a definition may be an array (options,). What does not vary stays a single number, so
that it is worked out once for all. Nothing here checks what it makes: `legal` does, for all options.
"""

from collections.abc import Callable, Iterator
from typing import Any, TypeVar, cast

import numpy as np

from balance.errors import BadDesign, Complaint
from balance.options import holding, holds_options
from balance.quantities import Bound, Scalar, mark

Part = TypeVar("Part")
Places = np.ndarray | slice


def _changed(part: Any, change: Callable[[np.ndarray], Any], annotation: Any = None) -> Any:
    """Return a part of a design with every array of options in it changed, unchecked; all else is not copied."""
    if not holds_options(part, annotation):
        return part
    if isinstance(part, np.ndarray):
        return change(part)
    if isinstance(part, tuple):
        return tuple(_changed(each, change, annotation) for each in part)
    if isinstance(part, dict):
        return {name: _changed(each, change, annotation) for name, each in part.items()}
    return unchecked(part, {name: _changed(getattr(part, name), change, kind) for name, kind in holding(part)})


def unchecked(part: Part, values: dict[str, Any]) -> Part:
    """Return a definition with other values in some fields, without the checks that its making does."""
    made = object.__new__(type(part))
    made.__dict__.update({name: getattr(part, name) for name in part.__dataclass_fields__} | values)  # type: ignore[attr-defined]
    return made


def planted(part: Any, targets: tuple[tuple[str, ...], ...], values: Scalar) -> Any:
    """Return a design with a number or an array (options,) at each of some paths in it, unchecked (see legal)."""
    for keys in targets:
        part = _replaced_at(part, keys, values)
    return part


def _replaced_at(part: Any, keys: tuple[str, ...], values: Scalar) -> Any:
    if not keys:
        return values
    first, *rest = keys
    if isinstance(part, tuple):
        return tuple(
            _replaced_at(each, tuple(rest), values) if str(n) == first else each for n, each in enumerate(part)
        )
    if isinstance(part, dict):
        return part | {first: _replaced_at(part[first], tuple(rest), values)}
    return unchecked(part, {first: _replaced_at(getattr(part, first), tuple(rest), values)})


def options_of(part: Any) -> int | None:
    """Return how many options a design holds; None if it is a single one."""
    return next((len(each) for each, _ in _holding(part) if isinstance(each, np.ndarray)), None)


def refuse_many(design: Any, what: str) -> None:
    """Raise BadDesign if a design holds many options, in words that name what is worked out for a single one alone."""
    count = options_of(design)
    if count is not None:
        raise BadDesign(
            Complaint((), f"{count} options", f"a single design for {what}; balance.many.one(design, 0) is one")
        )


def picked(part: Part, places: Places) -> Part:
    """Return some options of a design that holds many: by a slice, a mask, or their numbers."""
    return cast(Part, _changed(part, lambda values: values[places]))


def one(part: Part, option: int) -> Part:
    """Return one option, by its number from 0, as a design of plain numbers; raises ValueError for none of them."""
    count = options_of(part)
    if count is not None and not -count <= option < count:
        raise ValueError(f"option: read {option}; allowed: 0 to {count - 1}")
    return cast(Part, _changed(part, lambda values: values[option].item()))


def _holding(part: Any, annotation: Any = None) -> Iterator[tuple[Any, Any]]:
    """Yield every array of options in a design, and every definition that holds one, with its field's annotation."""
    if not holds_options(part, annotation):
        return
    if isinstance(part, tuple | dict):
        for each in part.values() if isinstance(part, dict) else part:
            yield from _holding(each, annotation)
        return
    yield part, annotation
    if not isinstance(part, np.ndarray):
        for name, kind in holding(part):
            yield from _holding(getattr(part, name), kind)


def legal(design: Any, count: int) -> np.ndarray:
    """Return which options of a design are legal, (options,): the same checks as for one design, for all at once."""
    fine = np.ones(count, dtype=bool)
    for values, annotation in _holding(design):
        if isinstance(values, np.ndarray):
            fine &= np.isfinite(values) & (mark(annotation, Bound) or Bound()).holds(values)
    inside = np.flatnonzero(fine)
    if len(inside):
        fine[inside] = _agreeing(picked(design, inside) if len(inside) < count else design, len(inside))
    return fine


def _agreeing(design: Any, count: int) -> np.ndarray:
    fine = np.ones(count, dtype=bool)
    for part, _ in _holding(design):
        if hasattr(part, "disagreements"):
            fine &= ~_disagreeing(part, count)
    return fine


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

"""Where a design holds arrays of options, and whether they are all of as many."""

from collections.abc import Iterator
from typing import Any, get_args
from weakref import WeakKeyDictionary

import numpy as np

from balance.errors import Complaint

LEAVES = frozenset({float, str, int, bool, type(None)})


def holds_options(part: Any, annotation: Any = None) -> bool:
    """Return whether a part of a design holds an array of options anywhere."""
    if type(part) in LEAVES:  # asked first, since it is quick
        return False
    if isinstance(part, np.ndarray):
        return not is_table(annotation)
    if isinstance(part, tuple | dict):
        members = part.values() if isinstance(part, dict) else part
        return any(holds_options(each, annotation) for each in members if type(each) not in LEAVES)
    return hasattr(type(part), "__dataclass_fields__") and bool(holding(part))


def holding(part: Any) -> tuple[tuple[str, Any], ...]:
    """Return the fields of a definition that hold an array of options anywhere, by name, with their annotations.

    They are remembered, as a definition is frozen: most of a design holds none, and is then passed over at once.
    """
    known = _HOLDING.get(part)
    if known is None:
        every = ((name, getattr(part, name), field.type) for name, field in part.__dataclass_fields__.items())
        known = tuple((name, kind) for name, value, kind in every if holds_options(value, kind))
        _HOLDING[part] = known
    return known


_HOLDING: WeakKeyDictionary[Any, tuple[tuple[str, Any], ...]] = WeakKeyDictionary()


def unlike_counts(part: Any) -> Iterator[Complaint]:
    """Yield a complaint for every array of options in a design that is not of as many options as the first one."""
    first: tuple[str, int] | None = None
    for where, values in _arrays(part):
        first = first or (".".join(where), len(values))
        if len(values) != first[1]:
            yield Complaint(where, f"{len(values)} options", f"{first[1]}, as many as in {first[0]}")


def _arrays(part: Any, annotation: Any = None, where: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Yield every array of options in a design, with its path."""
    if not holds_options(part, annotation):
        return
    if isinstance(part, np.ndarray):
        yield where, part
    elif isinstance(part, tuple | dict):
        for name, each in part.items() if isinstance(part, dict) else enumerate(part):
            yield from _arrays(each, annotation, (*where, str(name)))
    else:
        for name, kind in holding(part):
            yield from _arrays(getattr(part, name), kind, (*where, name))


def is_table(annotation: Any) -> bool:
    """Return whether a field holds an array of its own, such as a drawing's corners, and never one of options."""
    return bool(annotation is np.ndarray or get_args(annotation)[:1] == (np.ndarray,))

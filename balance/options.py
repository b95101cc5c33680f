"""Where a design holds arrays of options, and whether they are all of as many."""

from collections.abc import Iterator
from dataclasses import is_dataclass
from typing import Any, get_args
from weakref import WeakSet

import numpy as np

from balance.errors import Complaint

LEAVES = (float, str, int, type(None))


def holds_options(part: Any, annotation: Any = None) -> bool:
    """Return whether a part of a design holds an array of options anywhere.

    Of a definition that holds none this is remembered: most of a design is one, and is then passed over at once.
    """
    if isinstance(part, LEAVES):  # asked first, since it is quick
        return False
    if isinstance(part, np.ndarray):
        return not is_table(annotation)
    if isinstance(part, tuple | dict):
        members = part.values() if isinstance(part, dict) else part
        return any(holds_options(each, annotation) for each in members)
    if not is_dataclass(part) or isinstance(part, type) or part in _WITHOUT:
        return False
    holds = any(holds_options(getattr(part, name), field.type) for name, field in part.__dataclass_fields__.items())
    if not holds:
        _WITHOUT.add(part)
    return holds


_WITHOUT: WeakSet[Any] = WeakSet()
"""Definitions that hold no options; being frozen, they never will."""


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
        for name, field in part.__dataclass_fields__.items():
            yield from _arrays(getattr(part, name), field.type, (*where, name))


def is_table(annotation: Any) -> bool:
    """Return whether a field holds an array of its own, such as a drawing's corners, and never one of options."""
    return bool(annotation is np.ndarray or get_args(annotation)[:1] == (np.ndarray,))

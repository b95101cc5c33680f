"""One design out of many: for the few things that cannot be worked out for many options at once."""

from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np

from balance.quantities import is_table

Definition = TypeVar("Definition")


def options_of(many: Any) -> tuple[int, ...]:
    """Return the options axes that any number of a definition has: () for a single design, else (options,)."""
    kinds = {each.name: each.type for each in fields(many)}
    return np.broadcast_shapes(*(_axes(kind, vars(many)[name]) for name, kind in kinds.items()))


def _axes(annotation: Any, value: Any) -> tuple[int, ...]:
    if isinstance(value, np.ndarray):
        return () if is_table(annotation) else value.shape
    if isinstance(value, tuple | dict):
        each = value.values() if isinstance(value, dict) else value
        return np.broadcast_shapes((), *(_axes(annotation, one) for one in each))
    return options_of(value) if is_dataclass(value) and not isinstance(value, type) else ()


def one_option(many: Definition, option: int) -> Definition:
    """Return one option of a definition whose numbers hold many: every number of shape (options,) gives its own.

    Tables that a definition holds (pressure over angle, drawings) are no options and are kept as they are.
    """
    kinds = {each.name: each.type for each in fields(many)}  # type: ignore[arg-type]
    present = {name: vars(many)[name] for name in kinds if vars(many)[name] is not None}
    changed = {name: _one(kinds[name], value, option) for name, value in present.items()}
    return replace(many, **changed)  # type: ignore[type-var]


def _one(annotation: Any, value: Any, option: int) -> Any:
    if isinstance(value, np.ndarray):
        return value[option] if value.ndim and not is_table(annotation) else value
    if isinstance(value, tuple):
        return tuple(_one(annotation, each, option) for each in value)
    if isinstance(value, dict):
        return {name: _one(annotation, each, option) for name, each in value.items()}
    return one_option(value, option) if is_dataclass(value) and not isinstance(value, type) else value

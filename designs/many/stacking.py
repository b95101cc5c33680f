"""Many designs that differ in numbers, as one design that holds them all, so that they are judged at once."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from balance.machine.machine import PressureTable
from balance.machine.materials import Material
from balance.many import unchecked
from designs.design import Design
from designs.many.chunks import together

NAMES = ("name",)  # a label, which no number follows from


def stacks(base: Design, designs: Sequence[Design]) -> list[tuple[list[int], Design]]:
    """Return the designs in groups that differ in numbers alone: their places, and one design with arrays (options,).

    No group is larger than what fits into memory together.

    base : what all of them were changed from; what they share with it is passed over quickly.
    """
    groups: dict[Any, list[int]] = defaultdict(list)
    for place, each in enumerate(designs):
        groups[_kind(each, base)].append(place)
    most = together(base)
    parts = (places[start : start + most] for places in groups.values() for start in range(0, len(places), most))
    return [(places, stacked([designs[place] for place in places])) for places in parts]


def _kind(part: Any, base: Any) -> Any:
    """Return what tells two designs apart that cannot stand in one array."""
    if part is base:
        return None
    if isinstance(part, float) and isinstance(base, float):
        return None
    if is_dataclass(part) and type(part) is type(base) and not isinstance(part, PressureTable):
        kinds = ((each.name, _kind(getattr(part, each.name), getattr(base, each.name)))
                 for each in fields(part) if not (isinstance(part, Material) and each.name in NAMES))  # fmt: skip
        return tuple(each for each in kinds if each[1] is not None) or None
    if isinstance(part, tuple) and isinstance(base, tuple) and len(part) == len(base):
        pairs = enumerate(zip(part, base, strict=True))
        return tuple((n, found) for n, each in pairs if (found := _kind(*each)) is not None) or None
    if isinstance(part, dict) and isinstance(base, dict) and part.keys() == base.keys():
        return tuple((name, found) for name in part if (found := _kind(part[name], base[name])) is not None) or None
    return _whole(part)


def _whole(part: Any) -> Any:
    """Return the kind of a part that the base has nothing like."""
    if isinstance(part, float):
        return "number"
    if is_dataclass(part) and not isinstance(part, type | PressureTable):
        return (type(part).__name__, *(_whole(getattr(part, each.name)) for each in fields(part)
                                       if not (isinstance(part, Material) and each.name in NAMES)))  # fmt: skip
    if isinstance(part, tuple):
        return tuple(map(_whole, part))
    if isinstance(part, dict):
        return tuple((name, _whole(each)) for name, each in part.items())
    return ("is", repr(part))


def stacked(parts: list[Any]) -> Any:
    """Return parts of one kind as one part with arrays (parts,) wherever their numbers differ."""
    first = parts[0]
    if all(part is first for part in parts):
        return first
    if isinstance(first, float):
        return np.array(parts) if any(part != first for part in parts) else first
    if is_dataclass(first) and not isinstance(first, type | PressureTable):
        values = {each.name: stacked([getattr(part, each.name) for part in parts]) for each in fields(first)}
        return unchecked(first, values)
    if isinstance(first, tuple):
        return tuple(stacked(list(each)) for each in zip(*parts, strict=True))
    if isinstance(first, dict):
        return {name: stacked([part[name] for part in parts]) for name in first}
    return first


def as_options(design: Design, count: int) -> Design:
    """Return a design whose fastest speed is an array, so that it counts as many options whatever varies."""
    return unchecked(design, {"speed": unchecked(design.speed, {"most": np.full(count, float(design.speed.most))})})

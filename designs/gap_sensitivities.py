"""What a small step in each number of a design buys: sensitivities, all found in one batch."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

import numpy as np

from balance.machine.materials import Material
from balance.many import legal, picked, planted
from balance.quantities import Unit, mark
from designs.design import Design
from designs.evaluate import Evaluation
from designs.shown import FORCE, INCH, OUNCE, imperial, said
from shafts.bearings.bearing import STOCK

STEPS = {"m": 1e-4, "kg": 1e-3, "rad": np.deg2rad(0.5), "Pa": 1e3, "K": 10.0, "m^3": 1e-6, "m^2": 1e-6}
"""One step by unit: what a workshop would call a small change. A factor where no absolute step fits all."""
DIAMETER = 1e-3  # m: stock comes in whole millimetres
IN_INCHES = STEPS | {"m": 5e-3 * INCH, "kg": 0.05 * OUNCE, "Pa": 0.1 * FORCE / INCH**2, "m^3": 0.1 * INCH**3,
                     "m^2": 1e-3 * INCH**2}  # fmt: skip
DIAMETER_IN_INCHES = INCH / 16
"""The same for who thinks in inches: 5 thou, and stock in sixteenths."""
SHARE = 0.05
WHOLE = (Material, *STOCK)  # these are chosen as they come, not moved by steps
PLAYS = ("play", "guide_play", "axial_play", "backlash", "clearance")  # nobody opens a gap by looser fits
SUBJECTS = ("cranks", "yokes", "shafts", "gas", "fits", "flywheel", "counterweights")

Path = tuple[str, ...]


@dataclass(frozen=True)
class Bought:
    """What one step of one entry does to the least gap, m; `step` in words, its sign the one that opens the gap."""

    entry: str
    step: str
    gained: float


def gap_steps(design: Design) -> list[Bought]:
    """Return every entry of one design by how much a step of it opens its least gap at the fastest speed, best first.

    All steps are evaluated as one batch, each option with one entry moved. Steps that would break the
    design, and designs without yokes that face each other, are left out.
    """
    entries = [
        (path, value, unit)
        for subject in SUBJECTS
        for path, value, unit in numbers(getattr(design, subject), (subject,))
        if value and path[-1] not in PLAYS
    ]
    base = _least(design)
    if base is None:
        return []
    sizes = [_step(*entry) for entry in entries]
    gained = _of_all(design, entries, [size for size, _ in sizes]) - base
    bought = []
    for index, ((path, _, _), (_, words)) in enumerate(zip(entries, sizes, strict=True)):
        less_or_more = gained[2 * index : 2 * index + 2]
        if np.any(np.isfinite(less_or_more)):
            best = int(np.nanargmax(less_or_more))
            bought.append(Bought(".".join(path), ("less by ", "more by ")[best] + words, float(less_or_more[best])))
    return sorted(bought, key=lambda each: -each.gained)


def _of_all(design: Design, entries: list[tuple[Path, float, str]], sizes: list[float]) -> np.ndarray:
    """Return the least gap, m, with each entry less and more by its step, (2 entries,); NaN where that is no design."""
    count = 2 * len(entries)
    many = design
    for index, ((path, value, _), size) in enumerate(zip(entries, sizes, strict=True)):
        values = np.full(count, value)
        values[2 * index : 2 * index + 2] += (-size, size)
        many = planted(many, (path,), values)
    good = legal(many, count)
    gaps = np.full(count, np.nan)
    least = _least(picked(many, good))
    gaps[good] = np.nan if least is None else least
    return gaps


def _step(path: Path, value: float, unit: str) -> tuple[float, str]:
    steps, diameter = (IN_INCHES, DIAMETER_IN_INCHES) if imperial() else (STEPS, DIAMETER)
    size = diameter if path[-1] == "diameter" else steps.get(unit)
    if size is None:
        return abs(value) * SHARE, f"{SHARE * 100:g} percent"
    return size, f"{size:g} K" if unit == "K" else said(size, unit, "g")


def numbers(thing: Any, path: Path) -> Iterator[tuple[Path, float, str]]:
    """Yield (path, value, SI unit) of every number in a part of a design, but for what is chosen as it comes."""
    if isinstance(thing, dict):
        for key, each in thing.items():
            yield from numbers(each, (*path, key))
    elif isinstance(thing, tuple):
        for index, each in enumerate(thing):
            yield from numbers(each, (*path, str(index)))
    elif is_dataclass(thing) and not isinstance(thing, WHOLE):
        for each in fields(thing):
            value, unit = getattr(thing, each.name), mark(each.type, Unit)
            if isinstance(value, float) and unit is not None:
                yield (*path, each.name), value, unit.si
            elif not isinstance(value, float):
                yield from numbers(value, (*path, each.name))


def _least(design: Design) -> np.ndarray | None:
    # One design is looked at as the many are, without vibration, so that the difference is that of the step alone.
    evaluation = Evaluation(design, without_vibration=True)
    gaps = [pair.least(design.speed.most)[0] for pair in evaluation.pairs]
    return np.min(np.broadcast_arrays(*gaps), axis=0) if gaps else None

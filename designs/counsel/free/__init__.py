"""The free choices of a design, a file a kind of part; what a design keeps to is not among them."""

from collections.abc import Iterable
from dataclasses import replace
from functools import partial

from designs.changing.edit import Edit, edited, rounded
from designs.counsel.dial import Dial, Level
from designs.counsel.free import (
    bodies,
    case,
    cranks,
    fits,
    gas,
    gears,
    joints,
    nearer,
    rods,
    shafts,
    single,
    spans,
    walls,
    weights,
    wheel,
    yokes,
)
from designs.design import Design
from designs.stock import stock_with

SOURCES = (
    rods,
    cranks,
    joints,
    shafts,
    spans,
    weights,
    wheel,
    nearer,
    single,
    gears,
    gas,
    case,
    walls,
    fits,
    bodies,
    yokes,
)

WHEELS = "flywheel"  # kind of change
GRAIN = 0.01  # kg, to which the mass of an engine is rounded


def free_choices(design: Design, keep: Iterable[str] = ()) -> list[Dial]:
    """Return the free choices of a design, less those that touch what is kept or may not change.

    keep : key paths, `*` for any key; a path keeps all that stands below it.
    """
    stock, kept = stock_with(design.stock), tuple(keep)
    every = [dial for source in SOURCES for dial in source.dials(design, stock) if dial.levels]
    allowed = [each for each in every if _may(each, design.may_change, kept)]
    return [_weighed(each) if each.family == WHEELS else each for each in allowed]


def _weighed(dial: Dial) -> Dial:
    """Return a choice of wheels with which the mass of the engine goes along, where that is given.

    What other changes add is some grams, less than such a mass is known to.
    """
    return replace(dial, levels=[replace(each, edits=partial(_with_mass, each)) for each in dial.levels])


def _with_mass(level: Level, design: Design) -> tuple[Edit, ...]:
    found = level.edits(design)
    if design.mount is None or not found:
        return found
    more = _wheels(edited(design, found)) - _wheels(design)
    mass = rounded(float(design.mount.mass) + more, GRAIN)
    return found if abs(more) < GRAIN else (*found, Edit(("mount", "mass"), mass))


def _wheels(design: Design) -> float:
    wheel = design.flywheel
    return 0.0 if wheel is None else float(wheel.wheel_mass) * (2 if wheel.on == "both" else 1)


def _may(dial: Dial, allowed: tuple[str, ...], kept: tuple[str, ...]) -> bool:
    if any(below(path, each) or below(each, path) for path in dial.paths for each in kept):
        return False
    return not allowed or all(any(below(path, each) for each in allowed) for path in dial.paths)


def below(path: str, pattern: str) -> bool:
    """Return whether a path stands at or below a pattern in which `*` is any key."""
    keys, wanted = path.split("."), pattern.replace(" ", "_").split(".")
    if len(keys) < len(wanted):
        return False
    return all("*" in (key, want) or key.replace(" ", "_") == want for key, want in zip(keys, wanted, strict=False))

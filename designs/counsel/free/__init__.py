"""The free choices of a design, a file a kind of part; what a design keeps to is not among them."""

from collections.abc import Iterable
from dataclasses import replace
from functools import partial

from balance.turning import HANDS
from designs.changing.edit import Edit, edited
from designs.counsel.dial import Dial, Level
from designs.counsel.free import (
    bodies,
    case,
    cranks,
    fits,
    gas,
    gears,
    hubs,
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
    hubs,
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


def free_choices(design: Design, keep: Iterable[str] = ()) -> list[Dial]:
    """Return the free choices of a design, less those that touch what is kept or may not change.

    keep : key paths, `*` for any key; a path keeps all that stands below it.
    """
    stock, kept = stock_with(design.stock), tuple(keep)
    every = [dial for source in SOURCES for dial in source.dials(design, stock) if dial.levels]
    allowed = [each for each in every if _may(each, design.may_change, kept)]
    if _keeps(case.MASS, kept):
        return allowed
    return [_weighed(each) if each.family == WHEELS else each for each in allowed]


def _weighed(dial: Dial) -> Dial:
    """Return a choice of wheels with which the mass of the engine goes along, where that is given.

    With other parts it does not yet: counterweights and bars of yokes may add more than a scale overlooks.
    """
    return replace(dial, levels=[replace(each, edits=partial(_with_mass, each)) for each in dial.levels])


def _with_mass(level: Level, design: Design) -> tuple[Edit, ...]:
    found = level.edits(design)
    if design.mount is None or not found:
        return found
    more = _wheels(edited(design, found)) - _wheels(design)
    return found if abs(more) < case.GRAIN else (*found, case.heavier(design, more))


def _wheels(design: Design) -> float:
    return sum(float(wheel.wheel_mass) for hand in HANDS for wheel in design.wheels(hand).values())


def _may(dial: Dial, allowed: tuple[str, ...], kept: tuple[str, ...]) -> bool:
    if any(_keeps(path, kept) for path in dial.paths):
        return False
    return not allowed or all(any(below(path, each) for each in allowed) for path in dial.paths)


def _keeps(path: str, kept: tuple[str, ...]) -> bool:
    return any(below(path, each) or below(each, path) for each in kept)


def below(path: str, pattern: str) -> bool:
    """Return whether a path stands at or below a pattern in which `*` is any key."""
    keys, wanted = path.split("."), pattern.replace(" ", "_").split(".")
    if len(keys) < len(wanted):
        return False
    return all("*" in (key, want) or key.replace(" ", "_") == want for key, want in zip(keys, wanted, strict=False))

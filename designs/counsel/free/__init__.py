"""The free choices of a design, a file a kind of part; what a design keeps to is not among them."""

from collections.abc import Iterable

from designs.counsel.dial import Dial
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


def free_choices(design: Design, keep: Iterable[str] = ()) -> list[Dial]:
    """Return the free choices of a design, less those that touch what is kept or may not change.

    keep : key paths, `*` for any key; a path keeps all that stands below it.
    """
    stock, kept = stock_with(design.stock), tuple(keep)
    every = [dial for source in SOURCES for dial in source.dials(design, stock) if dial.levels]
    return [each for each in every if _may(each, design.may_change, kept)]


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

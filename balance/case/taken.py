"""What is taken for the case where its size, or where its feet stand, was left out.

A box, evenly filled, just around all that the design tells of: turning parts and yokes over the turn, what they carry,
and walls; the feet at its lower corners. A real case stands around that, and is seldom much smaller.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from balance.machine.carried import Diaphragm
from balance.machine.machine import Machine
from balance.machine.mount import Mount, Place
from balance.machine.yoke import Outline, Yoke
from balance.motion import Motion
from balance.quantities import Number

SIZES = (0.75, 1.5)
"""Factors on the sides of the box within which a case of unknown size is taken to lie; common practice, no source."""

Span = tuple[Number, Number]
"""From where to where, m, each (options...)."""


def missing(mount: Mount) -> tuple[str, ...]:
    """Return the entries that rocking needs and the mount does not give."""
    size = () if mount.inertias is not None else ("mount.size",)
    return size + (("mount.feet.places",) if mount.feet is not None and not mount.feet.places else ())


def taken_mount(mount: Mount, around: tuple[Span, Span, Span], factor: float = 1.0) -> Mount:
    """Return the mount with a box and feet for what it leaves out, so that the case may rock.

    around : from where to where all that the design tells of reaches along x, y and z.   factor : on the sides of the
    box. Where neither mass centre nor feet are placed, it lies in the middle of the box.
    """
    x, y, z = (_about_its_middle(least, most, factor) for least, most in around)
    cg, size, given = mount.cg, mount.size, mount.inertias is not None
    if not given:
        size = (x[1] - x[0], y[1] - y[0], z[1] - z[0])
        unplaced = not (mount.feet and mount.feet.places) and all(np.all(np.asarray(each) == 0) for each in cg)
        cg = ((x[0] + x[1]) / 2, (y[0] + y[1]) / 2, (z[0] + z[1]) / 2) if unplaced else cg
    elif size is not None:
        x, y, z = ((middle - side / 2, middle + side / 2) for middle, side in zip(cg, size, strict=True))
    feet = mount.feet
    if feet is not None and not feet.places:
        corners: tuple[Place, ...] = tuple((side, y[0], end) for side in x for end in z)
        springs = feet.as_springs  # however many buffers there are, they stand at four corners
        feet = replace(springs, places=corners)
    return replace(mount, cg=cg, size=size, feet=feet)


def _about_its_middle(least: Number, most: Number, factor: float) -> Span:
    middle, half = (least + most) / 2, (most - least) / 2 * factor
    return middle - half, middle + half


def around(machine: Machine, motion: Motion) -> tuple[Span, Span, Span]:
    """Return from where to where all that the design tells of reaches along x, y and z, each (options...), m."""
    reach = _largest(_reaches(machine))
    half = np.asarray(machine.cranks.centre_distance) / 2
    across: list[Number] = [half + reach]
    below: list[Number] = [-np.asarray(reach)]
    above: list[Number] = [reach]
    spans = list(_along_shafts(machine))
    for name, yoke in machine.yokes.items():
        height = motion.yokes[name].height
        low, high = np.min(height, axis=-1), np.max(height, axis=-1)
        wide, under, over = _reach_of(yoke)
        across, below, above = [*across, wide], [*below, low - under], [*above, high + over]
    for wall in machine.walls.values():
        across.append(_largest([np.abs(x) for x, _ in wall.corners]))
        below.append(-_largest([-np.asarray(y) for _, y in wall.corners]))
        above.append(_largest([y for _, y in wall.corners]))
        spans.append(wall.z)
    width = _largest(across)
    depth = -_largest([-np.asarray(least) for least, _ in spans]), _largest([most for _, most in spans])
    return (-width, width), (-_largest([-np.asarray(each) for each in below]), _largest(above)), depth


def _reaches(machine: Machine) -> Iterator[Number]:
    """Yield how far turning parts reach from their shafts."""
    cranks = machine.cranks
    for throw in cranks.throws.values():
        yield throw.radius + (0.0 if throw.pin is None else np.asarray(throw.pin.diameter) / 2)
    if cranks.gears is not None:
        yield cranks.gears.pitch_radius + cranks.gears.module
    if machine.counterweights is not None:
        yield machine.counterweights.largest_radius


def _along_shafts(machine: Machine) -> Iterator[Span]:
    cranks = machine.cranks
    for throw in cranks.throws.values():
        yield _span(throw.at, 0.0 if throw.pin is None else throw.pin.length)
    for web in cranks.webs:
        yield _span(web.at, 0.0 if web.thickness is None else web.thickness)
    if cranks.gears is not None:
        yield _span(cranks.gears.at, 0.0 if cranks.gears.face is None else cranks.gears.face)
    if machine.flywheel is not None:
        yield _span(machine.flywheel.at, 0.0)
    if machine.counterweights is not None:
        yield from (_span(at, machine.counterweights.thickness) for at in machine.counterweights.planes)
    for yoke in machine.yokes.values():
        middle = machine.cylinder.z if machine.cylinder is not None else None
        yield _span(machine.cranks.throws[yoke.throw].at if middle is None else middle, _bore(yoke))


def _bore(yoke: Yoke) -> Number:
    """Return how wide the cylinder about what a yoke carries is, m, (options...); zero where it carries nothing."""
    if isinstance(yoke.carries, Diaphragm):
        return np.sqrt(4 / np.pi * np.asarray(yoke.carries.working_area))
    return getattr(yoke.carries, "bore", 0.0)


def _span(middle: Number, length: Number) -> Span:
    return np.asarray(middle) - np.asarray(length) / 2, np.asarray(middle) + np.asarray(length) / 2


def _reach_of(yoke: Yoke) -> tuple[Number, Number, Number]:
    """Return how far a yoke with what it carries reaches across, and below and above its pivots, m."""
    outlines: list[Outline] = [yoke.outline] if yoke.outline is not None else []
    wide = [yoke.half_span, *(np.abs(x) for outline in outlines for x, _ in outline.corners)]
    under = [0.0, *(-np.asarray(y) for outline in outlines for _, y in outline.corners)]
    over = [0.0, *(y for outline in outlines for _, y in outline.corners)]
    bore = getattr(yoke.carries, "bore", None)
    if bore is not None:
        length = getattr(yoke.carries, "length", None)
        wide.append(np.asarray(bore) / 2)
        over.append(bore if length is None else length)  # as long as it is wide, where its length is left out
    return _largest(wide), _largest(under), _largest(over)


def _largest(values) -> Number:
    return np.max(np.stack(np.broadcast_arrays(*(np.asarray(each, dtype=float) for each in values))), axis=0)

"""Usual proportions of parts whose size is not given (common practice, no source).

A body of such a size is marked as taken: that it clears is worth knowing, that it strikes is no proof.
"""

from dataclasses import dataclass

import numpy as np

from balance.machine.crank import Gears, Throw, Web, joined_by, outward, place_in_frame
from balance.machine.wheels import Wheel, gyration
from balance.machine.yoke import Rod

STEEL = 7850.0  # kg/m^3
RIM = 0.6  # inside over outside diameter of a flywheel with a rim
FACE = 8.0  # modules; the face width of a gear of instrument size
EYE = 2.0  # pin diameters across the eye of a rod or the end of a web
WEIGHED = 0.75, 1.4  # of an arm's own mass by its size: what is weighed with its pins and is still taken for an arm
ARM = 0.35, 0.65  # of the way to the crankpin: mass centre of an arm that is heavier at either end
OFF = 0.03  # of a plate's longest side: by how much it misses that of its outline


@dataclass(frozen=True)
class WebCentre:
    """Where a web's mass centre lies, crank frame: low, usual and high x and y, m.   why : what it was taken for."""

    low: tuple[float, float]
    usual: tuple[float, float]
    high: tuple[float, float]
    why: str


def web_centre(web: Web, throws: dict[str, Throw], shaft: tuple[float, float], density: float) -> WebCentre | None:
    """Return where the mass centre of a web lies of which only size or mass is known; None if it holds no crankpin.

    shaft : from where to where it reaches, m.   density : of the web, kg/m^3.
    An arm with round ends between what it joins has it about its middle. A web that weighs more than such an arm, or
    has no size, may be anything from a disc round the shaft to that arm (common practice, no source).
    """
    inner, outer = joined_by(web, throws, shaft, float(outward(web.at, shaft)))
    if outer is None:
        return None
    one, other = (np.array(place_in_frame(None if name is None else throws[name]), float) for name in (inner, outer))
    length, size = float(np.hypot(*(other - one))), web_size(web, throws[outer], 0.0)
    width = length if size is None else size[0]
    at = np.array([one + share * (other - one) for share in ARM])
    middle, why = (one + other) / 2, "an arm between what it joins, by its size and mass"
    if not _is_arm(web, length, density):
        at = np.vstack([at, np.zeros(2)])
        middle, why = (at.min(axis=0) + at.max(axis=0)) / 2, "anything from a disc round the shaft to an arm"
    off = OFF * (length + width)
    low, usual, high = (tuple(map(float, each)) for each in (at.min(axis=0) - off, middle, at.max(axis=0) + off))
    return WebCentre(low, usual, high, f"{why}; common practice, no source")  # type: ignore[arg-type]


def _is_arm(web: Web, length: float, density: float) -> bool:
    """Return whether a web of known size weighs what an arm with round ends over that length does."""
    if web.width is None or web.thickness is None:
        return False
    width = float(web.width)
    by_size = density * float(web.thickness) * width * (length + np.pi / 4 * width)
    return bool(WEIGHED[0] * by_size <= float(web.mass) <= WEIGHED[1] * by_size)


def rod_size(rod: Rod, throw: Throw) -> tuple[float, float] | None:
    """Return the width and thickness of a rod, m: as given, else by its crankpin; None without either."""
    if rod.width is not None and rod.thickness is not None:
        return float(rod.width), float(rod.thickness)
    if throw.pin is None:
        return None
    pin = float(throw.pin.diameter)
    return (
        EYE * pin if rod.width is None else float(rod.width),
        min(pin, float(throw.pin.length)) if rod.thickness is None else float(rod.thickness),
    )


def web_size(web: Web, throw: Throw | None, shaft: float) -> tuple[float, float] | None:
    """Return the width and thickness of a web, m: as given, else by its crankpin or shaft diameter, m."""
    if web.width is not None and web.thickness is not None:
        return float(web.width), float(web.thickness)
    pin = 0.0 if throw is None or throw.pin is None else float(throw.pin.diameter)
    thick = max(pin, shaft)
    if not thick:
        return None
    return (
        EYE * thick if web.width is None else float(web.width),
        thick if web.thickness is None else float(web.thickness),
    )


def gear_face(gears: Gears) -> float:
    """Return the face width of a gear, m: as given, else by its module."""
    return float(FACE * gears.module if gears.face is None else gears.face)


def least_radius(wheel: Wheel) -> float | None:
    """Return the radius that a wheel has at least, m: its own, else its radius of gyration; None if neither is known.

    No body of a given inertia and mass lies wholly within its radius of gyration.
    """
    if wheel.diameter is not None:
        return float(wheel.diameter) / 2
    if wheel.inertia is None or not float(wheel.wheel_mass) or not float(wheel.inertia):
        return None
    return float(gyration(wheel.inertia, wheel.wheel_mass))


def wheel_size(wheel: Wheel) -> tuple[float, float] | None:
    """Return the radius and thickness of a wheel, m: as given, else of a steel rim of its inertia and mass."""
    inertia, mass = float(wheel.polar_inertia), float(wheel.wheel_mass)
    if wheel.diameter is not None:
        radius = float(wheel.diameter) / 2
    elif inertia and mass:
        radius = float(gyration(inertia, mass)) / np.sqrt((1 + RIM**2) / 2)
    elif inertia:  # a rim a third as thick as its radius
        radius = (inertia / (np.pi / 2 * STEEL * (1 - RIM**4) / 3)) ** 0.2
    else:
        return None
    if wheel.thickness is not None:
        return radius, float(wheel.thickness)
    return radius, mass / (STEEL * np.pi * radius**2 * (1 - RIM**2)) if mass else radius / 3

"""How much a case must weigh, or how soft or stiff its feet must be; limits of vibration."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from balance.case.body import case
from balance.case.loads import CaseLoads
from balance.case.vibration import speeds_to_try, steady_roll, vibration
from balance.machine.machine import Gravity, SpeedRange
from balance.machine.mount import Mount
from balance.quantities import Number, Scalar

ZONES = (("A", 0.71e-3), ("B", 1.8e-3), ("C", 4.5e-3), ("D", np.inf))
"""Zones of rms velocity, m/s, up to and with these values, for small machines up to 15 kW (class I).

ISO 10816-1, annex B, since taken up by ISO 20816-1; from memory. A new machine, B fit for running without end, C not
for long, D harmful. C to D is uncertain: one chart puts it a step higher. The standard has rotating machines in
mind; reciprocating ones shake more, and their own part 6 begins at 100 kW, so the zones are a guide and no more.
"""

HEAVIEST = 3.0  # a case up to three times as heavy, or a third as heavy, is tried
STIFFEST = 30.0  # and feet up to thirty times as stiff or as soft
PLACES = 61  # factors tried at a time
ZOOMS = 5  # each narrows the bracket by PLACES - 1: so the last step is one of 1e-9


def zone(velocity: float) -> str:
    """Return the zone, A to D, of a rms velocity, m/s."""
    return next(name for name, most in ZONES if velocity <= most)


@dataclass(frozen=True)
class Needed:
    """What would meet a limit of vibration, by factor on what the design has; None where nothing searched does.

    less, more : nearest fitting value below and above the present one; the present one itself if it fits already.
    """

    less: float | None
    more: float | None


@dataclass(frozen=True, eq=False)
class Outcome:
    """The worst over the speed range of a case on its feet, each (options...).

    velocity : rms, of any watched place, m/s.   uplift : share of its static load lifted off a foot; zero if held down.
    standing : how many times its weight it bears.
    """

    velocity: np.ndarray
    uplift: np.ndarray
    standing: np.ndarray

    @property
    def real(self) -> np.ndarray:
        """Velocity where the case stands and every foot stays down, else inf."""
        return np.where((self.standing > 1) & (self.uplift < 1), self.velocity, np.inf)


def outcome(mount: Mount, loads: CaseLoads, speed: SpeedRange, gravity: Gravity | None = None) -> Outcome:
    """Return how a case fares on its feet over the speed range; weightless if no gravity is given."""
    body = case(mount, gravity)
    response = vibration(body, loads, speeds_to_try(body, speed))
    found = [np.max(response.severity(place), axis=-1) for place in watched(mount).values()]
    velocity = np.max(np.stack(np.broadcast_arrays(*found)), axis=0)
    uplift = np.zeros(())
    if gravity is not None and mount.feet is not None and not mount.feet.held_down:
        uplift = np.max(response.uplift(gravity, steady_roll(loads)), axis=-1)
    return Outcome(velocity, uplift, body.standing)


def worst_velocity(mount: Mount, loads: CaseLoads, speed: SpeedRange, gravity: Gravity | None = None) -> np.ndarray:
    """Return the largest rms velocity of any watched place over the speed range, m/s, (options...)."""
    return outcome(mount, loads, speed, gravity).velocity


def watched(mount: Mount) -> dict[str, tuple[Number, Number, Number]]:
    """Return the places whose vibration counts: the named ones, or the mass centre and the feet if none is named."""
    if mount.points:
        return mount.points
    feet = mount.feet.places if mount.feet is not None and mount.turns else ()
    return {"mass centre": mount.cg} | {f"foot {number}": place for number, place in enumerate(feet, 1)}


def heavier(mount: Mount, factor: Scalar) -> Mount:
    """Return the mount with mass and moments of inertia larger by a factor, on the same feet and dashpots."""
    inertia = mount.inertia
    if inertia is not None:
        inertia = inertia[0] * factor, inertia[1] * factor, inertia[2] * factor
    feet = mount.feet and replace(
        mount.feet, loss_factor=mount.feet.loss, damping_ratio=mount.feet.viscous / np.sqrt(factor)
    )
    return replace(mount, mass=mount.mass * factor, inertia=inertia, feet=feet)


def stiffer(mount: Mount, factor: Scalar) -> Mount:
    """Return the mount on feet stiffer by a factor in every direction, with the same share of critical damping."""
    assert mount.feet is not None
    feet = mount.feet.as_springs
    names = ("stiffness", "across", "along_shafts")
    return replace(mount, feet=replace(feet, **{name: getattr(feet, name) * factor for name in names}))


def apart(mount: Mount, factor: Scalar) -> Mount:
    """Return the mount with its feet farther apart by a factor, at their height."""
    assert mount.feet is not None
    cx, _, cz = mount.cg
    places = tuple((cx + (x - cx) * factor, y, cz + (z - cz) * factor) for x, y, z in mount.feet.places)
    return replace(mount, feet=replace(mount.feet, places=places))


def needed_mass(
    mount: Mount, loads: CaseLoads, speed: SpeedRange, limit: float, gravity: Gravity | None = None
) -> Needed:
    """Return the factors on the case's mass that meet a limit, m/s rms; for a single design."""
    return needed(lambda factor: outcome(heavier(mount, factor), loads, speed, gravity).real - limit, HEAVIEST)


def needed_stiffness(
    mount: Mount, loads: CaseLoads, speed: SpeedRange, limit: float, gravity: Gravity | None = None
) -> Needed:
    """Return the factors on the feet's stiffness that meet a limit, m/s rms; for a single design on feet."""
    return needed(lambda factor: outcome(stiffer(mount, factor), loads, speed, gravity).real - limit, STIFFEST)


def needed(excess: Callable[[np.ndarray], np.ndarray], reach: float) -> Needed:
    """Return the factors nearest to one, below and above, at which an excess is no longer positive.

    excess : takes factors of shape (factors,) and returns as many.   reach : largest factor tried, and one over it.
    Tried at factors in equal steps of their logarithm; the nearest fitting one and its neighbour are closed in on by
    trying as many between them again.
    """
    return Needed(_nearest(excess, -np.log(reach)), _nearest(excess, np.log(reach)))


def _nearest(excess: Callable[[np.ndarray], np.ndarray], end: float) -> float | None:
    bad, good = 0.0, end
    for _ in range(ZOOMS):
        tried = np.linspace(bad, good, PLACES)
        fits = np.flatnonzero(excess(np.exp(tried)) <= 0)
        if not fits.size:
            return None
        if fits[0] == 0:
            return float(np.exp(tried[0]))
        bad, good = tried[fits[0] - 1], tried[fits[0]]
    return float(np.exp(good))

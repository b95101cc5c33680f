"""Limits of vibration, and the worst of a case over its speeds."""

import numpy as np

from balance.case.body import case
from balance.case.loads import CaseLoads
from balance.case.vibration import speeds_to_try, vibration
from balance.machine.machine import Gravity, SpeedRange
from balance.machine.mount import Mount
from balance.quantities import Number

ZONES = (("A", 0.71e-3), ("B", 1.8e-3), ("C", 4.5e-3), ("D", np.inf))
"""Zones of rms velocity, m/s, up to and with these values, for small machines up to 15 kW (class I).

ISO 10816-1, annex B, since taken up by ISO 20816-1; from memory. A new machine, B fit for running without end, C not
for long, D harmful. C to D is uncertain: one chart puts it a step higher. The standard has rotating machines in
mind; reciprocating ones shake more, and their own part 6 begins at 100 kW, so the zones are a guide and no more.
"""


def zone(velocity: float) -> str:
    """Return the zone, A to D, of a rms velocity, m/s."""
    return next(name for name, most in ZONES if velocity <= most)


def worst_velocity(mount: Mount, loads: CaseLoads, speed: SpeedRange, gravity: Gravity | None = None) -> np.ndarray:
    """Return the largest rms velocity of any watched place over the speed range, m/s, (options...).

    Weightless if no gravity is given.
    """
    body = case(mount, gravity)
    response = vibration(body, loads, speeds_to_try(body, speed))
    severities = [np.max(response.severity(point), axis=-1) for point in watched(mount).values()]
    return np.max(np.stack(np.broadcast_arrays(*severities)), axis=0)


def watched(mount: Mount) -> dict[str, tuple[Number, Number, Number]]:
    """Return the places whose vibration counts: the named ones, or the mass centre and the feet if none is named."""
    if mount.points:
        return mount.points
    feet = mount.feet.places if mount.feet is not None and mount.turns else ()
    return {"mass centre": mount.cg} | {f"foot {number}": foot for number, foot in enumerate(feet, 1)}

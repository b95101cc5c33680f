"""What goes to and fro: how a yoke and its rods follow a crankpin that vibrates.

A crankpin displaced by (ux, uy) on the bench lifts its side of the yoke by uy + ux ex/ey, (ex, ey) the unit vector
along the rod, and turns the rod by ux/(l ey). In the crank's own frame that direction turns with the crank, so what
goes to and fro is a mass m along a direction g(theta): m g (g . q)''. Half of a yoke's mass rides on each of its
pivots, the rod's own share there with it; the rod's moment of inertia beyond that of its two shares is a third such
mass (of either sign), along the direction in which the pin turns it.
"""

import numpy as np

from balance.motion import move_yoke
from balance.quantities import result
from shafts.engine import Engine
from shafts.whirl.bodies import rod_of


@result
class Guided:
    """A mass, kg, that follows a point of a crank along x and y of its frame, each (angles,), at crank angles."""

    point: str
    mass: float
    x: np.ndarray
    y: np.ndarray

    @property
    def mean(self) -> np.ndarray:
        """Its mean mass for x and y, kg, (2, 2)."""
        rows = np.stack([self.x, self.y])
        return self.mass * rows @ rows.T / self.x.size


def guided(engine: Engine, hand: str, theta: np.ndarray) -> list[Guided]:
    """Return what goes to and fro with one crank, at crank angles theta."""
    sine, cosine, masses = np.sin(theta), np.cos(theta), []
    for name, yoke in engine.yokes.items():
        moved = move_yoke(yoke, engine.throw_of(yoke), engine.cranks.centre_distance, theta)
        inclination, rides = np.zeros_like(theta), yoke.mass / 2
        if yoke.rod is not None and moved.rod is not None:
            rod, share = rod_of(yoke, hand)
            inclination, rides = moved.rod.x / moved.rod.y, rides + rod.mass * share
            beyond = rod.inertia - rod.mass * share * (1 - share) * yoke.rod.length**2
            turned = 1 / (yoke.rod.length * moved.rod.y)
            masses.append(Guided(f"rod of {name}", float(beyond), turned * cosine, turned * sine))
        masses.append(Guided(f"rod of {name}", float(rides), inclination * cosine - sine, inclination * sine + cosine))
    return masses

"""What a crank does under its loads over the cycle: displacements, slopes and forces in its own frame."""

import numpy as np

from balance.cycle.load import Load, onto
from balance.quantities import Number, Scalar, result
from balance.turning import on_bench


@result
class CrankVector:
    """A displacement, m, slope, rad, or force, N, of a crank over the cycle, in its own frame.

    x, y : its linear part, (options..., angles).
    tooth : tangential force of the gear teeth, N; None without gears.   apart : x and y of what it takes in addition
    per newton of that force's size.   theta : crank angles, rad.   sign : +1 on the right, -1 on the left.
    """

    x: Load
    y: Load
    tooth: Load | None
    apart: tuple[Scalar, Scalar]
    theta: np.ndarray
    sign: float

    def at(self, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return x and y in the crank frame at a speed (see Load.at)."""
        x, y = self.x.at(speed), self.y.at(speed)
        if self.tooth is None:
            return x, y
        push = np.abs(self.tooth.at(speed))
        return onto(x, self.apart[0] * push), onto(y, self.apart[1] * push)

    def on_bench(self, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return x and y as they stand on the bench."""
        return on_bench(*self.at(speed), self.theta, self.sign)

    def size(self, speed: Number) -> np.ndarray:
        """Return its size at a speed."""
        x, y = self.at(speed)
        return np.sqrt(x * x + y * y)  # a third of the time that hypot takes; nothing here is near overflow


@result
class Peak:
    """The largest size of a vector, in its own unit, with the speed, rad/s, and the angle, rad, each (options...)."""

    size: np.ndarray
    speed: np.ndarray
    angle: np.ndarray

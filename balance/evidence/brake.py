"""What a brake and a drag test tell of the gas's work and of friction, and what they leave open."""

import numpy as np

from balance.evidence.estimate import Estimate, propagated
from balance.quantities import result

NAMES = ("scale", "constant", "viscous", "square")
"""s, M0, M1, M2 of the model M(w) = s W/(2 pi) - M0 - M1 w - M2 w^2."""
LOST = 1e-8
"""Share of the largest singular value below which a direction is not told apart, well above rounding."""


def rope_torque(pull: Estimate, slack: Estimate, radius: Estimate) -> Estimate:
    """Return the torque of a rope brake, N m: M = (W - S) R.

    pull, slack : force on the tight and on the slack side, N.   radius : of the wheel and half the rope, m.
    u(M)^2 = ((W - S) u(R))^2 + R^2 (u(W)^2 + u(S)^2). Khurmi and Gupta, Theory of Machines, ch. 19 (from memory).
    """
    net = pull.value - slack.value
    return propagated(net * radius.value, radius.times(net), pull.times(radius.value), slack.times(radius.value))


@result
class TorqueReadings:
    """Readings of torque over speed.

    torque, sd : N m, (readings,).   speed : rad/s.   ideal : torque of the ideal gas W/(2 pi) at each reading's own hot
    end, N m; zero where the machine was turned cold and open.   shared : what one error that is in several readings
    puts on each of them, N m a standard deviation, (errors, readings): a rope's radius is in all of its own.
    """

    torque: np.ndarray
    sd: np.ndarray
    speed: np.ndarray
    ideal: np.ndarray
    shared: np.ndarray | None = None

    @property
    def columns(self) -> np.ndarray:
        """Derivatives of each reading by s, M0, M1, M2, (readings, 4)."""
        return np.stack([self.ideal, -np.ones_like(self.speed), -self.speed, -(self.speed**2)], axis=-1)

    def and_also(self, other: "TorqueReadings") -> "TorqueReadings":
        """Return both together; no error is in readings of both."""
        names = ("torque", "sd", "speed", "ideal")
        mine, others = self.errors, other.errors
        apart = np.zeros((len(mine) + len(others), mine.shape[1] + others.shape[1]))
        apart[: len(mine), : mine.shape[1]], apart[len(mine) :, mine.shape[1] :] = mine, others
        torque, sd, speed, ideal = (np.concatenate([getattr(self, each), getattr(other, each)]) for each in names)
        return TorqueReadings(torque, sd, speed, ideal, apart)

    @property
    def errors(self) -> np.ndarray:
        """What errors in several readings put on each, (errors, readings)."""
        return np.zeros((0, len(self.torque))) if self.shared is None else self.shared


@result
class FrictionFit:
    """Friction and pressure scale as far as readings tell.

    values : s, M0 (N m), M1 (N m s), M2 (N m s^2) by name, None where not told apart from others.
    together : s W/(2 pi) - M0 at the first reading's hot end, N m, which is told even where its parts are not.
    apart : whether pressure scale and constant friction are told apart.
    condition : of the scaled columns; above 1/LOST they are not told apart.
    """

    values: dict[str, Estimate | None]
    together: Estimate | None
    apart: bool
    condition: float


def fit_friction(readings: TorqueReadings, scale: Estimate | None = None) -> FrictionFit:
    """Return what readings tell by weighted least squares, with nothing assumed of friction.

    scale : pressure scale found otherwise, as from the swing of pressure; None if it was not.
    A direction of (s, M0, M1, M2) that the readings leave open is found from the singular values of the weighted
    columns, each scaled to one; entries with a share in it are not told. Isothermal work does not depend on speed: from
    a brake alone s and M0 have the same column. Readings that scatter about the fit by more than their own doubt, as up
    in speed and down again do while heat lags, widen it by as much. Golub and Van Loan, Matrix Computations, sec. 5.5
    (from memory).
    """
    columns, wanted = readings.columns / readings.sd[:, None], readings.torque / readings.sd
    if scale is not None:
        sd = max(scale.sd, LOST * scale.value)
        columns = np.vstack([columns, [1 / sd, 0, 0, 0]])
        wanted = np.append(wanted, scale.value / sd)
    lengths = np.linalg.norm(columns, axis=0)
    lengths[lengths == 0] = 1.0
    u, sizes, vt = np.linalg.svd(columns / lengths, full_matrices=True)
    sizes = np.concatenate([sizes, np.zeros(len(NAMES) - len(sizes))])
    seen = sizes > LOST * sizes[0]
    steps = np.where(seen, 1 / np.where(seen, sizes, 1.0), 0.0)
    count = min(len(wanted), len(NAMES))
    by_reading = (vt.T * steps)[:, :count] @ u.T[:count] / lengths[:, None]
    estimates = by_reading @ wanted
    covariance = (vt.T * steps**2) @ vt / np.outer(lengths, lengths) * _scatter(wanted - columns @ estimates, seen)
    moved = by_reading[:, : len(readings.sd)] @ (readings.errors / readings.sd).T
    covariance = covariance + moved @ moved.T
    lost = np.sum(vt[~seen] ** 2, axis=0)
    values = {
        name: None
        if lost[index] > LOST
        else Estimate(float(estimates[index]), float(np.sqrt(covariance[index, index])))
        for index, name in enumerate(NAMES)
    }
    direction = np.array([readings.ideal[0], -1.0, 0.0, 0.0])
    open_share = np.sum((vt[~seen] @ (direction / lengths)) ** 2) / np.sum((direction / lengths) ** 2)
    sum_of = Estimate(float(direction @ estimates), float(np.sqrt(direction @ covariance @ direction)))
    apart = values["scale"] is not None and values["constant"] is not None
    condition = float(sizes[0] / sizes[-1]) if sizes[-1] else np.inf
    return FrictionFit(values, sum_of if open_share < LOST else None, apart, condition)


def _scatter(left: np.ndarray, seen: np.ndarray) -> float:
    """Return by what readings scatter about a fit over their own doubt, squared; one if by no more."""
    spare = len(left) - int(np.sum(seen))
    return max(1.0, float(left @ left) / spare) if spare > 0 else 1.0


def torque_fall(readings: TorqueReadings) -> Estimate:
    """Return how much torque falls with speed, N m s, by a straight line through readings; positive if it falls."""
    weights = 1 / readings.sd**2
    middle = readings.speed - np.sum(weights * readings.speed) / np.sum(weights)
    squares = float(np.sum(weights * middle**2))
    return Estimate(float(-np.sum(weights * middle * readings.torque) / squares), float(1 / np.sqrt(squares)))

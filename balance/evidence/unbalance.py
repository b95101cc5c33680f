"""What a bare crank is out of balance by: rolled on rails, resting on a scale, or swung as a pendulum.

Moments are mass times radius, kg m, from the crank's own axis.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from balance.evidence.estimate import Estimate, propagated
from balance.machine.machine import STANDARD_GRAVITY as G


def rolled(just_moves: tuple[Estimate, Estimate], radius: Estimate) -> Estimate:
    """Return a crank's mass times radius, kg m, from level rails: m r = (w1 + w2) R/2.

    just_moves : masses opposite the heavy side at which it just rolls one way and the other, kg.   radius : R, m.
    u^2 = ((w2 - w1) R/(2 sqrt 12))^2 + (R/2)^2 (u(w1)^2 + u(w2)^2) + ((w1 + w2)/2 u(R))^2: the friction of rolling
    holds it anywhere between, and its mean falls out. Moments about the line of contact; common practice, no source for
    the rectangle.
    """
    low, high = sorted(each.value for each in just_moves)
    return propagated(
        (low + high) * radius.value / 2,
        (high - low) * radius.value / (2 * np.sqrt(12.0)),
        *(each.times(radius.value / 2) for each in just_moves),
        radius.times((low + high) / 2),
    )


@dataclass(frozen=True)
class Moment:
    """An unbalance in the crank frame, kg m: [x, y] with their covariance."""

    x: float
    y: float
    covariance: np.ndarray

    @property
    def components(self) -> tuple[Estimate, Estimate]:
        """Both parts, x and y, each with its doubt."""
        sd = np.sqrt(np.diag(self.covariance))
        return Estimate(self.x, float(sd[0])), Estimate(self.y, float(sd[1]))


def on_scale(directions: Sequence[float], readings: Sequence[Estimate], arm: Estimate, gain_sd: float = 0.0) -> Moment:
    """Return a crank's unbalance from an arm that rests on a scale, the crank's axle on edges.

    directions : crank-frame angle of the direction that points level toward the scale, rad, counted as phases of throws
    are: (sin a, cos a).   readings : kg.   arm : axle to scale, m.   gain_sd : doubt of the scale's factor, as a share.
    Least squares of R_i = c + (u_x sin a_i + u_y cos a_i)/l; the arm's own weight is in c. Two opposite readings give
    u = l (R0 - R180)/2 along their line (moments about the axle). Needs three directions or more, not on one line. A
    reading is as doubtful as it is said to be, or as they scatter about the fit, whichever is more.
    """
    columns = np.stack([np.ones(len(readings)), np.sin(directions), np.cos(directions)], axis=-1)
    inverse, values = np.linalg.inv(columns.T @ columns), np.array([each.value for each in readings])
    fitted = inverse @ columns.T @ values
    u, residuals, spare = fitted[1:] * arm.value, values - columns @ fitted, len(readings) - 3
    squared = max(np.mean([each.sd**2 for each in readings]), float(residuals @ residuals) / spare if spare else 0.0)
    share = (arm.sd / arm.value) ** 2 + gain_sd**2
    return Moment(float(u[0]), float(u[1]), inverse[1:, 1:] * squared * arm.value**2 + np.outer(u, u) * share)


@dataclass(frozen=True)
class Swung:
    """A crank swung in its own bearings.   unbalance : kg m.   inertia : about its axis, kg m^2."""

    unbalance: Estimate
    inertia: Estimate


def swung(bare: Estimate, weighted: Estimate, mass: Estimate, radius: Estimate) -> Swung:
    """Return unbalance and inertia from the periods of a crank without and with a mass on its heavy side.

    bare, weighted : periods T1 and T2, s.   mass : w, kg.   radius : R where it sits, in line with the heavy side, m.
    T1^2 = 4 pi^2 I/(g u) and T2^2 = 4 pi^2 (I + w R^2)/(g (u + w R)), so with a_i = g T_i^2/(4 pi^2):
    u = w R (a2 - R)/(a1 - a2), I = a1 u. For an unbalance so large that drag does not end the swing at once; singular
    where the mass does not change the period (R = a1). The compound pendulum twice.
    """
    a1, a2 = (G * each.value**2 / (4 * np.pi**2) for each in (bare, weighted))
    by = a1 - a2
    u = mass.value * radius.value * (a2 - radius.value) / by
    d_a1, d_a2 = bare.times(2 * a1 / bare.value), weighted.times(2 * a2 / weighted.value)
    d_u_a1, d_u_a2 = -u / by, mass.value * radius.value * (a1 - radius.value) / by**2
    d_u_mass, d_u_radius = u / mass.value, mass.value * (a2 - 2 * radius.value) / by
    return Swung(
        propagated(u, d_a1.times(d_u_a1), d_a2.times(d_u_a2), mass.times(d_u_mass), radius.times(d_u_radius)),
        propagated(
            a1 * u,
            d_a1.times(u + a1 * d_u_a1),
            d_a2.times(a1 * d_u_a2),
            mass.times(a1 * d_u_mass),
            radius.times(a1 * d_u_radius),
        ),
    )


def pointing(size: Estimate, direction: Estimate) -> tuple[Estimate, Estimate]:
    """Return x and y, kg m, of an unbalance of this size that points at a crank-frame angle, rad: u (sin a, cos a).

    Their doubts go together where the angle's is large; each by itself holds.
    """
    sine, cosine = float(np.sin(direction.value)), float(np.cos(direction.value))
    return (
        propagated(size.value * sine, size.times(sine), direction.times(size.value * cosine)),
        propagated(size.value * cosine, size.times(cosine), direction.times(size.value * sine)),
    )

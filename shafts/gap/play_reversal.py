"""Where play reverses between two crank angles: what the gap comes to there, for a single design.

A rod's pin or the teeth cross from one side of their play to the other as their load reverses. That happens at
an angle of its own, and just before it or after it the gap may be less than at any angle that is looked at. Only where
it could make the gap the least of all is it worked out.
"""

from collections.abc import Iterator

import numpy as np

from balance.quantities import Number
from shafts.gap.curve import GapCurve

AT_ONCE = 1e-6  # of a step: loads that change sign within it, as mirrored ones do, do so together


def with_reversals(curve: GapCurve, speed: Number, gaps: np.ndarray) -> np.ndarray:
    """Return the gap at each place and angle, m, lowered to what it is within half a step of it.

    speed : one, or (speeds,).   gaps : (places, angles), or (speeds, places, angles), at the angles themselves, with
    all that shifts the yokes. Where nothing is lowered these very gaps are returned.
    """
    reversals = _Reversals(curve, speed, gaps)
    lowered: np.ndarray | None = None
    for number, angle in reversals.that_matter():
        for share, least in reversals.after(number, angle):
            nearest = (angle + (share > 0.5)) % gaps.shape[-1]
            if np.any(least < reversals.gaps[number, :, nearest]):
                lowered = reversals.gaps.copy() if lowered is None else lowered
                lowered[number, :, nearest] = np.minimum(lowered[number, :, nearest], least)
    return gaps if lowered is None else lowered.reshape(gaps.shape)


class _Reversals:
    """The loads that decide on which side play is taken up: the teeth's first, then those of the rods' pins."""

    def __init__(self, curve: GapCurve, speed: Number, gaps: np.ndarray):
        self.gaps = gaps.reshape(-1, *gaps.shape[-2:])
        speeds, places, angles = self.gaps.shape
        rods = 0 if curve.rods is None else curve.rods.slack.shape[-2]
        at = np.reshape(speed, (-1, 1))
        self.loads = np.zeros((speeds, 1 + rods, angles))
        self.slack = np.zeros((places, rods, angles))
        if curve.tooth is not None:
            self.loads[:, :1] = curve.tooth.at(at)
        if curve.rods is not None:
            self.loads[:, 1:] = curve.rods.thrust.at(at)
            self.slack = np.broadcast_to(curve.rods.slack, (places, rods, angles))
        self.changes = self.loads * np.roll(self.loads, -1, axis=-1) < 0
        still = np.zeros((1, 1))
        leads = (still,) * 3 if curve.leads is None else (curve.leads.ahead, curve.leads.behind, curve.leads.neither)
        self.leads = [np.broadcast_to(each, (places, angles)) for each in leads]

    def that_matter(self) -> Iterator[tuple[int, int]]:
        """Yield the speeds and angles, by number, after which a reversal could make the gap the least of all."""
        if not np.any(self.changes):
            return
        ahead, behind, _ = self.leads
        size = np.concatenate([np.max(np.abs(ahead - behind), axis=0)[None], 2 * np.max(np.abs(self.slack), axis=0)])
        gap = np.min(self.gaps, axis=-2)
        most = np.einsum("sra,ra->sa", self.changes, size)
        lowest = np.minimum(gap, np.roll(gap, -1, axis=-1)) - most
        for number, angle in np.argwhere((most > 0) & (lowest < np.min(gap, axis=-1, keepdims=True))):
            yield int(number), int(angle)

    def after(self, number: int, angle: int) -> Iterator[tuple[float, np.ndarray]]:
        """Yield how far beyond an angle loads change their sign, in steps, and the least gap at each place there."""
        here, there = (self.loads[number, :, index % self.gaps.shape[-1]] for index in (angle, angle + 1))
        changing = self.changes[number, :, angle]
        shares = np.where(changing, here / np.where(changing, here - there, 1.0), np.inf)
        without_play = self._without_play(number, (angle + np.arange(-1, 3)) % self.gaps.shape[-1])
        for share in np.unique(shares[changing]):
            both = []
            for gone_over in (shares < share - AT_ONCE, shares < share + AT_ONCE):  # just before it and just after it
                signs = np.sign(np.where(gone_over, there, here))
                slack = self._linear(self.slack, angle, share) @ signs[1:]
                both.append(without_play @ _cubic_weights(share) + self._lead(signs[0], angle, share) - slack)
            yield float(share), np.minimum(*both)

    def _without_play(self, number: int, angles: np.ndarray) -> np.ndarray:
        signs = np.sign(self.loads[number][:, angles])
        leads = [self._lead(sign, angle, 0.0) for sign, angle in zip(signs[0], angles, strict=True)]
        slack = np.einsum("pra,ra->pa", self.slack[..., angles], signs[1:])
        return self.gaps[number][:, angles] - np.stack(leads, axis=-1) + slack

    def _lead(self, sign: float, angle: int, share: float) -> np.ndarray:
        return self._linear(self.leads[0 if sign > 0 else 1 if sign < 0 else 2], angle, share)

    def _linear(self, history: np.ndarray, angle: int, share: float) -> np.ndarray:
        return (1 - share) * history[..., angle] + share * history[..., (angle + 1) % history.shape[-1]]


def _cubic_weights(share: float) -> np.ndarray:
    """Return weights of the values at -1, 0, 1 and 2 steps for the cubic through them, at a share of the middle one."""
    at = np.arange(-1.0, 3.0)
    return np.array([np.prod([(share - other) / (each - other) for other in at if other != each]) for each in at])

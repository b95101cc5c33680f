"""Where play changes sides between two crank angles: what the gap comes to there, for a single design.

A rod's pin or the teeth leap from one side of their play to the other as their load changes its sense. That happens at
an angle of its own, and just before it or after it the gap may be less than at any angle that is looked at. Only where
it could make the gap the least of all is it worked out.
"""

from collections.abc import Iterator

import numpy as np

from balance.quantities import Number
from shafts.gap.course import GapCurve

AT_ONCE = 1e-6  # of a step: loads that change sense within it, as mirrored ones do, do so together


def with_leaps(course: GapCurve, speed: Number, rooms: np.ndarray) -> np.ndarray:
    """Return the room at each place and angle, m, lowered to what it is within half a step of it.

    speed : one, or (speeds,).   rooms : (places, angles), or (speeds, places, angles), at the angles themselves, with
    all that shifts the yokes. Where nothing is lowered these very rooms are returned.
    """
    leaps = _Leaps(course, speed, rooms)
    lowered: np.ndarray | None = None
    for number, angle in leaps.that_matter():
        for share, least in leaps.after(number, angle):
            nearest = (angle + (share > 0.5)) % rooms.shape[-1]
            if np.any(least < leaps.rooms[number, :, nearest]):
                lowered = leaps.rooms.copy() if lowered is None else lowered
                lowered[number, :, nearest] = np.minimum(lowered[number, :, nearest], least)
    return rooms if lowered is None else lowered.reshape(rooms.shape)


class _Leaps:
    """The loads that decide on which side play is taken up: the teeth's first, then those of the rods' pins."""

    def __init__(self, course: GapCurve, speed: Number, rooms: np.ndarray):
        self.rooms = rooms.reshape(-1, *rooms.shape[-2:])
        speeds, places, angles = self.rooms.shape
        rods = course.slack.shape[-2]
        at = np.reshape(speed, (-1, 1))
        self.loads = np.empty((speeds, 1 + rods, angles))
        self.loads[:, :1], self.loads[:, 1:] = course.tooth.at(at), course.thrust.at(at)
        self.changes = self.loads * np.roll(self.loads, -1, axis=-1) < 0
        self.slack = np.broadcast_to(course.slack, (places, rods, angles))
        self.leads = [np.broadcast_to(each, (places, angles)) for each in course.leads]

    def that_matter(self) -> Iterator[tuple[int, int]]:
        """Yield the speeds and angles, by number, after which a leap could make the gap less than it is anywhere."""
        if not np.any(self.changes):
            return
        ahead, behind, _ = self.leads
        size = np.concatenate([np.max(np.abs(ahead - behind), axis=0)[None], 2 * np.max(np.abs(self.slack), axis=0)])
        gap = np.min(self.rooms, axis=-2)
        most = np.einsum("sra,ra->sa", self.changes, size)
        lowest = np.minimum(gap, np.roll(gap, -1, axis=-1)) - most
        for number, angle in np.argwhere((most > 0) & (lowest < np.min(gap, axis=-1, keepdims=True))):
            yield int(number), int(angle)

    def after(self, number: int, angle: int) -> Iterator[tuple[float, np.ndarray]]:
        """Yield how far beyond an angle loads change their sense, in steps, and the least room at each place there."""
        here, there = (self.loads[number, :, place % self.rooms.shape[-1]] for place in (angle, angle + 1))
        changing = self.changes[number, :, angle]
        shares = np.where(changing, here / np.where(changing, here - there, 1.0), np.inf)
        without_play = self._without_play(number, (angle + np.arange(-1, 3)) % self.rooms.shape[-1])
        for share in np.unique(shares[changing]):
            both = []
            for gone_over in (shares < share - AT_ONCE, shares < share + AT_ONCE):  # just before it and just after it
                senses = np.sign(np.where(gone_over, there, here))
                slack = self._linear(self.slack, angle, share) @ senses[1:]
                both.append(without_play @ _between(share) + self._lead(senses[0], angle, share) - slack)
            yield float(share), np.minimum(*both)

    def _without_play(self, number: int, angles: np.ndarray) -> np.ndarray:
        senses = np.sign(self.loads[number][:, angles])
        leads = [self._lead(sense, angle, 0.0) for sense, angle in zip(senses[0], angles, strict=True)]
        slack = np.einsum("pra,ra->pa", self.slack[..., angles], senses[1:])
        return self.rooms[number][:, angles] - np.stack(leads, axis=-1) + slack

    def _lead(self, sense: float, angle: int, share: float) -> np.ndarray:
        return self._linear(self.leads[0 if sense > 0 else 1 if sense < 0 else 2], angle, share)

    def _linear(self, course: np.ndarray, angle: int, share: float) -> np.ndarray:
        return (1 - share) * course[..., angle] + share * course[..., (angle + 1) % course.shape[-1]]


def _between(share: float) -> np.ndarray:
    """Return weights of the values at -1, 0, 1 and 2 steps for the cubic through them, at a share of the middle one."""
    at = np.arange(-1.0, 3.0)
    return np.array([np.prod([(share - other) / (each - other) for other in at if other != each]) for each in at])

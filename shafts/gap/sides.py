"""Where play changes sides between two crank angles: what the gap comes to there, for a single design.

A rod's pin or the teeth leap from one side of their play to the other as their load changes its sense. That happens at
an angle of its own, and just before it or after it the gap may be less than at any angle that is looked at. Only where
it could make the gap the least of all is it worked out.
"""

from collections.abc import Iterator

import numpy as np

from shafts.gap.course import Course

AT_ONCE = 1e-6  # of a step: loads that change sense within it, as mirrored ones do, do so together


def with_leaps(course: Course, speed: float, rooms: np.ndarray) -> np.ndarray:
    """Return the room at each place and angle, m, (places, angles), lowered to what it is within half a step of it.

    rooms : at the angles themselves, with all that shifts the yokes.
    """
    leaps = _Leaps(course, speed, rooms)
    lowered = rooms
    for angle in leaps.that_matter():
        for share, least in leaps.after(int(angle)):
            nearest = (angle + (share > 0.5)) % rooms.shape[-1]
            if np.any(least < lowered[:, nearest]):
                lowered = lowered.copy() if lowered is rooms else lowered
                lowered[:, nearest] = np.minimum(lowered[:, nearest], least)
    return lowered


class _Leaps:
    """The loads that decide on which side play is taken up: the teeth's first, then those of the rods' pins."""

    def __init__(self, course: Course, speed: float, rooms: np.ndarray):
        count = rooms.shape[-1]
        loads = [np.broadcast_to(each.at(np.asarray(speed)[..., None]), (size, count))
                 for each, size in ((course.tooth, 1), (course.thrust, course.slack.shape[-2]))]  # fmt: skip
        self.rooms, self.loads = rooms, np.concatenate(loads)
        self.changes = self.loads * np.roll(self.loads, -1, axis=-1) < 0
        self.slack = np.broadcast_to(course.slack, (len(rooms), len(loads[1]), count))
        self.leads = [np.broadcast_to(each, rooms.shape) for each in course.leads]

    def that_matter(self) -> np.ndarray:
        """Return the angles, by number, after which a leap could make the gap less than it is anywhere."""
        if not np.any(self.changes):
            return np.zeros(0, dtype=int)
        ahead, behind, _ = self.leads
        size = np.concatenate([np.max(np.abs(ahead - behind), axis=0)[None], 2 * np.max(np.abs(self.slack), axis=0)])
        gap = np.min(self.rooms, axis=0)
        lowest = np.minimum(gap, np.roll(gap, -1)) - np.sum(self.changes * size, axis=0)
        return np.flatnonzero(np.any(self.changes, axis=0) & (lowest < np.min(gap)))

    def after(self, angle: int) -> Iterator[tuple[float, np.ndarray]]:
        """Yield how far beyond an angle loads change their sense, in steps, and the least room at each place there."""
        here, there = (self.loads[:, place % self.rooms.shape[-1]] for place in (angle, angle + 1))
        changing = self.changes[:, angle]
        shares = np.where(changing, here / np.where(changing, here - there, 1.0), np.inf)
        four = (angle + np.arange(-1, 3)) % self.rooms.shape[-1]
        without_play = self._without_play(four)
        for share in np.unique(shares[changing]):
            both = []
            for gone_over in (shares < share - AT_ONCE, shares < share + AT_ONCE):  # just before it and just after it
                senses = np.sign(np.where(gone_over, there, here))
                slack = self._linear(self.slack, angle, share) @ senses[1:]
                both.append(without_play @ _between(share) + self._lead(senses[0], angle, share) - slack)
            yield float(share), np.minimum(*both)

    def _without_play(self, angles: np.ndarray) -> np.ndarray:
        senses = np.sign(self.loads[:, angles])
        lead = np.stack(
            [self._lead(sense, angle, 0.0) for sense, angle in zip(senses[0], angles, strict=True)], axis=-1
        )
        return self.rooms[:, angles] - lead + np.einsum("pra,ra->pa", self.slack[..., angles], senses[1:])

    def _lead(self, sense: float, angle: int, share: float) -> np.ndarray:
        return self._linear(self.leads[0 if sense > 0 else 1 if sense < 0 else 2], angle, share)

    def _linear(self, course: np.ndarray, angle: int, share: float) -> np.ndarray:
        return (1 - share) * course[..., angle] + share * course[..., (angle + 1) % course.shape[-1]]


def _between(share: float) -> np.ndarray:
    """Return weights of the values at -1, 0, 1 and 2 steps for the cubic through them, at a share of the middle one."""
    at = np.arange(-1.0, 3.0)
    return np.array([np.prod([(share - other) / (each - other) for other in at if other != each]) for each in at])

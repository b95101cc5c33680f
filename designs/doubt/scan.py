"""Each unknown by itself from end to end, all others at their middle: where a limit turns, and the worst corner."""

from dataclasses import dataclass

import numpy as np

from designs.doubt.judging import AS_SEEN, Closer, Judge, Judged, RowKey, closer_look
from designs.doubt.unknowns import Unknown
from designs.reading.taken import right_of

STEPS = 9  # even steps from end to end
FINER = 17  # steps of each closer look between two of them
LOOKS = 2  # closer looks: a turning point is then known to 0.05 percent of the range


@dataclass(frozen=True, eq=False)
class Scan:
    """What came of it.

    shares : (unknowns, STEPS).   judged : each limit at unknowns * STEPS machines.   left : which unknowns are of the
    left side alone, (unknowns,).
    """

    shares: np.ndarray
    judged: dict[RowKey, Judged]
    left: np.ndarray

    def reserve(self, row_key: RowKey) -> np.ndarray:
        """Return how far the limit is kept, (unknowns, STEPS)."""
        return self.judged[row_key].reserve.reshape(self.shares.shape)

    def worst(self, row_key: RowKey) -> np.ndarray:
        """Return where each unknown is worst for a limit, (unknowns,); in its middle if it does nothing.

        A machine that cannot be built is not the worst one, but none.
        """
        reserve = np.where(np.isneginf(self.reserve(row_key)), np.inf, self.reserve(row_key))
        steps = np.argmin(reserve, axis=1)
        spread = np.max(self.reserve(row_key), axis=1) > np.min(reserve, axis=1)
        return np.where(spread, self.shares[np.arange(len(steps)), steps], 0.5)

    def by_sides(self, row_key: RowKey) -> bool:
        """Return whether a limit hangs on what is made otherwise on the left: where yokes tilt, both count."""
        reserve = self.reserve(row_key)
        spread = np.max(reserve, axis=1) > np.min(np.where(np.isneginf(reserve), np.inf, reserve), axis=1)
        return bool(np.any(spread & self.left))

    def one_way(self, row_key: RowKey) -> bool:
        """Return whether the limit's value goes one way along every unknown: then its worst is at the ends."""
        with np.errstate(invalid="ignore"):
            steps = np.nan_to_num(np.diff(self.reserve(row_key), axis=1))
        rounding = 1e-9 * np.max(np.abs(steps), initial=0.0)
        return bool(np.all(np.all(steps >= -rounding, axis=1) | np.all(steps <= rounding, axis=1)))


def scanned(judge: Judge, unknowns: list[Unknown]) -> Scan:
    """Judge each unknown from end to end."""
    shares = np.array([np.linspace(*each.ends, STEPS) for each in unknowns])
    moved = np.arange(shares.size).reshape(shares.shape) % STEPS != STEPS // 2
    moved[0] = True  # the machine in the middle is one and the same, whichever unknown is not moved
    numbers = np.where(moved, np.cumsum(moved).reshape(shares.shape) - 1, STEPS // 2).ravel()
    judged = judge(_alone(len(unknowns), [(n, shares[n, step]) for n, step in np.argwhere(moved)]))
    return Scan(
        shares,
        {row_key: each.of(numbers) for row_key, each in judged.items()},
        np.array([right_of(each.entries[0][0]) is not None for each in unknowns]),
    )


def tilted(judge: Judge, scan: Scan, corners: dict[RowKey, np.ndarray]) -> dict[RowKey, np.ndarray]:
    """Return worse corners than those in which each unknown is worst by itself, as far as such are found.

    Two sides that both stand low lower a yoke's ends less than one that stands low and one that stands high. So the
    unknown whose other end is worst goes there, and then, the yoke tilted, all that are worse at their other end too.
    """
    low, high = scan.shares[:, 0], scan.shares[:, -1]
    worse, count = dict(corners), len(low)
    for several in (False, True):
        if not corners:
            break
        turned = {row_key: np.where(corner < 0.5, high, low) for row_key, corner in corners.items()}
        machines = [
            np.column_stack([corner, corner[:, None] + np.diag(turned[row_key] - corner)])
            for row_key, corner in corners.items()
        ]
        judged = judge(np.concatenate(machines, axis=1), corners)
        leaning = {}
        for number, (row_key, corner) in enumerate(corners.items()):
            reserve = judged[row_key].reserve[number * (count + 1) : (number + 1) * (count + 1)]
            reserve = np.where(np.isneginf(reserve), np.inf, reserve)  # no machine at all
            lean = reserve[1:] < reserve[0]
            if not several:
                lean &= np.arange(count) == int(np.argmin(reserve[1:]))
            if np.any(lean):
                leaning[row_key] = np.where(lean, turned[row_key], corner)
        worse |= leaning
        corners = leaning  # where none was worse, none will be
    return worse


def _alone(count: int, places: list[tuple[int, float]]) -> np.ndarray:
    """Return machines in each of which one unknown is moved, (unknowns, machines)."""
    shares = np.full((count, len(places)), 0.5)
    for machine, (unknown, share) in enumerate(places):
        shares[unknown, machine] = share
    return shares


@dataclass(frozen=True)
class Crossing:
    """Between which shares of an unknown a limit turns: it holds at `holds` and fails at `fails`, both run."""

    holds: float
    fails: float


def crossings(
    judge: Judge, scan: Scan, wanted: list[tuple[RowKey, int]], looks: dict[tuple[RowKey, int], Closer] | None = None
) -> dict[tuple[RowKey, int], Crossing]:
    """Return where each wanted limit turns along an unknown, where it does so once, closely.

    looks : what a closer look makes of the values beside each crossing.
    """
    seen = {each: (looks or {}).get(each, AS_SEEN) for each in wanted}
    met = {each: crossing for each in wanted if (crossing := _crossing(scan, *each, seen[each])) is not None}
    for _ in range(LOOKS if met else 0):
        points = {each: np.linspace(at.holds, at.fails, FINER) for each, at in met.items()}
        flat = [(unknown, share) for (_, unknown), row in points.items() for share in row]
        judged = judge(_alone(len(scan.shares), flat), [row_key for row_key, _ in points])
        for number, ((row_key, unknown), row) in enumerate(points.items()):
            every = judged[row_key].seen(seen[row_key, unknown]).holds
            holds = every[number * FINER : (number + 1) * FINER]
            first = int(np.argmin(holds))  # the first that fails: the last point does
            if holds[first] or not first:
                continue  # at an end but for rounding: it stays as it is known
            met[(row_key, unknown)] = Crossing(float(row[first - 1]), float(row[first]))
    return met


def confirmed(judge: Judge, scan: Scan, met: dict[tuple[RowKey, int], Crossing]) -> dict[tuple[RowKey, int], Crossing]:
    """Return crossings as they are once the machine at each of them is looked at as closely as the middle one."""
    if not met:
        return {}
    points = _alone(len(scan.shares), [(unknown, at.holds) for (_, unknown), at in met.items()])
    judged = judge(points, [row_key for row_key, _ in met])
    looks = {
        (row_key, unknown): closer_look(
            judge.alone(points[:, number], {row_key[0]}).get(row_key, np.nan), float(judged[row_key].values[number])
        )
        for number, (row_key, unknown) in enumerate(met)
    }
    return crossings(judge, scan, list(met), looks)


def _crossing(scan: Scan, row_key: RowKey, unknown: int, look: Closer) -> Crossing | None:
    shares = scan.shares[unknown]
    holds = scan.judged[row_key].seen(look).holds.reshape(scan.shares.shape)[unknown]
    turns = np.flatnonzero(np.diff(holds))
    if len(turns) != 1:
        return None
    before, after = float(shares[turns[0]]), float(shares[turns[0] + 1])
    return Crossing(before, after) if holds[turns[0]] else Crossing(after, before)

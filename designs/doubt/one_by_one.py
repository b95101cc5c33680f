"""Limits that take one machine at a time: in the middle one, and in a few that are as bad as they may be.

Two are the corners in which the limits nearest to failing are at their worst. Parts that come near each other have
machines of their own besides: what each unknown does to how far the two are apart says which way lies their worst.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np

from balance.doubt.ranges import NORMAL
from balance.many import legal, one
from balance.motion import move
from balance.obstacles import ANGLES, Obstacle
from balance.turning import mirrored_name
from designs.doubt.judging import Judge, Judged, RowKey, placed
from designs.doubt.scan import Scan
from designs.doubt.unknowns import machines
from designs.doubt.words import depends_in_corners
from designs.many.beside import shared
from designs.verdict import clearances
from designs.verdict.row import Doubt, Row
from shafts.clearance.clearances import Clearance, every_part, rigid_distance

CORNERS = 2  # machines for all of these limits
OWN = 2  # machines more for the parts that come nearest each other
MANYFOLD = 5.0  # times their deflection in the middle machine is as much as parts are taken to have in any
DEVIATIONS = 3.0  # from the middle, at most: laws of making are cut off there
MOVES = 1e-9  # m; an unknown that moves two parts by less than a nanometre does not move them
NOTE = "looked at in the middle and in {} corner machines only, not in all draws"


def one_by_one(
    judge: Judge, scan: Scan, at: dict[RowKey, Row], judged: dict[RowKey, Judged], sure: float
) -> dict[RowKey, Doubt]:
    """Return the doubt of the limits that take one machine at a time.

    at : the verdict in the middle.   judged : the limits that take many at once.   sure : share that must hold.
    """
    others = [row_key for row_key, row in at.items() if row_key not in judged and row.checked]
    if not others:
        return {}
    nearest = sorted(scan.judged, key=lambda row_key: _nearness(scan.judged[row_key]))
    corners = list({scan.worst(row_key).tobytes(): scan.worst(row_key) for row_key in nearest}.values())[:CORNERS]
    keys = {key for key, _ in others}
    asked = [(corner, keys) for corner in sorted(corners, key=judge.knows, reverse=True)]
    if hold := {at[row_key].key for row_key in others if at[row_key].passed}.intersection(clearances.EVERY_KEY):
        middle = np.full(len(judge.unknowns), 0.5)
        elsewhere = scan.worst(("gap", 0)) if ("gap", 0) in scan.judged else next(iter(corners), middle)
        own = _own(judge, _near(judge, hold), elsewhere, sure)
        asked += [(each, keys.intersection(clearances.EVERY_KEY)) for each in own]
    found = shared(lambda each: judge.whole(*each), asked)
    whole = [placed(rows) for rows in found if rows is not None]
    return {row_key: _doubt(row_key, at[row_key], whole, sure) for row_key in others} if whole else {}


def _nearness(judged: Judged) -> float:
    """Return the least reserve as a share of the limit."""
    return float(np.min(judged.reserve / np.maximum(np.abs(np.nan_to_num(judged.limits)), 1e-12)))


def _doubt(row_key: RowKey, row: Row, whole: list[dict[RowKey, Row]], sure: float) -> Doubt:
    rows = [row, *(each[row_key] for each in whole if row_key in each and each[row_key].checked)]
    values = [float(np.ravel(each.value)[0]) for each in rows if each.value is not None]
    holds = sum(bool(np.all(each.passed)) for each in rows)
    worst = max(values) if row.sense == "at most" else min(values)
    note = NOTE.format(len(rows) - 1)
    doubt = Doubt(len(rows), holds / len(rows), 0.0, 1.0, sure, (min(values), max(values)), worst, note=note)
    return replace(doubt, words=depends_in_corners(doubt))


@dataclass(frozen=True, eq=False)
class _Near:
    """Two parts as they come nearest in the middle machine.

    rigid : how far they are apart, rigid and without play, m.   least : at speed, m.
    """

    pair: Clearance
    degree: int
    rigid: float
    least: float

    @property
    def deflection(self) -> float:
        """By how much deflection brings them nearer each other, m."""
        return max(0.0, self.rigid - self.least)

    @property
    def as_mirrored(self) -> frozenset[str]:
        """The names of both parts, the same for their mirror images."""
        names = sorted((self.pair.one.name, self.pair.other.name))
        return frozenset(min(names, sorted(map(mirrored_name, names))))


def _near(judge: Judge, keys: Collection[str]) -> list[_Near]:
    """Return the parts that come nearest each other of each kind of pair whose limit holds; one of mirror images."""
    found, limit = list[_Near](), float(judge.middle.design.limits.gap)
    for group, (key, _) in clearances.KEYS.items():
        for pair in judge.middle.bodies.tightest(group) if key in keys else ():
            least, angle, _ = clearances.least_of(judge.middle, pair)
            degree = round(np.degrees(float(angle))) % ANGLES
            if least >= limit or not pair.taken:  # else it is left to look at, and no clash
                rigid = rigid_distance(pair.one, pair.other, np.arange(ANGLES) == degree)
                found.append(_Near(pair, degree, rigid, float(least)))
    ordered = sorted(found, key=lambda each: each.least, reverse=True)
    return list({each.as_mirrored: each for each in ordered}.values())


def _own(judge: Judge, near: list[_Near], elsewhere: np.ndarray, sure: float) -> list[np.ndarray]:
    """Return machines, (unknowns,), in which parts stand nearer each other than in so large a share of all.

    elsewhere : where an unknown is that does not move two parts, as stiffness does not: at its worst for the yokes.
    To first order in what does: the machine at the distance of `sure` from the middle, in deviations of a normal law,
    on the shortest way to where the parts meet.
    Source: Hasofer and Lind, Exact and invariant second-moment code format (1974), from memory.
    """
    if not near:
        return []
    slopes, beyond = _per_deviation(judge, near), NORMAL.inv_cdf(min(sure, NORMAL.cdf(DEVIATIONS)))
    sizes = np.linalg.norm(slopes, axis=1)
    left = [each.least - MANYFOLD * each.deflection - beyond * size for each, size in zip(near, sizes, strict=True)]
    own = []
    for number in np.argsort(left, kind="stable")[:OWN]:
        if left[number] < float(judge.middle.design.limits.gap):
            moves = np.abs(slopes[number]) > MOVES
            shares = [NORMAL.cdf(each) for each in -beyond * slopes[number] / (sizes[number] or 1.0)]
            own.append(np.where(moves, shares, elsewhere))
    return own


def _per_deviation(judge: Judge, near: list[_Near]) -> np.ndarray:
    """Return how much farther apart parts are where one unknown is a deviation above its middle, m, (pairs, unknowns).

    Rigid and without play, at the crank angle at which they come nearest; nothing where no machine is made of that.
    """
    count, shapes = len(judge.unknowns), judge.middle.shapes
    shares = np.full((count, count), 0.5)
    np.fill_diagonal(shares, NORMAL.cdf(1.0))
    drawn = machines(judge.middle.design, judge.unknowns, shares)
    places = [(_place(each.pair.one, shapes.parts), _place(each.pair.other, shapes.parts)) for each in near]
    degrees = np.array([each.degree for each in near])

    def moved(number: int) -> list[float]:
        design = one(drawn, number)
        parts = every_part(design, move(design, np.radians(degrees)), shapes.weights)
        if len(parts) != len(shapes.parts):
            return [0.0] * len(near)
        return [rigid_distance(parts[first], parts[second], np.arange(len(near)) == at) - each.rigid
                for at, ((first, second), each) in enumerate(zip(places, near, strict=True))]  # fmt: skip

    found, fine = np.zeros((len(near), count)), np.flatnonzero(legal(drawn, count))
    found[:, fine] = np.transpose([moved(int(number)) for number in fine])
    return found


def _place(part: Obstacle, parts: list[Obstacle]) -> int:
    return next(n for n, each in enumerate(parts) if each is part)

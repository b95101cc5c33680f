"""Which parts strike, come too near or do not fit by the verdict, with words; `clash_marks` draws them."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np

from balance.obstacles import Obstacle
from balance.outlines import ranges_meet
from balance.turning import HANDS, mirrored_name
from designs.evaluate import Evaluation
from designs.pages.misfits import misfits
from designs.shown import RPM, said
from designs.verdict.along import clearances_along
from designs.verdict.clearances import KEYS, least_of
from designs.verdict.counterweights import own_clearances
from designs.verdict.row import Row

GROUPS = {key: group for group, (key, _) in KEYS.items()}
NAMED = (*GROUPS, "axial_room", "counterweight_own")
"""Rows that name both parts."""


@dataclass(frozen=True, eq=False)
class Clash:
    """Parts that strike, come too near or do not fit.

    words : with how far, and where in the turn.   turn : share of the turn at which it is worst; None where it is alike
    all the time.   rpm : speed at which it is.
    """

    parts: tuple[Obstacle, ...]
    words: str
    turn: float | None = None
    rpm: float | None = None

    @property
    def data(self) -> dict[str, Any]:
        """As data for the page."""
        return {"words": self.words, "turn": self.turn, "rpm": self.rpm}


def clashes(evaluation: Evaluation, rows: Iterable[Row]) -> list[Clash]:
    """Return every clearance that fails of a single design, that of yokes first, then every fit that does.

    Of parts that both sides have, both pairs are told where both fail. Parts without a body are left out.
    """
    failing = [row for row in rows if row.passed is not None and not np.all(row.passed)]
    found = [_clash(evaluation, row, parts) for row in failing if (parts := _parts(evaluation, row))]
    keys = {row.key for row in failing}
    return [*found, *(Clash(parts, _sentence(words)) for words, parts in misfits(evaluation, keys) if parts)]


def _clash(evaluation: Evaluation, row: Row, parts: tuple[Obstacle, ...]) -> Clash:
    still = all(part.follows[0] == "case" or (part.follows[0] == "shaft" and part.circle is not None) for part in parts)
    angle = None if row.angle is None or still else float(row.angle) % (2 * np.pi)
    speed = None if row.speed is None or not np.isfinite(float(row.speed)) else float(row.speed) * RPM
    at = [] if angle is None else [f"crank angle {np.rad2deg(angle):.0f}°"]
    at += [] if speed is None or angle is None else [f"{speed:.0f} rpm"]
    where = f", at {', '.join(at)}" if at else ""
    words = f"{_names(row, parts)} {_how(row)}{where}"
    mirrored = list(_mirrored(evaluation, row, parts)) if row.key in NAMED else []
    if mirrored:
        words += f"; also too near: {'; '.join(f'{one} and {other}' for one, other in mirrored)}"
        also = {name for pair in mirrored for name in pair}
        parts += tuple(each for each in _given(evaluation) if each.name in also and each not in parts)
    return Clash(parts, _sentence(words), None if angle is None else angle / (2 * np.pi), speed)


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def _names(row: Row, parts: tuple[Obstacle, ...]) -> str:
    if row.key.startswith("displacer_to"):
        return row.what.removeprefix("clearance between ").partition(" (")[0]
    return row.where if row.key in NAMED else " and ".join(part.name for part in parts)


def _how(row: Row) -> str:
    value, limit = float(np.min(row.value)), float(np.min(row.limit))  # type: ignore[arg-type]
    if value < 0:
        return f"overlap by {said(-value, 'm', '.3g')}"
    return f"come within {said(value, 'm', '.3g')}, {said(limit, 'm', '.3g')} asked for" if value > 0 else "touch"


def _given(evaluation: Evaluation) -> list[Obstacle]:
    return [part for part in evaluation.shapes.parts if not part.taken]


def _parts(evaluation: Evaluation, row: Row) -> tuple[Obstacle, ...]:
    """Return the parts that the row of a clearance is about; none for all other rows."""
    if row.key == "gap":
        pair = next((each for each in evaluation.pairs if f"{each.upper} and {each.lower}" in row.what), None)
        names = () if pair is None else (pair.upper, pair.lower)
        return tuple(part for part in evaluation.shapes.parts if part.kind == "yoke" and part.follows[1] in names)
    given = _given(evaluation)
    if row.key in NAMED:
        return tuple(part for part in given if _is_named(part, row))
    if row.key == "bearing_rings":
        pairs = product(*([each for each in given if each.kind == "bearing" and each.hand == hand] for hand in HANDS))
        return tuple(dict.fromkeys(part for pair in pairs if _side_by_side(*pair) for part in pair))
    carried = [part for part in given if part.kind == "carried"]
    if row.key == "displacer_to_piston":
        return tuple(carried)
    if row.key == "displacer_to_hot_end":
        yokes = evaluation.machine.yokes
        return tuple(part for part in carried if getattr(yokes[part.follows[1]].carries, "kind", "") == "displacer")
    return ()


def _is_named(part: Obstacle, row: Row) -> bool:
    return row.where.startswith(f"{part.name} and ") or row.where.endswith(f" and {part.name}")


def _mirrored(evaluation: Evaluation, row: Row, parts: tuple[Obstacle, ...]) -> Iterator[tuple[str, str]]:
    """Yield the same two parts of the other side by name, where they are too near as well.

    Of a wall, which may have another name on the other side, every wall that is too near.
    """
    named = parts[0].name  # the other one may have no body
    first = row.where.startswith(f"{named} and ")
    names = (named, row.where[len(named) + 5 :]) if first else (row.where[: -len(named) - 5], named)
    known = {frozenset(names)}
    for one, other in product(*(_twins(evaluation, name) for name in names)):
        pair = frozenset((one, other))
        if pair not in known and _too_near(evaluation, row, pair):
            yield one, other
        known.add(pair)


def _twins(evaluation: Evaluation, name: str) -> list[str]:
    """Return the name of the same part on the other side, of walls that of every one."""
    if name in evaluation.machine.walls:
        return list(evaluation.machine.walls)
    return [mirrored_name(name)]


def _too_near(evaluation: Evaluation, row: Row, names: frozenset[str]) -> bool:
    """Return whether two parts fall short of a row's limit, as the row itself looks at them."""
    if row.key in GROUPS:
        pairs = evaluation.shapes.pairs[GROUPS[row.key]]
        wanted = (pair for pair in pairs if {each.name for each in pair} == names and not any(p.taken for p in pair))
        values = [float(least_of(evaluation, evaluation.bodies.clearance(*pair))[0]) for pair in wanted]
    elif row.key == "axial_room":
        values = [float(each.clearance) for each in clearances_along(evaluation) if {*each.names} == names]
    else:
        values = [float(each.gap) for each in own_clearances(evaluation) if {each.weight, each.part} == names]
    return any(value < float(np.min(row.limit)) for value in values)  # type: ignore[arg-type]


def _side_by_side(one: Obstacle, other: Obstacle) -> bool:
    """Return whether two bearings overlap."""
    (x, _, radius), (other_x, _, other_radius) = one.circle, other.circle  # type: ignore[misc]
    return bool(ranges_meet(one.z, other.z)) and abs(x - other_x) < radius + other_radius

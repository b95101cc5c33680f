"""By how much a limit must hold in the middle of what is not known, so that it holds in nearly all machines drawn.

Draws cost as much as many trials, so they are not made for every change that is tried: a change has to bring as much to
spare as the limit of the design as it stands is spread. Where that alone stands against a change that is followed up,
it is drawn itself: with it less may be unknown. So is what held in all machines, once a change leaves it too little to
spare, or once a few draws show that it may not hold. What `mend` finds is then drawn whole, with guards set anew.
"""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from balance.many import unchecked
from designs.counsel.plan import MAKING, Plan, entries_set, kept_doubts
from designs.counsel.trial import FAILING, SCALE, Trial, reserve
from designs.design import Design
from designs.doubt import standing, under_doubt, unsure
from designs.evaluate import Evaluation, evaluate_finely
from designs.reading.taken import clearances_of_sides
from designs.verdict import source_of
from designs.verdict.figure import of_limits
from designs.verdict.row import Row

MORE = 1.05  # times as much to spare as before, where that was not enough
FARTHER = 1.25  # of the way to an end that 95 of 100 draws keep within: so that a count of 512 of them is sure
HAIR = 1e-6  # of what a limit has to spare: with a guard so much larger it does not hold
HARDLY = 0.01  # of a limit: what is not nearer to it by so much stands as it stood
NEAR = 0.25  # of a limit: what is looked at in corners only and holds by less is looked at anew
NEAR_BY = 1.0  # the same of a clearance, of which play and making take about as much as is asked for
LEAST = 0.25  # of a value that should be large: as little as is counted on, however far it is spread


def guards_of(rows: Iterable[Row]) -> dict[str, float]:
    """Return how much limits must have to spare, SI, by key; none where nothing is in doubt."""
    found: dict[str, float] = {}
    for row in rows:
        spare = _spare(row)
        if spare > 0:
            found[row.key] = max(spare, found.get(row.key, 0.0))
    return found


def _spare(row: Row) -> float:
    return 0.0 if row.doubt is None or row.doubt.all_hold else _spread(row)


def _spread(row: Row) -> float:
    """Return how much a row must have to spare, SI, so that its limit holds as far as its value is spread."""
    if row.doubt is None or row.value is None or row.limit is None:
        return 0.0
    value, limit = (float(np.max(each)) for each in (row.value, row.limit))
    end = row.doubt.spread[1 if row.sense == "at most" else 0]
    away = abs(end - value) * (1.0 if row.doubt.note else FARTHER)
    if not np.isfinite(away):
        return 0.0
    if limit <= 0 or value <= 0 or row.unit == "m":
        return away
    # What is spread goes with the value: a limit is asked for its own share, so that it can always be met.
    return limit * away / (value + away) if row.sense == "at most" else limit * away / max(value - away, LEAST * value)


def settled(plan: Plan) -> Plan:
    """Return a plan with guards of its own for the limits that hold but for those of the design before it."""
    trial, written = plan.trial, as_written(plan)
    evaluation = evaluate_finely(written)
    thin = [key for key in trial.thin if len(written.doubts) < len(trial.design.doubts) or _nearer(plan, key)]
    thin += _at_its_end(plan)
    if not trial.still:
        thin += _may_not_hold(plan, evaluation, {*thin})
    if not thin:
        return plan
    rows = standing(evaluation, _vibrating(evaluation, trial, thin) if trial.still else trial.rows, thin)
    own, failing = guards_of(rows), {row.key for row in rows if row.state in FAILING}
    # Which corners are looked at follows from other limits: other corners alone are no gain.
    cornered = {row.key for row in rows if row.doubt is not None and row.doubt.note}
    guards = {**trial.guards}
    figures = of_limits(rows)
    for key in (each for each in thin if each not in cornered or _nearer(plan, each)):
        spare = reserve(trial.figures[key])
        apart = spare - reserve(figures[key]) if key in figures else 0.0
        by_vibration = apart if np.isfinite(apart) and apart > 0 else 0.0  # of what never comes there is no end
        wanted = by_vibration + own.get(key, 0.0)
        guards[key] = max(wanted, spare + HAIR * abs(spare)) if key in failing else by_vibration
    return replace(plan, trial=replace(trial, guards=guards))


def _may_not_hold(plan: Plan, evaluation: Evaluation, known: set[str]) -> list[str]:
    """Return further limits of a whole verdict that hold, but perhaps not in enough of the machines drawn.

    known : those that are drawn anyway.
    """
    near = [*_eaten(plan), *_near_in_corners(plan)]
    few = unsure(evaluation, plan.trial.rows, set(_to_draw(plan)) - known - {*near})
    return [key for key in dict.fromkeys([*near, *few]) if key not in known]


def _vibrating(evaluation: Evaluation, trial: Trial, keys: Iterable[str]) -> list[Row]:
    """Return the rows of a trial without vibration, those of some limits with it: as the machines are drawn with it."""
    fresh = [
        row for source in dict.fromkeys(source_of(key, evaluation) for key in keys) for row in source.rows(evaluation)
    ]
    anew = {row.key for row in fresh}
    return [*(row for row in trial.rows if row.key not in anew), *fresh]


def _at_its_end(plan: Plan) -> list[str]:
    """Return the limits that failed and now hold with nothing to spare: whatever is spread at all breaks them."""
    figures = plan.trial.figures
    held = [key for key in plan.base.failing if key in figures and key not in (*plan.trial.failing, *plan.trial.thin)]
    return [key for key in held if reserve(figures[key]) <= HAIR * abs(float(figures[key].limit or 0.0))]


def _eaten(plan: Plan) -> list[str]:
    """Return the limits that held in the machines drawn of the design before, and now have too little to spare."""
    figures, spread = plan.trial.figures, dict[str, float]()
    for row in plan.base.rows:
        spread[row.key] = max(_spread(row), spread.get(row.key, 0.0))
    now = {key: reserve(figures[key]) for key in spread if key in figures and key not in plan.trial.failing}
    return [key for key, left in now.items() if left < min(spread[key], reserve(plan.base.figures[key]))]


def _to_draw(plan: Plan) -> list[str]:
    """Return the limits in doubt that hold now, but did not before or have less to spare."""
    figures, base, before = plan.trial.figures, plan.base.figures, plan.base.failing
    doubted = dict.fromkeys(row.key for row in plan.base.rows if row.doubt is not None)
    hold = [key for key in doubted if key in figures and key in base and key not in plan.trial.failing]
    return [key for key in hold if key in before or reserve(figures[key]) < reserve(base[key])]


def _near_in_corners(plan: Plan) -> list[str]:
    """Return the limits that are looked at in a few corners only and hold by little, if a change has a part in that.

    Of parts that met and no longer do, all: they may meet in a corner, however far apart the next ones are.
    """
    figures, base, failing = plan.trial.figures, plan.base.figures, plan.base.failing
    cornered = dict.fromkeys(row.key for row in plan.base.rows if not row.checked or (row.doubt and row.doubt.note))
    near = []
    for key in (each for each in cornered if each in figures and each in base and each not in plan.trial.failing):
        figure, now, before = figures[key], reserve(figures[key]), reserve(base[key])
        limit = abs(float(figure.limit or 0.0)) or SCALE.get(figure.unit, 1.0)
        close = now < limit * (NEAR_BY if figure.unit == "m" else NEAR)
        eaten = np.isnan(before) or now < before - HARDLY * limit
        if (key in failing and (close or figure.unit == "m")) or (close and eaten):
            near.append(key)
    return near


def _nearer(plan: Plan, key: str) -> bool:
    """Whether a plan brings a limit nearer than it stands: else it fails in as many machines, with as much unknown."""
    if key not in plan.base.failing or key not in plan.base.figures:
        return True
    figure, before = plan.trial.figures[key], plan.base.figures[key]
    return reserve(figure) > reserve(before) + HARDLY * abs(float(figure.limit or 0.0))


def drawn(plan: Plan) -> Plan:
    """Return a plan with its verdict under all that is not known, and with guards of what that spreads."""
    if plan.trial.why_not:
        return plan
    rows = under_doubt(evaluate_finely(as_written(plan)), plan.trial.rows).rows
    guards = {**plan.trial.guards}
    for key, guard in guards_of(rows).items():
        guards[key] = max(guard, MORE * guards.get(key, 0.0))
    return Plan(replace(plan.base, guards=guards), plan.steps, replace(plan.trial, rows=rows, guards=guards))


def as_written(plan: Plan) -> Design:
    """Return the design of a plan as a file with its changes is read: what they say is in no doubt but of making.

    A group of clearances is a range whoever says it, and what is copied is known no better than before.
    """
    base, design = plan.base.design, plan.trial.design
    said, groups = entries_set(base, plan.steps), clearances_of_sides(base)
    doubts = {path: each for path, each in design.doubts.items() if path not in groups
              and (each.law == MAKING or not any(path[: len(keys)] == keys for keys in said))}  # fmt: skip
    doubts |= kept_doubts(base, plan.steps) | clearances_of_sides(design)
    return unchecked(design, {"doubts": doubts})

"""What the whole machine, worked out, says that a reading at the bench ought to be."""

from collections.abc import Callable, Iterator

import numpy as np

from balance.evidence import dial, volumes
from balance.evidence.estimate import Estimate, propagated
from balance.gas import swept_volumes
from balance.machine.machine import IsothermalGas, NoGas
from balance.many import unchecked
from balance.motion import move
from designs.design import Design
from designs.design.readings import Feeler, Measured, Push
from designs.evaluate import Evaluation
from designs.reading.measured.findings import Finding
from shafts.evidence.pushes import PushAt, counted_as_rigid, push_slope
from shafts.gap.items import yoke_tilt_along_shafts
from shafts.gap.pair import YokePair

FEEL = 3e-6
"""Standard deviation of what a feeler tells, m: its own thickness and the hand's feel; common practice, no source."""
BY_FEELERS = "feelers: between the two; put in over the whole width they set both faces parallel"


def predictions(evaluation: Evaluation) -> list[Finding]:
    """Return readings of the machine as a whole beside what a single design says they ought to be."""
    measured = evaluation.design.measured
    return [] if measured is None else [prediction for source in SOURCES for prediction in source(evaluation, measured)]


def _pushes(evaluation: Evaluation, measured: Measured) -> Iterator[Finding]:
    for push in measured.pushed:
        line = dial.slope(push.forces, push.readings, push.dial / 2)
        what = f"deflection under a push along {push.along} at {push.at}, {push.on} shaft"
        how = f"slope of the dial; the jump from rest of {line.at_zero.value * 1e6:.0f} um is play"
        if missing := counted_as_rigid(evaluation.design, push_at(push)):
            how += f"; as drawn, {', '.join(missing)} is left out and counts as rigid"
        yield Finding(
            f"pushed_{push.on}_{push.at}_{push.along}", what, float(pushed(evaluation, push)), line.slope, "m/N", how
        )


def push_at(push: Push) -> PushAt:
    """Return where and how a reading's push acts."""
    sizes = sorted({abs(each) for each in push.forces if each})
    forces = (sizes[0], sizes[-1]) if len(sizes) > 1 else (sizes[0] * 0.9, sizes[0] * 1.1)
    bearing = int(push.at.split()[1]) - 1 if push.at.startswith("bearing ") else None
    throw = push.at if bearing is None else None
    return PushAt(push.on, throw, bearing or 0, push.along, push.crank_at, forces)


def pushed(evaluation: Evaluation, push: Push) -> np.ndarray:
    """Return the deflection over force that a push ought to show, m/N, (options...)."""
    return push_slope(evaluation.design, push_at(push))


def _feelers(evaluation: Evaluation, measured: Measured) -> Iterator[Finding]:
    for feeler in measured.gap:
        low, high = feeler.feeler
        gap = propagated((low + high) / 2, (high - low) / np.sqrt(12.0), FEEL)
        degrees = np.rad2deg(feeler.at)
        what = f"gap of {feeler.yokes[0]} and {feeler.yokes[1]} at rest, at {degrees:.0f} deg"
        yield Finding(f"gap_at_{degrees:.0f}_deg", what, gap_at(evaluation, feeler), gap, "m", BY_FEELERS)


def gap_at(evaluation: Evaluation, feeler: Feeler) -> float | None:
    """Return a single design's gap at rest at a crank angle, m; None if the two yokes never face each other there."""
    resting = Evaluation(at_rest(evaluation.design), evaluation.oversampling, without_vibration=True)
    pair = pair_of(resting, feeler)
    if pair is None:
        return None
    gap = float(np.interp(feeler.at % (2 * np.pi), *_round(resting.motion.theta, parallel_gap(pair))))
    return gap if np.isfinite(gap) else None


def at_rest(design: Design) -> Design:
    """Return a design as it stands cold and open on the bench: no gas pushes, nothing has grown by heat."""
    cold = {name: unchecked(yoke, {"temperature": None}) for name, yoke in design.yokes.items()}
    fits = unchecked(design.fits, {"case_temperature": None})
    return unchecked(design, {"gas": NoGas(), "yokes": cold, "fits": fits})


def parallel_gap(pair: YokePair) -> np.ndarray:
    """Return the gap at rest as feelers find it, m, (options..., angles).

    Put in over the whole width they set both faces parallel, so that no yoke leans within the play of its guide; for
    contact each is taken to lean to the side that closes the gap, which would book a reading to something else.
    """
    tilting = yoke_tilt_along_shafts.by_play(pair.loaded, pair.facing, "expected").clearances(0.0)
    return np.min(pair.clearances(0.0) - tilting, axis=-2)


def pair_of(evaluation: Evaluation, feeler: Feeler) -> YokePair | None:
    """Return the pair of yokes that a feeler was put between; None if they do not face each other."""
    wanted = set(feeler.yokes)
    return next((pair for pair in evaluation.pairs if {pair.upper, pair.lower} == wanted), None)


def _round(theta: np.ndarray, values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    return np.append(theta, 2 * np.pi), np.append(values, values[0])


def _contact(evaluation: Evaluation, measured: Measured) -> Iterator[Finding]:
    told = measured.first_contact
    if told is None or not evaluation.pairs:
        return
    drawn = min(evaluation.contact(pair) for pair in evaluation.pairs)
    if told.seen is not None:
        yield Finding("first_contact", "speed of first contact", drawn, told.seen, "rad/s", "seen or felt")
    elif told.heard is not None:
        before = Estimate(told.heard.value - told.late_by, float(np.hypot(told.heard.sd, told.late_by)))
        yield Finding(
            "first_contact", "speed of first contact", drawn, before, "rad/s", "heard, less what it is late by"
        )
    elif told.none_up_to is not None:
        how = "none heard up to it: contact lies above, or it was not loud enough yet"
        lowest = told.none_up_to
        drawn_or_beyond = lowest.value if drawn > lowest.value else drawn
        yield Finding("no_contact_up_to", "speed without contact", drawn_or_beyond, lowest, "rad/s", how)


def _gas(evaluation: Evaluation, measured: Measured) -> Iterator[Finding]:
    told, design = measured.pressure, evaluation.design
    if told is None:
        return
    if told.found_swing is not None and evaluation.gas.pressure is not None:
        drawn = float(np.ptp(evaluation.gas.pressure))
        yield Finding(
            "pressure_swing", "swing of the gas pressure", drawn, told.found_swing, "Pa", "gauge behind a one-way valve"
        )
    laid = told.dead_by_syringe
    if laid is not None and isinstance(design.gas, IsothermalGas):
        whole = volumes.closed_volume(laid.pushed, laid.rise, laid.ambient)
        closed = propagated(whole.value - laid.before.value, whole.sd, laid.before.sd)
        swept = swept_volumes(design, move(design, _angles_with(laid.at)))
        dead = design.gas.dead
        drawn = float(dead.hot + dead.cold + dead.regenerator)
        dead_volume = Estimate(closed.value - (float(swept.total[0]) - drawn), closed.sd)
        how = "syringe; which of the spaces it is in is not told"
        yield Finding("dead_volume", "dead volume in all", drawn, dead_volume, "m^3", how)


def _angles_with(first: float) -> np.ndarray:
    """Return crank angles evenly round the turn that begin with a wanted one."""
    return first + np.arange(360) * (2 * np.pi / 360)


SOURCES: tuple[Callable[[Evaluation, Measured], Iterator[Finding]], ...] = (_pushes, _feelers, _contact, _gas)
"""Where they come from, in the order in which they are shown."""

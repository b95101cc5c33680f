"""Readings as evidence: what each is of, how likely it is on a machine, and what is left out and why."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from balance.evidence import dial, likelihood
from balance.evidence.estimate import Estimate
from balance.machine.machine import IsothermalGas
from designs.design import Design
from designs.design.readings import FirstContact, Measured
from designs.evaluate import Evaluation
from designs.learning.observing import AtRest, BareCrank, DeadVolume, Observable, Pushed, Touching
from designs.measuring.predicted import FEEL, predictions, push_at
from designs.reading.measured.findings import Finding, findings
from designs.shown import RPM
from shafts.evidence.pushes import counted_as_rigid

LATEST = 2.3
"""Mean delays within which 9 of 10 knocks are heard: exponential law."""
Log = Callable[[np.ndarray], np.ndarray]


@dataclass(frozen=True)
class Evidence:
    """One reading.

    what : in words.   of : what it is read off.   log_likelihood : of the columns of that, (machines, columns).
    read, sd : the reading itself in the first of those columns, and how far off it may be, for telling whether any
    machine comes near it.
    one_sided : whether it only says that the quantity lies beyond the reading.
    """

    what: str
    of: Observable
    log_likelihood: Log
    read: float
    sd: float
    one_sided: bool = False


def evidence(design: Design) -> list[Evidence]:
    """Return the readings of a design that tell of the machine as a whole, beside those that are entries themselves."""
    measured = design.measured
    return [] if measured is None else [each for source in SOURCES for each in source(design, measured)]


def unused(evaluation: Evaluation) -> list[str]:
    """Return in words what was read but tells nothing here, and why."""
    measured = evaluation.design.measured
    if measured is None:
        return []
    words = [
        f"push at {each.at}: {', '.join(missing)} is left out and counts as rigid, so it would be booked elsewhere"
        for each in measured.pushed
        if (missing := counted_as_rigid(evaluation.design, push_at(each)))
    ]
    if measured.pressure is not None and measured.pressure.found_swing is not None:
        words.append("swing of pressure: the ideal cycle is not exact enough to tell of single entries")
    if measured.brake is not None or measured.drag is not None:
        words.append("brake and drag: they tell of friction and pressure, which hardly touch the gap")
    if measured.check_with == "drawing":
        words.append("readings of single entries: `check_with: drawing` sets them aside")
    return words


def _contact(design: Design, measured: Measured) -> Iterator[Evidence]:
    told = measured.first_contact
    if told is not None:
        yield _of_knock(told)


def _of_knock(told: FirstContact) -> Evidence:
    def log(columns: np.ndarray) -> np.ndarray:
        contact = columns[:, 0]
        if told.seen is not None:
            return likelihood.value(contact, told.seen)
        if told.heard is not None:
            return likelihood.heard(contact, told.heard, told.late_by)
        assert told.none_up_to is not None
        return likelihood.none_heard(contact, told.none_up_to, told.late_by)

    reading = told.seen or told.heard or told.none_up_to
    assert reading is not None
    way = "seen at" if told.seen else "heard from" if told.heard else "none up to"
    what = f"first contact {way} {reading.value * RPM:.0f} +- {reading.half_width * RPM:.0f} rpm"
    late = 0.0 if told.seen is not None else LATEST * told.late_by
    return Evidence(
        what, Touching(), log, reading.value, float(np.hypot(reading.sd, late)), told.none_up_to is not None
    )


def _gaps(design: Design, measured: Measured) -> Iterator[Evidence]:
    for feeler in measured.gap:
        low, high = feeler.feeler

        def log(columns: np.ndarray, low: float = low, high: float = high) -> np.ndarray:
            return likelihood.interval(columns[:, 0], low, high, FEEL)

        what = f"feelers at {np.rad2deg(feeler.at):.0f} deg: {low * 1e3:g} to {high * 1e3:g} mm"
        yield Evidence(what, AtRest(feeler), log, (low + high) / 2, (high - low) / 2 + FEEL)


def _pushes(design: Design, measured: Measured) -> Iterator[Evidence]:
    for push in measured.pushed:
        if not counted_as_rigid(design, push_at(push)):
            line = dial.slope(push.forces, push.readings, push.dial / 2).slope
            what = f"push at {push.at}, {push.on}: {line.value * 1e6:.2f} +- {line.half_width * 1e6:.2f} um/N"
            yield Evidence(what, Pushed(push), _normal(line), line.value, line.sd)


def _cranks(design: Design, measured: Measured) -> Iterator[Evidence]:
    named = {each.key: each for each in findings(design)}
    for hand in ("right", "left"):
        x, y = (named.get(f"cranks_{hand}_unbalance_{axis}") for axis in "xy")
        if x is not None and y is not None:
            of = BareCrank("right" if hand == "right" else "left")
            yield Evidence(f"unbalance of the bare {hand} crank", of, _both(x, y), x.found.value, x.found.sd)


def _both(x: Finding, y: Finding) -> Log:
    def log(columns: np.ndarray) -> np.ndarray:
        return likelihood.value(columns[:, 0], x.found) + likelihood.value(columns[:, 1], y.found)

    return log


def _dead(design: Design, measured: Measured) -> Iterator[Evidence]:
    if measured.pressure is None or measured.pressure.dead_by_syringe is None:
        return
    if isinstance(design.gas, IsothermalGas):
        volume = next(each for each in predictions(Evaluation(design)) if each.key == "dead_volume").found
        yield Evidence("dead volume by the syringe", DeadVolume(), _normal(volume), volume.value, volume.sd)


def _normal(estimate: Estimate) -> Log:
    def log(columns: np.ndarray) -> np.ndarray:
        return likelihood.value(columns[:, 0], estimate)

    return log


SOURCES: tuple[Callable[[Design, Measured], Iterator[Evidence]], ...] = (_contact, _gaps, _pushes, _cranks, _dead)
"""Where evidence comes from, in the order in which it is told."""

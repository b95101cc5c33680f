"""What was found on the machine, beside what is drawn and what it was worked with."""

from typing import Any

import numpy as np

from balance.evidence.brake import NAMES
from balance.evidence.estimate import APART, COVERAGE, Estimate
from designs.evaluate import Evaluation
from designs.measuring.braked import Braked, braked
from designs.measuring.predicted import predictions
from designs.reading.measured.findings import Finding
from designs.shown import imperial, shown
from designs.table import Column, Table, plain

THOUSAND_RPM = 1000 * np.pi / 30
SMALL = 1e-4  # m
SHOWN_HERE = {
    "K": ("K", 1.0, 1),
    "m/N": ("µm/N", 1e6, 2),
    "N m s": ("mN m per 1000 rpm", 1e3 * THOUSAND_RPM, 2),
    "N m s^2": ("mN m per (1000 rpm)^2", 1e3 * THOUSAND_RPM**2, 2),
}


class Amount(dict):
    """A number with a unit of its own: plain data for JSON, and a text for people; infinite where there is none.

    like : the size of the numbers beside it, which decides the unit.   doubt : half-width of what is doubted about it,
    which decides the digits: two of the half-width, and as many places of what it belongs to.
    """

    def __init__(self, value: float | None, unit: str, like: float = 0.0, doubt: float | None = None):
        super().__init__(value=None if value is None else plain(float(value)), unit=unit or "1")
        self._text = "-" if value is None else "none"
        if value is not None and np.isfinite(value):
            self._text = amount_text(float(value), unit, like or float(value), doubt)

    def __str__(self) -> str:
        return self._text


def amount_text(value: float, unit: str, like: float, doubt: float | None = None) -> str:
    """Return a number in the unit of the bench, with the digits that its doubt is worth, or three that matter."""
    name, factor, _ = SHOWN_HERE.get(unit) or shown(unit)
    if unit == "m" and abs(like) < SMALL:
        name, factor, _ = shown("um")
    if unit == "K" and imperial():
        name, factor = "degF apart", 1.8
    size = abs(doubt or 0.0) * factor
    digits, of = (DOUBT, size) if size > 0 else (MATTER, abs(value) * factor)
    places = 0 if not of else int(np.clip(digits - 1 - np.floor(np.log10(of)), 0, 6))
    return f"{value * factor + 0.0:.{places}f} {name}".strip().replace("-", "\N{MINUS SIGN}")


DOUBT, MATTER = 2, 3
"""Digits of a half-width, and of a number without one."""


def tables(evaluation: Evaluation) -> list[Table]:
    """Return what was found against the drawing, and what brake and drag tell; nothing if nothing was measured."""
    design = evaluation.design
    if design.measured is None:
        return []
    findings = [*design.found, *predictions(evaluation)]
    return [*([_against_the_drawing(findings)] if findings else []), *_brake(evaluation)]


def _against_the_drawing(findings: list[Finding]) -> Table:
    columns = (
        Column("what", "what"),
        Column("drawn", "drawn or worked out"),
        Column("found", "found"),
        Column("half_width", "+-"),
        Column("apart", "apart (deviations)", "1"),
        Column("disagrees", "disagree"),
        Column("worked_with", "worked with"),
        Column("how", "how it was found"),
    )
    note = (
        f"+- holds {COVERAGE:g} standard deviations, 19 times of 20; they disagree where they lie more than {APART:g} "
        "deviations of the reading apart. Where the design was worked with what was found, all other tables and limits "
        "are too; gap, deflection, contact and pressure are worked out with it and take the place of nothing."
    )
    return Table("measured", "Measured against the drawing", columns, [_row(each) for each in findings], note)


def _row(finding: Finding) -> tuple[Any, ...]:
    size, half = max(abs(finding.found.value), abs(finding.drawn or 0.0)), finding.found.half_width
    return (
        finding.what,
        Amount(finding.drawn, finding.unit, size, half),
        Amount(finding.found.value, finding.unit, size, half),
        Amount(half, finding.unit, size, half),
        finding.apart,
        finding.disagrees,
        "found" if finding.used else "drawn" if finding.plants else "compared only",
        finding.how,
    )


TORQUES = {
    "scale": ("pressure scale", ""),
    "constant": ("constant friction", "N m"),
    "viscous": ("friction with speed", "N m s"),
    "square": ("friction with speed squared", "N m s^2"),
}


def _brake(evaluation: Evaluation) -> list[Table]:
    result = braked(evaluation)
    if result is None:
        return []
    columns = (Column("what", "what"), Column("found", "found"), Column("half_width", "+-"))
    note = "M = s W/(2 pi) - M0 - M1 w - M2 w^2, W the ideal gas's work of a turn. " + " ".join(result.words)
    return [Table("braked", "What brake and drag tell", columns, _torque_rows(result), note.strip())]


def _torque_rows(result: Braked) -> list[tuple[Any, ...]]:
    rows = (
        [] if result.falls is None else [_torque_row("torque lost with speed, cause not told", "N m s", result.falls)]
    )
    if result.told is None:
        return rows
    told = result.told
    if not told.apart and told.together is not None:
        rows.append(_torque_row("pressure scale times ideal torque, less constant friction", "N m", told.together))
    return rows + [_torque_row(*TORQUES[name], told.values[name]) for name in NAMES]


def _torque_row(what: str, unit: str, value: Estimate | None) -> tuple[Any, ...]:
    if value is None:
        return (what, "not told apart", None)
    half = value.half_width
    return (what, Amount(value.value, unit, 0.0, half), Amount(half, unit, value.value, half))


def summary(evaluation: Evaluation) -> str:
    """Return in one sentence what the design was worked with, "" if nothing was measured."""
    design = evaluation.design
    if design.measured is None:
        return ""
    used = sum(each.used for each in design.found)
    apart = sum(each.disagrees for each in [*design.found, *predictions(evaluation)])
    with_what = f"what was measured for {used} of its entries" if used else "the drawing alone"
    readings = "1 reading disagrees" if apart == 1 else f"{apart} readings disagree"
    return f"Worked with: {with_what}; {readings} with the drawing by more than their doubt."

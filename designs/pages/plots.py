"""Every plot of the report: which there are, where each belongs, and what is said below it."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from designs.evaluate import Evaluation
from designs.pages import plots_motion, plots_shafts, plots_shaking
from designs.pages.gains_bars import gains_bars
from designs.pages.gap_speed import gap_over_speed
from designs.pages.waterfall import gap_waterfall
from designs.summary import tightest_pair
from designs.table import Table

FAR_APART = 5e-3  # m: of yokes that keep farther apart than this nothing but that is worth a picture


@dataclass(frozen=True)
class Plot:
    """A plot, made.   part : of the page.   svg : the picture, or a sentence where there is nothing to show."""

    key: str
    part: str
    title: str
    words: str
    svg: str

    @property
    def shows(self) -> bool:
        """Whether there is a picture."""
        return self.svg.startswith("<svg")


Made = tuple[str, str, str, Callable[..., str]]
SHAKING: tuple[Made, ...] = (
    ("shaking-turn", "Shaking force over one turn", "Its size at the fastest speed.", plots_shaking.shaking_over_turn),
    ("force-orders", "Shaking force by order", "Peak along the cylinder at the fastest speed.",
     plots_shaking.force_orders),
    ("pitch-orders", "Pitch couple by order", "About the line across the shafts at z = 0, at the fastest speed.",
     plots_shaking.pitch_orders),
    ("vibration", "Vibration of the case over speed", "Zones A to D of ISO 10816-1, class I; upright lines: an order "
     "meets a resonance of the case.", plots_shaking.case_vibration),
)  # fmt: skip
SHAFTS: tuple[Made, ...] = (
    ("bent", "Bent line", "The shaft to scale, its deflection exaggerated; dashed: outward from the machine's middle. "
     "Triangles: bearings.", plots_shafts.bent),
    ("loads", "Bearing loads", "By direction at the fastest speed, over one turn.", plots_shafts.bearing_loads),
    ("safety", "Safety along the shaft", "Least over the speed range, against fatigue and yielding.",
     plots_shafts.safety),
    ("critical", "Critical speeds", "Where an order of the loads meets a free whirl; large marks bend it more. Up: "
     "forward; down: backward; diamond: to and fro.", plots_shafts.critical),
)  # fmt: skip
RUN_UP: Made = (
    "run-up", "Run up through the speed range", "Largest over a turn: bending of the crankpins, motion of the "
    "case at a foot, and the least gap. Numbers: order of a resonance, with c of the case.", plots_shafts.run_up,
)  # fmt: skip
NOT_REAL = "Not real: a foot has left the bench."
MOTION: tuple[Made, ...] = (
    ("heights", "Heights of the yokes", "Of the rod pivots over the line between the shafts.", plots_motion.heights),
    ("torque", "Torque over one turn", "Of both cranks together; below zero the engine is driven by its inertia.",
     plots_motion.torque),
    ("indicator", "Pressure of the gas", "Over volume where the model has volumes; the area inside is the work of a "
     "turn.", plots_motion.indicator),
)  # fmt: skip


def plots(evaluation: Evaluation, gains: Table | None = None) -> list[Plot]:
    """Return the plots of a design in the order of the page; both sides share one where they are alike.

    gains : what opens the gap, if that was worked out.
    """
    found = _of_other_pairs(evaluation)
    if gains is not None:
        found.insert(0, Plot("gains", "gap", "What opens the gap", gains.note, gains_bars(evaluation, gains)))
    found += [_plot("shaking", each, evaluation) for each in SHAKING]
    if evaluation.weights is not None:
        traded = ("traded", "Added mass against what is left", "For how much added mass, both shafts together.",
                  plots_shaking.mass_traded)  # fmt: skip
        found.append(_plot("weights", traded, evaluation))
    run = _plot("shafts", RUN_UP, evaluation)
    found.append(replace(run, words=f"{run.words} {NOT_REAL}") if "not real" in run.svg else run)
    found += [plot for each in SHAFTS for plot in _of_sides(each, evaluation)]
    return found + [_plot("motion", each, evaluation) for each in MOTION]


def _plot(part: str, made: Made, evaluation: Evaluation) -> Plot:
    key, title, words, draw = made
    return Plot(key, part, title, words, draw(evaluation))


def _of_sides(made: Made, evaluation: Evaluation) -> list[Plot]:
    key, title, words, draw = made
    right, left = (draw(evaluation, place) for place in (0, 1))
    if right == left:
        return [Plot(key, "shafts", f"{title}, both shafts", f"{words} The left shaft's is its mirror image.", right)]
    return [Plot(f"{key}-{side}", "shafts", f"{title}, {side} shaft", words, each)
            for side, each in (("right", right), ("left", left))]  # fmt: skip


def _of_other_pairs(evaluation: Evaluation) -> list[Plot]:
    """Return gap and budget of pairs of yokes beside the one that the sheet shows."""
    found = []
    for number, pair in enumerate(evaluation.pairs):
        if pair is tightest_pair(evaluation):
            continue
        which = f"{pair.upper} over {pair.lower}"
        found.append(
            Plot(f"gap-{number}", "gap", f"Least gap over speed, {which}", "", gap_over_speed(evaluation, number))
        )
        if float(np.min(pair.gap(evaluation.top_speed))) < FAR_APART:
            budget = gap_waterfall(evaluation, None, number)
            found.append(Plot(f"budget-{number}", "gap", f"Where the gap goes, {which}", "", budget))
    return found

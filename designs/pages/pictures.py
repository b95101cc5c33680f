"""Every picture of a design for a file of pictures: which there are, and what each shows; the page draws its own."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from matplotlib.figure import Figure

from designs.evaluate import Evaluation
from designs.pages import (
    axes_counterweight,
    axes_gap,
    axes_mechanism,
    axes_motion,
    axes_shafts,
    axes_shaking,
    axes_strength,
)

Draw = Callable[..., None]
Size = tuple[float, float]
Padding = tuple[float, ...]
FAR_APART = 5e-3  # m: of yokes that keep farther apart than this nothing but that is worth a picture
PLAIN = (0.68, 0.3, 0.52, 0.2)
NAMED = (0.68, 0.95, 0.52, 0.2)
"""Room about the axes, inches: for numbers alone, and for names of curves beside their right ends."""


@dataclass(frozen=True, eq=False)
class Picture:
    """One picture.

    part : where on the page it belongs.   words : what it shows and how to read it.
    draw : draws it on axes.   size : width and height, inches.   polar : whether it needs polar axes.
    padding : left, right, below and above the axes for what is written there, inches; stated, since finding it out
    takes a drawing of its own.
    """

    key: str
    part: str
    title: str
    words: str
    draw: Draw
    size: Size = (5.6, 3.4)
    padding: Padding = PLAIN
    polar: bool = False

    def figure(self, evaluation: Evaluation) -> Figure:
        """Return it as a figure of its own; to be saved under the settings of `ink.LOOK`."""
        made = Figure(figsize=self.size)
        self.put(made, (0.0, 0.0), evaluation)
        return made

    def put(self, figure: Figure, corner: tuple[float, float], evaluation: Evaluation) -> None:
        """Draw it on a figure with its lower left corner at a place, inches."""
        width, height = figure.get_size_inches()
        left, right, below, above = self.padding
        place = (
            (corner[0] + left) / width,
            (corner[1] + below) / height,
            (self.size[0] - left - right) / width,
            (self.size[1] - below - above) / height,
        )
        self.draw(figure.add_axes(place, projection="polar" if self.polar else None), evaluation)


STILL = Picture(
    "mechanism", "moving", "The mechanism", "To scale, seen along the shafts from +z, "
    "where the gap is least; proposed weights are dashed.", axes_mechanism.draw_mechanism, (5.6, 5.4),
)  # fmt: skip
"""The mechanism where it cannot move: on paper."""


def pictures(evaluation: Evaluation) -> list[Picture]:
    """Return the pictures that this design has something to show in, in the order of the page."""
    return [
        *_of_gap(evaluation),
        *_of_shaking(evaluation),
        *_of_weights(evaluation),
        *_of_shafts(),
        *_of_motion(evaluation),
    ]


def _of_gap(evaluation: Evaluation) -> list[Picture]:
    many = len(evaluation.pairs) > 1
    return [
        picture
        for number, pair in enumerate(evaluation.pairs)
        for picture in _of_pair(evaluation, number, f": {pair.upper} over {pair.lower}" if many else "")
    ]


def _of_pair(evaluation: Evaluation, number: int, which: str) -> list[Picture]:
    def of(key: str, title: str, words: str, draw: Draw, size: Size, padding: Padding) -> Picture:
        return Picture(
            f"{key}-{number + 1}", "gap", f"{title}{which}", words, partial(draw, pair=number), size, padding
        )

    over_speed = of(
        "gap-speed", "Least gap over speed", "Expected, and with every play and error on the wrong side. Below zero "
        "they touch.", axes_gap.draw_gap_over_speed, (5.6, 3.6), (0.68, 0.3, 0.52, 0.5),
    )  # fmt: skip
    if float(np.min(evaluation.pairs[number].gap(evaluation.top_speed))) > FAR_APART:
        return [over_speed]
    return [
        of(
            "gap-map", "Gap over crank angle and speed", "Lines of equal gap, mm, about the tightest angle; where the "
            "yokes would overlap the field is hatched.", axes_gap.draw_gap_map, (5.6, 3.6), (0.68, 0.55, 0.52, 0.15),
        ),
        over_speed,
        of(
            "gap-budget", "Gap budget at the worst running speed", "From the gap on the drawing to what is left, item "
            "by item, at the tightest crank angle.", axes_gap.draw_gap_budget, (5.6, 3.6), (1.55, 0.2, 0.52, 0.15),
        ),
        of(
            "gap-stack", "Gap budget over speed", "What each item takes at each speed's tightest angle; the thick line "
            "is what is left.", axes_gap.draw_gap_stack, (7.2, 3.4), (0.68, 2.6, 0.52, 0.2),
        ),
        of(
            "gap-angle", "Gap budget over crank angle", "The same about the tightest crank angle, at the running speed "
            "at which the gap is least.", axes_gap.draw_gap_stack_over_angle, (7.2, 3.4), (0.68, 2.6, 0.52, 0.2),
        ),
    ]  # fmt: skip


def _of_shaking(evaluation: Evaluation) -> list[Picture]:
    found = [
        Picture(
            "shaking-turn", "shaking", "Shaking force over one turn", "Its size at the fastest speed.",
            axes_shaking.draw_shaking_over_turn, (5.6, 3.4), (0.68, 0.3, 0.52, 0.35),
        ),
        Picture(
            "force-orders", "shaking", "Shaking force by order", "Peak along the cylinder at the fastest speed.",
            axes_shaking.draw_force_orders,
        ),
        Picture(
            "pitch-orders", "shaking", "Pitch couple by order", "About the line across the shafts at z = 0, at the "
            "fastest speed.", axes_shaking.draw_pitch_orders,
        ),
    ]  # fmt: skip
    if evaluation.case is not None:
        words = "Zones A to D of ISO 10816-1, class I; upright lines, if any: an order meets a resonance of the case."
        found.append(
            Picture(
                "vibration", "shaking", "Vibration of the case over speed", words, axes_shaking.draw_vibration,
                (5.6, 3.6), (0.68, 0.95, 0.52, 0.55),
            )
        )  # fmt: skip
    return found


def _of_weights(evaluation: Evaluation) -> list[Picture]:
    wanted = evaluation.design.counterweights
    if evaluation.weights is None or wanted is None:
        return []
    words = "Lengths in mm, seen along the shafts with the weight's direction up. Two of it, one for each shaft."
    found = []
    for number, weight in enumerate(evaluation.weights.planes):
        title = f"Counterweight at {float(weight.at) * 1e3:g} mm".replace("-", "\u2212")
        draw = partial(axes_counterweight.draw_counterweight, plane=number)
        found.append(Picture(f"weight-{number + 1}", "weights", title, words, draw, (4.2, 3.4), (0.05,) * 4))
    # Where the closed form decides, mass and what is left follow a straight line: there is nothing to trade.
    if wanted.aim != "cancel order 1" or wanted.trims:
        words = "How much of what the aim makes small is left for how much added mass, both shafts together."
        found.append(
            Picture(
                "trade-off", "weights", "Added mass against what is left", words, axes_counterweight.draw_trade_off,
                (4.6, 3.2),
            )
        )  # fmt: skip
    return found


SHAFT_KINDS: tuple[tuple[str, str, str, Draw, Size, Padding, bool], ...] = (
    (
        "bending", "Bent line", "The shaft to scale from the side, its deflection exaggerated as stated.",
        axes_shafts.draw_bending, (6.0, 3.3), (0.6, 0.2, 0.8, 0.45), False,
    ),
    (
        "bearing-loads", "Bearing loads", "By direction, at the fastest speed, over one turn.",
        axes_shafts.draw_bearing_loads, (4.0, 4.5), (0.5, 0.5, 0.75, 0.65), True,
    ),
    (
        "stress", "Stress along the shaft", "In the worst fibre of each section at the fastest speed, with notches.",
        axes_strength.draw_stress, (5.6, 3.6), (0.68, 0.3, 0.8, 0.3), False,
    ),
    (
        "safety", "Safety along the shaft", "Least over the speed range, against fatigue and yielding.",
        axes_strength.draw_safety, (5.6, 3.6), (0.68, 0.3, 0.8, 0.3), False,
    ),
    (
        "critical", "Critical speeds", "Where an order of the loads meets a free whirl; large marks bend it more.",
        axes_shafts.draw_critical_speeds, (5.6, 3.6), (0.68, 1.1, 0.52, 0.3), False,
    ),
)  # fmt: skip


def _of_shafts() -> list[Picture]:
    run_up = Picture(
        "run-up", "shafts", "Run up through the speed range", "Resonances by order and way; steady at every speed.",
        axes_shafts.draw_run_up, (6.2, 3.6), (0.68, 1.0, 0.52, 0.3),
    )  # fmt: skip
    return [run_up] + [
        Picture(
            f"{key}-{hand}", "shafts", f"{title}, {hand} shaft", words, partial(draw, place=place), size, padding, polar
        )
        for key, title, words, draw, size, padding, polar in SHAFT_KINDS
        for place, hand in enumerate(("right", "left"))
    ]


def _of_motion(evaluation: Evaluation) -> list[Picture]:
    found = [
        Picture(
            "heights", "motion", "Heights of the yokes", "Height of the rod pivots over the line between the shafts.",
            axes_motion.draw_heights, (5.6, 3.4), NAMED,
        ),
        Picture(
            "torque", "motion", "Torque over one turn", "Of both cranks together; where it is below zero the engine is "
            "driven by its inertia.", axes_motion.draw_torque, (5.6, 3.4), NAMED,
        ),
    ]  # fmt: skip
    if evaluation.gas.pressure is not None:
        words = "Over volume where the model has volumes; the area inside is the work of a turn."
        found.append(
            Picture("indicator", "motion", "Pressure of the gas", words, axes_motion.draw_indicator, (4.8, 3.4))
        )
    return found

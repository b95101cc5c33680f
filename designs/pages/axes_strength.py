"""Pictures of the strength of the shafts: stress and safety in every section along them."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import ScalarFormatter

from designs.evaluate import Evaluation
from designs.pages.axes_units import factor
from designs.pages.ink import AFTER, BEFORE, BOUND, bare, empty
from shafts.strength.fatigue import cycle, fatigue_safety, goodman, yield_safety

SIDES = ("right", "left")
LARGEST_SHOWN = 1000.0  # safety beyond this is as good as endless
UNKNOWN = "not known: the shaft's material\ngives no strength"


def draw_stress(axes: Axes, evaluation: Evaluation, place: int = 0) -> None:
    """Draw the stress in the worst fibre of every section of a shaft at the fastest speed, notches counted, MPa."""
    loads, capacity = evaluation.inside[place], evaluation.strengths[place]
    if capacity is None:
        empty(axes, UNKNOWN)
        return
    stress = cycle(loads, capacity, float(evaluation.design.speed.most))
    endurance = np.asarray(capacity.endurance)
    fibre = np.argmin(goodman(stress, endurance[:, None], np.asarray(capacity.tensile)), axis=-1)[:, None]
    order = np.lexsort((loads.sections.behind, loads.sections.at))
    at = np.asarray(loads.sections.at)[order] * 1e3
    for name, values, line in (("stress amplitude", stress.alternating, AFTER), ("mean stress", stress.steady, BEFORE)):
        worst = np.take_along_axis(values, fibre, axis=-1)[order, 0] / 1e6
        axes.plot(
            at, worst, marker="o", markersize=3.5, label=f"{name}, most {worst.max() * factor('MPa')[1]:.0f}", **line
        )
    axes.plot(at, endurance[order] / 1e6, label="endurance limit", **BOUND)
    axes.set_ylim(bottom=0)
    axes.set_xlabel("place along the shaft, mm")
    axes.set_ylabel("von Mises stress, MPa")
    axes.set_title(f"{SIDES[place]} shaft", loc="left")
    bare(axes)
    axes.legend(frameon=False, fontsize=8, loc="upper center", bbox_to_anchor=(0.5, -0.19), ncols=3)


def draw_safety(axes: Axes, evaluation: Evaluation, place: int = 0) -> None:
    """Draw the safety of every section of a shaft against fatigue and yielding, least over the speed range."""
    loads, capacity = evaluation.inside[place], evaluation.strengths[place]
    if capacity is None:
        empty(axes, UNKNOWN)
        return
    limits, ends = evaluation.design.limits, []
    order = np.lexsort((loads.sections.behind, loads.sections.at))
    at = np.asarray(loads.sections.at)[order] * 1e3
    found: dict[str, tuple] = {
        "fatigue": (
            np.min(fatigue_safety(loads, capacity, evaluation.part_speeds), axis=0),
            limits.fatigue_safety,
            AFTER,
        ),
        "yielding": (
            np.min(yield_safety(loads, capacity, evaluation.part_speeds)[0], axis=0),
            limits.yield_safety,
            BEFORE,
        ),
    }
    for name, (safety, limit, line) in found.items():
        values = np.minimum(np.asarray(safety)[order], LARGEST_SHOWN)
        axes.plot(
            at,
            values,
            marker="o",
            markersize=3.5,
            label=f"against {name}, least {values.min():.2f} at {at[np.argmin(values)]:.3g} mm",
            **line,
        )
        ends.append(float(limit))
    axes.set_yscale("log")
    axes.yaxis.set_major_formatter(ScalarFormatter())
    axes.set_ylim(min(*ends, *axes.get_ylim()) * 0.55, LARGEST_SHOWN * 1.3)
    for limit in set(ends):
        axes.axhline(limit, **BOUND)
        axes.annotate(
            f"limit {limit:g}", (at[-1], limit), xytext=(0, 3), textcoords="offset points", ha="right", fontsize=8
        )
    axes.set_xlabel("place along the shaft, mm")
    axes.set_ylabel("safety (1000 and more at the top)")
    axes.set_title(f"{SIDES[place]} shaft", loc="left")
    bare(axes)
    axes.legend(frameon=False, fontsize=8, loc="upper center", bbox_to_anchor=(0.5, -0.19), ncols=2)

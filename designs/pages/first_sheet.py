"""What the first sheet shows: the machine, the lens, the gap and the weights, and the data that move them."""

import json
from typing import Any

import numpy as np

from designs.evaluate import Evaluation
from designs.pages.clashes import clashes
from designs.pages.frames import frames, thinning, ticks, worst_speed
from designs.pages.gap_speed import bands, gap_over_speed, wide_words
from designs.pages.lens import lens, lens_words, seen, view
from designs.pages.mechanism import drawing, shared_range
from designs.pages.plate_drawing import alike, counterweight, plate_scale, scale_words
from designs.pages.plate_drawing import words as plate_words
from designs.pages.waterfall import gap_waterfall
from designs.shown import RPM
from designs.summary import tightest_pair
from designs.verdict.row import Row

ACROSS = 88.0  # mm of paper that all counterweights may take


def first_sheet(evaluation: Evaluation, rows: list[Row]) -> dict[str, Any]:
    """Return it by the names of the template. rows : the verdict, of which the drawing marks what clashes."""
    found = clashes(evaluation, rows)
    machine = drawing(evaluation, thinning(evaluation.motion.theta.size), found=found)
    return {
        "mechanism": machine,
        "clashes": found,
        "shared": shared_range(evaluation),
        "data": _embedded(frames(evaluation, machine.sides)),
        "ticks": ticks(evaluation),
        **_of_gap(evaluation),
        **_of_weights(evaluation),
    }


def _of_gap(evaluation: Evaluation) -> dict[str, Any]:
    """Return what the sheet says of the two yokes that come nearest at running speeds."""
    pair = tightest_pair(evaluation)
    number = 0 if pair is None else evaluation.pairs.index(pair)
    banded = bands(evaluation) if pair is not None else []
    band = banded[number] if len(banded) > number else None
    shown, speed = None if pair is None else view(evaluation, pair), worst_speed(evaluation)
    return {
        "lens": lens(evaluation, speed, number),
        "lens_words": "" if shown is None else lens_words(shown, seen(shown, np.array([speed]))[0], speed),
        "gap_speed": gap_over_speed(evaluation, number, band),
        "gap_words": "" if band is None else wide_words(band),
        "waterfall": gap_waterfall(evaluation, speed, number),
        "worst": "" if pair is None else f"{speed * RPM:.0f}",
    }


def _of_weights(evaluation: Evaluation) -> dict[str, Any]:
    """Return the drawings of the counterweights with what is said below each, and their scale."""
    groups = alike(evaluation)
    wide = ACROSS / max(len(groups), 1)
    scales = dict.fromkeys(scale_words(plate_scale(evaluation, each[0], wide)) for each in groups)
    drawn = [(counterweight(evaluation, each[0], wide), plate_words(evaluation, each)) for each in groups]
    said = f"{'s' if len(groups) > 1 else ''}, {' and '.join(scales)}" if drawn else ""
    return {"plates": drawn, "plate_scales": said}


def _embedded(data: dict[str, Any]) -> str:
    """Return data as JSON that cannot end the script element that it stands in."""
    return json.dumps(data, separators=(",", ":"), allow_nan=False).replace("<", "\\u003c").replace("&", "\\u0026")

"""The report as one self-contained page: template, parts, pictures and data put together."""

import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from designs.cautions import CAUTION
from designs.evaluate import Evaluation
from designs.pages.changes import best_changes
from designs.pages.clashes import clashes
from designs.pages.compared_dots import dots
from designs.pages.content import Content
from designs.pages.frames import frames, thinning, ticks, worst_speed
from designs.pages.gap_speed import bands, gap_over_speed, wide_words
from designs.pages.headline import headline
from designs.pages.lens import lens, lens_words, seen, view
from designs.pages.limits import limit_bars
from designs.pages.mechanism import drawing, shared_range
from designs.pages.plate_drawing import alike, counterweight, plate_scale, scale_words
from designs.pages.plate_drawing import words as plate_words
from designs.pages.svg import HATCHES
from designs.pages.waterfall import gap_waterfall
from designs.shown import RPM
from designs.summary import tightest_pair

HERE = Path(__file__).parent
ACROSS = 88.0  # mm of paper that all counterweights may take
PAPER = ("find_out_first", "contact", "builds", "counterweights", "screws", "bearings", "torques", "gas")
"""Tables that are printed; all others are for the screen."""


@cache
def environment() -> Any:
    """Return what fills in templates; loaded only for pages."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    made = Environment(
        loader=FileSystemLoader(HERE), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    made.filters["raw"] = Markup
    return made


def page(content: Content, version: str) -> str:
    """Return the page as HTML text."""
    evaluation = content.evaluation
    every = thinning(evaluation.motion.theta.size)
    found = clashes(evaluation, content.rows)
    machine = drawing(evaluation, every, found=found)
    return (
        environment()
        .get_template("page.html")
        .render(
            content=content,
            version=version,
            headline=headline(evaluation, content.rows),
            mechanism=machine,
            clashes=found,
            caution=CAUTION,
            shared=shared_range(evaluation),
            data=_embedded(frames(evaluation, machine.sides)),
            ticks=ticks(evaluation),
            bars=limit_bars(content.rows, {} if content.first is None else content.first.helped),
            changes=best_changes(content.first, content.rows),
            paper=PAPER,
            comparison=_comparison(content),
            hatches=HATCHES,
            style="".join((HERE / name).read_text("utf-8") for name in ("parts.css", "page.css")),
            script=(HERE / "page.js").read_text("utf-8"),
            **_of_gap(evaluation),
            **_of_weights(evaluation),
        )
    )


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


def _comparison(content: Content) -> str:
    """Return the designs that are set beside each other as rows of dots."""
    return dots([each.name for each in content.candidates], content.lines) if len(content.candidates) > 1 else ""

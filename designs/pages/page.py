"""The report as one self-contained page: template, parts, pictures and data put together."""

import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from designs.evaluate import Evaluation
from designs.pages.changes import best_changes
from designs.pages.content import Content
from designs.pages.frames import frames, thinning, ticks, worst_speed
from designs.pages.gap_speed import bands, gap_over_speed, wide_words
from designs.pages.headline import headline
from designs.pages.lens import lens, lens_words, seen, view
from designs.pages.limits import limit_bars
from designs.pages.mechanism import drawing, shared_range, tightest_pair
from designs.pages.plate_drawing import counterweight, plate_scale, scale_words
from designs.pages.plate_drawing import words as plate_words
from designs.pages.svg import HATCHES
from designs.pages.waterfall import gap_waterfall

HERE = Path(__file__).parent
RPM = 30 / np.pi
PAPER = ("find_out_first", "contact", "builds", "gains", "counterweights", "screws", "vibration", "feet", "bearings",
         "shaft_strength", "torques", "gas")  # fmt: skip
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
    machine = drawing(evaluation, every)
    return (
        environment()
        .get_template("page.html")
        .render(
            content=content,
            version=version,
            headline=headline(evaluation, content.rows),
            mechanism=machine,
            shared=shared_range(evaluation),
            data=_embedded(frames(evaluation, machine.sides)),
            ticks=ticks(evaluation),
            bars=limit_bars(content.rows),
            changes=best_changes(evaluation, content.rows),
            paper=PAPER,
            drawn={each.key: each.svg(evaluation) for part in content.parts for each in part.pictures},
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
    planes = range(0 if evaluation.weights is None else len(evaluation.weights.planes))
    wide = 88.0 / max(len(planes), 1)
    scales = dict.fromkeys(scale_words(plate_scale(evaluation, each, wide)) for each in planes)
    drawn = [(counterweight(evaluation, each, wide), plate_words(evaluation, each)) for each in planes]
    return {
        "plates": drawn,
        "plate_scales": f"{'s' if len(planes) > 1 else ''}, {' and '.join(scales)}" if drawn else "",
    }


def _embedded(data: dict[str, Any]) -> str:
    """Return data as JSON that cannot end the script element that it stands in."""
    return json.dumps(data, separators=(",", ":"), allow_nan=False).replace("<", "\\u003c").replace("&", "\\u0026")


def _comparison(content: Content) -> str:
    if not content.compared or len(content.candidates) < 2:
        return ""
    from io import StringIO

    import matplotlib

    from designs.pages.compared import figure
    from designs.pages.ink import LOOK
    from designs.pages.pictures import inline

    text = StringIO()
    with matplotlib.rc_context(LOOK):
        figure(content.candidates).savefig(text, format="svg", metadata={"Date": None, "Creator": None})
    names = ", ".join(each.name for each in content.candidates)
    return inline(text.getvalue(), "compared", f"Shaking force and least gap over speed of {names}")

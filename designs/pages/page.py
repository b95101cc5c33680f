"""The report as one self-contained page: template, drawing, pictures and data put together."""

import json
from functools import cache
from pathlib import Path
from typing import Any

from designs.pages.content import Content
from designs.pages.frames import frames, thinning
from designs.pages.mechanism import drawing
from designs.pages.pictures import inline

HERE = Path(__file__).parent


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
    return (
        environment()
        .get_template("page.html")
        .render(
            content=content,
            version=version,
            mechanism=drawing(evaluation, every),
            data=_embedded(frames(evaluation)),
            drawn={picture.key: picture.svg(evaluation) for part in content.parts for picture in part.pictures},
            comparison=_comparison(content),
            style=(HERE / "page.css").read_text("utf-8"),
            script=(HERE / "page.js").read_text("utf-8"),
        )
    )


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

    text = StringIO()
    with matplotlib.rc_context(LOOK):
        figure(content.candidates).savefig(text, format="svg", metadata={"Date": None, "Creator": None})
    names = ", ".join(each.name for each in content.candidates)
    return inline(text.getvalue(), "compared", f"Shaking force and least gap over speed of {names}")

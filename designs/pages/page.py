"""The report as one self-contained page: template, parts, pictures and data put together."""

import re
from functools import cache
from pathlib import Path
from typing import Any

from designs.cautions import CAUTION
from designs.pages.changes import best_changes, in_a_line, others_words
from designs.pages.compared_dots import dots
from designs.pages.content import Content
from designs.pages.headline import headline
from designs.pages.limits import limit_bars
from designs.pages.svg import HATCHES

HERE = Path(__file__).parent
PAPER = ("find_out_first", "contact", "builds", "counterweights", "screws", "bearings", "torques", "gas")
"""Tables that are printed; all others are for the screen."""


@cache
def environment() -> Any:
    """Return what fills in templates; loaded only for pages."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup, escape

    made = Environment(
        loader=FileSystemLoader(HERE), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    made.filters["raw"] = Markup
    made.filters["coded"] = lambda words: Markup(re.sub("`([^`]*)`", r"<code>\1</code>", str(escape(words))))
    return made


def page(content: Content, version: str) -> str:
    """Return the page as HTML text."""
    return (
        environment()
        .get_template("page.html")
        .render(
            content=content,
            version=version,
            headline=headline(content.evaluation, content.rows),
            caution=CAUTION,
            bars=limit_bars(content.rows, {} if content.first is None else content.first.helped),
            first=in_a_line(content.first),
            changes=best_changes(content.first, content.rows),
            other_plates=others_words(content.first),
            paper=PAPER,
            comparison=_comparison(content),
            hatches=HATCHES,
            style="".join((HERE / name).read_text("utf-8") for name in ("parts.css", "page.css")),
            script=(HERE / "page.js").read_text("utf-8"),
            **content.wall,
        )
    )


def _comparison(content: Content) -> str:
    """Return the designs that are set beside each other as rows of dots."""
    return dots([each.name for each in content.candidates], content.lines) if len(content.candidates) > 1 else ""

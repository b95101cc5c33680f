"""The live page as HTML text, and the files that it is made of."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from designs.cautions import CAUTIONS
from designs.live.live import Live
from designs.pages.svg import HATCHES

HERE = Path(__file__).parent
PAGES = HERE.parent / "pages"


@dataclass(frozen=True)
class File:
    """A file of the page, as it is sent."""

    content: bytes
    kind: str


@cache
def files() -> dict[str, File]:
    """Return style and scripts by name: the report's own first, for both have the same parts."""
    style = b"".join(each.read_bytes() for each in (PAGES / "parts.css", PAGES / "page.css", HERE / "live.css"))
    return {
        "page.css": File(style, "text/css; charset=utf-8"),
        "page.js": File((PAGES / "page.js").read_bytes(), "text/javascript; charset=utf-8"),
        "live.js": File((HERE / "live.js").read_bytes(), "text/javascript; charset=utf-8"),
    }


def page(live: Live) -> str:
    """Return the page, still without figures: they are told to it."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    templates = Environment(
        loader=FileSystemLoader((HERE, PAGES)),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    session = live.session
    return templates.get_template("page.html").render(
        title=session.design.title, file=session.path.name, cautions=CAUTIONS, hatches=HATCHES, ticks=()
    )

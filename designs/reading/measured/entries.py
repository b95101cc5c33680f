"""Single entries as they were found with calliper or gauge, by their paths in the design."""

from collections.abc import Iterator
from typing import Any

from balance.evidence.estimate import Estimate
from designs.design import Design
from designs.reading.complaints import quote
from designs.reading.doubtful import reading_of
from designs.reading.shapes import Quantity
from designs.reading.taken import side_value
from designs.reading.targets import targets
from designs.reading.units import BadQuantity

Path = tuple[str, ...]


class BadEntry(ValueError):
    """An entry that cannot be read: what was read, and what is allowed."""

    def __init__(self, read: str, allowed: str):
        super().__init__(read, allowed)
        self.read, self.allowed = read, allowed


def entry_found(design: Design, written: str, text: Any) -> Iterator[tuple[Path, float | None, Estimate, str]]:
    """Yield path, drawn value, found value and SI unit of every entry that a path stands for; raises BadEntry."""
    if not isinstance(text, str):
        raise BadEntry("entries or a list", "a number with its unit and doubt, e.g. 4.98 mm +- 0.01 mm")
    places = list(targets(design, written.split("."), undrawn=True))
    if not places or written.split(".")[0] in ("measured", "options", "limits"):
        raise BadEntry(quote(written), "the path of an entry of the machine, e.g. cranks.throws.inner.radius")
    for path, shape in places:
        if not isinstance(shape, Quantity):
            raise BadEntry(f"{quote(written)}, which is no number that is measured", "the path of a number with a unit")
        drawn = _drawn(design, path)
        try:
            yield path, drawn, reading_of(text, shape), shape.si
        except BadQuantity as error:
            raise BadEntry(error.read, error.allowed) from None


def _drawn(design: Design, path: Path) -> float | None:
    """Return what a design draws, for the left side as for the right where it has nothing of its own.

    The middle where it gives a group by its name, as a bearing's clearance.
    """
    drawn = side_value(design, path)
    if isinstance(drawn, float):
        return drawn
    return design.doubts[path].middle if path in design.doubts else None

"""Every flat part that a design sizes, as a drawing: counterweights, webs, and discs of flywheel and pulley."""

from balance.turning import HANDS
from designs.drawing import counterweights, webs, wheels
from designs.drawing.sheet import Sheet
from designs.evaluate import Evaluation, kept_with_it


@kept_with_it
def sheets(evaluation: Evaluation) -> list[Sheet]:
    """Return the drawings of a single design in the order in which they are written."""
    return [*counterweights.sheets(evaluation), *webs.sheets(evaluation), *wheels.sheets(evaluation)]


def drawing_of(evaluation: Evaluation, part: str, hand: str = "") -> str:
    """Return the files that show a part, e.g. "web 1", on one side or both; empty if none does."""
    stem = part.replace(" ", "-")
    wanted = {stem} | {f"{stem}-{each}" for each in HANDS if hand in ("", each)}
    return ", ".join(f"{each.name}.dxf" for each in sheets(evaluation) if each.name in wanted)

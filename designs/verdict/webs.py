"""Whether webs keep metal beside their holes, hold the counterweights' screws, and weigh what is counted."""

import numpy as np

from designs.evaluate import Evaluation
from designs.shown import file_words, said
from designs.stock import stock_with
from designs.verdict.row import Row, not_checked
from shafts.screwed import metal_for_screws, plates_of
from shafts.web_plates import Solid, WebPlate

HAIR = 1e-7  # m; less than this is rounding, of places that come from sums
OFF = 0.25  # by which a stated mass or mass x radius may miss that of the size; more is another part than the one drawn


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the rows of metal beside holes, of screws in their carrier, and of masses; none without webs of a size."""
    weights = evaluation.weights if evaluation.fitted else None
    plates = list(plates_of(evaluation.design, weights))
    judged = [_metal(evaluation, plates), _screws(evaluation), _masses(evaluation, plates)]
    return [row for row in judged if row is not None]


Plates = list[tuple[str, WebPlate]]


def _metal(evaluation: Evaluation, plates: Plates) -> Row | None:
    """Return the row of the least metal beside a hole of a web, against a share of the hole's diameter."""
    key, what = "web_metal", "metal beside the holes of a web"
    share = float(evaluation.design.limits.web_metal)
    every = [(metal.width, share * metal.diameter, f"{hand} web {plate.number + 1}: {metal.between}")
             for hand, plate in plates for metal in plate.metal() if not metal.screw]  # fmt: skip
    missing = list(dict.fromkeys(entry for _, plate in plates for entry in plate.unsized))
    unlooked = f"give {', '.join(missing)}" if missing else ""
    if not every:
        return not_checked(key, what, unlooked) if unlooked else None
    width, least, where = min(every, key=lambda each: each[0] - each[1])
    words = (
        f"they leave {said(width, 'm')} of metal" if width > HAIR else "the holes run into each other or over the edge"
    )
    width = least if abs(width - least) < HAIR else width
    name = f"{what}, {where}"
    return Row(key, name, width, least, "m", "at least", words, unlooked=unlooked, where=where.split(":")[0])


def _screws(evaluation: Evaluation) -> Row | None:
    """Return the row of the screw of a counterweight that lacks most metal in what carries it."""
    key, what = "weight_screws", "metal about the counterweights' screws, with their heads sunk"
    if not evaluation.fitted or evaluation.weights is None:
        return None
    screws = stock_with(evaluation.design.stock).screws or {}
    heads = {size: each.head for size, each in screws.items()}
    every = list(metal_for_screws(evaluation.design, evaluation.weights, heads))
    unknown = list(dict.fromkeys(each.unknown for each in every if each.unknown))
    unlooked = file_words(f"give {'; '.join(unknown)}") if unknown else ""
    known = [each for each in every if not each.unknown]
    if not known:
        return not_checked(key, what, unlooked) if unlooked else None
    worst = min(known, key=lambda each: each.width - each.least)
    width = worst.least if abs(worst.width - worst.least) < HAIR else worst.width
    name = f"{what}, {worst.what}"
    return Row(
        key,
        name,
        width,
        worst.least,
        "m",
        "at least",
        file_words(worst.why),
        unlooked=unlooked,
        where=worst.what.split(":")[0],
    )


def _masses(evaluation: Evaluation, plates: Plates) -> Row | None:
    """Return the row of the web whose mass or mass x radius as given is farthest from what its size makes.

    Beyond a quarter it is no pass: something else turns there, or a number is wrong; its maker knows which.
    """
    if not plates:
        return None
    key, what = "web_mass", "mass and mass x radius of webs against their size"
    off = [(_off(plate), hand, plate) for hand, plate in plates]
    worst, hand, plate = max(off, key=lambda each: each[0])
    name = f"{what}, {hand} web {plate.number + 1}"
    if worst > OFF:
        return not_checked(key, name, _disagreement(plate))
    return Row(key, name, worst, OFF, "", "at most", where=f"web {plate.number + 1}")


def _off(plate: WebPlate) -> float:
    """Return by which share mass, or mass x radius, of a web misses that of its size; of its own mass at its width."""
    whole, web = plate.whole, plate.web
    moment = np.hypot(float(web.mass * web.cg[0]) - whole.moment[0], float(web.mass * web.cg[1]) - whole.moment[1])
    scale = max(float(np.hypot(*whole.moment)), whole.mass * plate.half / 2)
    return float(max(abs(float(web.mass) / whole.mass - 1), moment / scale))


def _disagreement(plate: WebPlate) -> str:
    entry, web = f"cranks.webs.{plate.number}", plate.web
    given = Solid(float(web.mass), (float(web.mass * web.cg[0]), float(web.mass * web.cg[1])), 0.0)
    return (f"{entry} gives {_said(given)}; its size, holes and pins make {_said(plate.whole)}: give the mass and cg "
            "of the part that is made, or its size; what is counted is what is given")  # fmt: skip


def _said(solid: Solid) -> str:
    x, y = solid.centre if solid.mass else (0.0, 0.0)
    return f"{said(solid.mass, 'kg', '.3g')} at [{said(x, 'm', '.2f')}, {said(y, 'm', '.2f')}]"

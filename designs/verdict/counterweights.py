"""Whether the counterweights can be cut, clear what is beside them, and stay on."""

from functools import partial

import numpy as np

from balance.weights.carrier import could_be
from balance.weights.clearance import WeightClearance
from balance.weights.retention import TIGHTENED, Hold
from designs.design import Design
from designs.evaluate import Evaluation
from designs.shown import number, said
from designs.verdict.row import Row, not_checked

HAIR = 1e-7  # m; less than this is rounding
PROPOSED = "the counterweights are only proposed; fit them (counterweights.fitted: yes)"


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the rows of shortfall, carrier, clearance, holes and fixing; none without counterweights."""
    if evaluation.weights is None:
        return []
    if not evaluation.fitted:
        return [not_checked(key, what, PROPOSED) for key, what in KEYS.items()]
    every = [_moment(evaluation), _carried(evaluation), _clearance(evaluation)]
    own = [_own(evaluation)] if evaluation.options is None else []
    return [*every, *own, *_holes(evaluation), _retention(evaluation), *_tightening(evaluation)]


KEYS = {
    "counterweight_moment": "counterweight shortfall (mass x radius)",
    "counterweight_carried": "counterweights that nothing carries",
    "counterweight_gap": "clearance of the counterweights beside the other shaft and each other",
    "counterweight_own": "clearance of the counterweights beside what else is on their own crank",
    "retention": "safety factor of the counterweights' fixing at overspeed",
}


def _carried(evaluation: Evaluation) -> Row:
    key, every = "counterweight_carried", [each for hand in evaluation.weight_carriers.values() for each in hand]
    loose = sum(np.where(each.carried, 0.0, 1.0) for each in every) / 2
    names = list(dict.fromkeys(each.name for each in every if each.name))
    what = KEYS[key] + (f" (carried by: {', '.join(map(_called, names))})" if names else "")
    unknown = sorted({entry for each in every for entry in each.unknown if not np.all(each.carried)})
    unlooked = f"give {' and '.join(unknown)}, which might carry it" if unknown else ""
    if unknown:  # what is not known to be carried may still be
        return Row(key, what, None, None, "", "at most", unlooked)
    return Row(key, what, loose, 0.0, "", "at most", partial(_what_reaches, evaluation.design))


def _called(name: str) -> str:
    """Return in words what carries a counterweight."""
    kind, _, which = name.partition(" ")
    return {"shaft": "a hub on the shaft", "web": f"bolts to {name}", "pin": f"the end of crankpin {which}"}[kind]


def _what_reaches(design: Design) -> str:
    """Return what the design says carries it, and between which places of a plate's middle each part carries one.

    Words that wait hold no evaluation: rows of a drawn machine are kept when all that was worked out of it is let go.
    """
    assert design.counterweights is not None
    ranges = could_be(design.counterweights, design.cranks, design.shafts.ends)
    ways = [
        f"{name} from {number(low, 'm', '.4g')} to {said(high, 'm', '.4g')}" for name, (low, high) in ranges.items()
    ]
    stated = ", ".join(each for each in design.counterweights.carriers if each)
    stated_on = f"it is said to be on {stated}; " if stated else ""
    return f"{stated_on}a plate is carried with its middle along {'; '.join(ways)}"


def _own(evaluation: Evaluation) -> Row:
    key, design = "counterweight_own", evaluation.design
    unlooked = [f"cranks.webs.{index}.width and .thickness" for index, web in enumerate(design.cranks.webs)
                if web.width is None or web.thickness is None]  # fmt: skip
    unlooked += [f"cranks.throws.{name}.pin" for name, throw in design.cranks.throws.items() if throw.pin is None]
    held_by = {each.name for by_plane in evaluation.weight_carriers.values() for each in by_plane}
    unlooked += [f"yokes.{name}.rod.width and .thickness" for name, yoke in design.yokes.items()
                 if f"pin {yoke.throw}" in held_by and yoke.rod is not None
                 and (yoke.rod.width is None or yoke.rod.thickness is None)]  # fmt: skip
    clearances = own_clearances(evaluation)
    shared = [pair for pair in evaluation.own_weight_clearances if pair not in clearances]
    unlooked += [f"smallest_radius beyond {pair.part}, of which {pair.weight} is made: what both fill counts twice"
                 for pair in shared]  # fmt: skip
    nearest = min(clearances, key=lambda pair: pair.gap, default=None)
    where = "" if nearest is None else f"{nearest.weight} and {nearest.part}"
    what = KEYS[key] + (where and f": {where}")
    if nearest is None and unlooked:
        return not_checked(key, what, f"give {', '.join(unlooked)}")
    gap, angle = (np.inf, None) if nearest is None else (nearest.gap, nearest.angle)
    words = f"give {', '.join(unlooked)}" if unlooked else ""
    return Row(key, what, gap, 0.0, "m", "at least", angle=angle, unlooked=words, where=where)


def own_clearances(evaluation: Evaluation) -> list[WeightClearance]:
    """Return the clearances of counterweights from parts of their own crank, but for webs of one piece with them."""
    return [pair for pair in evaluation.own_weight_clearances if pair.gap >= 0 or not of_one_piece(evaluation, pair)]


def _moment(evaluation: Evaluation) -> Row:
    assert evaluation.weights is not None
    short = np.max(np.broadcast_arrays(*(weight.short for weight in evaluation.weights.planes)), axis=0)
    return Row("counterweight_moment", KEYS["counterweight_moment"], short, 0.0, "kg m", "at most")


def _clearance(evaluation: Evaluation) -> Row:
    key = "counterweight_gap"
    least = np.min(np.broadcast_arrays(*evaluation.weight_circles), axis=0)
    return Row(key, KEYS[key], least, evaluation.design.limits.gap, "m", "at least")


def of_one_piece(evaluation: Evaluation, pair: WeightClearance) -> bool:
    """Return whether the part is the web that carries the weight: what both fill is no clash, but counts twice."""
    plane = int(pair.weight.split()[-1]) - 1 if pair.weight[-1].isdigit() else 0
    hand = pair.weight.split()[0]
    return pair.part == f"{hand} {evaluation.weight_carriers[hand][plane].name}"


def _holes(evaluation: Evaluation) -> list[Row]:
    assert evaluation.weights is not None
    shapes = [weight.shape for weight in evaluation.weights.planes if weight.shape.holes]
    if not shapes:
        return []
    # Half a hole's width of material beside it is common practice for drilled plate.
    every = [pair for shape in shapes for pair in (*shape.beside_holes, *shape.between_holes)]
    least, half = (
        np.stack(np.broadcast_arrays(*(each for pair in every for each in pair)))
        .reshape(len(every), 2, *np.broadcast_shapes(*(np.shape(each) for pair in every for each in pair)))
        .swapaxes(0, 1)
    )
    worst = np.argmin(least - half, axis=0)[None]
    least, half = (np.take_along_axis(each, worst, axis=0)[0] for each in (least, half))
    # Drawn to the bound exactly, a weight given in inches may miss it by the last digit of a double.
    least = np.where(np.abs(least - half) < HAIR, half, least)
    what = "material beside a hole of a counterweight, to edge or hole; half its diameter, common practice"
    return [Row("counterweight_holes", what, least, half, "m", "at least")]


def _retention(evaluation: Evaluation) -> Row:
    key, holds = "retention", evaluation.weight_holds
    if holds is None:
        missing = "give counterweights.screws: size, property_class, number, arrangement, engagement"
        return not_checked(key, KEYS[key], missing)
    known = [each for each in holds if each.capacities]
    limit = evaluation.design.limits.retention
    looked = list(dict.fromkeys(name for each in holds for name in each.capacities))
    unknown = list(dict.fromkeys(entry for each in holds for entry in each.unknown))
    unlooked = f"give {' and '.join(unknown)}: so far {', '.join(looked) or 'nothing'} was looked at" if unknown else ""
    if not known:
        return not_checked(key, KEYS[key], unlooked)
    safety = np.min(np.broadcast_arrays(*(each.safety for each in known)), axis=0)
    what = f"{KEYS[key]}: {', '.join(looked)}"
    change = partial(_fails_first, known) if evaluation.options is None else ""
    return Row(key, what, safety, limit, "", "at least", change, evaluation.top_speed, unlooked=unlooked)


def _tightening(evaluation: Evaluation) -> list[Row]:
    """Return the row of threads that must hold the tightening of their screws; none where they are not known."""
    known = [each.tightened for each in evaluation.weight_holds or () if each.tightened is not None]
    if not known:
        return []
    least = np.min(np.stack(np.broadcast_arrays(*known)), axis=0)
    what = f"how many times their thread holds the tightening of the screws, {TIGHTENED:.0%} of the proof load"
    return [Row("thread_tightening", what, least, 1.0, "", "at least", STRIPS)]


STRIPS = "the thread strips before its screw is tight"


def _fails_first(known: list[Hold]) -> str:
    """Return what of the fixing fails first, of those that are looked at."""
    worst = min(known, key=lambda each: float(np.min(each.safety)))
    if float(np.min(worst.of_one_screw)) == 0:
        return f"the {worst.weakest} carries nothing: a hole reaches over the edge"
    return f"the {worst.weakest} would fail first"

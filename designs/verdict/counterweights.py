"""Whether the counterweights can be cut, clear what is beside them, and stay on."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np

from balance.plates.pinned import Pinned
from balance.weights.carrier import could_be
from balance.weights.remedy import Remedy, remedy
from balance.weights.retention import TIGHTENED, size_for
from balance.weights.room import Room
from designs.evaluate import Evaluation
from designs.shown import number, said
from designs.verdict.row import Row, not_checked

PROPOSED = "the counterweights are only proposed; fit them (counterweights.fitted: yes)"


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the rows of shortfall, carrier, clearance, holes and fixing; none without counterweights."""
    if evaluation.weights is None:
        return []
    if not evaluation.fitted:
        return [not_checked(key, what, PROPOSED) for key, what in KEYS.items()]
    every = [_moment(evaluation), _carried(evaluation), _room(evaluation)]
    own = [_own(evaluation)] if evaluation.options is None else []
    return [*every, *own, *_holes(evaluation), _retention(evaluation), *_tightening(evaluation)]


KEYS = {
    "counterweight_moment": "counterweight shortfall (mass x radius)",
    "counterweight_carried": "counterweights that nothing carries",
    "counterweight_gap": "clearance of the counterweights beside the other shaft and each other",
    "counterweight_own": "clearance of the counterweights beside webs, pins and rods of their own crank",
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
    return Row(key, what, loose, 0.0, "", "at most", partial(_could_carry, evaluation))


def _called(name: str) -> str:
    """Return in words what carries a counterweight."""
    kind, _, which = name.partition(" ")
    return {"shaft": "a hub on the shaft", "web": f"bolts to {name}", "pin": f"the end of crankpin {which}"}[kind]


def _could_carry(evaluation: Evaluation) -> str:
    """Return where the plate's middle would have to be for each of what could carry it."""
    design = evaluation.design
    assert design.counterweights is not None
    found = could_be(design.counterweights, design.cranks, design.shafts.ends)
    ways = [f"{name} from {number(low, 'm', '.4g')} to {said(high, 'm', '.4g')}" for name, (low, high) in found.items()]
    stated = ", ".join(each for each in design.counterweights.carriers if each)
    stated_on = f"it is said to be on {stated}; " if stated else ""
    return f"{stated_on}set counterweights.at where something carries it: {'; '.join(ways)}"


def _own(evaluation: Evaluation) -> Row:
    key, design = "counterweight_own", evaluation.design
    unlooked = [f"cranks.webs.{place}.width and .thickness" for place, web in enumerate(design.cranks.webs)
                if web.width is None or web.thickness is None]  # fmt: skip
    unlooked += [f"cranks.throws.{name}.pin" for name, throw in design.cranks.throws.items() if throw.pin is None]
    unlooked += [f"yokes.{name}.rod.width and .thickness" for name, yoke in design.yokes.items()
                 if yoke.rod is not None and (yoke.rod.width is None or yoke.rod.thickness is None)]  # fmt: skip
    own = [room for room in evaluation.weight_rooms if room.own]
    shared = [room for room in own if room.gap < 0 and of_one_piece(evaluation, room)]
    unlooked += [f"smallest_radius beyond {room.part}, of which {room.weight} is made: what both fill counts twice"
                 for room in shared]  # fmt: skip
    nearest = min((room for room in own if room not in shared), key=lambda room: room.gap, default=None)
    what = KEYS[key] + ("" if nearest is None else f": {nearest.weight} and {nearest.part}")
    if nearest is None and unlooked:
        return not_checked(key, what, f"give {', '.join(unlooked)}")
    gap, angle = (np.inf, None) if nearest is None else (nearest.gap, nearest.angle)
    words = f"give {', '.join(unlooked)}" if unlooked else ""
    return Row(key, what, gap, 0.0, "m", "at least", angle=angle, unlooked=words)


def _moment(evaluation: Evaluation) -> Row:
    assert evaluation.weights is not None
    assert evaluation.design.counterweights is not None
    planes = evaluation.weights.planes
    short = np.max(np.broadcast_arrays(*(weight.short for weight in planes)), axis=0)
    wanted = np.max(np.broadcast_arrays(*(weight.wanted for weight in planes)), axis=0)
    change: str | Callable[[], str] = ""
    # A plate that is too thin to reach the crankpin it is said to be on has no arm yet; a thicker one would.
    on_pin = "pin" in evaluation.design.counterweights.carriers or any(isinstance(w.shape.edge, Pinned) for w in planes)
    if np.any(short > 0) and evaluation.options is None and on_pin:
        change = partial(_thicker, evaluation)
    elif np.any(short > 0):
        change = words(remedy(evaluation.design.counterweights, wanted), evaluation)
    key = "counterweight_moment"
    return Row(key, KEYS[key], short, 0.0, "kg m", "at most", change)


THICKER = (1.25, 1.5, 2.0, 3.0)  # factors on the thickness that are tried


def _thicker(evaluation: Evaluation) -> str:
    """Return which thickness does it where a plate sits on a crankpin: its arm, which grows as well, is counted."""
    design = evaluation.design
    assert design.counterweights is not None
    for factor in THICKER:
        thickness = float(design.counterweights.thickness) * factor
        tried = Evaluation(replace(design, counterweights=replace(design.counterweights, thickness=thickness))).weights
        if tried is not None and all(float(weight.short) == 0 for weight in tried.planes):
            thick = said(thickness, "m", ".4g")
            return f"of what was tried, a plate {thick} thick does it, its arm to the crankpin counted"
    return (
        f"a plate up to {THICKER[-1]:g} times as thick was tried and does not do it: its arm to the crankpin pulls back"
    )


def words(found: Remedy, evaluation: Evaluation) -> str:
    """Return in words what would make the plate large enough, for the worst option."""
    half = float(np.min(evaluation.design.cranks.centre_distance)) / 2
    thickness, density, radius = (float(np.max(each)) for each in (found.thickness, found.density, found.radius))
    ways = [f"a plate {said(thickness, 'm', '.1f')} thick"]
    names = ", ".join(found.materials[:3])
    ways.append(f"a metal of {density:.0f} kg/m^3 or more" + (f" ({names})" if names else ""))
    if np.isfinite(radius) and radius < half:
        ways.append(f"a largest radius of {said(radius, 'm', '.1f')}")
    if np.all(found.second_plane):
        ways.append("weights in two planes")
    return f"use {'; or '.join(ways)}; or add trims so that less is needed"


def _room(evaluation: Evaluation) -> Row:
    key = "counterweight_gap"
    room = np.min(np.broadcast_arrays(*evaluation.weight_circles), axis=0)
    return Row(key, KEYS[key], room, evaluation.design.limits.gap, "m", "at least")


def of_one_piece(evaluation: Evaluation, room: Room) -> bool:
    """Return whether the part is the web that carries the weight: what both fill is no clash, but counts twice."""
    plane = int(room.weight.split()[-1]) - 1 if room.weight[-1].isdigit() else 0
    hand = room.weight.split()[0]
    return room.part == f"{hand} {evaluation.weight_carriers[hand][plane].name}"


def _holes(evaluation: Evaluation) -> list[Row]:
    assert evaluation.weights is not None
    shapes = [weight.shape for weight in evaluation.weights.planes if weight.shape.holes]
    if not shapes:
        return []
    # Half a hole's width of material beside it is common practice for drilled plate.
    every = [pair for shape in shapes for pair in shape.beside_holes]
    room, half = (
        np.stack(np.broadcast_arrays(*(each for pair in every for each in pair)))
        .reshape(len(every), 2, *np.broadcast_shapes(*(np.shape(each) for pair in every for each in pair)))
        .swapaxes(0, 1)
    )
    worst = np.argmin(room - half, axis=0)[None]
    room, half = (np.take_along_axis(each, worst, axis=0)[0] for each in (room, half))
    what = "material between a hole and the edge of a counterweight; half the hole's diameter, common practice"
    return [Row("counterweight_holes", what, room, half, "m", "at least")]


def _retention(evaluation: Evaluation) -> Row:
    key, holds = "retention", evaluation.weight_holds
    if holds is None:
        missing = "give counterweights.screws: size, property_class, number, arrangement, engagement"
        return not_checked(key, KEYS[key], missing)
    safety = np.min(np.broadcast_arrays(*(each.safety for each in holds)), axis=0)
    limit = evaluation.design.limits.retention
    looked = list(holds[0].capacities)
    unknown = list(dict.fromkeys(entry for each in holds for entry in each.unknown))
    unlooked = f"give {' and '.join(unknown)}: so far {', '.join(looked)} were looked at" if unknown else ""
    what = f"{KEYS[key]}: {', '.join(looked)}"
    change = partial(_fixing_change, evaluation) if evaluation.options is None else ""
    return Row(key, what, safety, limit, "", "at least", change, evaluation.top_speed, unlooked=unlooked)


def _tightening(evaluation: Evaluation) -> list[Row]:
    """Return the row of threads that must hold the tightening of their screws; none where they are not known."""
    known = [each.tightened for each in evaluation.weight_holds or () if each.tightened is not None]
    if not known:
        return []
    stock = evaluation.design.counterweights
    assert stock is not None and stock.screws is not None and stock.screws.engagement is not None
    found = np.min(np.stack(np.broadcast_arrays(*known)), axis=0)
    longer = "" if evaluation.options is not None else (
        f"the thread strips before its screw is tight: {said(float(stock.screws.engagement) / found, 'm', '.3g')} of "
        "thread is the least that holds it"
    )  # fmt: skip
    what = f"how many times their thread holds the tightening of the screws, {TIGHTENED:.0%} of the proof load"
    return [Row("thread_tightening", what, found, 1.0, "", "at least", longer)]


def _fixing_change(evaluation: Evaluation) -> str:
    """Return what fails first, and how much of it would do: what it bears grows in proportion."""
    holds, limit = evaluation.weight_holds, evaluation.design.limits.retention
    stock = evaluation.design.counterweights
    assert holds is not None
    assert stock is not None
    assert stock.screws is not None
    worst = min(holds, key=lambda each: float(np.min(each.safety)))
    screws, weakest = stock.screws, worst.weakest
    if float(np.min(worst.each)) == 0:
        return f"the {weakest} bears nothing: a hole reaches over the edge; see the material between hole and edge"
    factor = float(np.max(limit / worst.safety))
    number = max(1, int(max(np.max(each.needed(limit)) for each in holds)))
    more = f"it takes {number} x {screws.size} of class {screws.property_class}"
    if weakest == "threads" and screws.engagement is not None:
        more += f", or {said(float(screws.engagement) * factor, 'm', '.3g')} of thread"
    elif weakest == "plate edge":
        more += f", or {factor:.3g} times as much plate between hole and edge"
    else:
        size = size_for(screws, max(np.max(each.pull) for each in holds), limit)
        more += f", or {screws.number} x {size}" if size else ""
    return f"the {weakest} would give way first: {more}; lock them, and test overspeed behind a shield"

"""Whether the screws of counterweights find metal: in the web or hub that carries each, across and along it.

Shear: screws along the shafts, through the plate into the face of the web behind it. Tension: radial screws, through
the plate into the round end of a web, or into the hub, that it sits on; they are taken to stand as the bolts do, or two
diameters apart about the plate's middle line. What a crankpin carries is held by the pin. Heads are sunk into plates.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from balance.machine.counterweights import Counterweights, Screws
from balance.machine.threads import THREADS
from balance.many import refuse_many
from balance.quantities import Scalar
from balance.turning import HANDS
from balance.weights.balancing import Weight, Weights, counterweight_name
from balance.weights.carrier import TOUCH
from shafts.clearance.joined import in_mm
from shafts.engine import Engine
from shafts.pieces import HAIR, widest_between
from shafts.shaft import Shaft
from shafts.web_plates import WebHole, WebPlate, turned, web_plate
from shafts.weights_beside import carriers

SCREW_METAL = 0.5  # of a screw's diameter beside it: common practice, no source
APART = 2.0  # screw diameters from one radial screw to the next (common practice, no source)
STEPS = 60  # places looked at along a radial screw


@dataclass(frozen=True)
class ScrewMetal:
    """What a screw finds.   what : in words.   width, least : metal beside it, m, and how much there must be.

    why : what else to know.   unknown : what to give, where that cannot be told; `width` is then of no account.
    """

    what: str
    width: float
    least: float
    why: str = ""
    unknown: str = ""


def threads(engine: Engine, weights: Weights, hand: str, number: int) -> tuple[WebHole, ...]:
    """Return the threads in a web, counted from 0, of the counterweights that are screwed to its face."""
    stock = engine.counterweights
    bolts = None if stock is None else getattr(stock.shape, "bolts", None)
    if stock is None or stock.screws is None or bolts is None or stock.screws.arrangement != "shear":
        return ()
    size = THREADS[stock.screws.size][0] * 1e-3
    return tuple(
        WebHole(f"screw {index} of counterweight {plane}", turned(weight, float(x), float(y)), size, screw=True)
        for plane, (weight, carrier) in enumerate(zip(weights.planes, carriers(engine)[hand], strict=True), start=1)
        if carrier.name == f"web {number + 1}" and float(weight.shape.mass) > 0
        for index, (x, y, _) in enumerate(weight.shape.holes[: bolts.number], start=1)
    )


def plates_of(engine: Engine, weights: Weights | None) -> Iterator[tuple[str, WebPlate]]:
    """Yield every web that has a size as a plate, by the shaft that carries it."""
    refuse_many(engine, "webs as plates")
    for hand, shaft in zip(HANDS, engine.shafts.pair, strict=True):
        for number, web in enumerate(engine.cranks.webs):
            cut = () if weights is None else threads(engine, weights, hand, number)
            plate = web_plate(engine, number, shaft, cut) if web.on in (hand, "both") else None
            if plate is not None:
                yield hand, plate


def metal_for_screws(engine: Engine, weights: Weights, heads: Mapping[str, Scalar]) -> Iterator[ScrewMetal]:
    """Yield what the screws of every counterweight find in it and in what carries it; none without screws.

    heads : their diameters, m, by the size of the screw.
    """
    stock = engine.counterweights
    if stock is None or stock.screws is None:
        return
    plates = {(hand, plate.number): plate for hand, plate in plates_of(engine, weights)}
    for hand, shaft in zip(HANDS, engine.shafts.pair, strict=True):
        for plane, (weight, carrier) in enumerate(zip(weights.planes, carriers(engine)[hand], strict=True)):
            name = counterweight_name(hand, plane, len(weights.planes))
            if float(weight.shape.mass) <= 0 or not carrier.name or carrier.name.startswith("pin"):
                continue
            yield _under_heads(stock, stock.screws, weight, heads.get(stock.screws.size), name)
            if carrier.name == "shaft":
                yield _in_hub(stock, stock.screws, shaft, weight, name)
                continue
            plate = plates.get((hand, int(carrier.name.split()[1]) - 1))
            if plate is None:
                yield ScrewMetal(name, 0.0, 0.0, "", f"width and thickness of {carrier.name}")
            elif stock.screws.arrangement == "shear":
                yield from _in_face(stock, stock.screws, plate, weight, name)
            else:
                yield from _in_round_end(stock, stock.screws, plate, weight, name)


def _under_heads(stock: Counterweights, screws: Screws, weight: Weight, wide: Scalar | None, name: str) -> ScrewMetal:
    """Return the metal of the plate under heads that are sunk into it; they are as high as their thread is thick.

    wide : diameter of a head, m.   Source: ISO 4762, socket head cap screws, from memory.
    """
    high, thickness = THREADS[screws.size][0] * 1e-3, float(weight.shape.thickness)
    radial = screws.arrangement == "tension"
    deep = float(weight.shape.edge.reach) - float(stock.smallest_radius) if radial else thickness
    if wide is None:
        return ScrewMetal(name, 0.0, 0.0, "", f"stock.screws.{screws.size}, the size of its head")
    least = SCREW_METAL * high
    if deep - high < least - HAIR or (radial and wide > thickness - HAIR):
        needs = f"{in_mm(high + least)} mm {'from seat to rim' if radial else 'thick'}"
        needs += f" and {in_mm(wide)} mm thick" if radial else ""
        unknown = f"counterweights {needs}, to sink heads of {screws.size}: heads that stand out are not looked at"
        return ScrewMetal(name, 0.0, 0.0, "", unknown)
    return ScrewMetal(f"{name}: below the heads of its screws", deep - high, least)


def _in_hub(stock: Counterweights, screws: Screws, shaft: Shaft, weight: Weight, name: str) -> ScrewMetal:
    if screws.arrangement == "shear":
        # The hub ends where the plate begins, so that its bolts stand beyond it.
        unknown = "on: web 1 or the like, or screws.arrangement: tension (what holds screws along a hub has no size)"
        return ScrewMetal(name, 0.0, 0.0, "", f"counterweights.{unknown}")
    half = float(weight.shape.thickness) / 2
    hub = float(stock.smallest_radius) - float(widest_between(shaft, weight.at - half, weight.at + half))
    if screws.engagement is None:
        return ScrewMetal(name, 0.0, 0.0, "", "counterweights.screws.engagement")
    width = hub - float(screws.engagement)
    return ScrewMetal(f"{name}: hub below its screws", width, 0.0, f"the hub has {in_mm(hub)} mm beside the shaft")


def _in_face(stock: Counterweights, screws: Screws, plate: WebPlate, weight: Weight, name: str) -> Iterator[ScrewMetal]:
    web, there = f"web {plate.number + 1}", f"{name} in web {plate.number + 1}"
    apart = abs(float(plate.web.at) - float(np.asarray(weight.at)))
    beside = apart - (plate.thickness + float(weight.shape.thickness)) / 2
    yield ScrewMetal(f"{name} beside {web}", beside if beside < -TOUCH - HAIR else 0.0, 0.0,
               "the plate lies round the web, not on its face: no screw along the shafts meets metal")  # fmt: skip
    if screws.engagement is None:
        yield ScrewMetal(there, 0.0, 0.0, "", "counterweights.screws.engagement")
    else:
        width = plate.thickness - float(screws.engagement)
        yield ScrewMetal(f"{name}: {web} behind its screws", width, 0.0, f"{web} is {in_mm(plate.thickness)} mm thick")
    if getattr(stock.shape, "bolts", None) is None:
        yield ScrewMetal(there, 0.0, 0.0, "", "counterweights.shape.bolts")
    for metal in plate.metal():
        if metal.screw:
            yield ScrewMetal(
                f"{metal.between} of {web}", metal.width, SCREW_METAL * metal.diameter, "too little metal there"
            )


def _in_round_end(
    stock: Counterweights, screws: Screws, plate: WebPlate, weight: Weight, name: str
) -> Iterator[ScrewMetal]:
    """Yield what radial screws find: the seat, metal along them, and metal beside them along the shafts."""
    web, size = f"web {plate.number + 1}", THREADS[screws.size][0] * 1e-3
    half, at = float(weight.shape.thickness) / 2, float(np.asarray(weight.at))
    ends = [(z - each, z + each) for z, each in ((at, half), (float(plate.web.at), plate.thickness / 2))]
    shared = min(high for _, high in ends) - max(low for low, _ in ends)
    yield ScrewMetal(f"{name}: {web} on either side of its screws", (shared - size) / 2, SCREW_METAL * size,
               f"plate and web share {in_mm(shared)} mm along the shafts")  # fmt: skip
    seat = float(stock.smallest_radius)
    for angle in directions(stock, screws):
        way = turned(weight, float(np.sin(angle)), float(np.cos(angle)))
        gap = -plate.inside((seat * way[0], seat * way[1]))
        side = "short of" if gap > 0 else "beyond"
        yield ScrewMetal(f"{name}: its seat on {web}", -abs(gap) if abs(gap) > TOUCH + HAIR else 0.0, 0.0,
                   f"the web's round end lies {in_mm(abs(gap))} mm {side} it")  # fmt: skip
    if screws.engagement is None:
        yield ScrewMetal(f"{name} in {web}", 0.0, 0.0, "", "counterweights.screws.engagement")
        return
    for angle in directions(stock, screws):
        way = turned(weight, float(np.sin(angle)), float(np.cos(angle)))
        yield _radial_screw(plate, screws, way, seat, name)


def _radial_screw(plate: WebPlate, screws: Screws, way: tuple[float, float], seat: float, name: str) -> ScrewMetal:
    """Return what is left between a radial screw and the nearest hole or edge; its tip may come to a hole's edge."""
    assert screws.engagement is not None
    half, web = THREADS[screws.size][0] * 5e-4, f"web {plate.number + 1}"
    tip = seat - float(screws.engagement)
    start, end = ((radius * way[0], radius * way[1]) for radius in (seat, tip))
    candidates = [ScrewMetal(f"{name}: {web} below its screws", _beyond(hole, start, end, half), 0.0,
                  f"the screw meets the hole for {hole.what}")
             for hole in plate.holes if hole.cut and hole.diameter > 0]  # fmt: skip
    beside = min(plate.inside((r * way[0], r * way[1])) - min(half, seat - r) for r in np.linspace(tip, seat, STEPS))
    candidates.append(ScrewMetal(f"{name}: edge of {web} beside its screws", beside + TOUCH, 0.0, "they leave the web"))
    return min(candidates, key=lambda each: each.width)


def _beyond(hole: WebHole, start: tuple[float, float], end: tuple[float, float], half: float) -> float:
    """Return how far a round hole is from a screw of half a diameter whose axis runs from one point to another, m."""
    along, there = np.subtract(end, start), np.subtract(hole.at, start)
    length = float(np.hypot(*along))
    deep = float(there @ along) / length
    aside = abs(float(there[0] * along[1] - there[1] * along[0])) / length
    return float(np.hypot(max(aside - half, 0.0), max(deep - length, -deep, 0.0))) - hole.diameter / 2


def directions(stock: Counterweights, screws: Screws) -> list[float]:
    """Return the angles of radial screws from the plate's middle line, rad."""
    bolts, seat = getattr(stock.shape, "bolts", None), max(float(stock.smallest_radius), 1e-6)
    pitch = APART * THREADS[screws.size][0] * 1e-3 / seat if bolts is None else float(bolts.pitch)
    return [(index - (screws.number - 1) / 2) * pitch for index in range(screws.number)]

"""Random legal machines, shared by all tests: one function a kind of part, joined in `machine`.

Every function takes a `Pick`, the source of its choices, so that one description serves twice:
`machines()` is a hypothesis strategy, which shrinks what fails to something small, and
`random_machine(seed)` gives the same machine for the same seed. A new kind of part is a new function
that takes a `Pick`, called where the part belongs. Sizes are those of model engines; all in SI.
"""

from collections.abc import Sequence
from dataclasses import fields
from typing import Any, Protocol

import numpy as np
from hypothesis import strategies as st

from balance.machine.crank import Cranks, Gears, Throw, Web
from balance.machine.machine import (
    DeadVolumes,
    Flywheel,
    Gas,
    Gravity,
    IndicatedGas,
    IsothermalGas,
    Machine,
    NoGas,
    PressureTable,
    SpeedRange,
)
from balance.machine.materials import MATERIALS
from balance.machine.mount import Feet, Mount
from balance.machine.yoke import Carried, Diaphragm, Displacer, FlowLoss, Part, Piston, Rod, RodMasses, Slot, Yoke
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.engine import Engine
from shafts.shaft import Notch, Segment, Shaft, Shafts

FAMILIES = ("A", "B", "one", "three")
HANDS = ("right", "left", "both")


class Pick(Protocol):
    """A source of choices."""

    def number(self, least: float, most: float) -> float:
        """Return a number between two limits."""

    def one(self, choices: Sequence[Any]) -> Any:
        """Return one of several things."""


class Seeded:
    """Choices from numpy's generator: the same for the same seed."""

    def __init__(self, seed: int):
        self._generator = np.random.default_rng(seed)

    def number(self, least: float, most: float) -> float:
        return float(self._generator.uniform(least, most))

    def one(self, choices: Sequence[Any]) -> Any:
        return choices[int(self._generator.integers(len(choices)))]


class Drawn:
    """Choices that hypothesis makes, records and shrinks."""

    def __init__(self, draw: Any):
        self._draw = draw

    def number(self, least: float, most: float) -> float:
        # Whole thousandths of the range: readable when shrunk, and never a denormal number.
        return least + (most - least) * self._draw(st.integers(0, 1000)) / 1000

    def one(self, choices: Sequence[Any]) -> Any:
        return self._draw(st.sampled_from(choices))


@st.composite
def machines(draw: Any, family: str | None = None, **fixed: Any) -> Machine:
    """Strategy of legal machines; keyword arguments as for `machine`."""
    return machine(Drawn(draw), family, **fixed)


def random_machine(seed: int, family: str | None = None, **fixed: Any) -> Machine:
    """Return the legal machine that belongs to a seed; keyword arguments as for `machine`."""
    return machine(Seeded(seed), family, **fixed)


def machine(pick: Pick, family: str | None = None, **fixed: Any) -> Machine:
    """Return a legal machine of a family (any if None); `fixed` replaces fields of the Machine by name."""
    family = family or pick.one(FAMILIES)
    distance = pick.number(0.03, 0.08)
    throws = throws_of(pick, family, distance)
    yokes = yokes_of(pick, family, throws, distance)
    parts = {
        "speed": speed(pick),
        "cranks": cranks(pick, throws, distance),
        "yokes": yokes,
        "gas": gas(pick, yokes),
        "gravity": gravity(pick),
        "flywheel": flywheel(pick),
        "mount": mount(pick),
    }
    return Machine(**(parts | fixed))


def speed(pick: Pick) -> SpeedRange:
    """Return a speed range, rad/s."""
    least = pick.number(0.0, 30.0)
    rated = least + pick.number(1.0, 100.0)
    return SpeedRange(least=least, rated=rated, most=rated + pick.number(0.0, 100.0))


def throw(pick: Pick, distance: float, phase: float, at: float) -> Throw:
    """Return a throw that keeps clear of the other shaft."""
    return Throw(radius=distance * pick.number(0.1, 0.4), phase=phase, at=at)


def throws_of(pick: Pick, family: str, distance: float) -> dict[str, Throw]:
    """Return the throws of a family: one shared in A, two about a right angle apart in B."""
    phase = pick.one((0.0, pick.number(-np.pi, np.pi)))
    inner = throw(pick, distance, phase, pick.number(-0.03, -0.01))
    if family in ("A", "one"):
        return {"pin": inner}
    outer = throw(pick, distance, phase + np.deg2rad(pick.number(60, 120)), inner.at - pick.number(0.008, 0.02))
    throws = {"inner": inner, "outer": outer}
    if family == "three":
        throws["far"] = throw(pick, distance, pick.number(-np.pi, np.pi), pick.number(0.05, 0.08))
    return throws


def yokes_of(pick: Pick, family: str, throws: dict[str, Throw], distance: float) -> dict[str, Yoke]:
    """Return the yokes of a family: one above and one below in A, both above in B."""
    bore = pick.number(0.02, 0.06)
    side, other = pick.one((("above", "below"), ("below", "above")))
    by_name = list(throws.items())
    yokes = {"power": yoke(pick, by_name[0], side, distance, power_end(pick, bore))}
    if family != "one":
        side = other if family == "A" else side
        yokes["displacer"] = yoke(pick, by_name[-1 if family == "A" else 1], side, distance, displacer(pick, bore))
    if family == "three":
        carries = pick.one((None, Piston(bore=bore / 2)))
        yokes["pump"] = yoke(pick, by_name[2], pick.one(("above", "below")), distance, carries)
    return yokes


def yoke(pick: Pick, on: tuple[str, Throw], side: str, distance: float, carries: Carried | None) -> Yoke:
    """Return a yoke hung on a throw by rods or, now and then, by a slot."""
    name, its_throw = on
    half_span = pick.number(0.1, 1.3) * distance / 2
    slotted = pick.one((False, False, False, False, True))
    hung = {"slot": slot(pick)} if slotted else {"rod": rod(pick, its_throw, half_span, distance)}
    return Yoke(throw=name, side=side, half_span=half_span, parts=parts(pick), carries=carries, **hung)


def parts(pick: Pick) -> dict[str, Part]:
    """Return one to three masses on a yoke, some away from the throw's plane."""
    names = pick.one((("yoke",), ("yoke", "carried"), ("yoke", "carried", "trim")))
    return {name: Part(mass=pick.number(0.01, 0.2), at=pick.one((None, pick.number(-0.05, 0.02)))) for name in names}


def rod(pick: Pick, its_throw: Throw, half_span: float, distance: float) -> Rod:
    """Return a rod that reaches at every angle; now and then without mass, or different on the left."""
    farthest = abs(distance / 2 - half_span)
    length = farthest + its_throw.radius * pick.number(1.15, 5.0)
    length = max(length, (farthest + its_throw.radius) / 0.935)  # it leans by less than 70 degrees
    if pick.one((False, False, False, False, False, True)):
        return Rod(length=length)
    left = RodMasses(**rod_masses(pick, length)) if pick.one((True, False)) else None
    return Rod(length=length, left=left, **rod_masses(pick, length))


def rod_masses(pick: Pick, length: float) -> dict[str, float]:
    """Return mass, mass centre and moment of inertia of a rod, near those of a slender bar."""
    mass = pick.number(0.002, 0.03)
    return {"mass": mass, "cg": length * pick.number(0.0, 1.0), "inertia": mass * length**2 * pick.number(0.0, 0.15)}


def slot(pick: Pick) -> Slot:
    """Return a slot."""
    return Slot(offset=pick.number(-0.03, 0.03))


def cranks(pick: Pick, throws: dict[str, Throw], distance: float) -> Cranks:
    """Return the pair of cranks with webs, and with or without gears."""
    webs = tuple(web(pick) for _ in range(pick.one((0, 1, 2, 3))))
    fitted = gears(pick, distance) if pick.one((True, True, False)) else None
    return Cranks(centre_distance=distance, load_on=pick.one(HANDS), gears=fitted, throws=throws, webs=webs)


def web(pick: Pick) -> Web:
    """Return a web, on both shafts or on one alone."""
    cg = (pick.number(-0.02, 0.02), pick.number(-0.02, 0.02))
    return Web(at=pick.number(-0.05, 0.03), mass=pick.number(0.0, 0.1), cg=cg, on=pick.one(HANDS))


def gears(pick: Pick, distance: float) -> Gears:
    """Return gears that mesh at the centre distance or nearly so, some of them eccentric."""
    teeth = pick.one((20, 32, 44, 60))
    apart = 1 + pick.one((0.0, 0.0, 0.2, -0.1)) / teeth  # set off by a fifth or a tenth of a module
    cg = pick.one(((0.0, 0.0), (pick.number(-1e-3, 1e-3), pick.number(-1e-3, 1e-3))))
    return Gears(
        module=distance / teeth / apart,
        teeth=teeth,
        pressure_angle=np.deg2rad(pick.one((14.5, 20.0, 25.0))),
        at=pick.number(0.005, 0.03),
        mass=pick.number(0.0, 0.1),
        cg=cg,
    )


def power_end(pick: Pick, bore: float) -> Piston | Diaphragm:
    """Return a piston or a diaphragm."""
    if pick.one((True, True, False)):
        return Piston(bore=bore)
    area = np.pi / 4 * bore**2
    return Diaphragm(area=area, area_at_ends=area * pick.number(0.5, 1.0), spring=pick.number(0.0, 2000.0))


def displacer(pick: Pick, bore: float) -> Displacer:
    """Return a displacer, with or without a stem through the piston and a flow loss."""
    loss = pick.one((None, FlowLoss(pressure=pick.number(0.0, 3000.0), speed=pick.number(50.0, 200.0))))
    stem = bore * pick.number(0.0, 0.3)
    return Displacer(bore=bore, stem_diameter=stem, stem_through_piston=pick.one((True, False)), flow_loss=loss)


def gas(pick: Pick, yokes: dict[str, Yoke]) -> Gas:
    """Return a gas that suits the yokes: isothermal needs one displacer and one piston or diaphragm."""
    carried = [each.carries for each in yokes.values()]
    displacers = sum(isinstance(each, Displacer) for each in carried)
    pistons = sum(isinstance(each, Piston | Diaphragm) for each in carried)
    models = [no_gas, indicated, isothermal] if (displacers, pistons) == (1, 1) else [no_gas, indicated]
    return pick.one(models)(pick)


def mount(pick: Pick) -> Mount | None:
    """Return a case that hangs free, stands on one lumped foot, or on three or four feet that let it turn; or none."""
    kind = pick.one(("none", "free", "lumped", "placed"))
    if kind == "none":
        return None
    mass, damping = pick.number(0.5, 8.0), pick.number(0.01, 0.3)
    if kind != "placed":
        return Mount(mass=mass, feet=feet(pick, damping) if kind == "lumped" else None)
    half, depth, height = pick.number(0.03, 0.08), pick.number(0.03, 0.1), pick.number(-0.1, 0.0)
    places = ((-half, height, -depth), (half, height, -depth), (-half, height, depth), (half, height, depth))
    size = (pick.number(0.06, 0.2), pick.number(0.1, 0.3), pick.number(0.06, 0.3))
    cg = (pick.number(-0.01, 0.01), pick.number(-0.02, 0.05), pick.number(-0.02, 0.02))
    held = feet(pick, damping, places[: pick.one((3, 4))])
    return Mount(mass=mass, size=size, cg=cg, feet=held, points={"top": (0.0, pick.number(0.05, 0.2), 0.0)})


def feet(pick: Pick, damping: float, places: tuple = ()) -> Feet:
    """Return feet, soft ones or hard ones, now and then with a stiffness of their own sideways."""
    stiffness = pick.number(1e3, 1e5)
    across = pick.one((None, stiffness * pick.number(0.2, 1.0)))
    lossy = {"loss_factor": damping / 2, "dynamic_ratio": 1.3} if stiffness > 5e4 else {}
    return Feet(stiffness=stiffness, across=across, damping_ratio=damping, places=places, **lossy)


def no_gas(pick: Pick) -> NoGas:
    """Return an empty cylinder."""
    return NoGas()


def isothermal(pick: Pick) -> IsothermalGas:
    """Return a closed cycle at about atmospheric pressure."""
    dead = DeadVolumes(hot=pick.number(1e-6, 1e-5), cold=pick.number(1e-6, 1e-5), regenerator=pick.number(0.0, 1e-5))
    cold = pick.number(280.0, 360.0)
    return IsothermalGas(
        hot=cold + pick.number(0.0, 600.0),
        cold=cold,
        mean_pressure=pick.number(5e4, 5e5),
        case_pressure=pick.number(0.0, 2e5),
        dead=dead,
    )


def indicated(pick: Pick) -> IndicatedGas:
    """Return a measured pressure at unequal angles."""
    count = pick.one((6, 12, 24))
    angle = (np.arange(count) + np.array([pick.number(0.0, 0.8) for _ in range(count)])) * (2 * np.pi / count)
    pressure = np.array([pick.number(8e4, 2e5) for _ in range(count)])
    return IndicatedGas(table=PressureTable(angle=angle, pressure=pressure), case_pressure=pick.number(0.0, 2e5))


def gravity(pick: Pick) -> Gravity:
    """Return gravity: upright, lying, or at a slant."""
    slant = pick.number(-np.pi, np.pi)
    return pick.one((Gravity(), Gravity(x=9.8, y=0.0), Gravity(x=9.8 * np.sin(slant), y=-9.8 * np.cos(slant))))


def flywheel(pick: Pick) -> Flywheel | None:
    """Return a flywheel on either shaft or both, or none."""
    if pick.one((True, True, False)):
        return Flywheel(
            on=pick.one(HANDS), inertia=pick.number(0.0, 1e-3), at=pick.number(0.02, 0.05), mass=pick.number(0.0, 0.5)
        )
    return None


def random_engine(seed: int, family: str | None = None, **fixed: Any) -> Engine:
    """Return a machine on shafts that belongs to a seed; keyword arguments as for `machine`, and shafts."""
    pick = Seeded(seed)
    carried = machine(pick, family)
    parts = {each.name: getattr(carried, each.name) for each in fields(carried)}
    left = pick.one((None, shaft(pick)))
    right = {each.name: getattr(built, each.name) for built in [shaft(pick)] for each in fields(built)}
    return Engine(**(parts | {"shafts": Shafts(**right, left=left)} | fixed))


def shaft(pick: Pick) -> Shaft:
    """Return a stepped shaft, now and then hollow or on three bearings, with notches of any kind."""
    count = pick.one((1, 2, 3, 4))
    segments = tuple(segment(pick) for _ in range(count))
    start, length = pick.number(-0.02, 0.0), sum(each.length for each in segments)
    shares = pick.one(((pick.number(0.05, 0.3), pick.number(0.6, 0.95)), (0.1, pick.number(0.4, 0.6), 0.9)))
    return Shaft(
        material=MATERIALS[pick.one(("steel", "silver-steel", "stainless-steel", "aluminium", "brass"))],
        segments=segments,
        starts_at=start,
        bearings=tuple(bearing(pick, start + share * length) for share in shares),
        notches=tuple(notch(pick, start + pick.number(0.05, 0.95) * length) for _ in range(pick.one((0, 1, 2)))),
        finish=pick.one(("polished", "ground", "machined", "hot rolled", "forged")),
        reliability=pick.number(0.5, 0.999),
    )


def segment(pick: Pick) -> Segment:
    """Return a length of shaft."""
    diameter = pick.number(0.004, 0.012)
    return Segment(length=pick.number(0.015, 0.06), diameter=diameter, bore=pick.one((0.0, 0.0, diameter * 0.4)))


def bearing(pick: Pick, at: float) -> Bearing:
    """Return a bearing, rigid or sprung."""
    return Bearing(
        at=at,
        bush=Bush(bore=0.005, length=0.005),
        seat_stiffness=pick.one((None, pick.number(5e6, 5e7))),
        stiffness=pick.one((None, pick.number(5e6, 5e7))),
    )


def notch(pick: Pick, at: float) -> Notch:
    """Return a place where stress piles up, of any kind."""
    kind = pick.one(("shoulder", "groove", "keyway", "cross hole", "set-screw flat", "press fit"))
    diameter = pick.number(0.0005, 0.0015) if kind == "cross hole" else None
    fillet = pick.one((None, pick.number(1e-4, 5e-4)))
    return Notch(at=at, kind=kind, fillet=fillet, depth=pick.one((None, pick.number(1e-4, 5e-4))), diameter=diameter)

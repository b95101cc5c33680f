"""Random legal engines on their shafts: two yokes that face each other, all that can yield, play or grow given.

As in `random_designs`, every function takes a `Pick`, so that the same description serves hypothesis and seeds.
"""

from dataclasses import fields, replace
from typing import Any

from hypothesis import strategies as st
from random_designs import Drawn, Pick, Seeded, machine

from balance.machine.crank import Pin, Throw, Web
from balance.machine.materials import MATERIALS, Material
from balance.machine.yoke import Arm, Outline, Section, Yoke
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.engine import Engine
from shafts.shaft import Fits, Segment, Shaft, Shafts, Tolerances

BUSH = Bush(bore=0.01, length=0.01)
METALS = ("steel", "aluminium", "brass", "titanium")


@st.composite
def engines(draw: Any, **fixed: Any) -> Engine:
    """Strategy of legal engines; keyword arguments as for `engine`."""
    return engine(Drawn(draw), **fixed)


def random_engine(seed: int, bearings: int | None = None, **fixed: Any) -> Engine:
    """Return the legal engine that belongs to a seed; keyword arguments as for `engine`."""
    return engine(Seeded(seed), bearings, **fixed)


def engine(pick: Pick, bearings: int | None = None, geared: bool = True, **fixed: Any) -> Engine:
    """Return an engine of two yokes on two throws; `fixed` replaces fields of the Engine by name."""
    plain = machine(pick, "B")
    while geared and plain.cranks.gears is None:
        plain = machine(pick, "B")
    cranks = plain.cranks
    throws, built = crank(pick, cranks.throws)
    held = pick.one((False, False, True))  # overhung, or held on both sides
    webs = (*cranks.webs, *(built if held else built[:2]))
    gears = cranks.gears and replace(cranks.gears, backlash=pick.number(0.0, 2e-4))
    parts = {each: getattr(plain, each) for each in ("speed", "gas", "gravity", "flywheel")}
    parts |= {
        "cranks": replace(cranks, throws=throws, webs=webs, gears=gears),
        "yokes": {name: yoke(pick, each) for name, each in plain.yokes.items()},
        "shafts": shafts(pick, bearings or pick.one((2, 2, 3)), -0.07 if held else built[0].at),
        "fits": fits(pick),
    }
    return Engine(**(parts | fixed))


def metal(pick: Pick, name: str) -> Material:
    """Return a material of its own, so that a test can change one part's alone."""
    return replace(MATERIALS[pick.one(METALS)], name=name)


def crank(pick: Pick, throws: dict[str, Throw]) -> tuple[dict[str, Throw], tuple[Web, ...]]:
    """Return two throws with pins that reach their webs, and the webs: to the shaft, between them, and beyond."""
    inner, outer = throws.values()
    apart = inner.at - outer.at
    thick = apart * pick.number(0.25, 0.45)
    near, far = pick.number(0.003, 0.008), pick.number(0.003, 0.008)
    pins = {name: replace(each, pin=pin(pick, apart - thick)) for name, each in throws.items()}
    half = (apart - thick) / 2
    places = ((inner.at + half + near / 2, near), (inner.at - apart / 2, thick), (outer.at - half - far / 2, far))
    return pins, tuple(web(pick, at, thickness) for at, thickness in places)


def pin(pick: Pick, length: float) -> Pin:
    """Return a crankpin that yields."""
    return Pin(diameter=pick.number(0.003, 0.008), length=length, material=metal(pick, "pin's own"))


def web(pick: Pick, at: float, thickness: float) -> Web:
    """Return a web that yields."""
    return Web(
        at=at,
        mass=pick.number(0.0, 0.05),
        cg=(pick.number(-0.01, 0.01), pick.number(-0.01, 0.01)),
        thickness=thickness,
        width=pick.number(0.006, 0.015),
        material=metal(pick, "web's own"),
    )


def yoke(pick: Pick, plain: Yoke) -> Yoke:
    """Return a yoke with an outline, an arm, a temperature, and play in its pins."""
    width = pick.number(0.03, 0.08)
    shape = pick.one((outline, pointed_outline))(pick, width)
    side = pick.number(0.004, 0.012)
    arm = Arm(section=Section(width=side, height=pick.number(0.004, 0.012)), material=metal(pick, "arm's own"))
    common = {"outline": shape, "arm": arm, "material": metal(pick, "yoke's own")}
    common["temperature"] = pick.number(280.0, 450.0)
    if plain.rod is None:
        return replace(plain, side="above", slot=replace(plain.slot, play=pick.number(0.0, 5e-5)), **common)
    section, play = pick.number(5e-6, 5e-5), pick.number(0.0, 3e-5)
    rod = replace(plain.rod, section=section, play=play, material=metal(pick, "rod's own"))
    return replace(plain, side="above", rod=rod, **common)


def outline(pick: Pick, width: float) -> Outline:
    """Return a bar."""
    return Outline(rectangle=(width, pick.number(0.004, 0.015)), z=(-0.05, 0.0))


def pointed_outline(pick: Pick, width: float) -> Outline:
    """Return a bar with uneven faces and slanted ends."""
    heights = [pick.number(0.002, 0.008) for _ in range(4)]
    corners = ((-width / 2, 0.0), (-width / 5, -heights[0]), (width / 3, -heights[1]))
    return Outline(
        polygon=(*corners, (width / 2, 0.0), (width / 4, heights[2]), (-width / 3, heights[3])), z=(-0.05, 0.0)
    )


def shaft(pick: Pick, count: int, start: float) -> Shaft:
    """Return a stepped shaft that starts at its first web, or with its throws between its bearings."""
    segments = tuple(
        Segment(
            length=length,
            diameter=pick.number(0.006, 0.014),
            bore=pick.one((0.0, 0.0, pick.number(0.001, 0.004))),
        )
        for length in (pick.number(0.01, 0.02), pick.number(0.02, 0.05), 0.06)
    )
    length = sum(each.length for each in segments)
    begin = max(start + 0.1 * length, 0.006)
    room = start + 0.9 * length - begin
    places = [begin + room * (place + pick.number(0.0, 0.4)) / count for place in range(count)]
    if start == -0.07:
        places[0] = start + pick.number(0.002, 0.008)
    return Shaft(
        material=metal(pick, "shaft's own"),
        segments=segments,
        starts_at=start,
        bearings=tuple(bearing(pick, at, 0.6 * room / count) for at in places),
    )


def shafts(pick: Pick, count: int, start: float) -> Shafts:
    """Return both shafts, alike or different."""
    right = shaft(pick, count, start)
    return Shafts(**vars(right), left=pick.one((None, shaft(pick, count, start))))


def bearing(pick: Pick, at: float, width: float) -> Bearing:
    """Return a bearing with play in a seat that gives way, no wider than there is room for."""
    play = pick.number(0.0, 5e-5)
    return Bearing(at=at, bush=replace(BUSH, play=play, length=min(0.006, width)), seat_stiffness=pick.number(5e6, 1e8))


def fits(pick: Pick) -> Fits:
    """Return plays, errors and tolerances."""
    names = ("rod_length", "throw_radius", "half_span", "centre_distance", "yoke_height")
    return Fits(
        guide_play=pick.number(0.0, 1e-4),
        timing_error=pick.number(-0.005, 0.005),
        case_temperature=pick.number(280.0, 350.0),
        case_material=metal(pick, "case's own"),
        tolerances=Tolerances(throw_phase=pick.number(0.0, 0.002), **{each: pick.number(0.0, 5e-5) for each in names}),
    )


def hinder(solid: Material, share: float) -> Material:
    """Return a material of another stiffness and the same Poisson's ratio."""
    return replace(solid, young=solid.young * share, shear=solid.shear * share)


def stiff(value: Engine, share: float = 1e9) -> Engine:
    """Return the engine with every part that gives way made stiffer by a factor."""
    throws = {
        name: replace(each, pin=each.pin and replace(each.pin, material=hinder(each.pin.material, share)))
        for name, each in value.cranks.throws.items()
    }
    webs = tuple(replace(each, material=each.material and hinder(each.material, share)) for each in value.cranks.webs)
    right, left = (_stiff_shaft(each, share) for each in value.shafts.pair)
    pair = {name: each for name, each in vars(right).items() if name != "left"}
    return replace(
        value,
        cranks=replace(value.cranks, throws=throws, webs=webs),
        yokes={name: _stiff_yoke(each, share) for name, each in value.yokes.items()},
        shafts=Shafts(**pair, left=None if value.shafts.left is None else left),
    )


def _stiff_yoke(value: Yoke, share: float) -> Yoke:
    arm = value.arm and replace(value.arm, material=hinder(value.arm.material, share))
    rod = value.rod and replace(value.rod, material=value.rod.material and hinder(value.rod.material, share))
    return replace(value, arm=arm, rod=rod)


def _stiff_shaft(value: Shaft, share: float) -> Shaft:
    bearings = tuple(replace(each, seat_stiffness=each.seat_stiffness * share) for each in value.bearings)
    return replace(value, material=hinder(value.material, share), bearings=bearings)


def exact(value: Engine) -> Engine:
    """Return the engine without play, errors, tolerances and heat."""
    bearings = tuple(replace(each, bush=replace(each.bush, play=0.0)) for each in value.shafts.bearings)
    left = value.shafts.left
    if left is not None:
        left = replace(left, bearings=tuple(replace(each, bush=replace(each.bush, play=0.0)) for each in left.bearings))
    yokes = {
        name: replace(
            each,
            temperature=None,
            rod=each.rod and replace(each.rod, play=0.0),
            slot=each.slot and replace(each.slot, play=0.0),
        )
        for name, each in value.yokes.items()
    }
    gears = value.cranks.gears and replace(value.cranks.gears, backlash=0.0)
    return replace(
        value,
        cranks=replace(value.cranks, gears=gears),
        yokes=yokes,
        shafts=replace(value.shafts, bearings=bearings, left=left),
        fits=Fits(),
    )


def own_fields(each: Shaft) -> dict:
    """Return what one shaft says of itself, without what a pair says besides."""
    return {field.name: getattr(each, field.name) for field in fields(Shaft)}

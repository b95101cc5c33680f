"""Drawings of plain wheels on the shafts, flywheel and pulley: discs and rims with the bore for their shaft."""

from collections.abc import Iterator
from dataclasses import replace

from balance.machine.disc import disc_inertia, disc_mass
from balance.machine.wheels import Flywheel, Wheel
from balance.plates.plate import RoundHole
from balance.turning import HANDS
from designs.drawing.sheet import Sheet, circle, for_sides, mm
from designs.evaluate import Evaluation
from designs.fixings import held
from shafts.pieces import widest_between
from shafts.shaft import Shaft


def sheets(evaluation: Evaluation) -> Iterator[Sheet]:
    """Yield the drawing of each wheel that a design sizes; one for both shafts where their bores are alike."""
    design = evaluation.design
    for name in ("flywheel", "pulley"):
        wheels = {hand: (_as_disc(design.wheels(hand)[name]), shaft)
                  for hand, shaft in zip(HANDS, design.shafts.pair, strict=True)
                  if name in design.wheels(hand)}  # fmt: skip
        sized = {hand: each for hand, each in wheels.items() if _is_sized(each[0])}
        bores = {hand: _bore(wheel, shaft, hand) for hand, (wheel, shaft) in sized.items()}
        alike = len(set(bores.values())) == 1
        for hand, suffix, words in for_sides(sized, alike):
            yield _sheet(design.title, name + suffix, name + words, sized[hand][0], bores[hand])


def not_sized(evaluation: Evaluation) -> list[str]:
    """Return what to give so that every wheel can be drawn."""
    every = {name: wheel for hand in HANDS for name, wheel in evaluation.design.wheels(hand).items()}
    return [f"{name}.diameter and .thickness" for name, each in every.items() if not _is_sized(_as_disc(each))]


def _is_sized(wheel: Wheel) -> bool:
    return wheel.diameter is not None and wheel.thickness is not None


def _as_disc(wheel: Wheel) -> Wheel:
    """Return a wheel that is to be cut as a plain disc with the size that gives its moment of inertia."""
    if _is_sized(wheel) or not isinstance(wheel, Flywheel) or wheel.disc is None or not float(wheel.polar_inertia):
        return wheel
    diameter, thickness = wheel.disc.measures(wheel.polar_inertia)
    return replace(wheel, diameter=float(diameter), thickness=float(thickness), material=wheel.disc.material)


def _bore(wheel: Wheel, shaft: Shaft, hand: str) -> float:
    """Return the diameter of the shaft within a wheel, m; zero where the shaft does not reach it."""
    half, at = float(wheel.thickness) / 2, float(wheel.z(hand))  # type: ignore[arg-type]
    return 2 * float(widest_between(shaft, at - half, at + half))


def _sheet(design: str, name: str, title: str, wheel: Wheel, bore: float) -> Sheet:
    assert wheel.diameter is not None and wheel.thickness is not None
    outside, inside = float(wheel.diameter), float(wheel.inside)
    hole = inside or bore
    lines = [f"{design}: {title}", _of(wheel), f"outside diameter {mm(outside)}, round all over: it has no angle"]
    if inside:
        lines.append(f"A RIM of inside diameter {mm(inside)}: what joins it to the shaft of {mm(bore)} is not in it")
    else:
        lines.append(f"bore {mm(bore)} at 0, 0, of nominal size; true to the outside" if bore else "NO SHAFT IN IT")
    lines.append(f"on the shaft: {held(wheel.hub) or 'how is not given'}")
    lines += [*_weight(wheel, 0.0 if inside else bore), "Scale 1:1, mm. Cross at 0,0: shaft."]
    holes: list[RoundHole] = [(0.0, 0.0, hole)] if hole else []
    return Sheet(name, circle(outside / 2), holes, [(0.0, 0.0, bore / 2)] if inside and bore else [],
                 [(0.0, 0.0, outside / 8)], lines)  # fmt: skip


def _of(wheel: Wheel) -> str:
    if wheel.material is None:
        return f"material not given, {mm(wheel.thickness)} thick"
    return f"{wheel.material.name}, {float(wheel.material.density):.0f} kg/m3, {mm(wheel.thickness)} thick"


def _weight(wheel: Wheel, bore: float) -> list[str]:
    """Return mass and moment of inertia: as drawn, and as the design counts them."""
    counts = f"the design counts {float(wheel.wheel_mass) * 1e3:.1f} g and {float(wheel.polar_inertia) * 1e7:.0f} g cm2"
    if wheel.material is None:
        return [counts]
    assert wheel.diameter is not None and wheel.thickness is not None
    rest = max(bore, float(wheel.inside))
    measures = wheel.thickness, wheel.material.density
    mass, polar = (float(of(wheel.diameter, *measures) - of(rest, *measures)) for of in (disc_mass, disc_inertia))
    return [f"mass as drawn {mass * 1e3:.1f} g, moment of inertia {polar * 1e7:.0f} g cm2; {counts}"]

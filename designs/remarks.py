"""What is worth a second look in a design, though it breaks no limit: slips of the pen mostly."""

from collections.abc import Iterator

import numpy as np

from balance.leak import widest_bore
from balance.machine.carried import Piston
from balance.machine.crank import Web
from balance.machine.disc import disc_mass
from balance.machine.materials import Material
from balance.machine.outline import Outline
from balance.machine.yoke import Yoke
from balance.masses import moving_mass
from balance.outlines import corner_arrays
from balance.turning import HANDS
from designs.design import Design
from designs.evaluate import Evaluation
from designs.shown import said

LIGHT, HEAVY = 500.0, 20000.0  # kg/m^3; cork-like woods and the heaviest tungsten alloys (common practice, no source)
HOLLOW = 0.02  # of its outline; a part that weighs less than so much of it in steel is hardly there
STEEL = 7850.0
DAMPED = 0.5  # of critical damping, which neither rubber nor springs reach (common practice, no source)
SURE = 1.25  # what is given twice should agree within a quarter


def remarks(evaluation: Evaluation) -> list[str]:
    """Return in words a single design's strokes and moving mass, to be compared with the bench, and what seems odd."""
    design = evaluation.design
    return [_echo(evaluation), *_strokes(evaluation), *_masses(design), *_densities(design), *_wheels(design),
            *_leaks(evaluation), *_ends(design),
            *_feet(design), *_bench(design)]  # fmt: skip


def _feet(design: Design) -> Iterator[str]:
    """Say of feet that they damp as no foot does: a decimal point is in the wrong place."""
    feet = None if design.mount is None else design.mount.feet
    ratio = 0.0 if feet is None or feet.damping_ratio is None else float(feet.damping_ratio)
    if ratio > DAMPED:
        yield (f"The feet damp with {ratio:g} of what is critical (mount.feet.damping_ratio); rubber has some 0.05: "
               "see the decimal point.")  # fmt: skip


def _bench(design: Design) -> Iterator[str]:
    """Say of wheels that they reach below the feet: there is the bench, unless they hang beside it."""
    feet = None if design.mount is None else design.mount.feet
    if feet is None or not feet.places:
        return
    below = max(-float(place[1]) for place in feet.places)
    below += 0.0 if feet.rubber is None else float(feet.rubber.height)
    for hand in HANDS:
        for name, wheel in design.wheels(hand).items():
            deep = 0.0 if wheel.diameter is None else float(wheel.diameter) / 2 - below
            if deep > 0:
                yield (f"The {hand} {name} reaches {said(deep, 'm', '.3g')} below the feet: let it hang beside the "
                       "bench, or raise the feet.")  # fmt: skip


def _ends(design: Design) -> Iterator[str]:
    """Say of a shaft without a ball bearing that nothing that was looked at holds it along itself."""
    loose = [hand for hand, shaft in zip(HANDS, design.shafts.pair, strict=True)
             if all(bearing.ball is None for bearing in shaft.bearings)]  # fmt: skip
    if loose:
        yield (f"The {' and the '.join(loose)} shaft {'run' if len(loose) > 1 else 'runs'} in needles or bushes alone, "
               "which hold nothing along it: give it collars or thrust washers that leave the end float.")  # fmt: skip


def _echo(evaluation: Evaluation) -> str:
    strokes = ", ".join(f"{name} {said(float(each.length), 'm', '.4g')}" for name, each in evaluation.strokes.items())
    mass = said(float(moving_mass(evaluation.design)), "kg", ".4g")
    return f"As read: strokes of {strokes}; {mass} go up and down, rods included."


def _strokes(evaluation: Evaluation) -> Iterator[str]:
    distance = float(evaluation.design.cranks.centre_distance)
    for name, stroke in evaluation.strokes.items():
        if float(stroke.length) > distance:
            yield (f"The stroke of {name}, {said(float(stroke.length), 'm', '.4g')}, is longer than the shafts "
                   f"are apart ({said(distance, 'm', '.4g')}): see that throw and rod are in the right "
                   "unit.")  # fmt: skip


def _masses(design: Design) -> Iterator[str]:
    for name, yoke in design.yokes.items():
        mass = float(yoke.mass)
        if design.mount is not None and mass > 0.5 * float(design.mount.mass):
            yield f"Yoke {name} with all it carries weighs more than half of the engine: see the units of its parts."
        yield from _against_outline(name, yoke)
        if yoke.rod is not None and float(yoke.rod.mass) > mass > 0:
            yield f"A rod of {name} weighs more than the yoke that it moves: see yokes.{name}.rod.mass."


def _against_outline(name: str, yoke: Yoke) -> Iterator[str]:
    """Compare the part called yoke, or all of them, with what the outline would weigh if it were solid."""
    if yoke.outline is None:
        return
    bar = yoke.parts.get("yoke")
    mass, what = (float(yoke.mass), "all that moves with it") if bar is None else (float(bar.mass), "its part 'yoke'")
    solid = _volume(yoke.outline)
    if bar is not None and mass > HEAVY * solid:
        yield (f"Yoke {name}: {what} weighs {said(mass, 'kg', '.4g')}, more than its outline of "
               f"{said(solid, 'm^3')} would in any metal.")  # fmt: skip
    if mass < HOLLOW * STEEL * solid:
        yield (f"Yoke {name}: {what} weighs {said(mass, 'kg', '.4g')}, next to nothing for an outline of "
               f"{said(solid, 'm^3')}: see its unit.")  # fmt: skip


def _volume(outline: Outline) -> float:
    x, y = corner_arrays(outline)
    area = abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))) / 2
    return area * float(outline.z[1] - outline.z[0])


def _densities(design: Design) -> Iterator[str]:
    densities: dict[str, Material] = dict(design.materials)
    for name, material in densities.items():
        density = float(material.density)
        if not LIGHT <= density <= HEAVY:
            yield f"Material {name}: {density:.4g} kg/m^3 is the density of no material that parts are made of."
    for number, web in enumerate(design.cranks.webs, start=1):
        yield from _web(design, number, web)


def _web(design: Design, number: int, web: Web) -> Iterator[str]:
    """Say of a web that weighs more than a bar across both throws in any metal, or has its mass centre beyond it."""
    far = max(float(throw.radius) for throw in design.cranks.throws.values())
    if np.hypot(float(web.cg[0]), float(web.cg[1])) > 2 * far:
        yield f"Web {number}: its mass centre lies beyond twice the largest throw: see cranks.webs.{number - 1}.cg."
    if web.width is None or web.thickness is None:
        return
    largest = (2 * far + float(web.width)) * float(web.width) * float(web.thickness)
    pins = sum(
        float(disc_mass(throw.pin.diameter, throw.pin.length, STEEL))
        for throw in design.cranks.throws.values()
        if throw.pin is not None
    )
    if float(web.mass) > HEAVY * largest + pins:
        yield (f"Web {number} weighs {said(float(web.mass), 'kg', '.4g')}, more than its size would in any metal: see "
               f"cranks.webs.{number - 1}.mass.")  # fmt: skip


LEAKS = 0.1  # of what the piston sweeps: a tenth in a turn is a tenth of the work at the very least


def _leaks(evaluation: Evaluation) -> Iterator[str]:
    """Say of a piston that lets past much of what it sweeps, at the rated speed."""
    for name, share in evaluation.leaks.items():
        if share > LEAKS:
            much = f"{share:.0%} of" if share < 1 else f"{share:.2g} times"
            carried = evaluation.design.yokes[name].carries
            assert isinstance(carried, Piston) and carried.diameter is not None
            bore = widest_bore(evaluation.design, carried)
            play, wide = said(bore - float(carried.diameter), "m"), said(bore, "m")
            yield (f"The piston of {name}, {play} smaller than its bore of {wide}, lets past {much} what it sweeps "
                   "in each turn at the rated speed: it will give little power, or not run.")  # fmt: skip


def _wheels(design: Design) -> Iterator[str]:
    for name, wheel in {**design.wheels("right"), **design.wheels("left")}.items():
        if not wheel.sized:
            continue
        bare = type(wheel)(at=wheel.at, diameter=wheel.diameter, inside=wheel.inside, thickness=wheel.thickness,
                           material=wheel.material)  # fmt: skip
        for what, given, by_size in (
            ("mass", float(wheel.mass), float(bare.wheel_mass)),
            ("inertia", float(wheel.polar_inertia), float(bare.polar_inertia)),
        ):
            if given and not by_size / SURE <= given <= by_size * SURE:
                yield f"The {name}'s {what} is {given / by_size:.2g} times what its size and material make."

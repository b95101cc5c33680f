"""Rods and stems as struts: yielding, fatigue, and buckling.

A rod's shank is a rectangle as thick as the rod and as wide as its section says. It is pressed and pulled along, and
bent by its own mass as it swings: m a L 0.128, the peak under a load that rises along a bar on two pins (from memory,
check against the standard), a the acceleration of its mass centre across it. Each eye is looked at where it is wider
than its pin: pulled across the pin, 3 times the plain stress at the hole's edge (from memory), a push not at all.
Buckling by Euler's formula for slender struts and Johnson's parabola for others, whichever way it is weaker; both ends
of a rod count as free to turn, a stem as free at the displacer: L_eff = 2 L. Under pull and push the endurance limit
counts 0.85 (Shigley, 9th ed., equation 6-26; from memory, check against the standard).
"""

from collections.abc import Callable, Iterator

import numpy as np

from balance.joints import centre_of
from balance.machine.carried import Diaphragm, Displacer, Piston
from balance.machine.materials import Material
from balance.machine.yoke import Rod, Yoke
from balance.quantities import Scalar, over_angle
from balance.turning import HANDS
from shafts.gap.items.rod_pin_play import End, rod_thrust
from shafts.gap.items.yoke_tilt_along_shafts import couple
from shafts.loaded_shafts import LoadedShafts
from shafts.strength.endurance import reliability_factor, size_factor, specimen_limit, surface_factor
from shafts.strength.seats import PartSafety, inverse, swing
from shafts.strength.webs import web_endurance

AXIAL, PEAK, EYE = 0.85, 0.128, 3.0
ENDS: tuple[End, ...] = ("pivot", "pin")
Judge = Callable[[LoadedShafts, str, Displacer, np.ndarray], dict[str, np.ndarray]]


def critical_load(length: Scalar, area: Scalar, inertia: Scalar, young: Scalar, proof: Scalar) -> np.ndarray:
    """Return the load at which a strut buckles, N: Euler's, or Johnson's where that would be past half the yield.

    length : effective, m.   inertia : second moment, m^4.   proof : yield strength, Pa.
    """
    slender = np.square(length) * np.asarray(area) / inertia
    euler = np.pi**2 * np.asarray(young) / np.where(slender > 0, slender, np.inf)  # of no length, Johnson's counts
    johnson = proof * (1 - proof * slender / (4 * np.pi**2 * np.asarray(young)))
    return area * np.where(slender > 2 * np.pi**2 * np.asarray(young) / proof, euler, johnson)


def missing(name: str, yoke: Yoke) -> tuple[str, ...]:
    """Return what to give of a yoke's rods for their strength."""
    rod = yoke.rod
    assert rod is not None
    unknown = [f"yokes.{name}.rod.{key}" for key in ("section", "thickness", "material") if getattr(rod, key) is None]
    strong = rod.material is None or (rod.material.yield_strength and rod.material.tensile_strength)
    return (
        *unknown,
        *(() if strong else (f"tensile_strength and yield_strength of the material of yokes.{name}.rod",)),
    )


def rod_safeties(loaded: LoadedShafts, speeds: np.ndarray) -> Iterator[PartSafety]:
    """Yield how safe every rod is against yielding and fatigue.   speeds : rad/s, (speeds, options...)."""
    for name, yoke in loaded.engine.yokes.items():
        for hand in HANDS if yoke.rod is not None else ():
            unknown = missing(name, yoke)
            yield PartSafety(f"{hand} rod of {name}", {}, unknown) if unknown else _rod(loaded, name, hand, speeds)


def buckling_safeties(loaded: LoadedShafts, speeds: np.ndarray) -> Iterator[PartSafety]:
    """Yield how far every rod is from buckling under its largest push."""
    for name, yoke in loaded.engine.yokes.items():
        for hand in HANDS if yoke.rod is not None else ():
            unknown, by = missing(name, yoke), {}
            if not unknown and yoke.rod is not None:
                push = [np.max(rod_thrust(loaded, name, hand, end).at(speeds), axis=-1) for end in ENDS]
                by = {f"buckling {way}": inverse(np.maximum(np.maximum(*push), 0.0) / critical)
                      for way, critical in rod_critical(yoke.rod).items()}  # fmt: skip
            yield PartSafety(f"{hand} rod of {name}", by, unknown)


def rod_critical(rod: Rod) -> dict[str, np.ndarray]:
    """Return the load at which a rod buckles in the plane in which it swings and out of it, N."""
    assert rod.section is not None and rod.thickness is not None and rod.material is not None
    assert rod.material.yield_strength is not None
    wide, thick = rod.section / np.asarray(rod.thickness), rod.thickness
    second = {"in its plane": thick * wide**3 / 12, "out of its plane": wide * thick**3 / 12}
    return {way: critical_load(rod.length, rod.section, each, rod.material.young, rod.material.yield_strength)
            for way, each in second.items()}  # fmt: skip


def _rod(loaded: LoadedShafts, name: str, hand: str, speeds: np.ndarray) -> PartSafety:
    yoke = loaded.engine.yokes[name]
    rod = yoke.rod
    assert rod is not None and rod.section is not None and rod.thickness is not None and rod.material is not None
    material, wide = rod.material, rod.section / np.asarray(rod.thickness)
    bent = _whip(loaded, name, hand, speeds) / over_angle(rod.thickness * wide**2 / 6)
    limit = AXIAL * np.asarray(web_endurance(material, wide, rod.thickness, loaded.engine.shafts))
    least: dict[str, np.ndarray] = {"yielding": np.inf * np.ones(speeds.shape)}
    least["fatigue"] = least["yielding"]
    for end in ENDS:
        along = -rod_thrust(loaded, name, hand, end).at(speeds) / over_angle(rod.section)
        for side in (1.0, -1.0):
            worst = of_stress(along + side * bent, limit, material)
            least = {way: np.minimum(least[way], worst[way]) for way in least}
    eyes, unknown = _eyes(loaded, name, hand, limit, speeds)
    return PartSafety(f"{hand} rod of {name}", least | eyes, unknown)


def of_stress(stress: np.ndarray, limit: Scalar, material: Material) -> dict[str, np.ndarray]:
    """Return the safety of a fibre against yielding and fatigue (Goodman); a pressed mean stress does no harm."""
    alternating, middle = swing(stress)
    assert material.tensile_strength is not None
    return {
        "yielding": inverse(np.max(np.abs(stress), axis=-1) / material.yield_strength),
        "fatigue": inverse(alternating / limit + np.maximum(middle, 0.0) / material.tensile_strength),
    }


def _whip(loaded: LoadedShafts, name: str, hand: str, speeds: np.ndarray) -> np.ndarray:
    """Return the peak moment in a rod by its own mass as it swings, N m, (speeds, options..., angles)."""
    yoke, moved = loaded.engine.yokes[name], loaded.motion.yokes[name]
    rod = yoke.rod
    assert rod is not None and moved.rod is not None
    masses = rod.masses_of(hand)
    x, y = centre_of(masses, rod.length, moved)
    gravity = loaded.engine.gravity
    fast = over_angle(speeds) ** 2
    x, y = x * fast - over_angle(gravity.x) * HANDS[hand], y * fast - over_angle(gravity.y)
    return np.asarray(over_angle(PEAK * masses.mass * rod.length) * (x * moved.rod.y - y * moved.rod.x))


def _eyes(
    loaded: LoadedShafts, name: str, hand: str, limit: Scalar, speeds: np.ndarray
) -> tuple[dict[str, np.ndarray], tuple[str, ...]]:
    """Return the safety of a rod's eyes against fatigue, and what to give where they could not be looked at."""
    yoke = loaded.engine.yokes[name]
    rod, pin, safeties, unknown = yoke.rod, loaded.engine.throw_of(yoke).pin, {}, []
    assert rod is not None and rod.material is not None and rod.thickness is not None
    entries = {"pivot": f"yokes.{name}.rod.yoke_pin", "pin": f"cranks.throws.{yoke.throw}.pin"}
    holes = {"pivot": rod.yoke_pin and rod.yoke_pin.diameter, "pin": pin and pin.diameter}
    for end in ENDS:
        hole = holes[end]
        if hole is None or rod.width is None or np.any(np.asarray(rod.width) <= hole):
            unknown.append(entries[end] if hole is None else f"yokes.{name}.rod.width, over its eyes")
            continue
        pulled = np.maximum(-rod_thrust(loaded, name, hand, end).at(speeds), 0.0)
        stress = EYE * pulled / over_angle((np.asarray(rod.width) - hole) * rod.thickness)
        where = "eye at the yoke" if end == "pivot" else "eye at the crankpin"
        safeties[f"fatigue of its {where}"] = of_stress(stress, limit, rod.material)["fatigue"]
    return safeties, tuple(dict.fromkeys(unknown))


def stem_safeties(loaded: LoadedShafts, speeds: np.ndarray) -> Iterator[PartSafety]:
    """Yield how safe every displacer's stem is: yielding and fatigue.

    Taken to pass all that the rods pass to the yoke along the cylinder, and to be bent by the guide's force at its end
    and by the couple of masses beside the rods' plane: both err to the side that warns.
    """
    yield from _stems(loaded, speeds, _bent_stem)


def stem_buckling(loaded: LoadedShafts, speeds: np.ndarray) -> Iterator[PartSafety]:
    """Yield how far every stem, and every pair of posts, is from buckling under the largest push."""
    yield from _stems(loaded, speeds, _buckled_stem)
    for name, yoke in loaded.engine.yokes.items():
        if not isinstance(yoke.carries, Displacer) and yoke.carries is not None and yoke.carries.posts is not None:
            yield _posts(loaded, name, yoke.carries, speeds)


def _posts(loaded: LoadedShafts, name: str, carried: Piston | Diaphragm, speeds: np.ndarray) -> PartSafety:
    """Return how far two posts are from buckling, each as free at its upper end: twice as long as they are.

    Taken to pass all that the rods pass to the yoke, and to reach up to the crown: both err to the side that warns.
    """
    what, entry, arm, posts = f"posts of {name}", f"yokes.{name}", loaded.engine.yokes[name].arm, carried.posts
    assert posts is not None
    metal = posts.material or (None if arm is None else arm.material)
    unknown = [f"{entry}.carries.crown"] * (carried.crown is None)
    if metal is None or metal.yield_strength is None:
        unknown.append(f"{entry}.carries.posts.material with its yield_strength")
    if carried.crown is None or metal is None or metal.yield_strength is None:
        return PartSafety(what, {}, tuple(unknown))
    area, second = np.pi / 4 * np.square(posts.diameter), np.pi / 64 * np.asarray(posts.diameter) ** 4
    critical = 2 * critical_load(2 * np.asarray(carried.crown), area, second, metal.young, metal.yield_strength)
    return PartSafety(what, {"buckling": inverse(np.max(np.abs(_passed(loaded, name, speeds)), axis=-1) / critical)})


def _stems(loaded: LoadedShafts, speeds: np.ndarray, judged: Judge) -> Iterator[PartSafety]:
    for name, yoke in loaded.engine.yokes.items():
        stem = yoke.carries
        if not isinstance(stem, Displacer) or not np.any(np.asarray(stem.stem_diameter)):
            continue
        metal, entry = stem.stem_material, f"yokes.{name}.carries"
        unknown = [f"{entry}.{key}" for key in ("stem_length", "stem_material") if getattr(stem, key) is None]
        if metal is not None and (metal.yield_strength is None or metal.tensile_strength is None):
            unknown.append(f"tensile_strength and yield_strength of {entry}.stem_material")
        yield PartSafety(f"stem of {name}", {} if unknown else judged(loaded, name, stem, speeds), tuple(unknown))


def _passed(loaded: LoadedShafts, name: str, speeds: np.ndarray) -> np.ndarray:
    pivot = loaded.forces[name].pivot
    return (pivot.right.y + pivot.left.y).at(speeds)


def _buckled_stem(loaded: LoadedShafts, name: str, stem: Displacer, speeds: np.ndarray) -> dict[str, np.ndarray]:
    metal = stem.stem_material
    assert metal is not None and metal.yield_strength is not None and stem.stem_length is not None
    critical = critical_load(2 * stem.stem_length, stem.stem_area, stem.stem_inertia, metal.young, metal.yield_strength)
    return {"buckling": inverse(np.max(np.abs(_passed(loaded, name, speeds)), axis=-1) / critical)}


def _bent_stem(loaded: LoadedShafts, name: str, stem: Displacer, speeds: np.ndarray) -> dict[str, np.ndarray]:
    metal, shaft = stem.stem_material, loaded.engine.shafts
    assert metal is not None and metal.tensile_strength is not None and stem.stem_length is not None
    across = loaded.forces[name].guide.at(speeds) * over_angle(stem.stem_length)
    along = couple(loaded, name).at(speeds)
    per_moment = over_angle(np.asarray(stem.stem_diameter) / (2 * stem.stem_inertia))
    limit = specimen_limit(metal) * surface_factor(shaft.finish, metal.tensile_strength) * AXIAL
    limit = limit * reliability_factor(shaft.reliability) * size_factor(stem.stem_diameter)
    pulled = _passed(loaded, name, speeds) / over_angle(stem.stem_area)
    # The fibres in both planes, and the worst between them as if it were worst all the time.
    fibres = (across, -across, along, -along, np.hypot(across, along), -np.hypot(across, along))
    by = [of_stress(pulled + each * per_moment, limit, metal) for each in fibres]
    return {way: np.min([each[way] for each in by], axis=0) for way in by[0]}

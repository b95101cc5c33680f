"""Crank webs as rectangular bars between two holes: bent in and out of their plane, twisted, stretched and sheared.

Looked at across both holes, on what they leave of the width, with the wrench that passes through the web. Twist of a
rectangle b x c: 3 + 1.8 c/b over b c^2 (Shigley, 9th ed., equation 3-40; from memory, check against the standard).
Fatigue at the hole's edge: 2 + (1 - d/w)^3 on the net section (Heywood's fit, from memory, check against the standard),
in twist 1 + 0.65 of what that is above 1, and not less than under a press fit where the pin is pressed in; felt in
full. A web of one piece with its pin has no hole; the pin's own fillet counts. Yielding is by the plain stress.
"""

from collections.abc import Iterator

import numpy as np

from balance.machine.materials import Material
from balance.quantities import Number, Scalar
from shafts.crank.loaded import LoadedCrank
from shafts.engine import Engine
from shafts.shaft import Shaft
from shafts.strength.concentration import press_fit
from shafts.strength.endurance import reliability_factor, size_factor, specimen_limit, surface_factor
from shafts.strength.joints import notch
from shafts.strength.seats import PartSafety, Seat, inverse, seats, swing
from shafts.strength.stress import section_loads

HAIR = 1e-9  # m; less than this is rounding: both ends of a web are in one line


def web_safeties(engine: Engine, crank: LoadedCrank, speeds: np.ndarray) -> Iterator[PartSafety]:
    """Yield how safe every web of a crank is.   speeds : rad/s, (speeds, options...)."""
    every = seats(engine, crank)
    for low, high in zip(every[::2], every[1::2], strict=True):
        name = f"{crank.hand} web {low.number + 1}"
        material = low.web_material
        if material.tensile_strength is None or material.yield_strength is None:
            unknown = f"tensile_strength and yield_strength of the material of web {low.number + 1}"
            yield PartSafety(name, {}, (unknown,))
            continue
        yield _web(crank, name, (low, high), speeds)
    if not every:
        yield PartSafety(f"{crank.hand} webs", {}, ("cranks.webs, each with width and thickness",))


def _web(crank: LoadedCrank, name: str, ends: tuple[Seat, Seat], speeds: np.ndarray) -> PartSafety:
    least: dict[str, np.ndarray] = {}
    unknown = []
    for seat in ends:
        if seat.diameter is None:
            unknown.append(f"cranks.throws.{seat.throw}.pin")
        elif seat.joint is None:
            unknown.append(seat.entry)
        for way, safety in _across_hole(crank, ends, seat, speeds).items():
            least[way] = np.minimum(least.get(way, np.inf), safety)
    return PartSafety(name, least, tuple(unknown))


def _across_hole(crank: LoadedCrank, ends: tuple[Seat, Seat], seat: Seat, speeds: np.ndarray) -> dict[str, np.ndarray]:
    """Return the safety of the web across one of its holes, by yielding and by fatigue, (speeds, options...)."""
    web, material = seat.web, seat.web_material
    assert web.width is not None and web.thickness is not None
    solid = seat.diameter is None or (seat.joint is not None and seat.joint.kind == "one piece")
    hole = 0.0 if solid else np.asarray(seat.diameter)
    modes = _modes(crank, ends, seat, speeds)
    stretched, across, flat, edge, twist = (each / size[..., None] for each, size in zip(
        modes, _moduli(np.asarray(web.width), np.asarray(web.thickness), np.asarray(hole)), strict=True))  # fmt: skip
    assert material.yield_strength is not None and material.tensile_strength is not None
    pull = np.abs(stretched) + np.abs(flat) + np.abs(edge)
    equal = np.hypot(pull, np.sqrt(3) * (np.abs(twist) + 1.5 * np.abs(across)))
    used = np.max(equal, axis=-1) / material.yield_strength
    notched, twisted = _notch(seat, web.width, hole, material)
    alternating, middle = zip(*(swing((stretched + one * flat + other * edge) * np.asarray(notched)[..., None])
                                for one in (1, -1) for other in (1, -1)), strict=True)  # fmt: skip
    turned, steady = swing(twist * np.asarray(twisted)[..., None])
    limit = web_endurance(material, np.asarray(web.width) - hole, web.thickness, crank.shaft)
    tensile = material.tensile_strength
    tired = [np.hypot(some, np.sqrt(3) * turned) / limit + np.hypot(other, np.sqrt(3) * steady) / tensile
             for some, other in zip(alternating, middle, strict=True)]  # fmt: skip
    gone = np.asarray(web.width) <= hole
    return {way: np.where(gone, 0.0, inverse(each))
            for way, each in (("yielding", used), ("fatigue", np.max(tired, axis=0)))}  # fmt: skip


def _modes(crank: LoadedCrank, ends: tuple[Seat, Seat], seat: Seat, speeds: np.ndarray) -> list[np.ndarray]:
    """Return pull along the web and force across it, N, moment out of its plane, in it and twist, N m, at one end.

    Each (speeds, options..., angles). A web between two throws in line has no arm: it is taken to lie outward.
    """
    low, high = ends
    z, x, y = (np.asarray(each, dtype=float)[..., None] for each in (seat.web.at, seat.x, seat.y))
    moment, shear, torque = (each.at(speeds)[..., 0, :] for each in section_loads(crank, z, x, y))
    along_x, along_y = (each[..., None] for each in _direction(low, high))
    mx, my, fx, fy = moment.real, -moment.imag, shear.imag, shear.real
    return [
        fx * along_x + fy * along_y,
        fy * along_x - fx * along_y,
        my * along_x - mx * along_y,
        -torque,
        mx * along_x + my * along_y,
    ]


def _direction(low: Seat, high: Seat) -> tuple[np.ndarray, np.ndarray]:
    """Return the unit vector along a web, in the crank frame."""
    away_x, away_y = np.asarray(high.x) - low.x, np.asarray(high.y) - low.y
    in_line = np.hypot(away_x, away_y) < HAIR
    on_axis = np.hypot(low.x, low.y) < HAIR
    x = np.where(in_line, np.where(on_axis, 0.0, low.x), away_x)
    y = np.where(in_line, np.where(on_axis, 1.0, low.y), away_y)
    length = np.hypot(x, y)
    return x / length, y / length


def _moduli(width: np.ndarray, thickness: np.ndarray, hole: np.ndarray) -> tuple[np.ndarray, ...]:
    """Return areas for pull and shear, m^2, and moduli out of plane, in plane and in twist, m^3, across a hole."""
    net = np.maximum(width - hole, 1e-12)
    large, small = np.maximum(net, thickness), np.minimum(net, thickness)
    return (
        net * thickness,
        net * thickness,
        net * thickness**2 / 6,
        thickness * np.maximum(width**3 - hole**3, 1e-18) / (6 * width),
        large * small**2 / (3 + 1.8 * small / large),
    )


def _notch(seat: Seat, width: Number, hole: Scalar, material: Material) -> tuple[Scalar, Scalar]:
    """Return the fatigue notch factors of a web at a hole in pull or bending and in twist."""
    if seat.diameter is None:
        return 1.0, 1.0
    if seat.joint is not None and seat.joint.kind == "one piece":
        return notch(seat)
    edge = 2 + np.maximum(1 - hole / np.asarray(width), 0.0) ** 3
    if seat.joint is not None and seat.joint.kind == "pressed":
        assert material.tensile_strength is not None
        edge = np.maximum(edge, press_fit(material.tensile_strength)[0])
    return edge, 1 + 0.65 * (edge - 1)


def web_endurance(material: Material, width: Scalar, thickness: Scalar, shaft: Shaft) -> Scalar:
    """Return the endurance limit of a rectangular bar, Pa; its size is 0.808 sqrt(b c), Shigley equation 6-25."""
    assert material.tensile_strength is not None
    size = 0.808 * np.sqrt(np.maximum(width * np.asarray(thickness), 1e-12))
    limit = specimen_limit(material) * surface_factor(shaft.finish, material.tensile_strength)
    return limit * reliability_factor(shaft.reliability) * size_factor(size)

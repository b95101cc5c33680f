"""The joint of a pin or shaft and its web: what turns or tips it, against what holds it.

Pressed: Lame's pressure p of the interference; friction carries the torque mu p pi d^2 l/2, and the pin tips once a
moment p pi d l^2/12 or a force p pi d l/2 has relieved one side of it (the same pressures as in a rigid seat). Of the
computed grip 0.3 is taken, the low end for press fits of a small workshop; no more pressure than the web bears elastic.
Glued or soldered: a film of strength s carries the torque s pi d^2 l/2, the moment s pi d l^2/12, the force s pi d l/2.
Screwed: the shoulder, as wide as the pin, is clamped by F = M/(0.26 d), a nut factor of 0.2 and 30 percent of scatter;
it turns by friction in thread and shoulder, less what the pitch gives, and opens at F (D^2 + d^2)/(8 D).
The shares of torque, moment and force are added, which is safe. Strengths and factors are from memory, check against
the standard: friction 0.12; retaining glue 3 MPa and silver solder 25 MPa under alternating load, their lower ends.
"""

import numpy as np

from balance.machine.joint import Joint
from balance.machine.materials import Material
from balance.quantities import Number, Scalar, result
from balance.weights.retention import THREADS
from shafts.crank.loaded import LoadedCrank
from shafts.engine import Engine
from shafts.strength.concentration import SHARP, press_fit, sensitivity, shoulder
from shafts.strength.endurance import is_steel
from shafts.strength.seats import PartSafety, Seat, inverse, seats
from shafts.strength.sections import SAME
from shafts.strength.stress import section_loads

FRICTION, PRESSED_SHARE = 0.12, 0.3
FILM = {"glued": 3e6, "soldered": 25e6}  # Pa, shear strength under alternating load
NUT_FACTOR = 0.26
SOFTENED = 550e6  # Pa: tensile strength that is left of steel after silver soldering
KF = {"glued": 2.0, "soldered": 2.5}  # fatigue notch factors in bending, high ends
NEEDED = {"pressed": ("length", "interference"), "glued": ("length",), "soldered": ("length",),
          "screwed": ("thread", "tightening"), "one piece": ()}  # fmt: skip


def missing(seat: Seat) -> tuple[str, ...]:
    """Return the entries without which the grip of a seat is not known."""
    if seat.diameter is None:
        return (f"cranks.throws.{seat.throw}.pin",)
    if seat.joint is None:
        return (seat.entry,)
    return tuple(f"{seat.entry}.{name}" for name in missing_of(seat.joint))


def missing_of(joint: Joint) -> tuple[str, ...]:
    """Return the entries of a joint without which its grip is not known."""
    return tuple(name for name in NEEDED[joint.kind] if getattr(joint, name) is None)


def pressure(interference: Scalar, diameter: Scalar, outer: Scalar, hub: Material, shaft: Material) -> np.ndarray:
    """Return the pressure of a solid shaft in a ring, Pa, by Lame; interference on the diameter, m."""
    return ring_pressure(interference, diameter, outer, 0.0, hub, shaft)


def ring_pressure(
    interference: Scalar, diameter: Scalar, outer: Scalar, bore: Scalar, hub: Material, shaft: Material
) -> np.ndarray:
    """Return the same of a shaft with a bore, m."""
    poisson, poisson_shaft = (each.young / (2 * np.asarray(each.shear)) - 1 for each in (hub, shaft))
    square, around, inside = (np.square(each) for each in (diameter, outer, bore))
    ring = ((around + square) / (around - square) + poisson) / hub.young
    core = ((square + inside) / (square - inside) - poisson_shaft) / shaft.young
    return np.asarray(interference / (diameter * (ring + core)))


@result
class Grip:
    """What a joint holds by itself: torque, N m, bending moment, N m, and force across, N; each (options...)."""

    torque: Number
    moment: Number
    force: Number

    def used(self, torque: Scalar, moment: Scalar, force: Scalar) -> Number:
        """Return the share that loads of the same kinds take together; endless where it holds nothing by itself."""
        held = (np.asarray(each, dtype=float) for each in (self.torque, self.moment, self.force))
        shares = [np.where(most > 0, load / np.where(most > 0, most, 1.0), np.inf)
                  for load, most in zip((torque, moment, force), held, strict=True)]  # fmt: skip
        return shares[0] + shares[1] + shares[2]


def grip(seat: Seat) -> Grip | None:
    """Return what holds a pin or shaft in its web; None where it is one piece with it."""
    joint, d = seat.joint, seat.diameter
    assert joint is not None and d is not None
    if joint.kind == "one piece":
        return None
    if joint.kind == "screwed":
        return _screwed(joint, d)
    assert joint.length is not None and seat.web.thickness is not None and seat.web.width is not None
    length = np.minimum(joint.length, seat.web.thickness)
    return gripped(joint, d, length, _film(joint, d, seat.web.width, (seat.web_material, seat.material)))


def gripped(joint: Joint, d: Scalar, length: Scalar, film: Scalar) -> Grip:
    """Return what a pressed, glued or soldered seat of some length, m, holds by its pressure or film, Pa."""
    whole = np.pi * d * length * np.asarray(film)
    rub = FRICTION if joint.kind == "pressed" else 1.0
    return Grip(rub * whole * d / 2, whole * length / 12, whole / 2)


def most_interference(seat: Seat) -> Number | None:
    """Return the interference on the diameter, m, at which the web yields all round a pressed seat; None if not known.

    The pressure is then Y log(D/d) (thick ring, Tresca; from memory, check against the standard), and the interference
    the elastic one of that pressure, which is on the safe side.
    """
    joint, d, web = seat.joint, seat.diameter, seat.web_material.yield_strength
    if joint is None or joint.kind != "pressed" or joint.interference is None or d is None or web is None:
        return None
    assert seat.web.width is not None
    outer = np.maximum(seat.web.width, d * (1 + 1e-9))
    return web * np.log(outer / d) / pressure(1.0, d, outer, seat.web_material, seat.material)


def plate_grip(joint: Joint, d: Scalar, length: Scalar, metals: tuple[Material, Material]) -> Grip | None:
    """Return what holds a counterweight's plate, whose eye is twice as wide as its pin, over a length on the pin, m.

    metals : of plate and pin.   None where `missing_of` tells what is not known, or it is of one piece with the pin.
    """
    if missing_of(joint) or joint.kind == "one piece":
        return None
    if joint.kind == "screwed":
        return _screwed(joint, d)
    return gripped(joint, d, length, _film(joint, d, 2 * np.asarray(d), metals))


def _film(joint: Joint, d: Scalar, width: Scalar, metals: tuple[Material, Material]) -> Number:
    """Return the pressure of a press fit, of which a share counts, or the strength of a film, Pa.

    width : of the web about it, m.   metals : of web and pin.
    """
    if joint.kind != "pressed":
        return FILM[joint.kind]
    assert joint.interference is not None
    outer = np.maximum(width, d * (1 + 1e-9))
    pressed = pressure(joint.interference, d, outer, *metals)
    if metals[0].yield_strength is not None:
        pressed = np.minimum(pressed, metals[0].yield_strength * (1 - np.square(d / outer)) / 2)
    return PRESSED_SHARE * pressed


def _screwed(joint: Joint, shoulder_diameter: Number) -> Grip:
    assert joint.thread is not None and joint.tightening is not None
    size, pitch = (each * 1e-3 for each in THREADS[joint.thread])
    clamped = np.asarray(joint.tightening) / (NUT_FACTOR * size)
    flank, face = (size - 0.65 * pitch) / 2, (np.maximum(shoulder_diameter, size) + size) / 4
    turns = clamped * np.maximum(FRICTION * (flank / np.cos(np.pi / 6) + face) - pitch / (2 * np.pi), 0.0)
    ring = np.maximum(shoulder_diameter, size)
    return Grip(turns, clamped * (ring**2 + size**2) / (8 * ring), FRICTION * clamped)


def notch(seat: Seat) -> tuple[Scalar, Scalar]:
    """Return the fatigue notch factors of a pin at its web's face in bending and torsion, on its own diameter.

    Pressed: DIN 743-2 (see `press_fit`). A screwed pin with a clamped shoulder: 2, else its thread's core carries all.
    One piece: a shoulder of twice its diameter, sharp if no fillet is given. Without a given joint: plain, and the row
    says that this is not all.
    """
    joint, d = seat.joint, seat.diameter
    assert d is not None and seat.material.tensile_strength is not None
    if joint is None:
        return 1.0, 1.0
    if joint.kind == "pressed":
        return press_fit(seat.material.tensile_strength)
    if joint.kind == "screwed":
        return _thread_notch(joint, d, seat.material.tensile_strength)
    if joint.kind in KF:
        return KF[joint.kind], 1 + 0.65 * (KF[joint.kind] - 1)
    root = SHARP * d if joint.fillet is None else joint.fillet
    factors, felt = shoulder(2 * d, d, root), sensitivity(root, seat.material.tensile_strength, is_steel(seat.material))
    return 1 + felt[0] * (factors.bending - 1), 1 + felt[1] * (factors.torsion - 1)


def _thread_notch(joint: Joint, d: Scalar, tensile: Scalar) -> tuple[Scalar, Scalar]:
    if joint.tightening is not None or joint.thread is None:
        return 2.0, 1.65
    size, pitch = (each * 1e-3 for each in THREADS[joint.thread])
    factor = np.where(np.asarray(tensile) < 800e6, 3.5, 4.5) * (d / (size - 1.2269 * pitch)) ** 3
    return factor, factor


def left_by_soldering(seat: Seat) -> Number:
    """Return the share of its strength that a pin keeps: soldering softens steel."""
    tensile = seat.material.tensile_strength
    if seat.joint is None or seat.joint.kind != "soldered" or tensile is None:
        return 1.0
    return np.minimum(1.0, SOFTENED / np.asarray(tensile))


def joint_safeties(engine: Engine, crank: LoadedCrank, speeds: np.ndarray) -> list[PartSafety]:
    """Return how safe every seat of a crank is against slipping or tipping.   speeds : rad/s, (speeds, options...)."""
    return [_safety(crank, seat, speeds) for seat in seats(engine, crank)]


def _safety(crank: LoadedCrank, seat: Seat, speeds: np.ndarray) -> PartSafety:
    unknown = missing(seat)
    held = None if unknown else grip(seat)
    if held is None:
        return PartSafety(seat.name, {} if unknown else {"one piece": np.full(speeds.shape, np.inf)}, unknown)
    z, x, y = (np.asarray(each, dtype=float)[..., None] for each in (seat.z - seat.inward * SAME, seat.x, seat.y))
    moment, shear, torque = (np.abs(each.at(speeds))[..., 0, :] for each in section_loads(crank, z, x, y))
    # The force acts at the face, half the seat's length before its middle.
    deep = np.asarray(0.0 if seat.joint is None or seat.joint.length is None else seat.joint.length / 2)
    at_angles = Grip(*(np.asarray(each)[..., None] for each in (held.torque, held.moment, held.force)))
    used = at_angles.used(torque, moment + shear * deep[..., None], shear)
    return PartSafety(seat.name, {"grip": inverse(np.max(used, axis=-1))})

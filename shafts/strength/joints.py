"""The joint of a pin or shaft and its web: what turns or tips it, against what holds it (see `grips`).

The shares of torque, moment and force are added, which is safe.
"""

import numpy as np

from balance.machine.joint import Joint
from balance.machine.threads import THREADS
from balance.quantities import Number, Scalar
from shafts.crank.loaded import LoadedCrank
from shafts.engine import Engine
from shafts.strength.concentration import KEYWAY, SHARP, cross_hole, press_fit, sensitivity, shoulder
from shafts.strength.endurance import is_steel
from shafts.strength.grips import Grip, grip_of, missing_of, untold
from shafts.strength.seats import PartSafety, Seat, seats
from shafts.strength.sections import SAME
from shafts.strength.stress import section_loads

SOFTENED = 550e6  # Pa: tensile strength that is left of steel after silver soldering
KF = {"glued": 2.0, "soldered": 2.5}  # fatigue notch factors in bending, high ends


def missing(seat: Seat) -> tuple[str, ...]:
    """Return the entries without which the grip of a seat is not known."""
    if seat.diameter is None:
        return (f"cranks.throws.{seat.throw}.pin",)
    if seat.joint is None:
        return (seat.entry,)
    of_it = tuple(f"{seat.entry}.{name}" for name in missing_of(seat.joint))
    return of_it + untold(seat.joint, seat.diameter, (seat.web_material, seat.material))


def grip(seat: Seat) -> Grip | None:
    """Return what holds a pin or shaft in its web; None where it is one piece with it."""
    joint = seat.joint
    assert joint is not None and seat.diameter is not None
    assert seat.web.thickness is not None and seat.web.width is not None
    length = None if joint.length is None else np.minimum(joint.length, seat.web.thickness)
    return grip_of(joint, seat.diameter, length, seat.web.width, (seat.web_material, seat.material))


def notch(seat: Seat) -> tuple[Scalar, Scalar]:
    """Return the fatigue notch factors of a pin at its web's face in bending and torsion, on its own diameter.

    Pressed: DIN 743-2 (see `press_fit`). A screwed pin with a clamped shoulder: 2, else its thread's core carries all.
    Clamped: as pressed. Set screws dent, and keys cut, a keyway; a cross pin takes a hole: both felt in full.
    One piece: a shoulder of twice its diameter, sharp if no fillet is given. Without a given joint: plain, and the row
    says that this is not all.
    """
    joint, d = seat.joint, seat.diameter
    assert d is not None and seat.material.tensile_strength is not None
    if joint is None:
        return 1.0, 1.0
    if joint.kind in ("pressed", "clamped"):
        return press_fit(seat.material.tensile_strength)
    if joint.kind in ("set screws", "keyed"):
        return KEYWAY
    if joint.kind == "pinned":
        return KEYWAY if joint.pin is None else cross_hole(joint.pin.diameter / d)
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
    return PartSafety(seat.name, {"grip": held.safety(torque, moment + shear * deep[..., None], shear)})

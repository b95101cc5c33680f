"""Bending moment, shear and torque in every section of a crank, seen from the turning crank.

A moment is a complex number, its part in the plane of crank angle zero plus i times that across it, as the crank's own
frame has it: a load that turns with the crank stands still, and one that is fixed in space goes round once a turn. The
wrenches are those of the elastic chain (`shafts.crank.compliance`); the shaft's own weight is left out.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from balance.cycle.load import Load
from balance.quantities import Number, Scalar, over_angle, result
from shafts.crank.loaded import LoadedCrank
from shafts.crank.members import FX, FY, MX, MY, MZ
from shafts.loaded_shafts import LoadedShafts
from shafts.shaft import Shaft
from shafts.strength.on_shaft import held_places
from shafts.strength.sections import SAME, Place, Sections, sections


@result
class Inside:
    """A moment or force inside a crank in its own frame, complex, or a torque, (options..., sections, angles).

    linear : its linear part.   apart : that per newton of the size of the gear teeth's tangential force.
    """

    linear: Load
    apart: np.ndarray
    tooth: Load | None

    def at(self, speed: Number) -> np.ndarray:
        """Return its value at a speed, rad/s: one for each option, or several of them (speeds, options...)."""
        value = self.linear.at(over_angle(speed))
        if self.tooth is None:
            return value
        return value + self.apart * np.abs(self.tooth.at(speed))[..., None, :]


@result
class InternalLoads:
    """What a shaft carries inside, in the crank frame: moment, N m, and shear, N; torque, N m, as crank angle grows.

    The sections are those of `sections`; torque : (options..., sections, angles), real.
    about_pin : torque about a crankpin's own axis, in its place: there what the gear teeth push apart turns too.
    """

    shaft: Shaft
    sections: Sections
    moment: Inside
    shear: Inside
    torque: Load
    about_pin: Inside | None = None

    def torque_at(self, speed: Number) -> np.ndarray:
        """Return the torque at a speed, (options..., sections, angles); see Inside.at."""
        return self.torque.at(over_angle(speed)) if self.about_pin is None else self.about_pin.at(speed)


def internal_loads(loaded: LoadedShafts) -> tuple[InternalLoads, InternalLoads]:
    """Return what the right and the left shaft carry inside."""
    right, left = (inside_shaft(crank, held_places(loaded.engine, crank.shaft, crank.hand)) for crank in loaded.cranks)
    return right, left


def inside_shaft(crank: LoadedCrank, held: Sequence[Place] = ()) -> InternalLoads:
    """Return what one shaft carries inside.   held : notches that what sits on it makes."""
    placed = {each.name: each.at for each in crank.loads if each.kind != "turning mass"}
    cuts = sections(crank.shaft, placed, held)
    moment, shear, torque = section_loads(crank, cuts.at + np.where(cuts.behind, SAME, -SAME))
    return InternalLoads(crank.shaft, cuts, moment, shear, torque.linear)  # what pushes apart meets the axis


def section_loads(crank: LoadedCrank, z: np.ndarray, x: Scalar = 0.0, y: Scalar = 0.0) -> tuple[Inside, Inside, Inside]:
    """Return moment, shear and torque in sections across z, of the shaft or of a crankpin.

    z : (options..., sections), m.   x, y : where the axis passes through each, likewise; the shaft's own if left out.
    What lies on the side of smaller z acts on what lies on the other.
    """
    wrench = _wrenches(crank, z)
    fx, fy, mx, my, mz = (wrench[..., part, :] for part in (FX, FY, MX, MY, MZ))
    along = np.asarray(z)[..., None]
    moment = mx + along * fy - 1j * (my - along * fx)
    torque = -(mz - over_angle(x) * fy + over_angle(y) * fx)
    return _inside(crank, moment), _inside(crank, fy + 1j * fx), _inside(crank, torque)


def _wrenches(crank: LoadedCrank, z: np.ndarray) -> np.ndarray:
    """Return the wrench about the origin that each load puts through each section, (options..., sections, 5, loads)."""
    wrenches, props = crank.carried.passing(z), 2 * len(crank.shaft.bearings)
    # The last reaction holds the crank against turning; all torques together leave it nothing.
    given, held = wrenches[..., :-props], wrenches[..., -props:]
    return given + held @ crank.reactions[..., None, :props, :]


def _inside(crank: LoadedCrank, weights: np.ndarray) -> Inside:
    """Return a complex sum of all loads over the cycle; weights (options..., sections, loads)."""
    linear = replace(crank.rows.each(partial(_of_sections, weights)), vibration=crank.added(weights)).kept
    return Inside(linear, np.moveaxis(crank.apart(weights), 0, -2), crank.tooth)


def _of_sections(weights: np.ndarray, rows: np.ndarray) -> np.ndarray:
    if np.iscomplexobj(weights):
        return _of_sections(weights.real, rows) + 1j * _of_sections(weights.imag, rows)
    return np.ascontiguousarray(weights) @ rows

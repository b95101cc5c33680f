"""Bending moment, shear and torque in every section of a shaft, seen from the turning shaft.

A moment is a complex number, its part in the plane of crank angle zero plus i times that across it, as
the turning shaft sees it: the moment in space is turned back by the crank angle. So a load that turns
with the shaft stands still, and one that is fixed in space goes round once a turn. What lies beyond the
shaft's end acts through a rigid arm. The shaft's own weight is left out; a throw between bearings is
looked at as if the shaft ran straight through it.
"""

from dataclasses import dataclass

import numpy as np

from balance.cycle.load import Load, PlanarForce
from balance.quantities import Number, Scalar, over_angle, side_by_side
from balance.shaft_loads import Mesh, ShaftLoads
from balance.turning import TurningMass
from shafts.carried import LoadedShafts
from shafts.deflection import ShaftResponse
from shafts.shaft import Shaft
from shafts.strength.sections import SAME, Sections, sections
from shafts.twisting import TorqueAt


@dataclass(frozen=True, eq=False)
class Inside:
    """A moment or force inside a shaft in the turning frame, complex, (options..., sections, angles).

    linear : its linear part.   apart : that per newton of the gear teeth's separating force.
    """

    linear: Load
    apart: np.ndarray
    mesh: Mesh | None

    def at(self, speed: Number) -> np.ndarray:
        """Return its value at a speed, rad/s: one for each option, or several of them (speeds, options...)."""
        value = self.linear.at(over_angle(speed))
        if self.mesh is None:
            return value
        return value + self.apart * self.mesh.separating(speed)[..., None, :]


@dataclass(frozen=True, eq=False)
class InternalLoads:
    """What a shaft carries inside: moment, N m, and shear, N, in the turning frame; torque, N m.

    The sections are those of `sections`; torque : (options..., sections, angles), real.
    """

    shaft: Shaft
    sections: Sections
    moment: Inside
    shear: Inside
    torque: Load


def internal_loads(carried: LoadedShafts) -> tuple[InternalLoads, InternalLoads]:
    """Return what the right and the left shaft carry inside."""
    return tuple(
        inside_shaft(shaft, loads, state, twisting, carried.motion.theta)
        for shaft, loads, state, twisting in zip(
            carried.engine.shafts.pair, carried.loads, carried.states, carried.twisting, strict=True
        )
    )  # type: ignore[return-value]


def inside_shaft(
    shaft: Shaft, loads: ShaftLoads, state: ShaftResponse, twisting: list[TorqueAt], theta: np.ndarray
) -> InternalLoads:
    """Return what one shaft carries inside, from its loads, its state under them, and the torques along it."""
    found = sections(shaft, {each.name: each.at for each in twisting if each.name != "weight"})
    forces, apart, places = _forces(shaft, loads, state, theta)
    reach = found.at[..., :, None] - side_by_side(places)[..., None, :]
    arm, pushed = np.maximum(reach, 0.0), _passed(reach, found.behind)
    passed = _passed(found.at[..., :, None] - side_by_side([each.at for each in twisting])[..., None, :], found.behind)
    return InternalLoads(
        shaft,
        found,
        Inside(forces.each(lambda part: arm @ part), arm @ apart, loads.mesh),
        Inside(forces.each(lambda part: pushed @ part), pushed @ apart, loads.mesh),
        _together([each.torque for each in twisting], theta).each(lambda part: passed @ part),
    )


def _passed(reach: np.ndarray, behind: np.ndarray) -> np.ndarray:
    """Return 1 for each load that acts before a section, else 0; `reach` from load to section, m."""
    return np.where(reach > np.where(behind, -SAME, SAME)[:, None], 1.0, 0.0)


def _forces(
    shaft: Shaft, loads: ShaftLoads, state: ShaftResponse, theta: np.ndarray
) -> tuple[Load, np.ndarray, list[Number]]:
    """Return all forces on a shaft, bearings included, what each takes of the separating force, and their places."""
    back = np.exp(-1j * theta)
    sideways = 1j * loads.sign * back  # a unit force along x, as the turning shaft sees it
    places = [at for at, _ in loads.pins.values()] + [mass.at for mass in loads.turning]
    forces = [turned_back(pull, loads.sign, back) for _, pull in loads.pins.values()]
    forces += [_of_mass(mass, loads, back) for mass in loads.turning]
    apart: list[Scalar] = [np.zeros(1) for _ in forces]
    if loads.mesh is not None:
        places.append(loads.mesh.at)
        forces.append(loads.mesh.tangential * back)
        apart.append(sideways)
    for bearing, load in zip(shaft.bearings, state.bearings, strict=True):
        places.append(bearing.at)
        forces.append(-turned_back(load.pull, loads.sign, back))
        apart.append(-over_angle(load.mesh_weight) * sideways)
    return _together(forces, theta), _rows(apart, theta), places


def turned_back(pull: PlanarForce, sign: float, back: np.ndarray) -> Load:
    """Return a force as the turning shaft sees it, complex; `back` is exp(-i theta), `sign` +1 right, -1 left."""
    return (pull.y + pull.x * np.asarray(1j * sign)) * back


def _of_mass(mass: TurningMass, loads: ShaftLoads, back: np.ndarray) -> Load:
    x, y = loads.gravity
    weight = over_angle(mass.mass * y) + 1j * loads.sign * over_angle(mass.mass * x)
    return Load(gravity=weight * back, inertia=over_angle(mass.along) + 1j * over_angle(mass.across))


def _together(loads: list[Load], theta: np.ndarray) -> Load:
    """Return several loads as one, (options..., loads, angles)."""
    return Load(*(_rows([getattr(load, part) for load in loads], theta) for part in ("gas", "gravity", "inertia")))


def _rows(parts: list[Scalar], theta: np.ndarray) -> np.ndarray:
    return np.stack(np.broadcast_arrays(*parts, theta)[:-1], axis=-2)

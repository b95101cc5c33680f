"""Whether a counterweight's screws hold it: its centrifugal force at speed against what they bear.

In tension (radial screws through the weight into the hub) each bears its proof load, ISO 898-1. In shear
(screws along the shaft, the pull slides the weight across them) each bears 0.577 of its yield stress over
the thread's stress area, by the distortion-energy criterion; the friction under the heads, which ought to
carry the force by itself, is left out. All screws are taken to share alike.

The thread strips where it shears: in what the screw goes into along its outside, in the screw along its core. In
tension it carries the force; in shear it carries the tightening, three quarters of the proof load (common practice, no
source), and counts in proportion where it strips before. The plate's edge tears out between a bolt's hole and the
edge along two lines, 2 tau t (e - d/2), whatever the direction in which the edge lies.
"""

import numpy as np

from balance.machine.counterweights import Screws
from balance.machine.materials import Material
from balance.machine.threads import STRENGTHS, THREADS, TIGHTENED, stress_area
from balance.plates.plate import Plate
from balance.quantities import Number, Scalar, result

SHEAR_SHARE = 1 / np.sqrt(3)  # of the yield stress in pull, by the distortion-energy criterion


@result
class Hold:
    """How the screws of one weight hold it.

    pull : of the weight on all its screws, N, (options...).   number : of screws.
    capacities : of one screw, its thread and the plate's edge at it, N, by their names, as far as known.
    tightened : how many times its thread holds the tightening of a screw, (options...); None if not known.
    unknown : entries that would let the rest be looked at.
    """

    pull: Number
    number: int
    capacities: dict[str, Number]
    unknown: tuple[str, ...] = ()
    tightened: Number | None = None

    @property
    def of_one_screw(self) -> Number:
        """What one screw bears with its thread and edge, N."""
        return np.min(np.broadcast_arrays(*self.capacities.values()), axis=0)

    @property
    def weakest(self) -> str:
        """What fails first, for the worst option."""
        return min(self.capacities, key=lambda name: float(np.min(self.capacities[name])))

    @property
    def safety(self) -> Number:
        """What all screws bear over the pull, (options...); infinite for a weight that does not pull."""
        pull = np.asarray(self.pull, dtype=float)
        return np.where(pull > 0, self.number * self.of_one_screw / np.where(pull > 0, pull, 1.0), np.inf)

    def needed(self, safety: Scalar) -> np.ndarray:
        """Return how many such screws give a wanted safety, a whole number, (options...)."""
        return np.ceil(np.asarray(safety) * self.pull / self.of_one_screw - 1e-9)


def screw_capacity(screws: Screws) -> float:
    """Return what one screw bears in its arrangement, N."""
    proof, yields = STRENGTHS[screws.property_class]
    stress = proof if screws.arrangement == "tension" else yields * SHEAR_SHARE
    return stress_area(screws.size) * stress * 1e6


def pull(moment: Scalar, speed: Scalar) -> Number:
    """Return the centrifugal pull of a mass times radius, kg m, at a speed, rad/s: N."""
    return np.asarray(moment) * np.asarray(speed) ** 2


def hold(
    screws: Screws, moment: Scalar, speed: Scalar, plate: Plate | None = None, materials: tuple[Material, ...] = ()
) -> Hold:
    """Return how screws hold a weight of a mass times radius, kg m, at a speed, rad/s.

    plate : with the holes of its bolts first, for its edge.   materials : of the plate, and of what the screws go into.
    """
    capacities: dict[str, Number] = {"screws": screw_capacity(screws)}
    unknown: list[str] = []
    tightened = None
    plate_metal, screwed_into = materials or (None, None)
    if screws.engagement is None:
        unknown.append("counterweights.screws.engagement")
    elif screwed_into is not None and screwed_into.yield_strength is not None:
        capacities["threads"] = thread_capacity(screws, screwed_into.yield_strength)
        tightened = holds_tightening(screws, screwed_into.yield_strength)
    else:
        unknown.append("the yield_strength of what the screws go into")
    if screws.arrangement == "shear":
        if plate is None or not plate.holes:
            unknown.append("counterweights.shape.bolts")
        elif plate_metal is not None and plate_metal.yield_strength is not None:
            capacities["plate edge"] = edge_capacity(plate, plate_metal.yield_strength)
        else:
            unknown.append("the yield_strength of the plate")
    return Hold(pull(moment, speed), screws.number, capacities, tuple(unknown), tightened)


def thread_areas(size: str, length: Scalar) -> tuple[Number, Number]:
    """Return the areas over which the threads of what a screw goes into, and its own, strip, m^2.

    pi n L d (1/(2n) + 0.57735 (d - D2)) and pi n L D1 (1/(2n) + 0.57735 (d2 - D1)) with n threads per length and basic
    sizes (FED-STD-H28 and the handbooks after it; from memory, check against the standard).
    """
    diameter, pitch = (each * 1e-3 for each in THREADS[size])
    middle, core = diameter - 0.649519 * pitch, diameter - 1.082532 * pitch
    turns = np.pi * np.asarray(length) / pitch
    nut = turns * diameter * (pitch / 2 + 0.57735 * (diameter - middle))
    return nut, turns * core * (pitch / 2 + 0.57735 * (middle - core))


def thread_strips(screws: Screws, yields: Scalar) -> Number:
    """Return the pull that strips the thread of one screw, N; yields : of what it goes into, Pa."""
    assert screws.engagement is not None
    nut, bolt = thread_areas(screws.size, screws.engagement)
    return SHEAR_SHARE * np.minimum(nut * yields, bolt * STRENGTHS[screws.property_class][1] * 1e6)


def holds_tightening(screws: Screws, yields: Scalar) -> Number:
    """Return how many times its thread holds the tightening of a screw; yields : of what it goes into, Pa."""
    proof = STRENGTHS[screws.property_class][0] * 1e6
    return thread_strips(screws, yields) / (TIGHTENED * proof * stress_area(screws.size))


def thread_capacity(screws: Screws, yields: Scalar) -> Number:
    """Return what the thread of one screw bears of its load, N; yields : of what it goes into, Pa."""
    if screws.arrangement == "tension":
        return thread_strips(screws, yields)
    return screw_capacity(screws) * holds_tightening(screws, yields)


def edge_capacity(plate: Plate, yields: Scalar) -> Number:
    """Return what the plate between the worst hole and the edge bears, N: two sheared lines of that length."""
    return 2 * SHEAR_SHARE * yields * plate.thickness * np.maximum(plate.hole_edge_distance, 0.0)

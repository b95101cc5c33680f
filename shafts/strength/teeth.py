"""The gear teeth: bending at the root, pitting of the flanks, and how long the backlash should be.

Bending: Lewis's equation with a velocity factor by how the teeth are made or by their quality, the root's endurance
limit with the fillet's stress concentration; Shigley's Mechanical Engineering Design, 9th ed., section 14-1. Pitting:
Hertz's stress at the pitch point, section 14-2. One tooth is taken to carry the whole load, at its tip for bending. A
tooth that is pushed on both flanks over a turn bends both ways, which it bears less well.
"""

from typing import get_args

import numpy as np

from balance.cycle.extremes import largest
from balance.cycle.load import Load
from balance.errors import refuse_unknown
from balance.machine.crank import STEEP, Gears, Making
from balance.machine.materials import Material
from balance.quantities import Number, Scalar, over_angle, result

# Lewis form factor Y of full-depth 20-degree teeth loaded at the tip: Shigley 9e, table 14-2; below 12 from memory.
FORM_TEETH = np.array(
    [10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 24, 26, 28, 30, 34, 38, 43, 50, 60, 75, 100, 150, 300]
)
FORM_FACTOR = np.array([
    0.201, 0.226, 0.245, 0.261, 0.277, 0.290, 0.296, 0.303, 0.309, 0.314, 0.322, 0.328, 0.331, 0.337,
    0.346, 0.353, 0.359, 0.371, 0.384, 0.397, 0.409, 0.422, 0.435, 0.447, 0.460, 0.472,
])  # fmt: skip
FEET = 60 / 0.3048  # ft/min in a m/s
FILLET, DEDENDUM, DEPTH = 0.3, 1.25, 2.25  # of the standard full-depth rack, in modules
ONE_WAY = 1.66  # gain of a tooth that bends one way only, by Gerber's line: Shigley 9e, example 14-2
MACHINED = 4.51, -0.265  # Marin surface factor of machined or drawn steel, strength in MPa: Shigley 9e, table 6-2
STIFF = 150e9  # Pa; what is stiffer counts as steel


@result
class ToothDuty:
    """The teeth of one gear at work, (options...).

    force, speed, angle : peak tangential force with its velocity factor, N, and where, rad/s, rad.
    bending, bending_strength, bending_safety : stress at the root, what it bears for ever, Pa, and the quotient.
    contact, contact_strength, pitting_safety : stress at the pitch point, what it bears, Pa, and the
    quotient squared, that is, in load. A strength that is not known, and what follows from it, is None.
    reverses : whether the force changes flank within a turn at any of the speeds, which is then held against
    the tooth at every speed.
    """

    force: Number
    speed: Number
    angle: Number
    bending: Number
    bending_strength: Number | None
    bending_safety: Number | None
    contact: Number
    contact_strength: Number | None
    pitting_safety: Number | None
    reverses: np.ndarray


def tooth_duties(gears: Gears, tooth: Load, speeds: list[np.ndarray]) -> tuple[ToothDuty, ToothDuty]:
    """Return the duty of the right and the left gear's teeth; `face` and `material` must be given.

    speeds : where the worst is looked for, rad/s, each (options...).
    """
    right, left = gears.material_of("right"), gears.material_of("left")
    assert right is not None and left is not None
    peak = _peak(gears, tooth, speeds)
    return _duty(gears, right, left, peak), _duty(gears, left, right, peak)


def form_factor(teeth: Scalar, pressure_angle: Scalar) -> Number:
    """Return Lewis's form factor Y, (options...), NaN for fewer than 10 teeth.

    From 17 degrees on that of 20-degree full-depth teeth, by the table (on the safe side for larger angles); below,
    that of 14.5-degree composite teeth, pi (0.124 - 0.684 / N), common practice. The formula that goes with it for
    20 degrees, pi (0.154 - 0.912 / N), is not used: it lies 6 to 8 percent above the table at 20 to 30 teeth.
    """
    teeth = np.asarray(teeth, dtype=float)
    steep = np.interp(teeth, FORM_TEETH, FORM_FACTOR)
    factor = np.where(np.asarray(pressure_angle) < STEEP, np.pi * (0.124 - 0.684 / teeth), steep)
    return np.where(teeth >= FORM_TEETH[0], factor, np.nan)


def velocity_factor(pitch_speed: Scalar, made: Making | None = None, quality: int | None = None) -> Number:
    """Return by how much speed adds to the load of a tooth; NaN where it is too fast for its quality.

    pitch_speed : at the pitch circle, m/s.   made : how the teeth are made; without it and `quality`, the larger
    factor of cut and of hobbed teeth, which cross at 2.9 m/s.
    Shigley 9e, eqs. 14-4 to 14-6, and 14-27, 14-28 for a quality; they want V in ft/min. Raises ValueError for another
    way of making.
    """
    speed = np.asarray(pitch_speed) * FEET
    if quality is not None:
        b = (12 - quality) ** (2 / 3) / 4
        a = 50 + 56 * (1 - b)
        return np.where(speed <= (a + quality - 3) ** 2, ((a + np.sqrt(speed)) / a) ** b, np.nan)
    refuse_unknown("how teeth are made", made, (None, *get_args(Making)))
    if made is None:
        return np.maximum(velocity_factor(pitch_speed, "cut"), velocity_factor(pitch_speed, "hobbed"))
    if made == "cast":
        return (600 + speed) / 600
    if made in ("cut", "milled"):
        return (1200 + speed) / 1200
    if made in ("hobbed", "shaped"):
        return (50 + np.sqrt(speed)) / 50
    return np.sqrt((78 + np.sqrt(speed)) / 78)


def bending_stress(gears: Gears, force: Scalar) -> Number:
    """Return the stress at a tooth's root under a tangential force (velocity factor included), Pa: W / (b m Y)."""
    assert gears.face is not None
    return force / (gears.face * np.asarray(gears.module) * form_factor(gears.teeth, gears.pressure_angle))


def contact_stress(gears: Gears, one: Material, other: Material, force: Scalar) -> Number:
    """Return the contact stress at the pitch point, Pa: Shigley 9e, eq. 14-14, for two equal gears.

    force : tangential, velocity factor included, N.
    """
    assert gears.face is not None
    curve = np.asarray(gears.pitch_radius) * np.sin(gears.pressure_angle)
    return elastic_coefficient(one, other) * np.sqrt(force / (gears.face * np.cos(gears.pressure_angle)) * 2 / curve)


def elastic_coefficient(one: Material, other: Material) -> Number:
    """Return C_p = sqrt(1 / (pi sum (1 - nu^2) / E)) of two materials, sqrt(Pa): Shigley 9e, eq. 14-13."""
    gives = sum((1 - (each.young / (2 * each.shear) - 1) ** 2) / np.asarray(each.young) for each in (one, other))
    return np.sqrt(1 / (np.pi * gives))


def root_endurance(gears: Gears, material: Material, reverses: Scalar) -> Number | None:
    """Return the stress that a tooth's root bears for ever, Pa, (options...); None without a tensile strength.

    Shigley 9e, example 14-2: rotating-beam limit (half the tensile strength for steel; a third for others,
    common practice), surface (machined), size, one-way bending where it is so, and the fillet.
    """
    if material.tensile_strength is None:
        return None
    strength = np.asarray(material.tensile_strength)
    limit = strength * np.where(np.asarray(material.young) >= STIFF, 1 / 2, 1 / 3)
    surface = np.minimum(1.0, MACHINED[0] * (strength / 1e6) ** MACHINED[1])
    one_way = np.where(reverses, 1.0, ONE_WAY)
    return limit * surface * _size_factor(gears) * one_way / fillet_factor(gears)


def fillet_factor(gears: Gears) -> Number:
    """Return the fatigue stress concentration of a full-depth tooth's fillet: Shigley 9e, eq. 14-9."""
    angle = np.asarray(gears.pressure_angle)
    base, thin, low = 0.340 - 0.4583662 * angle, 0.316 - 0.4583662 * angle, 0.290 + 0.4583662 * angle
    step = DEDENDUM - FILLET
    radius = FILLET + step**2 / (np.asarray(gears.teeth) / 2 + step)  # in modules
    thick = _root_thickness(gears)
    return base + (thick / radius) ** thin * (thick / DEPTH) ** low


def surface_endurance(material: Material) -> Number | None:
    """Return the contact stress that steel bears 10^8 times, Pa: 2.76 H_B - 70 MPa with H_B = S_u / 3.4 MPa.

    Shigley 9e, eqs. 6-68 and 2-21. None for what is not steel, and without a tensile strength.
    """
    if material.tensile_strength is None or np.any(np.asarray(material.young) < STIFF):
        return None
    hardness = np.asarray(material.tensile_strength) / 3.4e6
    return (2.76 * hardness - 70) * 1e6


def least_backlash(gears: Gears) -> Number:
    """Return the usual least backlash of metal gears in a metal case, m, (options...).

    ISO/TR 10064-2:1996: 2/3 (0.06 + 0.0005 a + 0.03 m) mm with centre distance a and module m in mm.
    """
    distance, module = 2e3 * np.asarray(gears.pitch_radius), 1e3 * np.asarray(gears.module)
    return (0.06 + 0.0005 * distance + 0.03 * module) * (2 / 3) * 1e-3


def backlash_angle(gears: Gears, backlash: Scalar) -> Number:
    """Return the crank angle through which one crank moves freely against the other, rad."""
    return np.asarray(backlash) / gears.pitch_radius


def _peak(gears: Gears, tooth: Load, speeds: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Return the largest dynamic tooth force, its speed and angle, and whether the force ever changes flank."""
    forces = []
    for speed in speeds:
        force = tooth.at(speed) * over_angle(
            velocity_factor(gears.pitch_radius * np.asarray(speed), gears.made, gears.quality)
        )
        peak, angle = largest(np.abs(force))
        # What is a rounding error beside the peak changes no flank.
        both = (np.max(force, axis=-1) > 1e-9 * peak) & (np.min(force, axis=-1) < -1e-9 * peak)
        forces.append(np.broadcast_arrays(np.abs(peak), speed, angle, both))
    peaks, at, angles, both = (np.stack(each) for each in zip(*forces, strict=True))
    index = np.argmax(peaks, axis=0)[None]
    peak, speed, angle = (np.take_along_axis(each, index, axis=0)[0] for each in (peaks, at, angles))
    return peak, speed, angle, np.any(both, axis=0)


def _duty(gears: Gears, material: Material, mate: Material, peak: tuple[np.ndarray, ...]) -> ToothDuty:
    force, speed, angle, reverses = peak
    bending, contact = bending_stress(gears, force), contact_stress(gears, material, mate, force)
    root = root_endurance(gears, material, reverses) if gears.bending_strength is None else gears.bending_strength
    flank = surface_endurance(material) if gears.contact_strength is None else gears.contact_strength
    return ToothDuty(
        force,
        speed,
        angle,
        bending,
        root,
        None if root is None else _quotient(root, bending),
        contact,
        flank,
        None if flank is None else _quotient(flank, contact) ** 2,
        reverses,
    )


def _quotient(strength: Scalar, stress: Scalar) -> np.ndarray:
    with np.errstate(divide="ignore"):
        return np.asarray(strength) / stress


def _root_thickness(gears: Gears) -> Number:
    """Return Lewis's thickness at the root in modules: t = sqrt(4 l x), x = 3 Y / 2, l the tooth's depth."""
    return np.sqrt(4 * DEPTH * 1.5 * form_factor(gears.teeth, gears.pressure_angle))


def _size_factor(gears: Gears) -> Number:
    """Return Marin's size factor of the root's rectangle, 1.24 d^-0.107 with d = 0.808 sqrt(b t) in mm, at most 1."""
    assert gears.face is not None
    side = 0.808e3 * np.sqrt(gears.face * _root_thickness(gears) * np.asarray(gears.module))
    return np.minimum(1.0, 1.24 * side**-0.107)

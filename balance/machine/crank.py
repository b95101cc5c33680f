"""The turning parts: throws, webs, gears and the pair of cranks that they make.

Crank frame: at crank angle zero the right-hand crankpin of phase `a` and radius `r` stands at
(r sin a, r cos a) from its shaft; a mass centre [x, y] is given in that frame. The left crank is the
mirror image. z runs along the shafts.
"""

from collections.abc import Iterator
from typing import Annotated, Literal

import numpy as np

from balance.errors import Complaint
from balance.machine.joint import Hub, Joint
from balance.machine.materials import Material
from balance.quantities import (
    Angle,
    Bound,
    Force,
    Inertia,
    Length,
    Mass,
    Most,
    NotNegative,
    Number,
    Positive,
    Pressure,
    Scalar,
    Stiffness,
    Typical,
    definition,
)

Hand = Literal["right", "left", "both"]


Stout = Bound(least=5e-6)  # m; what is thinner carries nothing, and its stiffness is lost in rounding


@definition
class Pin:
    """A crankpin."""

    diameter: Annotated[Length, Stout, "crankpin diameter"]
    length: Annotated[Length, Positive, "free length between its webs, or from web to end"]
    material: Annotated[Material | None, "what the pin is made of; the shaft's material if left out"] = None
    joint: Annotated[Joint | None, "how its webs hold it"] = None


@definition
class Throw:
    """A crankpin's place on both cranks."""

    radius: Annotated[Length, Positive, "shaft centre to crankpin centre"]
    phase: Annotated[Angle, "crank angle by which this throw leads"] = 0.0
    left_radius: Annotated[Length | None, Positive, "of the left crank's, where it differs; for the gap alone"] = None
    left_phase: Annotated[Angle | None, "of the left crank's, where it differs; for the gap alone"] = None
    at: Annotated[Length, "place along the shaft of the plane in which the rod pulls"]
    pin: Annotated[Pin | None, "the crankpin itself, for its bending"] = None

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: a left crank quite unlike the right one."""
        yield from unlike_sides("left_radius", self.left_radius, self.radius)
        if self.left_phase is not None:
            off = (np.asarray(self.left_phase) - self.phase + np.pi) % (2 * np.pi) - np.pi
            if np.any(wrong := np.abs(off) > most_unlike("left_phase", self.phase)):
                read = f"{np.rad2deg(np.max(np.abs(off))):.3g} deg off the right crank's"
                yield Complaint(("left_phase",), read, f"within {np.rad2deg(LARGEST_LEAD):g} deg of it", wrong)


UNLIKE = 0.02
"""Share by which left and right may differ, or at least so much, m: made to one drawing; more is a slip."""
LEAST = 1e-3
LARGEST_LEAD = np.deg2rad(5.0)


def most_unlike(name: str, right: Length) -> np.ndarray:
    """Return how far the left side's own number of this name may be from the right one's, m or rad, (options...)."""
    if name == "left_phase":
        return np.full(np.shape(right), LARGEST_LEAD)
    return np.maximum(UNLIKE * np.asarray(right), LEAST)


def unlike_sides(name: str, left: Length | None, right: Length) -> Iterator[Complaint]:
    """Yield a complaint where the left side's size is none that is made to the right one's drawing."""
    if left is None:
        return
    if np.any(wrong := np.abs(np.asarray(left) - right) > most_unlike(name, right)):
        worst = np.max(np.abs(np.asarray(left) - right)) * 1e3
        read = f"{worst:.3g} mm off the right side's {np.max(right) * 1e3:.4g} mm"
        yield Complaint((name,), read, f"within {UNLIKE:.0%} of it or 1 mm; or leave it out, if both are alike", wrong)


@definition
class Web:
    """A mass that turns with the crank: web, pin, collar, or anything else fixed to it."""

    at: Annotated[Length, "place along the shaft of its mass centre"]
    mass: Annotated[Mass, NotNegative, "mass on each shaft, its pins included"]
    cg: Annotated[
        tuple[Length, Length],
        Typical(
            -5e-4,
            0.0,
            5e-4,
            "mass centre of a web",
            "common practice, no source: of what holds no crankpin, as a collar, three hundredths of 16 mm",
            "balance the web on a knife edge two ways",
            alike=False,
        ),
        "mass centre [x, y] in the crank frame",
    ] = (0.0, 0.0)
    on: Annotated[Hand, "which shaft carries it"] = "both"
    thickness: Annotated[Length | None, Stout, "along the shaft"] = None
    width: Annotated[Length | None, Stout, "across the arm, for its bending"] = None
    inertia: Annotated[
        Inertia | None, NotNegative, "moment of inertia about the shaft; from mass and cg if left out"
    ] = None
    material: Annotated[Material | None, "what the web is made of; the shaft's material if left out"] = None
    joint: Annotated[Joint | None, "how it holds the shaft, where it stands next to it"] = None

    @property
    def polar_inertia(self) -> Number:
        """Moment of inertia about the shaft, kg m^2: as given, else from mass, mass centre and, if known, size."""
        if self.inertia is not None:
            return self.inertia
        return self.mass * (self.cg[0] ** 2 + self.cg[1] ** 2) + self._own_inertia

    @property
    def _own_inertia(self) -> Number:
        if self.width is None or self.thickness is None or self.material is None:
            return 0.0
        length = self.mass / (self.material.density * self.thickness * self.width)
        return self.mass * (length**2 + self.width**2) / 12


Making = Literal["cast", "cut", "milled", "hobbed", "shaped", "shaved", "ground"]
FULL_DEPTH, COMPOSITE = "20 deg full depth", "14.5 deg composite"
STEEP = np.deg2rad(17.0)
"""From this pressure angle on the form factors of 20 degrees are on the safe side."""
SINGLE_STIFFNESS, STEEL_YOUNG = 14e9, 206e9  # N/m per m of face, Pa: see Gears.stiffness
Slant = Bound(least=0.0, most=np.deg2rad(45.0), open=True)  # teeth beyond it are pointed long before their tips


@definition
class Gears:
    """The pair of equal gears that makes the shafts turn against each other."""

    module: Annotated[Length, Positive, "pitch diameter per tooth"]
    teeth: Annotated[int, Positive, "teeth on each gear"]
    pressure_angle: Annotated[Angle, Slant, "pressure angle of the teeth"] = np.deg2rad(20.0)
    face: Annotated[Length | None, Positive, "face width"] = None
    backlash: Annotated[
        Length,
        NotNegative,
        Typical(
            0.05,
            0.09,
            0.15,
            "backlash",
            "shares of the module, from precise to heavy work, by a list that goes with DIN 780",
            "lock one crank, dial gauge on the other at a known radius, rock it",
            of=("module",),
        ),
        "play between the teeth along the pitch circle",
    ] = 0.0
    at: Annotated[Length, "place along the shafts of the middle of the face"]
    material: Annotated[Material | None, "what the gears are made of"] = None
    left_material: Annotated[Material | None, "what the left gear is made of, where it differs"] = None
    bending_strength: Annotated[
        Pressure | None, Positive, "stress at the root that a tooth bears for ever; by its material if left out"
    ] = None
    contact_strength: Annotated[
        Pressure | None, Positive, "contact stress that a tooth bears for ever; by its hardness if left out"
    ] = None
    mass: Annotated[Mass, NotNegative, "mass of each gear, for its weight and eccentricity"] = 0.0
    mesh_stiffness: Annotated[
        Stiffness | None, Positive, "of the teeth in mesh along their line of action; by face and material if left out"
    ] = None
    cg: Annotated[tuple[Length, Length], "mass centre [x, y] in the crank frame, if eccentric"] = (0.0, 0.0)
    hub: Annotated[Hub | None, "how each gear is held on its shaft"] = None
    made: Annotated[
        Making | None,
        "how the teeth are made, for what speed adds to their load; the worse of cut and hobbed if left out",
    ] = None
    quality: Annotated[int | None, Bound(5, 11), "AGMA quality number of the teeth, in place of how they are made"] = (
        None
    )
    form: Annotated[
        Literal["20 deg full depth", "14.5 deg composite"] | None,
        "form of the teeth; by their pressure angle if left out",
    ] = None

    @property
    def pitch_radius(self) -> Number:
        """Pitch radius of each gear, m, shape (options...)."""
        return self.module * self.teeth / 2

    @property
    def tip_radius(self) -> Number:
        """Radius over the teeth, m, (options...): ISO 53, an addendum of one module beyond the pitch circle."""
        return self.pitch_radius + self.module

    @property
    def root_radius(self) -> Number:
        """Radius below the teeth, m, (options...): ISO 53, a dedendum of 1.25 modules below the pitch circle."""
        return self.pitch_radius - 1.25 * self.module

    @property
    def stiffness(self) -> Number | None:
        """Stiffness of the teeth in mesh along their line of action, N/m; None if it is not known.

        As given, else the single stiffness of ISO 6336-1, 14 N/um per mm of face for a pair of steel (from memory,
        check against the standard), in proportion to the moduli; the softest point of the mesh, which is safe.
        """
        if self.mesh_stiffness is not None:
            return self.mesh_stiffness
        if self.face is None or self.material is None:
            return None
        other = self.left_material or self.material
        both = 2 * self.material.young * other.young / (self.material.young + other.young)
        return SINGLE_STIFFNESS * self.face * both / STEEL_YOUNG

    def material_of(self, hand: str) -> Material | None:
        """Return what the gear on the "right" or the "left" shaft is made of."""
        return self.left_material or self.material if hand == "left" else self.material

    def mass_of(self, hand: str) -> Number:
        """Return the mass of one gear, kg: as given, else of a solid disc if face and material are known, else zero."""
        material = self.material_of(hand)
        if self.face is None or material is None:
            return self.mass
        solid = np.pi * self.pitch_radius**2 * self.face * material.density
        return np.where(np.asarray(self.mass) > 0, self.mass, solid)

    def polar_inertia_of(self, hand: str) -> Number:
        """Return the moment of inertia of one gear about its shaft, as a solid disc, kg m^2."""
        return self.mass_of(hand) * self.pitch_radius**2 / 2

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: two words on how even the teeth are, a form of another pressure angle."""
        if self.made is not None and self.quality is not None:
            yield Complaint(("made",), f"{self.made!r} beside a quality", "either made or quality")
        if self.form is not None:
            steep = np.asarray(self.pressure_angle) >= STEEP
            wrong = steep != (self.form == FULL_DEPTH)
            if np.any(wrong):
                yield Complaint(("form",), f"{self.form!r} at another pressure angle", "the form of that angle", wrong)


@definition
class Belt:
    """A belt that drives something from a shaft: it pulls the shaft sideways."""

    on: Annotated[Hand, "the shaft that it pulls"] = "right"
    at: Annotated[Length, "place along the shaft of its middle"]
    pull: Annotated[Force, NotNegative, "of both its strands together on the shaft"]
    direction: Annotated[Angle, "which way it pulls, from the cylinder's direction toward +x"]


@definition
class Cranks:
    """Two parallel shafts with mirrored cranks, geared 1:1 to turn against each other."""

    centre_distance: Annotated[Length, Positive, "between the two shaft centres"]
    load_on: Annotated[Hand, "the shaft from which the power leaves"] = "right"
    load_at: Annotated[
        Length | None,
        "place along the shaft where it leaves; the pulley, flywheel or else the end far from the throws",
    ] = None
    gears: Annotated[Gears | None, "the gears that couple the shafts"] = None
    belt: Annotated[Belt | None, "a belt from one shaft to what the engine drives"] = None
    throws: Annotated[dict[str, Throw], Most(4), "the crankpins by name"]
    webs: Annotated[tuple[Web, ...], Most(12), "masses that turn with the cranks"] = ()
    turning: Annotated[
        Literal["outward", "inward"], "which way the crankpins move at the top: from each other, or toward each other"
    ] = "outward"

    @property
    def sense(self) -> float:
        """+1 where crank angle grows as time goes on, -1 where it falls since the cranks turn inward at the top.

        The other way round the machine passes through the same positions in reverse. Weights, inertia and a gas without
        losses push as before; what follows a velocity changes its sign: power, flow losses, and damping.
        """
        return 1.0 if self.turning == "outward" else -1.0

    @property
    def pitch_radius(self) -> Number:
        """Radius at which the shafts push each other, m: half the centre distance."""
        return self.centre_distance / 2

    @property
    def working_pressure_angle(self) -> Number:
        """Pressure angle at which the teeth meet as the gears are set, rad; ISO 21771-1: cos a_w = (m z / c) cos a."""
        assert self.gears is not None
        set_close = self.gears.pitch_radius / self.pitch_radius
        return np.arccos(np.minimum(set_close * np.cos(self.gears.pressure_angle), 1.0))

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: no throw at all, or gears that do not mesh."""
        if not self.throws:
            yield Complaint(("throws",), "no throw", "one throw or more")
        if self.gears is not None:
            yield from self._gears_that_do_not_mesh(self.gears)

    def _gears_that_do_not_mesh(self, gears: Gears) -> Iterator[Complaint]:
        mesh = np.asarray(gears.module * gears.teeth)
        miss = np.asarray(self.centre_distance - mesh)
        # A quarter module is more than any profile shift or setting for backlash would explain.
        wrong = np.abs(miss) > 0.25 * np.asarray(gears.module)
        if np.any(wrong):
            worst = int(np.argmax(np.abs(miss)))
            read, want = (
                np.broadcast_to(self.centre_distance, miss.shape).flat[worst],
                np.broadcast_to(mesh, miss.shape).flat[worst],
            )
            fault = "the gears overlap" if read < want else "the gears do not reach each other"
            yield Complaint(
                ("centre_distance",),
                f"{read * 1e3:g} mm, so {fault}",
                f"module x teeth = {want * 1e3:g} mm for equal gears",
                wrong,
            )


def outward(at: Scalar, ends: tuple[Scalar, Scalar]) -> np.ndarray:
    """Return +1 or -1 for a place at or beyond the last or first end of a shaft, 0 for one along it; (options...)."""
    at = np.asarray(at, dtype=float)
    return np.where(at <= ends[0], -1.0, np.where(at >= ends[1], 1.0, 0.0))


def joined_by(
    web: Web, throws: dict[str, Throw], ends: tuple[Scalar, Scalar], sign: float
) -> tuple[str | None, str | None]:
    """Return the throws that a web joins, the inner one (None for the shaft itself) and the outer one.

    ends : of its shaft, m.   sign : +1 or -1 where the web hangs beyond an end, and then on what is next inward of
    it; 0 where it stands along the shaft and holds the throw nearest by. No outer throw: it holds none.
    """

    def ahead(name: str) -> float:
        return float(np.ravel(np.asarray(throws[name].at) - web.at)[0])

    if sign == 0.0:
        return None, min(throws, key=lambda name: abs(ahead(name)), default=None)
    outer = min((name for name in throws if sign * ahead(name) > 0), key=lambda name: sign * ahead(name), default=None)
    hanging = (name for name in throws if sign * ahead(name) < 0 and np.all(outward(throws[name].at, ends) == sign))
    return max(hanging, key=lambda name: sign * ahead(name), default=None), outer


def place_in_frame(throw: Throw | None) -> tuple[Number, Number]:
    """Return where a crankpin stands in the crank frame, m; the shaft's own centre for None."""
    return (0.0, 0.0) if throw is None else (throw.radius * np.sin(throw.phase), throw.radius * np.cos(throw.phase))

"""The shafts and their bearings: what a design may say of them."""

from collections.abc import Iterator
from itertools import accumulate
from typing import Annotated, Literal

import numpy as np

from balance.errors import Complaint
from balance.machine.machine import Machine
from balance.machine.materials import Material
from balance.quantities import (
    Angle,
    Bound,
    Force,
    Length,
    NotNegative,
    Number,
    Positive,
    PressureVelocity,
    Speed,
    Stiffness,
    Temperature,
    TiltStiffness,
    definition,
)


@definition
class Segment:
    """A length of shaft of one diameter."""

    length: Annotated[Length, Positive, "along the shaft"]
    diameter: Annotated[Length, Positive, "outside diameter"]
    bore: Annotated[Length, NotNegative, "diameter of the hole through it"] = 0.0

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: a bore as wide as the shaft."""
        wrong = np.asarray(self.bore) >= self.diameter
        if np.any(wrong):
            yield Complaint(("bore",), "a bore as wide as the shaft", "less than the diameter", wrong)


@definition
class Ball:
    """A deep-groove ball bearing by its boundary size; ratings are typical unless given."""

    bore: Annotated[Length, Positive, "bore diameter"]
    outside: Annotated[Length, Positive, "outside diameter"]
    width: Annotated[Length, Positive, "width"]
    dynamic_rating: Annotated[Force | None, Positive, "basic dynamic radial load rating"] = None
    static_rating: Annotated[Force | None, Positive, "basic static radial load rating"] = None
    balls: Annotated[int | None, Positive, "number of balls"] = None
    ball_diameter: Annotated[Length | None, Positive, "ball diameter"] = None
    pitch_diameter: Annotated[Length | None, Positive, "diameter of the circle of ball centres"] = None
    speed_limit: Annotated[Speed | None, Positive, "limiting speed"] = None

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: an outside within the bore, balls without a size, or too many of them."""
        if np.any(np.asarray(self.outside) <= self.bore):
            yield Complaint(("outside",), "no more than the bore", "more than the bore")
        if (self.balls is None) != (self.ball_diameter is None):
            yield Complaint(("balls",), "one of balls and ball_diameter", "both or neither")
        if self.balls is not None and self.ball_diameter is not None:
            circle = (np.asarray(self.bore) + self.outside) / 2 if self.pitch_diameter is None else self.pitch_diameter
            if np.any(np.asarray(self.balls) * np.asarray(self.ball_diameter) >= np.pi * np.asarray(circle)):
                yield Complaint(
                    ("balls",), f"{self.balls} balls that do not fit on their circle", "fewer or smaller balls"
                )


BushMaterial = Literal["sintered bronze", "turned bronze", "babbitt", "lined with PTFE", "nylon"]


@definition
class Bush:
    """A plain bushing."""

    bore: Annotated[Length, Positive, "bore diameter"]
    length: Annotated[Length, Positive, "length"]
    material: Annotated[BushMaterial | None, "what it is made of, for what it bears"] = None
    pv_limit: Annotated[
        PressureVelocity | None, Positive, "largest pressure times rubbing speed; by its material if left out"
    ] = None
    play: Annotated[Length, NotNegative, "diametral play on the shaft"] = 0.0


ClearanceGroup = Literal["C2", "CN", "C3", "C4", "C5"]


@definition
class Bearing:
    """A bearing in its seat."""

    at: Annotated[Length, "place along the shaft of its middle"]
    ball: Annotated[Ball | None, "a ball bearing"] = None
    bush: Annotated[Bush | None, "a plain bushing"] = None
    clearance: Annotated[
        ClearanceGroup | Length | None,
        NotNegative,
        "radial internal clearance: group (CN if left out) or value; of a bush, in place of its play",
    ] = None
    stiffness: Annotated[
        Stiffness | None, Positive, "radial stiffness of the bearing itself; from contact theory if left out"
    ] = None
    seat_stiffness: Annotated[Stiffness | None, Positive, "radial stiffness of its seat in the case"] = None
    axial_load: Annotated[Force, NotNegative, "steady load along the shaft, as from a preload"] = 0.0
    load_factor: Annotated[
        Number, Positive, "on computed loads, for knocks: 1 to 1.2 smooth, 1.2 to 1.5 usual, 1.5 to 3 rough"
    ] = 1.2

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: not exactly one kind of bearing, or a bush whose play is said twice."""
        if (self.ball is None) == (self.bush is None):
            yield Complaint((), "both or neither of ball and bush", "one of them")
        if self.bush is None or self.clearance is None:
            return
        if isinstance(self.clearance, str):
            yield Complaint(("clearance",), f"group {self.clearance} of a bush", "a length (a group is for balls)")
        elif np.any(np.asarray(self.bush.play)):
            yield Complaint(("clearance",), "a clearance beside the bush's own play", "one of them")


Finish = Literal["polished", "ground", "machined", "hot rolled", "forged"]
Share = Bound(least=0.0, most=1.0, open=True)


@definition
class Notch:
    """A place where stress piles up."""

    at: Annotated[Length, "place along the shaft"]
    kind: Annotated[Literal["shoulder", "groove", "keyway", "cross hole", "set-screw flat", "press fit"], "what it is"]
    fillet: Annotated[Length | None, Positive, "radius at its root"] = None
    depth: Annotated[Length | None, Positive, "depth of groove, keyway or flat"] = None
    diameter: Annotated[
        Length | None, Positive, "diameter of the cross hole, or the larger diameter of the shoulder"
    ] = None

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: a cross hole of no size."""
        if self.kind == "cross hole" and self.diameter is None:
            yield Complaint(("diameter",), "a cross hole of no diameter", "its diameter")


@definition
class Plate:
    """A plate of the case that stands across the shafts and holds bearings; by itself it tilts under their loads."""

    at: Annotated[Length, "place along the shafts of its middle"]
    thickness: Annotated[Length, Positive, "along the shafts"]
    width: Annotated[Length, Positive, "of what bends between the shaft and where it is held"]
    height: Annotated[Length, Positive, "from where it is held to the shaft's centre"]
    material: Annotated[Material, "what it is made of"]
    tied: Annotated[bool, "whether pillars or walls tie it to another plate, so that it cannot tilt"] = False

    @property
    def tilt(self) -> Number:
        """Tilt per moment, rad/(N m): bent like a cantilever by a moment at its end, h/(E I), I = w t^3/12.

        About the line across the shafts; twisted about the upright it is a little stiffer, which is left out: safe.
        """
        bent = 12 * self.height / (self.material.young * self.width * self.thickness**3)
        return bent * (0.0 if self.tied else 1.0)


@definition
class Shaft:
    """A stepped shaft on two bearings or more."""

    material: Annotated[Material, "what it is made of"]
    segments: Annotated[tuple[Segment, ...], "lengths of shaft, in order along z"]
    starts_at: Annotated[Length, "where the first segment starts"]
    bearings: Annotated[tuple[Bearing, ...], "two bearings or more"]
    plates: Annotated[tuple[Plate, ...], "plates that hold the bearings, each the bearings nearest to it"] = ()
    tilt_stiffness: Annotated[
        TiltStiffness | None, Positive, "of what holds the bearings against tilting together, in place of plates"
    ] = None
    notches: Annotated[tuple[Notch, ...], "where stress piles up"] = ()
    finish: Annotated[Finish, "surface, for its fatigue strength"] = "machined"
    reliability: Annotated[Number, Share, "share of shafts that must reach the fatigue strength"] = 0.99

    @property
    def boundaries(self) -> tuple[Number, ...]:
        """Where it starts, where each segment ends, m, each (options...)."""
        return tuple(accumulate((each.length for each in self.segments), initial=self.starts_at))

    @property
    def ends_at(self) -> Number:
        """Where the last segment ends, m, shape (options...)."""
        return self.boundaries[-1]

    @property
    def ends(self) -> tuple[Number, Number]:
        """Where it begins and ends, m, each (options...)."""
        return self.starts_at, self.ends_at

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: too few bearings, two in one place, one off the shaft; notches too deep."""
        if not self.segments:
            yield Complaint(("segments",), "no segment", "one or more")
        if self.plates and self.tilt_stiffness is not None:
            yield Complaint(("tilt_stiffness",), "a tilt stiffness beside plates", "one of them")
        if len(self.bearings) < 2:
            yield Complaint(("bearings",), f"{len(self.bearings)} bearings", "two or more")
        for place, bearing in enumerate(self.bearings):
            yield from self._off_the_shaft(place, bearing)
            for other in self.bearings[:place]:
                if np.any(wrong := np.asarray(bearing.at) == other.at):
                    found = f"{float(np.ravel(bearing.at)[0]) * 1e3:g} mm, where another bearing stands"
                    yield Complaint(("bearings", str(place), "at"), found, "a place of its own", wrong)
        for place, notch in enumerate(self.notches):
            yield from self._too_deep(place, notch)

    def _off_the_shaft(self, place: int, bearing: Bearing) -> Iterator[Complaint]:
        wrong = (np.asarray(bearing.at) < self.starts_at) | (np.asarray(bearing.at) > self.ends_at)
        if np.any(wrong):
            yield Complaint(
                ("bearings", str(place), "at"),
                f"{float(np.ravel(bearing.at)[0]) * 1e3:g} mm, which is off the shaft",
                f"{float(np.ravel(self.starts_at)[0]) * 1e3:g} to {float(np.ravel(self.ends_at)[0]) * 1e3:g} mm",
                wrong,
            )

    def _too_deep(self, place: int, notch: Notch) -> Iterator[Complaint]:
        """Yield a complaint for a groove, keyway, flat or hole that leaves nothing of a segment that it stands on."""
        key = "diameter" if notch.kind == "cross hole" else "depth"
        size = getattr(notch, key)
        if size is None or notch.kind in ("shoulder", "press fit"):
            return
        cut = np.asarray(size) * (2 if notch.kind == "groove" else 1)
        start = np.asarray(self.starts_at)
        for each in self.segments:
            end = start + each.length
            wrong = (start <= notch.at) & (np.asarray(notch.at) <= end) & (cut >= each.diameter)
            if np.any(wrong):
                deep, thick = (float(np.ravel(value)[0]) * 1e3 for value in (size, each.diameter))
                read = f"{deep:g} mm in a shaft of {thick:g} mm"
                yield Complaint(("notches", str(place), key), read, "less than cuts the shaft through", wrong)
            start = end


@definition
class Shafts(Shaft):
    """The right shaft, and the left one where it differs."""

    left: Annotated[Shaft | None, "the whole left shaft, where it differs from the right"] = None
    damping_ratio: Annotated[
        Number, Share, "share of critical damping at the first natural frequency; common practice for bolted steel"
    ] = 0.02

    @property
    def pair(self) -> tuple[Shaft, Shaft]:
        """The right and the left shaft."""
        return self, self.left or self


@definition
class Tolerances:
    """Half-widths of making tolerances; what is left out is taken as exact."""

    rod_length: Annotated[Length, NotNegative, "of each rod"] = 0.0
    throw_radius: Annotated[Length, NotNegative, "of each throw"] = 0.0
    throw_phase: Annotated[Angle, NotNegative, "between the throws of a crank"] = 0.0
    half_span: Annotated[Length, NotNegative, "of each yoke pivot"] = 0.0
    centre_distance: Annotated[Length, NotNegative, "between the shafts"] = 0.0
    yoke_height: Annotated[Length, NotNegative, "from the pivot line to the face of a yoke"] = 0.0


@definition
class Fits:
    """Plays and errors that come with making and assembling."""

    guide_play: Annotated[Length, NotNegative, "diametral play of each yoke's guide"] = 0.0
    timing_error: Annotated[Angle, "how far the left crank leads the right one as assembled"] = 0.0
    axial_play: Annotated[Length, NotNegative, "play of shafts and yokes along the shafts"] = 0.0
    set_up_at: Annotated[Temperature, Positive, "temperature at which it is measured and set up"] = 293.15
    case_temperature: Annotated[Temperature | None, Positive, "of the case when running"] = None
    case_material: Annotated[Material | None, "what holds the shafts apart, for its growth with heat"] = None
    tolerances: Annotated[Tolerances, "making tolerances"] = Tolerances()


@definition
class Engine(Machine):
    """The moving machine on its shafts."""

    shafts: Annotated[Shafts, "the shafts and their bearings"]
    fits: Annotated[Fits, "plays and errors"] = Fits()

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: what a machine has of that, and cranks whose members do not join."""
        from shafts.crank.layout import misfits  # which knows shafts

        yield from super().disagreements()
        for hand, shaft in zip(("right", "left"), self.shafts.pair, strict=True):
            if hand == "right" or shaft is not self.shafts:
                yield from misfits(shaft, self.cranks, hand)

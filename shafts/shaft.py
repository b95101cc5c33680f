"""The shafts and their bearings: what a design may say of them."""

from collections.abc import Iterator
from itertools import accumulate, pairwise
from typing import Annotated, Literal

import numpy as np

from balance.errors import Complaint
from balance.machine.crank import Stout
from balance.machine.materials import Material
from balance.many import unchecked
from balance.quantities import (
    Angle,
    Bound,
    Length,
    Most,
    NotNegative,
    Number,
    Positive,
    Temperature,
    TiltStiffness,
    Typical,
    definition,
)
from shafts.bearings.bearing import Bearing


@definition
class Segment:
    """A length of shaft of one diameter."""

    length: Annotated[Length, Positive, "along the shaft"]
    diameter: Annotated[Length, Stout, "outside diameter"]
    bore: Annotated[Length, NotNegative, "diameter of the hole through it"] = 0.0

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: a bore as wide as the shaft."""
        wrong = np.asarray(self.bore) >= self.diameter
        if np.any(wrong):
            yield Complaint(("bore",), "a bore as wide as the shaft", "less than the diameter", wrong)


ROUNDING = 1e-9  # share by which rings side by side may lie in one another: inches, or a sum of lengths
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
    segments: Annotated[tuple[Segment, ...], Most(24), "lengths of shaft, in order along z"]
    starts_at: Annotated[Length, "where the first segment starts"]
    bearings: Annotated[tuple[Bearing, ...], Most(6), "two bearings or more"]
    plates: Annotated[tuple[Plate, ...], Most(6), "plates that hold the bearings, each the bearings nearest to it"] = ()
    tilt_stiffness: Annotated[
        TiltStiffness | None, Positive, "of what holds the bearings against tilting together, in place of plates"
    ] = None
    notches: Annotated[tuple[Notch, ...], Most(24), "where stress piles up"] = ()
    finish: Annotated[Finish, "surface, for its fatigue strength"] = "machined"
    reliability: Annotated[Number, Share, "share of shafts that must reach the fatigue strength"] = 0.99

    @property
    def boundaries(self) -> tuple[Number, ...]:
        """Where it starts, where each segment ends, m, each (options...)."""
        return tuple(accumulate((each.length for each in self.segments), initial=self.starts_at))

    @property
    def placed_segments(self) -> list[tuple[Segment, Number, Number]]:
        """Every segment with where it begins and ends, m, each (options...)."""
        return [(each, *ends) for each, ends in zip(self.segments, pairwise(self.boundaries), strict=True)]

    @property
    def ends_at(self) -> Number:
        """Where the last segment ends, m, shape (options...)."""
        return self.boundaries[-1]

    @property
    def ends(self) -> tuple[Number, Number]:
        """Where it begins and ends, m, each (options...)."""
        return self.starts_at, self.ends_at

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: too few bearings, or in one another or off the shaft; notches too deep."""
        if not self.segments:
            yield Complaint(("segments",), "no segment", "one or more")
        if self.plates and self.tilt_stiffness is not None:
            yield Complaint(("tilt_stiffness",), "a tilt stiffness beside plates", "one of them")
        if len(self.bearings) < 2:
            yield Complaint(("bearings",), f"{len(self.bearings)} bearings", "two or more")
        for index, bearing in enumerate(self.bearings):
            yield from self._off_the_shaft(index, bearing)
            for other in self.bearings[:index]:
                apart, least = np.abs(bearing.at - other.at), (bearing.inside.width + other.inside.width) / 2
                if np.any(wrong := np.asarray(apart < least * (1 - ROUNDING))):
                    read = f"{float(np.ravel(bearing.at)[0]) * 1e3:g} mm, where another bearing stands"
                    beside = f"at least {float(np.max(least)) * 1e3:g} mm from the other's middle, half of both widths"
                    yield Complaint(("bearings", str(index), "at"), read, beside, wrong)
        for index, notch in enumerate(self.notches):
            yield from self._too_deep(index, notch)

    def _off_the_shaft(self, index: int, bearing: Bearing) -> Iterator[Complaint]:
        wrong = (np.asarray(bearing.at) < self.starts_at) | (np.asarray(bearing.at) > self.ends_at)
        if np.any(wrong):
            yield Complaint(
                ("bearings", str(index), "at"),
                f"{float(np.ravel(bearing.at)[0]) * 1e3:g} mm, which is off the shaft",
                f"{float(np.ravel(self.starts_at)[0]) * 1e3:g} to {float(np.ravel(self.ends_at)[0]) * 1e3:g} mm",
                wrong,
            )

    def _too_deep(self, index: int, notch: Notch) -> Iterator[Complaint]:
        """Yield a complaint for a groove, keyway, flat or hole that leaves nothing of a segment that it stands on."""
        key = "diameter" if notch.kind == "cross hole" else "depth"
        size = getattr(notch, key)
        if size is None or notch.kind in ("shoulder", "press fit"):
            return
        cut = np.asarray(size) * (2 if notch.kind in ("groove", "keyway") else 1)  # a keyway stops short of the middle
        for segment, start, end in self.placed_segments:
            wrong = (np.asarray(start) <= notch.at) & (np.asarray(notch.at) <= end) & (cut >= segment.diameter)
            if np.any(wrong):
                deep, thick = (float(np.ravel(value)[0]) * 1e3 for value in (size, segment.diameter))
                read = f"{deep:g} mm in a shaft of {thick:g} mm"
                most = "less than half of it" if notch.kind == "keyway" else "less than cuts the shaft through"
                yield Complaint(("notches", str(index), key), read, most, wrong)


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
        if self.left is not None:
            return self, self.left
        left_clearances = [each.left_clearance for each in self.bearings]
        if all(each is None for each in left_clearances):
            return self, self
        bearings = (unchecked(each, {"clearance": left}) if left is not None else each
                    for each, left in zip(self.bearings, left_clearances, strict=True))  # fmt: skip
        return self, unchecked(self, {"bearings": tuple(bearings)})


MADE = "common practice, no source: drilled in a jig the low value, marked out by hand the high one"
ROD_LENGTH = Typical(
    3e-5, 5e-5, 4e-4, "rod length", MADE, "both rods on two pins in a plate, calliper over the pins less a diameter"
)
THROW_RADIUS = Typical(
    4e-5, 5e-5, 4e-4, "throw radius", MADE, "calliper over shaft and crankpin, less half of both diameters"
)
THROW_PHASE = Typical(
    np.deg2rad(0.15), np.deg2rad(0.2), np.deg2rad(2.0), "throw phase", MADE,
    "crank on a flat plate, one throw at its height: feelers under the other crankpin, their height over its radius",
)  # fmt: skip
HALF_SPAN = Typical(2e-5, 8e-5, 2e-4, "half-span of a yoke", MADE, "calliper over both yoke pins, less a diameter")
CENTRE_DISTANCE = Typical(
    2e-5, 5e-5, 4e-4, "centre distance", MADE, "plugs in both holes, calliper outside, less a diameter"
)
YOKE_HEIGHT = Typical(
    2e-5, 8e-5, 2e-4, "height of a yoke's face", MADE, "yoke pins on blocks on a flat plate, feelers under the face"
)


@definition
class Tolerances:
    """Half-widths of making tolerances, three standard deviations each, beyond which nothing lies."""

    rod_length: Annotated[Length, NotNegative, ROD_LENGTH, "of each rod"] = 0.0
    throw_radius: Annotated[Length, NotNegative, THROW_RADIUS, "of each throw"] = 0.0
    throw_phase: Annotated[Angle, NotNegative, THROW_PHASE, "between the throws of a crank"] = 0.0
    half_span: Annotated[Length, NotNegative, HALF_SPAN, "of each yoke pivot"] = 0.0
    centre_distance: Annotated[Length, NotNegative, CENTRE_DISTANCE, "between the shafts"] = 0.0
    yoke_height: Annotated[Length, NotNegative, YOKE_HEIGHT, "from the pivot line to the face of a yoke"] = 0.0


@definition
class Fits:
    """Plays and errors that come with making and assembling."""

    guide_play: Annotated[
        Length,
        NotNegative,
        Typical(
            10e-6,
            30e-6,
            80e-6,
            "guide play",
            "common practice, no source: a thousandth or two of the diameter, and dirt",
            "dial gauge at the end of the stem, rock it in its guide",
        ),
        "diametral play of each yoke's guide",
    ] = 0.0
    timing_error: Annotated[
        Angle,
        Typical(
            np.deg2rad(-0.4),
            0.0,
            np.deg2rad(0.4),
            "timing of the left crank",
            "common practice, no source: set with a square and a gauge",
            "both inner throws at one height on a plate: feelers under the lower one, their height over its radius",
        ),
        "how far the left crank leads the right one as assembled",
    ] = 0.0
    axial_play: Annotated[
        Length,
        NotNegative,
        Typical(
            50e-6,
            150e-6,
            400e-6,
            "end float",
            "common practice, no source: collars set by hand",
            "dial gauge on the end of the shaft, push it to and fro",
        ),
        "play of shafts and yokes along the shafts",
    ] = 0.0
    set_up_at: Annotated[Temperature, Positive, "temperature at which it is measured and set up"] = 293.15
    case_temperature: Annotated[Temperature | None, Positive, "of the case when running"] = None
    case_material: Annotated[Material | None, "what holds the shafts apart, for its growth with heat"] = None
    tolerances: Annotated[Tolerances, "making tolerances"] = Tolerances()

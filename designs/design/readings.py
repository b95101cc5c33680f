"""What a file can say under `measured:`: readings as they were written down at the bench.

A reading is given with its doubt, `12.31 g +- 0.05 g`, the half-width that holds 19 times of 20. Without one, a number
is as doubtful as its last digit. Lists of repeats are plain numbers; what scale, dial and watch are good for says how
far each is off.
"""

from collections.abc import Iterator
from dataclasses import field, fields
from typing import Annotated, Any, ClassVar, Literal

import numpy as np

from balance.errors import Complaint
from balance.evidence.dial import slope
from balance.evidence.estimate import Estimate, mean, propagated
from balance.evidence.scales import as_good_as, left_over
from balance.quantities import Bound, NotNegative, Positive, Unit, definition
from designs.design.columns import Column

# A reading is one number, never one for each of many options.
Number = Annotated[float, Unit("")]
Length = Annotated[float, Unit("m")]
Angle = Annotated[float, Unit("rad")]
Mass = Annotated[float, Unit("kg")]
Force = Annotated[float, Unit("N")]
Speed = Annotated[float, Unit("rad/s")]
Pressure = Annotated[float, Unit("Pa")]
Temperature = Annotated[float, Unit("K")]
Time = Annotated[float, Unit("s")]

FoundLength = Annotated[Estimate, Unit("m")]
FoundAngle = Annotated[Estimate, Unit("rad")]
FoundMass = Annotated[Estimate, Unit("kg")]
FoundSpeed = Annotated[Estimate, Unit("rad/s")]
FoundPressure = Annotated[Estimate, Unit("Pa")]
FoundVolume = Annotated[Estimate, Unit("m^3")]
FoundFrequency = Annotated[Estimate, Unit("Hz")]
FoundForce = Annotated[Estimate, Unit("N")]

File = Annotated[str | None, "table of them in a CSV file beside this one: a heading with units, a line for each"]

Share = Bound(least=0.0, most=1.0)
Sure = 4.0
"""Standard deviations beyond which two readings are a slip of the pen and not doubt."""


@definition
class Scale:
    """What the scale is good for."""

    error: Annotated[
        Mass, NotNegative, "half-width of one reading's doubt, 19 times of 20; no reading counts as better"
    ] = 0.0
    gain: Annotated[Number, Share, "half-width of the doubt of its factor; zero once checked with a known mass"] = 0.0

    def read(self, reading: Estimate) -> Estimate:
        """Return a reading of this scale, its factor left aside, kg."""
        return as_good_as(reading, self.error / 2)


def repeats_missing(times: tuple[float, ...]) -> Iterator[Complaint]:
    """Yield a complaint where a list of repeats is empty."""
    if not times:
        yield Complaint(("times",), "no time", "one run or more, better three")


@definition
class Swings:
    """A part hung on a knife edge in one of its bores, and timed."""

    hung_at: Annotated[FoundLength, Positive, "line of contact to the mass centre"]
    number: Annotated[int, Positive, "full swings, there and back, in each time"]
    times: Annotated[tuple[Time, ...], Positive, "time of each run"]
    amplitude: Annotated[Angle, NotNegative, "how far it swings to each side"] = 0.0

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: no runs."""
        yield from repeats_missing(self.times)


@definition
class TwoEdges:
    """A rod hung on a knife edge first in the bore of the crankpin, then in that of the yoke pin."""

    apart: Annotated[FoundLength, Positive, "between the two lines of contact"]
    number: Annotated[int, Positive, "full swings, there and back, in each time"]
    from_crankpin: Annotated[tuple[Time, ...], Positive, "time of each run, hung in the crankpin's bore"]
    from_yoke_pin: Annotated[tuple[Time, ...], Positive, "time of each run, hung in the yoke pin's bore"]
    amplitude: Annotated[Angle, NotNegative, "how far it swings to each side"] = 0.0


@definition
class TwoStrings:
    """A rod hung level on two strings, turned a little about the upright and let go."""

    strings: Annotated[FoundLength, Positive, "length of each string"]
    apart: Annotated[tuple[FoundLength, FoundLength], Positive, "each string from the mass centre"]
    number: Annotated[int, Positive, "full swings, there and back, in each time"]
    times: Annotated[tuple[Time, ...], Positive, "time of each run"]

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: no runs."""
        yield from repeats_missing(self.times)


@definition
class RodReadings:
    """Readings of a connecting rod."""

    mass: Annotated[FoundMass | None, Positive, "of one rod"] = None
    small_end_on_scale: Annotated[
        FoundMass | None, Positive, "the scale under the yoke pin, the crankpin's end on an edge at the same height"
    ] = None
    big_end_on_scale: Annotated[
        FoundMass | None, Positive, "the scale under the crankpin, the yoke pin's end on an edge at the same height"
    ] = None
    between_centres: Annotated[FoundLength | None, Positive, "crankpin centre to yoke pin centre"] = None
    swings: Annotated[Swings | None, "hung on one knife edge"] = None
    two_edges: Annotated[TwoEdges | None, "hung on a knife edge at each end"] = None
    two_strings: Annotated[TwoStrings | None, "hung level on two strings"] = None

    @property
    def given(self) -> list[str]:
        """The names of the readings that are given."""
        return [each.name for each in fields(RodReadings) if getattr(self, each.name) is not None]

    def and_also(self, other: "RodReadings") -> "RodReadings":
        """Return these readings and others of the same rod."""
        return RodReadings(**{name: getattr(each, name) for each in (self, other) for name in each.given})

    def weighed_on(self, scale: Scale) -> "RodReadings":
        """Return these readings with none better than the scale."""
        weighed = {name: scale.read(getattr(self, name)) for name in self.given if name in WEIGHED}
        return RodReadings(**{name: getattr(self, name) for name in self.given} | weighed)

    def faults(self) -> Iterator[Complaint]:
        """Yield what does not fit together: ends that do not add up to the mass, more than one way to the inertia."""
        ways = [each for each in self.given if each in INERTIA]
        if len(ways) > 1:
            yield Complaint((ways[1],), f"{ways[1]} beside {ways[0]}", "one of them, the better one")
        if ways and self.mass is None:
            yield Complaint(("mass",), "nothing", f"the rod's mass, without which {ways[0]} gives no inertia")
        if self.small_end_on_scale is not None and self.big_end_on_scale is not None and self.mass is not None:
            yield from self._ends_that_do_not_add_up(self.small_end_on_scale, self.big_end_on_scale, self.mass)
        for name in ("small_end_on_scale", "big_end_on_scale"):
            end = getattr(self, name)
            if end is not None and self.mass is not None and end.value >= self.mass.value:
                yield Complaint((name,), grams(end), f"less than the rod's mass of {grams(self.mass)}")

    def _ends_that_do_not_add_up(self, small: Estimate, big: Estimate, mass: Estimate) -> Iterator[Complaint]:
        missed = left_over(small, big, mass)
        if abs(missed.value) > Sure * missed.sd:
            rest = mass.value - big.value
            expected = f"about {rest * 1e3:.2f} g, so that both ends add up to the mass of {grams(mass)}"
            yield Complaint(("small_end_on_scale",), f"{grams(small)}, with {grams(big)} under the big end", expected)


INERTIA = ("swings", "two_edges", "two_strings")
"""The ways to a rod's moment of inertia."""
WEIGHED = ("mass", "small_end_on_scale", "big_end_on_scale")
"""What a scale reads of a rod."""


@definition
class RodFound(RodReadings):
    """Connecting rods: what stands here is of both, or of their mean; under right and left of each by itself."""

    right: Annotated[RodReadings | None, "the right-hand rod"] = None
    left: Annotated[RodReadings | None, "the left-hand rod"] = None

    @property
    def hands(self) -> dict[str, RodReadings]:
        """Readings of each rod by itself, by side."""
        return {hand: each for hand in ("right", "left") if (each := getattr(self, hand)) is not None}

    @property
    def sides(self) -> dict[str, tuple[RodReadings, list[str]]]:
        """All readings that speak of "" both rods, "right", "left", and the names of those that are its own."""
        of_each = {hand: (each.and_also(self), each.given) for hand, each in self.hands.items()}
        return {"": (self.and_also(self._middle), self.given), **of_each} if self.given or not of_each else of_each

    @property
    def _middle(self) -> RodReadings:
        """What mass and length of each rod by itself say of both."""
        means = {}
        for name in ("mass", "between_centres"):
            every = [value for each in self.hands.values() if (value := getattr(each, name)) is not None]
            if every:
                shares = (each.sd / len(every) for each in every)
                means[name] = propagated(np.mean([each.value for each in every]), *shares)
        return RodReadings(mass=means.get("mass"), between_centres=means.get("between_centres"))

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: one reading both here and of each rod."""
        for hand, each in self.hands.items():
            for name in each.given:
                if name in self.given:
                    allowed = "it here for both rods, or under right and left"
                    yield Complaint((name,), f"{name} beside {hand}.{name}", allowed)


def grams(mass: Estimate) -> str:
    """Return a mass as people read it."""
    return f"{mass.value * 1e3:.2f} g"


@definition
class YokeFound:
    """A yoke with all that moves with it."""

    mass: Annotated[FoundMass, Positive, "of the yoke and all it carries, without its rods"]


@definition
class OnScale:
    """A bare crank, its axle on edges and an arm on it that rests on the scale."""

    arm: Annotated[FoundLength, Positive, "axle to the scale, level"]
    at: Annotated[tuple[Angle, ...], "crank-frame angle that points level to the scale at each reading"]
    readings: Annotated[tuple[FoundMass, ...], NotNegative, "what the scale reads"]

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: too few readings, or angles that lie on one line."""
        if len(self.at) != len(self.readings):
            yield Complaint(("readings",), f"{len(self.readings)}", f"{len(self.at)}, one at each angle")
        elif (
            len(self.at) < 3
            or np.linalg.matrix_rank(np.stack([np.ones(len(self.at)), np.sin(self.at), np.cos(self.at)]), tol=1e-3) < 3
        ):
            yield Complaint(("at",), f"{len(self.at)} on one line", "three directions or more, as 0, 90, 180, 270 deg")


@definition
class Rolled:
    """A bare crank on level rails, with masses opposite its heavy side."""

    radius: Annotated[FoundLength, Positive, "where the masses sit, from the axle"]
    hangs_at: Annotated[FoundAngle, "crank-frame angle of the side that turns down by itself"]
    just_moves: Annotated[
        tuple[FoundMass, FoundMass], NotNegative, "masses at which it just rolls one way, and the other"
    ]

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: both masses alike."""
        if self.just_moves[0].value == self.just_moves[1].value:
            yield Complaint(("just_moves",), "the same mass twice", "one at which it just rolls each way")


@definition
class SwungCrank:
    """A bare crank swung in its own bearings, without and with a mass on its heavy side."""

    hangs_at: Annotated[FoundAngle, "crank-frame angle of the side that hangs down"]
    number: Annotated[int, Positive, "full swings, there and back, in each time"]
    times: Annotated[tuple[Time, ...], Positive, "time of each run without the mass"]
    added: Annotated[FoundMass, Positive, "the mass, on the heavy side"]
    radius: Annotated[FoundLength, Positive, "where it sits, from the axle"]
    times_with: Annotated[tuple[Time, ...], Positive, "time of each run with it"]


@definition
class CrankFound:
    """One bare crank: webs, pins and gear, without rods and without counterweights still to be cut."""

    on_scale: Annotated[OnScale | None, "weighed by an arm on the scale"] = None
    rolled: Annotated[Rolled | None, "rolled on rails"] = None
    swung: Annotated[SwungCrank | None, "swung in its bearings"] = None

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: not exactly one way."""
        ways = [each for each in ("on_scale", "rolled", "swung") if getattr(self, each) is not None]
        if len(ways) != 1:
            yield Complaint((), " and ".join(ways) or "none of on_scale, rolled and swung", "one of them")


@definition
class CranksFound:
    """Bare cranks, each by itself."""

    right: Annotated[CrankFound | None, "the right crank"] = None
    left: Annotated[CrankFound | None, "the left crank"] = None


@definition
class ThreeStrings:
    """A wheel lying on a plate that hangs on three strings, turned a little about the upright and let go."""

    strings: Annotated[FoundLength, Positive, "length of each string"]
    radius: Annotated[FoundLength, Positive, "from the plate's middle to where each string is tied"]
    mass: Annotated[FoundMass, Positive, "of the wheel"]
    plate: Annotated[FoundMass, Positive, "of the plate"]
    number: Annotated[int, Positive, "full swings, there and back, in each time"]
    times: Annotated[tuple[Time, ...], Positive, "time of each run with the wheel on the plate"]
    times_empty: Annotated[tuple[Time, ...], Positive, "time of each run of the plate alone"]

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: no runs."""
        yield from repeats_missing(self.times)
        if not self.times_empty:
            yield Complaint(("times_empty",), "no time", "one run or more of the empty plate")


@definition
class FlywheelFound:
    """A flywheel off its shaft."""

    three_strings: Annotated[ThreeStrings, "hung on three strings"]


@definition
class Dialled:
    """Backlash, one gear locked and a dial on the other crank."""

    radius: Annotated[FoundLength, Positive, "axle to the dial's tip"]
    readings: Annotated[tuple[Length, ...], NotNegative, "whole travel from flank to flank, evenly round the turn"]
    dial: Annotated[Length, NotNegative, "half-width of one reading's doubt, 19 times of 20"] = 1e-5

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: no reading."""
        if not self.readings:
            yield Complaint(("readings",), "no reading", "one or more, better four round the turn")


@definition
class Push:
    """A force on a shaft, and what a dial beside it reads."""

    columns: ClassVar[dict[str, Column]] = {
        "force": Column("forces", "", "N", "force (N)"),
        "reading": Column("readings", "", "m", "reading (um)"),
    }

    at: Annotated[str, "a throw by its name, or `bearing 1`, `bearing 2` counted along the shaft"]
    on: Annotated[Literal["right", "left"], "which shaft"] = "right"
    along: Annotated[Literal["x", "y"], "across the cylinder, or along it"] = "y"
    crank_at: Annotated[Angle, "crank angle at which the machine stood, its turning held at the gears"] = 0.0
    forces: Annotated[tuple[Force, ...], "steady forces; negative for pulls"] = ()
    readings: Annotated[tuple[Length, ...], "what the dial reads under each"] = ()
    file: File = None
    dial: Annotated[Length, Positive, "half-width of one reading's doubt, 19 times of 20"] = 4e-6

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: readings without forces, too few forces, deflection against the force."""
        if len(self.forces) != len(self.readings):
            yield Complaint(("readings",), f"{len(self.readings)}", f"{len(self.forces)}, one under each force")
            return
        if len({each for each in self.forces if each}) < 2:
            yield Complaint(("forces",), f"{len(self.forces)} of one size", "two forces of unlike size, better four")
            return
        per_force = slope(self.forces, self.readings, self.dial / 2).slope
        if per_force.value < -Sure * per_force.sd:
            read = f"{per_force.value * 1e6:.2f} um for each newton more"
            yield Complaint(
                ("readings",), read, "readings that grow with the force; turn the sign of one of them round"
            )


@definition
class Decay:
    """How a tap dies away."""

    peaks: Annotated[tuple[Number, ...], Positive, "successive peaks of one side, in any unit"]

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: too few peaks, or such as do not fall."""
        if len(self.peaks) < 2 or self.peaks[-1] >= self.peaks[0]:
            yield Complaint(
                ("peaks",), ", ".join(f"{each:g}" for each in self.peaks), "two or more, each less than the last"
            )


@definition
class Tap:
    """The case on its feet, tapped, with a phone on it that records the motion."""

    along: Annotated[
        Literal["x", "y", "z"], "which way it was tapped: across the cylinder, along it, or along the shafts"
    ] = "y"
    frequency: Annotated[FoundFrequency, Positive, "of the ringing"]
    decay: Annotated[Decay | None, "how it dies away"] = None
    phone: Annotated[Mass, NotNegative, "mass of the phone"] = 0.0
    added: Annotated[Mass, NotNegative, "known mass fixed to the case besides"] = 0.0


@definition
class Feeler:
    """Two feelers between the yokes at one crank angle, the machine still and turned by hand."""

    yokes: Annotated[tuple[str, str], "the two yokes by name"]
    at: Annotated[Angle, "crank angle"]
    feeler: Annotated[tuple[Length, Length], NotNegative, "the thickest that goes in, the thinnest that does not"]

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: a pair of feelers turned round."""
        inside, outside = (each * 1e3 for each in self.feeler)
        if inside >= outside:
            expected = f"[{outside:g} mm, {inside:g} mm]" if inside > outside else "two feelers that differ"
            yield Complaint(("feeler",), f"[{inside:g} mm, {outside:g} mm]", f"{expected}: what goes in, what does not")


@definition
class Syringe:
    """The gas space closed off with a syringe on it, both at room temperature."""

    before: Annotated[FoundVolume, "gas in the syringe and its line before the push"]
    pushed: Annotated[FoundVolume, Positive, "how far the plunger is then pushed in"]
    rise: Annotated[FoundPressure, Positive, "rise of pressure ten seconds later"]
    ambient: Annotated[Pressure, Positive, "absolute pressure before the push"] = 101325.0
    at: Annotated[Angle, "crank angle at which the machine stood"] = 0.0


@definition
class PressureFound:
    """The working pressure."""

    columns: ClassVar[dict[str, Column]] = {
        "highest": Column("highest", "", "Pa", "highest (kPa)"),
        "lowest": Column("lowest", "", "Pa", "lowest (kPa)"),
    }

    swing: Annotated[FoundPressure | None, Positive, "highest less lowest, by a gauge behind a one-way valve"] = None
    highest: Annotated[tuple[Pressure, ...], "what the gauge holds behind the valve, each time; in place of swing"] = ()
    lowest: Annotated[tuple[Pressure, ...], "the same with the valve turned round"] = ()
    gauge: Annotated[Pressure, Positive, "half-width of one reading's doubt, 19 times of 20"] = 500.0
    file: File = None
    dead_by_syringe: Annotated[Syringe | None, "closed volume by a syringe"] = None

    @property
    def found_swing(self) -> Estimate | None:
        """The swing as it was given, or the mean of the repeats; each of two readings is off by itself."""
        if not self.highest:
            return self.swing
        return mean(np.subtract(self.highest, self.lowest).tolist(), self.gauge / 2 * np.sqrt(2.0))

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: a swing given twice, unlike numbers of readings, a top below its bottom."""
        if self.highest and self.swing is not None:
            yield Complaint(("swing",), "swing beside highest and lowest", "either of them")
        if len(self.highest) != len(self.lowest):
            yield Complaint(("lowest",), f"{len(self.lowest)}", f"{len(self.highest)}, one for each of highest")
            return
        for index, (top, bottom) in enumerate(zip(self.highest, self.lowest, strict=True)):
            if top <= bottom:
                allowed = f"more than the lowest, {bottom / 1e3:g} kPa"
                yield Complaint(("highest", str(index)), f"{top / 1e3:g} kPa", allowed)


@definition
class FirstContact:
    """The knock of the yokes: from which speed on it was there, or up to which it was not."""

    shorthand: ClassVar[str] = "seen"

    seen: Annotated[FoundSpeed | None, Positive, "speed at which they first touch, seen or felt"] = None
    heard: Annotated[FoundSpeed | None, Positive, "speed from which on it is heard: contact came somewhat before"] = (
        None
    )
    late_by: Annotated[Speed, Positive, "how much too late a knock is heard on average; 30 rpm if left out"] = np.pi
    none_up_to: Annotated[FoundSpeed | None, Positive, "speed up to which no knock was heard"] = None

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: not exactly one of the three."""
        ways = [each for each in ("seen", "heard", "none_up_to") if getattr(self, each) is not None]
        if len(ways) != 1:
            yield Complaint((), " and ".join(ways) or "none of seen, heard and none_up_to", "one of them")


@definition
class Pull:
    """One steady point of a rope on its wheel."""

    speed: Annotated[Speed, Positive, "speed"]
    pull: Annotated[FoundForce, NotNegative, "force on the tight side"]
    slack: Annotated[FoundForce | None, NotNegative, "force on the slack side, which you hold"] = None
    hot: Annotated[Temperature | None, Positive, "temperature of the hot end then"] = None

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: a slack side that pulls more."""
        if self.slack is not None and self.slack.value > self.pull.value:
            allowed = f"no more than the tight side's {self.pull.value:g} N"
            yield Complaint(("slack",), f"{self.slack.value:g} N", allowed)


@definition
class Rope:
    """Torque over speed: by a brake on the running machine, or by what it takes to turn it cold."""

    columns: ClassVar[dict[str, Column]] = {
        "speed": Column("points", "speed", "rad/s", "speed (rpm)"),
        "pull": Column("points", "pull", "N", "pull (N)"),
        "slack": Column("points", "slack", "N", "slack (N)", needed=False),
        "hot": Column("points", "hot", "K", "hot (degC)", needed=False),
    }

    radius: Annotated[FoundLength, Positive, "of the wheel and half the rope"]
    points: Annotated[tuple[Pull, ...], "steady points, up in speed and down again"] = ()
    file: File = None

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: too few points."""
        if len(self.points) < 2:
            yield Complaint(("points",), f"{len(self.points)}", "two speeds or more, or a table of them under file")


@definition
class Measured:
    """What was found on the machine itself, cold unless said otherwise."""

    check_with: Annotated[
        Literal["measured", "drawing"], "what is worked with where both are known: what was found, or what is drawn"
    ] = "measured"
    scale: Annotated[Scale, "what the scale is good for"] = Scale()
    entries: Annotated[
        dict[str, Any], "any single entry by its path, as found with calliper or gauge: shafts.segments.0.diameter"
    ] = field(default_factory=dict)
    rods: Annotated[dict[str, RodFound], "rods, by the yoke that they carry"] = field(default_factory=dict)
    yokes: Annotated[dict[str, YokeFound], "yokes by name"] = field(default_factory=dict)
    cranks: Annotated[CranksFound | None, "bare cranks"] = None
    flywheel: Annotated[FlywheelFound | None, "the flywheel"] = None
    backlash: Annotated[Dialled | None, "of the gears"] = None
    pushed: Annotated[tuple[Push, ...], "forces on shafts and what a dial reads"] = ()
    tapped: Annotated[tuple[Tap, ...], "the case on its feet"] = ()
    gap: Annotated[tuple[Feeler, ...], "between the yokes, by feelers"] = ()
    pressure: Annotated[PressureFound | None, "the working pressure"] = None
    first_contact: Annotated[FirstContact | None, "the knock of the yokes"] = None
    brake: Annotated[Rope | None, "torque that the running machine gives"] = None
    drag: Annotated[Rope | None, "torque that turns it cold, cylinder open"] = None

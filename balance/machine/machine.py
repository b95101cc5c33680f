"""The whole moving machine, as far as its balance goes."""

from collections.abc import Iterator
from dataclasses import field
from typing import Annotated, Literal

import numpy as np

from balance.errors import Complaint
from balance.machine.counterweights import Counterweights
from balance.machine.crank import Cranks, Throw
from balance.machine.cylinder import Cylinder
from balance.machine.mount import Mount
from balance.machine.reach import unreachable
from balance.machine.stop import Stop
from balance.machine.wheels import Flywheel, Wheel
from balance.machine.yoke import Diaphragm, Displacer, Outline, Piston, Yoke
from balance.outlines import edge_heights
from balance.quantities import (
    Acceleration,
    Most,
    NotNegative,
    Number,
    Positive,
    Pressure,
    Speed,
    Temperature,
    Typical,
    Volume,
    definition,
)

STANDARD_GRAVITY = 9.80665  # m/s^2, ISO 80000-3


@definition
class SpeedRange:
    """How fast the machine runs."""

    least: Annotated[Speed, NotNegative, "slowest running speed"]
    rated: Annotated[Speed, Positive, "usual running speed"]
    most: Annotated[Speed, Positive, "fastest running speed"]
    overspeed: Annotated[Number, Positive, "factor on the fastest speed at which fixings must still hold"] = 1.25

    @property
    def slowest(self) -> Number:
        """Slowest steady running, rad/s: `least`, or a fiftieth of the fastest where the range starts from rest."""
        return np.maximum(self.least, np.asarray(self.most) / 50)

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: speeds out of order, or an overspeed below one."""
        order = "least <= rated <= most"
        if np.any(wrong := np.asarray(self.rated) > self.most):
            yield Complaint(("most",), "a fastest speed below the usual one", order, wrong)
        if np.any(wrong := np.asarray(self.least) > self.rated):
            yield Complaint(("least",), "a slowest speed above the usual one", order, wrong)
        if np.any(np.asarray(self.overspeed) < 1.0):
            yield Complaint(("overspeed",), f"{self.overspeed}", "1 or more")


@definition
class NoGas:
    """The machine turned by hand or motor, with nothing in the cylinder."""

    model: Literal["none"] = "none"


@definition
class DeadVolumes:
    """Gas volumes that the pistons never sweep."""

    hot: Annotated[Volume, NotNegative, "hot space and heater"]
    cold: Annotated[Volume, NotNegative, "cold space and cooler"]
    regenerator: Annotated[Volume, NotNegative, "regenerator and passages"] = 0.0


AIR = Typical(
    94e3, 101e3, 103e3, "pressure of the air", "open to the air: weather, and a height of up to 500 m, computed",
    "a barometer's reading where the engine runs, not brought to sea level",
)  # fmt: skip


@definition
class IsothermalGas:
    """A closed cycle with each space at its own steady temperature."""

    model: Literal["isothermal"] = "isothermal"
    hot: Annotated[
        Temperature,
        Positive,
        Typical(
            523.15,
            673.15,
            823.15,
            "hot gas temperature",
            "common practice, no source: a flame on the cap",
            "thermocouple of 0.5 mm through the seal, or the cap's wall less 50 to 200 K",
        ),
        "gas temperature in the hot space",
    ]
    cold: Annotated[
        Temperature,
        Positive,
        Typical(
            303.15,
            333.15,
            383.15,
            "cold gas temperature",
            "common practice, no source: from water to bare fins",
            "thermocouple of 0.5 mm through the seal",
        ),
        "gas temperature in the cold space",
    ]
    mean_pressure: Annotated[Pressure, Positive, AIR, "absolute pressure, averaged over crank angle"]
    case_pressure: Annotated[Pressure, NotNegative, AIR, "absolute pressure behind the piston"]
    dead: Annotated[DeadVolumes, "volumes that are never swept"]


@definition
class PressureTable:
    """Pressure over crank angle as it was measured, one cycle, any spacing."""

    angle: Annotated[np.ndarray, "crank angles, rad, rising within one turn"]
    pressure: Annotated[np.ndarray, "absolute pressures, Pa"]

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: lengths, order, a span of more than one turn, non-numbers."""
        angle, pressure = np.asarray(self.angle), np.asarray(self.pressure)
        if angle.ndim != 1 or angle.shape != pressure.shape or angle.size < 4:
            read = f"{angle.size} angles and {pressure.size} pressures"
            yield Complaint((), read, "four or more of each, as many of both")
        elif not (np.all(np.isfinite(angle)) and np.all(np.isfinite(pressure))):
            yield Complaint((), "a value that is not finite", "finite angles and pressures")
        elif np.any(np.diff(angle) <= 0) or angle[-1] - angle[0] >= 2 * np.pi:
            allowed = "rising, the last less than a turn after the first"
            yield Complaint(("angle",), "angles that do not rise within one turn", allowed)


@definition
class IndicatedGas:
    """A pressure that was measured over the cycle."""

    model: Literal["indicated"] = "indicated"
    table: Annotated[PressureTable, "file with columns of crank angle in degrees and absolute pressure in kPa"]
    case_pressure: Annotated[Pressure, NotNegative, "absolute pressure behind the piston"]


Gas = NoGas | IsothermalGas | IndicatedGas


@definition
class Gravity:
    """Which way things fall: the cylinder stands upright unless said otherwise."""

    x: Annotated[Acceleration, "across the shafts"] = 0.0
    y: Annotated[Acceleration, "along the cylinder, positive toward the hot end"] = -STANDARD_GRAVITY


@definition
class Machine:
    """Cranks, yokes, gas and weights: all that decides how the machine moves and shakes."""

    speed: Annotated[SpeedRange, "how fast it runs"]
    cranks: Annotated[Cranks, "the two geared cranks"]
    yokes: Annotated[dict[str, Yoke], Most(4), "the yokes by name"]
    gas: Annotated[Gas, "what pushes the piston"] = NoGas()
    gravity: Annotated[Gravity, "which way things fall"] = Gravity()
    counterweights: Annotated[Counterweights | None, "weights to be cut"] = None
    flywheel: Annotated[Flywheel | None, "flywheel"] = None
    pulley: Annotated[Wheel | None, "the pulley or coupling that takes the power"] = None
    stop: Annotated[Stop | None, "rubber between two yokes"] = None
    cylinder: Annotated[Cylinder | None, "the cylinder in which displacer and piston move"] = None
    mount: Annotated[Mount | None, "the case and what it stands on"] = None
    walls: Annotated[dict[str, Outline], Most(12), "fixed solid parts by name, as the case's sides, for clearance"] = (
        field(default_factory=dict)
    )

    def wheels(self, hand: str) -> dict[str, Wheel]:
        """Return the wheels on the right or left shaft by name: flywheel, then pulley."""
        known = {"flywheel": self.flywheel, "pulley": self.pulley}
        return {name: wheel for name, wheel in known.items() if wheel is not None and wheel.on in (hand, "both")}

    def throw_of(self, yoke: Yoke) -> Throw:
        """Return the throw that drives a yoke."""
        return self.cranks.throws[yoke.throw]

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: yokes without a throw, or rods that cannot reach."""
        if not self.yokes:
            yield Complaint(("yokes",), "no yoke", "one yoke or more")
        for name, yoke in self.yokes.items():
            if yoke.throw not in self.cranks.throws:
                yield Complaint(("yokes", name, "throw"), repr(yoke.throw), ", ".join(self.cranks.throws))
            else:
                yield from unreachable(name, yoke, self.throw_of(yoke), self.cranks.centre_distance)
        for name in self.counterweights.trims if self.counterweights is not None else ():
            if name not in self.yokes:
                yield Complaint(("counterweights", "trims", name), repr(name), ", ".join(self.yokes))
        yield from self._webs_that_are_not_there()
        if self.stop is not None:
            yield from self._nothing_for_the_stop(self.stop)
        if isinstance(self.gas, IsothermalGas):
            yield from self._spaces_for_the_gas()

    def _webs_that_are_not_there(self) -> Iterator[Complaint]:
        count = len(self.cranks.webs)
        for each in () if self.counterweights is None else self.counterweights.carriers:
            if each is not None and each.startswith("web ") and int(each.split()[1]) > count:
                yield Complaint(("counterweights", "on"), repr(each), f"a web up to web {count}" if count else "no web")

    def _nothing_for_the_stop(self, stop: Stop) -> Iterator[Complaint]:
        for index, name in enumerate(stop.between):
            outline = self.yokes[name].outline if name in self.yokes else None
            if name not in self.yokes:
                yield Complaint(("stop", "between", str(index)), repr(name), ", ".join(self.yokes))
            elif outline is None:
                yield Complaint(("stop", "between", str(index)), f"{name}, which has no outline", "a yoke with one")
            elif np.any(~np.isfinite(edge_heights(outline, np.asarray(stop.x, dtype=float)[..., None])[0])):
                yield Complaint(("stop", "x"), f"beside the outline of {name}", "a place on both yokes")

    def _spaces_for_the_gas(self) -> Iterator[Complaint]:
        carried = [yoke.carries for yoke in self.yokes.values()]
        displacers = sum(isinstance(each, Displacer) for each in carried)
        pistons = sum(isinstance(each, Piston | Diaphragm) for each in carried)
        if (displacers, pistons) != (1, 1):
            yield Complaint(
                ("gas", "model"),
                f"isothermal, with {displacers} displacer(s) and {pistons} piston(s) or diaphragm(s)",
                "one displacer and one piston or diaphragm; or the models indicated and none",
            )

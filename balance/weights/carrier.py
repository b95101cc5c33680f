"""What carries each counterweight: a hub on the shaft, a web that it is bolted to, or the outer crankpin's end."""

from functools import cached_property

import numpy as np

from balance.machine.counterweights import Counterweights
from balance.machine.crank import Cranks, Throw, outward
from balance.plates.pinned import PinArm
from balance.quantities import Scalar, result

TOUCH = 1e-4  # m; faces no farther apart touch, as a shim would: common practice, no source
THICK, LONG = 0.020, 0.030  # m; the thickest web and longest crankpin that one that is not given may be
Ends = tuple[Scalar, Scalar]
"""Where a shaft begins and ends, m."""


@result
class Carrier:
    """What could carry a counterweight where it stands, and what does.

    able : names ("shaft", "web 2", "pin outer") with whether each carries the plate, (options...), first choice first.
    given : what the design says carries it; None if that is found.
    unknown : entries that would tell of more.
    """

    able: list[tuple[str, np.ndarray]]
    given: str | None
    unknown: tuple[str, ...] = ()

    @cached_property
    def chosen(self) -> dict[str, np.ndarray]:
        """What carries it, by name: at most one for each option, (options...)."""
        free = np.ones((), dtype=bool)
        carriers: dict[str, np.ndarray] = {}
        for name, there in self.able:
            if self.given in (None, name, name.split()[0]):
                carriers[name] = carriers.get(name, False) | (there & free)
                free = free & ~there
        return carriers

    @property
    def carried(self) -> np.ndarray:
        """Whether anything carries it, (options...)."""
        return np.any(np.broadcast_arrays(False, *self.chosen.values()), axis=0)

    @property
    def name(self) -> str:
        """What carries a single design's counterweight; empty if nothing does."""
        return next((name for name, there in self.chosen.items() if np.all(there)), "")


def carrier_of(counterweights: Counterweights, plane: int, cranks: Cranks, ends: Ends) -> Carrier:
    """Return what carries the counterweights in a plane, counted from 0.

    A web beside which it stands for half its thickness or more is taken to be of one piece with it. Else the shaft,
    where there is shaft in the middle of the plate but not along a crankpin; else a web whose face it touches; else the
    end of the outermost crankpin of an overhung crank that the plate reaches over.
    """
    at, half = np.asarray(counterweights.planes[plane], dtype=float), np.asarray(counterweights.thickness) / 2
    whole, touching, pins, unknown = [], [], [], []
    for number, web in enumerate(cranks.webs, start=1):
        if web.thickness is None:
            if np.any(np.abs(at - web.at) <= half + THICK / 2):
                unknown.append(f"cranks.webs.{number - 1}.thickness")
        elif web.on == "both":
            reach = half + np.asarray(web.thickness) / 2
            overlap = reach - np.abs(at - web.at)
            whole.append((f"web {number}", overlap >= np.minimum(half, np.asarray(web.thickness) / 2)))
            touching.append((f"web {number}", overlap >= -TOUCH))
    for name, sign in _outermost(cranks, ends).items():
        throw = cranks.throws[name]
        beyond = (at - throw.at) * sign
        if throw.pin is None:
            if np.any((beyond > 0) & (beyond < half + LONG / 2)):
                unknown.append(f"cranks.throws.{name}.pin")
        else:
            pins.append((f"pin {name}", (beyond > 0) & (beyond < half + np.asarray(throw.pin.length) / 2)))
    shaft = ("shaft", (at >= ends[0]) & (at <= ends[1]) & ~_along_a_pin(cranks, at))
    return Carrier([*whole, shaft, *touching, *pins], counterweights.carriers[plane], tuple(unknown))


def could_be(counterweights: Counterweights, cranks: Cranks, ends: Ends) -> dict[str, tuple[float, float]]:
    """Return from where to where a plate's middle would be carried, m, by what carries it; for a single design."""
    half = float(counterweights.thickness) / 2
    ranges = {"the shaft": (float(ends[0]), float(ends[1]))}
    for number, web in enumerate(cranks.webs, start=1):
        if web.thickness is not None and web.on == "both":
            reach = half + float(web.thickness) / 2
            ranges[f"web {number}"] = float(web.at) - reach, float(web.at) + reach
    for name, sign in _outermost(cranks, ends).items():
        throw = cranks.throws[name]
        if throw.pin is not None:
            middle, most = float(throw.at), half + float(throw.pin.length) / 2
            ranges[f"the end of crankpin {name}"] = tuple(sorted((middle, middle + sign * most)))  # type: ignore[assignment]
    return ranges


def pin_arm(counterweights: Counterweights, plane: int, cranks: Cranks, ends: Ends) -> PinArm | None:
    """Return the arm by which a counterweight sits on its crankpin; None if no option of it does."""
    chosen = carrier_of(counterweights, plane, cranks, ends).chosen
    pins = {name.split(" ", 1)[1]: there for name, there in chosen.items() if name.startswith("pin ")}
    pins = {name: there for name, there in pins.items() if np.any(there)}
    if not pins:
        return None
    (name, there), *_ = pins.items()
    throw: Throw = cranks.throws[name]
    assert throw.pin is not None
    return PinArm(throw.radius, throw.phase, throw.pin.diameter, there, name)


def _along_a_pin(cranks: Cranks, at: np.ndarray) -> np.ndarray:
    """Return whether a place lies along a crankpin held on both sides, where there is no shaft, (options...)."""
    lengths = {name: 0.0 if throw.pin is None else throw.pin.length for name, throw in cranks.throws.items()}
    inside = [np.abs(at - cranks.throws[name].at) < np.asarray(length) / 2 for name, length in lengths.items()]
    return np.any(np.broadcast_arrays(False, *inside), axis=0)


def _outermost(cranks: Cranks, ends: Ends) -> dict[str, float]:
    """Return the outermost throw that hangs beyond each end of a shaft, with +1 or -1 for the way it hangs."""
    names = {}
    for sign in (-1.0, 1.0):
        hanging = [name for name, throw in cranks.throws.items() if np.all(outward(throw.at, ends) == sign)]
        if hanging:
            names[max(hanging, key=lambda name: sign * float(np.ravel(cranks.throws[name].at)[0]))] = sign
    return names

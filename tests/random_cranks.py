"""Random cranks as small engines have them, from a generator of random numbers: every layout, metal and bearing."""

from itertools import pairwise
from math import pi

import numpy as np
from engines.crank_frame import SHAFT, Bearing, Crank, Pin, Step, Web
from engines.space_frame import Metal

METALS = (Metal(206e9, 79.4e9), Metal(206e9, 79.4e9), Metal(70e9, 26.3e9), Metal(100e9, 37e9))  # most are of steel
LAYOUTS = ("overhung", "outboard", "held")
BORED = 0.25  # share of shaft steps and pins that have a bore


def random_crank(rng: np.random.Generator, layout: str | None = None, throws: int | None = None) -> Crank:
    """Return a crank of one throw or two with two to four bearings; layout and throws are drawn unless given.

    Overhung: it ends with its last pin, which is free. Outboard: a last web leads back to a stub in one bearing. Held:
    the shaft goes on behind it. The shaft's first side ends at z = 0; lengths are in m.
    """
    layout = layout or str(rng.choice(LAYOUTS))
    metal = _metal(rng)
    near = _steps(rng, -float(rng.uniform(0.03, 0.12)), 0.0, int(rng.integers(1, 4)))
    webs, pins, z = _throws(rng, throws or int(rng.integers(1, 3)), layout != "overhung")
    far = ()
    if layout == "outboard":
        far = _steps(rng, z, z + float(rng.uniform(0.006, 0.015)), 1)
    elif layout == "held":
        far = _steps(rng, z, z + float(rng.uniform(0.02, 0.08)), int(rng.integers(1, 3)))
    beyond = {"overhung": 0, "outboard": 1, "held": int(rng.integers(1, 3))}[layout]
    sides = [(near, int(rng.integers(2 if beyond == 0 else 1, 5 - beyond)))] + ([(far, beyond)] if far else [])
    bearings = _bearings(rng, sides)
    places = [each.at for each in bearings] + [float(rng.uniform(near[0].start, near[-1].end)) for _ in range(2)]
    return Crank((*near, *far), metal, webs, pins, bearings, torque_at=float(rng.choice(places)))


def _metal(rng: np.random.Generator) -> Metal:
    return METALS[rng.integers(len(METALS))]


def _bore(rng: np.random.Generator, diameter: float) -> float:
    return diameter * float(rng.uniform(0.2, 0.6)) if rng.random() < BORED else 0.0


def _steps(rng: np.random.Generator, start: float, end: float, count: int) -> tuple[Step, ...]:
    """Return a round shaft from start to end in so many steps, none shorter than a tenth of its length."""
    shares = 0.1 + (1 - 0.1 * count) * rng.dirichlet(np.ones(count))
    ends = start + (end - start) * np.concatenate([[0.0], np.cumsum(shares)])
    ends[-1] = end
    steps = []
    for first, last in pairwise(ends):
        diameter = float(rng.uniform(3e-3, 14e-3))
        steps.append(Step(float(first), float(last), diameter, _bore(rng, diameter)))
    return tuple(steps)


def _throws(rng: np.random.Generator, count: int, back: bool) -> tuple[tuple[Web, ...], tuple[Pin, ...], float]:
    """Return webs and pins from z = 0 on, and where they end; `back`: a last web leads to the axis of the shaft."""
    webs, pins, z = [], [], 0.0
    axes = [SHAFT, *range(count)] + [SHAFT] * back
    angle = float(rng.uniform(-pi, pi))
    for here, there in pairwise(axes):
        thickness, width = float(rng.uniform(3e-3, 12e-3)), float(rng.uniform(6e-3, 20e-3))
        webs.append(Web(z + thickness / 2, thickness, width, _metal(rng), (here, there)))
        z += thickness
        if there != SHAFT:
            pin = _pin(rng, z, angle)
            pins.append(pin)
            z = pin.end
            # Never back to the same axis: a web needs a length.
            angle += float(rng.choice([-1, 1]) * rng.uniform(0.6, pi))
    return tuple(webs), tuple(pins), z


def _pin(rng: np.random.Generator, start: float, angle: float) -> Pin:
    diameter = float(rng.uniform(3e-3, 10e-3))
    end = start + float(rng.uniform(5e-3, 25e-3))
    return Pin(start, end, diameter, float(rng.uniform(6e-3, 20e-3)), angle, _metal(rng), _bore(rng, diameter))


def _bearings(rng: np.random.Generator, sides: list[tuple[tuple[Step, ...], int]]) -> tuple[Bearing, ...]:
    """Return so many bearings on each side of the shaft, each in its own share of it; one is held along z."""
    places = []
    for steps, count in sides:
        start, length = steps[0].start, steps[-1].end - steps[0].start
        places += [start + length * (number + float(rng.uniform(0.2, 0.8))) / count for number in range(count)]
    axial = int(rng.integers(len(places)))
    return tuple(Bearing(at, 10 ** float(rng.uniform(6.3, 8.7)), number == axial) for number, at in enumerate(places))

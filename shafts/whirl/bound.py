"""How much vibration can add at most, about, for many options: from static deflections and a low first frequency.

The first natural frequency is bounded from below by Dunkerley's sum over all masses, each alone: 1/w^2 <= sum of m u,
u the displacement of its place under a unit load in the direction in which that is softest. What goes to and fro counts
in all directions. Each order of the static deflection then grows by at most 1/(1 - (n W/w)^2). (Dunkerley, 1894; Den
Hartog, Mechanical Vibrations, section 4.6, from memory.) It holds to the masses' whole motion, not to every pin at each
angle: where one order swings about a node it may be passed there by a little.
"""

import numpy as np

from balance.quantities import Number, over_angle
from shafts.crank.build import crank
from shafts.crank.compliance import Unit, respond
from shafts.crank.loaded import LoadedCrank
from shafts.loaded_shafts import LoadedShafts
from shafts.shaft import Engine
from shafts.whirl.bodies import carried_bodies, rod_of

HIGHEST = 12  # order of the static deflection that is looked at


def first_frequency_bound(engine: Engine, loaded: LoadedCrank) -> np.ndarray:
    """Return a frequency, rad/s, below which a crank has no natural one; its shaft's own mass left out."""
    masses, columns = [], []
    for body in carried_bodies(engine, loaded.hand):
        masses += [body.mass + _ridden(engine, body.name, loaded.hand)] * 2
        columns += [(Unit(body.at, body.x, body.y, fx=1.0),), (Unit(body.at, body.x, body.y, fy=1.0),)]
        if np.any(body.diametral):
            masses += [body.diametral] * 2
            columns += [(Unit(body.at, cx=1.0),), (Unit(body.at, cy=1.0),)]
    places = [bearing.at for bearing in loaded.shaft.bearings]
    held = next(each.at for each in loaded.loads if each.name in ("gear teeth", "coupling"))
    chain = crank(loaded.shaft, engine.cranks, loaded.hand, [*places, held, *(column[0].z for column in columns)])
    response = respond(chain, columns, places, held, loaded.compliance)
    every = range(len(columns))
    found = response.by_members(every) + response.by_supports(every, loaded.compliance)
    inverse: Number = 0.0
    for place, mass in enumerate(masses[::2]):
        x, y, both = (found[..., 2 * place + i, 2 * place + j] for i, j in ((0, 0), (1, 1), (0, 1)))
        inverse = inverse + mass * ((x + y) / 2 + np.hypot((x - y) / 2, both))
    return 1 / np.sqrt(inverse)


def _ridden(engine: Engine, name: str, hand: str) -> Number:
    """Return what goes to and fro with the rod of this name, kg."""
    yoke = next((each for key, each in engine.yokes.items() if name == f"rod of {key}"), None)
    if yoke is None:
        return 0.0
    rod, share = rod_of(yoke, hand)
    return yoke.mass / 2 + rod.mass * share


def amplification_bound(loaded: LoadedShafts, speed: Number) -> np.ndarray:
    """Return by what share of its peak vibration changes the deflection of any pin at a speed, at most, (options...).

    inf where an order of the static deflection of 1 percent or more may meet a natural frequency.
    """
    worst: Number = 0.0
    for each in loaded.cranks:
        first = first_frequency_bound(loaded.engine, each)
        for name in loaded.engine.yokes:
            x, y = each.pin(name).on_bench(speed)
            size = np.abs(np.fft.fft(x + 1j * y, axis=-1)) / x.shape[-1]
            number = np.abs(np.fft.fftfreq(x.shape[-1], 1 / x.shape[-1]))
            peak = np.max(np.hypot(x, y), axis=-1, keepdims=True)
            counts = (number <= HIGHEST) & (size >= 0.01 * peak)
            squared = (number * over_angle(np.asarray(speed) / first)) ** 2
            growth = np.where(squared < 1, squared / np.where(squared < 1, 1 - squared, 1.0), np.inf)
            share = np.sum(np.where(counts, size, 0.0) * np.where(counts, growth, 0.0), axis=-1) / peak[..., 0]
            worst = np.maximum(worst, share)
    return np.asarray(worst)

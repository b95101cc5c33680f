"""Plain shafts as rotors for tests, and rotors alone as systems that return each turn."""

from collections.abc import Sequence

import numpy as np

from balance.machine.crank import Cranks, Throw
from shafts.crank.build import crank
from shafts.shaft import Shaft
from shafts.whirl.bodies import Body, own_mass
from shafts.whirl.crossings import bench_orders
from shafts.whirl.periodic import PeriodicSystem
from shafts.whirl.rotor import Place, Rotor, Seat, rotor


def plain_rotor(
    shaft: Shaft,
    bodies: Sequence[Body],
    stiffness: float = np.inf,
    points: dict[str, Place] | None = None,
    own: int = 24,
) -> Rotor:
    """A shaft without cranks and what it carries, held against turning at its first bearing."""
    cranks = Cranks(centre_distance=1.0, throws={"none": Throw(radius=1e-3, at=shaft.ends_at + 1e-3)})
    places = [float(each.at) for each in shaft.bearings]
    everything = [*bodies, *own_mass(shaft, float(shaft.starts_at), float(shaft.ends_at), own)]
    named = points or {}
    marks = [*places, *(float(each.at) for each in everything), *(each[0] for each in named.values())]
    seat = Seat(places, places[0], np.eye(len(places)) / stiffness)
    return rotor(crank(shaft, cranks, "right", marks), seat, named, everything)


def alone(body: Rotor, orders: int = 3, modes: int = 12) -> PeriodicSystem:
    """One rotor by itself, without damping and without what goes to and fro."""
    count = 2 * orders + 1
    own = body.modes(np.zeros_like(body.mass), np.inf, 1, modes)
    frequencies, shapes = own.frequencies, own.shapes
    stiffness = np.broadcast_to(np.diag(frequencies**2), (count, len(frequencies), len(frequencies)))
    none = np.zeros((len(frequencies), len(frequencies)))
    mass, cross, spin = (shapes.T @ each @ shapes for each in (body.mass, body.cross, body.spin))
    return PeriodicSystem(stiffness, none, none, mass, cross, spin)


def whirls(body: Rotor, order: int, orders: int = 3, modes: int = 12) -> np.ndarray:
    """The critical speeds of an order, rad/s, rising: positive with the turning, negative against it."""
    system = alone(body, orders, modes)
    shapes = body.modes(np.zeros_like(body.mass), np.inf, 1, modes).shapes
    theta, found = 2 * np.pi / system.angles * np.arange(system.angles), []
    pairs = np.flatnonzero(np.diagonal(body.aside, -1) > 0.5)
    for speed, shape in zip(*system.critical_speeds, strict=True):
        moved = shape @ shapes.T
        sizes = np.zeros((orders + 1, 2))
        for pair in pairs:
            scale = np.sqrt(body.flexibility[pair, pair]) or np.inf
            each = bench_orders(theta, moved[:, pair] / scale, moved[:, pair + 1] / scale)
            sizes += np.square(each[:, : orders + 1].T)
        if np.max(sizes) < 1e-6:  # it twists, and does nothing else
            continue
        number, backward = np.unravel_index(np.argmax(sizes), sizes.shape)
        if (number == order and not backward) or (number == -order and backward):
            found.append(speed)
    once: list[float] = []
    for speed in found:  # one that goes round has a twin a quarter of a turn behind
        if not once or speed > once[-1] * (1 + 1e-6):
            once.append(speed)
    return np.array(once)


def one_freedom(stiffness, damping: float = 0.0, mass: float = 1.0, angles: int = 41) -> PeriodicSystem:
    """A single freedom whose stiffness follows the angle, (angles,) or a function of it."""
    theta = 2 * np.pi / angles * np.arange(angles)
    springs = stiffness(theta) if callable(stiffness) else np.asarray(stiffness)
    none, one = np.zeros((1, 1)), np.ones((1, 1))
    return PeriodicSystem(springs[:, None, None] * one, damping * one, none, mass * one, none, none)

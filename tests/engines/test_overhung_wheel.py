"""A long shaft with a heavy flywheel beyond its bearings, whose backward whirl once a turn lies in the running range.

A slotted yoke rides on its crankpin along the guide alone, so that on the bench all masses are constant and finite
elements (`finite_rotor`, for x and for y) give its critical speeds and its answer to what turns and to the yoke.
"""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from engines.finite_rotor import matrices
from limits.one_throw import loaded, one_throw
from scipy.linalg import eig, eigh

from balance.machine.machine import Flywheel, SpeedRange
from balance.machine.materials import MATERIALS
from shafts.shaft import Segment
from shafts.whirl.bodies import Body, bodies
from shafts.whirl.crossings import EATS, crossings
from shafts.whirl.pair import pair, rotors
from shafts.whirl.vibrating import vibrating
from shafts.whirl.vibration import ShaftVibration

TURNING, YOKE, RADIUS, STIFFNESS, DAMPING = 0.06, 0.12, 2e-4, 2e7, 0.02
PIN, WHEEL, SPREAD = 0.04, -0.24, 0.04
LOW, HIGH = 60.0, 300.0  # rad/s, of running


@dataclass
class OnTheBench:
    """Matrices of x, then y, of one crank; the pin's row among each."""

    stiffness: np.ndarray
    mass: np.ndarray
    spin: np.ndarray
    pin: np.ndarray

    def critical(self) -> tuple[np.ndarray, np.ndarray]:
        """Speeds at which it moves freely once a turn, rising, and its motion as (x, y) of the pin, complex."""
        # (K - W^2 M + i W^2 G) q = 0, in time as exp(i W t).
        values, vectors = eig(self.stiffness, self.mass - 1j * self.spin)
        real = (np.abs(values.imag) < 1e-6 * np.abs(values)) & (values.real > 0)
        order = np.argsort(values.real[real])
        return np.sqrt(values.real[real][order]), (np.stack([self.pin_x, self.pin_y]) @ vectors[:, real])[:, order]

    @property
    def pin_x(self) -> np.ndarray:
        return np.append(self.pin, 0 * self.pin)

    @property
    def pin_y(self) -> np.ndarray:
        return np.append(0 * self.pin, self.pin)

    def answer(self, speed: float) -> np.ndarray:
        """How the pin moves, (x, y), complex, under what turns and half the yoke."""
        first = 1 / np.sqrt(eigh(self.mass, self.stiffness, eigvals_only=True)[-1])
        drag = 1j * speed * 2 * DAMPING / first * self.stiffness
        system = self.stiffness + drag - speed**2 * self.mass + 1j * speed**2 * self.spin
        pull = RADIUS * speed**2 * (TURNING * -1j * self.pin_x + (TURNING + YOKE / 2) * self.pin_y)
        moved = np.linalg.solve(system, pull)
        return np.array([self.pin_x @ moved, self.pin_y @ moved])


@pytest.fixture(scope="module")
def both() -> tuple[ShaftVibration, OnTheBench]:
    one = one_throw(TURNING, YOKE, RADIUS).engine
    bearings = tuple(replace(each, at=at, stiffness=STIFFNESS, seat_stiffness=None)
                     for each, at in zip(one.shafts.bearings, (-SPREAD, 0.0), strict=True))  # fmt: skip
    shafts = replace(one.shafts, material=MATERIALS["steel"], starts_at=WHEEL, bearings=bearings,
                     segments=(Segment(length=PIN - WHEEL, diameter=0.012),))  # fmt: skip
    cranks = replace(one.cranks, throws={"only": replace(one.cranks.throws["only"], at=PIN)},
                     webs=tuple(replace(each, at=PIN) for each in one.cranks.webs))  # fmt: skip
    wheel = Flywheel(on="both", inertia=2.4e-3, at=WHEEL, mass=1.2, thickness=0.02)
    engine = replace(one, shafts=shafts, cranks=cranks, flywheel=wheel,
                     speed=SpeedRange(least=LOW, rated=150.0, most=HIGH))  # fmt: skip
    carried = loaded(engine)
    disc = [each for each in bodies(engine, "right") if each.polar and each.name not in ("shaft", "web 1")]
    assert [each.mass for each in disc] == [1.2]
    found = matrices(engine.shafts.pair[0], [Body("pin", PIN, TURNING), *disc], [1 / STIFFNESS] * 2)
    mass, turn = np.kron(np.eye(2), found.mass), np.array([[0.0, -1.0], [1.0, 0.0]])
    tip = found.arms[0]
    mass += YOKE / 2 * np.outer(np.append(0 * tip, tip), np.append(0 * tip, tip))
    bench = OnTheBench(np.kron(np.eye(2), found.stiffness), mass, np.kron(turn, found.spin), tip)
    return ShaftVibration(carried, pair(carried, rotors(carried), 6, DAMPING)), bench


def test_the_backward_crossing_is_found_and_stands_where_finite_elements_have_it(both):
    vibration, bench = both
    speeds, moved = bench.critical()
    # It turns clockwise: with exp(i W t) backward is x + i y larger than x - i y.
    x, y = moved
    backward = np.abs(x - 1j * y) < np.abs(x + 1j * y)
    inside = [speed for speed, way in zip(speeds, backward, strict=True) if way and LOW < speed < HIGH]
    assert len(inside) == 1
    found = [each for each in crossings(vibration, 2 * HIGH) if each.order == 1 and LOW < each.speed < HIGH]
    assert {each.way for each in found if each.driven > EATS} == {"backward", "forward"}
    for way, expected in (("backward", inside[0]), ("forward", float(speeds[~backward][0]))):
        near = [each.speed for each in found if each.way == way]
        np.testing.assert_allclose(near, expected, rtol=1e-3)


@pytest.mark.parametrize("share", [0.6, 0.97, 1.0, 1.05, 1.4])
def test_its_amplitude_is_that_of_finite_elements(both, share: float):
    vibration, bench = both
    speeds, _ = bench.critical()
    speed = share * float(speeds[0])
    theta = vibration.loaded.motion.theta
    expected = np.real(np.outer(bench.answer(speed), np.exp(1j * theta)))
    found = np.stack(vibrating(vibration).of("right").pin("only").on_bench(speed))
    np.testing.assert_allclose(found, expected, rtol=0, atol=3e-3 * np.max(np.abs(expected)))

"""Vibration of built-up cranks by another way: compliances of a frame in space, masses on the bench, collocation.

Unknown is how the places of masses move in the crank's frame at each of many angles; accelerations are taken on the
bench by Fourier derivatives. No modes, no flexibility and no gyroscopic matrix of the project's own come in. Three
cranks: a long shaft with a heavy wheel beyond its bearings, one with an outboard bearing, and that one with a belt.
"""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from engines.crank_frame import SHAFT, Bearing, Crank, Load, Pin, Place, Step, bend
from engines.crank_frame import Web as Arm
from engines.space_frame import Metal
from limits.one_throw import loaded, one_throw

from balance.machine.crank import Belt, Web
from balance.machine.crank import Pin as CrankPin
from balance.machine.machine import SpeedRange
from balance.machine.materials import Material
from balance.machine.wheels import Flywheel
from balance.machine.yoke import Rod
from shafts.engine import Engine
from shafts.shaft import Segment
from shafts.whirl.crossings import crossings
from shafts.whirl.pair import pair, rotors
from shafts.whirl.vibrating import vibrating
from shafts.whirl.vibration import ShaftVibration

METAL = Metal(206e9, 79.4e9)
LIGHT = Material(density=1e-6, young=METAL.young, shear=METAL.shear)  # the wheel and what turns are the masses
RADIUS, TURNING, YOKE, DAMPING = 0.008, 0.05, 0.16, 0.02
ROD = Rod(length=0.042, mass=0.02, cg=0.017, inertia=6e-6)
THICK, WIDE, FREE, PIN = 0.006, 0.016, 0.014, 0.007
ANGLES, TOP = 61, 400.0  # rad/s


@dataclass(frozen=True)
class Built:
    """Places along z, m: the crank begins at zero; stiffness of bearings, N/m; the belt's pull, N, across."""

    diameter: float
    starts: float
    bearings: tuple[float, ...]
    stiffness: float
    wheel: float
    mass: float
    polar: float
    ends: float | None = None
    pull: float = 0.0

    @property
    def pin_at(self) -> float:
        """The middle of the crankpin."""
        return THICK + FREE / 2


CRANKS = {
    "wheel beyond its bearings": Built(0.010, -0.26, (-0.15, -0.012), 3e7, -0.26, 1.6, 4.2e-3),
    "outboard bearing": Built(0.008, -0.11, (-0.10, -0.012, 0.045), 1.5e7, -0.055, 0.7, 5e-4, 0.05),
    "belt": Built(0.008, -0.13, (-0.10, -0.012, 0.045), 1.5e7, -0.06, 0.9, 8e-4, 0.05, 25.0),
}


def engine_of(built: Built) -> Engine:
    one = one_throw(TURNING, YOKE, RADIUS, ROD).engine
    bearings = tuple(replace(one.shafts.bearings[0], at=at, stiffness=built.stiffness, seat_stiffness=None)
                     for at in built.bearings)  # fmt: skip
    behind, arm = 2 * THICK + FREE, {"mass": 0.0, "thickness": THICK, "width": WIDE}
    ends = 0.0 if built.ends is None else built.ends
    webs = (Web(at=THICK / 2, **arm), Web(at=built.pin_at, mass=TURNING, cg=(0.0, RADIUS)),
            Web(at=built.wheel, mass=built.mass, inertia=built.polar))  # fmt: skip
    webs += () if built.ends is None else (Web(at=behind - THICK / 2, **arm),)
    belt = Belt(at=built.starts + 0.01, pull=built.pull, direction=np.pi / 2) if built.pull else None
    throw = replace(one.cranks.throws["only"], at=built.pin_at, pin=CrankPin(diameter=PIN, length=FREE))
    return replace(
        one,
        shafts=replace(one.shafts, material=LIGHT, starts_at=built.starts, bearings=bearings,
                       segments=(Segment(length=ends - built.starts, diameter=built.diameter),)),
        cranks=replace(one.cranks, throws={"only": throw}, webs=webs, belt=belt, load_at=built.bearings[0]),
        speed=SpeedRange(least=30.0, rated=150.0, most=TOP),
    )  # fmt: skip


class OnTheBench:
    """The right crank of a machine; columns: the pin's x, y, tilt x, y and twist, the wheel's likewise."""

    def __init__(self, built: Built):
        self.built = built
        pin, wheel, belt = Place(built.pin_at, 0), Place(built.wheel), Place(built.starts + 0.01)
        units = [(pin, way) for way in (0, 1, 3, 4, 5)] + [(wheel, way) for way in (0, 1, 3, 4, 5)]
        units += [(belt, 0), (belt, 1)]
        cases = [[Load(place, tuple(np.eye(6)[way][:3]), tuple(np.eye(6)[way][3:]))] for place, way in units]
        found = bend(self._frame(), cases, [place for place, _ in units])
        self.flexible = np.stack([found.moves[:, row, way] for row, (_, way) in enumerate(units)])
        self.reactions = np.moveaxis(found.bearings[:, :, :2], 0, -1)  # (bearings, 2, columns), of bearings on it
        self.theta = 2 * np.pi / ANGLES * np.arange(ANGLES)
        orders = np.fft.fftfreq(ANGLES, 1 / ANGLES)
        waves = np.exp(1j * np.outer(self.theta, orders))
        self.rate = np.real(waves * (1j * orders) @ np.conj(waves.T)) / ANGLES
        sine, cosine = np.sin(self.theta), np.cos(self.theta)
        # From the crank's frame to the bench, which it turns past clockwise: x to sin at angle zero plus a quarter.
        self.turn = np.moveaxis(np.array([[cosine, sine], [-sine, cosine]]), -1, 0)
        reach = 0.015 - 0.025 - RADIUS * sine
        rise = np.sqrt(ROD.length**2 - reach**2)
        share = ROD.cg / ROD.length
        beyond = ROD.inertia - ROD.mass * share * (1 - share) * ROD.length**2
        self.follow = [(YOKE / 2 + ROD.mass * share, np.stack([reach / rise, 1 + 0 * rise]), RADIUS * cosine + rise),
                       (beyond, np.stack([-1 / rise, 0 * rise]), np.arcsin(reach / ROD.length))]  # fmt: skip
        self.big = TURNING + ROD.mass * (1 - share)

    def _frame(self) -> Crank:
        built, behind = self.built, 2 * THICK + FREE
        steps, webs = [Step(built.starts, 0.0, built.diameter)], [Arm(THICK / 2, THICK, WIDE, METAL, (SHAFT, 0))]
        if built.ends is not None:
            steps.append(Step(behind, built.ends, built.diameter))
            webs.append(Arm(behind - THICK / 2, THICK, WIDE, METAL, (0, SHAFT)))
        bearings = tuple(Bearing(at, built.stiffness, not place) for place, at in enumerate(built.bearings))
        pin = Pin(THICK, THICK + FREE, PIN, RADIUS, 0.0, METAL)
        return Crank(tuple(steps), METAL, tuple(webs), (pin,), bearings, torque_at=built.bearings[0])

    def forces(self, moved: np.ndarray) -> np.ndarray:
        """Loads by inertia per speed squared, (angles, 12, ...), as the crank moves, (angles, 12, ...), without paths.

        What moves alike in every column is kept apart by the last axes.
        """
        twice = self.rate @ self.rate

        def bench(columns):
            return np.einsum("aij,aj...->ai...", self.turn, moved[:, columns])

        def back(vector):
            return np.einsum("aji,aj...->ai...", self.turn, vector)

        def accelerated(vector):
            return np.tensordot(twice, vector, (1, 0))

        found = np.zeros_like(moved)
        on_pin, at_wheel, tilt = bench([0, 1]), bench([5, 6]), bench([7, 8])
        push = -self.big * accelerated(on_pin)
        for mass, way, _ in self.follow:
            along = np.einsum("ia,ai...->a...", way, on_pin)
            push = push - mass * np.einsum("ia,a...->ai...", way, accelerated(along))
        found[:, [0, 1]] = back(push)
        # As its section tilts and twists, what goes round beside the axis pulls by r W^2 from another place.
        lifted = self.big * RADIUS**2
        own, spun = moved[:, 2], np.tensordot(twice, moved[:, 2], (1, 0))
        found[:, 2] = -lifted * (spun + own)
        found[:, 4] = -lifted * moved[:, 4]
        found[:, [5, 6]] = back(-self.built.mass * accelerated(at_wheel))
        rate = np.tensordot(self.rate, tilt, (1, 0))
        # It turns clockwise: its spin is -W, and x, y, z are right-handed.
        whirled = np.stack([rate[:, 1], -rate[:, 0]], axis=1) * self.built.polar
        found[:, 9] = -self.built.polar * np.tensordot(twice, moved[:, 9], (1, 0))
        found[:, [7, 8]] = back(-self.built.polar / 2 * accelerated(tilt) + whirled)
        return found

    def _columns(self) -> np.ndarray:
        """Inertia loads by each unknown, (all, all)."""
        size = ANGLES * len(self.flexible)
        return self.forces(np.eye(size).reshape(ANGLES, -1, size)).reshape(size, size)

    @property
    def critical(self) -> np.ndarray:
        """Speeds at which it moves freely, rising: q = W^2 F A q."""
        inverse = np.linalg.eigvals(np.kron(np.eye(ANGLES), self.flexible) @ self._columns())
        real = inverse[(np.abs(inverse.imag) < 1e-7 * np.abs(inverse)) & (inverse.real > 1e-9)].real
        return np.sort(1 / np.sqrt(real))

    def settled(self, speed: float, drag: float) -> tuple[np.ndarray, np.ndarray]:
        """Return the pin on the bench, (2, angles), and the bearings' loads, (bearings, 2, angles).

        drag : what resists velocities on the bench, per stiffness, s.
        """
        size = len(self.flexible)
        given = np.zeros((ANGLES, size))
        given[:, 1] += self.big * RADIUS * speed**2
        for mass, way, path in self.follow:
            pull = -mass * speed**2 * (self.rate @ self.rate @ path)
            given[:, :2] += np.einsum("aji,ja->ai", self.turn, way * pull)
        given[:, 10:] += np.einsum("aji,j->ai", self.turn, [self.built.pull, 0.0])
        whole = np.kron(np.eye(ANGLES), self.flexible)
        # Bench velocity in the crank's frame, of x and y by turns; twist by itself.
        dragged = np.zeros((ANGLES, size, ANGLES, size))
        for x, y in ((0, 1), (2, 3), (5, 6), (7, 8), (10, 11)):
            both = np.einsum("aji,ab,bjk->aibk", self.turn, self.rate, self.turn)
            dragged[np.ix_(range(ANGLES), [x, y], range(ANGLES), [x, y])] += both
        for twist in (4, 9):
            dragged[:, twist, :, twist] += self.rate
        dragged = dragged.reshape(len(whole), -1) * drag * speed
        left = np.eye(len(whole)) + dragged - speed**2 * whole @ self._columns()
        moved = np.linalg.solve(left, whole @ given.ravel()).reshape(ANGLES, size)
        pin = np.einsum("aij,aj->ia", self.turn, moved[:, :2])
        # The loads that the springs of shaft and bearings carry: all that moves them, less what damping carries.
        sprung = np.linalg.solve(whole, moved.ravel()).reshape(ANGLES, size)
        loads = -np.einsum("bkc,ac->bka", self.reactions, sprung)
        return pin, np.einsum("aij,bja->bia", self.turn, loads)


@pytest.fixture(scope="module", params=CRANKS)
def crank(request) -> tuple[ShaftVibration, OnTheBench]:
    built = CRANKS[request.param]
    carried = loaded(engine_of(built), ANGLES)
    return ShaftVibration(carried, pair(carried, rotors(carried), 16, DAMPING)), OnTheBench(built)


def test_critical_speeds(crank):
    """Of orders that are far from the last one kept; some of them backward, and within the range of speeds."""
    vibration, bench = crank
    expected = bench.critical
    found = [each for each in crossings(vibration, 800.0) if each.order <= 4]
    assert len(found) > 3
    for each in found:
        assert np.min(np.abs(expected / each.speed - 1)) < 1e-3, each
    backward = [each for each in found if each.order == 1 and each.way == "backward" and each.speed < TOP]
    assert bool(backward) == (bench.built.mass > 1)


@pytest.mark.parametrize("speed", [150.0, 300.0, TOP, "critical"])
def test_amplitudes_and_bearing_loads(crank, speed: float | str):
    vibration, bench = crank
    if isinstance(speed, str):
        strongest = max(crossings(vibration, TOP), key=lambda each: each.driven)
        speed = strongest.speed
    pin, loads = bench.settled(speed, 2 * DAMPING / vibration.pair.system.first_frequency)
    moving, still = vibrating(vibration).of("right"), vibration.loaded.of("right")
    found = np.stack(moving.pin("only").on_bench(speed))
    at_rest = np.stack(still.pin("only").on_bench(speed))
    assert np.max(np.abs(pin - at_rest)) > 0.01 * np.max(np.abs(pin))
    np.testing.assert_allclose(found, pin, rtol=0, atol=2e-3 * np.max(np.abs(pin)))
    most = np.max(np.abs(loads))
    for expected, each in zip(loads, moving.bearings, strict=True):
        np.testing.assert_allclose(np.stack(each.on_bench(speed)), expected, rtol=0, atol=0.01 * most)


def test_a_wheel_that_whirls_by_itself_is_named():
    """On a thin end of a thick shaft it moves most; backward comes first (of a thin disc, both ways once a turn)."""
    engine = engine_of(CRANKS["wheel beyond its bearings"])
    segments = (Segment(length=0.076, diameter=0.005), Segment(length=0.154, diameter=0.014))
    wheel = Flywheel(on="both", inertia=6e-4, at=-0.228, mass=0.8, thickness=0.01)
    shafts = replace(engine.shafts, starts_at=-0.23, segments=segments)
    cranks = replace(engine.cranks, webs=engine.cranks.webs[:2])
    carried = loaded(replace(engine, shafts=shafts, cranks=cranks, flywheel=wheel), 72)
    vibration = ShaftVibration(carried, pair(carried, rotors(carried), 10, DAMPING))
    found = [each for each in crossings(vibration, TOP) if each.order == 1]
    assert [(each.part, each.way) for each in found][:2] == [("flywheel", "backward"), ("flywheel", "forward")]
    assert found[0].felt > found[0].driven > 0

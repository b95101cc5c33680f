"""A crank in its bearings by finite elements on the bench, marched through time until it has settled.

The shaft and its discs are those of `finite_rotor`, once across and once along. Its end carries a crankpin with what
turns there; a rod, as two point masses and the moment of inertia left over, lifts half a yoke in its guide. Freedoms
stand on the bench, turning is even and twist rigid. Bearings carry what their springs do, and a section the moment that
bends its element. Shapes and masses are all that is taken from a design.

Newmark's method with constant mean acceleration (Bathe, Finite Element Procedures, section 9.2.4).
"""

from dataclasses import dataclass

import numpy as np
from engines.finite_rotor import matrices
from scipy.linalg import eigh

from shafts.shaft import Shaft
from shafts.whirl.bodies import Body

STEPS = 360  # of a turn
THETA = 2 * np.pi / STEPS * np.arange(STEPS)
HAIR = 2e-4  # m, between the ends of the element in which a moment is read


@dataclass
class Crankpin:
    """What a crankpin at the shaft's end carries, in m, kg and kg m^2.

    turning : mass that goes round with it.   lifted : half the yoke, with the rod's share at the pivot.
    beyond : the rod's moment of inertia less that of its two point masses.   aside : of the pivot, from the shaft.
    """

    radius: float
    turning: float
    length: float
    lifted: float
    beyond: float
    aside: float


@dataclass
class Follower:
    """A mass, kg, or moment of inertia that follows the crank.

    way : per motion of each freedom, (angles, freedoms).   path : how it moves by a stiff crank, m or rad, (angles,).
    outward : what pulls it outward per metre and speed squared, kg.
    """

    mass: float
    way: np.ndarray
    path: np.ndarray
    outward: float = 0.0


class MarchedCrank:
    """A crank on bearings of one give, m/N."""

    def __init__(self, shaft: Shaft, discs: list[Body], pin: Crankpin, give: float, section: float):
        ends = [Body("section", section - HAIR / 2, 0.0), Body("section", section + HAIR / 2, 0.0)]
        places = [Body("bearing", float(each.at), 0.0) for each in shaft.bearings]
        tip = Body("pin", float(shaft.ends_at), pin.turning)
        self.found = matrices(shaft, [tip, *ends, *places, *discs], [give] * len(places))
        self.pin, self.give, self.count = pin, give, len(self.found.mass)
        self.at_tip, *self.at_ends = (np.argmax(each) for each in self.found.arms[:3])
        self.at_bearings = [np.argmax(each) for each in self.found.arms[3 : 3 + len(places)]]
        bent = next(each for each in shaft.segments[::-1])
        self.bending = shaft.material.young * np.pi / 64 * bent.diameter**4
        self.followers = list(self._followers())

    def _followers(self):
        pin = self.pin
        x, y = pin.radius * np.sin(THETA), pin.radius * np.cos(THETA)
        reach = pin.aside - x  # from pin to pivot
        rise = np.sqrt(pin.length**2 - reach**2)
        still = np.zeros(STEPS)
        yield Follower(pin.lifted, self._rows(self.at_tip, reach / rise, 1.0), y + rise)
        yield Follower(pin.beyond, self._rows(self.at_tip, -1 / rise, 0.0), np.arcsin(reach / pin.length))
        # As its section tilts, what goes round beside the axis is lifted along it, and pulls outward from there.
        yield Follower(pin.turning, self._rows(self.at_tip + 1, -x, -y), still, pin.turning)

    def _rows(self, freedom: int, x: np.ndarray, y: np.ndarray | float) -> np.ndarray:
        rows = np.zeros((STEPS, 2 * self.count))
        rows[:, freedom], rows[:, self.count + freedom] = x, y
        return rows

    @property
    def natural(self) -> float:
        """The lowest natural frequency at rest, rad/s, at the crank angle at which it is lowest."""
        stiffness, mass = (np.kron(np.eye(2), each) for each in (self.found.stiffness, self.found.mass))
        found = []
        for row in range(0, STEPS, 10):
            whole = mass + sum(each.mass * np.outer(each.way[row], each.way[row]) for each in self.followers)
            found.append(eigh(whole, stiffness, eigvals_only=True)[-1])
        return 1 / np.sqrt(max(found))

    def settled(self, speed: float, drag: float, turns: int) -> np.ndarray:
        """Return the deflections of a turn, (angles, freedoms), once so many turns have passed.

        drag : what resists velocities on the bench, per stiffness, s.
        """
        step = 2 * np.pi / STEPS / speed
        stiffness, mass = (np.kron(np.eye(2), each) for each in (self.found.stiffness, self.found.mass))
        gyroscopic = speed * np.kron(np.array([[0.0, -1.0], [1.0, 0.0]]), self.found.spin)  # clockwise
        rated = drag * stiffness + gyroscopic
        inverse = np.linalg.inv(mass + step / 2 * rated + step**2 / 4 * stiffness)
        masses = np.array([each.mass for each in self.followers])
        ways, bent, curled, force = self._courses(speed)
        moved, rate, gained = (np.zeros(2 * self.count) for _ in range(3))
        found = np.zeros((STEPS, 2 * self.count))
        for number in range(turns * STEPS):
            row = (number + 1) % STEPS
            moved, rate = moved + step * rate + step**2 / 4 * gained, rate + step / 2 * gained
            beside = masses * (2 * bent[row] @ rate + curled[row] @ moved)
            pull = inverse @ (force[row] - rated @ rate - stiffness @ moved - ways[row].T @ beside)
            heavy = masses[:, None] * (ways[row] + step * bent[row] + step**2 / 4 * curled[row])
            held = inverse @ ways[row].T
            gained = pull - held @ np.linalg.solve(np.eye(len(masses)) + heavy @ held, heavy @ pull)
            moved, rate = moved + step**2 / 4 * gained, rate + step / 2 * gained
            found[row] = moved
        return found

    def _courses(self, speed: float) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Ways of the followers and their rates, (angles, followers, freedoms), and forces, (angles, freedoms).

        The forces are those of all that moves by a stiff crank.
        """
        ways = np.stack([each.way for each in self.followers], axis=1)
        bent, curled = (by_time(ways, speed, times) for times in (1, 2))
        outward = np.array([each.outward / each.mass for each in self.followers])
        curled = curled + speed**2 * outward[:, None] * ways
        pull = self.pin.turning * self.pin.radius * speed**2
        force = self._rows(self.at_tip, pull * np.sin(THETA), pull * np.cos(THETA))
        for each in self.followers:
            force -= each.mass * by_time(each.path, speed, 2)[:, None] * each.way
        return ways, bent, curled, force

    def loads(self, moved: np.ndarray) -> list[np.ndarray]:
        """Return the load on each bearing, N, (2, angles)."""
        return [np.stack([moved[:, each], moved[:, self.count + each]]) / self.give for each in self.at_bearings]

    def moment(self, moved: np.ndarray) -> np.ndarray:
        """Return the bending moment in the section, N m, (2, angles): the bend of x and of y."""
        first, last = (each + 1 for each in self.at_ends)
        bends = [moved[:, plane + last] - moved[:, plane + first] for plane in (0, self.count)]
        return self.bending * np.stack(bends) / HAIR


def by_time(course: np.ndarray, speed: float, times: int) -> np.ndarray:
    """Return the derivative of a course over the turn, (angles, ...), by time."""
    orders = np.fft.rfftfreq(len(course), 1 / len(course)).reshape(-1, *(1,) * (course.ndim - 1))
    return np.fft.irfft((1j * orders * speed) ** times * np.fft.rfft(course, axis=0), len(course), axis=0)

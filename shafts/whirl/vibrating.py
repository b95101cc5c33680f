"""How far the shafts give way when they vibrate: order by order, with all that they carry.

The deflections of `shafts.deflection` are those of loads that change slowly. Each order n of the loads
swings w = y + i x, counted in the sense of turning, forwards (n > 0) or backwards, and a shaft with
masses answers u = A (c + (n^2 M - n G) W^2 u): more than the slow answer below its critical speeds.
What little energy shafts and their seats lose enters as viscous damping in proportion to stiffness, of a
stated ratio at the first critical speed; it bounds the answer where an order meets a critical speed.
"""

from dataclasses import dataclass

import numpy as np

from balance.quantities import Number
from balance.turning import HANDS
from shafts.carried import Carried
from shafts.strength.stress import turned_back
from shafts.whirl.critical import first_critical
from shafts.whirl.rotor import Rotor, rotors

ORDERS = 8  # highest order that is looked at
COUNTS = 0.01  # share of the largest order's slow deflection from which an order counts
DAMPING = 0.02  # ratio at the first critical speed: common practice for bolted steel, no source
OFF = 0.05  # how far the slow deflection may be off before it is worth saying


@dataclass(frozen=True, eq=False)
class Vibrating:
    """Both shafts at one speed, for a single design.

    orders : -ORDERS to ORDERS.
    slow, quick : for each side and yoke, the complex amplitude at its throw plane of each order of
    w = y + i x (x toward +x on the right, toward -x on the left), m, without and with vibration.
    """

    orders: np.ndarray
    slow: dict[tuple[str, str], np.ndarray]
    quick: dict[tuple[str, str], np.ndarray]

    def counts(self, side: str, name: str) -> np.ndarray:
        """Return which orders are strong enough to count at a throw."""
        slow = np.abs(self.slow[side, name])
        return (slow >= COUNTS * np.max(slow)) & (slow > 0)

    def ratio(self, side: str, name: str) -> np.ndarray:
        """Return the quick over the slow deflection of each order at a throw; NaN for orders too weak to count."""
        slow, quick, counts = self.slow[side, name], self.quick[side, name], self.counts(side, name)
        return np.where(counts, np.abs(quick) / np.where(counts, np.abs(slow), 1.0), np.nan)

    @property
    def off(self) -> float:
        """By what share the slow deflection is off at the throws, in the order where it is off most."""
        found = [0.0]
        for key, slow in self.slow.items():
            counts = self.counts(*key)
            found += list(np.abs(self.quick[key] - slow)[counts] / np.abs(slow[counts]))
        return float(max(found))

    def added(self, theta: np.ndarray) -> float:
        """Return by what share of its peak vibration changes the deflection at the throw where it changes most."""
        found = [0.0]
        for side, name in self.slow:
            slow = np.hypot(*self._spread(side, self.slow[side, name], theta)).max()
            if slow > 0:
                found.append(float(np.hypot(*self.extra(side, name, theta)).max() / slow))
        return max(found)

    def extra(self, side: str, name: str, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return what vibration adds to the slow deflection at a throw, x and y in m, at crank angles theta."""
        return self._spread(side, self.quick[side, name] - self.slow[side, name], theta)

    def deflection(self, side: str, name: str, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the deflection at a throw with vibration, x and y in m, at crank angles theta."""
        return self._spread(side, self.quick[side, name], theta)

    def _spread(self, side: str, amplitudes: np.ndarray, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        # A sum, and no matrix product: for so few orders that only wakes threads that wait for each other.
        place = np.sum(np.exp(1j * theta[:, None] * self.orders) * amplitudes, axis=-1)
        return HANDS[side] * place.imag, place.real


def vibrating(
    carried: Carried, speed: float, bodies: tuple[Rotor, Rotor] | None = None, damping: float = DAMPING
) -> Vibrating:
    """Return both shafts as they vibrate at a speed, rad/s; for a single design."""
    count = carried.motion.theta.size
    numbers = np.arange(-ORDERS, ORDERS + 1)
    slow, quick = {}, {}
    for place, (side, body) in enumerate(zip(HANDS, bodies or rotors(carried), strict=True)):
        loads = np.fft.fft(_forces(carried, place, speed), axis=-1)[..., numbers % count] / count
        stations = loads.shape[-2]
        still = body.give[:, :stations] @ loads
        moved = speed**2 * (numbers**2 * body.mass[:, None] - numbers * body.spin[:, None])
        # A damped spring's give lags by an angle that grows with how fast the order swings.
        lag = 1 / (1 + 2j * damping * numbers * speed / float(first_critical(body, 1)))
        system = np.eye(len(body.mass)) - body.give * (lag[:, None] * moved.T)[:, None, :]
        answer = np.linalg.solve(system, (lag * still).T[..., None])[..., 0].T
        for row, name in enumerate(carried.loads[place].pins):
            slow[side, name], quick[side, name] = still[row], answer[row]
    return Vibrating(numbers, slow, quick)


def _forces(carried: Carried, place: int, speed: float) -> np.ndarray:
    """Return w = y + i x of every load on a shaft, N, (loads, angles): pins, turning masses, gear teeth."""
    loads, theta = carried.loads[place], carried.motion.theta
    sign, still = loads.sign, np.ones_like(theta)
    forces = [turned_back(pull, sign, still).at(speed) for _, pull in loads.pins.values()]
    weight_x, weight_y = loads.gravity
    for mass in loads.turning:
        pull = turned_back(mass.push(theta, sign), sign, still).at(speed)
        forces.append(pull + mass.mass * (weight_y + 1j * sign * weight_x))
    if loads.mesh is not None:
        forces.append(loads.mesh.tangential.at(speed) + 1j * sign * loads.mesh.separating(speed))
    return np.stack(np.broadcast_arrays(*forces, still)[:-1])


def resonances(
    carried: Carried, up_to: Number, bodies: tuple[Rotor, Rotor] | None = None
) -> list[tuple[str, int, float]]:
    """Return (side, order, speed) of each order of the loads whose first critical speed, rad/s, lies in the range."""
    found = []
    for side, body in zip(HANDS, bodies or rotors(carried), strict=True):
        for order in [each for each in range(-ORDERS, ORDERS + 1) if each]:
            speed = float(first_critical(body, order))
            if speed <= float(up_to):
                found.append((side, order, speed))
    return found

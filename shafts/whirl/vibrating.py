"""How far the shafts give way when they vibrate: order by order, with all that they carry.

The deflections of `shafts.deflection` are those of loads that change slowly. Each order n of the loads
swings w = y + i x, counted in the sense of turning, forwards (n > 0) or backwards, and a shaft with
masses answers u = A (c + (n^2 M - n G) W^2 u): more than the slow answer below its critical speeds.
What little energy shafts and their seats lose enters as viscous damping in proportion to stiffness, of a
stated ratio at the first critical speed; it bounds the answer where an order meets a critical speed.
"""

from dataclasses import dataclass

import numpy as np

from balance.growth import Growth
from balance.quantities import Number
from balance.turning import HANDS
from shafts.carried import Carried
from shafts.strength.stress import turned_back
from shafts.whirl.critical import first_critical
from shafts.whirl.rotor import Rotor, rotors

ORDERS = 8  # highest order that is looked at
COUNTS = 0.01  # share of the largest order's slow deflection from which an order counts
DAMPING = 0.02  # ratio at the first critical speed: common practice for bolted steel, no source
NUMBERS = np.arange(-ORDERS, ORDERS + 1)
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
        found, waves = [0.0], self._waves(theta)
        for key, slow in self.slow.items():
            most, more = (np.max(np.abs(np.sum(waves * each, axis=-1))) for each in (slow, self.quick[key] - slow))
            if most > 0:
                found.append(float(more / most))
        return max(found)

    def extra(self, side: str, name: str, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return what vibration adds to the slow deflection at a throw, x and y in m, at crank angles theta."""
        return self._spread(side, self.quick[side, name] - self.slow[side, name], theta)

    def deflection(self, side: str, name: str, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the deflection at a throw with vibration, x and y in m, at crank angles theta."""
        return self._spread(side, self.quick[side, name], theta)

    def _spread(self, side: str, amplitudes: np.ndarray, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        # A sum, and no matrix product: for so few orders that only wakes threads that wait for each other.
        place = np.sum(self._waves(theta) * amplitudes, axis=-1)
        return HANDS[side] * place.imag, place.real

    def _waves(self, theta: np.ndarray) -> np.ndarray:
        return np.exp(1j * theta[:, None] * self.orders)


@dataclass(frozen=True, eq=False)
class Swinging:
    """One shaft and its loads order by order, for a single design; ready for any speed.

    steady, growing : complex amplitudes of w = y + i x of every load, N, and N per (rad/s)^2, (stations, orders);
    stations as in `rotors`.   critical : first forward critical speed, rad/s.
    """

    carried: Carried
    place: int
    body: Rotor
    steady: np.ndarray
    growing: np.ndarray
    critical: float

    def at(self, speed: float, damping: float) -> tuple[np.ndarray, np.ndarray]:
        """Return slow and quick deflection of every station at a speed, m, each (stations, orders)."""
        loads = self.steady + speed**2 * self.growing
        mesh = self.carried.loads[self.place].mesh
        if mesh is not None:
            loads[-1] += _orders(1j * self.carried.loads[self.place].sign * mesh.separating(speed))
        still = self.body.give[:, : len(loads)] @ loads
        moved = speed**2 * (NUMBERS[:, None] ** 2 * self.body.mass - NUMBERS[:, None] * self.body.spin)
        # A damped spring's give lags by an angle that grows with how fast the order swings. Both sides are divided by
        # that lag, so that all but the diagonal stays real.
        system = np.zeros((len(NUMBERS), *self.body.give.shape), dtype=complex)
        np.multiply(-self.body.give, moved[:, None, :], out=system.real)
        np.einsum("nii->ni", system)[...] += 1 + 2j * damping * NUMBERS[:, None] * speed / self.critical
        return still, np.linalg.solve(system, still.T[..., None])[..., 0].T


def swinging(carried: Carried, bodies: tuple[Rotor, Rotor] | None = None) -> list[Swinging]:
    """Return the right and the left shaft with their loads order by order."""
    found = []
    for place, body in enumerate(bodies or rotors(carried)):
        steady, growing = (_orders(part) for part in _forces(carried, place))
        found.append(Swinging(carried, place, body, steady, growing, float(first_critical(body, 1))))
    return found


def vibrating(shafts: list[Swinging], speed: float, damping: float = DAMPING) -> Vibrating:
    """Return both shafts as they vibrate at a speed, rad/s; for a single design."""
    slow, quick = {}, {}
    for side, shaft in zip(HANDS, shafts, strict=True):
        still, answer = shaft.at(speed, damping)
        for row, name in enumerate(shaft.carried.loads[shaft.place].pins):
            slow[side, name], quick[side, name] = still[row], answer[row]
    return Vibrating(NUMBERS, slow, quick)


def _orders(values: np.ndarray) -> np.ndarray:
    """Return the complex amplitudes of the orders NUMBERS of courses, (..., angles)."""
    count = values.shape[-1]
    return np.fft.fft(values, axis=-1)[..., NUMBERS % count] / count


def _forces(carried: Carried, place: int) -> tuple[np.ndarray, np.ndarray]:
    """Return w = y + i x of every load on a shaft at rest, N, and per (rad/s)^2, (loads, angles).

    Pins, turning masses, gear teeth; what these push apart is left out.
    """
    loads, theta = carried.loads[place], carried.motion.theta
    sign, still = loads.sign, np.ones_like(theta)
    forces = [turned_back(pull, sign, still) for _, pull in loads.pins.values()]
    weight = loads.gravity[1] + 1j * sign * loads.gravity[0]
    forces += [turned_back(mass.push(theta, sign), sign, still) + Growth(gravity=mass.mass * weight * still)
               for mass in loads.turning]  # fmt: skip
    if loads.mesh is not None:
        forces.append(loads.mesh.tangential)
    steady, growing = (np.stack(np.broadcast_arrays(*parts, still)[:-1]).astype(complex)
                       for parts in zip(*((each.steady, each.inertia) for each in forces), strict=True))  # fmt: skip
    return steady, growing


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

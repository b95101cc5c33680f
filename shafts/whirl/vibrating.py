"""How far the shafts give way when they vibrate: order by order, with all that they carry.

The deflections of `shafts.deflection` are those of loads that change slowly. Each order n of the loads
swings w = y + i x, counted in the sense of turning, forwards (n > 0) or backwards, and a shaft with
masses answers u = A (c + (n^2 M - n G) W^2 u): more than the slow answer below its critical speeds.
What little energy shafts and their seats lose enters as viscous damping in proportion to stiffness, of a
stated ratio at the first critical speed; it bounds the answer where an order meets a critical speed.
"""

from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from balance.quantities import Number, over_angle
from balance.turning import HANDS, on_bench
from shafts.crank.loaded import LoadedCrank
from shafts.loaded_shafts import LoadedShafts
from shafts.whirl.critical import first_critical
from shafts.whirl.rotor import Rotor, rotors

ORDERS = 8  # highest order that is looked at
COUNTS = 0.01  # share of the largest order's slow deflection from which an order counts
DAMPING = 0.02  # ratio at the first critical speed: common practice for bolted steel, no source
NUMBERS = np.arange(-ORDERS, ORDERS + 1)
OFF = 0.05  # how far the slow deflection may be off before it is worth saying


@dataclass(frozen=True, eq=False)
class Vibrating:
    """Both shafts at one speed, or at several, for a single design.

    orders : -ORDERS to ORDERS.
    slow, quick : for each side and yoke, the complex amplitude at its throw plane of each order of
    w = y + i x (x toward +x on the right, toward -x on the left), m, without and with vibration, (speeds..., orders).
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
        slow, quick = (np.stack(list(each.values())) for each in (self.slow, self.quick))
        courses = np.einsum("ao,ko->ka", self._waves(theta), np.concatenate([slow, quick - slow]))
        most, more = np.max(np.abs(courses), axis=-1).reshape(2, -1)
        return float(np.max(np.where(most > 0, more / np.where(most > 0, most, 1.0), 0.0)))

    def extra(self, side: str, name: str, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return what vibration adds to the slow deflection at a throw, x and y in m, at crank angles theta."""
        return self._spread(side, self.quick[side, name] - self.slow[side, name], theta)

    def deflection(self, side: str, name: str, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the deflection at a throw with vibration, x and y in m, at crank angles theta."""
        return self._spread(side, self.quick[side, name], theta)

    def _spread(self, side: str, amplitudes: np.ndarray, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        # A sum, and no matrix product: for so few orders that only wakes threads that wait for each other.
        place = np.sum(self._waves(theta) * amplitudes[..., None, :], axis=-1)
        return HANDS[side] * place.imag, place.real

    def _waves(self, theta: np.ndarray) -> np.ndarray:
        return np.exp(1j * theta[:, None] * self.orders)


@dataclass(frozen=True, eq=False)
class ShaftOrders:
    """One shaft and its loads order by order, for a single design; ready for any speed.

    steady, growing : complex amplitudes of w = y + i x of every load, N, and N per (rad/s)^2, (stations, orders);
    stations as in `rotors`.   critical : first forward critical speed, rad/s.
    """

    carried: LoadedShafts
    place: int
    body: Rotor
    steady: np.ndarray
    growing: np.ndarray
    critical: float

    def at(self, speed: Number, damping: float) -> tuple[np.ndarray, np.ndarray]:
        """Return slow and quick deflection where the loads act at one speed, or several, m.

        Both (loads, orders), or (speeds, loads, orders). One speed is solved for; several share the shaft's modes.
        """
        speed = np.asarray(speed)[..., None, None]
        loads = self.steady + speed**2 * self.growing
        crank = self.carried.cranks[self.place]
        teeth = crank.named("gear teeth")
        if teeth is not None and crank.tooth is not None:
            apart = 1j * crank.sign * teeth.apart * np.abs(crank.tooth.at(speed[..., 0, 0]))
            loads[..., -1, :] += _orders(apart)
        # A damped spring's give lags by an angle that grows with how fast the order swings; both sides of the equation
        # are divided by that lag, so that the rest of it stays real.
        lagging = 1 + 2j * self.carried.motion.sense * damping * NUMBERS * speed / self.critical
        still, count = self.body.give[:, : loads.shape[-2]] @ loads, loads.shape[-2]
        if speed.ndim > 2:
            return still[..., :count, :], self._summed(loads, lagging, speed)
        return still[:count], self._solved(still, lagging[0], speed[0, 0])[:count]

    def _solved(self, still: np.ndarray, lagging: np.ndarray, speed: np.ndarray) -> np.ndarray:
        system = np.zeros((len(NUMBERS), *self.body.give.shape), dtype=complex)
        np.multiply(-self.body.give, speed**2 * _moved(self.body)[:, None, :], out=system.real)
        np.einsum("nii->ni", system)[...] += lagging[:, None]
        return np.linalg.solve(system, still.T[..., None])[..., 0].T

    def _summed(self, loads: np.ndarray, lagging: np.ndarray, speed: np.ndarray) -> np.ndarray:
        own, shapes = self._modes
        some = shapes[:, : loads.shape[-2]]
        pushed = np.swapaxes(some, -1, -2) @ np.moveaxis(loads, -1, -2)[..., None]
        swung = pushed[..., 0] / (np.swapaxes(lagging, -1, -2) - speed**2 * own)
        return np.moveaxis((some @ swung[..., None])[..., 0], -2, -1)

    @cached_property
    def _modes(self) -> tuple[np.ndarray, np.ndarray]:
        """Eigenvalues, (rad/s)^-2, and shapes of every order, (orders, modes) and (orders, stations, modes).

        With the flexibility A = C C^T and u = C w, (c - W^2 A D) u = A f is (c - W^2 C^T D C) w = C^T f, which is
        symmetric: w = Q (c - W^2 L)^-1 Q^T C^T f, and C Q are the shapes.
        """
        root = self.body.root
        own, turned = np.linalg.eigh(root.T @ (_moved(self.body)[:, :, None] * root))
        return own, root @ turned


def _moved(body: Rotor) -> np.ndarray:
    """Return what the inertia of every station comes to at each order, per (rad/s)^2, (orders, stations)."""
    return NUMBERS[:, None] ** 2 * body.mass - NUMBERS[:, None] * body.spin


def swinging(carried: LoadedShafts, bodies: tuple[Rotor, Rotor] | None = None) -> list[ShaftOrders]:
    """Return the right and the left shaft with their loads order by order."""
    found = []
    for place, body in enumerate(bodies or rotors(carried)):
        steady, growing = _by_order(carried.cranks[place])
        found.append(ShaftOrders(carried, place, body, steady, growing, float(first_critical(body, 1))))
    return found


def vibrating(shafts: list[ShaftOrders], speed: Number, damping: float = DAMPING) -> Vibrating:
    """Return both shafts as they vibrate at a speed, rad/s, or at several, (speeds,); for a single design."""
    slow, quick = {}, {}
    for side, shaft in zip(HANDS, shafts, strict=True):
        still, answer = shaft.at(speed, damping)
        for row, name in enumerate(shaft.carried.cranks[shaft.place].stations.rods):
            slow[side, name], quick[side, name] = still[..., row, :], answer[..., row, :]
    return Vibrating(NUMBERS, slow, quick)


def _orders(values: np.ndarray) -> np.ndarray:
    """Return the complex amplitudes of the orders NUMBERS of courses, (..., angles)."""
    return values @ _transform(values.shape[-1])


@cache
def _transform(count: int) -> np.ndarray:
    """Return what a course over so many angles is multiplied with: sooner done for few orders than an FFT."""
    return np.exp(-2j * np.pi / count * np.outer(np.arange(count), NUMBERS)) / count


def _by_order(crank: LoadedCrank) -> tuple[np.ndarray, np.ndarray]:
    """Return the orders of w = y + i x of every load on a shaft at rest, N, and per (rad/s)^2, (loads, orders).

    Rods, turning masses, gear teeth; what these push apart is left out.
    """
    steady, growing = [], []
    for load in sorted(crank.loads, key=lambda each: ["rod", "turning mass", "teeth"].index(each.kind)
                       if each.kind in ("rod", "turning mass", "teeth") else 9):  # fmt: skip
        if load.kind == "turning mass":
            x, y = on_bench(*map(over_angle, load.turning), crank.theta, crank.sign)
            weight = load.mass * (crank.gravity[1] + 1j * crank.sign * crank.gravity[0]) + 0.0 * crank.theta
            steady.append(_orders(weight)), growing.append(_orders(y + 1j * crank.sign * x))
        elif load.force is not None and load.kind != "belt":
            for found, part in ((steady, "steady"), (growing, "inertia")):
                w = getattr(load.force.y, part) + 1j * crank.sign * np.asarray(getattr(load.force.x, part))
                found.append(_orders(w + 0.0 * crank.theta))
    return np.array(steady), np.array(growing)


def resonances(
    carried: LoadedShafts, up_to: Number, bodies: tuple[Rotor, Rotor] | None = None
) -> list[tuple[str, int, float]]:
    """Return (side, order, speed) of each order of the loads whose first critical speed, rad/s, lies in the range."""
    found = []
    for side, body in zip(HANDS, bodies or rotors(carried), strict=True):
        for order in [each for each in range(-ORDERS, ORDERS + 1) if each]:
            speed = float(first_critical(body, order))
            if speed <= float(up_to):
                found.append((side, order, speed))
    return found

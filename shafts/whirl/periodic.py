"""A linear system whose matrices return each turn: its critical speeds, and its steady vibration at any speed.

With z its freedoms, derivatives by crank angle, W the speed:

    K(theta) z + W C (z' - J z) + W^2 (M z'' - G z' + S z + sum of m g (g . z)'') = f(theta)

Harmonic balance by collocation: as many equally spaced angles as 2 H + 1 orders have coefficients, z' = D z with D
exact for each of them (Trefethen, Spectral Methods in MATLAB, chapter 3). The products with g are taken at twice as
many angles, so that no order of theirs passes for another. Without damping that is (K - W^2 B) z = f
with B symmetric and K definite, so that one eigenproblem K v = W^2 B v gives every critical speed of every order at
once; its vectors then give the answer at any speed, and damping couples those few that matter.

Some freedoms have no springs (turning as a whole): they follow from the others, W^2 alike in all their terms.
"""

from collections.abc import Sequence
from functools import cache, cached_property

import numpy as np

from balance.quantities import result

NEAR = 5.0
"""Critical speeds up to so many times the fastest speed are coupled by damping; those beyond answer by themselves."""

FAR = 0.5  # of 1 - (W/Wc)^2: beyond it a motion hardly heeds damping
TURNS, TIGHT = 30, 1e-12  # of the coupling by damping: how often at the most, and to which share of the forces
CLOSE = 0.02  # share by which critical speeds may differ to be counted as one


@result
class Along:
    """A mass m along a direction g(theta) at the `finer` angles of the system, (finer, n)."""

    mass: float
    way: np.ndarray


@result
class PeriodicSystem:
    """n freedoms at N angles, N odd; the last `free` of them have no springs.

    top : speed, rad/s, that decides which motions damping couples (see NEAR); all of them if left out.
    stiffness : K, (N, n, n).   damping, aside : C and J, (n, n).   mass, cross, spin : M, G, S, (n, n).
    """

    stiffness: np.ndarray
    damping: np.ndarray
    aside: np.ndarray
    mass: np.ndarray
    cross: np.ndarray
    spin: np.ndarray
    along: Sequence[Along] = ()
    free: int = 0
    top: float = np.inf

    @property
    def angles(self) -> int:
        """How many angles of a turn are looked at."""
        return self.stiffness.shape[0]

    @property
    def held(self) -> int:
        """How many freedoms have springs."""
        return self.stiffness.shape[1] - self.free

    @cached_property
    def first_frequency(self) -> float:
        """The lowest natural frequency at rest, rad/s, at the angle at which it is lowest; inf without springs."""
        held, every = self.held, 2 * np.arange(self.angles) + 1 if self.along else np.zeros(self.angles, dtype=int)
        if not held:
            return np.inf
        mass = self.mass + np.zeros_like(self.stiffness)
        for each in self.along:
            way = each.way[every]
            mass = mass + each.mass * way[:, :, None] * way[:, None, :]
        if self.free:
            across = np.linalg.solve(mass[:, held:, held:], mass[:, held:, :held])
            mass = mass[:, :held, :held] - mass[:, :held, held:] @ across
        inverse = np.linalg.eigvals(np.linalg.solve(self.stiffness[:, :held, :held], mass)).real
        return float(1 / np.sqrt(np.max(inverse)))

    def _whole(self) -> np.ndarray:
        """Return -B of all freedoms, (N, n, N, n): as large as anything here, and not kept."""
        once, twice = derivatives(self.angles)
        whole = np.kron(twice, self.mass)
        whole -= np.kron(once, self.cross)
        if self.along:
            fine, weight = finer(self.angles), self.angles / finer(self.angles)
            spread, rate = between(self.angles, fine).T, derivatives(fine)[0]
            ways = np.stack([each.way for each in self.along])[:, :, None, :]
            followed = rate @ (spread[:, :, None] * ways).reshape(len(ways), fine, -1)
            masses = np.array([each.mass * weight for each in self.along])[:, None, None]
            whole -= np.concatenate(masses * followed).T @ np.concatenate(followed)
        whole = whole.reshape(self.angles, len(self.mass), self.angles, -1)
        whole[np.arange(self.angles), :, np.arange(self.angles)] += self.spin
        return whole

    @property
    def _followed(self) -> tuple[np.ndarray, np.ndarray]:
        """What forces on the free freedoms do, and how these follow the held ones."""
        return self._solved[2:]

    @property
    def _parted(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """B of the held freedoms with the free ones following; what forces on these do; how these follow.

        The mean of a free freedom is anybody's choice and left out.
        """
        count, held = self.angles, self.held
        size = count * held
        whole = -self._whole()
        own = whole[:, :held, :, :held].reshape(size, size)
        if not self.free:
            return own, np.zeros((0, 0)), np.zeros((0, size))
        waves = _waves(count)
        among = np.einsum("ip,iajb,jq->apbq", waves, whole[:, held:, :, held:], waves, optimize=True)
        inverse = np.linalg.inv(among.reshape(self.free * waves.shape[1], -1))
        by_held = np.einsum("ip,iajb->apjb", waves, whole[:, held:, :, :held]).reshape(len(inverse), size)
        return own - by_held.T @ inverse @ by_held, inverse, by_held

    @property
    def _modes(self) -> tuple[np.ndarray, np.ndarray]:
        """1/W^2 of every critical speed, falling by size, and their shapes, (N held, modes), with v^T K v = 1."""
        return self._solved[:2]

    @cached_property
    def _solved(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """`_modes`, then `_followed`: both come of one work, whose matrix is large and not kept."""
        count, held = self.angles, self.held
        upper = np.linalg.cholesky(self.stiffness[:, :held, :held])
        loose = np.swapaxes(np.linalg.inv(upper), -1, -2)  # K^-1 = loose loose^T at each angle
        own, inverse, by_held = self._parted
        own = own.reshape(count, held, count, held)
        small = np.einsum("iba,ibjc,jcd->iajd", loose, own, loose, optimize=True).reshape(count * held, -1)
        values, vectors = np.linalg.eigh((small + small.T) / 2)
        order = np.argsort(-np.abs(values))
        values, vectors = values[order], vectors[:, order]
        shapes = (loose @ vectors.reshape(count, held, -1)).reshape(count * held, -1)
        return values, shapes, inverse, by_held

    @cached_property
    def critical_speeds(self) -> tuple[np.ndarray, np.ndarray]:
        """Every speed, rad/s, rising, at which it vibrates freely in time with the turn, and shapes, (n, N, held)."""
        values, shapes = self._modes
        real = self._rising
        return 1 / np.sqrt(values[real]), shapes[:, real].T.reshape(-1, self.angles, self.held)

    @cached_property
    def _rising(self) -> np.ndarray:
        """The numbers of the modes that have a critical speed, from the lowest speed up."""
        values = self._modes[0]
        real = np.flatnonzero(values > 1e-12 * np.abs(values[0]))
        return real[np.argsort(-values[real])]

    def slowed(self, which: np.ndarray) -> np.ndarray:
        """Return the damping of some critical motions per speed, each in its own scale, v^T K v = 1.

        which : of `critical_speeds`, as booleans.   A motion that runs round has a twin of the same speed, a quarter of
        its period behind, which its damping pushes: so all of nearly its speed are added up.
        """
        speeds = 1 / np.sqrt(self._modes[0][self._rising])
        real = self._rising[: np.searchsorted(speeds, np.max(speeds[which], initial=0.0) * (1 + CLOSE), side="right")]
        close = np.abs(speeds[: len(real), None] / speeds[: len(real)] - 1) < CLOSE
        among = self._damped(int(np.max(real, initial=-1)) + 1)[np.ix_(real, real)]
        return np.sqrt(np.sum(np.where(close, among, 0.0) ** 2, axis=-1))[which[: len(real)]]

    def _near(self, speed: float) -> int:
        """Return how many modes have their own critical speed near enough to a speed, of the first ones."""
        return int(np.sum(np.abs(self._modes[0]) * speed**2 > 1 / NEAR**2))

    def _damped(self, modes: int) -> np.ndarray:
        """Return the damping among the first modes, per speed, (modes, modes)."""
        if modes > len(self._damped_near):
            return self._damping_of(modes)
        return self._damped_near[:modes, :modes]

    @cached_property
    def _damped_near(self) -> np.ndarray:
        """The same among the modes that are near at the top speed: among all it is large, and not kept."""
        return self._damping_of(self._near(self.top))

    def _damping_of(self, modes: int) -> np.ndarray:
        shapes = self._modes[1][:, :modes]
        count, held = self.angles, self.held
        moved = shapes.reshape(count, held, modes)
        rate = (derivatives(count)[0] @ moved.reshape(count, -1)).reshape(moved.shape)
        rate -= self.aside[:held, :held] @ moved
        return shapes.T @ (self.damping[:held, :held] @ rate).reshape(count * held, modes)

    def followed(self, forces: np.ndarray) -> np.ndarray:
        """Return forces on the held freedoms, (..., N, held), with what those on the free ones, which follow, add."""
        count, held = self.angles, self.held
        if not self.free:
            return forces
        inverse, by_held = self._followed
        loose = np.einsum("ip,sia->sap", _waves(count), forces[:, :, held:]).reshape(len(forces), -1)
        return forces[:, :, :held] - (loose @ inverse.T @ by_held).reshape(len(forces), count, held)

    def answer(self, forces: np.ndarray, speeds: np.ndarray) -> np.ndarray:
        """Return the steady vibration z under forces of several speeds, both (speeds, N, n)."""
        count, held, squares = self.angles, self.held, np.asarray(speeds) ** 2
        acting = self.followed(forces).reshape(len(squares), -1)
        held_motions = self._by_modes(acting, np.asarray(speeds)).reshape(len(squares), count, held)
        if not self.free:
            return held_motions
        inverse, by_held = self._followed
        loose = np.einsum("ip,sia->sap", _waves(count), forces[:, :, held:]).reshape(len(squares), -1)
        # -W^2 (B_ff f + B_fh h) = forces on f
        still = np.where(squares > 0, squares, 1.0)[:, None]
        turned = -(loose / still + held_motions.reshape(len(squares), -1) @ by_held.T) @ inverse.T
        free = np.einsum("ip,sap->sia", _waves(count), turned.reshape(len(squares), self.free, -1))
        return np.concatenate([held_motions, free], axis=-1)

    def _by_modes(self, acting: np.ndarray, speeds: np.ndarray) -> np.ndarray:
        values, shapes = self._modes
        pushed = acting @ shapes
        squares = speeds[:, None] ** 2
        share = 1 - squares * values
        near = self._near(max(self.top, np.max(speeds, initial=0.0)))
        coordinates = pushed / np.where(np.abs(share) > 1e-12, share, 1e-12)
        if near and np.any(self.damping):
            # The damping of those beyond acts on them alone, and hardly.
            damped = self._damped(near)
            coordinates[:, :near] = _coupled(pushed[:, :near], share[:, :near], speeds[:, None], damped)
        return coordinates @ shapes.T


def _coupled(pushed: np.ndarray, share: np.ndarray, speeds: np.ndarray, damped: np.ndarray) -> np.ndarray:
    """Return the motions x with share x + W damped x = pushed, by speed and mode: (speeds, modes), W (speeds, 1).

    By turns: those near their own critical speed together, for whom damping decides, then all others each by itself
    (block Gauss-Seidel). At speeds where damping is too strong for that, all together.
    """
    order = np.argsort(np.abs(share), axis=1)[:, : max(1, int(np.max(np.sum(np.abs(share) < FAR, axis=1))))]
    whole = speeds[:, None] * damped[order[:, :, None], order[:, None, :]]
    whole[:, np.arange(order.shape[1]), np.arange(order.shape[1])] += np.take_along_axis(share, order, axis=1)
    inverse = np.linalg.inv(whole)
    alone = share.copy()
    np.put_along_axis(alone, order, np.inf, axis=1)
    motions, goal = pushed / alone, TIGHT * np.max(np.abs(pushed), axis=1)
    before = np.full(len(pushed), np.inf)
    for _ in range(TURNS):
        left = np.take_along_axis(pushed - share * motions - speeds * (motions @ damped.T), order, axis=1)
        moved = np.take_along_axis(motions, order, axis=1) + (inverse @ left[..., None])[..., 0]
        np.put_along_axis(motions, order, moved, axis=1)
        rest = pushed - share * motions - speeds * (motions @ damped.T)
        missed = np.max(np.abs(rest), axis=1)
        far = missed > goal
        if not np.any(far) or np.all(missed[far] > before[far]):
            break
        before, motions = missed, motions + rest / alone
    for n in np.flatnonzero(far):
        motions[n] = np.linalg.solve(speeds[n] * damped + np.diag(share[n]), pushed[n])
    return motions


@cache
def derivatives(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Return what differentiates courses at an odd number of equally spaced angles once and twice, (N, N)."""
    apart = np.arange(count)[:, None] - np.arange(count)
    once = np.where(apart == 0, 0.0, (-1.0) ** apart / (2 * np.sin(np.pi * apart / count + (apart == 0))))
    return once, once @ once


def finer(count: int) -> int:
    """Return at how many angles products of courses at so many angles are taken."""
    return 2 * count + 1


@cache
def between(count: int, wanted: int) -> np.ndarray:
    """Return what takes courses at equally spaced angles to others, by the orders both hold, (count, wanted)."""
    apart = 2 * np.pi * (np.arange(wanted) / wanted - np.arange(count)[:, None] / count)
    orders = np.arange(1, (min(count, wanted) + 1) // 2)
    return (1 + 2 * np.sum(np.cos(apart[..., None] * orders), axis=-1)) / count


def _waves(count: int) -> np.ndarray:
    """Return orders 1 and up as columns of unit length at so many angles, (N, N - 1)."""
    theta = 2 * np.pi / count * np.arange(count)
    orders = np.arange(1, count // 2 + 1)
    both = [np.cos(theta[:, None] * orders), np.sin(theta[:, None] * orders)]
    return np.concatenate(both, axis=1) * np.sqrt(2 / count)

"""Motion and crank torque of one yoke with its rods, derived by sympy from geometry and Lagrange's equations.

The geometry is stated as the machine's definition states it (a rod of fixed length between a crankpin on its
circle and a pivot on the yoke); everything else - the height, every derivative, the generalised
force on the crank - is sympy's own algebra. Kinetic and potential energy are those of rigid bodies.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
import sympy as sp
from sympy.physics.mechanics import LagrangesMethod, dynamicsymbols

from balance.machine.crank import Throw
from balance.machine.machine import Machine
from balance.machine.yoke import Rod, RodMasses, Yoke

R, PHASE, LENGTH, SPAN, DISTANCE, SIDE, OFFSET = sp.symbols("r a l b c s h", real=True)
GX, GY, MASS = sp.symbols("g_x g_y M", real=True)
RIGHT = sp.symbols("m_R d_R I_R", real=True)
LEFT = sp.symbols("m_L d_L I_L", real=True)
THETA = sp.Symbol("theta", real=True)
GEOMETRY = (THETA, R, PHASE, LENGTH, SPAN, DISTANCE, SIDE, OFFSET)
WEIGHTS = (GX, GY, MASS, *RIGHT, *LEFT)
CRANK = dynamicsymbols("q")


@dataclass(frozen=True)
class Placed:
    """One yoke at every crank angle: arrays (angles,), each with first and second derivative by crank angle."""

    height: tuple[np.ndarray, ...]
    across: tuple[np.ndarray, ...]
    along: tuple[np.ndarray, ...]
    angle: tuple[np.ndarray, ...]


def pin(angle: sp.Expr) -> tuple[sp.Expr, sp.Expr]:
    """Return the right-hand crankpin's place, from the middle between the shafts."""
    return DISTANCE / 2 + R * sp.sin(angle + PHASE), R * sp.cos(angle + PHASE)


def height(angle: sp.Expr, slotted: bool) -> sp.Expr:
    """Return the yoke's height: for rods, a root of the equation that keeps the rod's length."""
    x, y = pin(angle)
    if slotted:
        return y + OFFSET
    rise = sp.Symbol("rise")
    roots = sp.solve(sp.Eq((SPAN - x) ** 2 + rise**2, LENGTH**2), rise)
    root = next(each for each in roots if not each.could_extract_minus_sign())
    return y + SIDE * root


@cache
def _motion(slotted: bool):
    """Lambdified heights and unit vectors along the rod (pin to pivot), and their two derivatives."""
    x, y = pin(THETA)
    top = height(THETA, slotted)
    curves = [top, (SPAN - x) / LENGTH, (top - y) / LENGTH]
    ladder = [[sp.diff(curve, THETA, n) for n in range(3)] for curve in curves]
    return sp.lambdify(GEOMETRY, ladder, cse=True)


def placed(machine: Machine, yoke: Yoke, theta: np.ndarray) -> Placed:
    """Return the motion of a yoke and its right-hand rod at crank angles theta, rad."""
    top, across, along = _motion(yoke.slot is not None)(theta, *numbers(machine, yoke))
    (u, du, ddu), (v, dv, ddv) = across, along
    angle = (np.arctan2(v, u), u * dv - v * du, u * ddv - v * ddu)
    return Placed(tuple(top), tuple(across), tuple(along), angle)


def numbers(machine: Machine, yoke: Yoke) -> tuple[float, ...]:
    """Return the values of GEOMETRY after theta."""
    throw: Throw = machine.cranks.throws[yoke.throw]
    length = 1.0 if yoke.rod is None else yoke.rod.length
    offset = 0.0 if yoke.slot is None else yoke.slot.offset
    side = 1.0 if yoke.side == "above" else -1.0
    return throw.radius, throw.phase, length, yoke.half_span, machine.cranks.centre_distance, side, offset


def rods(yoke: Yoke) -> tuple[Rod | RodMasses, Rod | RodMasses]:
    """Return the rods' masses, right and left; a slot has none."""
    right = yoke.rod or RodMasses(mass=0.0, cg=0.0)
    left = right.left if isinstance(right, Rod) and right.left is not None else right
    return right, left


def needed_torque(lagrangian: sp.Expr, spin: sp.Expr) -> sp.Expr:
    """Return the torque that keeps the crank at constant speed `spin`, by Lagrange's equation, over THETA."""
    needed = LagrangesMethod(lagrangian, [CRANK]).form_lagranges_equations()[0]
    return needed.subs(CRANK.diff("t", 2), 0).subs(CRANK.diff("t"), spin).subs(CRANK, THETA)


@cache
def _torque(slotted: bool):
    """Lambdified torque of yoke and rods on both cranks: per newton of gas push, of gravity, per omega^2."""
    x, y = pin(CRANK)
    top = height(CRANK, slotted)
    kinetic = MASS * top.diff("t") ** 2 / 2
    potential = -MASS * GY * top
    for hand, (mass, share, inertia) in ((1, RIGHT), (-1, LEFT)):
        u, v = (SPAN - x) / LENGTH, (top - y) / LENGTH
        centre = (x + share * u, y + share * v)
        turn = u * v.diff("t") - v * u.diff("t")
        kinetic += mass * sum(each.diff("t") ** 2 for each in centre) / 2 + inertia * turn**2 / 2
        potential -= mass * (hand * GX * centre[0] + GY * centre[1])
    spin = sp.Symbol("omega")
    steady = needed_torque(kinetic - potential, spin)
    gravity = steady.subs(spin, 0)
    parts = [sp.diff(top.subs(CRANK, THETA), THETA), -gravity, -(steady.subs(spin, 1) - gravity)]
    return sp.lambdify((*GEOMETRY, *WEIGHTS), parts, cse=True)


def crank_torque(machine: Machine, yoke: Yoke, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return the torque of one yoke and its rods on both cranks, N m, in the sense of turning.

    Three arrays (angles,): per newton of push on the yoke along y, of gravity, and per (rad/s)^2.
    """
    masses = [value for each in rods(yoke) for value in (each.mass, each.cg, each.inertia)]
    weights = (machine.gravity.x, machine.gravity.y, sum(part.mass for part in yoke.parts.values()), *masses)
    return tuple(
        np.broadcast_to(each, theta.shape)
        for each in _torque(yoke.slot is not None)(theta, *numbers(machine, yoke), *weights)
    )


@cache
def _weight_torque(hand: int):
    """Lambdified torque of a mass turning with the right (hand = 1) or left (-1) crank."""
    mass, x, y, spin = sp.symbols("m x y omega", real=True)
    place = (hand * (x * sp.cos(CRANK) + y * sp.sin(CRANK)), y * sp.cos(CRANK) - x * sp.sin(CRANK))
    kinetic = mass * sum(each.diff("t") ** 2 for each in place) / 2
    needed = sp.simplify(needed_torque(kinetic + mass * (GX * place[0] + GY * place[1]), spin))
    assert not needed.has(spin)  # a mass on a circle needs no torque to keep its speed
    return sp.lambdify((THETA, mass, x, y, GX, GY), -needed, cse=True)


def weight_torque(machine: Machine, mass: float, cg: tuple[float, float], hand: int, theta: np.ndarray) -> np.ndarray:
    """Return the torque of the weight of a turning mass on its crank, N m, in the sense of turning."""
    return _weight_torque(hand)(theta, mass, *cg, machine.gravity.x, machine.gravity.y)

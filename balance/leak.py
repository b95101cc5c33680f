"""How much gas slips past a piston through the play in its bore, against what the piston sweeps.

Between piston and bore stands a thin ring of height h = play/2. Laminar flow through it is that between parallel
plates, Q = pi D h^3 dp / (12 mu L) for a piston in the middle, and 1 + 1.5 e^2 = 2.5 times that for one that touches
its bore (Hagen and Poiseuille's law for slots and eccentric rings; White, Viscous Fluid Flow, from memory, check
against the book). Where the slot is wide or short, the gas cannot go faster than its pressure makes it,
sqrt(2 dp / rho): the lesser of both is taken. What the piston's speed drags along averages out over a turn.
"""

import numpy as np

from balance.gas import GasState, circle
from balance.machine.carried import Piston
from balance.machine.machine import IsothermalGas, Machine
from balance.many import refuse_many
from balance.quantities import Scalar

AGAINST_THE_BORE = 2.5  # times the laminar flow past a piston in the middle
GAS_CONSTANT = 287.05  # J/(kg K), air


def air_viscosity(temperature: Scalar) -> np.ndarray:
    """Return the dynamic viscosity of air, Pa s, at a temperature, K: Sutherland's law (1.716e-5 at 273.15, 110.4)."""
    ratio = np.asarray(temperature, dtype=float) / 273.15
    return 1.716e-5 * ratio**1.5 * (273.15 + 110.4) / (np.asarray(temperature) + 110.4)


def past_piston(
    piston: Piston, pressure: np.ndarray, outside: float, temperature: float, bore: float | None = None
) -> np.ndarray | None:
    """Return the volume flow past a piston over the cycle, m^3/s, (angles,), positive out of the cylinder.

    pressure : in the cylinder, Pa, (angles,).   outside : behind the piston, Pa.   temperature : of the gas there, K.
    bore : of the cylinder, m; as the piston says if left out.
    None for a piston without a diameter or length of its own.
    """
    if piston.diameter is None or piston.length is None:
        return None
    bore = float(piston.bore) if bore is None else bore
    height = max(bore - float(piston.diameter), 0.0) / 2
    ring = np.pi * bore * height
    difference = pressure - outside
    density = np.maximum(pressure, outside) / (GAS_CONSTANT * temperature)
    slot = height**2 / (12 * air_viscosity(temperature) * float(piston.length)) * AGAINST_THE_BORE
    fastest = np.sqrt(2 * np.abs(difference) / density)
    return ring * np.sign(difference) * np.minimum(slot * np.abs(difference), fastest)


def leak_share(flow: np.ndarray, swept: float, speed: float) -> float:
    """Return what leaves the cylinder in a turn by a flow, m^3/s, (angles,), at a speed, rad/s, over what is swept."""
    return float(np.mean(np.maximum(flow, 0.0))) * 2 * np.pi / speed / swept


def leak_shares(machine: Machine, gas: GasState, strokes: dict[str, float]) -> dict[str, float]:
    """Return the same of every piston of known size at rated speed, by its yoke's name; for a single design.

    strokes : m, by name.   It runs in the widest bore that is given of it.
    """
    refuse_many(machine, "the leak past its pistons")
    shares: dict[str, float] = {}
    if gas.pressure is None or not isinstance(machine.gas, IsothermalGas):
        return shares
    for name, yoke in machine.yokes.items():
        if not isinstance(yoke.carries, Piston):
            continue
        outside, bore = float(machine.gas.case_pressure), widest_bore(machine, yoke.carries)
        flow = past_piston(yoke.carries, gas.pressure, outside, float(machine.gas.cold), bore)
        if flow is not None:
            swept = circle(yoke.carries.bore) * strokes[name]
            shares[name] = leak_share(flow, float(swept), float(machine.speed.rated))
    return shares


def widest_bore(machine: Machine, piston: Piston) -> float:
    """Return the widest bore that is given of the one in which a piston runs, m: its own, or the cylinder's."""
    return max(float(each.bore) for each in (piston, machine.cylinder) if each is not None)

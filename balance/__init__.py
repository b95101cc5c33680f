"""How the machine moves and shakes: kinematics, loads, shaking forces and counterweights.

A design here is a `balance.machine.machine.Machine`: SI, radians, any number of which may be an array (options,).
An engine whose rods hang straight down moves its yoke by twice the throw:

    >>> from balance.machine.crank import Cranks, Throw
    >>> from balance.machine.machine import Machine, SpeedRange
    >>> from balance.machine.yoke import Rod, Yoke
    >>> from balance.motion import crank_angles, move, stroke
    >>> rod = Rod(length=60e-3, mass=9e-3, cg=25e-3, inertia=3e-6)
    >>> machine = Machine(
    ...     speed=SpeedRange(least=50.0, rated=100.0, most=150.0),  # rad/s
    ...     cranks=Cranks(centre_distance=40e-3, throws={"outer": Throw(radius=9e-3, phase=0.0, at=0.0)}),
    ...     yokes={"piston": Yoke(throw="outer", half_span=20e-3, rod=rod, parts={"piston": 40e-3})},
    ... )
    >>> motion = move(machine, crank_angles(360))
    >>> round(float(stroke(machine, "piston", motion).length) * 1e3, 6)  # mm
    18.0
"""

from importlib import import_module
from types import ModuleType

__all__ = [
    "bodies", "case", "cycle", "cylinder", "doubt", "errors", "evidence", "flywheel", "gas", "joints", "leak",
    "machine", "many", "masses", "members", "motion", "obstacles", "options", "outlines", "plates", "quality",
    "quantities", "sensitivity", "shaking", "speed_swing", "stop", "torque", "turning", "values", "weights",
]  # fmt: skip
__version__ = "0.1.0"


def __getattr__(name: str) -> ModuleType:
    """Import a module as soon as it is asked for: `import balance` by itself costs nothing."""
    if name not in __all__:
        raise AttributeError(f"balance has no {name}; it has {', '.join(__all__)}")
    return import_module(f"{__name__}.{name}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})

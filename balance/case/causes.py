"""What shakes the case: its loads one cause at a time."""

from dataclasses import replace

import numpy as np

from balance.case.loads import CaseLoads
from balance.cycle.load import Load
from balance.shaking import Shaking

CAUSES = ("shaking force", "couples of the moving parts", "torque ripple")


def alone(loads: CaseLoads) -> dict[str, CaseLoads]:
    """Return the loads on the case by cause; together they are all of them.

    The shaking force acts between the shafts, with its lever about the mass centre. Torque ripple is what the couple
    about z has beyond that of the moving parts: the reaction to what flywheel and load take up and give back.
    """
    shaken = loads.shaking
    still = np.zeros_like(shaken.y)
    nothing = Load(inertia=still)
    forces = Shaking(shaken.x, shaken.y, still, still, still)
    couples = Shaking(still, still, shaken.pitch, shaken.yaw, shaken.roll)
    ripple = loads.roll + Load(inertia=-shaken.roll)
    causes = (
        replace(loads, shaking=forces, roll=nothing),
        replace(loads, shaking=couples, roll=Load(inertia=shaken.roll)),
        replace(loads, shaking=Shaking(still, still, still, still, still), roll=ripple),
    )
    return dict(zip(CAUSES, causes, strict=True))


def has_couples(loads: CaseLoads, share: float = 1e-9) -> np.ndarray:
    """Return whether anything could rock the case, beside rounding, (options...)."""
    shaken = loads.shaking
    scale = np.max(np.abs(shaken.y), axis=-1) + np.max(np.abs(shaken.x), axis=-1)
    parts = (shaken.pitch, shaken.yaw, loads.roll.inertia, loads.roll.steady)
    sizes = [np.max(np.abs(np.atleast_1d(part)), axis=-1) for part in parts]
    return np.max(np.stack(np.broadcast_arrays(*sizes)), axis=0) > share * np.maximum(scale, 1e-12)

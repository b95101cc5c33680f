"""How the shafts bend and carry: deflection, bearing loads and clearance between the moving parts.

Stands on `balance`: a design here is a `shafts.engine.Engine`, a machine with its shafts. Laws serve alone, too. A ball
bearing that carries a tenth of its dynamic rating reaches a thousand million turns, ISO 281's cube law:

    >>> from shafts.bearings.ratings import life_revolutions
    >>> round(float(life_revolutions(4000.0, 400.0)) / 1e6)
    1000
"""

from importlib import import_module
from types import ModuleType

import balance

__all__ = [
    "along", "bearing_duty", "bearings", "bent_line", "clearance", "crank", "engine", "evidence", "gap", "iso_286",
    "knock", "loaded_shafts", "peaks", "pieces", "reversals", "screwed", "shaft", "strength", "web_plates", "weighing",
    "weights_beside", "whirl",
]  # fmt: skip
__version__ = balance.__version__


def __getattr__(name: str) -> ModuleType:
    """Import a module as soon as it is asked for."""
    if name not in __all__:
        raise AttributeError(f"shafts has no {name}; it has {', '.join(__all__)}")
    return import_module(f"{__name__}.{name}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})

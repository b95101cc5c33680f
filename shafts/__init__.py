"""How the shafts bend and carry: deflection, bearing loads and clearance between the moving parts.

Stands on `balance`: a design here is a `shafts.engine.Engine`, a machine with its shafts. Laws serve alone, too. A ball
bearing that carries a tenth of its dynamic rating reaches a thousand million turns, ISO 281's cube law:

    >>> from shafts.bearings.ratings import life_revolutions
    >>> round(float(life_revolutions(4000.0, 400.0)) / 1e6)
    1000
"""

import balance

__all__ = [
    "along", "bearing_duty", "bearings", "clearance", "crank", "engine", "evidence", "gap", "knock", "loaded_shafts",
    "peaks", "shaft", "strength", "whirl",
]  # fmt: skip
__version__ = balance.__version__

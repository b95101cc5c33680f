"""Recommended least backlash: ISO/TR 10064-2:1996 (from memory; its table is its formula rounded up)."""

import pytest

from balance.machine.crank import Gears
from shafts.strength.teeth import least_backlash


@pytest.mark.parametrize(
    ("module", "distance", "tabled"),
    [
        (1.5, 50, 0.09),
        (2, 50, 0.10),
        (2, 100, 0.12),
        (2, 200, 0.15),
        (3, 50, 0.12),
        (3, 100, 0.14),
        (3, 200, 0.17),
        (3, 400, 0.24),
        (5, 100, 0.18),
        (5, 200, 0.21),
        (5, 400, 0.28),
    ],
)
def test_table(module, distance, tabled):
    """Teeth are whole: shafts a module nearer than the table's ask for 0.001 mm less at most."""
    gears = Gears(module=module * 1e-3, teeth=int(distance / module), at=0.0)
    found = float(least_backlash(gears)) * 1e3
    assert tabled - 0.0111 < found <= tabled

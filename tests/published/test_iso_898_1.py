"""ISO 898-1: stress areas (table 4) and proof loads (table 5) of screws with coarse thread; recalled."""

import pytest

from balance.weights.counterweights import Screws
from balance.weights.retention import bears, hold, stress_area

AREAS = {"M3": 5.03, "M4": 8.78, "M5": 14.2, "M6": 20.1, "M8": 36.6, "M10": 58.0, "M12": 84.3}  # mm^2
PROOF_LOADS = {  # N
    ("M3", "8.8"): 2920,
    ("M4", "8.8"): 5100,
    ("M5", "8.8"): 8230,
    ("M6", "8.8"): 11600,
    ("M8", "8.8"): 21200,
    ("M10", "10.9"): 48100,
    ("M6", "12.9"): 19500,
    ("M4", "4.6"): 1980,
}


@pytest.mark.parametrize("size", AREAS)
def test_stress_area(size):
    """The table has three digits."""
    assert stress_area(size) * 1e6 == pytest.approx(AREAS[size], rel=0.002)


@pytest.mark.parametrize(("size", "strength"), PROOF_LOADS)
def test_proof_load(size, strength):
    """The table has three digits, cut rather than rounded at M6: 20.1 x 580 = 11658."""
    screws = Screws(size=size, property_class=strength, arrangement="tension")
    assert bears(screws) == pytest.approx(PROOF_LOADS[size, strength], rel=0.007)


def test_shear_is_that_of_the_yield_stress_by_distortion_energy():
    """M4 of class 8.8: 0.577 x 640 MPa x 8.78 mm^2 = 3.24 kN."""
    assert bears(Screws(size="M4")) == pytest.approx(0.577 * 640 * 8.78, rel=0.001)


def test_safety_is_all_screws_over_the_pull():
    """100 g at 20 mm and 3000 rpm pull with m r w^2 = 197.4 N; two M3 of class 8.8 in tension bear 2 x 2920 N."""
    found = hold(Screws(size="M3", arrangement="tension"), 0.1 * 0.020, 314.159)
    assert found.pull == pytest.approx(197.4, abs=0.05)
    assert found.safety == pytest.approx(2 * 2920 / 197.4, rel=0.002)
    assert found.needed(60.0) == 5  # 60 x 197.4 / 2920 = 4.06

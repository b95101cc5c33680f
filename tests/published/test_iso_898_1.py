"""ISO 898-1: stress areas (table 4) and proof loads (table 5) of screws with coarse thread; from memory."""

from dataclasses import replace

import numpy as np
import pytest

from balance.machine.counterweights import Screws
from balance.machine.threads import THREADS, stress_area
from balance.weights.retention import hold, screw_capacity

AREAS = {
    "M2": 2.07,
    "M2.5": 3.39,
    "M3": 5.03,
    "M4": 8.78,
    "M5": 14.2,
    "M6": 20.1,
    "M8": 36.6,
    "M10": 58.0,
    "M12": 84.3,
}  # mm^2
PROOF_LOADS = {  # N
    ("M3", "8.8"): 2920,
    ("M4", "8.8"): 5100,
    ("M5", "8.8"): 8230,
    ("M6", "8.8"): 11600,
    ("M8", "8.8"): 21200,
    ("M10", "10.9"): 48100,
    ("M6", "12.9"): 19500,
    ("M4", "4.6"): 1980,
    ("M6", "4.6"): 4520,
    ("M6", "4.8"): 6230,
    ("M6", "5.6"): 5630,
    ("M6", "5.8"): 7640,
    ("M6", "6.8"): 8840,
    ("M6", "9.8"): 13100,
    ("M6", "10.9"): 16700,
}
YIELDS = {  # MPa, the least; table 3
    "4.6": 240, "4.8": 340, "5.6": 300, "5.8": 420, "6.8": 480, "8.8": 640, "9.8": 720, "10.9": 940, "12.9": 1100,
}  # fmt: skip


@pytest.mark.parametrize("size", AREAS)
def test_stress_area(size):
    """The table has three digits."""
    assert stress_area(size) * 1e6 == pytest.approx(AREAS[size], rel=0.002)


@pytest.mark.parametrize(("size", "strength"), PROOF_LOADS)
def test_proof_load(size, strength):
    """The table has three digits, cut rather than rounded at M6: 20.1 x 580 = 11658."""
    screws = Screws(size=size, property_class=strength, arrangement="tension")
    assert screw_capacity(screws) == pytest.approx(PROOF_LOADS[size, strength], rel=0.007)


def test_shear_is_that_of_the_yield_stress_by_distortion_energy():
    """M4 of class 8.8: 0.577 x 640 MPa x 8.78 mm^2 = 3.24 kN."""
    assert screw_capacity(Screws(size="M4")) == pytest.approx(0.577 * 640 * 8.78, rel=0.001)


@pytest.mark.parametrize("strength", YIELDS)
def test_yield_stress_of_every_class(strength):
    """The two numbers of a class multiply to a tenth of its nominal yield stress, which the least one reaches."""
    alone = screw_capacity(Screws(size="M6", property_class=strength, arrangement="shear"))
    assert alone == pytest.approx(YIELDS[strength] * 20.1 / 3**0.5, rel=0.002)
    first, second = strength.split(".")
    nominal = 10 * int(first) * int(second)
    assert nominal <= YIELDS[strength] < 1.07 * nominal


@pytest.mark.parametrize(("number", "safety"), [(2, 3.0), (4, 1.5)])
def test_the_smallest_size_that_holds(number, safety):
    """Two of class 8.8 in tension against 3000 N with a safety of 3 bear 4500 N each: M4 has 5100 N, M3 2920 N."""
    screws = Screws(size="M10", number=number, arrangement="tension")
    load = 9000 * number / 2 / safety
    safeties = {size: float(screw_capacity(replace(screws, size=size))) * number / load for size in THREADS}
    assert next(size for size, has in safeties.items() if has >= safety) == "M4"


def test_as_many_screws_as_the_safety_asks_and_none_more():
    found = hold(Screws(size="M3", arrangement="tension", number=3), np.array([0.0, 2e-3]), 300.0)
    assert found.safety[0] == np.inf
    just = float(found.safety[1])
    assert found.needed(just)[1] == 3
    assert found.needed(just * 1.001)[1] == 4
    assert found.needed(just / 3)[1] == 1


def test_safety_is_all_screws_over_the_pull():
    """100 g at 20 mm and 3000 rpm pull with m r w^2 = 197.4 N; two M3 of class 8.8 in tension bear 2 x 2920 N."""
    found = hold(Screws(size="M3", arrangement="tension"), 0.1 * 0.020, 314.159)
    assert found.pull == pytest.approx(197.4, abs=0.05)
    assert found.safety == pytest.approx(2 * 2920 / 197.4, rel=0.002)
    assert found.needed(60.0) == 5  # 60 x 197.4 / 2920 = 4.06

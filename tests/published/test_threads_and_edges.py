"""Threads and plate edges of a counterweight's screws.

Stress area: Jindal, Machine Design, example 9-1 (p. 266): M16 x 2 156.7 mm^2, M16 x 1.5 167.2 mm^2.
Thread stripping: the handbooks' areas after FED-STD-H28, and the plate's edge torn out along two lines: from memory,
check against the standard; the numbers were worked out apart from this code.
"""

import numpy as np
import pytest

from balance.machine.counterweights import Screws
from balance.machine.materials import MATERIALS
from balance.plates.plate import Plate
from balance.plates.sector import Sector
from balance.weights.retention import (
    THREADS,
    edge_capacity,
    hold,
    holds_tightening,
    screw_capacity,
    stress_area,
    thread_areas,
    thread_capacity,
)
from shafts.strength.grips import NUT_FACTOR


@pytest.mark.parametrize(("pitch", "area"), [(2.0, 156.7), (1.5, 167.2)])
def test_stress_area_of_m16(pitch, area, monkeypatch):
    monkeypatch.setitem(THREADS, "M16", (16.0, pitch))
    assert stress_area("M16") * 1e6 == pytest.approx(area, abs=0.05)


def test_areas_over_which_m5_strips():
    """M5 x 0.8, 8 mm long, basic sizes: 109.99 mm^2 in what it goes into, 77.89 mm^2 in the screw.

    Worked out with pitch diameters rounded to a micrometre, which takes 0.03 mm^2.
    """
    nut, bolt = thread_areas("M5", 0.008)
    assert nut * 1e6 == pytest.approx(109.99, abs=0.05)
    assert bolt * 1e6 == pytest.approx(77.89, abs=0.05)


def test_the_weaker_of_both_threads_strips():
    """In aluminium of 276 MPa the nut's thread: 0.577 x 276 x 109.99; in steel of 1200 MPa the screw's own."""
    screws = Screws(size="M5", engagement=0.008, arrangement="tension")
    assert thread_capacity(screws, 276e6) == pytest.approx(276 * 109.99 / 3**0.5, rel=5e-4)
    assert thread_capacity(screws, 1200e6) == pytest.approx(640 * 77.89 / 3**0.5, rel=5e-4)


def test_a_thread_too_short_to_be_tightened_counts_in_proportion_in_shear():
    short = Screws(size="M5", engagement=0.001)
    strips = 276 * 109.99 / 8 / 3**0.5
    expected = screw_capacity(short) * strips / (0.75 * 580 * stress_area("M5") * 1e6)
    assert thread_capacity(short, 276e6) == pytest.approx(expected, rel=5e-4)


def test_a_screw_cannot_be_tightened_in_too_little_thread():
    """One millimetre of aluminium strips at an eighth of 0.577 x 276 x 109.99 N; tight is 0.75 x 580 x 14.2 N."""
    short = Screws(size="M5", engagement=0.001)
    assert holds_tightening(short, 276e6) == pytest.approx(276 * 109.99 / 8 / 3**0.5 / (0.75 * 580 * 14.18), rel=2e-3)


def test_a_plates_edge_tears_along_two_lines():
    """2 tau t (e - d/2): a hole of 4 mm whose centre stands 5 mm inside the rim of a plate 6 mm thick, tau 100 MPa."""
    plate = Plate(Sector(0.005, 0.025, np.pi / 2), 0.006, 7850.0, ((0.0, 0.020, 0.004),))
    assert edge_capacity(plate, 100e6 * 3**0.5) == pytest.approx(2 * 100 * 6 * 3, rel=1e-9)


def test_a_hold_says_what_it_looked_at():
    plate = Plate(Sector(0.005, 0.025, np.pi / 2), 0.006, 7850.0, ((0.0, 0.020, 0.004),))
    both = MATERIALS["steel"], MATERIALS["aluminium"]
    bare = hold(Screws(size="M4"), 1e-4, 200.0)
    assert set(bare.capacities) == {"screws"}
    assert bare.unknown == ("counterweights.screws.engagement", "counterweights.shape.bolts")
    full = hold(Screws(size="M4", engagement=0.0005), 1e-4, 200.0, plate, both)
    assert full.unknown == ()
    assert set(full.capacities) == {"screws", "threads", "plate edge"}
    assert full.weakest == "threads"
    assert full.safety == pytest.approx(2 * float(full.capacities["threads"]) / (1e-4 * 200.0**2))
    thin = hold(Screws(size="M4", engagement=0.006), 1e-4, 200.0, Plate(plate.edge, 1e-4, 7850.0, plate.holes), both)
    assert thin.weakest == "plate edge"
    radial = hold(Screws(size="M4", engagement=0.006, arrangement="tension"), 1e-4, 200.0, None, both)
    assert radial.unknown == ()


def test_what_a_screw_is_taken_to_clamp_with_lies_below_a_dry_one() -> None:
    """Jindal, example 9-3 (p. 267): M18 x 2.5, friction 0.15 and 0.13: T = 0.18343 F d. More is taken."""
    assert 0.18343 < NUT_FACTOR < 1.5 * 0.18343

"""Endurance with its factors: Sadhu Singh, Machine Design I, example 4.3 (p. 105)."""

from dataclasses import replace

import numpy as np

from balance.machine.materials import MATERIALS
from shafts.strength.endurance import specimen_limit


def test_endurance_limit_under_a_notch():
    """S_ut 440 MPa, 0.82 x 0.85 x 0.868 x 0.577, K_t 1.8 felt by 0.86: 45.50 MPa."""
    steel = replace(MATERIALS["steel"], tensile_strength=440e6)
    found = specimen_limit(steel) * 0.82 * 0.85 * 0.868 * 0.577 / (1 + 0.86 * (1.8 - 1))
    np.testing.assert_allclose(found / 1e6, 45.50, rtol=1e-4)

"""Decay of a tapped body: Thomson, Theory of Vibration with Applications, example 2.8-1 (from memory).

10 lb on a spring of 30 lb/in with 0.12 lb s/in: damping ratio 0.0681, decrement 0.429, ratio of peaks 1.54.
"""

import numpy as np
import pytest

from balance.evidence.estimate import Estimate
from balance.evidence.tapped import damping_ratio, decrement


def test_example_2_8_1():
    critical = 2 * np.sqrt(30.0 * 10.0 / 386.0)  # lb s/in
    ratio = 0.12 / critical
    assert ratio == pytest.approx(0.0681, abs=5e-5)
    fall = 2 * np.pi * ratio / np.sqrt(1 - ratio**2)
    assert fall == pytest.approx(0.429, abs=5e-4)
    assert np.exp(fall) == pytest.approx(1.54, abs=0.005)
    peaks = np.exp(-fall * np.arange(5))
    assert decrement(peaks).value == pytest.approx(0.429, abs=5e-4)
    assert damping_ratio(Estimate(0.429)).value == pytest.approx(0.0681, abs=5e-5)

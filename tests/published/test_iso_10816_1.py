"""ISO 10816-1:1995, annex B, class I: zones of vibration severity, mm/s rms (from memory; C to D is doubtful)."""

import pytest

from balance.case.isolation import zone
from designs.design import Limits


@pytest.mark.parametrize(
    ("velocity", "name"),
    [(0.5, "A"), (0.71, "A"), (0.72, "B"), (1.8, "B"), (1.81, "C"), (4.5, "C"), (4.51, "D"), (100.0, "D")],
)
def test_zones_of_small_machines(velocity: float, name: str) -> None:
    assert zone(velocity / 1000) == name


def test_a_case_may_vibrate_as_far_as_zone_b_ends() -> None:
    assert zone(Limits().vibration) == "B"
    assert zone(Limits().vibration * 1.001) == "C"

"""What is said of parts that meet, by hand from the rebuilt engine: its left shaft ends at 83 mm, wheels are 18 mm."""

from dataclasses import replace
from pathlib import Path

import pytest

from designs.evaluate import Evaluation
from designs.reading import read
from designs.verdict.clearances import rows

REBUILT = Path(__file__).parents[2] / "designs" / "redesign.yaml"
MM = 1e-3


@pytest.mark.parametrize(("at", "value", "words"), [
    (92.02, -0.13, "once their float along the shafts is taken up"),  # 0.02 mm off it, of 0.15 mm of float
    (91.9, -0.25, "on the drawing already"),
])  # fmt: skip
def test_parts_that_only_float_into_each_other_are_apart_on_the_drawing(at: float, value: float, words: str) -> None:
    built = read(REBUILT)
    wheel = replace(built.flywheel, on="right", left_at=None, diameter=120 * MM, at=at * MM)
    (row,) = (row for row in rows(Evaluation(replace(built, flywheel=wheel))) if row.key == "clearance_wheels")
    assert row.what == f"clearance between right flywheel and left shaft, which run into each other {words}"
    assert row.value == pytest.approx(value * MM)

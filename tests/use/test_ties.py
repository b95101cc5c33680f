"""What lies exactly on a limit is decided alike in every unit, and said in words."""

import re

import pytest

from designs.command.inputs import SHIPPED
from designs.evaluate import evaluate_finely
from designs.reading import read_text
from designs.verdict import verdict_of
from designs.verdict.row import Row

TEXT = (SHIPPED / "redesign.yaml").read_text("utf-8")
INCH = 25.4


def row(text: str) -> Row:
    return next(each for each in verdict_of(evaluate_finely(read_text(text))) if each.key == "counterweight_own")


def in_inches(text: str) -> str:
    def turned(found: re.Match) -> str:
        return f"{float(found[1]) / INCH!r} in"

    return re.sub(r"(-?\d+\.?\d*) mm\b(?!\^)", turned, text)


@pytest.mark.parametrize("written", [str, in_inches])
def test_a_shared_face_is_touching_in_any_unit(written) -> None:
    """A counterweight whose face lies in that of a rod it sweeps over: rods of 4 mm at -39 mm, a plate of 10 mm."""
    exact = TEXT.replace("  guide_play: 0.03 mm\n", "  guide_play: 0.03 mm\n  axial_play: exactly 0 mm\n")
    assert exact.count("-47 mm]") == exact.count("axial_play") == 1
    shared = row(written(exact.replace("-47 mm]", "-46 mm]")))
    assert shared.state == "FAIL"
    assert "right counterweight 2 and right rod of displacer" in shared.what
    apart = row(written(exact))
    assert apart.state == "pass"

"""How a doubtful number is told: in the workshop's unit, to as many digits as its range is worth, on the safe side."""

import pytest

from balance.doubt.ranges import Range
from designs.doubt.words import depends_on, known_of, measure_of, shown, turn_words
from designs.verdict.row import Doubt, Turn

SEAT = Range("even in ratio", 5e6, 40e6, 120e6, "N/m", False, "why", "support stiffness", "hang a weight", "seats")
FACE = Range("cut normal", -8e-5, 0.0, 8e-5, "m", True, "its making tolerance")
ROD = Range("normal", 0.06455, 0.0646, 0.06465, "m", True, "64.6 mm +- 0.05 mm")
HOT = Range("even", 523.15, 673.15, 823.15, "K", False, "why")


@pytest.mark.parametrize(
    ("range_", "words"),
    [
        (SEAT, "taken 5 to 120 N/µm"),
        (FACE, "given \N{MINUS SIGN}80 to 80 µm"),
        (ROD, "given 64.550 to 64.650 mm"),
        (HOT, "taken 250 to 550 degC"),
    ],
)
def test_ranges_in_words(range_: Range, words: str) -> None:
    assert known_of(range_) == words


@pytest.mark.parametrize(
    ("side", "value", "words"),
    [("above", 14.02e6, "15"), ("below", 14.02e6, "14"), ("above", 14.0e6, "14"), ("above", 7.31e6, "7.4")],
)
def test_a_turning_point_is_rounded_to_where_the_limit_holds(side: str, value: float, words: str) -> None:
    assert shown(SEAT, value, side) == words


def test_a_turn_is_told_with_what_is_known() -> None:
    turn = Turn("support stiffness", SEAT, 0.8, 14e6, "above")
    assert turn_words(turn) == "support stiffness: holds above 14 N/µm (taken 5 to 120 N/µm)"
    other = Turn("rod length", ROD, 0.1, None, None)
    doubt = Doubt(512, 0.83, 0.80, 0.86, 0.95, (0.0, 1.0), None, (turn, other))
    assert depends_on(doubt) == (
        "depends on support stiffness: holds above 14 N/µm (taken 5 to 120 N/µm); also on rod length (given "
        "64.550 to 64.650 mm), which does not turn it by itself; holds in 83 of 100 machines (80 to 86). "
        "Find out support stiffness: hang a weight"
    )


def test_an_entry_without_a_way_of_its_own_is_measured_by_its_unit() -> None:
    assert measure_of(SEAT) == "hang a weight"
    assert "calliper" in measure_of(ROD)
    assert "thermocouple" in measure_of(HOT)

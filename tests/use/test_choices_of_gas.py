"""What may be done about gas that is thinner than what is behind the piston, by hand from the rhombic engine."""

from pathlib import Path

import pytest
from choices import dials_of, edits_of

from designs.counsel.free import gas
from designs.design import Design
from designs.reading import read_text

RHOMBIC = (Path(__file__).parents[2] / "designs" / "rhombic.yaml").read_text("utf-8")
NAME = "mean pressure of the gas"
dials = dials_of(gas)


def with_mean(pressure: str) -> Design:
    assert "mean_pressure: 101 kPa" in RHOMBIC
    return read_text(RHOMBIC.replace("mean_pressure: 101 kPa", f"mean_pressure: {pressure}"))


def test_thin_gas_may_find_the_pressure_of_the_case_through_a_hole() -> None:
    design = with_mean("74.7 kPa")
    (level,) = dials(design)[NAME].levels
    assert (dials(design)[NAME].now, level.shown) == ("74.7 kPa", "101 kPa as in the case, by a hole as fine as a hair")
    assert edits_of(level, design) == {"gas.mean_pressure": pytest.approx(101e3)}
    assert level.work.size == (0, 0)  # a hole is no part


@pytest.mark.parametrize("pressure", ["101 kPa", "100 kPa", "150 kPa"])
def test_gas_that_is_as_dense_or_was_pumped_is_left_as_it_is(pressure: str) -> None:
    assert dials(with_mean(pressure)) == {}


def test_no_gas_at_all_is_no_choice() -> None:
    start, end = RHOMBIC.index("gas:"), RHOMBIC.index("counterweights:")
    assert dials(read_text(f"{RHOMBIC[:start]}gas: {{model: none}}\n{RHOMBIC[end:]}")) == {}

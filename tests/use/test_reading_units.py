"""Numbers with units: factors against published tables, and what is refused.

Factors: NIST Special Publication 811 (2008), appendix B.8, to the seven digits printed there (from memory).
Temperatures: fixed points that everyone knows (ice, steam, the crossing of both scales at -40).
"""

import subprocess
import sys
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.quantities import Bound
from designs.reading.doubtful import number_of, reading_of
from designs.reading.shapes import Quantity
from designs.reading.units import EXAMPLES, NAMES, BadQuantity, fitting, in_unit_of, quantity
from designs.shown import IMPERIAL, METRIC

PRINTED = [
    ("1 in", "m", 2.54e-2),
    ("1 ft", "m", 3.048e-1),
    ("1 thou", "m", 2.54e-5),
    ("1 um", "m", 1e-6),
    ("1 in^2", "m^2", 6.4516e-4),
    ("1 in^3", "m^3", 1.638706e-5),
    ("1 l", "m^3", 1e-3),
    ("1 lb", "kg", 4.535924e-1),
    ("1 oz", "kg", 2.834952e-2),
    ("1 g/cm^3", "kg/m^3", 1e3),
    ("1 lbf", "N", 4.448222),
    ("1 kgf", "N", 9.80665),
    ("1 lbf/in", "N/m", 1.751268e2),
    ("1 lbf in", "N m", 1.129848e-1),
    ("1 psi", "Pa", 6.894757e3),
    ("1 atm", "Pa", 1.01325e5),
    ("1 bar", "Pa", 1e5),
    ("1 deg", "rad", 1.745329e-2),
    ("1 arcmin", "rad", 2.908882e-4),
    ("1 rpm", "rad/s", 1.047198e-1),
    ("1 h", "s", 3600.0),
    ("1 min", "s", 60.0),
    ("1 in/s", "m/s", 2.54e-2),
    ("1 kW", "W", 1e3),
]


@pytest.mark.parametrize(("text", "si", "printed"), PRINTED)
def test_factors_are_those_printed(text, si, printed):
    assert quantity(text, si) == pytest.approx(printed, rel=5e-7)


@pytest.mark.parametrize(
    ("text", "inches"), [("5/16 in", 0.3125), ("1 1/4 in", 1.25), ("-1 1/2 in", -1.5), ("1/20in", 0.05), ("+3/3 in", 1)]
)
def test_inches_are_read_as_they_are_marked(text, inches):
    assert quantity(text, "m") == pytest.approx(inches * 0.0254, rel=1e-15)
    assert number_of(text, Quantity("m", Bound())) == quantity(text, "m")


def test_fractions_go_with_doubt():
    """Half of what is between two marks is what a reading in fractions may be off by."""
    about, between = (number_of(each, Quantity("m", Bound())) for each in ("1 1/4 in +- 1/64 in", "1/4..3/8 in"))
    assert [about.low, about.high] == pytest.approx([0.0254 * 1.234375, 0.0254 * 1.265625], rel=1e-12)
    assert [between.low, between.high] == pytest.approx([0.00635, 0.009525], rel=1e-12)
    marked, decimal = (reading_of(each, Quantity("m", Bound())) for each in ("5/16 in", "0.3125 in"))
    assert marked.value == decimal.value
    assert marked.sd / decimal.sd == pytest.approx(1 / 16 / 1e-4)


@pytest.mark.parametrize(
    "text", ["1/0 in", "1/2/3 in", "1-1/4 in", "1.5/2 in", "1 1/4 1/2 in", "1/ in", "/4 in", "1/4"]
)
def test_what_is_no_fraction_is_refused(text):
    with pytest.raises(BadQuantity):
        quantity(text, "m")


OWN_NAMES = {"heavy": "kg", "um": "m", "mrad": "rad", "stress": "Pa", "pv": "Pa m/s", "share": ""}
"""Of what is shown in a unit of its own, the SI unit that it is."""
NO_UNITS = ("turns", "1", "SI", "")


@pytest.mark.parametrize("system", [METRIC, IMPERIAL])
def test_every_unit_on_the_screen_can_be_typed_into_a_file(system):
    for name, (unit, factor, _) in system.items():
        if name not in NO_UNITS:
            assert quantity(f"1 {unit}", OWN_NAMES.get(name, name)) == pytest.approx(1 / factor, rel=1e-12), unit


@pytest.mark.parametrize(
    ("text", "kelvin"),
    [
        ("0 degC", 273.15),
        ("32 degF", 273.15),
        ("100 °C", 373.15),
        ("212 degF", 373.15),
        ("-40 degF", 233.15),
        ("5 K", 5),
    ],
)
def test_temperatures_have_their_zero(text, kelvin):
    assert quantity(text, "K") == kelvin


def test_expansion_counts_degrees_and_not_temperatures():
    assert quantity("11.7 um/m/K", "1/K") == quantity("11.7e-6 1/degC", "1/K") == 1.17e-5
    assert quantity("9e-6 /degF", "1/K") == pytest.approx(16.2e-6, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "si", "value"),
    [
        ("42 mm", "m", 0.042),
        ("42mm", "m", 0.042),
        (" 42   mm ", "m", 0.042),
        ("+.5 µm", "m", 5e-7),
        ("3 cm^3", "m^3", 3e-6),
        ("3 cm³", "m^3", 3e-6),
        ("2.1e-6 kg m^2", "kg m^2", 2.1e-6),
        ("7 g*mm", "kg m", 7e-6),
        ("1.75 MPa m/s", "Pa m/s", 1.75e6),
        ("20 N/um", "N/m", 2e7),
        ("2 turn", "rad", 4 * pi),
        ("15 rev/s", "rad/s", 30 * pi),
        ("900 rev/min", "rad/s", 30 * pi),
        ("5 percent", "", 0.05),
        ("1.25", "", 1.25),
    ],
)
def test_decimal_factors_are_exact(text, si, value):
    assert quantity(text, si) == value


REFUSED = """9**9**9 mm|1,5 mm|1.5.2 mm|nan mm|inf mm|-inf mm|1e999 mm|1e-999 mm|1e300 mm|1_0 mm|0x10 mm|٣ mm|4 2 mm
mm|- mm|1e mm|3 mm mm|3 kg|3 mm^9|3 mm^|3 m/|3 m//s|3 furlong|3 m; import os|3 __class__|3 m.real|3 MM|(3) mm|3 (mm)
3 1|3 kg/m s|1/0 in|42|0"""


@pytest.mark.parametrize("text", REFUSED.replace("\n", "|").split("|"))
def test_what_is_no_length_is_refused_with_units_that_fit(text):
    with pytest.raises(BadQuantity) as caught:
        quantity(text, "m")
    assert "a length with its unit, e.g. " in caught.value.allowed
    assert " mm" in caught.value.allowed


def test_a_speed_of_turning_is_not_a_frequency():
    for text, si in (("15 Hz", "rad/s"), ("15 1/s", "rad/s"), ("900 rpm", "Hz"), ("3 rad", "")):
        with pytest.raises(BadQuantity):
            quantity(text, si)


@pytest.mark.parametrize(("text", "module"), [("24 DP", "1.05833 mm"), ("20 P", "1.27 mm"), ("12.7dp", "2 mm")])
def test_a_diametral_pitch_is_refused_with_the_module_that_it_is(text, module):
    """So many teeth on each inch of pitch diameter: its module is 25.4 mm over that (from memory)."""
    with pytest.raises(BadQuantity) as caught:
        quantity(text, "m")
    assert caught.value.allowed.endswith(f"is a module of {module}")
    with pytest.raises(BadQuantity) as caught:
        quantity(text, "kg")
    assert "module" not in caught.value.allowed


def test_a_decimal_comma_is_named():
    with pytest.raises(BadQuantity, match="decimal comma"):
        quantity("1,5 mm", "m")


def test_examples_start_from_the_number_that_was_read():
    with pytest.raises(BadQuantity) as caught:
        quantity("42", "m")
    assert caught.value.read == "'42'"
    assert caught.value.allowed == "a length with its unit, e.g. 42 mm, 1.65 in"


@pytest.mark.parametrize("si", [each for each in NAMES if each])
def test_every_unit_that_is_proposed_is_accepted(si):
    for unit in fitting(si):
        assert quantity(f"1 {unit}", si) > 0


def test_every_example_fits_something():
    assert set(EXAMPLES) == {unit for si in [*NAMES, "N m/rad"] for unit in fitting(si)}


@given(st.text(max_size=40), st.sampled_from(list(NAMES)))
def test_any_text_is_a_number_or_refused(text, si):
    try:
        value = quantity(text, si)
    except BadQuantity:
        return
    assert abs(value) < 1e30


@given(
    st.floats(-3e4, 3e4).filter(lambda number: number == 0 or abs(number) > 1e-6), st.sampled_from(["mm", "in", "um"])
)
def test_written_numbers_come_back(number, unit):
    assert quantity(f"{number!r} {unit}", "m") == pytest.approx(number * quantity(f"1 {unit}", "m"), rel=1e-14)


def test_the_units_library_waits_until_a_unit_is_read():
    script = "import designs.reading, sys; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0


@pytest.mark.parametrize(("text", "like", "told"), [
    ("12.7 mm", "0.25 in", "0.5 in"), ("12.7 mm", "5/16 in", "0.5 in"), ("27.95 mm", "about 1.2 in", "1.100394 in"),
    ("27.95 mm", "1 in +- 0.01 in", "1.100394 in"), ("-12.7 mm", "0.3..0.5 in", "-0.5 in"), ("0 mm", "1 in", "0 in"),
    ("40 N/um", "10 N/mm", "40000 N/mm"), ("45 g", "0.06 kg", "0.045 kg"), ("85 degC", "300 K", "358.15 K"),
    *[(text, like, text) for text, like in (("3 mm", "5"), ("30 g", "1 in"), ("3 mm", "unknown"), ("none", "1 in"),
                                            ("steel", "brass"), ("3", "2"), ("8 mm", "1 in or so"))],
])  # fmt: skip
def test_a_size_is_told_in_the_unit_of_another_where_that_fits(text: str, like: str, told: str) -> None:
    assert in_unit_of(text, like) == told


@given(st.floats(1e-3, 1e3).map(lambda size: float(f"{size:.9g}")), st.sampled_from(["in", "thou", "ft", "um", "cm"]))
def test_a_size_told_in_another_unit_is_the_same_size(size: float, unit: str) -> None:
    told = in_unit_of(f"{size:.12f} mm", f"1 {unit}")
    assert told.endswith(unit)
    assert quantity(told, "m") == pytest.approx(size * 1e-3, rel=3.1e-7)

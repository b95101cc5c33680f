"""Numbers that a file gives with a doubt: every form, what it means, every slip, and what is taken when left out."""

import re
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from scipy import stats

from balance.doubt.ranges import Range, deviation, law_between
from balance.quantities import Bound
from designs.design import Design
from designs.reading import BadFile, read_text
from designs.reading.doubtful import number_of
from designs.reading.placing import with_written
from designs.reading.schema import schema
from designs.reading.shapes import Quantity
from designs.reading.units import BadQuantity

BUILT = (Path(__file__).parents[2] / "designs" / "as-built.yaml").read_text("utf-8")
TEXT = f"{BUILT[: BUILT.index('fits:')]}fits: {{guide_play: 0.03 mm}}\n"
"""The engine as built, with its tolerances and end float left out."""
CENTRE, SEAT = "centre_distance: 48 mm", "seat_stiffness: 8 N/um"


def built(old: str, new: str) -> Design:
    assert old in TEXT
    return read_text(TEXT.replace(old, new), "fan.yaml")


def distance(words: str) -> Range:
    return built(CENTRE, f"centre_distance: {words}").doubts[("cranks", "centre_distance")]


@pytest.mark.parametrize("words", ["48 mm +- 0.2 mm", "48 mm ± 0.2 mm", "48 +- 0.2 mm", "48 mm +/- 200 um"])
def test_a_half_width_is_two_standard_deviations(words: str) -> None:
    found = distance(words)
    shares = np.array([0.001, 0.025, 0.3, 0.5, 0.9])
    np.testing.assert_allclose(found.at(shares), stats.norm(0.048, 1e-4).ppf(shares), rtol=1e-12)
    assert found.given
    assert built(CENTRE, f"centre_distance: {words}").cranks.centre_distance == pytest.approx(0.048, rel=1e-15)


def test_a_percentage_is_of_the_number() -> None:
    found = distance("48 mm +- 1 %")
    assert (found.low, found.high) == pytest.approx((0.04752, 0.04848))


def test_a_narrow_range_is_even_and_a_wide_one_even_in_ratio() -> None:
    shares = np.linspace(0, 1, 7)
    np.testing.assert_allclose(distance("47..49 mm").at(shares), 0.047 + 0.002 * shares, rtol=1e-12)
    design = built(SEAT, "seat_stiffness: 3..20 N/um")
    found = design.doubts[("shafts", "bearings", "0", "seat_stiffness")]
    np.testing.assert_allclose(found.at(shares), 3e6 * (20 / 3) ** shares, rtol=1e-12)
    assert design.shafts.bearings[0].seat_stiffness == pytest.approx(np.sqrt(60) * 1e6)


def test_a_place_is_even_however_wide_its_range() -> None:
    found = built("load_on: right", "load_at: 5..40 mm").doubts[("cranks", "load_at")]
    np.testing.assert_allclose(found.at(np.array([0.5])), 0.0225)


def test_about_is_within_a_factor_of_one_and_a_half_in_nineteen_of_twenty() -> None:
    found = distance("about 48 mm")
    inside = stats.norm.cdf(2) - stats.norm.cdf(-2)
    np.testing.assert_allclose(found.at(np.array([0.5 - inside / 2, 0.5 + inside / 2])), [0.032, 0.072], rtol=1e-9)


def test_exactly_leaves_no_doubt() -> None:
    found = built("fits: {", "fits: {axial_play: exactly 0 um, ")
    assert found.fits.axial_play == 0
    assert ("fits", "axial_play") not in found.doubts


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("49..47 mm", "turned round"),
        ("47 mm..49", "without a unit at its end"),
        ("48 mm +- 0.2", "without a unit at its end"),
        ("48 mm +- -0.2 mm", "below zero"),
        ("48 mm +- 0.2 g", "not a length"),
        ("48 mm +- 100 mm", "reaches -0.052 m"),
        ("about -48 mm", "no size"),
        ("unknown", "no usual range"),
        ("exactly", "a length with its unit"),
        ("47..48..49 mm", "allowed"),
        ("48 mm +- 1 mm +- 1 mm", "allowed"),
    ],
)
def test_slips_are_told_with_their_place(words: str, said: str) -> None:
    with pytest.raises(BadFile) as caught:
        built(CENTRE, f"centre_distance: {words}")
    (only,) = caught.value.complaints
    assert only.place.line == TEXT[: TEXT.index(CENTRE)].count("\n") + 1
    assert only.place.column == len("  centre_distance: ") + 1
    assert said in str(only)


def test_temperatures_count_degrees_from_each_other_and_may_be_unknown() -> None:
    text = TEXT.replace("hot: 480 degC", "hot: 480 degC +- 18 degF").replace("cold: 55 degC", "cold: unknown")
    design = read_text(text)
    hot, cold = design.doubts[("gas", "hot")], design.doubts[("gas", "cold")]
    assert (hot.low, hot.high) == pytest.approx((743.15, 763.15))
    assert design.gas.cold == cold.middle == 333.15
    assert not cold.given
    with pytest.raises(BadFile, match="no size"):
        read_text(TEXT.replace("hot: 480 degC", "hot: about 480 degC"))


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ("limits: {gap: 0.1 mm +- 0.01 mm}", "what you ask for"),
        ("counterweights: {thickness: 11..12 mm, largest_radius: 23 mm, at: -9 mm}", "cut from these numbers"),
        ("fits: {tolerances: {rod_length: 0.1..0.2 mm}}", "half-width already"),
    ],
)
def test_what_asks_or_is_cut_takes_no_doubt(entry: str, said: str) -> None:
    kept = [line for line in TEXT.splitlines() if not line.startswith(entry.partition(":")[0])]
    with pytest.raises(BadFile, match=said):
        read_text("\n".join([*kept, entry]))


def test_left_out_means_usual_and_not_rigid() -> None:
    for words in ("", "seat_stiffness: unknown"):
        design = built(SEAT, words)
        for place, bearing in enumerate(design.shafts.bearings):
            found = design.doubts[("shafts", "bearings", str(place), "seat_stiffness")]
            assert found.middle == bearing.seat_stiffness == 40e6
            assert (found.given, found.alike) == (False, "support stiffness")
    rigid = built(SEAT, "seat_stiffness: none")
    assert all(each.seat_stiffness is None for each in rigid.shafts.bearings)
    assert not any(path[-1] == "seat_stiffness" for path in rigid.doubts)


def test_a_usual_share_is_of_its_own_rod() -> None:
    design = read_text(re.sub(r"cg: (16|26) mm, inertia: [^,]*, ", "", TEXT))
    rod = design.yokes["displacer"].rod
    assert rod.cg == pytest.approx(0.44 * 0.0646)
    assert rod.inertia == pytest.approx(0.116 * 0.012 * 0.0646**2)
    found = design.doubts[("yokes", "displacer", "rod", "cg")]
    assert (found.low, found.high) == pytest.approx((0.38 * 0.0646, 0.5 * 0.0646))


def test_tolerances_say_the_same_of_many_entries_and_an_entry_says_it_better() -> None:
    text = TEXT.replace("fits: {", "fits: {tolerances: {rod_length: 0.06 mm}, ")
    design = read_text(text.replace("length: 64.6 mm", "length: 64.6 mm +- 0.1 mm"))
    made = design.doubts[("yokes", "diaphragm", "rod", "length")]
    assert (made.law, made.given) == ("cut normal", True)
    ends = made.at(np.array([1e-9, 1 - 1e-9]))
    np.testing.assert_allclose(ends, [0.04 - 6e-5, 0.04 + 6e-5], rtol=1e-12)  # nothing lies beyond
    np.testing.assert_allclose(made.at(stats.norm.cdf(np.array([1.0]))), 0.04 + 2e-5)  # three deviations
    assert design.doubts[("yokes", "displacer", "rod", "length")].law == "normal"
    assert not design.doubts[("cranks", "centre_distance")].given


def test_a_clearance_group_says_its_range() -> None:
    found = read_text(TEXT).doubts[("shafts", "bearings", "1", "clearance")]
    assert (found.low, found.high, found.given) == (2e-6, 13e-6, True)  # CN, 2.5 to 10 mm: ISO 5753-1, table 1
    assert not built(", clearance: CN", "").doubts[("shafts", "bearings", "1", "clearance")].given


def test_a_material_in_doubt_is_so_in_every_part_of_it() -> None:
    own = "materials: {bar: {density: 7..8 g/cm^3, young: 200 GPa, shear: 80 GPa, expansion: 11e-6 1/K}}\n"
    design = read_text(own + TEXT.replace("material: steel}", "material: bar}"))
    paths = [path for path in design.doubts if path[-1] == "density"]
    assert len(paths) == TEXT.count("material: steel}")
    assert {design.doubts[path].alike for path in paths} == {"materials.bar.density"}


def test_a_size_that_may_be_three_times_another_is_as_likely_in_every_octave() -> None:
    """Only then, and only a size: a place has a sign."""
    assert [law_between(1.0, high, True) for high in (2.99, 3.01)] == ["even", "even in ratio"]
    assert law_between(1.0, 3.01, False) == "even"


def test_the_standard_deviation_of_each_law() -> None:
    """JCGM 100:2008, 4.3.7 for the even law; 19 of 20 is two deviations; a tolerance's half-width is three of them."""

    def of(law, low, middle, high) -> float:
        return deviation(Range(law, low, middle, high, "m", True, ""))

    assert of("even", 9.0, 10.0, 11.0) == pytest.approx(1 / np.sqrt(3), rel=1e-12)
    assert of("normal", 8.0, 10.0, 12.0) == pytest.approx(1.0, rel=1e-12)
    assert of("cut normal", 7.0, 10.0, 13.0) == pytest.approx(1.0, rel=1e-12)
    assert of("factor", 10 / 1.5, 10.0, 15.0) == pytest.approx(10 * np.log(1.5) / 2, rel=1e-12)
    assert of("even in ratio", 1.0, 10.0, 100.0) == pytest.approx(10 * np.log(10) / np.sqrt(3), rel=1e-12)


def test_the_schema_knows_every_form() -> None:
    check = jsonschema.Draft202012Validator(schema()["$defs"]["crank.Cranks"]["properties"]["centre_distance"])
    for words in ("48 mm", "48 mm +- 0.2 mm", "47..49 mm", "about 48 mm", "exactly 48 mm", "unknown", "48 mm +- 1 %"):
        assert check.is_valid(words), words
    for words in ("48", "about 48", "47..49", "48 mm +- 0.2", "roughly 48 mm"):
        assert not check.is_valid(words), words


@pytest.mark.parametrize(
    ("said", "si", "meant"),
    [
        ("88 to 93 deg", "rad", "88..93 deg"),
        ("between 3 and 20 N/um", "N/m", "3..20 N/um"),
        ("5-6 mm", "m", "5..6 mm"),
        ("5 mm \u2013 6 mm", "m", "5 mm..6 mm"),
        ("1-1/4 in", "m", "1 1/4 in"),
        ("ca. 8 N/um", "N/m", "about 8 N/um"),
        ("~5 mm", "m", "about 5 mm"),
        ("5 mm plus or minus 0.1 mm", "m", "5 mm +- 0.1 mm"),
    ],
)
def test_what_is_said_in_words_is_told_as_a_file_says_it(said: str, si: str, meant: str) -> None:
    with pytest.raises(BadQuantity) as caught:
        number_of(said, Quantity(si, Bound(0.0)))
    assert caught.value.allowed.endswith(f"; did you mean '{meant}'?")
    number_of(meant, Quantity(si, Bound(0.0)))


@pytest.mark.parametrize("said", ["6-5 mm", "5 mm to 6 kg", "fast", "to 6 mm", "5 to", "-3 to -2 mm", "1-2-3 mm"])
def test_what_cannot_be_meant_is_not_told(said: str) -> None:
    with pytest.raises(BadQuantity) as caught:
        number_of(said, Quantity("m", Bound(0.0)))
    assert "did you mean" not in caught.value.allowed


def test_nothing_is_looked_for_in_what_is_too_long_to_be_a_number_in_words() -> None:
    """Where words might part it, a number of very many digits would be taken apart at each of them."""
    said = f"88.{'0' * 50} to 93.{'0' * 50} deg"
    with pytest.raises(BadQuantity) as caught:
        number_of(said, Quantity("rad", Bound(0.0)))
    assert "did you mean" not in caught.value.allowed


def test_a_length_in_a_complaint_is_told_as_the_file_has_it() -> None:
    """2.5 inches are 63.5 mm; another length in the complaint is not what was written."""
    assert with_written("63.5 mm, so the gears overlap", "2.5 in") == "2.5 in (63.5 mm), so the gears overlap"
    assert with_written("63.5 mm, so the gears overlap", "63.5 mm") == "63.5 mm, so the gears overlap"
    assert with_written("0.2 mm off the right side's", "2.5 in") == "0.2 mm off the right side's"
    assert with_written("2 of them", "2.5 in") == "2 of them"
    assert with_written("5 mm deep", "5 mm +- 1 mm") == "5 mm deep"

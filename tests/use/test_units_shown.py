"""Units on the screen: metric, imperial or as in the file; JSON stays SI."""

import json
import re
from functools import cache
from pathlib import Path
from typing import Annotated

import numpy as np
import pytest
from click.testing import CliRunner

from balance.quantities import Unit
from designs.command import group
from designs.evaluate import evaluate_finely
from designs.pages.stated import _shown
from designs.reading import read
from designs.reading.units import quantity
from designs.shown import FILE_UNITS, IMPERIAL, METRIC, bench_words, file_words, said, shown, system_of, using
from designs.table import Column, show
from designs.tables.verdict import verdict_table
from designs.verdict.row import Row

SHIPPED = Path(__file__).parents[2] / "designs"
UNITS = {"oz in": "oz*in", "oz in^2": "oz*in^2", "lbf in": "lbf*in", "psi ft/min": "psi*ft/min"}
SI = {"heavy": "kg", "um": "m", "mrad": "rad", "stress": "Pa", "pv": "Pa m/s"}


@pytest.mark.parametrize("kind", [kind for kind in IMPERIAL if IMPERIAL[kind] != METRIC[kind]])
def test_every_factor_is_that_of_the_reader(kind: str) -> None:
    """One unit of what is shown, read as a file's number, is one over the factor in SI: exact factors of 1959."""
    unit, factor, _ = IMPERIAL[kind]
    assert quantity(f"1 {UNITS.get(unit, unit)}", SI.get(kind, kind)) == pytest.approx(1 / factor, rel=1e-12)


def test_a_quantity_is_said_in_the_units_chosen_with_the_digits_that_it_had() -> None:
    assert said(7.84e-4, "m", ".3f") == "0.784 mm"
    assert said(-2e-3, "m", "g") == "\N{MINUS SIGN}2 mm"
    with using("imperial"):
        assert said(7.84e-4, "m", ".3f") == "0.0309 in"
        assert said(8e-3, "m", "g") == "0.315 in"
        assert said(55.9, "N") == "12.6 lbf"
        assert show(Column("gap", "gap", "m"), 7.84e-4) == "0.0309"
        assert Column("bend", "bend", "m", small=True).heading == "bend (thou)"
        assert shown("rad/s")[0] == "rpm"  # the same in both
    assert Column("bend", "bend", "m", small=True).heading == "bend (µm)"


def test_changes_and_steps_at_the_bench_follow_the_units_and_what_is_sold_by_a_size_keeps_it() -> None:
    assert file_words("from 12 mm to 11.5 mm") == "from 12 mm to 11.5 mm"
    with using("imperial"):
        assert file_words("from 12 mm to 11.5 mm") == "from 0.4724 in to 0.4528 in"
        assert file_words("8 N/um, 6 mm") == "45680 lbf/in, 0.2362 in"  # 8e6 N/m over 175.127 N/m per lbf/in
        source = "aluminium plate 12 mm; the file gives {}"
        assert file_words(f"50 N/um ({source.format('8 N/um')}) or 6 mm") == (
            f"285500 lbf/in ({source.format('45680 lbf/in')}) or 0.2362 in"
        )
        assert file_words("interference 8 um") == "interference 0.315 thou"
        assert file_words("engine on a base plate to 2.83 kg of steel (150 x 150 x 16 mm)") == (
            "engine on a base plate to 6.239 lb of steel (150 x 150 x 16 mm)"
        )
        assert file_words("flywheel from 90 mm x 18 mm to 1.5 times as thick") == (
            "flywheel from 3.5433 in x 0.7087 in to 1.5 times as thick"
        )
        for sold in ("4 x rubber buffer 20 x 15 mm, hard", "5 mm on 5 x 16 x 5 mm bearings", "8 mm^3"):
            assert file_words(sold) == sold
        assert bench_words("Hang 0.5, 1 and 2 kg there: ___ mm +- 0.02 mm") == (
            "Hang 1.1, 2.2 and 4.4 lb there: ___ in +- 0.00079 in"
        )
        assert bench_words("scale of 0.01 g to 0.1 g") == "scale of 0.01 g to 0.1 g"


@pytest.mark.parametrize(("unit", "kind"), [(unit, kind) for unit, (kind, _) in FILE_UNITS.items()])
def test_what_is_to_be_written_into_a_file_is_read_as_what_was_tried(unit: str, kind: str) -> None:
    """Six digits, in units that a file may have, lists and entries in brackets and all."""
    for number in (0.0123, -8.5, 471.23):
        with using("imperial"):
            entry = file_words(f"{{at: [{number} {unit}, 1 {unit}]}}", to_write=True)
        first, second = entry.removeprefix("{at: [").removesuffix("]}").split(", ")
        si = SI.get(kind, kind)
        assert quantity(first, si) == pytest.approx(quantity(f"{number} {unit}", si), rel=5e-6)
        assert quantity(second, si) == pytest.approx(quantity(f"1 {unit}", si), rel=5e-6)
        assert f" {unit}" not in entry


def in_inches(text: str) -> str:
    """Return a design with every length of a number and mm in inches."""
    return re.sub(r"(?<![\w.])(-?[0-9.]+) mm(?![\w^])", lambda found: f"{float(found[1]) / 25.4:.12g} in", text)


@pytest.fixture(scope="module")
def inches(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("inches") / "fan.yaml"
    file.write_text(in_inches((SHIPPED / "redesign.yaml").read_text("utf-8")), "utf-8")
    return file


def test_a_file_says_in_which_units_its_maker_thinks(inches: Path, tmp_path: Path) -> None:
    assert system_of(inches) == "imperial"
    assert all(system_of(each) == "metric" for each in SHIPPED.glob("*.yaml"))
    note = tmp_path / "note.yaml"
    note.write_text("# was 3 in, 4 in and 5 in once\ncranks: {centre_distance: 48 mm}  # 2 in or so\n", "utf-8")
    assert system_of(note) == "metric"
    assert system_of(tmp_path) == "metric"  # no file, of which the reader complains


def run(*words: str):
    return CliRunner().invoke(group, list(words))


METRIC_WORD = re.compile(r"[0-9] (mm|um|µm|N|MPa|kPa|g|kg|mm/s|N/mm|N mm)\b")


def test_a_check_as_in_the_file_has_no_metric_number(inches: Path) -> None:
    shown_ = run("check", str(inches))
    assert shown_.exit_code == 0, shown_.stdout
    assert " in, at 1500 rpm" in shown_.stdout and "lbf" in shown_.stdout
    assert not METRIC_WORD.search(shown_.stdout)
    metric = run("check", str(inches), "--units", "metric").stdout
    assert "mm" in metric and "lbf" not in metric and " in," not in metric


def test_advice_speaks_of_entries_in_the_units_of_its_words(tmp_path: Path, monkeypatch) -> None:
    """All in inches, or all in millimetres as the file has them; what stands in brackets is sold by that name.

    Both are told of one evaluation, with the advice that it keeps.
    """
    once = cache(lambda _: evaluate_finely(read(file)))
    monkeypatch.setattr("designs.command.check.evaluate_finely", lambda _: once(None))
    file = tmp_path / "fan.yaml"
    few = "\nmay_change: [counterweights, cranks.throws, cranks.webs, mount.mass]\n"
    file.write_text(in_inches((SHIPPED / "as-built.yaml").read_text("utf-8")) + few, "utf-8")
    inch, metric = (run("check", str(file), "--units", units).stdout for units in ("imperial", "metric"))
    advice = [" ".join(each[each.index("What to change") :].split()) for each in (inch, metric)]
    written = advice[0][advice[0].index("In the file:") :]
    assert re.search(r": \[?-?[0-9.]+ in\b", written)
    assert not METRIC_WORD.search(re.sub(r"\([^);]*\)?", "", advice[0]))
    assert " mm" in advice[1] and not re.search(r"[0-9] (in|oz|lbf|thou)\b", advice[1])


def test_complaints_about_a_file_in_inches_speak_in_inches_but_for_what_they_quote(inches: Path) -> None:
    whole = inches.read_text("utf-8")
    file = inches.with_name("broken.yaml")
    file.write_text(re.sub(r"centre_distance: \S+ in", "centre_distance: 1.5 in", whole), "utf-8")
    apart = run("check", str(file))
    assert apart.exit_code == 2
    assert "read 1.5 in (38.1 mm), so the gears overlap" in apart.stderr  # in brackets what the words before it come to
    assert "module x teeth = 2.0472 in for equal gears" in apart.stderr  # 52 mm
    assert "= 52 mm" in run("check", str(file), "--units", "metric").stderr
    assert "read 1.5 in (38.1 mm), so" in run("compare", str(file)).stderr
    file.write_text(re.sub(r"centre_distance: \S+ in", "centre_distance: 38 mm x", whole), "utf-8")
    unread = run("check", str(file)).stderr
    assert "'38 mm x'" in unread and "e.g. 12 mm, 0.472 in" in unread


SEARCH = ("search", "--vary", "cranks.webs.0.mass=0.7 oz..1 oz", "--samples", "20", "--aim", "most:gap")


@pytest.mark.parametrize("words", [("balance",), ("shafts",), ("parts",), ("cut", "-o", "drawn"), SEARCH])
def test_tables_in_inches_say_the_same_as_in_millimetres(inches: Path, words: tuple[str, ...], tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    result = run(*words, str(inches))
    assert result.exit_code in (0, 1, 3), result.stderr
    # Bearings, screws and sheet are sold in millimetres, and called so.
    assert not re.search(r"\((µm|N|g|MPa|N mm)\)", result.stdout)
    assert re.search(r"\((in|thou|lbf|oz|psi)\)|[0-9] in\b", result.stdout)


def test_a_length_that_no_shop_can_tell_from_none_has_no_exponent() -> None:
    with using("imperial"):
        cells = [show(Column("gap", "gap", "m"), value) for value in (-4e-9, 2e-7, 0.0, 5e-6)]
    assert cells == ["\N{MINUS SIGN}0.0000", "0.0000", "0.0000", "0.0002"]
    assert show(Column("growth", "growth", "1"), 1.2e-5) == "1.2e\N{MINUS SIGN}05"  # which is no length


def test_a_margin_against_zero_is_none() -> None:
    cells = [verdict_table([Row("key", "what", 1.0, limit, "N", "at least")]).rows[0] for limit in (0.0, 0.5)]
    assert [each[4] for each in cells] == [None, 1.0]


def test_a_value_that_was_taken_has_no_digits_that_nobody_knows() -> None:
    with using("imperial"):
        assert _shown(40e6, Annotated[float, Unit("N/m")]) == "228400 lbf/in"
        assert _shown(0.0105, Annotated[float, Unit("m")]) == "0.4134 in"


def test_json_stays_si_whatever_is_chosen(inches: Path) -> None:
    metric, other = (
        json.loads(run("balance", str(inches), "--json", "--units", units).stdout) for units in ("metric", "imperial")
    )
    assert metric == other
    assert run("check", str(inches), "--units", "furlongs").exit_code == 2


def test_numbers_have_the_digits_that_their_doubt_is_worth() -> None:
    from designs.tables.measured import Amount

    assert [str(Amount(value, "m", 0.0646, 2e-5)) for value in (0.06462, 0.0646, 2e-5)] == [
        "64.620 mm", "64.600 mm", "0.020 mm",
    ]  # fmt: skip
    assert str(Amount(0.01231, "kg", 0.01231, 5e-5)) == "12.310 g"
    never = Amount(float("inf"), "rad/s")  # such as the speed at which yokes touch that never do
    assert (str(never), never["value"]) == ("none", None)
    assert str(Amount(-5e-5, "m", 5e-5, 3e-6)) == "\N{MINUS SIGN}50.0 µm"
    with using("imperial"):
        assert str(Amount(0.0646, "m", 0.0646, 2e-5)) == "2.54331 in"
    assert np.isclose(float(str(Amount(1.0, "N", 1.0)).split()[0]), 1.0)


def test_what_rounds_to_nothing_has_no_sign() -> None:
    assert said(-1e-9, "m", ".3f") == "0.000 mm"
    assert said(-0.0, "m") == "0 mm"
    assert said(-6e-4, "m", ".0f") == "\N{MINUS SIGN}1 mm"

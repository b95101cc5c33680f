"""Comparing designs: differences, best, what fails, faulty ones beside the others, every form of output."""

import csv
import json
from dataclasses import replace
from io import StringIO
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from balance.cycle.extremes import largest
from designs.command import group
from designs.command.inputs import SHIPPED
from designs.evaluate import Evaluation, evaluate_finely
from designs.options.comparing import conclusion, differences, gather, ranked
from designs.options.side_by_side import Line, lines
from designs.reading import read
from designs.reading.source import parse
from designs.verdict.figure import Figure, of_limits
from designs.verdict.row import Row, not_checked

FAN = Path(__file__).with_name("greenhouse-fan.yaml")
TEXT = FAN.read_text("utf-8")
KNOWN = TEXT.replace("clearance: C3}", "clearance: C3, seat_stiffness: 60 N/um}").replace(
    "clearance: 12 um}", "clearance: 12 um, seat_stiffness: 60 N/um}"
)
LIMITED = KNOWN.replace("limits: {", "limits: {shaking force: 40 N, ")


@pytest.fixture
def fan(tmp_path):
    def write(options, name="fan.yaml", text=LIMITED):
        path = tmp_path / name
        path.write_text(text[: text.index("options:")] + f"options:\n{options}\n", "utf-8")
        return path

    return write


def run(*arguments):
    return CliRunner().invoke(group, ["compare", *map(str, arguments)])


def test_figures_are_those_of_each_option_by_itself(fan):
    path = fan("  slower: {speed.most: 1200 rpm}\n  thick: {shafts.segments.*.diameter: 8 mm}")
    found = json.loads(run(path, "--json").stdout)["designs"]
    assert [each["name"] for each in found] == ["greenhouse fan", "slower", "thick"]
    for option, each in zip((None, "slower", "thick"), found, strict=True):
        evaluation = evaluate_finely(read(path, option))
        force = float(largest(evaluation.shaking.size)[0]) * evaluation.design.speed.most**2
        assert each["figures"]["shaking_force"]["value"] == pytest.approx(force, rel=1e-12)
    # Inertia forces grow with the square of speed, and do not ask how thick a shaft is.
    assert found[1]["figures"]["shaking_force"]["difference"] == pytest.approx((1200 / 1400) ** 2 - 1, rel=1e-9)
    assert found[2]["figures"]["shaking_force"]["difference"] == pytest.approx(0.0, abs=1e-12)
    assert found[1]["figures"]["shaking_force"]["best"]
    assert not found[0]["figures"]["shaking_force"]["best"]


def test_changes_are_told_entry_by_entry(fan):
    found = json.loads(run(fan("  thick: {shafts.segments.*.diameter: 8 mm, limits.gap: 0.2 mm}"), "--json").stdout)
    assert found["designs"][1]["changes"] == [
        {"entry": "shafts.segments.0.diameter", "was": "6 mm", "is": "8 mm"},
        {"entry": "limits.gap", "was": "(left out)", "is": "0.2 mm"},
    ]


def test_a_faulty_option_stands_beside_the_others(fan):
    path = fan("  good: {limits.gap: 0.2 mm}\n  bad: {cranks.gears.teeth: 30}")
    result = run(path)
    assert result.exit_code == 2
    assert "FAULTY" in result.stdout
    assert "good" in result.stdout
    assert "centre_distance" in result.stderr
    assert "Traceback" not in result.stderr


def test_an_unreadable_file_stands_beside_the_others(fan, tmp_path):
    result = run(fan("  good: {limits.gap: 0.2 mm}"), tmp_path / "missing.yaml", "--json")
    assert result.exit_code == 2
    found = json.loads(result.stdout)
    assert [each["name"] for each in found["designs"]] == ["greenhouse fan", "good"]
    assert [each["name"] for each in found["faulty"]] == ["missing.yaml"]


@pytest.mark.parametrize(("force", "status"), [("1 N", 1), ("1000 N", 3)])
def test_status_says_whether_any_fails_and_whether_all_was_looked_at(fan, force, status):
    text = LIMITED.replace("shaking force: 40 N", f"shaking force: {force}")
    result = run(fan("  same: {limits.gap: 0.01 mm}", text=text))
    assert result.exit_code == status
    assert ("FAIL" in result.stdout) == (status == 1)
    assert ("not all" in result.stdout) == (status == 3)  # a narrow column may break it


def test_one_option_can_be_picked_and_an_unknown_one_is_refused(fan):
    path = fan("  one: {limits.gap: 0.2 mm}\n  other: {limits.gap: 0.3 mm}")
    assert [each["name"] for each in json.loads(run(path, "--option", "other", "--json").stdout)["designs"]] == [
        "greenhouse fan",
        "other",
    ]
    result = run(path, "--option", "another")
    assert result.exit_code == 2
    assert "'another'" in result.stderr


def test_any_column_of_a_table_can_be_shown(fan):
    path = fan("  thick: {shafts.segments.*.diameter: 8 mm}")
    found = json.loads(run(path, "--json", "--show", "strokes.stroke[displacer]", "--show", "strokes.stroke").stdout)
    stroke = Evaluation(read(path)).strokes
    figures = found["designs"][0]["figures"]
    assert figures["strokes.stroke[displacer]"]["value"] == pytest.approx(stroke["displacer"].length, rel=1e-12)
    assert figures["strokes.stroke"]["value"] == pytest.approx(max(each.length for each in stroke.values()), rel=1e-12)
    refused = run(path, "--show", "strokes.strike")
    assert refused.exit_code == 2
    assert "strokes.stroke" in refused.stderr


def test_csv_is_numbers_in_si_and_markdown_a_table(fan):
    path = fan("  slower: {speed.most: 1200 rpm}")
    rows = list(csv.DictReader(StringIO(run(path, "--csv").stdout)))
    force = json.loads(run(path, "--json").stdout)["designs"][1]["figures"]["shaking_force"]["value"]
    assert float(rows[1]["shaking_force_N"]) == force
    text = run(path, "--markdown").stdout
    assert "| shaking force, peak (N, <= 40.00) |" in text
    assert all(line.count("|") == 4 for line in text.split("###")[2].splitlines() if line.startswith("|"))


def test_files_are_not_replaced_unless_told_to(fan, tmp_path):
    path, out = fan("  slower: {speed.most: 1200 rpm}"), tmp_path / "table.csv"
    out.write_text("mine")
    refused = run(path, "--csv", "--output", out)
    assert refused.exit_code == 2
    assert out.read_text() == "mine"
    assert run(path, "--csv", "--output", out, "--force").exit_code in (0, 1, 3)
    assert out.read_text().startswith("design,file")
    assert run(path, "--plot", tmp_path / "plot.txt").exit_code == 2


def test_the_picture_has_every_design_in_a_style_of_its_own(fan):
    from designs.pages.compared import figure

    made = figure(gather([fan("  slower: {speed.most: 1200 rpm}\n  thick: {shafts.segments.*.diameter: 8 mm}")]))
    drawn = [line for line in made.axes[0].get_lines() if line.get_label()[0].isdigit()]
    assert [line.get_label()[:1] for line in drawn] == ["1", "2", "3"]
    assert len({line.get_linestyle() for line in drawn}) == 3
    assert len({line.get_marker() for line in drawn}) == 3
    force = json.loads(run(fan("  same: {limits.gap: 1 mm}"), "--json").stdout)["designs"][0]["figures"][
        "shaking_force"
    ]["value"]
    assert drawn[0].get_ydata()[-1] == pytest.approx(force, rel=1e-12)


def test_the_picture_shows_vibration_where_there_is_a_mount(fan):
    from designs.pages.compared import POINTS, figure

    text = LIMITED.replace(
        "counterweights: none", "counterweights: none\nmount: {mass: 3 kg, feet: {stiffness: 60 N/mm}}"
    )
    found = gather([fan("  soft: {mount.feet.stiffness: 20 N/mm}", text=text)])
    made = figure(found)
    assert "vibration" in made.axes[-1].get_ylabel()
    drawn = made.axes[-1].get_lines()[0].get_ydata()
    assert len(drawn) == POINTS
    # The verdict's worst is looked for at resonances too, so the drawn curve may miss its top, but never exceed it.
    worst = float(found[0].limits["vibration"].value) * 1e3
    assert 0.8 * worst < max(drawn[1:]) <= worst * (1 + 1e-6)


def test_the_row_of_least_margin_speaks_for_its_limit():
    rows = [Row("life", "life of one", np.array([3.0, 9.0]), 2.0, "s", "at least", ""),
            Row("life", "life of two", np.array([5.0, 1.0]), 2.0, "s", "at least", "")]  # fmt: skip
    figure = of_limits(rows)["life"]
    assert list(figure.value) == [3.0, 1.0]
    assert list(figure.passed) == [True, False]


def test_a_value_that_is_no_number_fails_and_is_the_worst():
    rows = [
        Row("life", "life of one", 3.0, 2.0, "s", "at least", ""),
        Row("life", "life of two", np.nan, 2.0, "s", "at least", ""),
    ]
    figure = of_limits(rows)["life"]
    assert np.isnan(figure.value)
    assert not figure.passed


def test_best_needs_a_difference(fan):
    path = fan("  renamed: {title: the same}")
    assert not any(np.any(line.best) for line in lines(gather([path])))


def test_best_follows_the_sense_of_the_limit():
    def figure(value, sense):
        return of_limits([Row("k", "w", value, 1.0, "N", sense, "")])["k"]

    for sense, best in (("at most", [False, True, False]), ("at least", [True, False, False])):
        assert list(Line("k", tuple(figure(value, sense) for value in (3.0, 1.0, 2.0))).best) == best


def test_differences_are_blind_to_spelling_of_keys_and_to_options():
    one = parse("a b: 1 mm\nc: [1, 2]\noptions: {x: {c: 3}}", "one")
    other = parse("a-b: 1  mm\nc: [1, 3, 4]\noptions: {}", "other")
    assert [(each.path, each.old, each.new) for each in differences(one, other)] == [
        ("c.1", "2", "3"),
        ("c.2", "(left out)", "4"),
    ]


def test_the_last_sentence_says_which_is_best():
    """Shipped: the redesign holds every limit; as built fails more of them than its own counterweighted option."""
    found = gather([SHIPPED / "as-built.yaml", SHIPPED / "redesign.yaml"])
    said = conclusion(found)
    assert said.startswith("Recommended: Greenhouse fan engine, rebuilt; it holds every limit that could be checked")
    assert (
        "Next: counterweighted; it fails 13: vibration, foot uplift, gap, first contact, gap as speed swings, slope at "
        "bearings, slope at gears, yield safety, fatigue safety, crankpin strength, joint grip, hub grip, critical "
        "speed margin" in said
    )
    none = conclusion([each for each in found if each.failing()])
    assert none.startswith("None of these can be built as it stands")
    assert "The nearest is counterweighted; it still fails 13" in none


def test_what_was_not_looked_at_counts_against_a_design():
    """A design alike in all that was looked at, but of which less was looked at, comes behind."""
    whole, *_ = gather([SHIPPED / "redesign.yaml"])
    rows = [row for row in whole.rows if row.key != "gap"]
    rows.append(not_checked("gap", "least gap", "give outlines"))
    bare = replace(whole, name="bare", outcome=replace(whole.outcome, rows=rows))
    assert [each.name for each in ranked([bare, whole])] == [whole.name, "bare"]


def test_a_limit_that_holds_as_far_as_it_was_looked_at_is_never_the_best():
    """Of grips the largest is that of a machine of which one hub was not told."""
    grips = ((3.0, ""), (9.0, "give flywheel.hub"), (4.0, ""), (1.0, "give flywheel.hub"))
    rows = [Row("hub_grip", "grip", value, 2.0, "", "at least", unlooked=words) for value, words in grips]
    line = Line("hub_grip", tuple(of_limits([row])["hub_grip"] for row in rows))
    np.testing.assert_array_equal(line.best, [False, False, True, False])
    assert [line.cell(n).partition(" (")[0] for n in range(4)] == ["3.000", "9.000", "4.000", "1.000"]
    assert line.cell(1).endswith("not all checked")
    assert line.cell(3).endswith("FAIL")
    assert [each.note for each in line.figures if each] == ["", "give flywheel.hub", "", ""]


def test_what_is_nought_but_for_rounding_is_neither_best_nor_worse():
    """Of 13 N allowed, 1e-14 and 3e-14 N are the same; 0.1 N is not."""

    def line(*values):
        return Line(
            "shaking_force", tuple(Figure("shaking_force", "", "N", each, 13.0, better="less") for each in values)
        )

    rounding, real = line(1e-14, 3e-14), line(1e-14, 3e-14, 0.1)
    assert not np.any(rounding.best)
    assert rounding.difference(1) is None
    np.testing.assert_array_equal(real.best, [True, True, False])
    assert line(0.1, 0.2).difference(1) == pytest.approx(1.0)

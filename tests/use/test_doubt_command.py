"""What the commands say of things that are not known: depends, what to find out, how sure, and how it ends."""

import json
import re
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from matplotlib.figure import Figure

from balance.doubt.draws import latin_hypercube
from balance.many import one
from designs.command import group
from designs.counsel.advised import judge
from designs.doubt import under_doubt
from designs.doubt.band import SEED, gap_bands
from designs.doubt.unknowns import machines, unknowns_of
from designs.evaluate import Evaluation, evaluate_finely
from designs.options.comparing import conclusion, gather
from designs.options.sureness import margins
from designs.pages import axes
from designs.pages.content import content
from designs.reading import read
from designs.verdict.row import Row

SHIPPED = Path(__file__).parents[2] / "designs"
SOFT = (
    (SHIPPED / "redesign.yaml")
    .read_text("utf-8")
    .replace("diameter: 10 mm}", "diameter: 7 mm}")
    .replace("bore: 10 mm, outside: 26 mm, width: 8 mm", "bore: 7 mm, outside: 19 mm, width: 6 mm")
    .replace(", seat_stiffness: 40 N/um", "")
    .replace("limits: {gap: 0.15 mm,", "limits: {gap: 0.15 mm, slope_at_gears: 1.3 arcmin,")
)
"""The rebuilt engine on thinner shafts, by someone with calipers and a kitchen scale, who cannot know its seats."""


@pytest.fixture(scope="module")
def soft(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("soft") / "soft.yaml"
    path.write_text(SOFT, "utf-8")
    return path


@pytest.fixture(scope="module")
def middle(soft: Path) -> tuple[Evaluation, list[Row]]:
    """The design worked out once, and its verdict in the middle of what is not known."""
    evaluation = evaluate_finely(read(soft))
    return evaluation, judge(evaluation)


def run(*arguments: object):
    return CliRunner().invoke(group, [str(each) for each in arguments])


def test_calipers_and_a_kitchen_scale_get_an_honest_depends(soft: Path) -> None:
    result = run("check", soft)
    assert result.exit_code == 1
    assert "depends" in result.stdout
    assert "What depends on what is not known (" in result.stdout
    assert "What to find out first" in result.stdout
    assert "hang 2 kg" in " ".join(result.stdout.split())
    taken = " ".join(result.stdout.split()).partition("Taken, not given: ")[2].partition(".")[0].split(", ")
    assert {"support stiffness", "end float", "throw phase", "timing of the left crank"} <= set(taken)
    assert "guide play" not in taken


UNMEASURED = (
    r"\n  tolerances: [^\n]*", r"\n  guide_play: [^\n]*", r"\n  axial_play: [^\n]*", r"fits:\n",
    r"\n    backlash: [^\n]*", r"\n    damping_ratio: [^\n]*", r", clearance: CN", r", seat_stiffness: 40 N/um",
    r" play: 8 um,", r" cg: (18|28) mm, inertia: [^,]*,",
)  # fmt: skip


def test_a_design_of_calipers_and_scale_alone_depends_on_a_short_list(tmp_path: Path) -> None:
    """The rebuilt engine as it is shipped passes; without all that one cannot see it does not, nor does it fail."""
    text = (SHIPPED / "redesign.yaml").read_text("utf-8")
    for each in UNMEASURED:
        text = re.sub(each, "", text)
    path = tmp_path / "bare.yaml"
    path.write_text(text, "utf-8")
    found = json.loads(run("check", path, "--json").stdout)["designs"][0]
    states = [each["status"] for each in found["verdict"]]
    assert "fail" not in states
    assert 1 <= states.count("depends") <= 3
    listed = found["doubt"]["find_out_first"]["rows"]
    assert 1 <= len(listed) <= 3
    assert listed[0]["entry"] == "support stiffness"
    assert listed[0]["settles"] > 0.5


def test_a_seat_that_is_measured_settles_it(tmp_path: Path) -> None:
    stiff = tmp_path / "stiff.yaml"
    stiff.write_text(SOFT.replace("clearance: CN,", "clearance: CN, seat_stiffness: 60 N/um +- 5 N/um,"), "utf-8")
    result = run("check", stiff)
    assert result.exit_code == 0, result.stdout
    assert "0 fail, 0 depend" in result.stdout


def test_json_carries_ranges_shares_and_turning_points(soft: Path) -> None:
    found = json.loads(run("check", soft, "--json").stdout)["designs"][0]
    assert found["passes"] is False
    row = next(each for each in found["verdict"] if each["key"] == "slope_at_gears")
    assert row["status"] == "depends"
    doubt = row["doubt"]
    assert 0.05 < doubt["share_low"] < doubt["share_that_holds"] < doubt["share_high"] < 1
    assert doubt["share_asked_for"] == 0.95
    low, high = doubt["spread_of_90_percent"]
    assert low < row["value"] < high <= doubt["worst"]
    (turn,) = doubt["turns"]
    assert turn["entry"] == "support stiffness"
    assert turn["low"] < turn["holds_from"] < turn["high"]
    assert (turn["side"], turn["given"], turn["unit"]) == ("above", False, "N/m")
    unknowns = found["doubt"]["unknowns"]["rows"]
    assert {"shafts.bearings.*.seat_stiffness", "fits.axial_play"} <= {each["paths"] for each in unknowns}
    assert found["doubt"]["find_out_first"]["rows"][0]["entry"] == "support stiffness"


def test_the_share_that_is_asked_for_decides(soft: Path, middle) -> None:
    def state(share: float) -> str:
        return next(each.state for each in under_doubt(*middle, share).rows if each.key == "slope_at_gears")

    assert state(0.5) != "depends"
    assert state(0.99) == "depends"
    refused = run("check", soft, "--sure", "100%")
    assert refused.exit_code == 2
    assert "allowed: a share of machines" in refused.stderr


def test_a_report_does_not_pass_what_depends(middle) -> None:
    held, failed, _, depend = content("soft", middle[0]).counts
    assert depend >= 1
    assert failed == 0
    assert held > 10


def test_designs_are_compared_on_the_same_unknown_machine(tmp_path: Path) -> None:
    """A heavier displacer shakes more on every machine, though on either by itself the spread is far wider."""
    path = tmp_path / "both.yaml"
    text = SOFT.replace("displacer: {mass: 34 g,", "displacer: {mass: 34 g +- 3 g,").replace(
        "fitted: yes", "fitted: no"
    )
    path.write_text(f"{text}\noptions:\n  heavier: {{yokes.displacer.parts.stem.mass: 12.3 g}}\n", "utf-8")
    first, heavier = gather([path])
    before, after = margins(first, "shaking_force"), margins(heavier, "shaking_force")
    assert np.all(after < before)
    assert np.min(after) < np.min(before) < np.max(after) < np.max(before)
    assert np.std(before) > 5 * np.mean(before - after)
    found = json.loads(run("compare", path, "--json").stdout)["same_unknown_machine"]["sureness"]
    assert "sure" in found["title"]
    by_limit = {each["limit"]: each["design_1"] for each in found["rows"]}
    assert by_limit["more margin to shaking force than the first in"] == "0 (0 to 1)"
    assert by_limit["more margin where it is tightest than the first in"] == "0 (0 to 1)"


def test_a_design_that_leaves_more_unlooked_does_not_win_by_it(tmp_path: Path) -> None:
    """The same engine twice; one says nothing of its outlines, so that nothing of it can touch."""
    whole = (SHIPPED / "redesign.yaml").read_text("utf-8")
    bare = "\n".join(line for line in whole.splitlines() if "outline:" not in line)
    paths = [tmp_path / "bare.yaml", tmp_path / "whole.yaml"]
    paths[0].write_text(bare.replace("rebuilt", "bare"), "utf-8")
    paths[1].write_text(whole, "utf-8")
    said = conclusion(gather(paths))
    assert said.startswith("Recommended: Greenhouse fan engine, rebuilt; it holds every limit that could be checked")
    assert re.search(r"bare; it holds every limit that could be checked, [1-9]\d* not checked", said)


def test_sizes_and_searches_keep_what_holds_in_enough_machines(soft: Path, tmp_path: Path) -> None:
    soft = soft.with_name("stocked.yaml")
    soft.write_text(SOFT + "\nstock: {bearings: [626, 607, 627]}\n", "utf-8")
    known = run("size", soft, "--diameter", "6 mm, 7 mm")
    assert "as if it were known" in known.stdout
    sure = run("size", soft, "--diameter", "7 mm", "--sure", "95%", "--json")
    rows = json.loads(sure.stdout)["results"]["sizes"]["rows"]
    state = {}
    for row in rows:
        state.setdefault(row["diameter_m"], set()).add(row["verdict"])
    passing = [row for row in rows if row["verdict"] == "pass"]
    assert len(passing) <= 1
    assert any("depends" in each or "FAIL" in each for each in state.values())
    thinnest = next(float(word) for word in known.stdout.split("Thinnest that passes: ")[1].split())
    assert all(row["diameter_m"] * 1e3 >= thinnest for row in passing)
    diameters = ("--vary", "shafts.segments.*.diameter=7 mm,7.5 mm", "--any-size")
    vary = (*diameters, "--aim", "most:gap", "--processes", "1", "--json")
    found = json.loads(run("search", soft, *vary, "--sure", "95%").stdout)
    asked = [each["whole_verdict_failing"] for each in found["ranking"]]
    assert json.loads(run("search", soft, *vary).stdout)["best"] is not None
    assert any("slope_at_gears" in each for each in asked)


def test_the_band_is_the_spread_of_the_least_gap(soft: Path) -> None:
    evaluation = Evaluation(read(soft))
    speeds = np.array([60.0, 157.0])
    (band,) = gap_bands(evaluation, speeds, draws=64)
    assert band.gap.shape == (2, 64)
    low, middle, high = band.ends
    assert np.all(low < middle)
    assert np.all(middle < high)
    pair = evaluation.pairs[0]
    nominal = np.array([float(pair.least(each)[0]) for each in speeds])
    assert np.all((low < nominal) & (nominal < high))
    unknowns = unknowns_of(evaluation.design)
    shares = latin_hypercube([each.identity for each in unknowns], 64, SEED)
    for place in (3, 40):  # machines of the band, each by itself
        alone = Evaluation(one(machines(evaluation.design, unknowns, shares[:, place][:, None]), 0))
        expected = [float(alone.pairs[0].least(each)[0]) for each in speeds]
        np.testing.assert_allclose(band.gap[:, place], expected, atol=0.1 * float(np.min(high - low)))
    figure = Figure()
    axes.draw_gap_band(figure.add_subplot(), evaluation)
    (drawn,) = figure.axes
    assert "wide" in drawn.get_title(loc="left")
    assert drawn.get_legend().get_texts()[0].get_text() == "90 of 100 machines"


def test_a_row_without_doubt_is_as_it_was() -> None:
    assert Row("gap", "gap", 2.0, 1.0, "m", "at least", "").state == "pass"

"""The cards for the bench, and what is learned from all readings together, as a person calls them."""

import json
import re
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from click.testing import CliRunner
from matplotlib.figure import Figure

from balance.doubt.ranges import Range
from designs.command import group
from designs.evaluate import evaluate_finely
from designs.learning.following import gone
from designs.learning.learned import learn
from designs.measuring.card_texts import CARDS
from designs.measuring.cards import _settled, card_names, patterns_of, plan
from designs.pages.axes import draw_learned_gap
from designs.reading import BadFile, read, read_text
from designs.shown import bench_words, using
from designs.tables.learned import disagreement_words

DESIGNS = Path(__file__).parents[2] / "designs"
DESIGN = (DESIGNS / "as-built.yaml").read_text("utf-8")
SHIPPED = ("as-built", "counterweighted", "redesign", "rhombic")
FILL = {
    "mm": "9", "deg": "3", "g": "5", "s": "21", "um": "8", "Hz": "20", "kPa": "6", "rpm": "900", "N": "1", "ml": "3",
    "degC": "300", "in": "0.4", "thou": "0.3", "oz": "0.2", "lbf": "0.2", "psi": "0.9", "degF": "600",
}  # fmt: skip


def run(*words: str):
    return CliRunner().invoke(group, list(words))


@pytest.fixture(scope="module")
def plans():
    return {name: plan(evaluate_finely(read(DESIGNS / f"{name}.yaml"))) for name in SHIPPED}


@pytest.mark.parametrize("name", SHIPPED)
def test_every_unknown_has_a_card_that_tells_of_it(name: str) -> None:
    from fnmatch import fnmatchcase

    evaluation = evaluate_finely(read(DESIGNS / f"{name}.yaml"))
    patterns = [p for text in CARDS for names in card_names(text, evaluation) for p in patterns_of(text, names)]
    for path in evaluation.design.doubts:
        assert any(fnmatchcase(".".join(path), pattern) for pattern in patterns), path


def test_what_settles_most_comes_first(plans) -> None:
    for each in plans.values():
        shares = [card.settles for card in each.cards]
        assert shares == sorted(shares, reverse=True)
    assert plans["rhombic"].cards[0].settles > 0.05
    assert plans["as-built"].cards[0].settles < 0.05  # drawn as finely as its cards read


@pytest.mark.parametrize(("half", "settled"), [
    (0.1e-3, 1 - (0.015 / (0.1 / 3)) ** 2), (0.045e-3, 0.0), (0.02e-3, 0.0),
])  # fmt: skip
def test_a_reading_settles_what_it_is_finer_than(half: float, settled: float) -> None:
    """Of a length made to half a width, three deviations; the reading is to 0.03 mm, which holds 19 of 20: two."""
    made = Range("cut normal", 0.08 - half, 0.08, 0.08 + half, "m", True, "")
    entry = SimpleNamespace(range=made, entries=((("yokes", "piston", "rod", "left_length"), made),))
    blank = "rods:\n  piston:\n    left: {between_centres: ___ mm +- 0.03 mm}"
    assert _settled(blank, entry) == pytest.approx(settled, abs=1e-12)
    assert _settled("backlash: {radius: ___ mm +- 0.5 mm}", entry) == 1.0  # by way of others


@pytest.mark.parametrize("name", SHIPPED)
def test_every_blank_is_in_the_files_own_form(plans, name: str) -> None:
    """Filled in with any numbers it is read: what may be refused is the number, never a key, a path or a unit."""
    text = (DESIGNS / f"{name}.yaml").read_text("utf-8")
    with using("imperial"):
        inches = [replace(card, blank=bench_words(card.blank)) for card in plans[name].cards]
    assert not re.search(r"(___|[0-9]) (mm|um|g|N|kPa|degC)\b", "".join(card.filled for card in inches))
    for card in (*plans[name].cards, *inches):
        assert max(map(len, card.filled.splitlines())) <= 75  # with its margin it fits a screen
        filled = re.sub(r"___ ?([A-Za-z]+)", lambda found: f"{FILL[found[1]]} {found[1]}", card.filled)
        filled = filled.replace("___", "0.5")
        try:
            read_text(f"{text}\n{filled}\n", "fan.yaml")
        except BadFile as error:
            for slip in ("unknown key", "with a unit", "which is not", "without a unit", "the path of", "a list of"):
                assert slip not in str(error), (card.key, str(error))


def test_no_two_blanks_of_a_machine_ask_for_the_same(plans) -> None:
    """Each entry, and each reading of a rod, stands in one blank: else the file that holds all would say it twice."""
    for each in plans.values():
        paths = [line.split(":")[0] for card in each.cards for line in card.filled.splitlines() if "    " in line[:4]]
        entries = [path for path in paths if path.strip().count(".") > 1]
        assert len(entries) == len(set(entries)) > 5


def test_cards_say_tool_steps_what_to_write_and_where_it_can_hurt(plans) -> None:
    for card in plans["as-built"].cards:
        assert card.tool and card.how and card.write and card.filled.startswith("measured:")
        assert "{" not in card.title + card.drawing + "".join(card.how)
        for line in card.how:
            assert all(len(part.split()) < 30 for part in re.split(r"[.:;?] ", line))
    cautions = {card.key: card.caution for card in plans["as-built"].cards}
    for key in ("knock", "brake", "pressure", "temperatures"):
        assert "Guard" in cautions[key] and "eye protection" in cautions[key]
    assert "never wound round the hand" in cautions["brake"]


def test_cards_on_screen_as_json_and_to_print(tmp_path: Path) -> None:
    file = tmp_path / "fan.yaml"
    file.write_text(re.sub(r"\n  tolerances: [^\n]*", "", DESIGN), "utf-8")
    shown = run("measure", str(file), "--most", "2")
    assert shown.exit_code == 0 and "1. Yoke displacer: half-span" in shown.stdout
    assert "Write down:" in shown.stdout and "first_contact: {heard: ___ rpm" in shown.stdout
    found = json.loads(run("measure", str(file), "--json", "--all").stdout)
    assert len(found["cards"]) > 15 and found["cards"][0]["settles"] > 0.05
    page = tmp_path / "cards.html"
    assert run("measure", str(file), "-o", str(page)).exit_code == 0
    text = page.read_text("utf-8")
    assert "half-span and height of its face" in text and "break-inside" in text and "<script" not in text
    assert "http" not in text  # no network
    assert "<code>measured:</code>" in text and "`" not in text and "width=device-width" in text
    assert run("measure", str(file), "-o", str(page)).exit_code == 2  # never over another file
    assert run("measure", str(tmp_path / "none.yaml")).exit_code == 2


@pytest.fixture(scope="module")
def heard(tmp_path_factory) -> tuple[Path, dict]:
    file = tmp_path_factory.mktemp("learn") / "fan.yaml"
    options = "options:\n  8 mm shafts: {shafts.segments.*.diameter: 8 mm, yokes.displacer.rod.length: 64.64 mm}\n"
    body = DESIGN.split("options:")[0] + options
    file.write_text(f"{body}\nmeasured: {{first_contact: {{heard: 1150 rpm +- 40 rpm}}}}\n", "utf-8")
    result = run("learn", str(file), "--draws", "3000", "--json", "--plot", str(file.with_suffix(".svg")))
    assert result.exit_code == 1, result.stderr  # it touches: that was heard
    return file, json.loads(result.stdout)


def test_a_knock_tells_of_the_redesign(heard) -> None:
    """The machine's own sum of lengths shows in the knock, so the redesign's gap is foretold much more closely."""
    _, found = heard
    assert found["agree"] and found["effective_draws"] > 100
    rows = {row["machine"]: row for row in found["results"]["forecasts"]["rows"]}
    assert rows["this machine"]["touches"] > 0.99
    redesign = rows["8 mm shafts"]
    assert 0.0 < redesign["touches"] < 1.0 and redesign["touches_doubt"] < 0.1
    # What stays is the tolerance of its new rods, of which no reading tells.
    assert redesign["gap_half_width_m"] < 0.6 * redesign["gap_before_half_width_m"]
    contact = rows["this machine"]["contact_50_rad_per_s"] * 30 / np.pi
    assert 1080 < contact < 1160  # heard late, so contact lies below


def test_single_entries_stay_mostly_silent(heard) -> None:
    _, found = heard
    rows = found["results"]["entries"]["rows"]
    assert all(row["spread"] > 0.7 for row in rows)
    assert rows[0]["entry"].startswith("height of a yoke's face")
    assert {row["told"] for row in rows} <= {"told", "silent"}
    assert all(set(row["before"]) == {"value", "unit"} for row in rows)


def test_the_picture_is_written_and_draws_on_any_axes(heard) -> None:
    file, _ = heard
    assert "least gap over the speed range" in file.with_suffix(".svg").read_text("utf-8")
    from designs.learning.learned import Forecast

    some = np.linspace(-1e-4, 1e-4, 50)
    even = np.full(50, 0.02)
    axes = Figure().add_subplot()
    draw_learned_gap(axes, Forecast("any", 1.0, (some, some), (some, some / 2), (even, even)))
    assert axes.get_xlabel()


def test_readings_that_no_such_machine_gives_foretell_nothing() -> None:
    gap = "gap: [{yokes: [displacer, diaphragm], at: 34 deg, feeler: [0.5 mm, 0.55 mm]}]"
    far = read_text(f"{DESIGN}\nmeasured: {{first_contact: 1160 rpm +- 5 rpm, {gap}}}\n", "fan.yaml")
    found = learn(far, 600)
    assert not found.agrees
    words = disagreement_words(found)
    assert "feelers at 34 deg" in words and "Nothing is foretold" in words


def test_a_design_without_readings_has_nothing_to_learn_from(tmp_path: Path) -> None:
    file = tmp_path / "fan.yaml"
    file.write_text(DESIGN, "utf-8")
    result = run("learn", str(file))
    assert result.exit_code == 2 and "read no 'measured:'" in result.stderr and "quietcrank measure" in result.stderr


def test_several_readings_of_one_card_take_away_no_more_than_all_there_is() -> None:
    random = np.random.default_rng(2)
    z = random.standard_normal((20_000, 3))
    q = z @ [3.0, 2.0, 1.0]
    assert gone(q, z[:, :1], np.array([0.0])) == pytest.approx(9 / 14, abs=0.02)
    assert gone(q, z[:, :2], np.array([0.0, 0.0])) == pytest.approx(13 / 14, abs=0.02)
    assert gone(q, z, np.array([1.0, 1.0, 1.0])) == pytest.approx(0.5, abs=0.02)
    assert gone(q, z[:, :0], np.array([])) == 0.0

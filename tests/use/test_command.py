"""The command as a person uses it: what it says, what it writes, and how it ends."""

import json
import re
import subprocess
import sys
from functools import cache
from pathlib import Path
from unittest.mock import MagicMock
from weakref import ref

import pytest
import yaml
from click.testing import CliRunner, Result

from designs.command import SUBCOMMANDS, check, group, halves, size
from designs.command.inputs import SHIPPED
from designs.counsel import advised
from designs.counsel.advised import judge
from designs.design import Design
from designs.evaluate import Evaluation, evaluate_finely
from designs.reading import read
from designs.status import HOLDS, NOT_ALL_CHECKED
from shafts.bearings.ball import Ball

UNFAILED = (HOLDS, NOT_ALL_CHECKED)
ADVISED = "as-built"  # advice takes its time: it is looked at for one
DEMOS = ["as-built", "counterweighted", "redesign", "rhombic"]


def run(*words: str) -> Result:
    result = CliRunner().invoke(group, list(words), catch_exceptions=True)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def demo(name: str) -> str:
    return str(SHIPPED / f"{name}.yaml")


@cache
def checked(name: str) -> tuple[Result, Evaluation]:
    """Check a shipped design, once; return how that ended, and the evaluation that the command made."""
    made: list[Evaluation] = []

    def kept(design: Design) -> Evaluation:
        made.append(evaluate_finely(design))
        return made[-1]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(check, "evaluate_finely", kept)
        if name != ADVISED:
            patch.setattr(advised, "counsel_of", lambda _: MagicMock(**{"advice.return_value.sentence": ""}))
        result = run("check", demo(name), "--json")
    return result, made[0]


def results(name: str) -> dict:
    return json.loads(checked(name)[0].stdout)["designs"][0]


@pytest.mark.parametrize(("name", "status"), [("as-built", 1), ("counterweighted", 1), ("redesign", 0), ("rhombic", 0)])
def test_exit_status_tells_whether_all_limits_hold(name: str, status: int) -> None:
    result, evaluation = checked(name)
    rows = judge(evaluation)
    assert any(row.state == "FAIL" for row in rows) == bool(status)
    left_out = any(row.state == "not checked" and row.asked for row in rows)
    assert result.exit_code == (status or 3 * left_out)


@pytest.mark.usefixtures("unadvised")
def test_several_designs_end_with_the_worst_of_them(tmp_path: Path) -> None:
    assert run("check", demo("redesign"), demo("rhombic")).exit_code in UNFAILED
    assert run("check", demo("redesign"), demo("as-built")).exit_code == 1
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text("title: [")
    result = run("check", demo("redesign"), str(wrong))
    assert result.exit_code == 2
    assert "wrong.yaml" in result.stderr
    assert "rebuilt" in result.stdout  # the good one is still shown


def test_of_several_designs_one_at_a_time_is_held(monkeypatch: pytest.MonkeyPatch) -> None:
    """All that is worked out of one takes tens of megabytes."""
    made: list[ref[Evaluation]] = []

    def alone(design: Design) -> Evaluation:
        assert not any(each() for each in made)
        evaluation = evaluate_finely(design)
        made.append(ref(evaluation))
        return evaluation

    monkeypatch.setattr(check, "evaluate_finely", alone)
    assert run("check", *2 * [demo("rhombic")]).exit_code in UNFAILED
    assert len(made) == 2


def test_as_built_the_yokes_touch_inside_the_speed_range_and_what_is_to_blame_is_named() -> None:
    rows = {row["key"]: row for row in results("as-built")["verdict"]}
    assert rows["contact"]["status"] == "fail"
    assert rows["contact"]["value"] < rows["contact"]["limit"]
    assert "yokes." in rows["gap"]["change"]  # a change of an entry, tried
    touching = results("as-built")["answers"][0]["answer"]
    assert "shaft bending takes the most" in touching
    assert rows["shaking_force"]["status"] == "fail"


def test_counterweights_cure_the_shaking_and_not_the_contact() -> None:
    rows = {row["key"]: row for row in results("counterweighted")["verdict"]}
    assert rows["shaking_force"]["status"] == "pass"
    assert rows["contact"]["status"] == "fail"


def test_an_option_of_the_file_is_the_design_that_stands_in_a_file_of_its_own() -> None:
    def shaking(*words: str) -> list[dict]:
        return json.loads(run("balance", *words, "--json").stdout)["results"]["shaking"]["rows"]

    assert shaking(demo("as-built"), "--option", "counterweighted") == shaking(demo("counterweighted"))


def test_json_has_its_units_in_the_keys_and_nothing_that_is_not_finite() -> None:
    found = results("redesign")
    stroke = found["results"]["strokes"]["rows"][0]
    assert {"stroke_m", "lowest_angle_rad", "mass_kg"} <= set(stroke)
    assert "NaN" not in json.dumps(found)


@pytest.mark.parametrize("name", DEMOS)
def test_both_halves_show_tables_and_json(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    evaluation = evaluate_finely(read(demo(name)))  # worked out once for all that is shown of it
    monkeypatch.setattr(halves, "evaluate_finely", lambda _: evaluation)
    for half in ("balance", "shafts"):
        shown = run(half, demo(name))
        assert shown.exit_code == 0
        assert not re.search(r"\bnan\b", shown.stdout, re.IGNORECASE)
        assert json.loads(run(half, demo(name), "--json").stdout)["results"]


@pytest.mark.parametrize("arrangement", ["A", "B"])
def test_a_new_design_checks_as_it_stands(arrangement: str, tmp_path: Path) -> None:
    file = tmp_path / "fan.yaml"
    assert run("new", str(file), "--arrangement", arrangement).exit_code == 0
    assert run("check", str(file)).exit_code in UNFAILED
    assert file.read_text("utf-8").count("#") > 10  # it explains itself


def test_a_new_design_with_a_diaphragm_is_the_engine_as_built_and_says_what_else_there_is(tmp_path: Path) -> None:
    file = tmp_path / "fan.yaml"
    assert run("new", str(file), "--diaphragm").exit_code == 0
    made, shipped = (yaml.load(Path(each).read_text("utf-8"), yaml.BaseLoader) for each in (file, demo("as-built")))
    assert made == shipped and "#: stock:" in file.read_text("utf-8")
    other = run("new", str(tmp_path / "no.yaml"), "--diaphragm", "--arrangement", "a")
    assert (other.exit_code, other.stderr) == (2, "--diaphragm: read with arrangement A; allowed: with B\n")
    assert not (tmp_path / "no.yaml").exists()


def merged(one: dict, other: dict) -> dict:
    both = dict(one)
    for key, value in other.items():
        both[key] = merged(both[key], value) if isinstance(value, dict) and isinstance(both.get(key), dict) else value
    return both


def test_every_further_entry_that_a_new_design_offers_is_legal_in_its_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "fan.yaml"
    run("new", str(file))
    text = file.read_text("utf-8")
    offered = re.sub(r"^#: ?", "", "\n".join(line for line in text.splitlines() if line.startswith("#:")), flags=re.M)
    whole = merged(yaml.load(text, yaml.BaseLoader), yaml.load(offered, yaml.BaseLoader))
    speed = whole["speed"]  # one speed: what is legal does not hang on how many there are
    speed["least"] = speed["rated"] = speed["most"]
    file.write_text(yaml.safe_dump(whole), "utf-8")
    evaluation = evaluate_finely(read(file))
    monkeypatch.setattr(halves, "evaluate_finely", lambda _: evaluation)
    for half in ("balance", "shafts"):  # all that stands in it is worked out
        result = run(half, str(file))
        assert result.exit_code == 0, result.stderr
    monkeypatch.undo()
    assert run("balance", str(file), "--option", "8 mm shafts").exit_code == 0


def test_a_new_design_never_replaces_a_file(tmp_path: Path) -> None:
    file = tmp_path / "fan.yaml"
    file.write_text("mine")
    result = run("new", str(file))
    assert result.exit_code == 2
    assert "fan.yaml" in result.stderr
    assert file.read_text() == "mine"


@pytest.fixture(scope="module")
def sized(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[dict], int]:
    """The table of one sizing, and how it ended; of each bore a bearing or two."""
    file = tmp_path_factory.mktemp("sized") / "fan.yaml"
    stock = "\nstock: {bearings: [624, 605, 625, 626, 608, 628, 6000]}\n"
    file.write_text(Path(demo("redesign")).read_text("utf-8") + stock, "utf-8")
    result = run("size", str(file), "--diameter", "4 mm, 5 mm, 6 mm, 8 mm, 10 mm", "--json")
    return json.loads(result.stdout)["results"]["sizes"]["rows"], result.exit_code


def test_sizing_tries_every_diameter_and_names_what_failed(sized) -> None:
    rows, status = sized
    assert {row["diameter_m"] for row in rows} == {0.004, 0.005, 0.006, 0.008, 0.010}
    for row in rows:
        assert (row["verdict"] == "pass") == (row["failed"] == "")
    assert (status == 1) == all(row["verdict"] == "FAIL" for row in rows)


@pytest.mark.parametrize(("name", "said"), [("redesign", " (6.5 mm, then 8 mm)"), ("as-built", "")])
def test_the_steps_of_a_stepped_shaft_are_told_with_its_size(name: str, said: str) -> None:
    ball = Ball(bore=0.008, outside=0.022, width=0.007)
    assert size._steps(read(Path(demo(name))), ball) == said


def test_sizing_finds_the_thinnest_that_checks(sized, tmp_path: Path) -> None:
    """The answer is checked by `check` itself, on a file that was changed by hand."""
    passing = [row for row in sized[0] if row["verdict"] == "pass"]
    thinnest = min(passing, key=lambda row: row["diameter_m"])
    text = Path(demo("redesign")).read_text("utf-8")
    size = thinnest["bearing"].removesuffix(" mm").split(" x ")
    old = "ball: {bore: 10 mm, outside: 26 mm, width: 8 mm}"
    assert text.count(old) == 2
    text = text.replace(old, f"ball: {{bore: {size[0]} mm, outside: {size[1]} mm, width: {size[2]} mm}}")
    file = tmp_path / "thin.yaml"
    steps = "{length: 10 mm, diameter: 8 mm}, {length: 88 mm, diameter: 10 mm}"
    assert text.count(steps) == 1
    thinner = round(0.8 * float(size[0]) * 2) / 2  # steps keep their proportion, to half a millimetre
    text = text.replace(steps, f"{{length: 10 mm, diameter: {thinner} mm}}, {{length: 88 mm, diameter: {size[0]} mm}}")
    file.write_text(text, "utf-8")
    assert run("check", str(file)).exit_code in UNFAILED


@pytest.mark.parametrize("words", [("--diameter", "5.5 mm"), ("--span", "long"), ("--material", "unobtainium")])
def test_sizing_refuses_what_it_does_not_know(words: tuple[str, str]) -> None:
    result = run("size", demo("redesign"), *words)
    assert result.exit_code == 2
    assert words[0] in result.stderr


def test_sizing_says_why_nothing_can_be_built() -> None:
    result = run("size", demo("redesign"), "--diameter", "8 mm", "--span", "1 mm")
    assert result.exit_code == 1
    assert "None of these can be built. The first: bearings.1.at: read" in " ".join(result.stdout.split())
    assert "Shafts tried" not in result.stdout


def test_help_imports_nothing_heavy() -> None:
    code = (
        "import sys; from designs.command import group\n"
        "try: group(['--help'])\nexcept SystemExit: pass\n"
        "heavy = {'numpy', 'scipy', 'matplotlib', 'sympy', 'pint', 'yaml', 'rich'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    subprocess.run([sys.executable, "-c", code], check=True, stdout=subprocess.DEVNULL)


def test_without_a_design_the_demonstration_is_checked_and_fails_without_drawing_algebra_or_scipy() -> None:
    code = (
        "import sys; from designs.command import group\n"
        "try: group(['check'])\nexcept SystemExit as end: status = end.code\n"
        "heavy = {'matplotlib', 'sympy', 'ezdxf', 'jinja2', 'dask', 'scipy.special'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
        "sys.exit(status)"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert (result.returncode, result.stderr) == (1, "")
    assert result.stdout.startswith("FAILS: ") and "as built" in result.stdout
    lines = result.stdout.splitlines()
    assert len(lines) <= 40 and max(map(len, lines)) <= 80
    shown = " ".join(result.stdout.split())
    assert re.search(r"What to change.* 1\. .+ 2\. .+ 3\. ", shown)
    for number in "123":  # each with its entry, and from what to what
        assert re.search(rf" {number}\. [^(;]+ (from .+? )?to ", shown)
        assert re.search(rf"In the file:.* {number}\.\s[\w.*]+: ", shown)


def test_every_subcommand_explains_itself() -> None:
    for name in SUBCOMMANDS:
        result = run(name, "--help")
        assert result.exit_code == 0
        assert "Usage" in result.stdout

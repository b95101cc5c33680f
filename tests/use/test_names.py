"""Names that mean something to whatever shows them: shown as they are, and nothing else happens."""

import csv
from io import StringIO
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner

from designs.command import group
from designs.command.inputs import SHIPPED

TEXT = (SHIPPED / "redesign.yaml").read_text("utf-8")
BUILT = (SHIPPED / "as-built.yaml").read_text("utf-8")
COMMANDS = [("check",), ("balance",), ("shafts",), ("compare",), ("compare", "--markdown")]


def run(*words: str):
    result = CliRunner().invoke(group, list(words))
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def named(folder: Path, name: str) -> str:
    """Return a design whose title, option, throw, yoke and part are all called so."""
    tree = yaml.load(TEXT, yaml.BaseLoader)
    tree["title"] = name
    tree["options"] = {name: {"speed.most": "1400 rpm"}}
    tree["cranks"]["throws"] = {
        name if throw == tree["yokes"]["displacer"]["throw"] else throw: each
        for throw, each in tree["cranks"]["throws"].items()
    }
    tree["yokes"]["displacer"]["throw"] = name
    tree["yokes"] = {name if yoke == "displacer" else yoke: each for yoke, each in tree["yokes"].items()}
    path = folder / "fan.yaml"
    path.write_text(yaml.safe_dump(tree), "utf-8")
    return str(path)


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
@pytest.mark.parametrize("name", ["Fan rev [/2]", "[red]x[/red]", "[link=x]y", "a [b] \\[c]", ":fire: rod"])
def test_brackets_are_shown_and_obeyed_by_nothing(tmp_path: Path, words: tuple[str, ...], name: str) -> None:
    result = run(words[0], named(tmp_path, name), *words[1:])
    assert result.exit_code in (0, 1, 3), result.stderr
    shown = "".join(result.stdout.split())
    assert name.replace(" ", "") in shown


@pytest.mark.parametrize("breaks", ["\n", "\r\n", "\u2028", "\x85"])
def test_a_title_of_several_lines_forges_none(tmp_path: Path, breaks: str) -> None:
    path = tmp_path / "fan.yaml"
    title = f"fan{breaks}25 limits hold, 0 fail, 0 not checked."
    path.write_text(yaml.safe_dump({**yaml.load(TEXT, yaml.BaseLoader), "title": title}, allow_unicode=True), "utf-8")
    lines = run("check", str(path)).stdout.splitlines()
    assert lines[0].partition(": ")[2].startswith("fan 25 limits hold")
    assert sum(line.startswith("25 limits") for line in lines) == 0


def test_a_name_of_several_lines_is_refused(tmp_path: Path) -> None:
    result = run("check", named(tmp_path, "one\ntwo"))
    assert result.exit_code == 2
    assert "a name of one line" in result.stderr


@pytest.mark.parametrize("name", ["=1+1", "+1", "-2+3", "@SUM(A1)", "=HYPERLINK(0)"])
def test_no_cell_of_a_spreadsheet_is_a_formula(tmp_path: Path, name: str) -> None:
    rows = list(csv.reader(StringIO(run("compare", named(tmp_path, name), "--csv").stdout)))
    assert rows[1][0] == f"'{name}"
    for cell in (cell for row in rows[1:] for cell in row):
        if cell[:1] in tuple("=+-@"):
            float(cell)  # a number, which may well be negative


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", "a <b>c", "&lt;i&gt;", "`x`", "[x](http:y)", "<!-- x"])
def test_markdown_holds_no_html_of_its_own(tmp_path: Path, name: str) -> None:
    text = run("compare", named(tmp_path, name), "--markdown").stdout
    assert name not in text.replace("\\(", "\u0000").replace("\\`", "\u0001")
    assert "<=" in text or ">=" in text  # what is no tag stays as it is


SOFT = {
    "a bearing": ("shafts", "bearings", 0, "seat_stiffness"),
    "a bearing itself": ("shafts", "bearings", 0, "stiffness"),
    "the feet": ("mount", "feet", "stiffness"),
}


@pytest.mark.parametrize("what", SOFT)
def test_a_support_that_supports_nothing_is_refused(tmp_path: Path, what: str) -> None:
    tree = part = yaml.load(TEXT, yaml.BaseLoader)
    *way, last = SOFT[what]
    for key in way:
        part = part[key]
    part[last] = "1e-12 N/m"
    path = tmp_path / "fan.yaml"
    path.write_text(yaml.safe_dump(tree), "utf-8")
    result = run("check", str(path))
    assert result.exit_code == 2
    assert "at least 1" in result.stderr


def test_holes_that_outweigh_their_weight_are_named(tmp_path: Path) -> None:
    tree = yaml.load(BUILT, yaml.BaseLoader)
    bolts = {"number": "4", "diameter": "12 mm", "radius": "15 mm", "pitch": "90 deg"}
    tree["counterweights"] |= {"fitted": "yes", "thickness": "60 mm", "shape": {"kind": "sector", "bolts": bolts}}
    path = tmp_path / "fan.yaml"
    path.write_text(yaml.safe_dump(tree), "utf-8")
    result = CliRunner().invoke(group, ["check", str(path)])
    said = f"{result.stderr}{result.exception}"
    assert "holes that take away more than the weight has" in said

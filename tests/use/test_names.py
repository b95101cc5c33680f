"""Names that mean something to whatever shows them: shown as they are, and nothing else happens."""

import csv
from io import StringIO
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner

from designs.command import group
from designs.command.inputs import SHIPPED
from designs.command.screen import show
from designs.table import Column, Table, markdown_text

TEXT = (SHIPPED / "redesign.yaml").read_text("utf-8")
BUILT = (SHIPPED / "as-built.yaml").read_text("utf-8")
BRACKETS = ["Fan rev [/2]", "[red]x[/red]", "[link=x]y", "a [b] \\[c]", ":fire: rod"]
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


def table(name: str) -> Table:
    """Return a table with a name wherever one can stand."""
    columns = (Column("name", name), Column("number", "number", ""))
    return Table("any", name, columns, [(name, 1.0), ("other", -2.0)], name)


@pytest.mark.parametrize("name", BRACKETS)
def test_brackets_in_a_table_are_shown_and_obeyed_by_nothing(capsys, name: str) -> None:
    show([table(name)])
    assert capsys.readouterr().out.count(name) == 4


@pytest.mark.parametrize(("words", "name"), list(zip(COMMANDS, BRACKETS, strict=True)))
def test_brackets_are_shown_and_obeyed_by_nothing(tmp_path: Path, words: tuple[str, ...], name: str) -> None:
    result = run(words[0], named(tmp_path, name), *words[1:])
    assert result.exit_code in (0, 1, 3), result.stderr
    shown = "".join(result.stdout.split())
    assert name.replace(" ", "") in shown


def test_a_title_of_several_lines_forges_none(tmp_path: Path) -> None:
    path = tmp_path / "fan.yaml"
    title = "fan\n25 limits hold,\r\n25 limits hold,\u202825 limits hold,\x8525 limits hold"
    path.write_text(yaml.safe_dump({**yaml.load(TEXT, yaml.BaseLoader), "title": title}, allow_unicode=True), "utf-8")
    lines = run("check", str(path)).stdout.splitlines()
    assert lines[0].partition(": ")[2].startswith("fan 25 limits hold")
    assert sum(line.startswith("25 limits") for line in lines) == 0


def test_a_name_of_several_lines_is_refused(tmp_path: Path) -> None:
    result = run("check", named(tmp_path, "one\ntwo"))
    assert result.exit_code == 2
    assert "a name of one line" in result.stderr


@pytest.mark.parametrize("name", ["=1+1", "+1", "-2+3", "@SUM(A1)", "=HYPERLINK(0)"])
def test_no_cell_of_a_spreadsheet_is_a_formula(name: str) -> None:
    rows = list(csv.reader(StringIO(table(name).csv())))
    assert [row[0] for row in rows[1:]] == [f"'{name}", "other"]
    assert [float(row[1]) for row in rows[1:]] == [1.0, -2.0]  # a number may well be negative


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", "a <b>c", "&lt;i&gt;", "`x`", "[x](http:y)", "<!-- x"])
def test_markdown_holds_no_html_of_its_own(name: str) -> None:
    text = table(name).markdown()
    assert name not in text.replace("\\(", "\u0000").replace("\\`", "\u0001")
    assert markdown_text("1 <= 2") == "1 <= 2"  # what is no tag stays as it is


def test_compared_designs_are_written_through_both(tmp_path: Path) -> None:
    """A spreadsheet and a page of two designs with one name: neither a formula nor a tag."""
    path = named(tmp_path, "=1+1<b>c")
    rows = list(csv.reader(StringIO(run("compare", path, "--csv").stdout)))
    assert rows[1][0] == "'=1+1<b>c"
    text = run("compare", path, "--markdown").stdout
    assert "=1+1&lt;b>c" in text
    assert "<b>" not in text


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

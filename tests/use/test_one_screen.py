"""What `check` shows on one screen: one line a limit, the worst first, and changes as they are typed into the file."""

from types import SimpleNamespace

import numpy as np
import pytest
from matplotlib.figure import Figure

from designs.changing.edit import Edit
from designs.command import brief, screen
from designs.command.inputs import SHIPPED
from designs.counsel.advice import entries_words
from designs.counsel.dial import Dial, Level, Work, fixed
from designs.counsel.plan import Step
from designs.evaluate import evaluate_finely
from designs.pages.axes_units import in_units
from designs.pages.waterfall import gap_waterfall
from designs.reading import read
from designs.shown import using
from designs.table import Column, Table
from designs.verdict.row import NAMES, Row, name_of, worst_first

ROWS = [
    Row("slope_at_gears", "slope at right gear", 1.5e-3, 0.5e-3, "rad", "at most", speed=100.0, where="right gear"),
    Row("gap", "least gap", -1e-4, 1e-4, "m", "at least", speed=188.5),
    Row("crankpin_strength", "safety of crankpins", 0.75, 1.5, "", "at least", speed=188.5,
        where="a part whose name is so long that no line of a screen has room for it beside all else"),
    *(Row(f"limit_{n}", "limit", 1.0 + 0.01 * n, 1.0, "", "at most") for n in range(1, 8)),
]  # fmt: skip


def test_what_fails_stands_in_a_line_each_the_worst_first_and_the_rest_in_one(capsys) -> None:
    brief.failing(ROWS)
    first, *lines = capsys.readouterr().out.splitlines()
    assert "(10)" in first and max(map(len, lines)) < screen.NARROW
    assert [line.split("  ")[1] for line in lines[:3]] == ["gap", "slope at gears", "crankpin strength"]
    assert lines[0].split() == "gap −0.100 mm at least 0.100 1800 rpm".split()
    assert lines[1].endswith("955 rpm, right gear") and lines[2].endswith("1800 rpm")
    assert "and 3 nearer to passing: limit 3, limit 2, limit 1" in " ".join(lines)
    assert [name_of(row.key) for row in worst_first(ROWS)][:2] == ["gap", "slope at gears"]


@pytest.mark.parametrize(
    ("left", "outright", "said"),
    [
        ("gap power", "gap power", "Then 2 limits still fail: check again"),
        ("gap", "gap", "Then 1 limit still fails: check again"),
        ("gap power", "gap", "Then 1 limit still fails and 1 more depends on what is not known: check"),
        ("gap power contact", "gap", "Then 1 limit still fails and 2 more depend on what is not known: check"),
        ("gap", "", "Then no limit fails, but gap depends on what is not known: check"),
        ("gap power", "", "Then no limit fails, but gap, power depend on what is not known: check"),
        ("", "", brief.HELD),
    ],
)
def test_what_changes_leave_is_told_by_what_fails_and_what_is_not_known(left: str, outright: str, said: str) -> None:
    last = SimpleNamespace(trial=SimpleNamespace(outright=tuple(outright.split())))
    assert brief.left_words(SimpleNamespace(left=tuple(left.split()), last=last)).startswith(said)


def test_a_limit_is_called_by_its_key_but_for_the_few_that_are_not() -> None:
    assert name_of("slope_at_gears") == "slope at gears" and name_of("uplift") == "foot uplift"
    assert len({*NAMES.values()}) == len(NAMES)


def test_the_entries_of_a_change_are_those_that_were_tried() -> None:
    design = read(SHIPPED / "as-built.yaml")
    edits = [Edit(("shafts", "bearings", n, "seat_stiffness"), 5e7) for n in "01"]
    edits += [Edit(("shafts", "plates", n, "thickness"), thick) for n, thick in (("0", 0.012), ("1", 0.01))]
    paths = ("shafts.bearings.*.seat_stiffness", "shafts.plates.*.thickness")
    step = Step(Dial("bearing plates", "case", paths, "8 N/um"), Level(fixed(*edits), "50 N/um", Work()))
    assert entries_words(design, step) == (
        "shafts.bearings.*.seat_stiffness: 50 N/um, shafts.plates.0.thickness: 12 mm, shafts.plates.1.thickness: 10 mm"
    )


def test_one_word_for_all_of_a_list_is_said_only_where_all_of_it_changes() -> None:
    """Whoever types it would change the rest as well."""
    design = read(SHIPPED / "redesign.yaml")
    longer = Edit(("shafts", "segments", "1", "length"), 99.5e-3)
    step = Step(Dial("longer shafts", "shafts", ("shafts.segments.*.length",), "98 mm"),
                Level(fixed(longer), "109.5 mm", Work()))  # fmt: skip
    assert entries_words(design, step) == "shafts.segments.1.length: 99.5 mm"
    assert entries_words(design, step, beside=True) == "shafts.segments.1.length: 99.5 mm"


def test_what_every_row_of_a_table_says_stands_once_below_it(capsys) -> None:
    columns = Column("pair", "pair"), Column("item", "item"), Column("speed", "speed", "rad/s")
    screen.show([Table("budget", "Budget", columns, [("a over b", each, 188.5) for each in ("bending", "play")])])
    shown = capsys.readouterr().out
    assert "In every row pair: a over b; speed: 1800 rpm." in shown and shown.count("a over b") == 1
    screen.show([Table("budget", "Budget", columns, [("a over b", "bending", 188.5)])])
    assert "In every row" not in capsys.readouterr().out


def test_no_line_ends_between_a_number_and_its_unit() -> None:
    for start in range(50, 80):
        lines = screen.wrapped(f"{'x' * start} 11.5 mm and so on").splitlines()
        assert not any(line.endswith("11.5") for line in lines)


def test_a_picture_in_inches_has_its_marks_where_the_millimetres_stand() -> None:
    with using("imperial"):
        axes = Figure().add_subplot()
        axes.plot([0.0, 25.4], [1.0, 2.0])
        axes.set_xlabel("gap, mm")
        said = axes.text(0, 1, "most \N{MINUS SIGN}109.0 µm")
        in_units(axes.figure)
    assert axes.get_xlabel() == "gap, in" and said.get_text() == "most \N{MINUS SIGN}4.29 thou"
    marks = {float(each.get_text()): each.get_position()[0] for each in axes.get_xticklabels()}
    assert len(marks) > 3
    assert all(place == pytest.approx(25.4 * mark) for mark, place in marks.items())


def test_a_waterfall_tells_another_design_beside_it_and_keeps_a_scale_that_is_given() -> None:
    one, two = (evaluate_finely(read(SHIPPED / f"{name}.yaml")) for name in ("as-built", "counterweighted"))
    speed = float(one.design.speed.most)
    alone, both = gap_waterfall(one, speed), gap_waterfall(one, speed, before=two.pairs[0])
    left = f"{float(two.pairs[0].least(speed)[0]) * 1e3:.3f}".replace("-", "\N{MINUS SIGN}")
    assert 'class="was"' not in alone and both.count('class="was"') > 3 and f">{left}</text>" in both
    wide, wider = (gap_waterfall(one, speed, reach=(-each, each)) for each in (1.0, 2.0))
    widths = [float(each.partition('width="')[2].partition('"')[0]) for each in (wide, wider)]
    assert np.isclose(widths[0] / widths[1], 2.0, rtol=0.02)

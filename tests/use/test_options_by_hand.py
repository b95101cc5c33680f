"""Designs beside each other and many at once, by hand: what is best, what ranks, and how sure that is."""

from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from balance.machine.materials import MATERIALS
from designs.doubt import Outcome
from designs.doubt.judging import Judged
from designs.many import chunks
from designs.many.stacking import _kind, stacks
from designs.options import comparing, sizing, sureness
from designs.options.batch import Verdicts
from designs.options.comparing import Candidate, Change, conclusion, differences, ranked
from designs.options.figures import fits
from designs.options.findings import Findings, _shortfall, aim, least_margin, on_front
from designs.options.side_by_side import Line, _abreast, _changed_by, _changes, _hanging, _short, _tells, _whole
from designs.options.sized import sizing_table, worth_showing
from designs.options.sizing import Choice, Sized, Tried
from designs.options.varying import BadSearchError, significant, variation
from designs.reading import read_text
from designs.reading.source import parse
from designs.table import Column, Table
from designs.verdict.figure import Figure, of_limits
from designs.verdict.row import Doubt, Row
from shafts.bearings.ball import BALL_STOCK, Ball

DESIGNS = Path(__file__).parents[2] / "designs"
TEXT = (DESIGNS / "redesign.yaml").read_text("utf-8")
NAN, INF = np.nan, np.inf


def row(key="gap", value: float | None = 2.0, limit: float | None = 1.0, sense="at least", **more) -> Row:
    return Row(key, key, value, limit, "N", sense, **more)


# A figure of several designs


def line(*values: float | None, better="more", limit: float | None = 1.0) -> Line:
    return Line("gap", tuple(None if each is None else Figure("gap", "gap", "N", each, limit, better=better)
                             for each in values))  # fmt: skip


@pytest.mark.parametrize(
    ("values", "better", "best"),
    [
        ((1.0, 3.0, 2.0), "more", (0, 1, 0)),
        ((1.0, 3.0, 2.0), "less", (1, 0, 0)),
        ((3.0, 3.0 + 1e-10, 2.0), "more", (1, 1, 0)),
        ((3.0, 3.0 + 1e-8, 2.0), "more", (0, 1, 0)),
        ((3.0, 3.0, 3.0), "more", (0, 0, 0)),  # all alike
        ((3.0, None, None), "more", (0, 0, 0)),
        ((3.0, None, 1.0), "more", (1, 0, 0)),
        ((3.0, 1.0), None, (0, 0)),
        ((1e-10, 0.0, 1.0), "less", (1, 1, 0)),  # zero but for rounding, seen from the limit
        ((1e-8, 0.0, 1.0), "less", (0, 1, 0)),
    ],
)
def test_the_best_is_the_one_of_most_or_least(values: tuple, better: str | None, best: tuple) -> None:
    assert tuple(map(int, line(*values, better=better).best)) == best


@pytest.mark.parametrize(
    ("first", "other", "share"),
    [(2.0, 3.0, 0.5), (-2.0, -3.0, -0.5), (-2.0, 1.0, None), (0.0, 1.0, None), (2.0, 0.0, -1.0), (2.0, INF, None),
     (INF, 2.0, None), (INF, 0.0, None), (1e-10, 2.0, None)],
)  # fmt: skip
def test_a_difference_is_a_share_of_the_first_and_says_nothing_across_zero(first, other, share) -> None:
    assert line(first, other).difference(1) == (None if share is None else pytest.approx(share))
    assert line(first, other).difference(0) is None


def test_a_cell_says_value_change_failure_and_best() -> None:
    assert line(2.0, 3.0).cell(0) == line(2.0, 2.0).cell(1)
    assert line(2.0, 3.0).cell(1).endswith("(+50.0%) best")
    assert "%" not in line(2.0, 2.0008).cell(1)
    assert "%" in line(2.0, 2.0012).cell(1)
    failing = Figure("gap", "gap", "N", 0.5, 1.0, passed=False, better="more")
    assert Line("gap", (failing, failing)).cell(0).endswith("FAIL")
    assert Line("gap", (failing, failing)).cell(0, depends=True).endswith("depends")
    doubt = Doubt(100, 0.5, 0.4, 0.6, 0.95, (0.0, 3.0), None)
    one = candidate("one", row("gap", 0.5), row("hangs", 2.0, doubt=doubt), row("gap", 0.7, doubt=doubt))
    assert _hanging(one) == {"hangs"}  # where one of a kind fails, the kind does
    noted = Figure("gap", "gap", "N", None, note="give it")
    assert (Line("gap", (failing, noted)).cell(1), line(2.0, None).cell(1)) == ("not checked", "-")
    assert [_changed_by(each) for each in (0.5, 9.9, 10.5)] == ["+50.0%", "+990.0%", "11.5 times"]
    assert _changed_by(-0.25) == "\N{MINUS SIGN}25.0%"


def test_what_is_the_same_in_all_tells_nothing_unless_it_fails() -> None:
    assert not _tells(line(2.0, 2.0009))
    assert _tells(line(2.0, 2.0011))
    assert _tells(line(2.0, None))
    assert _tells(line(None, 2.0))
    assert not _tells(line(2.0, 2.0, 2.0))
    assert not _tells(Line("gap", (Figure("gap", "gap", "N", NAN), Figure("gap", "gap", "N", NAN))))
    assert _tells(Line("gap", (Figure("gap", "gap", "N", 2.0, 3.0, passed=False),) * 2))
    assert _tells(line(2.0))


def test_zero_is_seen_from_the_largest_limit_that_there_is() -> None:
    figures = [Figure("gap", "gap", "N", value, limit, better="less") for value, limit in ((1e-8, 1e-3), (0.0, 100.0))]
    assert not Line("gap", tuple(figures)).best.any()  # both zero, and so alike
    unbound = Figure("gap", "gap", "N", 2.0, INF, better="less")
    np.testing.assert_array_equal(Line("gap", (figures[0], unbound)).told_apart, [1e-8, 2.0])


def test_short_values_stay_on_one_line_and_sixteen_changes_are_listed() -> None:
    assert _whole("1 mm, 2 mm") == "1\u00a0mm,\u00a02\u00a0mm"
    assert _whole("1 mm, 2 mm, 3 mm") == "1 mm, 2 mm, 3 mm"
    for many, rows in ((16, 16), (17, 17), (30, 17)):
        changes = tuple(Change(f"entry.{n}", "1", "2") for n in range(many))
        table = _changes([candidate("one", changes=changes)])
        assert len(table.rows) == rows
        assert (table.rows[-1][1] == f"... and {many - 16} more; --json has all") is (many > 16)


def test_long_names_are_cut_at_a_word_unless_two_are_then_alike() -> None:
    long = "a name of twenty-nine letters"
    assert _short([long, long[:28]]) == ["a name of twenty-nine ...", long[:28]]
    assert _short([f"{long} a", f"{long} b"]) == ["... a", "... b"]  # what all long ones begin with is left out
    assert _short([f"{long} a", f"{long[:28]}z b", "fan"]) == ["... letters a", "... letterz b", "fan"]
    assert _short([f"one {long} a", f"one {long} a b"]) == [f"one {long} a", f"one {long} a b"]
    assert _short(["x" * 29]) == [f"{'x' * 26} ..."]
    assert _short([long[:28], f"{long[:28]} [mended.yaml]"]) == [long[:28], "[mended.yaml]"]


def test_four_designs_stand_abreast_the_first_one_in_every_table() -> None:
    heads = list("abcdef")
    table = Table(
        "t", "T", (Column("what", "what"), *(Column(each, each) for each in heads)), [("gap", *heads)], "note"
    )
    parts = list(_abreast(table, heads))
    assert [part.rows for part in parts] == [[("gap", "a", "b", "c", "d")], [("gap", "a", "e", "f")]]
    assert [part.note for part in parts] == ["", "note"]
    four = Table("t", "T", table.columns[:5], [("gap", *heads[:4])], "note")
    assert [part.note for part in _abreast(four, heads[:4])] == ["note"]
    one = Table("t", "T", table.columns[:2], [("gap", "a")], "note")
    assert [part.rows for part in _abreast(one, ["a"])] == [[("gap", "a")]]


# Which design is better


def candidate(name: str, *rows: Row, judged=None, changes=()) -> Candidate:
    evaluation = SimpleNamespace(design=None)
    return Candidate(name, Path(f"{name}.yaml"), changes, evaluation, Outcome(list(rows), judged=judged or {}))


def test_designs_rank_by_what_fails_what_is_not_seen_and_what_is_to_spare() -> None:
    doubt = Doubt(100, 0.5, 0.4, 0.6, 0.95, (0.0, 3.0), None)
    found = [
        candidate("fails", row("gap", 0.5), row("power")),
        candidate("tight", row("gap", 1.1), row("power")),
        candidate("blind", row("gap", 9.0), row("power", None)),
        candidate("roomy", row("gap", 1.5), row("power")),
        candidate("depends", row("gap", 2.0, doubt=doubt), row("power")),
        candidate("less", row("gap", 9.0)),  # was not asked what the others were
    ]
    assert [each.name for each in ranked(found)] == ["roomy", "tight", "blind", "less", "depends", "fails"]
    assert [each.holds for each in found] == [False, True, True, True, False, True]
    assert [each.passes for each in found] == [False, True, False, True, False, True]


def test_what_fails_depends_and_was_not_looked_at_is_told_apart() -> None:
    doubt = Doubt(100, 0.5, 0.4, 0.6, 0.95, (0.0, 3.0), None)
    found = candidate("one", row("gap", 0.5), row("power"), row("slope", None), row("other", None, asked=False),
                      row("hangs", 2.0, doubt=doubt))  # fmt: skip
    assert (found.failing(), found.depending(), found.unchecked()) == (["gap"], ["hangs"], ["slope"])
    assert found.looked_at == {"gap", "power", "hangs"}
    assert (found.holds, found.passes) == (False, False)


def test_the_tightest_limit_is_not_one_against_zero() -> None:
    found = candidate("one", row("gap", 1.5), row("power", 1.2), row("slope", 0.0, 0.0), row("other", None))
    assert comparing._tightest(found) == ("power", pytest.approx(0.2))
    assert comparing._tightest(candidate("none", row("gap", None))) == ("", 0.0)
    exact = candidate("exact", row("gap", 1.0), row("power", 1.2))  # a hole that was put at its least edge
    assert comparing._tightest(exact) == ("power", pytest.approx(0.2))


def test_what_is_traded_is_told_where_it_is_felt() -> None:
    best = candidate("one", row("gap", 2.0), row("power", 2.0), row("slope", 9.0))
    other = candidate("other", row("gap", 2.5), row("power", 1.5), row("slope", 99.0))
    said = conclusion([best, other])
    assert said.startswith("Recommended: one; it holds every limit that could be checked, tightest by 100 percent (")
    assert " the next is better in " in said
    assert " but worse in " in said
    alike = candidate("other", row("gap", 2.015), row("power", 1.985), row("slope", 9.5))
    assert "Against" not in conclusion([best, alike])
    looser = candidate("other", row("gap", 2.0, 0.5), row("power", 2.0), row("slope", 9.0))
    assert "Against" not in conclusion([best, looser])  # no better by as much: 2.0 against 2.0
    held = [candidate(name, row("gap"), row("room", value, 0.0)) for name, value in (("one", 0.1), ("other", 9.0))]
    assert "Against" not in conclusion(held)  # against zero more is no better
    failing = conclusion([candidate("one", row("gap", 0.5)), candidate("other", row("gap", 0.4))])
    assert failing.startswith(f"{comparing.NONE} The nearest is one; it still fails 1: ")
    assert "tightest" not in failing
    assert conclusion([candidate("one", row())]).startswith("one: holds every limit")
    assert np.isnan(comparing._felt(None))
    assert [comparing._felt(of_limits([row(value=each)])["gap"]) for each in (9.0, -9.0, 2.0)] == [3.0, -3.0, 1.0]


def test_names_that_come_twice_are_told_apart_by_file_and_number() -> None:
    named = [SimpleNamespace(name="fan", path=Path("a.yaml"))] * 4
    told = comparing._told_apart([candidate("fan") for _ in named])
    assert [each.name for each in told] == ["fan", "fan [fan.yaml]", "fan (2)", "fan (3)"]


def test_entries_that_differ_are_told_by_their_paths() -> None:
    one = parse("title: a\nspeed: {least: 1 rpm, most: 9  rpm}\nwebs: [{at: 1 mm}]\noptions: {x: {a: 1}}\n", "a")
    other = parse("title: b\nspeed: {least: 2 rpm, most: 9 rpm}\nwebs: [{at: 1 mm}, {at: 2 mm}]\n", "b")
    found = [(each.path, each.old, each.new) for each in differences(one, other)]
    assert found == [("speed.least", "1 rpm", "2 rpm"), ("webs.1.at", "(left out)", "2 mm")]
    one, two = parse("at: -7 mm", "a"), parse("at: [-7 mm, -50 mm]", "b")
    assert [(each.old, each.new) for each in differences(one, two)] == [("-7 mm", "[-7 mm, -50 mm]")]
    assert [each.new for each in differences(one, parse("at: {1: 2 mm, b: 3 mm}", "b"))] == ["{1: 2 mm, b: 3 mm}"]
    named, sized = parse("ball: 6201\nat: 1 mm", "a"), parse("ball: {bore: 15 mm, seat: {fit: 2 um}}\nat: 1 mm", "b")
    assert [(each.path, each.old, each.new) for each in differences(named, sized)] == [
        ("ball", "6201", "{bore: 15 mm, seat.fit: 2 um}")
    ]
    assert [each.old for each in differences(sized, named)] == ["{bore: 15 mm, seat.fit: 2 um}"]


# How sure that is


def drawn(values, limits=1.0, sense="at least") -> Judged:
    values = np.array(values, dtype=float)
    return Judged(values, np.broadcast_to(np.array(limits, dtype=float), values.shape), sense)


GAP, POWER, SECOND = ("gap", 0), ("power", 0), ("gap", 1)


def test_margins_are_shares_of_the_limit_the_least_of_several_rows() -> None:
    limits = {GAP: drawn([3.0, 1.0], 2.0), SECOND: drawn([-1.5, 4.0], -2.0), POWER: drawn([5.0, 1.0], 0.0)}
    found = candidate("one", judged=limits)
    np.testing.assert_allclose(sureness.margins(found, "gap"), [0.25, -0.5])
    np.testing.assert_allclose(sureness.margins(found, "power"), [5.0, 1.0])
    assert sureness.margins(found, "slope") is None
    np.testing.assert_array_equal(sureness.all_hold(found), [True, False])


def test_how_sure_one_is_better_is_counted_on_the_same_machines() -> None:
    """Of four machines one can be built neither way: more margin to the gap in two, where it is tightest in one."""
    first = candidate("one", judged={GAP: drawn([1.5, 1.5, 1.5, NAN]), POWER: drawn([1.2, 1.2, 2.0, NAN])})
    other = candidate("other", judged={GAP: drawn([1.6, 1.6, 1.4, NAN]), POWER: drawn([1.2, 1.3, 2.0, NAN])})
    (table,) = sureness.tables([first, other])
    said = {each[0].split(" the first")[0].replace(" than", ""): each[-1].split()[0] for each in table.rows}
    assert said["every limit drawn holds in"] == "75"
    assert said["more margin where it is tightest"] == "25"
    assert list(said.values()) == ["75", "25", "50", "25"]
    assert sureness.tables([first]) == []
    assert sureness.tables([first, candidate("none")]) == []
    same = [each for each in sureness.tables([first, first])[0].rows if "margin to" in each[0]]
    assert not same
    assert sureness._better(other, first, "power").startswith("0 (")  # worse, and not the same
    fewer = candidate("fewer", judged={GAP: drawn([1.6])})
    assert sureness._better(first, fewer, "gap") == sureness._better(first, fewer, "power") == sureness.UNLOOKED
    assert sureness._tighter(first, fewer) == sureness.UNLOOKED


# What a search has found


def verdicts(passed, margins, values=None, legal=None, keys=("a", "b")) -> Verdicts:
    margins, passed = np.array(margins, dtype=float), np.array(passed, dtype=bool)
    legal = np.ones(margins.shape[1], dtype=bool) if legal is None else np.array(legal, dtype=bool)
    return Verdicts(keys, legal, margins if values is None else np.array(values, dtype=float), margins, passed)


def test_the_least_margin_leaves_out_what_is_met_exactly_and_what_has_none() -> None:
    found = verdicts([[1, 1, 0, 1], [1, 0, 1, 1]], [[0.3, 0.0, NAN, NAN], [0.2, -0.1, 0.5, NAN]])
    margin, place = least_margin(found)
    np.testing.assert_array_equal(margin, [0.2, -0.1, -INF, INF])
    np.testing.assert_array_equal(place[:3], [1, 1, 0])
    np.testing.assert_array_equal(least_margin(verdicts([[0], [1]], [[0.0], [0.5]]))[0], [0.0])


def test_what_fails_more_limits_is_farther_from_passing_whatever_by() -> None:
    found = verdicts([[1, 0, 0, 0], [1, 1, 0, 1]], [[0.1, -9.0, -0.1, NAN], [0.1, 0.1, -0.1, 0.1]])
    np.testing.assert_allclose(_shortfall(found), [0.0, 1.9, 2 + 0.2 / 1.2, 1 + 1e3 / 1001])
    np.testing.assert_allclose(_shortfall(verdicts([[0], [1]], [[-INF], [0.1]])), [1 + 1e3 / 1001])


def test_findings_count_what_fails_and_what_fails_alone_and_rank_what_passes() -> None:
    found = Findings((aim("least:a"),), ("a", "b"), 1)
    passed = [[1, 0, 0, 1, 0], [1, 1, 0, 1, 0]]
    block = verdicts(passed, [[0.5, -0.5, -0.5, 0.1, NAN], [0.5, 0.5, -0.5, 0.1, NAN]],
                     values=[[5.0, 1.0, 1.0, 3.0, NAN], [0.0] * 5], legal=[1, 1, 1, 1, 0])  # fmt: skip
    found.add(np.array([[1.0, 2.0, 3.0, 4.0, 5.0]]), block)
    found.add(np.array([[4.0]]), verdicts([[1], [1]], [[0.1], [0.1]], values=[[3.0], [0.0]]))  # the same once more
    assert (found.tried, found.illegal, found.passing) == (6, 1, 3)
    assert (found.fails.tolist(), found.alone.tolist()) == ([2, 1], [1, 0])
    ranking = found.ranked()
    assert (ranking.values[0].tolist(), ranking.front.tolist(), ranking.passes) == ([4.0, 1.0], [True, False], True)
    most = Findings((aim("most:a"),), ("a", "b"), 1)
    most.add(np.array([[1.0, 2.0, 3.0, 4.0, 5.0]]), block)
    assert most.ranked().values[0].tolist() == [1.0, 4.0]
    none = Findings((aim("least:a"),), ("a", "b"), 1)
    none.add(np.array([[2.0, 3.0]]), verdicts([[0, 0], [0, 1]], [[-0.1, -0.5], [-0.1, 0.5]]))
    assert (none.ranked().values[0].tolist(), none.ranked().passes) == ([3.0, 2.0], False)


def test_nothing_on_the_front_is_beaten() -> None:
    """Two alike stand there both; what is no better by one and worse by the other does not, nor what has no number."""
    costs = np.array([[1.0, 1.0, 2.0, 3.0, 0.5], [3.0, 3.0, 2.0, 2.0, NAN]])
    assert on_front(costs).tolist() == [True, True, True, False, False]


@pytest.mark.parametrize("text", ["gap", "best:gap", "least:", ":gap"])
def test_an_aim_says_its_sense_and_its_key(text: str) -> None:
    assert str(aim(" most : gap ")) == "most gap"
    with pytest.raises(BadSearchError):
        aim(text)


# What is varied


def test_numbers_that_a_search_picks_can_be_written_down() -> None:
    found = significant(np.array([0.0, 1.23456789, -123456.789, 1.5e-7, 999999.9]))
    np.testing.assert_allclose(found, [0.0, 1.23457, -123457.0, 1.5e-7, 1e6], rtol=1e-12)
    assert significant(np.array(1.23456), 3) == 1.23


@cache
def rebuilt():
    return parse(TEXT, "fan"), read_text(TEXT)


def one(text: str, any_size: bool = False):
    return variation(text, *rebuilt(), any_size)


def test_a_range_is_taken_in_even_steps_or_in_the_sizes_that_are_sold() -> None:
    radius = one("cranks.throws.inner.radius=8 mm..10 mm in 3")
    np.testing.assert_allclose(radius.even, [8.0, 9.0, 10.0])
    np.testing.assert_allclose(radius.si(radius.even), [8e-3, 9e-3, 10e-3])
    assert radius.written(9.5) == "9.5 mm"
    assert len(one("cranks.throws.inner.radius=8 mm..10 mm").even) == 5
    np.testing.assert_allclose(one("cranks.throws.inner.radius=8 mm..10 mm in 2").even, [8.0, 10.0])
    listed = one("cranks.throws.inner.radius=8 mm,9 mm,12 mm")
    np.testing.assert_array_equal(listed.at(np.array([0.0, 0.33, 0.34, 0.67, 1.0])), [8, 8, 9, 12, 12])
    teeth = one("cranks.gears.teeth=50..53")
    np.testing.assert_array_equal(teeth.at(np.array([0.0, 0.4, 0.6, 1.0])), [50, 51, 52, 53])
    warm = one("gas.hot=400 degC..500 degC")
    np.testing.assert_allclose(warm.si(np.array([400.0, 500.0])), [673.15, 773.15])
    for text, sold in (
        ("cranks.throws.inner.pin.diameter=4.5 mm..8 mm", [5, 6, 7, 8]),
        ("cranks.webs.0.width=14 mm..20 mm", [15, 16, 18, 20]),
        ("counterweights.thickness=6 mm..12 mm", [6, 8, 10, 12]),
        ("cranks.gears.face=6 mm..9 mm", [6, 8]),
        ("shafts.segments.*.diameter=7 mm..10 mm", [7, 8, 9, 10]),
    ):
        np.testing.assert_allclose(one(text).even, sold)
        assert one(text, any_size=True).steps == 5
    assert len(one("counterweights.thickness=6 mm..12 mm in 4").even) == 4
    assert len(one("cranks.throws.inner.pin.diameter=4.1 mm..4.9 mm").even) == 5  # none of it is sold


@pytest.mark.parametrize(
    "text",
    ["cranks.throws.inner.radius", "=1 mm", "cranks.throws.inner.radius=", "cranks.throws.inner.radius=10 mm..8 mm",
     "cranks.throws.inner.radius=8 mm..8 mm", "cranks.throws.inner.radius=8 mm..9 mm in 1", "cranks.gears.teeth=50.5",
     "cranks.throws=1 mm", "title=1", "shafts.segments.*.diameter=11 mm", "cranks.load_on=1"],
)  # fmt: skip
def test_what_cannot_be_varied_is_refused(text: str) -> None:
    with pytest.raises(BadSearchError):
        one(text)


def test_a_row_has_all_the_words_that_pick_it() -> None:
    cells = ("Piston crankpin", 3.0, "right")
    assert fits(cells, "crankpin, RIGHT")
    assert fits(cells, "")
    assert not fits(cells, "crankpin, left")


# Sizing


def tried(diameter: float, *rows: Row, outside=26.0, why="", **more) -> Tried:
    ball = Ball(bore=diameter * 1e-3, outside=outside * 1e-3, width=8e-3)
    return Tried(Choice(diameter * 1e-3, ball), list(rows), why, **more)


def test_what_fails_alike_whatever_is_tried_is_not_held_against_a_size() -> None:
    rows = [[row("gap", 0.5), row("power", 0.4)], [row("gap", 0.6), row("power", 0.4)]]
    assert sizing._fixed(rows) == ("power",)
    assert sizing._fixed(rows[:1]) == ()
    assert sizing._fixed([*rows, [row("power", 2.0)]]) == ()
    # Of at least 1 are missed 1.5, and a tenth more at the most, as of shaking where thicker shafts want wider webs.
    assert sizing._fixed([[row("gap", -0.5)], [row("gap", -0.649)]]) == ("gap",)
    assert sizing._fixed([[row("gap", -0.5)], [row("gap", -0.651)]]) == ()
    thin, thick = tried(8, *rows[0]), tried(10, row("gap", 2.0), row("power", 0.4))
    sized = Sized([thin, thick, tried(12, why="it does not fit")], ("power",), None)
    assert [sized.passes(each) for each in sized.tried] == [False, True, False]
    assert [each.key for each in sized.failed(thin)] == ["gap"]


def test_a_size_is_told_with_its_least_gap_and_what_failed_it() -> None:
    doubt = Doubt(100, 0.5, 0.4, 0.6, 0.95, (0.0, 3.0), None)
    found = [tried(5, row("gap", 0.5), row("gap", 0.3), row("gap", None)), tried(6, row("gap", 2.0, doubt=doubt)),
             tried(7, why="it does not fit"), tried(8, row("gap", 2.0, doubt=doubt), row("power", 0.5)),
             tried(9, row("gap", 2.0, doubt=replace(doubt, low=0.99, share=1.0)))]  # fmt: skip
    sized = Sized(found, (), None)
    rows = sizing_table(sized).rows
    assert [each[0] for each in rows] == ["FAIL", "depends", "FAIL", "FAIL", "pass"]
    unlooked = tried(9, row("gap", 2.0), row("power", None))
    assert sizing_table(Sized([unlooked], (), None)).rows[0][0] == "not all checked"  # silence is no pass
    assert sizing_table(Sized([unlooked], ("power",), None)).rows[0][0] == "pass"
    assert [each[-2] for each in rows] == [0.3, 2.0, None, 2.0, 2.0]
    assert rows[1][-1].endswith("(holds in 50 of 100 machines (40 to 60))")
    assert rows[2][-1] == "it does not fit"
    assert "0.3" in rows[0][-1]
    short = sizing_table(sized, every=False)
    assert short.note.startswith("The best of 5 that were tried")
    assert not sizing_table(sized).note.startswith("The best")
    assert "0.3" not in sizing_table(Sized(found[:1], (), None), every=False).rows[0][-1]


def test_the_nearest_size_fails_the_fewest_limits_and_by_the_least() -> None:
    two = tried(8, row("gap", 0.9), row("power", 0.9))
    far, near = tried(10, row("gap", 0.2), row("power")), tried(12, row("gap", 0.7), row("power"))
    assert Sized([tried(7, why="it does not fit"), two, far, near], (), None).nearest is near
    assert Sized([two, far], (), None).nearest is far
    assert Sized([tried(7, why="it does not fit")], (), None).nearest is None


@pytest.mark.parametrize("processors", [1, 2, 8])
@pytest.mark.parametrize(("holds_from", "drawn"), [(7, [7]), (8, [7, 8]), (9, [7, 8, 9]), (99, [7, 8, 9, 11])])
def test_shafts_are_drawn_from_the_thinnest_that_passes_on_until_one_holds(
    monkeypatch, processors: int, holds_from: int, drawn: list[int]
) -> None:
    """However many are drawn at once. That of 10 mm fails in the middle already."""

    def told(_, sure: float, each: Tried) -> Tried:
        assert sure == 0.9
        return replace(
            each, rows=[row(value=2.0 if each.choice.diameter > holds_from / 1e3 - 1e-6 else 0.5)], drawn=True
        )

    monkeypatch.setattr(sizing, "_drawn", told)
    monkeypatch.setattr(sizing, "usable_processors", lambda: processors)
    every = [tried(7, row()), tried(8, row()), tried(9, row()), tried(10, row(value=0.5)), tried(11, row())]
    sized = sizing._surely(Sized(every, (), None), 0.9)
    assert [round(each.choice.diameter * 1e3) for each in sized.tried if each.drawn] == drawn
    assert (sized.best is None) == (holds_from == 99)
    assert sized.best is None or sized.best.choice.diameter == pytest.approx(holds_from / 1e3)


def test_a_left_shaft_of_its_own_gets_the_same_size() -> None:
    rhombic = read_text((DESIGNS / "rhombic.yaml").read_text("utf-8"))
    made = sizing.resized(rhombic, Choice(12e-3, BALL_STOCK["6001"])).shafts
    for shaft in (made, made.left):
        assert [float(each.diameter) * 1e3 for each in shaft.segments] == pytest.approx([12, 8.5, 12])
    assert [len(each.segments) for each in (made, made.left)] == [3, 3]
    assert float(made.left.segments[2].length) == pytest.approx(85e-3)


def test_of_each_diameter_the_smallest_bearing_is_worth_showing_five_in_all() -> None:
    passing = [tried(each, row(), outside=outside) for each in range(5, 12) for outside in (20.0, 30.0)]
    sized = Sized([tried(4, row(value=0.5)), *passing], (), None)
    shown = worth_showing(sized)
    assert [round(each.choice.diameter * 1e3) for each in shown] == [5, 6, 7, 8, 9]
    assert {each.choice.ball.outside for each in shown} == {20e-3}
    table = sizing_table(sized)
    assert [each[0] for each in table.rows] == ["FAIL"] + ["pass"] * 14
    assert table.rows[0][-2] == 0.5
    sure = Sized([tried(5, row(), drawn=True), tried(6, row())], (), None, 0.95)
    assert [each[0] for each in sizing_table(sure).rows] == ["pass", "not drawn"]


def test_bearings_keep_their_side_of_throw_and_first_bearing() -> None:
    """The nearest throw stands at -21 mm."""
    engine = rebuilt()[1]
    choice = Choice(10e-3, BALL_STOCK["6000"], overhang=25e-3, span=40e-3)
    first, last = sizing._moved_bearings(engine, engine.shafts.bearings, choice)
    assert (float(first.at), float(last.at)) == (pytest.approx(4e-3), pytest.approx(44e-3))
    left, right = (replace(each, at=at) for each, at in zip(engine.shafts.bearings, (-60e-3, -90e-3), strict=True))
    first, last = sizing._moved_bearings(engine, (left, right), choice)
    assert (float(first.at), float(last.at)) == (pytest.approx(-64e-3), pytest.approx(-104e-3))


# Many at once


@pytest.mark.parametrize(
    ("count", "size", "several", "sizes"),
    [
        (10, 4, 1, [3, 3, 4]),
        (8, 4, 1, [4, 4]),
        (9, 4, 2, [2, 2, 2, 3]),
        (3, 4, 4, [1, 1, 1]),  # none is empty
        (1, 4, 1, [1]),
    ],
)
def test_options_go_in_equal_parts_as_many_for_each_processor(count, size, several, sizes) -> None:
    parts = list(chunks._parts(count, size, several))
    assert sorted(part.stop - part.start for part in parts) == sorted(sizes)
    assert [each for part in parts for each in range(part.start, part.stop)] == list(range(count))


def test_fewer_options_fit_together_with_more_angles_and_more_places() -> None:
    """The rebuilt engine has 2 segments, 2 bearings, 2 throws, 2 yokes and 2 webs: 4 + 2 x 4 + 2 = 14 places."""
    engine = rebuilt()[1]
    assert chunks._places(engine) == 14
    assert chunks.together(engine) == 1024
    assert chunks.together(engine, 144) == 512
    assert chunks.together(engine, 36) == 1024
    assert chunks.together(engine, 10**9) == 1
    pair = [SimpleNamespace(segments=range(20), bearings=range(6)), engine.shafts]
    many = SimpleNamespace(shafts=SimpleNamespace(pair=pair), cranks=engine.cranks, yokes=engine.yokes)
    assert chunks._places(many) == 36
    assert chunks.together(many) == int(1024 * (20 / 36) ** 2)


@pytest.mark.parametrize(
    ("part", "base", "kind"),
    [
        (1.0, 2.0, None),
        (1.0, None, "number"),
        (None, 1.0, ("is", "None")),
        ("right", "left", ("is", "'right'")),
        ((1.0, 2.0), (1.0,), ("number", "number")),
        ((1.0, "a"), (2.0, "b"), ((1, ("is", "'a'")),)),
        ({"a": 1.0}, {"b": 1.0}, (("a", "number"),)),
        ({"a": 1.0, "b": "x"}, {"a": 2.0, "b": "y"}, (("b", ("is", "'x'")),)),
    ],
)
def test_what_cannot_stand_in_one_array_is_of_another_kind(part, base, kind) -> None:
    assert _kind(part, base) == kind


def test_a_definition_is_of_its_own_kind_whatever_its_numbers() -> None:
    base, brass = rebuilt()[1], MATERIALS["brass"]
    left = replace(base, cranks=replace(base.cranks, load_on="left"))
    assert _kind(replace(base, speed=replace(base.speed, most=160.0)), base) is None
    assert _kind(left, base) == (("cranks", (("load_on", ("is", "'left'")),)),)
    assert _kind(brass, None) == _kind(replace(brass, density=9000.0, name="other"), None)
    assert _kind(brass, None)[0] == "Material"


def test_designs_that_differ_in_numbers_alone_stand_in_one() -> None:
    base = rebuilt()[1]
    gears = base.cranks.gears
    faster = replace(base, speed=replace(base.speed, most=160.0))
    brass = replace(base, cranks=replace(base.cranks, gears=replace(gears, material=MATERIALS["brass"])))
    left = replace(base, cranks=replace(base.cranks, load_on="left"))
    slower = replace(base, speed=replace(base.speed, most=150.0))
    found = stacks(base, [base, faster, left, brass, slower])
    assert sorted(each for each, _ in found) == [[0, 1, 3, 4], [2]]
    joint = next(design for each, design in found if len(each) == 4)
    np.testing.assert_allclose(joint.speed.most, [50 * np.pi, 160, 50 * np.pi, 150])
    assert np.ndim(joint.speed.least) == 0
    assert np.ndim(joint.cranks.gears.material.density) == 1


def test_parts_that_strike_whatever_the_shaft_are_held_against_none() -> None:
    """A lid 4 mm thick stands in the way of yokes and rods: what shafts and bearings give moves that by microns."""
    lid = "  lid: {rectangle: [30 mm, 4 mm], offset: [0 mm, 60 mm], z: [-60 mm, 0 mm]}\nfits:"
    design = read_text(TEXT.replace("fits:", lid, 1))
    sizes = [Choice(0.008, BALL_STOCK["608"]), Choice(0.010, BALL_STOCK["6000"])]
    sized = sizing.size(design, sizes)
    one, other = ({each.key: each.value for each in tried.rows} for tried in sized.tried)
    assert set(sized.fixed) == {"clearance", "clearance_carried"}
    assert all(0 < abs(one[key] - other[key]) < 1e-4 for key in sized.fixed)
    assert [sized.passes(each) for each in sized.tried] == [True, True]
    # Words that wait to be asked for would hold all that was worked out of each of some sixty shafts.
    assert all(isinstance(row.advice, str) for tried in sized.tried for row in tried.rows)

"""A search by hand: the order of its options, what is kept of it and shown; and a file with other values."""

import errno
import os
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from designs.options import batch, figures, found, search
from designs.options.batch import Verdicts
from designs.options.findings import Findings, aim
from designs.options.found import Full
from designs.options.journal import Journal, OtherSearchError, fingerprint
from designs.options.search import Search
from designs.options.varying import BadSearchError, Variation
from designs.options.writing import as_given, with_entries, with_option, with_values
from designs.reading.source import parse
from designs.table import Column, Table
from designs.verdict.figure import Figure
from designs.verdict.row import Row

NAN = np.nan


def entry(path: str, *values: float, steps: int | None = None, group=False) -> Variation:
    return Variation(f"{path}=...", path, ((path,),), "mm", 1e-3, 0.0, values, steps, False, group)


def asked(
    *entries: Variation, method="grid", samples=100, aims=("least:gap",), keys=("gap", "slope"), seed=1
) -> Search:
    return Search(None, entries, tuple(map(aim, aims)), keys, method, samples, seed)


def verdicts(values: np.ndarray, *margins, legal=None, keys=("gap", "slope")) -> Verdicts:
    """Figures of options whose entries are given, (entries, options): the first key's figure is the first entry."""
    count = values.shape[1]
    margins = np.stack([np.broadcast_to(np.asarray(each, dtype=float), count) for each in margins])
    fine = np.ones(count, dtype=bool) if legal is None else np.array(legal)
    shown = np.stack([values[0], *[np.zeros(count)] * (len(keys) - 1)])
    return Verdicts(keys, fine, shown, margins, margins >= 0)


# The order of options


def tried(monkeypatch, wanted: Search, journal: Journal | None = None, **more):
    """Return findings, the options of each block that was judged, and how many processes were asked for."""
    blocks, workers = [], []

    def judge(values, keys):
        blocks.append(values)
        return verdicts(values, values[0], 1.0, keys=keys)

    def many(every, keys, executor, count):
        workers.append(count)
        return (judge(each, keys) for each in every)

    monkeypatch.setattr(Search, "options", lambda search, values: values)
    monkeypatch.setattr(search, "judge_many", many)
    monkeypatch.setattr(search, "judge_options", judge)
    told: list[int] = []
    kept = journal or Journal(None, wanted.keys, "")
    return search.run(wanted, kept, told.append, **more), blocks, told, workers


def test_a_grid_is_gone_through_in_blocks_the_last_entry_fastest(monkeypatch) -> None:
    wanted = asked(entry("a", 1, 2, 3), entry("b", 10, 90, steps=41))
    findings, blocks, told, workers = tried(monkeypatch, wanted, workers=5)
    assert (wanted.count, wanted.block) == (123, 64)
    assert told == [64, 59]
    every = np.concatenate(blocks, axis=1)
    np.testing.assert_allclose(every[0], np.repeat([1, 2, 3], 41))
    np.testing.assert_allclose(every[1], np.tile(np.linspace(10, 90, 41), 3))
    assert findings.tried == 123
    assert workers == [1]  # so few are done sooner than another process has started
    assert tried(monkeypatch, asked(entry("a", 1, 9, steps=300)), workers=5)[3] == [5]
    assert tried(monkeypatch, asked(entry("a", 1, 9, steps=256)), workers=5)[3] == [1]


@pytest.mark.parametrize(
    ("samples", "block"), [(1, 64), (1024, 64), (1025, 65), (4000, 250), (16_384, 1024), (10**6, 1024)]
)
def test_blocks_are_a_sixteenth_within_bounds(samples: int, block: int) -> None:
    assert asked(entry("a", 1, 2), method="hypercube", samples=samples).block == block
    assert asked(entry("a", 1, 2), entry("b", 1, 2), method="global", samples=samples).block == 24


def test_a_hypercube_takes_each_share_of_each_entry_once_and_again_by_its_seed(monkeypatch) -> None:
    wanted = asked(entry("a", 0, 100, steps=5), entry("b", 0, 1, steps=5), method="hypercube", samples=100)
    findings, blocks, _, _ = tried(monkeypatch, wanted)
    every = np.concatenate(blocks, axis=1)
    for row, width in zip(every, (1.0, 0.01), strict=True):
        np.testing.assert_array_equal(np.sort(np.floor(row / width + 1e-9)), np.arange(100))
    again = np.concatenate(tried(monkeypatch, wanted)[1], axis=1)
    np.testing.assert_array_equal(every, again)
    other = np.concatenate(tried(monkeypatch, replace(wanted, seed=2))[1], axis=1)
    assert not np.array_equal(every, other)
    assert findings.tried == 100


def test_a_global_search_goes_toward_the_aim_and_ends_with_its_samples(monkeypatch) -> None:
    wanted = asked(entry("a", 5, 100, steps=5), entry("b", 0, 1, steps=5), method="global", samples=240)
    findings, blocks, told, _ = tried(monkeypatch, wanted)
    assert told == [24] * 10
    best = [float(np.min(each[0])) for each in blocks]
    assert min(best) < 6.0
    assert float(findings.ranked().values[0, 0]) == min(best)
    assert len(tried(monkeypatch, replace(wanted, samples=1))[2]) == 2  # the first population and one more
    most = replace(wanted, aims=(aim("most:gap"),))
    assert max(float(np.max(each[0])) for each in tried(monkeypatch, most)[1]) > 98.0


def test_what_fails_costs_more_than_what_passes_and_what_cannot_be_built_most() -> None:
    values = np.array([[3.0, 1e12, NAN, 2.0, 2.0, 2.0, 2.0]])
    found_ = verdicts(values, [1, 1, 1, -1, -2, NAN, 1], [1, 1, 1, 1, 1, 1, -0.5], legal=[True] * 7)
    costs = search._costs(found_, aim("least:gap"))
    assert costs[0] == 3.0
    assert costs[2] == search.ILLEGAL  # it passes, but there is no such figure
    assert costs[6] == search.FAILING * 1.5
    assert costs[3] == search.FAILING * 2
    assert costs[4] == search.FAILING * 3
    assert costs[5] == search.FAILING * 1001
    endless = verdicts(np.array([[1.0]]), -np.inf, 1.0)
    assert search._costs(endless, aim("least:gap"))[0] == search.FAILING * 1001
    far = verdicts(np.array([[np.inf, -np.inf]]), [1, 1], [1, 1])
    np.testing.assert_array_equal(search._costs(far, aim("least:gap")), [search.FAILING / 2, -search.FAILING / 2])
    none = verdicts(values, 1.0, 1.0, legal=[False] * 7)
    np.testing.assert_array_equal(search._costs(none, aim("least:gap")), [search.ILLEGAL] * 7)
    deep = verdicts(values, -1e9, 1.0)
    assert search._costs(deep, aim("least:gap"))[0] < search.ILLEGAL


def test_what_cannot_be_searched_is_refused() -> None:
    wide = [entry(each, 0, 1, steps=10) for each in "abcdefg"]
    search.check(asked(*wide))
    with pytest.raises(BadSearchError, match="20,000,000 options"):
        search.check(asked(*wide, entry("h", 1, 2)))
    with pytest.raises(BadSearchError, match="several aims"):
        search.check(asked(entry("a", 1, 2), method="global", aims=("least:gap", "most:slope")))
    search.check(asked(entry("a", 1, 2), method="global"))
    with pytest.raises(BadSearchError, match="a varied twice"):
        search.check(asked(entry("a", 1, 2), entry("a", 1, 2)))


def test_ctrl_c_leaves_what_was_found(monkeypatch) -> None:
    def stop(count: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Search, "options", lambda search, values: values)
    monkeypatch.setattr(search, "judge_many", lambda blocks, *more: (verdicts(each, 1.0, 1.0) for each in blocks))
    wanted = asked(entry("a", 1, 9, steps=99))
    findings = search.run(wanted, Journal(None, wanted.keys, ""), stop)
    assert (findings.interrupted, findings.tried) == (True, 64)


def test_blocks_that_are_kept_are_not_judged_again(monkeypatch, tmp_path: Path) -> None:
    wanted = asked(entry("a", 1, 9, steps=150))
    first, *_ = tried(monkeypatch, wanted, Journal(tmp_path / "kept", wanted.keys, "print"))
    (tmp_path / "kept" / "000001.npz").unlink()
    damaged = tmp_path / "kept" / "000002.npz"
    damaged.write_bytes(damaged.read_bytes()[:99])
    journal = Journal(tmp_path / "kept", wanted.keys, "print")
    again, blocks, told, _ = tried(monkeypatch, wanted, journal)
    assert [each.shape[1] for each in blocks] == [64, 22]
    assert told == [64, 64, 22]
    assert journal.damaged == [damaged]
    np.testing.assert_array_equal(again.ranked().values, first.ranked().values)
    assert tried(monkeypatch, wanted, Journal(tmp_path / "kept", wanted.keys, "print"))[1] == []


# What is kept


VALUES = np.array([[1.0, 2.0, 3.0]])


def test_a_block_is_read_as_it_was_kept(tmp_path: Path) -> None:
    journal = Journal(tmp_path / "kept", ("gap", "slope"), "print")
    made = verdicts(VALUES, [1.0, NAN, -1.0], 1.0, legal=[True, False, True])
    assert 7 not in journal
    journal.keep(7, VALUES, made)
    assert 7 in journal
    read = journal.verdicts(7, VALUES)
    assert read is not None
    for name in ("legal", "values", "margins", "passed"):
        np.testing.assert_array_equal(getattr(read, name), getattr(made, name))
    assert journal.verdicts(8, VALUES) is None
    assert journal.damaged == []
    # One about other options, or of other figures, is no block of this search.
    assert journal.verdicts(7, VALUES + 1) is None
    assert journal.verdicts(7, VALUES[:, :2]) is None
    assert [each.name for each in journal.damaged] == ["000007.npz"] * 2
    assert 7 not in Journal(None, ("gap",), "")
    Journal(None, ("gap",), "").keep(7, VALUES, made)


@pytest.mark.parametrize("name", ["legal", "values", "margins", "passed", "options"])
def test_a_block_of_another_shape_or_kind_is_done_again(tmp_path: Path, name: str) -> None:
    journal = Journal(tmp_path / "kept", ("gap", "slope"), "print")
    made = verdicts(VALUES, 1.0, 1.0)
    arrays = {"options": VALUES, **{key: getattr(made, key) for key in ("legal", "values", "margins", "passed")}}
    wrong = {"other kind": arrays[name].astype("U3"), "longer": np.concatenate([arrays[name]] * 2, axis=-1)}
    for each in (*wrong.values(), None):
        kept = {key: value for key, value in arrays.items() if key != name} | ({} if each is None else {name: each})
        np.savez(tmp_path / "kept" / "000000.npz", **kept)
        assert journal.verdicts(0, VALUES) is None
    np.savez(tmp_path / "kept" / "000000.npz", **arrays)
    assert journal.verdicts(0, VALUES) is not None


def test_a_folder_of_something_else_is_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "kept"
    folder.mkdir()
    (folder / "notes.txt").write_text("mine", "utf-8")
    with pytest.raises(OtherSearchError, match="holds no search"):
        Journal(folder, ("gap",), "print")
    (tmp_path / "file").write_text("mine", "utf-8")
    with pytest.raises(OtherSearchError, match="holds no search"):
        Journal(tmp_path / "file", ("gap",), "print")
    with pytest.raises(OSError, match="none") as refused:
        Journal(tmp_path / "none" / "deeper", ("gap",), "print")
    assert refused.value.filename == str(tmp_path / "none" / "deeper")
    assert refused.value.strerror == os.strerror(errno.ENOENT)


def test_a_folder_of_another_search_is_refused_and_halves_of_files_are_cleared(tmp_path: Path) -> None:
    folder = tmp_path / "kept"
    Journal(folder, ("gap",), "print")
    half = folder / ".000001abc.part.npz"
    half.write_bytes(b"half")
    Journal(folder, ("gap",), "print")
    assert not half.exists()
    for keys, words in ((("gap",), "other"), (("slope",), "print")):
        with pytest.raises(OtherSearchError, match="another search, or of another version"):
            Journal(folder, keys, words)
    (folder / "search.json").write_text("{", "utf-8")
    with pytest.raises(OtherSearchError, match="another search"):
        Journal(folder, ("gap",), "print")


def test_fingerprints_differ_where_anything_does() -> None:
    same = entry("a", 1.0, 2.0)
    assert fingerprint(same, 1) == fingerprint(entry("a", 1.0, 2.0), 1)
    others = [(same, 2), (entry("b", 1.0, 2.0), 1), (entry("a", 1.0), 1), ([same], 1), (same, [1]), (same, {"a": 1}),
              (same, np.array([1.0])), (same, np.array([1.0 + 1e-15])), (same, ("ab", "c")), (same, ("a", "bc")),
              (same, (("a",), "b")), (same, ("a", ("b",))), (same, None)]  # fmt: skip
    prints = {fingerprint(*each) for each in [(same, 1), *others]}
    assert len(prints) == len(others) + 1
    long = np.ones((1, 5000))
    other = long.copy()
    other[0, 2500] = 2.0
    assert fingerprint(verdicts(long, 1.0, 1.0)) != fingerprint(verdicts(other, 1.0, 1.0))


# What is shown


def full(place: int, *rows: Row, whole=True) -> Full:
    return Full(place, list(rows), whole)


def row(key="gap", value: float | None = 2.0, limit: float | None = 1.0, sense="at least", **more) -> Row:
    return Row(key, key, value, limit, "N", sense, **more)


def ranked(wanted: Search, values: np.ndarray, *margins, **more):
    findings = Findings(wanted.aims, wanted.keys, len(wanted.variations))
    findings.add(values, verdicts(values, *margins, **more))
    return findings, findings.ranked()


def test_whole_verdicts_are_made_from_the_best_on_until_enough_pass(monkeypatch) -> None:
    wanted = asked(entry("a", *range(9)))
    _, ranking = ranked(wanted, np.arange(9.0)[None], 1.0, 1.0)

    def whole(place, design, sure):
        return full(place, row(value=0.5 if place in (0, 2) else 2.0))

    monkeypatch.setattr(Search, "options", lambda search, values: values)
    monkeypatch.setattr(found, "one", lambda design, place: float(design[0, place]))
    monkeypatch.setattr(found, "_whole", whole)
    assert [each.place for each in found.whole_verdicts(wanted, ranking, 2)] == [0, 1, 2, 3]
    assert [each.place for each in found.whole_verdicts(wanted, ranking, 99)] == list(range(9))
    monkeypatch.setattr(found, "LOOKED_AT", 3)
    assert [each.place for each in found.whole_verdicts(wanted, ranking, 5)] == [0, 1, 2]
    _, none = ranked(wanted, np.arange(9.0)[None], -1.0, 1.0)
    assert [each.place for each in found.whole_verdicts(wanted, none, 2)] == [0, 1]  # none passes: those shown alone
    # Under doubt, those that surely fail need no verdict, but for the first; and they do not count as looked at.
    failing = {1.0: [row(value=0.5)], 2.0: [row(value=0.5)], 0.0: [row(value=0.5)]}
    monkeypatch.setattr(found, "surely_failing", lambda design, sure: failing.get(design, []))
    under = found.whole_verdicts(wanted, ranking, 9, 0.95)
    assert [(each.place, each.whole) for each in under] == [(0, True), (1, False), (2, False), (3, True), (4, True)]
    monkeypatch.setattr(found, "DRAWN", 2)
    assert len(found.whole_verdicts(wanted, ranking, 9, 0.95)) == 2


def test_what_fails_in_the_middle_is_not_drawn(monkeypatch) -> None:
    drawn = SimpleNamespace(rows=[row("drawn")])
    monkeypatch.setattr(found, "evaluate_finely", lambda design: design)
    monkeypatch.setattr(found, "under_doubt", lambda evaluation, rows, sure: drawn)
    for value, sure, key in ((0.5, 0.95, "gap"), (2.0, 0.95, "drawn"), (2.0, None, "gap")):
        monkeypatch.setattr(found, "rows_of", lambda evaluation, value=value: [row("gap", value)])
        assert [each.key for each in found._whole(0, None, sure).rows] == [key]


WORDS = {"gap": Figure("gap", "the gap", "m", 1.0, 1.0, better="less"),
         "slope": Figure("slope", "the slope", "", 1.0, 1.0, better="less")}  # fmt: skip


def test_the_ranking_shows_those_that_pass_by_their_whole_verdict(monkeypatch) -> None:
    monkeypatch.setattr(found, "figures", lambda search: WORDS)
    wanted = asked(entry("shafts.left.bore", 1, 2, 3), entry("shafts.right.bore", 4, 5, 6))
    findings, ranking = ranked(wanted, np.array([[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]]), [1.0, 0.5, 0.01], 0.7)
    shown = [full(0, row(value=0.5)), full(1, row(value=7.0), row("power")), full(2, row(value=None))]
    best, _ = found.tables(wanted, findings, ranking, shown, 1)
    assert best.title == "Best options"
    ((rank, left, right, value, margin, of, front, _),) = best.rows
    assert (rank, left, right, value) == (2, "2", "5", 7.0)  # the aim as the whole verdict has it
    assert (margin, front) == (pytest.approx(0.5), False)
    assert of.startswith("gap") or of == found.name_of("gap")
    assert [column.title for column in best.columns][1:3] != ["", ""]
    alone = full(2, row("power", 0.5), whole=False)
    failing, _ = found.tables(wanted, findings, ranking, [full(0, row(value=0.5)), alone], 5)
    assert failing.title.startswith("No option passes")
    assert [each[0] for each in failing.rows] == [1]  # what was only drawn quickly is not shown
    assert failing.rows[0][-1].startswith("fails: ")
    # A figure that the whole verdict has not is told as the search has it.
    without, _ = found.tables(wanted, findings, ranking, [full(1, row("power"))], 5)
    assert without.rows[0][3] == 2.0


def test_limits_bind_that_have_little_to_spare_or_fail_alone(monkeypatch) -> None:
    monkeypatch.setattr(found, "figures", lambda search: WORDS)
    wanted = asked(entry("a", *range(5)))
    for first, told in ((0.02, True), (0.021, False), (0.0, False)):
        findings, ranking = ranked(wanted, np.arange(5.0)[None], [first, 1, 1, 1, 1], [1, 1, 1, 1, 1])
        (_, binding) = found.tables(wanted, findings, ranking, [full(0, row())], 1)
        assert {each[0]: each[-1] for each in binding.rows}["the gap"] is told
    margins = [1, -1, -1, -1, 1], [1, 1, -1, -1, 1]
    findings, ranking = ranked(wanted, np.arange(5.0)[None], *margins, legal=[True, True, True, True, False])
    _, binding = found.tables(wanted, findings, ranking, [full(0, row())], 1)
    assert binding.rows == [("the gap", "3", "1", 1.0, True), ("the slope", "2", "0", 1.0, False)]
    assert binding.note.startswith("5 options tried: 1 cannot be built, 1 pass.")
    assert len(binding.brief or binding.rows) == 2


def test_of_many_limits_those_that_stand_in_the_way_are_shown_or_the_nearest(monkeypatch) -> None:
    keys = tuple(f"limit {n}" for n in range(7))
    monkeypatch.setattr(found, "figures", lambda search: {key: replace(WORDS["gap"], what=key) for key in keys})
    wanted = asked(entry("a", *range(3)), keys=keys, aims=("least:limit 0",))
    for lost, brief in ((2, ["limit 0", "limit 1"]), (0, [f"limit {n}" for n in range(1, 6)]), (7, list(keys))):
        margins = [np.array([2.0 - n / 10 if lost != 0 else 1.0 + (n or 9), -1.0 if n < lost else 1.0, 1.0])
                   for n in range(7)]  # fmt: skip
        findings, ranking = ranked(wanted, np.arange(3.0)[None], *margins, keys=keys)
        _, binding = found.tables(wanted, findings, ranking, [full(0, row())], 1)
        assert sorted(each[0] for each in binding.brief) == brief
        assert (f"The other {7 - len(brief)} limits fail nothing." in binding.note) is (len(brief) < 7)
        assert len(binding.rows) == 7


def test_columns_are_headed_by_as_few_words_as_tell_them_apart() -> None:
    assert found._ends(["shafts.left.bore", "shafts.right.bore"]) == ["left.bore", "right.bore"]
    assert found._ends(["a.left.x.bore", "a.right.x.bore"]) == ["left.x.bore", "right.x.bore"]
    assert found._ends(["a.1.b.c.d", "a.2.b.c.d"]) == ["1.b.c.d", "2.b.c.d"]
    assert found._ends(["1.a.b.c.d", "2.a.b.c.d"]) == ["1.a.b.c.d", "2.a.b.c.d"]


def test_the_conclusion_names_what_binds_what_to_take_and_what_was_not_looked_at() -> None:
    wanted = asked(entry("a", *range(5)))
    _, ranking = ranked(wanted, np.arange(5.0)[None], 1.0, 1.0)
    said = found.conclusion(wanted, ranking, [full(0, row(value=0.5)), full(1, row("gap", 1.5), row("slope", 1.2))])
    assert said.startswith("What binds: ")
    assert "20 percent to spare. Take rank 2: a at 1" in said
    assert found.conclusion(wanted, ranking, [full(0, row("gap", 0.0, 0.0, "at most"))]).startswith("Nothing binds.")
    failing = [full(0, row(value=0.5)), full(1, row("slope", 0.5))]
    some = found.conclusion(wanted, ranking, failing)
    assert some.startswith("None of the first 2 in rank passes its whole verdict; the first fails ")
    assert "The other 3 that" in some
    every = found.conclusion(wanted, ranking, [full(n, row(value=0.5)) for n in range(5)])
    assert every.startswith("No option passes every limit; the nearest fails ")
    _, none = ranked(wanted, np.arange(5.0)[None], -1.0, 1.0)
    assert found.conclusion(wanted, none, failing).startswith("No option passes every limit")


def test_what_is_found_is_told_as_plain_data() -> None:
    wanted = asked(entry("a", *range(3)), seed=7, keys=("gap", "speed_fluctuation"))
    findings, ranking = ranked(wanted, np.array([[5.0, 6.0, 7.0]]), [1.0, 1.0, -1.0], 1.0, keys=wanted.keys)
    told = found.data(wanted, findings, ranking, [full(0, row(value=0.5)), full(1, row())])
    assert (told["method"], told["seed"], told["aims"], told["best"]) == ("grid", 7, ["least gap"], 2)
    assert (told["tried"], told["cannot_be_built"], told["pass"], told["interrupted"]) == (
        3,
        0,
        findings.passing,
        False,
    )
    assert told["fails"]["gap"] == {"options": 1, "alone": 1}
    (option,) = told["ranking"]
    assert option["rank"] == 2
    assert option["whole_verdict_failing"] == []
    assert option["figures"]["gap"] == float(ranking.values[0, 1])
    assert told["without_shaft_vibration"] == ["gap"]
    assert found.data(wanted, findings, ranking, [full(0, row(value=0.5))])["best"] is None


# Figures


def test_a_figure_of_a_table_is_its_largest_of_the_rows_that_have_all_words(monkeypatch) -> None:
    columns = (Column("name", "part"), Column("peak", "peak", "N"), Column("kind", "kind"))
    rows = [("pin, right", 2.0, "x"), ("pin, left", -5.0, "x"), ("web, right", 3.0, "y"), ("web, left", None, "y")]
    shown = [Table("course", "Course", columns, rows, ""), Table("joints", "Joint forces", columns, rows, "")]
    monkeypatch.setattr(figures, "BALANCE", (SimpleNamespace(tables=lambda evaluation: shown),))
    monkeypatch.setattr(figures, "SHAFTS", ())
    for key, value in (("joints.peak", -5.0), ("joints.peak[pin, right]", 2.0), ("joints.peak[Web]", 3.0),
                       ("joints.peak[web, left]", None), ("joints.peak[other]", None)):  # fmt: skip
        told = figures.of_tables(None, key)
        assert (told.value, told.unit, told.key) == (value, "N", key)
    assert figures.of_tables(None, "joints.peak[pin]").what == "peak, joint forces, pin"
    for key in ("joints.name", "joints.other", "course.peak", "gapp"):
        with pytest.raises(figures.NoFigureError) as refused:
            figures.of_tables(None, key)
        assert refused.value.known == ("joints.peak",)
        assert ("joints.peak" in str(refused.value).partition("\n")[0]) is key.startswith("j") or key == "course.peak"
    assert "the nearest are gap" in str(figures.NoFigureError("gapp", ()))


def test_usual_figures_are_the_worst_of_what_there_is(monkeypatch) -> None:
    plane = lambda mass: SimpleNamespace(shape=SimpleNamespace(mass=mass))  # noqa: E731
    found_ = SimpleNamespace(weights=SimpleNamespace(planes=[plane(np.array([1.0, 5.0])), plane(2.0)]), pairs=[1, 2],
                             top_speed=9.0)  # fmt: skip
    monkeypatch.setattr(figures, "first_contact", lambda pair, speed, which: np.array([pair * speed, 5.0]))
    mass, contact = (figures.usual(found_, key) for key in ("counterweights.mass", "contact.contact_worst"))
    np.testing.assert_array_equal(mass.value, [2.0, 5.0])
    np.testing.assert_array_equal(contact.value, [9.0, 5.0])
    assert (mass.better, contact.better) == ("less", "more")
    bare = SimpleNamespace(weights=None, pairs=[], top_speed=9.0)
    assert [figures.usual(bare, key) for key in figures.MANY] == [None, None]


# Many at once


def test_what_is_judged_in_parts_stands_where_its_options_do(monkeypatch) -> None:
    monkeypatch.setattr(batch, "options_of", lambda design: 5)
    monkeypatch.setattr(batch, "legal", lambda design, count: np.array([True, True, False, True, True]))
    monkeypatch.setattr(batch, "chunks", lambda design, fine: [np.array([0, 3]), np.array([1, 4])])
    monkeypatch.setattr(batch, "picked", lambda design, places: places)
    monkeypatch.setattr(batch, "figures_of", lambda places, keys: [
        Figure("gap", "gap", "m", 1.0 + places, 3.0, places >= 2, "more", (places - 2) / 3),
        Figure("other", "other", "m", None),
    ])  # fmt: skip
    told = batch.judge_options("design", ("gap", "other"))
    np.testing.assert_array_equal(told.of("gap"), [1.0, 2.0, NAN, 4.0, 5.0])
    np.testing.assert_array_equal(told.of("other"), [NAN] * 5)
    np.testing.assert_array_equal(told.passed, [[False, False, False, True, True], [True, True, False, True, True]])
    np.testing.assert_array_equal(told.passes, [False, False, False, True, True])
    np.testing.assert_allclose(told.margins[0], [-2 / 3, -1 / 3, NAN, 1 / 3, 2 / 3])


def test_figures_that_only_tables_have_are_worked_out_one_by_one(monkeypatch) -> None:
    asked_: list[tuple] = []

    def alone(evaluation, key):
        asked_.append((evaluation, key))
        return Figure(key, "word", "N", None if evaluation == 1 else float(evaluation), better="less")

    sources = [SimpleNamespace(KEYS={"gap": ""}, rows=lambda evaluation: [row("gap", 7.0)]),
               SimpleNamespace(KEYS={"slope": ""}, rows=lambda evaluation: [row("slope", 8.0)])]  # fmt: skip
    monkeypatch.setattr(batch, "MANY", sources)
    monkeypatch.setattr(
        batch, "Evaluation", lambda design: SimpleNamespace(design=design) if design == "all" else design
    )
    monkeypatch.setattr(batch, "one", lambda design, place: place)
    monkeypatch.setattr(batch, "options_of", lambda design: 3)
    monkeypatch.setattr(batch, "alone", alone)
    mass = Figure("counterweights.mass", "mass", "kg", 2.0)
    monkeypatch.setattr(figures, "usual", lambda evaluation, key: mass if key == "counterweights.mass" else None)
    gap, peak, weight, contact = batch.figures_of("all", ("gap", "joints.peak", "counterweights.mass",
                                                          "contact.contact_worst"))  # fmt: skip
    assert (gap.value, weight) == (7.0, mass)
    np.testing.assert_array_equal(peak.value, [0.0, NAN, 2.0])
    assert (peak.what, peak.unit, peak.better) == ("word", "N", "less")
    assert contact.key == "contact.contact_worst"
    assert {key for _, key in asked_} == {"joints.peak", "contact.contact_worst"}
    assert set(batch.limits_of(None, ["slope"])) == {"slope"}
    assert set(batch.limits_of(None)) == {"gap", "slope"}


def test_a_limit_is_a_figure_before_any_table(monkeypatch) -> None:
    monkeypatch.setattr(batch, "verdict_of", lambda evaluation: [row("gap", 7.0)])
    monkeypatch.setattr(figures, "of_tables", lambda evaluation, key: Figure(key, "of a table", "N", 1.0))
    assert batch.alone(None, "gap").value == 7.0
    assert batch.alone(None, "joints.peak").what == "of a table"


# A file with other values


TEXT = """\
title: fan   # mine
cranks:
  throws: {inner: {radius: 9 mm, at: -21 mm}, outer: {radius: 12 mm, at: -39 mm}}   # two
  webs:
    - at: -10 mm        # first
      mass: 16 g
    - {at: -30 mm, mass: 15 g}
walls: {}
shafts:
  segments:
    - {length: 98 mm, diameter: 10 mm}
  material: steel

options:
  wide:
    cranks.throws.inner.radius: 10 mm
"""


def changed(old: str, new: str, count: int = 1) -> str:
    assert TEXT.count(old) >= count
    return TEXT.replace(old, new)


def tree():
    return parse(TEXT, "fan.yaml")


def test_single_values_are_written_over_and_all_else_stays() -> None:
    assert with_values(TEXT, tree(), {"cranks.throws.inner.radius": "8 mm"}) == changed("radius: 9 mm", "radius: 8 mm")
    both = with_values(TEXT, tree(), {"cranks.webs.*.at": "-5 mm"})
    assert both == TEXT.replace("at: -10 mm ", "at: -5 mm ").replace("at: -30 mm", "at: -5 mm")
    assert with_values(TEXT, tree(), {"title": "other", "shafts.material": "brass"}) == (
        TEXT.replace("title: fan", "title: other").replace("material: steel", "material: brass")
    )
    assert with_values(TEXT, tree(), {"cranks.throws": "none", "walls": "none"}) == TEXT  # no single values


def test_new_entries_stand_beside_those_that_there_are() -> None:
    entries = {("cranks", "webs", "0", "width"): "5 mm", ("cranks", "webs", "1", "width"): "6 mm",
               ("cranks", "throws", "outer", "pin", "diameter"): "7 mm", ("walls", "floor"): "{z: 1}",
               ("shafts", "finish"): "ground", ("cranks", "gears", "teeth"): "52", ("cranks", "gears", "face"): "8 mm",
               ("mount", "mass"): "1 kg"}  # fmt: skip
    text = with_entries(TEXT, tree(), entries)
    for old, new in (
        ("      mass: 16 g\n", "      mass: 16 g\n      width: 5 mm\n"),
        ("{at: -30 mm, mass: 15 g}", "{at: -30 mm, mass: 15 g, width: 6 mm}"),
        ("at: -39 mm}}", "at: -39 mm, pin: {diameter: 7 mm}}}"),
        ("walls: {}", "walls: {floor: {z: 1}}"),
        ("  material: steel\n", "  material: steel\n  finish: ground\n"),
    ):
        assert new in text
        text = text.replace(new, old)
    assert "\n  gears: {teeth: 52, face: 8 mm}\n" in text
    assert text.rstrip().endswith("mount: {mass: 1 kg}")
    parse(with_entries(TEXT, tree(), entries), "fan.yaml")


def test_new_values_are_told_in_the_units_of_the_old_ones_each_in_a_list_in_its_own() -> None:
    words = "a: 1 in\nb: [1 in, 20 mm]\nc: {d: 1 in}\ne: [{f: 1 in}]\nh: [1 mm, 2 mm, 3 mm, 4 mm]\n"
    new = {("a",): "12.7 mm", ("b",): "[25.4 mm, 1 mm, 2 mm]", ("c",): "{d: 2 mm}", ("c", "d"): "50.8 mm",
           ("c", "g"): "3 mm", ("e",): "[{f: 1 mm}]", ("e", "0", "f"): "2.54 mm"}  # fmt: skip
    told = {**new, ("a",): "0.5 in", ("b",): "[1 in, 1 mm, 2 mm]", ("c", "d"): "2 in", ("e", "0", "f"): "0.1 in"}
    assert as_given(parse(words, "fan.yaml"), new) == told
    one = {("a",): "[25.4 mm, -12.7 mm]", ("b",): "50.8 mm"}  # two planes in the place of one, and one in that of two
    assert as_given(parse(words, "fan.yaml"), one) == {("a",): "[1 in, -0.5 in]", ("b",): "50.8 mm"}


def test_new_entries_of_a_file_in_inches_are_in_inches() -> None:
    """As most of its lengths are, and masses in ounces; what is compounded of them stays."""
    words = "a: 1 in\nb: [1/2 in, 20 mm]\nm: 2 oz\nn: 3 g\np: 4 oz\nx: {y: 1 N/mm}\n"
    new = {("x",): "{y: 2 N/mm, z: 12.7 mm, w: [25.4 mm, -2.54 mm]}", ("c",): "50.8 mm", ("d",): "28.349523125 g",
           ("e",): "5 kg mm", ("f",): "3 kg/m^3", ("a",): "12.7 mm"}  # fmt: skip
    assert as_given(parse(words, "fan.yaml"), new, "imperial") == {
        ("x",): "{y: 2 N/mm, z: 0.5 in, w: [1 in, -0.1 in]}", ("c",): "2 in", ("d",): "1 oz", ("e",): "5 kg mm",
        ("f",): "3 kg/m^3", ("a",): "0.5 in"}  # fmt: skip
    metric = parse("a: 1 in\nb: 2 mm\nc: 3 mm\n", "fan.yaml")
    assert as_given(metric, {("x",): "{z: 12.7 mm}"}) == {("x",): "{z: 12.7 mm}"}


def test_what_stands_for_an_entry_below_it_is_written_over() -> None:
    text = with_entries(TEXT, tree(), {("shafts", "material", "name"): "brass", ("cranks", "webs", "0", "at"): "-9 mm"})
    assert text == TEXT.replace("material: steel", "material: brass").replace("at: -10 mm", "at: -9 mm")
    whole = with_entries(TEXT, tree(), {("cranks", "throws", "inner"): "{radius: 7 mm}", ("cranks", "webs"): "[]"})
    assert "{inner: {radius: 7 mm}, outer: {radius: 12 mm, at: -39 mm}}   # two" in whole
    assert whole.count("-10 mm") == 0 and "  webs:\n    []" in whole
    assert with_entries(TEXT.rstrip("\n"), tree(), {("title",): "new"}) == changed("fan ", "new ").rstrip("\n")


def test_an_option_gets_further_entries_the_last_of_which_holds() -> None:
    said = with_option(
        TEXT,
        tree(),
        "wide",
        {
            ("shafts", "material"): "brass",
            ("cranks", "webs", "1", "width"): "6 mm",
            ("cranks", "gears", "teeth"): "52",
            ("cranks", "gears", "face"): "8 mm",
        },
    )
    assert said.startswith(TEXT.rstrip("\n"))
    lines = said[len(TEXT.rstrip("\n")) :].strip("\n").splitlines()
    assert sorted(lines) == ["    cranks.gears: {teeth: 52, face: 8 mm}", "    cranks.webs.1.width: 6 mm",
                             "    shafts.material: brass"]  # fmt: skip
    over = with_option(TEXT, tree(), "wide", {("cranks", "throws", "inner", "radius"): "11 mm"})
    assert over == changed("radius: 10 mm", "radius: 11 mm")

"""Where a limit hangs on what is not known: which entry to measure, to within what, and where it turns; by hand."""

from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from balance.doubt.ranges import Range
from balance.machine.crank import LARGEST_LEAD
from designs.counsel import measuring
from designs.counsel.measuring import Reading, known_better
from designs.doubt.unknowns import Unknown, machines
from designs.reading import read
from designs.verdict.row import Doubt, Row

PHASE = Range("even", np.deg2rad(80), np.deg2rad(90), np.deg2rad(100), "rad", True, "80..100 deg")
RIGHT = Unknown("right", ((("cranks", "throws", "outer", "phase"), PHASE),))
LEFT = Unknown("left", ((("cranks", "throws", "outer", "left_phase"), PHASE),))


def test_a_reading_says_the_entry_to_within_what_and_on_which_side_of_what_it_holds() -> None:
    reading = Reading((RIGHT, LEFT), np.deg2rad(1.25), (np.deg2rad(86.5), np.deg2rad(93.0)))
    assert reading.words.startswith(
        "cranks.throws.outer.phase, on the right and on the left, to within 1.2 deg of 90 deg (given 80 to 100 deg; "
        "holds above 86.5 deg and holds below 93 deg): set it on a flat plate"
    )
    alone = Reading((RIGHT,), np.deg2rad(5.0), (None, None)).words
    assert alone.startswith("cranks.throws.outer.phase to within 5 deg of 90 deg (given 80 to 100 deg; does not turn")


def test_known_better_is_so_much_narrower_about_the_middle() -> None:
    found = known_better(Range("factor", 2.0, 3.0, 4.5, "m", True, "about 3 m"), 0.5)
    assert (found.law, found.low, found.middle, found.high) == ("even", 2.5, 3.0, 3.75)


def test_both_sides_of_an_entry_are_measured_as_one_the_right_one_first() -> None:
    other = Unknown("gas", ((("gas", "hot"), PHASE),))
    assert measuring._entries([LEFT, other, RIGHT]) == [(RIGHT, LEFT), (other,)]


@pytest.mark.parametrize(
    ("needed", "found"),
    [((0.3, 1.0), [0.25, 1.0]), ((0.2, 1.0), [0.125, 1.0]), ((0.07, 0.5), [0.0625, 0.5]), ((0.05, 1.0), None)],
)
def test_entries_are_known_as_well_as_need_be_and_no_better(monkeypatch, needed, found) -> None:
    other = Unknown("gas", ((("gas", "hot"), PHASE),))
    half = (PHASE.high - PHASE.low) / 2

    def standing(known, rows, keys):
        share = [
            (known.design.doubts[path].high - PHASE.middle) / half for path in (RIGHT.entries[0][0], ("gas", "hot"))
        ]
        doubts = known.design.doubts
        assert doubts[LEFT.entries[0][0]].high == doubts[RIGHT.entries[0][0]].high
        assert known.motion == "worked out" and known.kept == {} and evaluation.design.doubts == {}
        low = 0.99 if all(one <= most + 1e-9 for one, most in zip(share, needed, strict=True)) else 0.5
        return [Row("gap", "gap", 2.0, 1.0, "m", "at least", doubt=Doubt(512, low, low, 1.0, 0.95, (0.0, 1.0), None))]

    monkeypatch.setattr(measuring, "standing", standing)
    monkeypatch.setattr(measuring, "unchecked", lambda design, said: SimpleNamespace(**said))
    evaluation = SimpleNamespace(design=SimpleNamespace(doubts={}), kept={"verdict": []}, motion="worked out")
    rows = [Row("gap", "gap", 2.0, 1.0, "m", "at least")]
    assert measuring._enough(evaluation, [(RIGHT, LEFT), (other,)], rows) == found


OTHER = Unknown("gas", ((("gas", "hot"), PHASE),))


def test_a_reading_tells_where_the_limit_turns_along_its_entry(monkeypatch) -> None:
    """A judge for whom the limit holds from 0.31 to 0.81 of the entry, the other one being in its middle."""

    class Told:
        def __init__(self, *_):
            pass

        def draws(self, shares):
            pass

        def __call__(self, shares):
            np.testing.assert_array_equal(shares[2], 0.5)
            np.testing.assert_array_equal(shares[0], shares[1])
            return {"gap": SimpleNamespace(holds=(shares[0] > 0.31) & (shares[0] < 0.81)), "not": SimpleNamespace()}

    monkeypatch.setattr(measuring, "Judge", Told)
    monkeypatch.setattr(measuring, "unknowns_of", lambda design: [RIGHT, LEFT, OTHER])
    monkeypatch.setattr(measuring, "placed", lambda rows: {"gap": None})
    found = measuring._reading(SimpleNamespace(design=None), (RIGHT, LEFT), 0.25, [])
    assert np.rad2deg(found.within) == pytest.approx(2.5)
    assert np.rad2deg(found.between) == pytest.approx((86.25, 96.0))  # of 80 steps along it


@pytest.mark.parametrize(
    ("states", "enough", "told"),
    [
        (("pass", "FAIL", "depends in some"), {1: (0.25,)}, []),
        (("depends",), {3: (0.25, 0.25, 0.25)}, ["the gap hangs"]),
        (("depends",), {1: (0.25,)}, ["gas.hot 0.25"]),
        (("depends",), {2: (1.0, 0.125)}, ["cranks.throws.outer.phase 0.125"]),
        (("depends",), {}, ["the gap hangs"]),
    ],
)
def test_the_fewest_entries_are_measured_that_settle_it(monkeypatch, states, enough, told) -> None:
    rows = [
        SimpleNamespace(
            key="gap", state=each[:7], passed=np.array([True, each[7:] == ""]), what="the gap", words="hangs"
        )
        for each in states
    ]
    plan = SimpleNamespace(trial=SimpleNamespace(rows=rows))
    ranked = [SimpleNamespace(unknown=each) for each in (OTHER, RIGHT, LEFT)]
    for name, made in {"as_written": lambda plan: None, "evaluate_finely": lambda design: None,
                       "under_doubt": lambda *_: SimpleNamespace(first=ranked), "names_of": ", ".join,
                       "_enough": lambda design, entries, rows: enough.get(len(entries)),
                       "_reading": lambda evaluation, entry, share, rows: SimpleNamespace(
                           words=f"{entry[0].name} {share:g}")}.items():  # fmt: skip
        monkeypatch.setattr(measuring, name, made)
    said = [each.rpartition("): ")[2] for each in measuring.to_measure(plan)]
    assert said == told


@pytest.mark.parametrize(("right", "left", "drawn"), [(0.0, 1.0, 85.0), (1.0, 0.0, 95.0), (0.5, 0.6, 92.0)])
def test_the_left_side_of_a_machine_is_as_near_to_the_right_one_as_one_drawing_has_it(right, left, drawn) -> None:
    """From 80 to 100 degrees each: five degrees is the most by which two sides of a machine differ."""
    assert np.rad2deg(LARGEST_LEAD) == pytest.approx(5.0)
    design = read(Path(__file__).parents[2] / "designs" / "redesign.yaml")
    throw = machines(design, [RIGHT, LEFT], np.array([[right], [left]])).cranks.throws["outer"]
    assert np.rad2deg(throw.phase) == pytest.approx(80 + 20 * right)
    assert np.rad2deg(throw.left_phase) == pytest.approx(drawn, abs=1e-5)
    assert not list(throw.disagreements())

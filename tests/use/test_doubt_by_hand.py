"""The arithmetic of a verdict under doubt, on limits made by hand: reserves, corners, turning points, closer looks."""

from types import SimpleNamespace

import numpy as np
import pytest

from balance.doubt.draws import latin_hypercube
from balance.doubt.ranges import Range
from designs.doubt import band, one_by_one, outcome, scan, vibrated
from designs.doubt.judging import AS_SEEN, Closer, Judged, closer_look, joined, placed, value_of
from designs.doubt.unknowns import Unknown
from designs.doubt.words import depends_in_corners, depends_on, known_of, shown, turn_words
from designs.shown import using
from designs.verdict.row import Doubt, Row, Turn

ONE, OTHER = ("one", 0), ("other", 0)
NAN = np.nan


def limit(values, limits=1.0, sense="at least") -> Judged:
    values = np.array(values, dtype=float)
    return Judged(values, np.broadcast_to(np.array(limits, dtype=float), values.shape), sense)


def row(key="one", value: float | None = 2.0, limit=1.0, sense="at least", **more) -> Row:
    return Row(key, key, value, limit, "N", sense, **more)


# One limit of many machines


def test_rows_of_one_key_are_counted() -> None:
    rows = [row("one"), row("other"), row("one", 3.0)]
    assert list(placed(rows)) == [ONE, OTHER, ("one", 1)]
    assert placed(rows)["one", 1].value == 3.0


def test_what_a_limit_has_to_spare_is_counted_to_the_safe_side() -> None:
    """A machine that cannot be built has none; one whose limit is not a number is at it."""
    each = limit([3.0, 1.0, 0.5, NAN, 2.0], [1.0, 1.0, 1.0, 1.0, NAN])
    np.testing.assert_array_equal(each.reserve, [2.0, 0.0, -0.5, -np.inf, 0.0])
    np.testing.assert_array_equal(each.holds, [True, True, False, False, False])
    most = limit([3.0, 1.0, 0.5, NAN], sense="at most")
    np.testing.assert_array_equal(most.reserve, [-2.0, 0.0, 0.5, -np.inf])
    np.testing.assert_array_equal(most.holds, [False, True, True, False])
    np.testing.assert_array_equal(each.of(slice(1, None)).values, [1.0, 0.5, NAN, 2.0])
    np.testing.assert_array_equal(each.of(slice(1, None)).limits, [1.0, 1.0, 1.0, NAN])
    np.testing.assert_array_equal(each.seen(Closer(2.0, 0.5)).values, [6.5, 2.5, 1.5, NAN, 4.5])


def test_further_machines_are_set_beside_the_first_ones() -> None:
    found = joined({ONE: limit([1.0, 2.0], sense="at most")}, 2, {ONE: limit([3.0]), OTHER: limit([4.0])}, 1)
    np.testing.assert_array_equal(found[ONE].values, [1.0, 2.0, 3.0])
    np.testing.assert_array_equal(found[OTHER].values, [NAN, NAN, 4.0])
    np.testing.assert_array_equal(found[OTHER].limits, [NAN, NAN, 1.0])
    assert (found[ONE].sense, found[OTHER].sense) == ("at most", "at least")


@pytest.mark.parametrize(
    ("closer", "quick", "look"),
    [
        (1.2, 1.0, Closer(1.2)),  # within a quarter: in proportion
        (1.25, 1.0, Closer(1.25)),
        (2.4, 2.0, Closer(1.2)),
        (0.6, 0.5, Closer(1.2)),
        (0.75, 1.0, Closer(0.75)),
        (1.3, 1.0, Closer(1.0, 0.3)),  # more: by as much
        (0.7, 1.0, Closer(1.0, -0.3)),
        (-0.9, -1.0, Closer(1.0, 0.1)),
        (0.1, 0.0, Closer(1.0, 0.1)),
        (NAN, 1.0, AS_SEEN),
        (1.0, np.inf, AS_SEEN),
    ],
)
def test_a_closer_look_changes_a_size_in_proportion_or_by_as_much(closer: float, quick: float, look: Closer) -> None:
    found = closer_look(closer, quick)
    assert (found.factor, found.more) == (pytest.approx(look.factor), pytest.approx(look.more))


def test_the_value_of_a_row_is_its_first_number_or_none() -> None:
    assert value_of(row(value=np.array([4.0, 5.0]))) == 4.0
    assert np.isnan(value_of(None))
    assert np.isnan(value_of(row(value=None)))


# Each unknown from end to end


class Fake:
    """Judges machines, (unknowns, machines), by formulas of their shares; the limit is 1, at least."""

    def __init__(self, alone=None, **formulas):
        self.formulas = {(name, 0): each for name, each in formulas.items()}
        self.single = alone or {}
        self.top = 100.0
        self.looks = 0
        self.unknowns: list = []

    def __call__(self, shares, only=None):
        self.looks += 1
        return {place: limit(each(*shares)) for place, each in self.formulas.items()}

    def alone(self, shares, keys):
        return {place: float(each(*shares)) for place, each in self.single.items() if place[0] in keys}

    def closer_of(self, place):
        return Closer(more=0.2)


RANGE = Range("even", 10.0, 20.0, 30.0, "N", False, "why", "force", "push it")


def unknown(path="fits.guide_play") -> Unknown:
    return Unknown(path, ((tuple(path.split(".")), RANGE),))


def looked_along(judge: Fake, count: int = 2) -> scan.Scan:
    return scan.scanned(judge, [unknown() for _ in range(count)])


def test_the_worst_of_each_unknown_is_where_its_reserve_is_least_and_the_middle_if_it_does_nothing() -> None:
    judge = Fake(one=lambda a, b, c: 2.0 - a + (c - 0.25) ** 2)
    found = looked_along(judge, 3)
    assert judge.looks == 1
    low, high = RANGE.ends
    np.testing.assert_allclose(found.shares[0], np.linspace(low, high, 9))
    worst = found.worst(ONE)
    assert worst[0] == pytest.approx(high)
    assert worst[1] == 0.5
    assert worst[2] == pytest.approx(found.shares[2][np.argmin(np.abs(found.shares[2] - 0.25))])
    assert not found.one_way(ONE)
    assert looked_along(Fake(one=lambda a, b: a - b)).one_way(ONE)
    assert looked_along(Fake(one=lambda a, b: 1e6 * a + 1e-5 * np.cos(20 * b))).one_way(ONE)
    assert not looked_along(Fake(one=lambda a, b: 1e6 * a + 1e-2 * np.cos(20 * b))).one_way(ONE)


def test_a_machine_that_cannot_be_built_is_not_the_worst_one() -> None:
    found = looked_along(Fake(one=lambda a, b: np.where(a > 0.9, NAN, 2.0 - a) + 0 * b))
    shares = found.shares[0]
    assert found.worst(ONE)[0] == pytest.approx(shares[shares <= 0.9].max())


def test_a_limit_hangs_on_the_left_where_what_is_made_otherwise_there_moves_it() -> None:
    unknowns = [unknown(), unknown("fits.guide_play")]
    every = scan.scanned(Fake(one=lambda a, b: a + 0 * b), unknowns)
    for left, expected in (([True, False], True), ([False, True], False)):
        assert scan.Scan(every.shares, every.judged, np.array(left)).by_sides(ONE) is expected


def test_where_a_limit_turns_is_known_closely_and_both_ends_were_run() -> None:
    """It holds from 0.6137 of the first one on, up to 0.2718 of the second; of the third it turns twice."""
    turns = 0.6137, 0.2718
    judge = Fake(one=lambda a, b, c: 1.0 + (a - turns[0]) + 0.1 * (c - 0.5), other=lambda a, b, c: 1.0 + turns[1] - b,
                 twice=lambda a, b, c: 1.0 + 0.09 - (c - 0.5) ** 2)  # fmt: skip
    along = looked_along(judge, 3)
    found = scan.crossings(judge, along, [(ONE, 0), (OTHER, 1), (("twice", 0), 2), (ONE, 1)])
    assert set(found) == {(ONE, 0), (OTHER, 1)}
    step = (RANGE.ends[1] - RANGE.ends[0]) / 8 / 16**2
    for (at, above), turn in zip(((found[ONE, 0], True), (found[OTHER, 1], False)), turns, strict=True):
        assert min(at.holds, at.fails) <= turn <= max(at.holds, at.fails)
        assert (at.holds > at.fails) is above
        assert abs(at.holds - at.fails) == pytest.approx(step)
    assert judge.looks == 3  # the scan, and two closer looks


def test_a_turning_point_is_confirmed_as_closely_as_the_middle_machine_is_seen() -> None:
    """Seen closely the limit has 0.05 less to spare: it turns so much later."""
    judge = Fake(one=lambda a: 1.0 + a - 0.5, alone={ONE: lambda a: 0.95 + a - 0.5})
    along = looked_along(judge, 1)
    first = scan.crossings(judge, along, [(ONE, 0)])
    found = scan.confirmed(judge, along, first)[ONE, 0]
    factor = 0.95 / 1.0  # at the turning point it is 0.95 of the value, within a quarter: in proportion
    assert found.holds == pytest.approx(1 / factor - 0.5, abs=1e-3)
    assert found.fails < found.holds
    assert scan.confirmed(judge, along, {}) == {}


def test_a_yoke_that_tilts_has_a_worse_corner_than_that_of_each_unknown_alone() -> None:
    """Of two alike the worse is that in which they stand at unlike ends; the first stays where it is worst."""
    judge = Fake(one=lambda a, b, c: 3.0 - a - np.abs(b - c))
    along = looked_along(judge, 3)
    low, high = along.shares[0, 0], along.shares[0, -1]
    assert scan.tilted(judge, along, {}) == {}
    corner = scan.tilted(judge, along, {ONE: np.array([high, high, high])})[ONE]
    assert corner[0] == high
    assert sorted(corner[1:]) == pytest.approx([low, high])


# The verdict


def drawn_by(monkeypatch, judge: Fake, *names: str) -> None:
    judge.unknowns = [unknown(each) for each in names]
    judge.draws, judge.knows = judge, lambda corner: False
    monkeypatch.setattr(outcome, "unknowns_of", lambda design: judge.unknowns)
    monkeypatch.setattr(outcome, "Judge", lambda *given: judge)


def test_a_whole_verdict_is_drawn_corner_by_corner_and_says_what_decides(monkeypatch) -> None:
    """One limit holds in 7 of 10 machines, by the first unknown alone; others hold; one takes a machine at a time."""
    judge = Fake(one=lambda a, b: 1.0 + a - 0.3 + 0 * b, other=lambda a, b: 2.0 + 0 * a, more=lambda a, b: 3.0 - b)
    judge.whole = lambda corner, keys: [row(key, 0.5) for key in keys]
    drawn_by(monkeypatch, judge, "a", "b")
    rows = [row("one", 1.2), row("other", 2.0), row("more", 2.5), row("whole", 2.0), row("left out", None)]
    found = outcome.under_doubt(SimpleNamespace(design=None), rows)
    at = placed(found.rows)
    assert [each.state for each in found.rows] == ["depends", "pass", "pass", "depends", "not checked"]
    assert found.shares.shape == (2, 512)
    np.testing.assert_array_equal(found.shares[:, :128], latin_hypercube(["a", "b"], 128, 1))
    np.testing.assert_array_equal(found.shares[:, 128:], latin_hypercube(["a", "b"], 384, 2))
    doubt = at[ONE].doubt
    assert (doubt.count, doubt.share) == (512, pytest.approx(0.7, abs=0.005))
    assert [each.side for each in doubt.turns] == ["above"]
    assert doubt.turns[0].at == pytest.approx(float(RANGE.at(np.array(0.3))), abs=0.02)
    assert doubt.words == depends_on(doubt)
    assert at["whole", 0].doubt.count == 3  # the middle one and two corners
    assert [each.unknown.identity for each in found.first] == ["a", "b"]
    assert found.first[0].share == pytest.approx(1.0, abs=0.05)
    assert not outcome.under_doubt(SimpleNamespace(design=None), []).unknowns


def test_no_more_are_drawn_than_it_takes(monkeypatch) -> None:
    judge = Fake(one=lambda a, b: 2.0 + a - b)
    drawn_by(monkeypatch, judge, "a", "b")
    rows = [row("one")]
    assert outcome.under_doubt(SimpleNamespace(design=None), rows).shares.shape == (2, 128)
    judge.formulas[ONE] = lambda a, b: 1.0 + a - 0.5 + 0 * b
    for sure, draws, few, count in ((0.5, 64, 128, 128), (0.95, 64, 128, 304), (0.95, 400, 128, 400)):
        found = outcome.under_doubt(SimpleNamespace(design=None), rows, sure, draws, few)
        assert found.shares.shape == (2, count)
    drawn_by(monkeypatch, judge)
    assert outcome.under_doubt(SimpleNamespace(design=None), rows).rows is rows


@pytest.mark.parametrize("worse", [0.5, 0.0])
def test_what_own_vibration_takes_is_settled_by_all_draws_where_few_do_not(monkeypatch, worse: float) -> None:
    """All hold without; with it 2 of 100 fail, which 512 machines show to be few enough and 128 do not."""
    judge = Fake(one=lambda a, b: 1.48 + a + 0 * b)
    drawn_by(monkeypatch, judge, "a", "b")
    checks = {ONE: vibrated.VibrationCheck(2, 0.5, worse, 1.0)}
    monkeypatch.setattr(outcome, "vibrating_alone", lambda *given: checks)
    found = outcome.under_doubt(SimpleNamespace(design=None), [row("one")])
    doubt = placed(found.rows)[ONE].doubt
    assert doubt.count == (512 if worse else 128)
    assert doubt.share == pytest.approx(0.98 if worse else 1.0, abs=0.005)
    assert found.rows[0].state == "pass"
    (alone,) = outcome.standing(SimpleNamespace(design=None), [row("one")], ["one"])
    assert (alone.state, alone.doubt.count) == ("pass", doubt.count)


def test_as_many_are_drawn_as_can_show_so_large_a_share() -> None:
    assert [outcome._enough(sure) for sure in (0.5, 0.95, 0.99)] == [16, 304, 1584]


@pytest.mark.parametrize(
    ("fails", "count", "settled"),
    [(0, 128, True), (1, 128, True), (12, 128, False), (64, 128, False), (127, 128, True), (128, 128, True)],
)
def test_few_machines_settle_what_all_but_one_or_two_agree_on(fails: int, count: int, settled: bool) -> None:
    values = np.where(np.arange(count) < fails, 0.5, 2.0)
    middle = row(value=0.5 if fails > count / 2 else 2.0)
    assert outcome._settled(middle, limit(values), 0.95) is settled
    assert outcome._settled(None, limit(values), 0.95)


def test_the_worst_is_that_of_the_corner_or_of_the_draws() -> None:
    drawn = limit([1.5, 1.2, NAN])
    assert outcome._worst(drawn, limit([9.0, 0.7]), 1) == 0.7
    assert outcome._worst(drawn, limit([9.0, 1.3]), 1) == 1.2
    assert outcome._worst(drawn, limit([9.0, NAN]), 1) == 1.2
    assert outcome._worst(limit([NAN]), limit([NAN]), 0) is None
    most = limit([1.5, 1.2], sense="at most")
    assert outcome._worst(most, limit([1.7], sense="at most"), 0) == 1.7


def test_the_spread_leaves_five_in_a_hundred_out_on_each_side() -> None:
    values = np.append(np.arange(101.0)[::-1], NAN)
    assert outcome._spread(limit(values)) == (5.0, 95.0)
    assert np.isnan(outcome._spread(limit([NAN]))).all()


def test_what_decides_is_the_first_three_that_matter() -> None:
    assert outcome._deciding(np.array([0.1, 0.6, 0.04, 0.2])) == [1, 3, 0]
    assert outcome._deciding(np.array([0.3, 0.06, 0.3, 0.2])) == [0, 2, 3]
    assert outcome._deciding(np.array([0.01, 0.05, 0.04])) == [1]
    assert outcome._deciding(np.array([0.01, 0.02, 0.01])) == [1]


def test_a_turn_is_told_on_the_side_on_which_the_limit_holds() -> None:
    above = outcome._turn(unknown(), 0.4, scan.Crossing(0.6, 0.5))
    below = outcome._turn(unknown(), 0.4, scan.Crossing(0.4, 0.5))
    assert (above.side, below.side, above.explains) == ("above", "below", 0.4)
    assert above.at == pytest.approx(float(RANGE.at(np.array(0.6))))
    assert outcome._turn(unknown(), 0.1, None).at is None


def test_the_nearest_limit_has_the_least_room_of_itself() -> None:
    assert one_by_one._nearness(limit([30.0, 21.0], 20.0)) == pytest.approx(0.05)
    assert one_by_one._nearness(limit([3.0, 0.5], [-2.0, -1.0])) == pytest.approx(1.5)


def test_corner_machines_count_with_the_middle_one() -> None:
    corners = [{ONE: row(value=0.5)}, {ONE: row(value=3.0)}, {}, {ONE: row(value=None)}]
    doubt = one_by_one._doubt(ONE, row(), corners, 0.95)
    assert (doubt.count, doubt.share, doubt.spread, doubt.worst) == (3, pytest.approx(2 / 3), (0.5, 3.0), 0.5)
    assert "2 corner machines" in doubt.note
    assert doubt.words == f"holds in 2 of 3 machines: {doubt.note}"
    most = one_by_one._doubt(ONE, row(sense="at most", limit=9.0), corners, 0.95)
    assert most.worst == 3.0


def test_what_to_find_out_first_settles_most_of_what_is_open() -> None:
    """One limit fails in half of the machines, another in a tenth: a variance of 0.25 and of 0.09."""
    settles = {ONE: np.array([[0.1, 0.8], [0.2, 0.9]]), OTHER: np.array([[0.9, 0.0], [1.0, 0.1]])}
    fits = {place: SimpleNamespace(settled=lambda holds, each=each: each) for place, each in settles.items()}
    holds = {ONE: np.arange(10) < 5, OTHER: np.arange(10) < 9}
    first = outcome._first([unknown("first"), unknown("second")], holds, fits)
    assert [each.unknown.identity for each in first] == ["second", "first"]
    assert first[1].share == pytest.approx((0.25 * 0.1 + 0.09 * 0.9) / 0.34)
    assert first[0].together == pytest.approx((0.25 * 0.9 + 0.09 * 0.1) / 0.34)
    assert outcome._first([unknown()], {ONE: np.ones(10, dtype=bool)}, fits) == []


# Vibration of their own


def test_only_where_five_times_its_share_could_turn_a_limit_vibration_is_looked_at() -> None:
    """The closer look takes 0.2 off every value: 1.0 counts; or five times a hundredth of the value."""
    values = limit([3.0, 2.0, 1.9, NAN])
    np.testing.assert_allclose(
        vibrated._reserve_without_vibration(values, Closer(more=-0.2)), [1.0, 0.0, -0.1, np.inf], atol=1e-12
    )
    np.testing.assert_allclose(
        vibrated._reserve_without_vibration(values, AS_SEEN)[:3], [2 - 0.15, 1 - 0.1, 0.9 - 0.095]
    )
    scaled = vibrated._reserve_without_vibration(values, Closer(factor=1.25))  # 3 was 2.4: 0.6 of change
    np.testing.assert_allclose(scaled[:2], [2 - 3.0, 1 - 2.0])


def test_beyond_the_fastest_speed_nothing_was_looked_for() -> None:
    values = np.array([[1.0, 1.5], [200.0, 90.0], [NAN, 2.0], [150.0, 180.0]])
    np.testing.assert_allclose(vibrated._apart(values, 100.0), [0.5, -10.0, 0.0])
    np.testing.assert_allclose(vibrated._apart(values[:1], np.inf), [0.5])
    assert vibrated._apart(np.array([]), 1.0).size == 0


def test_all_are_taken_as_much_worse_as_the_worst_was_found() -> None:
    own = vibrated.VibrationCheck(2, 0.3, 0.2, 4.0)
    assert own.words == (
        "vibration as in the middle machine, off by 7.5 percent of the limit in 2 worked out by themselves, which is "
        "counted"
    )
    assert "more than can be told" in vibrated.VibrationCheck(1, 0.3, 0.0, 0.0).words
    assert "counted" not in vibrated.VibrationCheck(1, 0.3, 0.0, 1.0).words
    assert "off by 7.5 percent" in vibrated.VibrationCheck(2, 0.3, 0.2, -4.0).words
    assert (own.closer("at least").more, own.closer("at most").more) == (-0.2, 0.2)
    found = vibrated.shifted({ONE: limit([2.0]), OTHER: limit([2.0])}, {ONE: own})
    assert (found[ONE].values[0], found[OTHER].values[0]) == (pytest.approx(1.8), 2.0)
    contact = {("contact", 0): limit([0.1, np.nan, 2.0])}  # no sooner than at rest
    sooner = vibrated.shifted(contact, {("contact", 0): own})[("contact", 0)].values
    np.testing.assert_allclose(sooner, [0.0, np.nan, 1.8])


@pytest.mark.parametrize("own", [-0.3, 0.1])
def test_the_machine_nearest_to_the_limit_and_the_worst_corner_are_worked_out(own: float) -> None:
    """The second one drawn is at its limit, others are far; in the worst corner it is off by the most."""
    gap = ("gap", 0)
    judge = Fake(gap=lambda a, b: 1.0 + a - b, alone={gap: lambda a, b: 1.0 + a - b + own * (1 + b)})
    judge.closer_of = lambda place: AS_SEEN
    shares = np.array([[0.9, 0.5, 0.6], [0.1, 0.5, 0.2]])
    found = vibrated.vibrating_alone(judge, looked_along(judge), judge(shares), shares)
    off = abs(own) * (1 + RANGE.ends[1])
    assert found[gap].machines == 2
    assert found[gap].off == pytest.approx(off)
    assert found[gap].worse == pytest.approx(off if own < 0 else 0.0)
    far = Fake(gap=lambda a, b: 9.0 + a - b)
    far.closer_of = lambda place: AS_SEEN
    assert vibrated.vibrating_alone(far, looked_along(far), far(shares), shares) == {}


def test_no_machine_is_worked_out_where_vibration_turns_nothing_that_is_asked_for() -> None:
    """Gap and life are at their limits, teeth far from theirs: one of those that is asked for is enough."""
    own = {("gap", 0): lambda a, b: 1.1 + a - b, ("bearing_life", 0): lambda a, b: 1.02 + a - b}
    limits = {"gap": lambda a, b: 1.0 + a - b, "bearing_life": own["bearing_life", 0]}
    judge = Fake(**limits, tooth_bending_safety=lambda a, b: 9.0 + a + b, alone=own)
    judge.closer_of = lambda place: AS_SEEN
    shares = np.array([[0.9, 0.5, 0.6], [0.1, 0.5, 0.2]])
    given = judge, looked_along(judge), judge(shares), shares
    assert vibrated.vibrating_alone(*given, ["tooth_bending_safety", "clearance"]) == {}
    found = vibrated.vibrating_alone(*given, ["gap", "clearance"])
    assert found[("gap", 0)].off == pytest.approx(0.1)
    assert {*found} == {*vibrated.vibrating_alone(*given)} == {*own}


# In words


def test_numbers_are_told_in_the_units_that_people_see() -> None:
    hot = Range("even", 523.15, 673.15, 823.15, "K", False, "why")
    with using("imperial"):
        assert known_of(hot) == "taken 480 to 1020 degF"
        thin = Range("even", 0.0, 1.27e-4, 2.54e-4, "m", True, "why")
        assert known_of(thin) == "given 0 to 10 thou"
    assert known_of(Range("even", 0.0, 5e-4, 1e-3, "m", True, "why")) == "given 0 to 1000 µm"
    for low, high in ((0.0, 1.5e-3), (-1.5e-3, 0.0)):
        assert known_of(Range("even", low, (low + high) / 2, high, "m", True, "why")).endswith(" mm")


def test_two_that_do_not_turn_a_limit_by_themselves_are_told_together() -> None:
    turns = tuple(Turn(name, RANGE, 0.5, None, None) for name in ("one", "other"))
    said = depends_on(Doubt(100, 0.5, 0.404, 0.596, 0.95, (0.0, 1.0), None, turns, vibration="it shakes"))
    assert said == (
        "depends on one (taken 10 to 30 N), other (taken 10 to 30 N), none of which turns it by itself; holds in 50 of "
        "100 machines (40 to 60); it shakes. Find out one: push it"
    )
    assert turn_words(Turn("one", RANGE, 0.5, 12.34, None)) == "one (taken 10 to 30 N)"
    assert depends_in_corners(Doubt(3, 2 / 3, 0.0, 1.0, 0.95, (0, 1), 1.0, note="so")) == "holds in 2 of 3 machines: so"


@pytest.mark.parametrize(
    ("law", "value", "side", "words"),
    [
        ("even", 12.34, None, "12.3"),  # steps of a fiftieth of the range: 0.4 tells by tenths
        ("even", 12.31, "above", "12.4"),
        ("even", 12.39, "below", "12.3"),
        ("even in ratio", 12.34, None, "12"),
        ("factor", 12.34, "above", "13"),
        ("factor", 10.6, None, "11"),
        ("even", -12.34, None, "\N{MINUS SIGN}12.3"),
        ("even", -0.001, None, "0"),
    ],
)
def test_a_number_is_told_to_as_many_digits_as_its_range_is_worth(law, value, side, words) -> None:
    assert shown(Range(law, 10.0, 20.0, 30.0, "N", False, "why"), value, side) == words


# The gap over speed


def test_the_band_of_a_gap_is_that_of_the_machines_shifted_as_the_middle_one_is_seen_closely(monkeypatch) -> None:
    """Each machine's gap is ten times its share of the first unknown, less the speed; a closer look takes off 1."""
    many = 64

    class Pair:
        upper, lower = "displacer", "piston"

        def __init__(self, gap, less: float = 0.0):
            self.gap, self.less = gap, less

        def least(self, speeds):
            return self.gap - speeds - self.less, None

    unknowns = [unknown("wide"), unknown("idle")]
    taken = {}

    def drawn(design, found, shares):
        taken["shares"] = shares
        return shares[0] * 10

    monkeypatch.setattr(band, "unknowns_of", lambda design: unknowns if design == "design" else [])
    monkeypatch.setattr(band, "machines", drawn)
    monkeypatch.setattr(band, "legal", lambda design, count: np.arange(count) != 5)
    monkeypatch.setattr(band, "chunks", lambda design, fine: np.array_split(np.flatnonzero(fine), 3))
    monkeypatch.setattr(band, "picked", lambda design, places: design[places])
    monkeypatch.setattr(band, "Evaluation", lambda design, cut: SimpleNamespace(pairs=[Pair(design)]))
    seen = SimpleNamespace(design="design", pairs=[Pair(5.0, less=1.0)], weights=None)
    speeds = np.array([1.0, 2.0])
    (found,) = band.gap_bands(seen, speeds, many)
    shares = taken["shares"]
    assert shares.shape == (2, many + 1)
    np.testing.assert_array_equal(shares[:, 0], [0.5, 0.5])  # the middle one first
    wanted = shares[0, 1:] * 10 - speeds[:, None] - 1.0
    wanted[:, 4] = NAN
    np.testing.assert_allclose(found.gap, wanted)
    assert not np.shares_memory(found.gap, wanted)
    np.testing.assert_allclose(found.ends[:, 0] - found.ends[:, 1], 1.0)
    np.testing.assert_allclose(found.ends[:, 0], [-1.5, 3.0, 7.5], atol=0.2)
    assert [each.identity for each, _ in found.wide] == ["wide", "idle"]
    assert found.wide[0][1] > 0.95 > 0.05 > found.wide[1][1]
    assert band.gap_bands(SimpleNamespace(design="sure", pairs=[1]), speeds) == []
    assert band.gap_bands(SimpleNamespace(design="design", pairs=[]), speeds) == []
    # What explains it is told of 32 machines or more.
    few = np.where(np.arange(many) < 31, shares[0, 1:], NAN)
    assert band._wide(unknowns, shares[:, 1:], few) == []
    more = np.where(np.arange(many) < 32, shares[0, 1:], NAN)
    assert len(band._wide(unknowns, shares[:, 1:], more)) == 2
    five = [unknown(f"u{n}") for n in range(5)]
    assert len(band._wide(five, latin_hypercube([each.identity for each in five], 64, 1), shares[0, 1:])) == 3

"""Parts of the page by themselves, true to the core: bars, lens, drawing, waterfall, plots, weights, dots."""

import re
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

from designs.counsel.dial import Work
from designs.evaluate import Evaluation
from designs.gap_sensitivities import gap_steps
from designs.live.shown import Budget, Lens
from designs.options.side_by_side import Line
from designs.pages import (
    clashes,
    gains_bars,
    gap_speed,
    lens,
    limits,
    mechanism,
    plate_drawing,
    plots,
    plots_shafts,
    waterfall,
)
from designs.pages import side as side_view
from designs.pages.changes import Change, First, _changes, _item, best_changes, in_a_line, others_words
from designs.pages.chart import LETTER, WIDE, Chart, decades, round_steps
from designs.pages.compared_dots import dots
from designs.pages.headline import _sentence, headline
from designs.pages.svg import path, short, thinned
from designs.reading import read, read_text
from designs.shown import RPM, using
from designs.summary import Answer, _builds, _doubted, _holds_in, answers
from designs.verdict import verdict_of
from designs.verdict.along import rows as along_rows
from designs.verdict.bearing_fits import rows as fit_rows
from designs.verdict.clearances import rows as clearance_rows
from designs.verdict.figure import Figure
from designs.verdict.gap import rows as gap_rows
from designs.verdict.joined import rows as joined_rows
from designs.verdict.row import ORDER, Doubt, Row, used, worst_first
from shafts.gap.contact import first_contact
from shafts.gap.pair import budget

SHIPPED = Path(mechanism.__file__).parents[1]
AS_BUILT = SHIPPED / "as-built.yaml"
PARTS_CSS = (Path(mechanism.__file__).parent / "parts.css").read_text("utf-8")


@pytest.fixture(scope="module")
def as_built():
    return Evaluation(read(AS_BUILT))


@pytest.fixture(scope="module")
def redesign():
    return Evaluation(read(SHIPPED / "redesign.yaml"))


@pytest.fixture(scope="module")
def rhombic():
    return Evaluation(read(SHIPPED / "rhombic.yaml"))


# What clashes


@pytest.fixture(scope="module")
def struck():
    """The shipped design with a wheel of 100 mm, which reaches 50 mm over to a shaft of 5 mm that is 48 mm away."""
    text = AS_BUILT.read_text("utf-8").replace("diameter: 86 mm, inside: 56 mm", "diameter: 100 mm, inside: 56 mm")
    evaluation = Evaluation(read_text(text.replace("length: 62 mm", "length: 73 mm"), AS_BUILT))
    return evaluation, clashes.clashes(evaluation, [*gap_rows(evaluation), *clearance_rows(evaluation)])


def test_clashes_are_the_clearances_that_fail_with_both_parts(struck):
    evaluation, found = struck
    named = {tuple(sorted(part.name for part in clash.parts)): clash for clash in found}
    yokes = named["yoke diaphragm", "yoke displacer"]
    (pair,) = evaluation.pairs
    least, angle = pair.least(evaluation.tightest_speed(pair))
    assert float(least) < 0
    assert f"overlap by {-float(least) * 1e3:.3g} mm" in yokes.words
    assert yokes.turn == pytest.approx(float(angle) / (2 * np.pi))
    wheel = named["left shaft", "right flywheel"]
    assert wheel.turn is None  # round about axes that stand still
    rows = [row for row in [*gap_rows(evaluation), *clearance_rows(evaluation)] if row.state == "FAIL"]
    assert len(found) == len([row for row in rows if row.key != "contact"])


def test_marks_lie_over_what_they_mark_and_move_with_it(struck):
    evaluation, found = struck
    drawn = mechanism.drawing(evaluation, 1, 40, found)
    front = ElementTree.fromstring(f"<svg>{drawn.svg}</svg>")
    yokes = [group for group in front.iter("g") if group.get("class") == "moving"]
    for name in ("diaphragm", "displacer"):
        own, mark = (group for group in yokes if group.get("data-yoke") == name)
        assert mark.get("transform") == own.get("transform")
        corners = {
            tuple(map(float, each.split(","))) for each in own.find("polygon[@class='yoke']").get("points").split()
        }
        marked = re.findall(r"-?[\d.]+,-?[\d.]+", mark.find("path").get("d"))
        assert {tuple(map(float, each.split(","))) for each in marked} == corners
    (wheel,) = (each for each in front.iter("circle") if each.get("class") == "clash" and float(each.get("r")) == 50.0)
    assert float(wheel.get("cx")) == pytest.approx(24.0)
    side = ElementTree.fromstring(drawn.side)
    marks = [each for each in side.iter("rect") if each.get("class") == "clash"]
    assert {(float(each.get("x")), float(each.get("width"))) for each in marks} >= {(28.0, 17.0), (-36.0, 17.0)}
    assert all(clash.words in drawn.words for clash in found)


MISFITS = [
    ("left_at: 72 mm, diameter: 90 mm", "left_at: 72 mm, diameter: 100 mm"),
    ("{length: 88 mm, diameter: 10 mm}", "{length: 88 mm, diameter: 10.3 mm}"),
    ("seat_fit: 8 um, held_by: glue}\n  plates", "seat_fit: 0.35 mm, held_by: glue}\n  plates"),
    ("diameter: 41.97 mm", "diameter: 42.2 mm"),
    ("backlash: 0.06 mm", "backlash: 0 mm"),
    ("at: 12 mm\n    material", "at: 5 mm\n    material"),
]
"""Of the redesign: wheels of 50 mm radius beside shafts of 5.15 mm 52 mm away, a shaft thicker than its bores, a seat
too wide, a piston wider than its bore, teeth that bind, and gears of 8 mm on bearings as wide, 5 mm farther."""


@pytest.fixture(scope="module")
def unfit():
    text = (SHIPPED / "redesign.yaml").read_text("utf-8")
    for old, new in MISFITS:
        assert text.count(old) == 1
        text = text.replace(old, new)
    evaluation = Evaluation(read_text(text, SHIPPED / "redesign.yaml"))
    rows = [row for source in (clearance_rows, fit_rows, joined_rows, along_rows) for row in source(evaluation)]
    return evaluation, {clash.words: clash for clash in clashes.clashes(evaluation, rows)}


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        ("Right flywheel and left shaft overlap by 3.15 mm; also too near: left flywheel and right shaft",
         {"right flywheel", "left shaft", "left flywheel", "right shaft"}),
        ("Right bearing 1, right bearing 2, left bearing 1 and left bearing 2: 0.3 mm of interference on the shaft, "
         "at most 0.01 mm",
         {"right bearing 1", "right bearing 2", "left bearing 1", "left bearing 2", "right shaft", "left shaft"}),
        ("Right bearing 2 and left bearing 2: 0.35 mm of play in the seat, at most 0.1 mm",
         {"right bearing 2", "left bearing 2"}),
        ("Piston of piston in its bore: too wide by 0.2 mm", {"piston", "cylinder"}),
        ("Right plate 1 and right gear overlap by 3.15 mm; also too near: left plate 1 and left gear",
         {"right gear", "left gear"}),
    ],
)  # fmt: skip
def test_both_sides_are_marked_and_so_is_what_does_not_fit(unfit, words, parts):
    """By the figures that the file was given; glue fills 0.1 mm, interference of a ring may be 0.01 mm."""
    assert {part.name for part in unfit[1][words].parts} == parts


def test_gears_that_bind_are_marked(unfit):
    (clash,) = (each for words, each in unfit[1].items() if words.startswith("The gears bind"))
    assert {part.kind for part in clash.parts} == {"gear"}
    assert len(clash.parts) == 2


def test_a_stem_in_a_hole_too_narrow_is_marked_with_the_yoke():
    path = SHIPPED / "rhombic.yaml"
    evaluation = Evaluation(read_text(path.read_text("utf-8").replace("hole: 6.4 mm", "hole: 5 mm"), path))
    (clash,) = clashes.clashes(evaluation, joined_rows(evaluation))
    assert clash.words.endswith("in its hole: too wide by 1 mm")
    assert sorted(part.kind for part in clash.parts) == ["stem", "yoke"]


def test_rods_and_webs_are_marked_where_they_stand(as_built):
    bodies = {part.name: part for part in as_built.shapes.parts}
    for place in (0, 70):
        clash = clashes.Clash((bodies["right rod of displacer"], bodies["left web 2"]), "they meet")
        front = ElementTree.fromstring(f"<svg>{mechanism.drawing(as_built, 1, place, [clash]).svg}</svg>")
        lines = [
            each
            for each in front.iter("line")
            if (each.get("data-yoke"), each.get("data-hand")) == ("displacer", "right")
        ]
        ends = {tuple(round(float(each.get(end)), 2) for end in ("x1", "y1", "x2", "y2")) for each in lines}
        assert len(lines) == 5
        assert len(ends) == 1
        (turned,) = (group for group in front.iter("g") if group.find("path[@class='clash']") is not None)
        assert float(turned.get("transform")[7:-1]) == pytest.approx(
            -np.rad2deg(as_built.motion.theta[place]), abs=1e-3
        )


# Limits


@pytest.mark.parametrize(
    ("sense", "value", "limit", "share"),
    [
        ("at most", 5.0, 10.0, 0.5),
        ("at most", 140.0, 10.0, 14.0),
        ("at least", 3.0, 1.5, 0.5),  # twice the safety that is asked for uses half
        ("at least", 0.75, 1.5, 2.0),
        ("at least", -0.1, 0.1, np.inf),
        ("at least", 1.0, 0.0, None),
        ("at most", None, 1.0, None),
    ],
)
def test_share_of_a_limit(sense, value, limit, share):
    assert used(Row("key", "what", value, limit, "m", sense)) == share


def test_bar_reaches_from_the_value_to_the_limit():
    def ends(value):
        rect = re.search(r'<rect x="(.*?)" .*?width="(.*?)"', limits.bar(Row("key", "what", value, 1.0, "", "at most")))
        return float(rect[1]), float(rect[1]) + float(rect[2])

    assert ends(10.0) == (100.0, 192.0)
    assert ends(500.0) == (100.0, 192.0)  # cut off, with a tip
    assert ends(0.1) == (8.0, 100.0)
    # Half and twice the limit are as far from it.
    assert 100 - ends(0.5)[0] == pytest.approx(ends(2.0)[1] - 100, abs=0.02)


def test_limits_stand_in_the_order_of_their_weight(as_built):
    rows = worst_first(verdict_of(as_built))
    states = [each.state for each in rows]
    assert states == sorted(states, key=ORDER.index)
    failing = [used(each) for each in rows if each.state == "FAIL"]
    assert failing == sorted(failing, reverse=True)
    text = limits.limit_bars(verdict_of(as_built))
    assert text.count('role="row"') == len(rows) + 1
    assert text.index("least gap of displacer") < text.index("balance quality")
    assert "x 14 of the limit" in text


def test_what_nobody_looked_at_has_no_bar_and_says_what_to_give():
    text = limits.limit_bars([Row("key", "what", None, None, "", "at most", "give feet <now>")])
    assert "<rect" not in text
    assert "give feet &lt;now&gt;" in text
    assert "not checked" in text


# The machine


def test_the_whole_machine_is_drawn_in_both_views(as_built):
    drawn = mechanism.drawing(as_built)
    kinds = {part.kind for part in as_built.shapes.parts} - {"case"}
    for kind in kinds:
        assert f'class="{kind}' in drawn.svg or f"{kind} " in drawn.svg, kind
        assert f'class="{kind}' in drawn.side, kind
    assert {"cylinder", "carried", "wheel", "gear", "bearing"} <= kinds


def test_ranges_along_the_shafts_are_those_of_the_file(as_built):
    drawn = mechanism.drawing(as_built)
    found = {part.name: part.z for part in drawn.sides}
    # By hand: 5 mm wide at 24 mm; the yoke's own z; a flywheel 17 mm thick at 36.5 mm.
    assert found["right bearing 2"] == pytest.approx((21.5, 26.5))
    assert found["yoke displacer"] == pytest.approx((-52.0, -24.0))
    assert found["right flywheel"] == pytest.approx((28.0, 45.0))
    assert mechanism.shared_range(as_built) == pytest.approx((-36.0, -24.0))


def test_the_side_view_moves_with_the_yokes(as_built):
    sides = {part.name: part for part in mechanism.drawing(as_built).sides}
    height = as_built.motion.yokes["displacer"].height * 1e3
    np.testing.assert_allclose(sides["yoke displacer"].low, height - 5, atol=1e-3)
    np.testing.assert_allclose(sides["yoke displacer"].high, height + 5, atol=1e-3)
    pin = as_built.motion.yokes["displacer"].pin.along * 1e3
    np.testing.assert_allclose(sides["right crankpin outer"].low, pin - 2, atol=0.02)
    assert not sides["right bearing 1"].moving


def test_it_stands_where_the_gap_is_least_at_the_worst_running_speed(as_built):
    drawn, pair = mechanism.drawing(as_built), as_built.pairs[0]
    _, angle = pair.least(as_built.tightest_speed(pair))
    assert abs(np.degrees(float(angle)) - drawn.place * 5) <= 2.5 + 1e-9


def test_a_long_name_does_not_shrink_the_drawing(as_built):
    name = "the displacer yoke that was made anew in the winter"
    text = AS_BUILT.read_text("utf-8").replace("  displacer:  ", f"  {name}:")
    other = Evaluation(read_text(text))
    assert name in other.design.yokes
    drawn = mechanism.drawing(other)
    assert drawn.box == pytest.approx(mechanism.drawing(as_built).box)
    assert f">{name}<" in drawn.svg  # whole, for those who point at it
    assert f"{name[:13]}…" in drawn.svg


# The lens


@pytest.mark.parametrize("rpm", [0.0, 600.0, 1800.0, 2250.0])
def test_what_the_lens_shows_is_the_gap(as_built, rpm):
    pair = as_built.pairs[0]
    shown = lens.view(as_built, pair)
    (found,) = lens.seen(shown, np.array([rpm / RPM]))
    gap, angle = (float(each) for each in pair.least(rpm / RPM))
    assert found.gap == gap
    assert found.angle == pytest.approx(np.degrees(angle))
    faces = [
        np.array(re.findall(r"(-?[\d.]+),(-?[\d.]+)", each), dtype=float)[1:-1] for each in (found.upper, found.lower)
    ]
    across = np.linspace(max(each[0, 0] for each in faces), min(each[-1, 0] for each in faces), 60)
    upper, lower = (np.interp(across, *each.T) for each in faces)
    # Heights count downward; drawn to a hundredth, and without points nearer than 0.06 to the line.
    assert np.min(lower - upper) / shown.up == pytest.approx(gap, abs=0.15 / shown.up)
    assert bool(found.between) == (gap <= 0)
    assert f"{abs(gap) * 1e3:.3f} mm" in found.words


def test_faces_in_the_lens_are_displaced_as_the_core_displaces_them(as_built):
    """Across the lens both faces differ by what the core says of the gap there: tilt and bow of both yokes."""
    pair, speed = as_built.pairs[0], 1800 / RPM
    shown = lens.view(as_built, pair)
    place, spot = pair.tightest(speed)
    items = pair.items(speed)
    own = [name for name in items if name not in ("yoke tilt along the shafts", "play reversal")]
    turn = spot.index
    by_core = pair.facing.nominal[:, turn] + sum(items[name][:, turn] for name in own)
    faces = []
    for name in (pair.upper, pair.lower):
        alone = lens.alone(name, pair.facing.x)
        raised = lens.sum_of_lines(pair.loaded, alone, "expected", (lens.yoke_tilt_along_shafts,)).clearances(
            np.array([speed])
        )
        faces.append(lens._face(replace(shown, x=pair.facing.x), name, raised[0][:, turn], turn))
    np.testing.assert_allclose(faces[0] - faces[1], by_core, atol=1e-12)
    assert by_core[place] == np.min(by_core)


def test_yokes_far_apart_have_a_sentence_in_place_of_a_lens(rhombic):
    text = lens.lens(rhombic)
    assert text.startswith("<p")
    assert f"{float(rhombic.pairs[0].least(rhombic.tightest_speed(rhombic.pairs[0]))[0]) * 1e3:.2f} mm apart" in text


def test_design_without_outlines_has_sentences():
    text = re.sub(r"^    outline:.*\n", "", AS_BUILT.read_text("utf-8"), flags=re.MULTILINE)
    bare = Evaluation(read_text(text))
    for part in (lens.lens, gap_speed.gap_over_speed, waterfall.gap_waterfall):
        assert part(bare).startswith("<p"), part
    drawn = mechanism.drawing(bare)
    assert "yoke displacer is drawn as a line: its outline is not given" in drawn.notes


@pytest.mark.parametrize(("name", "wide"), [("redesign", None), ("as-built", "12 mm"), ("bare", "7 mm")])
def test_how_wide_webs_are_drawn_is_said_only_where_it_is_not_given(name: str, wide: str | None):
    """As wide as the widest of those given, 12 mm; counterweights that are fitted are no webs without a width."""
    text = (SHIPPED / f"{name.replace('bare', 'as-built')}.yaml").read_text("utf-8")
    text = text.replace("thickness: 6 mm, width: 12 mm", "thickness: 6 mm") if name == "bare" else text
    notes = mechanism.drawing(Evaluation(read_text(text))).notes
    assert [each for each in notes if each.startswith("webs")] == (
        [] if wide is None else [f"webs whose width is not given are drawn {wide} wide"]
    )


def test_the_scale_along_the_shafts_has_as_many_numbers_as_have_room():
    """Of 300 mm 15 numbers fit on a screen, and three where letters are printed at 8 mm of it."""
    asked = (((-100, 200), 4.0, 4.0, 20), ((-100, 200), 4.0, 8.0, 50), ((-20, 30), 1.0, 1.0, 10))
    for ends, size, largest, apart in asked:
        marks = re.findall(r">(\u2212?[0-9.]+)<", side_view._ruler(ends, 0.0, size, largest))
        values = [float(each.replace("\u2212", "-")) for each in marks]
        assert np.diff(values) == pytest.approx(apart)
        assert len(values) >= 3


# Gap


def test_waterfall_adds_up_to_the_digit(as_built, redesign, rhombic):
    for evaluation in (as_built, redesign, rhombic):
        pair = evaluation.pairs[0]
        for speed in (0.0, evaluation.tightest_speed(pair)):
            rows = waterfall.steps(pair, speed)
            shown = [float(f"{each.value:.3f}") for each in rows]
            assert round(sum(shown[:-1]), 3) == shown[-1]
            nominal, items = budget(pair, speed)
            assert shown[-1] == pytest.approx((nominal + sum(items.values())) * 1e3, abs=5.1e-4)
            assert all(shown[1:-1])  # what is written as zero is gathered
            own = [abs(each.value) for each in rows[1:-1] if not each.name.endswith(("smaller ones", "the rest"))]
            assert own == sorted(own, reverse=True)


def test_names_beside_a_waterfall_have_room_where_all_are_short(as_built, monkeypatch):
    """Widths of DejaVu Sans, the widest of the usual fonts, as matplotlib draws it, at 11 px."""
    few = [waterfall.Step("on the drawing", 0.0, 0.5, True), waterfall.Step("play", 0.5, -0.1),
           waterfall.Step("left", 0.0, 0.4, True)]  # fmt: skip
    monkeypatch.setattr(waterfall, "steps", lambda pair, speed: few)
    drawn = re.findall(r'<text x="([\d.]+)"[^>]*text-anchor="end"[^>]*>([a-z ]+)<', waterfall.gap_waterfall(as_built))
    ends = {name: float(x) for x, name in drawn}
    for each in few:
        font = FontProperties(family="DejaVu Sans", weight="bold" if each.whole else "normal")
        assert TextPath((0, 0), each.name, size=11.0, prop=font).get_extents().width < ends[each.name], each.name


def test_first_contact_is_marked_where_it_is(as_built):
    text = gap_speed.gap_over_speed(as_built)
    contact = float(first_contact(as_built.pairs[0], as_built.top_speed)) * RPM
    mark = re.search(r'<circle cx="(.*?)" cy="(.*?)"', text)
    left, right = 46.0, 344.0 - 18.0
    assert float(mark[1]) == pytest.approx(left + contact / 2250 * (right - left), abs=0.02)
    assert f"touch from {contact:.0f} rpm" in text
    running = re.search(r'<rect x="(.*?)" .*?width="(.*?)" .*?class="running"', text)
    start, wide = (float(each) for each in running.groups())
    assert start == pytest.approx(left + 200 / 2250 * (right - left), abs=0.02)
    assert start + wide == pytest.approx(left + 1800 / 2250 * (right - left), abs=0.03)


def test_what_is_missing_of_the_gap(as_built, redesign):
    pair = as_built.pairs[0]
    least = float(pair.least(as_built.tightest_speed(pair))[0])
    assert gains_bars.missing(as_built) == pytest.approx(1e-4 - least)
    assert gains_bars.missing(redesign) == 0.0


def test_who_thinks_in_inches_takes_steps_in_inches(as_built):
    def length():
        return next(each for each in gap_steps(as_built.design) if each.entry == "yokes.displacer.rod.length")

    metric = length()
    with using("imperial"):
        inches = length()
    assert (metric.step, inches.step) == ("more by 0.1 mm", "more by 0.005 in")
    assert inches.gained / metric.gained == pytest.approx(1.27, rel=0.01)  # a long rod tilts little more or less


def test_a_worst_case_below_the_picture_is_told_in_it(as_built):
    """A curve that nobody sees is taken for one that is harmless."""
    band = SimpleNamespace(speed=np.array([20.0, 190.0]), ends=np.array([[0.05e-3] * 2, [0.1e-3] * 2, [0.15e-3] * 2]))
    speed = np.linspace(0.0, float(as_built.top_speed), 3)
    deep = gap_speed.SpeedCurve(speed, np.full(3, 0.1e-3), np.full(3, -0.9e-3), np.inf)
    for worst, told in ((-0.9e-3, True), (0.06e-3, False)):
        found = replace(deep, worst=np.full(3, worst))
        text = gap_speed.drawn(as_built, as_built.pairs[0], found, band)
        assert ("worst case down to \u22120.900, below here" in text) is told
        assert ('class="curve worst"' in text) is not told


def test_the_number_of_the_longest_bar_stays_in_the_picture(as_built):
    """In inches numbers are longer."""
    rows = [("yokes.piston.rod.length", "less by 0.1 mm", 0.10618e-3), ("cranks.centre_distance", "more", 2.161e-6)]
    with using("imperial"):
        text = gains_bars.gains_bars(as_built, SimpleNamespace(rows=rows))
    placed = re.findall(r'<text x="([^"]*)"[^>]*class="value"[^>]*>([^<]*)<', text)
    assert len(placed) == 2
    assert all(float(x) + LETTER * len(words) <= WIDE for x, words in placed)


def test_a_gap_that_depends_is_said_to_be_what_was_asked_for():
    """A machine in which yokes keep less than that need not touch."""
    doubt = Doubt(100, 0.3, 0.2, 0.4, 0.95, (0.0, 1.0), None)
    row = Row("gap", "least gap", 1e-4, 1.5e-4, "m", "at least", doubt=doubt)
    assert _holds_in([row]) == ": the gap of 0.150 mm asked for holds in 30 of 100 machines"
    contact = replace(row, key="contact", unit="rad/s", limit=1000 / RPM)
    assert _holds_in([contact]) == ": they keep apart up to 1000 rpm in 30 of 100 machines"
    few = replace(row, key="power", doubt=replace(doubt, count=3, share=2 / 3, note="in corners"))
    assert _holds_in([few]) == ": power holds in 2 of 3 machines"


def test_where_only_the_worst_case_overlaps_the_machines_that_keep_apart_are_counted():
    doubt = Doubt(128, 0.99, 0.96, 1.0, 0.95, (0.0, 1.0), None)
    row = Row("contact", "first contact", 200.0, 1000 / RPM, "rad/s", "at least", doubt=doubt)
    assert _builds([row]) == "in 99 of 100 machines that it may be they keep apart up to 1000 rpm"
    assert _builds([replace(row, doubt=None)]) == _builds([]) == "in how many builds they touch is what `shafts` tells"


def test_what_fails_is_answered_first_and_then_how_far_that_depends():
    doubt = Doubt(100, 0.14, 0.1, 0.2, 0.95, (0.0, 1.0), None)
    gap = Row("gap", "least gap", -2e-5, 1e-4, "m", "at least")
    contact = Row("contact", "first contact", 0.0, 1000 / RPM, "rad/s", "at least", doubt=doubt)
    yes = Answer("Do the yokes touch?", "bad", "Yes: they overlap.")
    found = _doubted(yes, [gap, contact], ("gap", "contact"))
    assert (found.state, found.words) == (
        "bad",
        "Yes: they overlap. It depends: they keep apart up to 1000 rpm in 14 of 100 machines.",
    )
    alone = _doubted(yes, [contact], ("gap", "contact"))
    assert (alone.state, alone.words.partition(":")[0]) == ("unknown", "It depends")
    assert _doubted(yes, [gap], ("gap", "contact")) is yes


def test_the_headline_says_of_which_part_and_by_how_much_it_is_short():
    row = Row(
        "eyes", "wall or play to spare of the eyes, of rods of piston at the crankpin", -2e-4, 0.0, "m", "at least"
    )
    assert _sentence(row).replace("\u00a0", " ") == (
        "Wall or play to spare of the eyes, of rods of piston at the crankpin: short by 0.200 mm."
    )


def test_resonances_close_together_have_orders_that_can_be_read():
    chart = Chart((0.0, 2000.0), (0.0, 1.0))
    text = plots_shafts._meetings(chart, [(each / RPM, "c1") for each in (160.0, 150.0, 155.0)], 100.0)
    places = [float(each) for each in re.findall(r'<text x="([^"]*)"', text)]
    assert np.all(np.diff(places) >= LETTER * 2)


def test_a_step_that_moves_nothing_opens_nothing(as_built):
    """Proposed counterweights bend no shaft: their angle gains nothing but rounding, though the shafts vibrate."""
    assert as_built.vibrates
    steps = {each.entry: each.gained for each in gap_steps(as_built.design)}
    assert steps["counterweights.shape.angle"] == pytest.approx(0.0, abs=1e-15)
    assert steps["yokes.displacer.rod.length"] == pytest.approx(104.7e-6, abs=2e-6)  # 0.1 mm over ey, near one


def test_headline_says_from_when_they_touch_and_what_is_worst(as_built, redesign):
    found = headline(as_built, verdict_of(as_built))
    contact = float(first_contact(as_built.pairs[0], as_built.top_speed)) * RPM
    assert (found.word, found.state) == ("FAILS", "bad")
    pair = as_built.pairs[0]
    nominal, items = budget(pair, as_built.tightest_speed(pair))
    most = min(items, key=items.get)
    assert found.lines[0] == (
        f"The yokes touch from {contact:.0f} rpm; it runs up to 1800 rpm. {most.capitalize()} takes the most: "
        f"{-items[most] * 1e3:.3f} of the {nominal * 1e3:.3f} mm on the drawing."
    )
    assert any("x 14 of the limit" in each for each in found.lines)
    assert headline(redesign, verdict_of(redesign)).state in ("good", "open")


# Counterweights


def test_counterweight_is_drawn_in_its_true_size(as_built, redesign):
    for evaluation, planes in ((as_built, 1), (redesign, 2)):
        for plane in range(planes):
            text = plate_drawing.counterweight(evaluation, plane, 88.0 / planes)
            assert plate_drawing.plate_scale(evaluation, plane, 88.0 / planes) == 1.0
            wide, tall = (float(each) for each in re.search(r"width:(.*?)mm;height:(.*?)mm", text).groups())
            box = [float(each) for each in re.search(r'viewBox="(.*?)"', text)[1].split()]
            assert (wide, tall) == pytest.approx((box[2], box[3]), abs=0.06)
            d = re.search(r'<path d="(M[^"]*Z)" class="plate"', text)[1]
            edge = np.array(re.findall(r"(-?[\d.]+),(-?[\d.]+)", d), dtype=float)
            reach = float(evaluation.weights.planes[plane].shape.edge.reach) * 1e3
            assert np.hypot(*edge.T).max() == pytest.approx(reach, abs=0.02)


def test_counterweight_tells_its_angle_to_the_crankpins(as_built):
    weight = as_built.weights.planes[0]
    angle = np.degrees(float(weight.angle)) % 360  # the inner crankpin stands at phase zero
    away = min(angle, 360 - angle)
    text = plate_drawing.counterweight(as_built)
    assert f"inner {away:.0f}°" in text
    assert f"{away:.1f}° from crankpin inner" in plate_drawing.words(as_built, [0])
    # Crankpins of 9 and 12 mm throw are drawn as far from the shaft.
    pins = re.findall(r'<circle cx="(.*?)" cy="(.*?)" r="1.5" class="crankpin"', text)
    assert sorted(np.hypot(float(x), float(y)) for x, y in pins) == pytest.approx([9.0, 12.0], abs=0.02)


def test_like_counterweights_are_drawn_once(as_built, redesign, rhombic):
    assert [len(plate_drawing.alike(each)) for each in (as_built, redesign, rhombic)] == [1, 2, 1]
    assert plate_drawing.words(rhombic, plate_drawing.alike(rhombic)[0]).startswith("Make four")


# Plots


@pytest.mark.parametrize("name", ["as_built", "redesign", "rhombic"])
def test_every_plot_says_what_it_finds(name, request):
    found = plots.plots(request.getfixturevalue(name))
    assert len({each.key for each in found}) == len(found)
    for each in found:
        if not each.shows:
            assert each.svg.startswith("<p")
            continue
        words = re.search(r'aria-label="([^"]*)"', each.svg)[1]
        assert re.search(r"\d", words), each.key  # numbers, not only what it is
        assert "nan" not in each.svg.lower().replace("nance", ""), each.key


def test_like_sides_share_a_plot(rhombic):
    def draw(_evaluation, place):
        return ("<svg>same</svg>", f"<svg>{place}</svg>")[unlike]

    unlike = False
    assert [each.key for each in plots._of_sides(("k", "t", "w", draw), rhombic)] == ["k"]
    unlike = True
    assert [each.key for each in plots._of_sides(("k", "t", "w", draw), rhombic)] == ["k-right", "k-left"]


def test_chart_places_values():
    chart = Chart((0.0, 10.0), (-1.0, 1.0), (40.0, 10.0, 10.0, 30.0), (340.0, 240.0))
    assert float(chart.across(5.0)) == 185.0
    assert float(chart.up(0.0)) == 110.0
    assert float(chart.up(7.0)) == 10.0  # beyond the axes stands at their edge
    log = Chart((0.0, 10.0), (0.1, 10.0), (40.0, 10.0, 10.0, 30.0), (340.0, 240.0), log=True)
    assert float(log.up(1.0)) == pytest.approx(110.0)


def test_a_curve_beyond_the_axes_is_not_drawn_along_their_edge():
    chart = Chart((0.0, 2.0), (0.0, 1.0), (0.0, 0.0, 0.0, 0.0), (200.0, 100.0))
    drawn = chart.curve(np.array([0.0, 1.0, 2.0]), np.array([0.0, 3.0, 0.0]), "main")
    assert drawn.count("M") == 2  # in two pieces
    places = np.array(re.findall(r"([\d.]+),([\d.]+)", drawn), dtype=float)
    assert not np.any((places[:, 0] > 40) & (places[:, 0] < 160))
    assert chart.curve(np.array([0.0, 1.0]), np.array([7.0, 8.0]), "main") == ""


def test_steps_of_axes_are_round():
    assert round_steps(0.0, 2250.0, 6) == [0.0, 500.0, 1000.0, 1500.0, 2000.0]
    assert round_steps(-0.13, 0.13, 4) == pytest.approx([-0.1, 0.0, 0.1])
    assert decades(0.3, 12.0) == pytest.approx([0.5, 1.0, 2.0, 5.0, 10.0])


def test_simplified_lines_keep_within_their_room():
    rng = np.random.default_rng(5)
    points = [
        (float(x), float(y)) for x, y in zip(np.arange(300.0), np.cumsum(rng.normal(size=300)) * 0.1, strict=True)
    ]
    kept = thinned(points, 0.2)
    assert len(kept) < 250
    assert set(kept) <= set(points)
    far = np.abs(np.interp([x for x, _ in points], *zip(*kept, strict=True)) - [y for _, y in points])
    assert far.max() <= 0.2 * 1.6  # measured along y; across a slope it is less
    assert path([(0, 0), (1, 1), (2, 2)]) == "M0,0L2,2"
    assert [short(each) for each in (1.0, -0.001, 12.346, 100.0)] == ["1", "0", "12.35", "100"]


# Comparison


def compared(values, limit=1.0):
    figures = tuple(None if each is None else Figure("key", "shaking force", "N", each, limit, each <= limit, "less")
                    for each in values)  # fmt: skip
    return Line("key", figures)


def test_each_design_is_a_dot_where_its_value_is():
    text = dots(["one", "<two>", "three"], [compared((0.5, 2.0, 1.0)), compared((3.0, 3.0, 3.0))])
    places = [float(each) for each in re.findall(r'<circle cx="(.*?)"', text)]
    assert sorted(places) == pytest.approx([14.0, 14 + 272 / 3, 286.0], abs=0.01)
    assert "design 1: 0.50 N; design 2: 2.00 N; design 3: 1.00 N" in text
    assert 'class="best"' in text
    assert text.count('class="fails"') == 2  # dot and number of the one beyond the limit
    assert "&lt;two&gt;" in text
    assert "Alike in: shaking force." in text


def test_numbers_of_like_designs_do_not_overprint():
    text = dots(["a", "b", "c"], [compared((1.0, 1.000001, 2.0))])
    numbers = sorted(float(each) for each in re.findall(r'<text x="(.*?)" y="11"', text))
    assert np.all(np.diff(numbers) >= 11.0 - 1e-6)


def test_no_name_becomes_markup_in_any_part():
    name = "a</svg><script>alert(1)</script>&"
    text = AS_BUILT.read_text("utf-8").replace("  displacer:  ", f'  "{name}":').replace("outer", f'"{name}"')
    found = Evaluation(read_text(text.replace(f'throws."{name}"', f"throws.{name}")))
    assert name in found.design.yokes
    assert name in found.design.cranks.throws
    gains = SimpleNamespace(rows=[(f"yokes.{name}.rod.length", "more by 0.1 mm", 1e-4)])
    drawn = mechanism.drawing(found)
    parts = [drawn.svg, drawn.side, lens.lens(found), gap_speed.gap_over_speed(found),
             waterfall.gap_waterfall(found), gains_bars.gains_bars(found, gains), limits.limit_bars(verdict_of(found)),
             plate_drawing.counterweight(found), *(each.svg for each in plots.plots(found))]  # fmt: skip
    for part in parts:
        assert "<script" not in part
        ElementTree.fromstring(f"<a>{part}</a>".replace("&#160;", " "))


# Looks


def test_dark_scheme_names_every_ink():
    light, dark = (
        set(re.findall(r"(--[\w-]+):", block)) for block in re.findall(r":root \{(.*?)\}", PARTS_CSS, re.DOTALL)
    )
    assert light == dark | ({"--scheme"} & light)
    assert "@media screen and (prefers-color-scheme: dark)" in PARTS_CSS  # paper stays light


def test_worst_of_what_it_may_be_stands_beside_the_value():
    doubt = SimpleNamespace(worst=3.0, spread=(0.5, 2.0), all_hold=False, all_fail=False, words="depends on x")
    text = limits.limit_bars([Row("key", "what", 1.0, 1.5, "N", "at most", doubt=doubt)])
    assert "worst found 3.00\u00a0N" in text
    line = re.search(r'<line x1="([^"]*)" y1="8" x2="([^"]*)" y2="8" class="spread"', text)
    ends = [100 + 92 * np.log10(each / 1.5) for each in (0.5, 2.0)]
    assert [float(each) for each in line.groups()] == pytest.approx(ends, abs=0.01)


def test_the_parts_of_both_pages_follow_the_units():
    """In inches nothing that a person reads is metric, on the report and on the page at work."""
    change = Change(
        (("radius of the outer throw", "12 mm", "11.5 mm"),), Work((("web", 2),)), (), ("but gap then fails",)
    )
    assert "12 mm \u2192 11.5 mm" in _item(change)
    assert 'class="brings takes">but gap' in _item(change)  # not in the green of what is gained
    as_built = Evaluation(read(AS_BUILT))  # of its own: rows keep the words in which they were first judged
    with using("imperial"):
        rows = verdict_of(as_built)
        pictures = [
            lens.lens(as_built), waterfall.gap_waterfall(as_built), gap_speed.gap_over_speed(as_built),
            limits.limit_bars(rows), _item(change),
            *headline(as_built, rows).lines, *Budget().at(as_built, 1800.0, None).values(),
            *Lens().at(as_built, 1800.0).values(), *(each.words for each in answers(as_built, rows)),
        ]  # fmt: skip
    said = " ".join(
        re.sub(r"<[^>]*>", " ", each) + " ".join(re.findall(r'aria-label="([^"]*)"', each)) for each in pictures
    )
    said = said.replace("40 mm/s for G 40", "")  # the grade of a standard, as a file takes it
    assert not re.search(r"[0-9](?: |\u00a0)(?:mm|µm|N|MPa|mm/s|g|kg)\b|least gap, mm", said)
    assert "0.4724 in \u2192 0.4528 in" in said and "least gap, in" in said


def test_counterweights_that_a_change_makes_anew_are_not_those_drawn():
    """So that nobody cuts by the drawing what the first change throws away."""

    def first(*work: Work) -> First:
        return First(tuple(Change((("it", "so", "other"),), each, (), ()) for each in work), {}, 3, 1, 0)

    rods, plates, feet = Work((("rod", 2),)), Work((("web 1", 2), ("counterweight", 4))), Work((), (("foot", 4),))
    assert others_words(first(rods, plates)) == "as it stands: change 2 makes other ones"
    assert "changes 1 and 3 make other ones" in others_words(first(plates, feet, plates))
    assert others_words(first(rods)) == others_words(None) == ""
    screws = Work((("screws of counterweights", 4),))  # of the same plates
    assert others_words(first(screws)) == ""


def test_of_limits_that_hold_those_nearest_are_told_but_for_what_fits_exactly():
    rows = [Row(key, f"the {key}", value, 1.0, "N", "at least") for key, value in (("gap", 1.25), ("hole", 1.0))]
    said = best_changes(None, rows)
    assert "the gap" in said and "80% used" in said
    assert "the hole" not in said


def test_names_of_yokes_that_meet_stand_on_either_side_where_there_is_room():
    box = (-50.0, -100.0, 100.0, 120.0)
    right, left = (mechanism._name("piston", (-20.0, 20.0), side, box) for side in (False, True))
    assert 'x="21.50"' in right and "text-anchor" not in right
    assert 'x="-21.50" text-anchor="end"' in left
    assert 'x="21.50"' in mechanism._name("piston", (-45.0, 20.0), True, box)  # none on the left
    assert 'text-anchor="middle"' in mechanism._name("piston", (-45.0, 45.0), True, box)


def test_what_to_do_first_counts_what_it_cures_and_what_it_breaks():
    rods = Change((("rods", "1 mm", "2 mm"),), Work((("rod", 2),)), (), ())
    for cured, broken, words in (
        (4, 2, "Then 4 of 7 kinds of limit that failed do so no more; 2 that held no longer do."),
        (4, 1, "Then 4 of 7 kinds of limit that failed do so no more; 1 that held no longer does."),
        (4, 0, "Then 4 of 7 kinds of limit that failed do so no more."),
        (7, 0, "Then none fails."),
    ):
        assert words in _changes(First((rods,), {}, 7, cured, broken), set("abcdefg"))


def test_what_to_do_first_is_said_in_a_line_with_what_it_makes_of_the_gap():
    """Each change by its pieces' names, and each value beside what it was, though one piece changes in two ways."""
    rods = Change(
        (("displacer rods", "90 mm", "91 mm"), ("bar of them", "8 x 4 mm", "8 x 3 mm")),
        Work((("displacer rod", 2),)),
        (),
        (),
    )
    feet = Change((("feet", "soft", "hard"),), Work((), (("foot", 4),)), (), ())
    assert "Displacer rods: 90 mm \u2192 91 mm; bar of them: 8 x 4 mm \u2192 8 x 3 mm" in _item(rods)
    gap = "With change 1 of what to do first: 0.377 mm, holds."
    said_ = in_a_line(First((rods, feet), {"gap": gap, "slope": "With change 2"}, 3, 2, 0))
    assert said_ == ("1. displacer rods and bar of them; 2. feet. The gap with change 1: 0.377 mm, holds.")
    assert in_a_line(First((feet,), {}, 3, 1, 0)) == "1. feet."
    assert in_a_line(None) == in_a_line(First((), {}, 1, 0, 0)) == ""

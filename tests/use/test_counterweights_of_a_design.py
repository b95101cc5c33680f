"""What a file may say of counterweights, and what verdict, tables and the aims for a whole engine make of it."""

from dataclasses import replace

import numpy as np
import pytest
from use.test_cut import STOCK, design_file, evaluated

from balance.machine.counterweights import Trim
from balance.weights.balancing import fit, solved
from designs.counsel.advice import Counsel
from designs.counsel.advised import judge
from designs.design import Design
from designs.evaluate import Evaluation
from designs.reading import BadFile, read
from designs.tables import counterweights as tables
from designs.verdict import counterweights as verdict
from shafts.shaft import Segment
from shafts.weighing import bearing_effects, unknowns_for
from shafts.weights_beside import circle_clearances

SCREWS = "screws: {size: M3, property class: 8.8, number: 2, arrangement: tension}"
FITTED = "fitted: yes, at: -12 mm"


def rows(evaluation: Evaluation) -> dict:
    return {row.key: row for row in verdict.rows(evaluation)}


def with_entries(design: Design, **entries) -> Design:
    assert design.counterweights is not None
    return replace(design, counterweights=replace(design.counterweights, **entries))


def test_everything_that_may_be_said(tmp_path):
    entries = (
        f"{STOCK}, at: [-42 mm, -2 mm], aim: least peak, "
        f"trims: {{piston: 30 g, displacer: {{at most: 10 g, at: -5 mm}}}}, "
        f"choose: least inertia, solve for: extent, {SCREWS}"
    )
    found = read(design_file(tmp_path, entries)).counterweights
    assert found.planes == pytest.approx((-0.042, -0.002))
    assert found.trims["piston"].at_most == pytest.approx(0.030)
    assert found.trims["displacer"].at == pytest.approx(-0.005)
    assert (found.screws.size, found.screws.property_class, found.screws.number) == ("M3", "8.8", 2)
    assert (found.aim, found.choose) == ("least peak", "least inertia")


@pytest.mark.parametrize(
    ("entries", "key"),
    [
        ("at: -12 mm, trims: {pistn: 30 g}", "pistn"),
        ("at: [-12 mm, -11 mm]", "counterweights.at"),
        ("at: -12 mm, smallest radius: 30 mm", "smallest radius"),
        ("at: -12 mm, shape: {kind: segment, chord: 21 mm}", "chord"),
        ("at: -12 mm, shape: {kind: sector, angle: 200 deg}", "angle"),
        ("at: -12 mm, shape: {kind: sector, bolts: {number: 2, diameter: 3 mm, radius: 19 mm}}", "radius"),
        ("at: -12 mm, shape: {kind: sector, bolts: {number: 2, diameter: 3 mm, radius: 12 mm, pitch: 1 deg}}", "pitch"),
        ("at: -12 mm, shape: {kind: outline, polygon: [[0 mm, 1 mm], [1 mm, 1 mm]]}", "polygon"),
        (
            "at: -12 mm, shape: {kind: outline, polygon: [[0 mm, 0 mm], [9 mm, 9 mm], [9 mm, 0 mm], [0 mm, 9 mm]]}",
            "polygon",
        ),
        ("at: -12 mm, shape: outline", "shape"),
        ("at: -12 mm, screws: {size: M7}", "size"),
        ("at: -12 mm, screws: {size: M4, property class: 7.7}", "property class"),
    ],
)
def test_what_does_not_fit_together_is_refused_where_it_stands(tmp_path, entries, key):
    stock = STOCK.replace(", smallest radius: 5 mm", "") if "smallest" in entries else STOCK
    with pytest.raises(BadFile) as caught:
        read(design_file(tmp_path, f"{stock}, {entries}"))
    assert key.replace(" ", "_") in str(caught.value).replace(" ", "_")


def test_rows_of_fitted_weights(tmp_path):
    evaluation = evaluated(tmp_path, f"{STOCK}, {FITTED}, {SCREWS}")
    found, weight = rows(evaluation), evaluation.weight
    assert set(found) == {
        "counterweight_moment", "counterweight_carried", "counterweight_gap", "counterweight_own", "retention"
    }  # fmt: skip
    assert found["counterweight_moment"].value == weight.short == 0
    assert found["counterweight_moment"].passed
    distance = float(evaluation.design.cranks.centre_distance)
    assert found["counterweight_gap"].value == pytest.approx(distance - 2 * 0.020)
    top = float(evaluation.design.speed.most) * float(evaluation.design.speed.overspeed)
    assert found["retention"].value == pytest.approx(2 * 2920 / (float(weight.shape.moment) * top**2), rel=0.003)
    assert found["retention"].limit == evaluation.design.limits.retention


def test_weights_that_are_too_small_say_what_would_do(tmp_path):
    evaluation = evaluated(tmp_path, f"{STOCK.replace('36 mm', '20 mm')}, {FITTED}")
    row = rows(evaluation)["counterweight_moment"]
    assert row.value > 0
    assert not row.passed
    advice = Counsel(evaluation.design, judge(evaluation)).advice("counterweight_moment")
    assert advice.holds
    assert rows(Evaluation(advice.plan.trial.design))["counterweight_moment"].passed


def test_weights_that_meet_fail(tmp_path):
    row = rows(evaluated(tmp_path, f"{STOCK.replace('20 mm', '24 mm')}, {FITTED}"))["counterweight_gap"]
    assert not row.passed


def test_weak_screws_fail_and_say_how_many_would_hold(tmp_path):
    evaluation = evaluated(tmp_path, f"{STOCK}, {FITTED}, screws: {{size: M2, property class: 4.6, number: 1}}")
    strong = replace(evaluation.design, limits=replace(evaluation.design.limits, retention=40.0))
    row = rows(Evaluation(strong))["retention"]
    assert not row.passed
    advice = Counsel(strong, judge(Evaluation(strong))).advice("retention")
    assert advice.holds
    assert rows(Evaluation(advice.plan.trial.design))["retention"].passed


@pytest.mark.parametrize("entries", [f"{STOCK}, {FITTED}", f"{STOCK}, at: -12 mm, {SCREWS}"])
def test_what_was_left_out_is_not_checked(tmp_path, entries):
    row = rows(evaluated(tmp_path, entries))["retention"]
    assert not row.checked
    assert row.change


def test_holes_that_break_out_fail(tmp_path):
    bolts = "shape: {kind: sector, bolts: {number: 3, diameter: 3 mm, radius: 12 mm, pitch: 30 deg}}"
    row = rows(evaluated(tmp_path, f"{STOCK}, {FITTED}, {bolts}"))["counterweight_holes"]
    assert row.passed
    row = rows(evaluated(tmp_path, f"{STOCK.replace('36 mm', '120 mm')}, {FITTED}, {bolts}"))["counterweight_holes"]
    assert not row.passed


def test_a_design_without_counterweights_has_neither_rows_nor_weights(tmp_path):
    evaluation = evaluated(tmp_path, "")
    assert verdict.rows(evaluation) == []
    assert tables.tables(evaluation) == []
    assert [table.key for table in tables.deep_tables(evaluation)] == ["complete_balance"]


@pytest.mark.parametrize("planes", ["-12 mm", "[-60 mm, 0 mm]"])
def test_tables_tell_of_every_plane(tmp_path, planes):
    entries = f"{STOCK}, at: {planes}, {SCREWS}, aim: least rms, trims: {{displacer: 90 g}}"
    evaluation = evaluated(tmp_path, entries)
    found = {table.key: table for table in [*tables.tables(evaluation), *tables.deep_tables(evaluation)]}
    assert set(found) == {
        "counterweights", "trims", "screws", "drilled_holes", "weight_rooms", "trade_off", "complete_balance"
    }  # fmt: skip
    count = len(evaluation.weights.planes)
    assert len(found["counterweights"].rows) == count
    assert len(found["screws"].rows) == 2 * count
    for table in found.values():
        assert table.json()["rows"]
        assert table.cells()
    mass = [row[0] for row in found["trade_off"].rows]
    assert mass[-1] == pytest.approx(float(evaluation.weights.mass), rel=0.2)
    assert "left" in found["trade_off"].json()["rows"][0] or "left_N" in found["trade_off"].json()["rows"][0]


def bearing_peak(design: Design) -> float:
    """Return the largest load of any bearing at the fastest speed, worked out by the whole engine."""
    evaluation = Evaluation(design)
    speed = np.asarray(design.speed.most)
    return max(float(load.size(speed).max()) for crank in evaluation.still_shafts.cranks for load in crank.bearings)


@pytest.fixture
def engine(tmp_path):
    """Return an engine in which nothing weighs and the teeth do not push apart, which the search leaves out."""
    entries = f"{STOCK}, {FITTED}, aim: least bearing load, trims: {{piston: 60 g, displacer: 60 g}}"
    design = read(design_file(tmp_path, entries))
    gears = None if design.cranks.gears is None else replace(design.cranks.gears, pressure_angle=1e-9)
    return replace(design, cranks=replace(design.cranks, gears=gears), gravity=replace(design.gravity, x=0.0, y=0.0))


def test_what_the_bearing_effects_say_is_what_the_engine_does(engine):
    problem = bearing_effects(engine)
    for share in (0.0, 0.4):
        unknowns = np.array([-0.5 * problem.caps[0], 0.3 * problem.caps[0], 0.03, 0.05]) * share
        said = float(problem.peak(unknowns))
        done = bearing_peak(replace(fit(engine, solved(engine.counterweights, unknowns)), counterweights=None))
        assert said == pytest.approx(done, rel=2e-3)  # peaks at one degree against those of the default angles


def test_no_random_set_loads_the_bearings_less(engine):
    problem = bearing_effects(engine)
    found = unknowns_for(engine)
    least = float(problem.peak(found))
    generator = np.random.default_rng(5)
    radius, turn = np.sqrt(generator.random(20_000)) * problem.caps[0], generator.random(20_000) * 2 * np.pi
    sets = np.column_stack([radius * np.cos(turn), radius * np.sin(turn), generator.random((20_000, 2)) * problem.most])
    sets[::2] = found + (sets[::2] - found) * 10.0 ** -generator.uniform(0, 4, (10_000, 1))
    assert least <= min(float(problem.peak(part).min()) for part in np.split(sets, 20)) * (1 + 1e-6)
    plain = with_entries(engine, aim="cancel order 1", trims={})
    assert bearing_peak(engine) < min(bearing_peak(plain), bearing_peak(replace(engine, counterweights=None)))


@pytest.mark.parametrize("aim", ["cancel order 1", "least rms", "least peak", "least bearing load"])
def test_many_options_are_each_solved_as_they_are_alone(tmp_path, aim):
    design = read(design_file(tmp_path, f"{STOCK}, {FITTED}, aim: {aim}"))
    design = with_entries(design, trims={name: Trim(at_most=0.02) for name in design.yokes})
    thickness = np.array([0.004, 0.03])
    many = Evaluation(with_entries(design, thickness=thickness))
    for place in range(2):
        alone = Evaluation(with_entries(design, thickness=thickness[place]))
        for name, mass in alone.weights.trims.items():
            assert many.weights.trims[name][place] == pytest.approx(float(mass), abs=1e-9)
        assert many.weight.wanted[place] == pytest.approx(float(alone.weight.wanted), rel=1e-6)
        assert many.weighted_shaking.y[place] == pytest.approx(alone.weighted_shaking.y, abs=1e-9)


def test_trims_are_masses_of_the_running_engine(tmp_path):
    """Fitted trims load the joints: the displacer's pivot force grows by what its trim needs."""
    design = read(design_file(tmp_path, f"{STOCK}, {FITTED}, aim: least rms, trims: {{displacer: 40 g, piston: 40 g}}"))
    evaluation, bare = Evaluation(design), Evaluation(replace(design, counterweights=None))
    assert sum(evaluation.weights.trims.values()) > 0.001
    for name, mass in evaluation.weights.trims.items():
        grown = evaluation.forces[name].pivot.right.y.inertia - bare.forces[name].pivot.right.y.inertia
        np.testing.assert_allclose(grown, float(mass) / 2 * evaluation.motion.yokes[name].acceleration, atol=1e-12)


@pytest.mark.parametrize("angle", [14.5, 25.0])
def test_without_weights_the_bearings_bear_what_they_bear_with_teeth_that_push_apart_too(tmp_path, angle):
    """Nothing is linearised then: every bearing's load over the turn, worked out by the whole engine at one degree."""
    design = read(design_file(tmp_path, f"{STOCK}, at: -12 mm, aim: least bearing load, trims: {{piston: 60 g}}"))
    gears = replace(design.cranks.gears, pressure_angle=np.deg2rad(angle))
    design = replace(design, cranks=replace(design.cranks, gears=gears))
    problem = bearing_effects(design)
    done = bearing_peak(replace(design, counterweights=None))
    upright = bearing_peak(replace(design, counterweights=None, cranks=replace(design.cranks, gears=None)))
    assert abs(done - upright) > 0.02 * done
    assert float(problem.peak(np.zeros(len(problem.by_unknown)))) == pytest.approx(done, rel=2e-3)


@pytest.mark.parametrize("reach", [-1e-6, 1e-6])
@pytest.mark.parametrize("play", [0.0, 0.0008])
@pytest.mark.parametrize("end", [-1, 1])
@pytest.mark.parametrize("thick_one", [0, 1])
def test_a_thick_piece_counts_beside_a_weight_once_it_can_slide_there(tmp_path, reach, play, end, thick_one):
    """Discs of 14 mm on one of two shafts that else have 3, a hair beyond or within the end of a plate of 6 mm.

    Plates of 12 mm leave 48 - 12 - 14 = 22 mm beside the disc, else what is left between them, 48 - 24 mm.
    """
    design = read(design_file(tmp_path, f"{STOCK}, {FITTED}".replace("20 mm", "12 mm").replace("36 mm", "6 mm")))
    face = -0.012 + end * (0.003 + play - reach)
    low, high = (face, face + 0.002) if end > 0 else (face - 0.002, face)
    lengths = ((-0.060, low, 0.006), (low, high, 0.028), (high, 0.060, 0.006))
    pieces = tuple(Segment(length=stop - start, diameter=thick) for start, stop, thick in lengths)
    plain = replace(design.shafts, segments=(Segment(length=0.12, diameter=0.006),), starts_at=-0.060)
    stepped = replace(plain, segments=pieces)
    shafts = replace(stepped, left=plain) if thick_one == 0 else replace(plain, left=stepped)
    design = replace(design, shafts=shafts, fits=replace(design.fits, axial_play=play))
    weights = Evaluation(design).weights
    assert float(weights.planes[0].shape.thickness) == pytest.approx(0.006)
    (found,) = circle_clearances(design, weights)
    assert float(found) == pytest.approx(0.022 if reach > 0 else 0.024)

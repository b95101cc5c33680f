"""Searching: the answer is the best there is, the same each time, whether resumed or not, and written as a design."""

import json
from itertools import product
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from click.testing import CliRunner

from balance.cycle.extremes import largest
from designs.changing.groups import grouped
from designs.command import group
from designs.command.inputs import SHIPPED
from designs.counsel.advised import judge
from designs.evaluate import Evaluation, evaluate_finely
from designs.options.batch import limits_of
from designs.options.findings import Aim, Findings, aim, on_front
from designs.options.found import whole_verdicts
from designs.options.journal import Journal, OtherSearchError
from designs.options.search import Search, _costs, run
from designs.options.varying import BadSearchError, variation
from designs.options.writing import with_values
from designs.reading import read, read_text, read_tree
from designs.reading.source import parse
from designs.status import NOT_ALL_CHECKED  # the engine of these tests leaves things out

TEXT = Path(__file__).with_name("greenhouse-fan.yaml").read_text("utf-8")
KNOWN = TEXT.replace("clearance: C3}", "clearance: C3, seat_stiffness: 60 N/um}").replace(
    "clearance: 12 um}", "clearance: 12 um, seat_stiffness: 60 N/um}"
)
LIMITED = KNOWN.replace(
    "limits: {", "limits: {shaking force: 60 N, slope at bearings: 3 mrad, slope_at_gears: 3 mrad, "
).replace("mrad", "arcmin")
RADIUS, MASS, THICK = "cranks.throws.second pin.radius", "yokes.displacer.parts.displacer", "shafts.segments.*.diameter"


@pytest.fixture
def fan(tmp_path):
    path = tmp_path / "fan.yaml"
    path.write_text(LIMITED, "utf-8")
    return path


def run_command(*arguments):
    return CliRunner().invoke(group, ["search", *map(str, arguments)])


def searched(text=LIMITED, vary=(), aims=("least:shaking_force",), method="grid", samples=60, seed=1, keys=()):
    """Return a search; keys : the limits that are judged, all if left out: one costs a small part of them."""
    tree, design = parse(text, "fan"), read_text(text)
    keys = keys or tuple(limits_of(Evaluation(design)))
    return Search(
        design,
        tuple(variation(each, tree, design) for each in vary),
        tuple(aim(each) for each in aims),
        keys,
        method,
        samples,
        seed,
    )


def found(search, folder=None, told=lambda count: None):
    return run(search, Journal(folder, search.keys, "same"), told, workers=1)


FORCE = ("shaking_force",)
GRID = (f"{RADIUS}=10 mm,11 mm,12 mm", f"{MASS}=50 g..70 g in 3")


def test_a_grid_finds_what_trying_each_by_itself_finds(fan):
    options = []
    for radius, mass in product(("10 mm", "11 mm", "12 mm"), ("50 g", "60 g", "70 g")):
        text = LIMITED.replace("radius: 0.5 in", f"radius: {radius}").replace("displacer: 60 g", f"displacer: {mass}")
        design = read_text(text)
        options.append((float(largest(Evaluation(design).shaking.size)[0]) * design.speed.most**2, radius, mass))
    force, radius, mass = min(options)
    ranking = found(searched(vary=GRID)).ranked()
    assert ranking.passes
    assert ranking.verdicts.of("shaking_force")[0] == pytest.approx(force, rel=1e-12)
    assert [f"{value:g} {unit}" for value, unit in zip(ranking.values[:, 0], ("mm", "g"), strict=True)] == [
        radius,
        mass,
    ]
    np.testing.assert_allclose(ranking.verdicts.of("shaking_force"), sorted(each[0] for each in options), rtol=1e-12)


def test_options_that_break_a_limit_do_not_rank():
    limits = sorted(found(searched(vary=GRID)).ranked().verdicts.of("shaking_force"))
    tight = LIMITED.replace("shaking force: 60 N", f"shaking force: {(limits[2] + limits[3]) / 2:.6f} N")
    findings = found(searched(tight, GRID, ("most:shaking_force",)))
    assert findings.passing == 3
    assert findings.fails[findings.keys.index("shaking_force")] == 6
    assert findings.alone[findings.keys.index("shaking_force")] == 6
    assert findings.ranked().verdicts.of("shaking_force")[0] == pytest.approx(limits[2], rel=1e-12)


def test_where_none_passes_the_nearest_come_first():
    tight = LIMITED.replace("shaking force: 60 N", "shaking force: 1 N")
    ranking = found(searched(tight, GRID)).ranked()
    assert not ranking.passes
    assert list(ranking.verdicts.of("shaking_force")) == sorted(ranking.verdicts.of("shaking_force"))


def test_the_whole_verdict_of_an_option_is_that_of_check(tmp_path):
    text = (SHIPPED / "counterweighted.yaml").read_text("utf-8")
    search = searched(text, vary=("cranks.webs.0.mass=30 g",))  # where vibration counts in the gap
    rows = whole_verdicts(search, found(search).ranked(), 1)[0].rows
    fan = tmp_path / "fan.yaml"
    assert text.count("mass: 11 g, cg: [0 mm, 5.5 mm]") == 1
    fan.write_text(text.replace("mass: 11 g, cg: [0 mm, 5.5 mm]", "mass: 30 g, cg: [0 mm, 5.5 mm]"), "utf-8")
    checked = judge(evaluate_finely(read(fan)))  # as check does
    one, two = ({row.key: row.value for row in each} for each in (rows, checked))
    assert all(isinstance(row.advice, str) for row in rows)  # sixty that wait to be asked would hold 1.7 GB
    assert one.keys() == two.keys()
    for key, value in one.items():
        assert (value is None) == (two[key] is None), key
        if value is not None:
            assert float(value) == pytest.approx(float(two[key]), rel=1e-9, abs=1e-12), key


def test_options_that_cannot_be_built_are_counted_and_set_aside():
    vary = ("yokes.displacer.rod.length=10 mm,20.5 mm,66 mm", f"{RADIUS}=10 mm,12 mm")
    findings = found(searched(LIMITED.replace("shaking force: 60 N", "shaking force: 9 kN"), vary))
    # Pivots 9 mm inside the shafts: a rod of 20.5 mm leans by 68 degrees with a throw of 10 mm, short with 12 mm.
    assert (findings.tried, findings.illegal) == (6, 3)
    assert set(map(tuple, findings.ranked().values.T)) <= {(20.5, 10.0), (66.0, 10.0), (66.0, 12.0)}


def test_the_global_method_finds_the_best_of_a_fine_grid():
    vary = (f"{RADIUS}=9 mm..13 mm in 33", f"{MASS}=40 g..80 g in 33")
    best = found(searched(vary=vary, keys=FORCE)).ranked().verdicts.of("shaking_force")[0]
    evolving = searched(vary=vary, method="global", samples=1500, keys=FORCE)
    evolved = found(evolving).ranked().verdicts.of("shaking_force")[0]
    assert evolved <= best * (1 + 1e-4)


@pytest.mark.parametrize("method", ["hypercube", "global"])
def test_the_same_seed_gives_the_same_and_another_seed_another(method):
    vary = (f"{RADIUS}=9 mm..13 mm", f"{MASS}=40 g..80 g")
    first, again, other = (
        found(searched(vary=vary, method=method, seed=seed, keys=FORCE)).ranked() for seed in (3, 3, 4)
    )
    np.testing.assert_array_equal(first.values, again.values)
    assert not np.array_equal(first.values, other.values)


def test_a_hypercube_puts_one_option_in_every_slice():
    ranking = found(searched(vary=(f"{RADIUS}=9 mm..13 mm",), method="hypercube", samples=40, keys=FORCE)).ranked()
    assert ranking.values.shape == (1, 40)
    assert sorted(np.floor((ranking.values[0] - 9) / 4 * 40)) == list(range(40))


@pytest.mark.parametrize("method", ["hypercube", "global"])
def test_an_interrupted_search_goes_on_to_the_same_answer(method, tmp_path):
    search = searched(vary=(f"{RADIUS}=9 mm..13 mm", f"{MASS}=40 g..80 g"), method=method, samples=300, keys=FORCE)
    whole = found(search).ranked()
    done = []

    def stop(count):
        done.append(count)
        if len(done) == 3:
            raise KeyboardInterrupt

    part = found(search, tmp_path / "kept", stop)
    assert part.interrupted
    assert 0 < part.tried < 300
    assert len(list((tmp_path / "kept").glob("*.npz"))) == 3
    resumed = found(search, tmp_path / "kept")
    assert not resumed.interrupted
    np.testing.assert_array_equal(resumed.ranked().values, whole.values)
    np.testing.assert_array_equal(resumed.ranked().verdicts.values, whole.verdicts.values)


def test_what_is_kept_is_not_worked_out_again(tmp_path, monkeypatch):
    search = searched(vary=(f"{RADIUS}=9 mm..13 mm",), method="hypercube", samples=100, keys=FORCE)
    whole = found(search, tmp_path / "kept").ranked()
    monkeypatch.setattr("designs.options.batch.judge_options", lambda *_: pytest.fail("worked out again"))
    np.testing.assert_array_equal(found(search, tmp_path / "kept").ranked().values, whole.values)


def test_results_of_another_search_are_refused(fan, tmp_path):
    arguments = [fan, "--vary", f"{RADIUS}=10 mm,11 mm", "--resume", tmp_path / "kept"]
    assert run_command(*arguments).exit_code == NOT_ALL_CHECKED
    refused = run_command(fan, "--vary", f"{RADIUS}=10 mm,12 mm", "--resume", tmp_path / "kept")
    assert refused.exit_code == 2
    assert "another search" in refused.stderr
    fan.write_text(LIMITED.replace("displacer: 60 g", "displacer: 61 g"), "utf-8")
    assert run_command(*arguments).exit_code == 2


def test_a_folder_of_other_things_is_left_alone(tmp_path):
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(OtherSearchError, match="holds no search"):
        Journal(tmp_path, ("gap",), "any")
    assert [each.name for each in tmp_path.iterdir()] == ["notes.txt"]


def test_the_best_is_written_as_the_same_file_with_its_values(fan, tmp_path):
    out = tmp_path / "best.yaml"
    vary = ("--vary", f"{RADIUS}=10.25 mm,12 mm", "--vary", f"{THICK}=6 mm,7 mm")
    result = run_command(fan, *vary, "--aim", "least:shaking_force", "--best", out, "--json")
    assert result.exit_code == NOT_ALL_CHECKED, result.output
    best = json.loads(result.stdout)["ranking"][0]
    assert best["entries"][RADIUS] == "10.25 mm"
    changed = [
        (old, new) for old, new in zip(LIMITED.splitlines(), out.read_text().splitlines(), strict=True) if old != new
    ]
    expected = [old.replace("0.5 in", "10.25 mm") for old, _ in changed]
    assert [new.replace("diameter: 7 mm", "diameter: 6 mm") for _, new in changed] == expected
    assert "# A hot-air engine" in out.read_text()
    design = read(out)
    force = float(largest(Evaluation(design).shaking.size)[0]) * design.speed.most**2
    assert best["figures"]["shaking_force"] == pytest.approx(force, rel=1e-12)
    assert CliRunner().invoke(group, ["check", str(out)]).exit_code == NOT_ALL_CHECKED


def test_nothing_is_replaced_unless_told_to(fan, tmp_path):
    result = run_command(fan, "--vary", f"{RADIUS}=10 mm,12 mm", "--best", fan)
    assert result.exit_code == 2
    assert fan.read_text("utf-8") == LIMITED


def test_no_best_is_written_where_none_passes(fan, tmp_path):
    fan.write_text(LIMITED.replace("shaking force: 60 N", "shaking force: 1 N"), "utf-8")
    result = run_command(fan, "--vary", f"{RADIUS}=10 mm,12 mm", "--best", tmp_path / "best.yaml")
    assert result.exit_code == 1
    assert "nearest" in result.stdout
    assert not (tmp_path / "best.yaml").exists()


def test_a_column_of_a_table_can_be_an_aim(fan):
    result = run_command(
        fan, "--vary", f"{RADIUS}=10 mm,11 mm,12 mm", "--aim", "most:strokes.stroke[displacer]", "--json"
    )
    assert result.exit_code == NOT_ALL_CHECKED, result.stderr
    ranking = json.loads(result.stdout)["ranking"]
    assert [each["entries"][RADIUS] for each in ranking] == ["12 mm", "11 mm", "10 mm"]
    stroke = Evaluation(read_text(LIMITED.replace("radius: 0.5 in", "radius: 12 mm"))).strokes["displacer"].length
    assert ranking[0]["figures"]["strokes.stroke[displacer]"] == pytest.approx(stroke, rel=1e-12)


def test_several_aims_give_a_front_and_a_picture(fan, tmp_path):
    arguments = ["--vary", f"{RADIUS}=9 mm..13 mm in 6", "--vary", f"{THICK}=6 mm,7 mm,8 mm", "--method", "grid"]
    arguments += ["--aim", "least:shaking_force", "--aim", "least:slope_at_bearings", "--plot", tmp_path / "front.svg"]
    result = run_command(fan, *arguments, "--top", 100, "--json")
    ranking = json.loads(result.stdout)["ranking"]
    costs = np.array([[each["figures"][key] for each in ranking] for key in ("shaking_force", "slope_at_bearings")])
    beaten = [any(np.all(other <= mine) and np.any(other < mine) for other in costs.T) for mine in costs.T]
    assert [each["on_front"] for each in ranking] == [not each for each in beaten]
    assert [each["on_front"] for each in ranking] == sorted((each["on_front"] for each in ranking), reverse=True)
    assert "rank 1" in (tmp_path / "front.svg").read_text()


@pytest.mark.parametrize("seed", range(5))
def test_the_front_is_what_comparing_all_with_all_gives(seed):
    costs = np.random.default_rng(seed).integers(0, 6, (3, 80)).astype(float)
    beaten = [any(np.all(other <= mine) and np.any(other < mine) for other in costs.T) for mine in costs.T]
    assert list(on_front(costs)) == [not each for each in beaten]


@pytest.mark.parametrize(
    ("vary", "words"),
    [
        ("cranks.throws.nope.radius=1 mm,2 mm", "path of an entry"),
        ("cranks.throws=1 mm,2 mm", "path of an entry"),
        (f"{RADIUS}=10,12", "a length with its unit"),
        (f"{RADIUS}=12 mm..10 mm", "from the smaller to the larger"),
        (f"{RADIUS}=10 kg", "not a length"),
        (RADIUS, "PATH=VALUE"),
        ("shafts.material=1 mm", "the path of a number"),
        ("cranks.gears.teeth=47.5,48", "whole numbers"),
    ],
)
def test_a_bad_variation_is_refused(fan, vary, words):
    result = run_command(fan, "--vary", vary)
    assert result.exit_code == 2
    assert words in result.stderr
    assert "Traceback" not in result.output


@pytest.mark.parametrize("aims", [["best:gap"], ["least:"], ["least:nothing"], ["least:strokes.strike"]])
def test_a_bad_aim_is_refused(fan, aims):
    result = run_command(fan, "--vary", f"{RADIUS}=10 mm,12 mm", *(word for each in aims for word in ("--aim", each)))
    assert result.exit_code == 2
    assert "Traceback" not in result.output


def test_an_entry_can_be_varied_once_only(fan):
    result = run_command(fan, "--vary", f"{RADIUS}=10 mm,12 mm", "--vary", "cranks.throws.*.radius=9 mm,10 mm")
    assert result.exit_code == 2
    assert "varied twice" in result.stderr


def test_values_are_replaced_in_place_and_nowhere_else():
    text = "# 5 mm\na: {b: 5 mm, c: 5 mm}  # keep 5 mm\nd: ['5 mm', 7]\n"
    tree = parse(text, "text")
    assert (
        with_values(text, tree, {"a.c": "6 mm", "d.0": "8 mm"})
        == "# 5 mm\na: {b: 5 mm, c: 6 mm}  # keep 5 mm\nd: [8 mm, 7]\n"
    )


def test_what_a_range_picks_can_be_written_down_and_read_back():
    tree, design = parse(LIMITED, "fan"), read_text(LIMITED)
    for text in (
        f"{RADIUS}=9 mm..0.5 in",
        "gas.hot=500 degC..700 degC",
        "cranks.gears.teeth=40..48",
        f"{MASS}=1.2 oz..80 g",
    ):
        entry = variation(text, tree, design)
        values = entry.at(np.random.default_rng(0).random(20))
        for value in values:
            other = variation(f"{entry.path}={entry.written(float(value))}", tree, design)
            assert other.si(other.even)[0] == pytest.approx(entry.si(value), rel=1e-14)
    with pytest.raises(BadSearchError):
        variation("gas.hot=500 mm", tree, design)


def test_findings_keep_the_best_of_many_blocks(monkeypatch):
    monkeypatch.setattr("designs.options.findings.CROWD", 40)
    monkeypatch.setattr("designs.options.findings.KEPT", 10)
    search = searched(vary=(f"{RADIUS}=9 mm..13 mm",), method="hypercube", samples=200)
    thinned = found(search).ranked()
    monkeypatch.undo()
    every = found(search)
    np.testing.assert_array_equal(thinned.values[:, :10], every.ranked().values[:, :10])
    assert thinned.values.shape[1] <= 40 + 64
    assert isinstance(every, Findings)
    assert Aim("least", "gap").sign == 1.0


@pytest.mark.parametrize(
    "entry",
    ["shafts.segments.*.diameter=5 mm..12 mm", "gas.mean_pressure=90 kPa..110 kPa", "fits.guide_play=10 um..50 um",
     "cranks.gears.backlash=0 mm..0.2 mm", "yokes.piston.parts.piston.mass=20 g..60 g", "speed.most=1200 rpm..2000 rpm",
     "counterweights.thickness=6 mm..12 mm", "mount.feet.stiffness=2 N/mm..9 N/mm", "yokes.*.rod.length=60 mm..70 mm"],
)  # fmt: skip
def test_any_entry_alone_may_be_varied(entry: str) -> None:
    """Whatever an entry touches, the rest of the design stays one number and not one for each option."""
    design = str(Path(__file__).parents[2] / "designs" / "redesign.yaml")
    result = CliRunner().invoke(
        group, ["search", design, "--vary", entry, "--aim", "most:gap", "--samples", "5", "--top", "1"]
    )
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert result.exit_code in (0, 1, 3), result.stderr
    assert "options tried" in result.stdout


def test_a_shaft_takes_its_bearings_along_and_only_sizes_that_are_sold_are_tried(tmp_path: Path) -> None:
    """No 5.94 mm shaft on an 8 mm bearing: each option's bores are its shaft's, in the search and in what it writes."""
    path = Path(__file__).parents[2] / "designs" / "redesign.yaml"
    tree, design = read_tree(path), read(path)
    for said in ("shaft=5.94 mm..9.2 mm", "shafts.segments.*.diameter=5.94 mm..9.2 mm"):
        entry = variation(said, tree, design)
        assert entry.even == pytest.approx([6, 7, 8, 9])
        search = Search(design, (entry,), (aim("most:margin"),), ("gap",), "grid", 4, 1)
        options = search.options(entry.even[None])
        for bearing in options.shafts.bearings:
            np.testing.assert_array_equal(bearing.ball.bore, options.shafts.segments[0].diameter)
    with pytest.raises(BadSearchError, match="any-size"):
        variation("shaft=5.94 mm,8 mm", tree, design)
    assert variation("shaft=5.94 mm,8 mm", tree, design, any_size=True).even == pytest.approx([5.94, 8])
    best = tmp_path / "best.yaml"
    result = run_command(path, "--vary", "shaft=8 mm,9 mm", "--best", best)
    assert result.exit_code == 0, result.stderr
    made = read(best)
    assert {float(each.ball.bore) for each in made.shafts.bearings} == {float(made.shafts.segments[0].diameter)}
    assert "What binds:" in result.stdout


def test_ratings_given_of_one_bearing_are_those_of_no_other() -> None:
    """Its own bearing keeps the rating that the file gives; the others are rated as they are sold, in one array."""
    words = (SHIPPED / "redesign.yaml").read_text("utf-8")
    own = words.replace("width: 8 mm}", "width: 8 mm, dynamic_rating: 4.6 kN}")
    assert own.count("4.6 kN") == 2
    sizes = np.array([0.008, 0.010, 0.012])
    kept, sold = (grouped(read_text(each), sizes).shafts.bearings for each in (own, words))
    for one, other in zip(kept, sold, strict=True):
        rated = other.ball.ratings().dynamic
        np.testing.assert_array_equal(one.ball.ratings().dynamic, [rated[0], 4600.0, rated[2]])


def test_no_failing_option_stands_among_the_best() -> None:
    path = Path(__file__).parents[2] / "designs" / "redesign.yaml"
    result = run_command(path, "--vary", "shaft=3 mm..9 mm", "--json")
    ranking = json.loads(result.stdout)["ranking"]
    shown = run_command(path, "--vary", "shaft=3 mm..9 mm").stdout
    assert "fails" not in shown.partition("Which limits")[0]
    assert any(not each["whole_verdict_failing"] for each in ranking)


def test_the_global_method_goes_from_what_cannot_be_built_over_what_fails_least_to_the_aim() -> None:
    """Costs by hand: three that pass by their aim, two that fail by how far, one that cannot be built."""
    margins = np.array([[0.1, 0.2, 0.0, -0.1, -2.0, np.nan], [0.3, 0.1, 0.2, 0.5, -0.5, np.nan]])
    told = SimpleNamespace(
        margins=margins,
        passed=margins >= 0,
        passes=np.array([True, True, True, False, False, False]),
        legal=np.array([True] * 5 + [False]),
    )
    costs = _costs(told, SimpleNamespace(cost=lambda verdicts: np.array([3.0, -1.0, np.inf, 0.0, -9.0, np.nan])))
    assert list(np.argsort(costs)) == [1, 0, 2, 3, 4, 5]
    assert costs[:2] == pytest.approx([3.0, -1.0])
    assert costs[2:] == pytest.approx([0.5e9, 1.1e9, 3.5e9, 1e18])

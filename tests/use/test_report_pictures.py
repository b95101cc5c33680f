"""Pictures of every shipped design: words apart and inside, curves true to the core and told apart in grey."""

from itertools import combinations
from pathlib import Path
from types import SimpleNamespace

import matplotlib
import numpy as np
import pytest
from click.testing import CliRunner
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.text import Text

from balance.cycle.extremes import largest, least
from designs.command import group, plotting
from designs.evaluate import Evaluation
from designs.pages import (
    axes,
    axes_counterweight,
    axes_doubt,
    axes_gap,
    axes_learned,
    axes_mechanism,
    axes_motion,
    axes_shafts,
    axes_shaking,
    axes_strength,
    front,
    pictures,
)
from designs.pages.ink import LINES, LOOK, save
from designs.pages.spacing import pushed_apart
from designs.reading import read
from shafts.gap.contact import first_contact
from shafts.gap.pair import budget

SHIPPED = Path(pictures.__file__).parents[1]
SUBJECTS = (
    axes_counterweight, axes_doubt, axes_gap, axes_learned, axes_mechanism, axes_motion, axes_shafts, axes_shaking,
    axes_strength,
)  # fmt: skip
DESIGNS = {path.stem: path for path in sorted(SHIPPED.glob("*.yaml"))}


@pytest.fixture(scope="module", params=DESIGNS)
def drawn(request):
    """Every picture of a shipped design with its figure, drawn."""
    evaluation = Evaluation(read(DESIGNS[request.param]))
    with matplotlib.rc_context(LOOK):
        figures = [
            (picture, picture.figure(evaluation)) for picture in (pictures.STILL, *pictures.pictures(evaluation))
        ]
        for _, figure in figures:
            FigureCanvasAgg(figure).draw()
    return figures


@pytest.fixture(scope="module")
def as_built():
    return Evaluation(read(DESIGNS["as-built"]))


def words_of(figure):
    """Return every text that is drawn, with its place on the figure."""
    found = []
    for each in figure.findobj(Text):
        if each.get_visible() and each.get_text().strip() and each not in beyond(figure):
            box = each.get_window_extent(figure.canvas.get_renderer())
            if box.width > 0 and box.height > 0:
                found.append((each.get_text(), box))
    return found


def beyond(figure):
    """Return labels of ticks beyond the limits of their axes, which are kept but not drawn."""
    found = set()
    for plot in figure.axes:
        for axis in (plot.xaxis, plot.yaxis):
            low, high = sorted(axis.get_view_interval())
            for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks()):
                if not low - 1e-9 <= tick.get_loc() <= high + 1e-9:
                    found |= {tick.label1, tick.label2}
    return found


def overlap(one, other):
    wide = min(one.x1, other.x1) - max(one.x0, other.x0)
    high = min(one.y1, other.y1) - max(one.y0, other.y0)
    return max(wide, 0) * max(high, 0) / min(one.width * one.height, other.width * other.height)


def sentence(figure):
    """Whether a picture is a sentence, as there is nothing to show."""
    return not figure.axes[0].axison and any(len(text.split()) > 4 for text, _ in words_of(figure))


def test_words_keep_apart_and_inside(drawn):
    wrong = []
    for picture, figure in drawn:
        words = words_of(figure)
        assert len(words) >= 5 or sentence(figure), picture.key
        for text, box in words:
            if box.x0 < -1 or box.y0 < -1 or box.x1 > figure.bbox.x1 + 1 or box.y1 > figure.bbox.y1 + 1:
                wrong.append((picture.key, text, "outside"))
        for (one, box), (other, its) in combinations(words, 2):
            if overlap(box, its) >= 0.2:
                wrong.append((picture.key, one, other))
    assert wrong == []


def test_axes_bear_units(drawn):
    for picture, figure in drawn:
        plot = figure.axes[0]
        if picture.key.startswith("weight") or sentence(figure):
            continue  # a drawing of a part says its unit in its caption
        said = f"{plot.get_xlabel()} {plot.get_ylabel()} {plot.get_title('left')}"
        assert any(unit in said for unit in ("mm", "rpm", "deg", "N", "kPa", "percent")), picture.key


def test_lines_differ_without_their_colour():
    assert len({str(line["linestyle"]) for line in LINES}) == len(LINES)
    for line in LINES:
        # Contrast against white paper as WCAG 2.1, section 1.4.11, asks of graphics: 3 to 1.
        linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(line["color"])]
        luminance = np.dot(linear, (0.2126, 0.7152, 0.0722))
        assert 1.05 / (luminance + 0.05) >= 3


def lines_of(draw, evaluation, polar=False, **named):
    axes = Figure().add_subplot(projection="polar" if polar else None)
    draw(axes, evaluation, **named)
    return axes


def test_gap_curve_is_that_of_the_core(as_built):
    axes = lines_of(axes_gap.draw_gap_over_speed, as_built)
    expected = next(line for line in axes.lines if line.get_label().startswith("expected"))
    rpm, gap = expected.get_data()
    for place in (0, 20, -1):
        assert gap[place] == pytest.approx(float(as_built.pairs[0].least(rpm[place] * np.pi / 30)[0]) * 1e3)
    contact = float(first_contact(as_built.pairs[0], as_built.top_speed)) * 30 / np.pi
    assert f"touch from {contact:.0f} rpm" in expected.get_label()


def test_budget_steps_add_up(as_built):
    pair = as_built.pairs[0]
    speed = as_built.tightest_speed(pair)
    nominal, items = budget(pair, speed)
    place = pair.tightest(speed)[0]
    left = float(least(pair.clearances(speed)[place])[0])
    assert nominal + sum(items.values()) == pytest.approx(left, rel=1e-9)


def test_map_follows_the_core_between_its_angles(as_built):
    gap = as_built.pairs[0].gap(np.array([0.0, 100.0, 180.0])) * 1e3
    angle, fine = axes_gap._close_up(gap)
    for row, speed in zip(fine, (0.0, 100.0, 180.0), strict=True):
        gap_there, at = (float(each) for each in as_built.pairs[0].least(speed))
        assert row.min() == pytest.approx(gap_there * 1e3, abs=2e-4)
        assert angle[row.argmin()] == pytest.approx(np.rad2deg(at), abs=0.7)


def test_shaking_over_a_turn_reaches_the_peak(as_built):
    axes = lines_of(axes_shaking.draw_shaking_over_turn, as_built)
    peak = float(largest(as_built.bare_shaking.size)[0]) * float(as_built.design.speed.most) ** 2
    assert max(line.get_ydata().max() for line in axes.lines) == pytest.approx(peak, rel=1e-3)


def test_exaggeration_is_the_stated_one(as_built):
    axes = lines_of(axes_shafts.draw_bending, as_built)
    stated = float(axes.get_title("left").split("drawn ")[1].split()[0])
    along = next(line for line in axes.lines if line.get_label().startswith("along"))
    said = float(along.get_label().split("most ")[1].split()[0])
    assert np.abs(along.get_ydata()).max() == pytest.approx(abs(said) * 1e-3 * stated, rel=1e-3)


def test_part_to_cut_is_drawn_in_its_size(as_built):
    axes = lines_of(axes_counterweight.draw_counterweight, as_built)
    outline = axes.patches[0].get_xy()
    plate = as_built.weight.shape
    assert np.hypot(*outline.T).max() == pytest.approx(float(plate.edge.reach) * 1e3, rel=1e-6)
    words = " ".join(each.get_text() for each in axes.texts)
    assert f"{float(plate.mass) * 1e3:.1f} g" in words
    assert f"R{float(plate.edge.reach) * 1e3:.2f}" in words


def test_rods_of_the_still_mechanism_keep_their_length(as_built):
    axes = lines_of(axes_mechanism.draw_mechanism, as_built, place=11)
    lengths = {round(float(np.hypot(*np.ptp(line.get_xydata(), axis=0))), 6) for line in axes.lines}
    assert {40.0, 64.6, 9.0, 12.0} <= lengths  # rods and throws of the file, mm


def test_labels_are_pushed_apart_within_bounds():
    found = pushed_apart([1.0, 1.1, 9.9, 9.95], 1.0, 0.0, 10.0)
    assert np.all(np.diff(found) >= 1.0 - 1e-12)
    assert min(found) >= 0
    assert max(found) <= 10


MAGIC = {"png": b"\x89PNG", "svg": b"<?xml", "pdf": b"%PDF"}


@pytest.mark.parametrize(("half", "ending"), [("balance", "svg"), ("balance", "pdf"), ("shafts", "png")])
def test_plot_of_either_half(tmp_path, as_built, half, ending):
    file = tmp_path / f"half.{ending}"
    plotting.draw_half(as_built, half, str(file), False)
    first = file.read_bytes()
    assert first.startswith(MAGIC[ending])
    assert len(first) > 20_000
    with pytest.raises(SystemExit):
        plotting.draw_half(as_built, half, str(file), False)
    assert file.read_bytes() == first


def test_plot_is_drawn_from_the_command(tmp_path):
    file = tmp_path / "half.svg"
    result = CliRunner().invoke(group, ["balance", str(DESIGNS["as-built"]), "--plot", str(file)])
    assert result.exit_code == 0, result.output
    assert "Shaking force by order" in file.read_text("utf-8")


def test_every_figure_can_be_had_from_one_module(as_built):
    for name in sorted(set(axes.__all__) - {"draw_learned_gap"}):  # which takes a forecast in the evaluation's place
        polar = name == "draw_bearing_loads"
        drawn = lines_of(getattr(axes, name), as_built, polar=polar)
        assert drawn.lines or drawn.patches or drawn.collections, name
    written = {name for module in SUBJECTS for name in vars(module) if name.startswith("draw_")}
    assert written == set(axes.__all__)


def test_letters_that_the_font_lacks_are_no_warning(tmp_path):
    """Warnings are errors here: names of machines come in any script."""
    made = Figure()
    made.add_subplot().set_title("机 🌱")
    for ending in ("png", "svg", "pdf"):
        save(made, tmp_path / f"name.{ending}")


def test_search_without_anything_to_draw_says_so(monkeypatch):
    monkeypatch.setattr(front, "_values", lambda *_: (np.array([np.nan, np.inf]), "least gap, mm"))
    for draw in (front.front, front.along):
        figure = draw(SimpleNamespace(aims=[1, 2]), SimpleNamespace(passes=True, values=[]))
        assert "nothing to draw" in figure.axes[0].texts[0].get_text()

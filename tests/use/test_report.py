"""The report: self-contained and safe, true to the computing core, never over an existing file unless told."""

import errno
import json
import re
import shutil
from dataclasses import replace
from html import escape, unescape
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from click.testing import CliRunner

from balance.motion import crank_angles
from designs import status
from designs.command import group
from designs.counsel.advice import amount_of
from designs.counsel.advised import counsel_of, heed
from designs.doubt import under_doubt
from designs.evaluate import Evaluation, evaluate_finely
from designs.pages import frames, mechanism, printing
from designs.pages.changes import first_changes
from designs.pages.content import Source, content
from designs.pages.page import page
from designs.pages.stated import entries
from designs.reading import read, read_text
from designs.verdict import verdict_of
from shafts.gap.contact import first_contact

SHIPPED = Path(frames.__file__).parents[1]
AS_BUILT, REDESIGN, RHOMBIC = (SHIPPED / f"{name}.yaml" for name in ("as-built", "redesign", "rhombic"))
LARGEST = 1_000_000  # bytes


def report(*arguments):
    return CliRunner().invoke(group, ["report", *map(str, arguments)])


@pytest.fixture(scope="module")
def as_built():
    return Evaluation(read(AS_BUILT))


@pytest.fixture(scope="module")
def made(as_built):
    return content('Fan <engine> & "more" </script><script>alert(1)</script>', as_built, Source(AS_BUILT))


@pytest.fixture(scope="module")
def html(made):
    return page(made, "0.0")


def test_names_of_commands_and_keys_are_set_apart_and_not_in_backticks(html):
    seen = re.sub(r"<(script|style).*?</\1>", "", html, flags=re.DOTALL)
    assert "`" not in seen
    assert "<code>check</code>" in seen


def test_each_failing_limit_says_once_what_the_first_changes_make_of_it(as_built, made, html):
    failing = {row.key for row in made.rows if row.state == "FAIL"}
    counsel = counsel_of(as_built)
    heed(as_built, under_doubt(as_built, verdict_of(as_built)))
    first, plans = first_changes(counsel), counsel.best
    assert first == made.first
    for key in failing - set(first.helped):  # what is left out is brought no nearer by them
        assert plans[-1].trial.short(key) >= counsel.base.trial.short(key)
    assert len(first.helped) >= 10
    for key, words in first.helped.items():
        assert html.count(escape(words)) == sum(each == words for each in first.helped.values())
        fails = [key in each.trial.failing for each in plans]
        count = 3 if "1 to 3" in words else 2 if "1 and 2" in words else 1
        assert any(each in words for each in ("still fails", "not in all of it")) == fails[-1]
        assert fails[count - 1 :] == [fails[-1]] * (len(plans) - count + 1)
        assert count == 1 or fails[-1] or fails[count - 2]


class Parts(HTMLParser):
    """Collects what could load something, ids, references to ids, and whether tags close in order."""

    VOID = frozenset(["meta", "link", "input", "br"])

    def __init__(self):
        super().__init__()
        self.loads, self.ids, self.refers, self.open, self.scripts, self.images = [], [], [], [], 0, []

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        self.loads += [
            value for key, value in attrs if key in ("src", "href", "xlink:href", "data", "action") and value
        ]
        self.ids += [found["id"]] if "id" in found else []
        self.refers += re.findall(r"url\(#([^)]+)\)", " ".join(value or "" for value in found.values()))
        self.scripts += tag == "script"
        self.images += [found] if found.get("role") == "img" else []
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in self.VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def parsed(text):
    parts = Parts()
    parts.feed(text)
    assert parts.open == []
    return parts


def test_page_holds_all_it_needs(html):
    parts = parsed(html)
    assert [each for each in parts.loads if not each.startswith(("#", "data:"))] == []
    assert not re.search(r"@import|@font-face|fetch\(|XMLHttpRequest|WebSocket", html)
    assert "default-src 'none'" in html
    assert len(html.encode()) < LARGEST


def test_every_id_is_its_own_and_every_reference_leads_somewhere(html):
    parts = parsed(html)
    assert len(parts.ids) == len(set(parts.ids))
    inner = [each[1:] for each in parts.loads if each.startswith("#")]
    assert set(inner) | set(parts.refers) <= set(parts.ids)


def test_title_of_a_design_cannot_become_markup(html):
    assert "alert(1)" in html
    assert "<script>alert" not in html
    assert parsed(html).scripts == 2  # the data and the program, no third one


@pytest.mark.usefixtures("light")
def test_name_of_a_yoke_cannot_become_markup():
    name = "</script><img src=x onerror=alert(1)>"
    text = AS_BUILT.read_text("utf-8").replace("  diaphragm:  ", f'  "{name}":')
    evaluation = Evaluation(read_text(text))
    assert name in evaluation.design.yokes
    parts = parsed(page(content("engine", evaluation), "0.0"))
    assert parts.scripts == 2
    assert [each for each in parts.loads if not each.startswith(("#", "data:"))] == []


def test_every_picture_says_in_words_what_it_shows(html, made):
    images = parsed(html).images
    assert all(len(each["aria-label"]) > 15 for each in images)
    assert len(images) >= sum(len(part.pictures) for part in made.parts) + 1


def test_report_has_every_part_and_every_table(html, made):
    titles = [table.title for part in made.parts for table in part.tables]
    assert {part.key for part in made.parts} == {"gap", "shaking", "weights", "shafts", "motion"}
    assert len(titles) == len(set(titles))
    said = (each.title for part in made.parts for each in part.pictures)
    rows = (row.what for row in made.rows)
    for words in (*titles, *said, *rows, "projectile", "licensed engineer", "relief valve"):
        assert words in unescape(html)


def test_verdict_says_from_which_speed_they_touch_and_what_to_fit(made, as_built):
    touching, shaking = made.answers[:2]
    contact = first_contact(as_built.pairs[0], as_built.top_speed) * 30 / np.pi
    assert touching.state == "bad"
    assert f"touch from {contact:.0f} rpm" in touching.words
    assert shaking.state == "bad"
    grams = float(as_built.weight.shape.mass) * 1e3
    assert f"The proposed counterweights, {grams:.0f} g a shaft, leave" in shaking.words


@pytest.mark.usefixtures("light")
def test_verdict_is_good_where_all_is_well():
    states = {each.question: each.state for each in content("", Evaluation(read(REDESIGN))).answers}
    assert states["Do the yokes touch?"] == states["Does it shake too much?"] == "good"
    assert states["Will the rest hold?"] == "good"


@pytest.mark.usefixtures("light")
def test_overlap_on_the_drawing_is_called_that():
    text = AS_BUILT.read_text("utf-8").replace("rod: {length: 64.6 mm", "rod: {length: 63 mm")
    answer = content("", Evaluation(read_text(text))).answers[0]
    assert "overlap even when turned by hand" in answer.words
    assert "On the drawing alone they overlap by" in answer.words


@pytest.mark.usefixtures("light")
def test_yokes_without_outlines_are_not_called_clear():
    text = re.sub(r"^    outline:.*\n", "", AS_BUILT.read_text("utf-8"), flags=re.MULTILINE)
    answer = content("", Evaluation(read_text(text))).answers[0]
    assert (answer.state, "outline" in answer.words) == ("unknown", True)


def unpacked(text, kind="<f8"):
    from base64 import b64decode

    return np.frombuffer(b64decode(text), dtype=kind)


def test_moving_drawing_gets_what_the_core_computes(as_built):
    data = frames.frames(as_built)
    json.dumps(data, allow_nan=False)
    rpm, pair = unpacked(data["rpm"]), as_built.pairs[0]
    gaps = unpacked(data["pairs"][0]["gap"], "<f4").reshape(len(rpm), data["angles"])
    for place in (0, 37, len(rpm) - 1):
        omega = rpm[place] * np.pi / 30
        np.testing.assert_allclose(gaps[place], pair.gap(omega), rtol=1e-6, atol=1e-12)
        least, angle = pair.least(omega)
        assert unpacked(data["pairs"][0]["least"])[place] == pytest.approx(float(least), rel=1e-9)
        assert unpacked(data["pairs"][0]["angle"])[place] == pytest.approx(float(angle), rel=1e-9)
        worst = float(pair.least(omega, "worst")[0])
        assert unpacked(data["pairs"][0]["worst"])[place] == pytest.approx(worst, rel=1e-9)
    load = data["yokes"][0]["left"]["x"]
    omega = 120.0
    expected = as_built.forces["diaphragm"].pin.left.x.at(omega)
    np.testing.assert_allclose(unpacked(load["steady"]) + omega**2 * unpacked(load["growing"]), expected, rtol=1e-12)


def test_slider_has_round_steps_and_every_stated_speed(as_built):
    rpm = frames.slider_speeds(as_built)
    assert rpm[0] == 0
    assert {200.0, 1000.0, 1800.0, 1800 * 1.25} <= set(rpm)
    assert np.all(np.diff(rpm) > 0)
    assert np.allclose(rpm % 50, 0)
    assert rpm.size <= frames.MOST_SPEEDS + 5


def test_cycle_of_many_angles_is_thinned_not_bent(as_built, monkeypatch):
    # A rod that leans as far as it may needs many angles for its harmonics.
    text = AS_BUILT.read_text("utf-8").replace("rod: {length: 40 mm", "rod: {length: 19.2 mm")
    count = evaluate_finely(read_text(text)).motion.theta.size
    assert count > frames.MOST_ANGLES
    assert count / frames.thinning(count) <= frames.MOST_ANGLES
    # What is shown of one of fewer angles is thinned alike where fewer still are shown.
    count = as_built.motion.theta.size
    monkeypatch.setattr(frames, "MOST_ANGLES", count // 2)
    every = frames.thinning(count)
    assert every == 2
    data = frames.frames(as_built, rpm=np.array([400.0, 900.0]))
    assert data["angles"] == count / every
    np.testing.assert_array_equal(
        unpacked(data["yokes"][0]["height"]), as_built.motion.yokes["diaphragm"].height[::every]
    )
    gap = unpacked(data["pairs"][0]["gap"], "<f4").reshape(2, data["angles"])
    np.testing.assert_allclose(gap[1], as_built.pairs[0].gap(30 * np.pi)[::every], rtol=1e-6, atol=1e-12)
    np.testing.assert_allclose(as_built.motion.theta[::every], crank_angles(data["angles"]), atol=1e-12)


def test_mechanism_is_drawn_to_scale(as_built):
    drawn = mechanism.drawing(as_built, 1)
    theta = as_built.motion.theta[drawn.place]
    rod = re.search(r'data-yoke="diaphragm" data-hand="left" x1="(.*?)" y1="(.*?)" x2="(.*?)" y2="(.*?)"', drawn.svg)
    x1, y1, x2, y2 = map(float, rod.groups())
    # By hand: left crankpin of the inner throw, radius 9 mm, phase 0, mirrored at -24 mm.
    assert (x1, -y1) == pytest.approx((-24 - 9 * np.sin(theta), 9 * np.cos(theta)), abs=2e-3)
    assert x2 == -15
    assert np.hypot(x2 - x1, y2 - y1) == pytest.approx(40.0, abs=2e-3)
    # Both shafts 24 mm from the middle; the inner pin, 4 mm thick, 9 mm above its shaft at crank angle zero.
    assert set(re.findall(r'<g transform="translate\((.*?) 0\)"><g class="crank"', drawn.svg)) == {
        "24.000",
        "-24.000",
    }
    pin = re.search(r'class="pin" cx="(.*?)" cy="(.*?)" r="(.*?)"', drawn.svg)
    assert tuple(map(float, pin.groups())) == pytest.approx((0.0, -9.0, 2.0))
    corners = re.search(r'class="yoke" points="(.*?)"', drawn.svg)[1].split()
    assert {float(each.split(",")[0]) for each in corners} == {-28.0, 28.0}


def test_every_entry_is_told_with_its_line():
    found = {each.path: each for each in entries(read(AS_BUILT), AS_BUILT)}
    lines = AS_BUILT.read_text("utf-8").splitlines()
    assert found["cranks.centre_distance"].value == "48 mm"
    for each in found.values():
        if each.source.startswith("line "):
            assert (
                each.path.split(".")[-1].isdecimal()
                or each.value.strip("[]").split(",")[0] in lines[int(each.source[5:]) - 1]
            )
    assert found["limits.gap"].source == "assumed"
    assert found["limits.gap"].value == "0.100 mm"
    assert "feeler" in found["limits.gap"].meaning
    assert found["shafts.left"].source == "left out"


def test_entries_of_an_option_are_those_of_the_option():
    found = {each.path: each.value for each in entries(read(AS_BUILT, "8 mm shafts"), AS_BUILT, "8 mm shafts")}
    assert found["shafts.segments.0.diameter"] == "8 mm"


@pytest.mark.usefixtures("light")
def test_other_designs_are_set_beside(tmp_path):
    file = tmp_path / "both.html"
    result = report(REDESIGN, RHOMBIC, "-o", file)
    assert result.exit_code == 0, result.output
    text = file.read_text("utf-8")
    assert 'id="comparison"' in text
    assert text.count("Greenhouse fan engine, rhombic drive") >= 2


@pytest.mark.usefixtures("light")
def test_option_is_shown_in_place_of_the_design(tmp_path):
    path, file = tmp_path / "fan.yaml", tmp_path / "heavy.html"
    path.write_text(f"{REDESIGN.read_text('utf-8')}options: {{heavy: {{yokes.displacer.parts.stem.mass: 12.3 g}}}}\n")
    assert report(path, "--option", "heavy", "-o", file).exit_code == 0
    text = file.read_text("utf-8")
    assert "<h1>Greenhouse fan engine, rebuilt: heavy</h1>" in text
    assert "option heavy" in text


@pytest.mark.usefixtures("light")
def test_faulty_design_beside_a_good_one_is_told(tmp_path):
    bad, file = tmp_path / "bad.yaml", tmp_path / "page.html"
    bad.write_text("title: nothing else", "utf-8")
    result = report(REDESIGN, bad, "-o", file)
    assert result.exit_code == 2
    assert file.exists()
    assert "bad.yaml" in result.output
    assert report(bad, "-o", tmp_path / "none.html").exit_code == 2
    assert not (tmp_path / "none.html").exists()


@pytest.fixture
def quick(monkeypatch):
    """Stands for the making of the page where only its writing is looked at."""
    monkeypatch.setattr("designs.pages.content.content", lambda *_: SimpleNamespace(faulty=[]))
    monkeypatch.setattr("designs.pages.page.page", lambda *_: "<!DOCTYPE html>" + 100 * "x")


@pytest.mark.usefixtures("quick")
def test_existing_file_is_kept_unless_forced(tmp_path):
    file = tmp_path / "page.html"
    file.write_text("mine", "utf-8")
    result = report(AS_BUILT, "-o", file)
    assert result.exit_code == 2
    assert "--force" in result.output
    assert file.read_text("utf-8") == "mine"
    assert report(AS_BUILT, "-o", file, "--force").exit_code == 0
    assert file.read_text("utf-8").startswith("<!DOCTYPE html>")
    assert [each.name for each in tmp_path.iterdir()] == ["page.html"]


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EACCES, errno.EROFS])
def test_disk_that_fails_leaves_the_old_file_whole(tmp_path, monkeypatch, number):
    file = tmp_path / "page.html"
    file.write_text("mine", "utf-8")
    real = Path.write_text

    def fail_half_way(self, data, *arguments, **named):
        real(self, data[: len(data) // 2], *arguments, **named)
        raise OSError(number, "told so by the disk")

    monkeypatch.setattr(Path, "write_text", fail_half_way)
    result = report(AS_BUILT, "-o", file, "--force")
    monkeypatch.undo()
    assert result.exit_code == status.REFUSED
    assert "told so by the disk" in result.output
    assert file.read_text("utf-8") == "mine"
    assert [each.name for each in tmp_path.iterdir()] == ["page.html"]


def test_place_that_is_none_is_refused_before_any_work(tmp_path):
    for place in (tmp_path / "no folder" / "page.html", tmp_path / "page.docx", tmp_path):
        result = report(AS_BUILT, "-o", place)
        assert result.exit_code == 2
        assert "Traceback" not in result.output


@pytest.mark.usefixtures("quick")
def test_without_a_browser_it_says_how_to_print(tmp_path, monkeypatch):
    monkeypatch.setattr(printing.shutil, "which", lambda _: None)
    monkeypatch.setattr(printing, "PLACES", ())
    html, pdf = tmp_path / "page.html", tmp_path / "page.pdf"
    result = report(AS_BUILT, "-o", html, "--pdf", pdf)
    assert result.exit_code == status.REFUSED
    assert html.exists()
    assert [each.name for each in tmp_path.iterdir()] == ["page.html"]
    for words in ("no browser was found", "chromium", "Ctrl-P"):
        assert words in result.output


@pytest.mark.usefixtures("quick")
def test_browser_that_prints_nothing_is_told(tmp_path, monkeypatch):
    monkeypatch.setattr(printing, "browser", lambda: shutil.which("true"))
    result = report(AS_BUILT, "-o", tmp_path / "page.html", "--pdf", tmp_path / "page.pdf")
    assert result.exit_code == status.REFUSED
    assert "printed nothing" in result.output


def test_what_to_do_is_told_with_the_numbers_that_were_tried(html, as_built):
    before, first = counsel_of(as_built).base, counsel_of(as_built).best[0]
    old, new = (amount_of(each.trial.figures["shaking_force"]) for each in (before, first))
    assert f"shaking force {old} → {new}".replace(" N", "\u00a0N") in html


@pytest.mark.usefixtures("quick")
def test_pdf_is_written_beside_the_page(tmp_path, monkeypatch):
    monkeypatch.setattr(
        "designs.command.report.print_page", lambda _page, path, paper: path.write_text(f"%PDF {paper}")
    )
    html, pdf = tmp_path / "page.html", tmp_path / "page.pdf"
    assert report(AS_BUILT, "-o", html, "--pdf", pdf).exit_code == 0
    assert pdf.read_text() == "%PDF A4"
    assert report(AS_BUILT, "-o", html, "--pdf", pdf, "--paper", "Letter", "--force").exit_code == 0
    assert pdf.read_text() == "%PDF letter"
    assert report(AS_BUILT, "-o", tmp_path / "other.html", "--pdf", pdf).exit_code == 2
    assert not (tmp_path / "other.html").exists()


@pytest.mark.parametrize(("way", "words", "sense"), [("outward", "clockwise", 1), ("inward", "counter-clockwise", -1)])
def test_the_page_shows_which_way_the_right_shaft_turns(light, way, words, sense):
    """Played, crank angle runs on or back with time (page.js steps by `data-sense`)."""
    design = read(RHOMBIC)
    evaluation = Evaluation(replace(design, cranks=replace(design.cranks, turning=way)))
    found = page(content("drive", evaluation, Source(RHOMBIC)), "0.0")
    assert f"right shaft turns {words}" in found
    assert f'data-sense="{sense}"' in found

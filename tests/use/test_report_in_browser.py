"""The report in a real browser: quiet, true to the core, moving, usable by keyboard, on a phone and on paper.

Needs chromium and its driver on the path (Debian: chromium, chromium-driver); without them it is skipped.
"""

import json
import shutil
from base64 import b64decode
from io import BytesIO
from pathlib import Path
from unicodedata import normalize

import numpy as np
import pypdf
import pytest

from designs.evaluate import Evaluation
from designs.pages import frames, mechanism, printing
from designs.pages.content import Source, content
from designs.pages.page import page
from designs.reading import read

selenium = pytest.importorskip("selenium", reason="selenium, which drives the browser, is not installed")

from selenium.webdriver import Chrome, ChromeOptions  # noqa: E402 (after the check that it is there)
from selenium.webdriver.chrome.service import Service  # noqa: E402
from selenium.webdriver.common.by import By  # noqa: E402
from selenium.webdriver.common.keys import Keys  # noqa: E402
from selenium.webdriver.support.ui import WebDriverWait  # noqa: E402

BROWSER, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
pytestmark = pytest.mark.skipif(not (BROWSER and DRIVER), reason="chromium or chromedriver is not installed")

SHIPPED = Path(frames.__file__).parents[1]
AS_BUILT = SHIPPED / "as-built.yaml"
FLAGS = ("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync", "--window-size=1200,1000")  # fmt: skip
MOST = 1 + 10  # sheets of paper: one that is whole, and an appendix
LETTERS = 9.0  # px; smaller ones are hard to read
A4, LETTER = (8.27, 11.69), (8.5, 11.0)  # inches


@pytest.fixture(scope="module")
def evaluation():
    return Evaluation(read(AS_BUILT))


@pytest.fixture(scope="module")
def browser(tmp_path_factory, evaluation):
    folder = tmp_path_factory.mktemp("browser")
    file = folder / "report.html"
    file.write_text(page(content("Fan engine", evaluation, Source(AS_BUILT)), "0.0"), "utf-8")
    options = ChromeOptions()
    options.binary_location = BROWSER
    for flag in (*FLAGS, f"--user-data-dir={folder / 'profile'}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    driver = Chrome(options=options, service=Service(DRIVER))
    driver.get("about:blank")
    driver.get_log("performance")  # what the browser asked for by itself as it started is no doing of the page
    driver.get(file.as_uri())
    yield driver
    driver.quit()


def element(browser, name):
    return browser.find_element(By.ID, name)


def value(browser, name):
    return float(element(browser, name).get_attribute("data-value"))


def choose(browser, name, step):
    """Move a slider as a person does: its value, then the event that goes with it."""
    script = "arguments[0].value = arguments[1]; arguments[0].dispatchEvent(new Event('input'))"
    browser.execute_script(script, element(browser, name), int(step))


def test_page_loads_in_silence_and_asks_for_nothing(browser):
    # First of all tests here: the logs hold what happened since the page was opened.
    assert browser.get_log("browser") == []
    events = [json.loads(each["message"])["message"] for each in browser.get_log("performance")]
    asked = [each["params"]["request"]["url"] for each in events if each["method"] == "Network.requestWillBeSent"]
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    assert sum(url.startswith("file:") for url in asked) == 1


def test_readings_are_those_of_the_core_at_every_speed(browser, evaluation):
    rpm, pair = frames.slider_speeds(evaluation), evaluation.pairs[0]
    for step in (0, 12, 36, len(rpm) - 1):
        omega = rpm[step] * np.pi / 30
        choose(browser, "speed", step)
        least, angle = (float(each) for each in pair.least(omega))
        assert value(browser, "least-0") == pytest.approx(least, rel=1e-6)
        assert value(browser, "least-angle-0") == pytest.approx(angle, rel=1e-6)
        assert value(browser, "worst-0") == pytest.approx(float(pair.least(omega, "worst")[0]), rel=1e-6)
        for place in (0, 25, 71):
            choose(browser, "angle", place)
            assert value(browser, "gap-0") == pytest.approx(float(pair.gap(omega)[place]), rel=1e-6)
            load = evaluation.forces["displacer"].pin.left
            size = np.hypot(load.x.at(omega), load.y.at(omega))[place]
            assert value(browser, "pin-displacer-left") == pytest.approx(float(size), rel=1e-6)
            shaken = float(np.broadcast_to(evaluation.shaking.size, (72,))[place]) * omega**2
            assert value(browser, "shaking") == pytest.approx(shaken, rel=1e-6, abs=1e-12)
    assert "they touch" in element(browser, "least-0").text


def test_drawing_follows_the_crank(browser, evaluation):
    choose(browser, "angle", 18)
    turned = browser.find_elements(By.CSS_SELECTOR, "#mechanism .crank")
    assert {each.get_attribute("transform") for each in turned} == {"rotate(90)", "rotate(-90)"}
    moving = browser.find_element(By.CSS_SELECTOR, '#mechanism .moving[data-yoke="displacer"]')
    height = float(moving.get_attribute("transform").split()[1].rstrip(")"))
    assert -height == pytest.approx(float(evaluation.motion.yokes["displacer"].height[18]) * 1e3, rel=1e-6)
    rod = browser.find_element(By.CSS_SELECTOR, '#mechanism line.rod[data-yoke="displacer"][data-hand="right"]')
    x1, y1, x2, y2 = (float(rod.get_attribute(each)) for each in ("x1", "y1", "x2", "y2"))
    assert np.hypot(x2 - x1, y2 - y1) == pytest.approx(64.6, abs=1e-3)


def test_it_plays_and_pauses(browser):
    choose(browser, "angle", 3)
    play = element(browser, "play")
    browser.execute_script("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", play)
    play.click()
    assert play.text == "Pause"
    assert play.get_attribute("aria-pressed") is None  # what it says is what it does
    WebDriverWait(browser, 20).until(lambda _: element(browser, "angle").get_attribute("value") not in ("3", "4"))
    play.click()
    assert play.text == "Play"
    place = element(browser, "angle").get_attribute("value")
    browser.execute_async_script("requestAnimationFrame(() => requestAnimationFrame(arguments[0]))")
    assert element(browser, "angle").get_attribute("value") == place


def test_keys_are_enough(browser):
    choose(browser, "angle", 5)
    element(browser, "forward").send_keys(Keys.ENTER)
    assert element(browser, "angle").get_attribute("value") == "6"
    element(browser, "back").send_keys(Keys.SPACE)
    assert element(browser, "angle").get_attribute("value") == "5"
    element(browser, "angle").send_keys(Keys.ARROW_RIGHT)
    assert element(browser, "angle-read").text == "30.0°"
    choose(browser, "speed", 10)
    element(browser, "speed").send_keys(Keys.ARROW_LEFT)
    assert element(browser, "speed-read").text.startswith("450 rpm")  # by 50 rpm, as the slider of this engine goes
    table = browser.find_element(By.CSS_SELECTOR, "details.budget")
    table.find_element(By.TAG_NAME, "summary").send_keys(Keys.ENTER)
    assert table.get_attribute("open") == "true"
    assert "nominal gap" in table.text


def test_it_opens_at_the_worst_running_speed_and_the_lens_follows(browser, evaluation):
    browser.refresh()
    pair = evaluation.pairs[0]
    assert element(browser, "speed-read").text.startswith(f"{evaluation.tightest_speed(pair) * 30 / np.pi:.0f} rpm")
    rpm, seen = frames.slider_speeds(evaluation), []
    for step in (0, 12, len(rpm) - 1):
        choose(browser, "speed", step)
        gap = float(pair.least(rpm[step] * np.pi / 30)[0]) * 1e3
        words = browser.find_element(By.CSS_SELECTOR, ".glass text.gap").text
        assert words == f"{'overlap' if gap <= 0 else 'gap'} {abs(gap):.3f} mm"
        assert f"{rpm[step]:.0f} rpm" in element(browser, "lens-words").text
        drawn = browser.find_element(By.CSS_SELECTOR, ".glass .overlap").get_attribute("d")
        assert (len(drawn) > 10) == (gap <= 0)
        arrow = browser.find_element(By.CSS_SELECTOR, "#mechanism .force-shaking")
        seen.append(arrow.get_attribute("outerHTML"))
    assert len(set(seen)) == 3  # the drawing shows what speed does


def test_both_views_move_together(browser, evaluation):
    tall = {}
    for place in (0, 18, 40):
        choose(browser, "angle", place)
        tall[place] = float(browser.find_element(By.CSS_SELECTOR, ".side rect.yoke").get_attribute("y"))
    names = [part.name for part in mechanism.drawing(evaluation).sides if part.kind == "yoke"]
    height = evaluation.motion.yokes[names[0].removeprefix("yoke ")].height * 1e3
    for place, top in tall.items():
        assert -top == pytest.approx(height[place] + 5, abs=0.01)
    boxes = {element(browser, "mechanism").get_attribute("viewBox")}
    choose(browser, "angle", 3)
    boxes.add(element(browser, "mechanism").get_attribute("viewBox"))
    assert len(boxes) == 1


def test_words_of_pictures_do_not_run_out_of_them(browser):
    """The browser's fonts are not those that the pictures were laid out with."""
    script = """
      const out = [];
      for (const figure of document.querySelectorAll('svg.chart, svg.machine, svg.plate-drawing')) {
        const box = figure.getBoundingClientRect();
        for (const text of figure.querySelectorAll('text')) {
          const own = text.getBoundingClientRect();
          if (own.width && (own.left < box.left - 2 || own.right > box.right + 2)) out.push(text.textContent);
        }
      }
      return out;"""
    assert browser.execute_script(script) == []


@pytest.mark.parametrize(("scheme", "asked"), [("light", "{}"), ("dark", "{runOnly: ['cat.color']}")])
def test_contrast_names_and_order_satisfy_an_accessibility_engine(browser, scheme, asked):
    """Colours are all that differs in the dark."""
    engine = pytest.importorskip("axe_core_python", reason="axe-core, the accessibility engine, is not installed")
    script = (Path(engine.__file__).parent / "axe.min.js").read_text("utf-8")
    browser.execute_cdp_cmd(
        "Emulation.setEmulatedMedia", {"features": [{"name": "prefers-color-scheme", "value": scheme}]}
    )
    try:
        browser.execute_script("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
        browser.execute_script(script)
        browser.set_script_timeout(300)  # s; on a busy machine it takes more than the usual half minute
        look = f"axe.run(Object.assign({{resultTypes: ['violations']}}, {asked})).then(arguments[0])"
        found = browser.execute_async_script(look)
        assert [(each["id"], each["nodes"][0]["html"]) for each in found["violations"]] == []
        assert len(found["passes"]) >= (1 if "runOnly" in asked else 20)  # it did look
        paper = browser.execute_script("return getComputedStyle(document.body).backgroundColor")
        assert (paper == "rgb(255, 255, 255)") == (scheme == "light")
    finally:
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
        browser.execute_script("document.querySelectorAll('details').forEach((each) => { each.open = false; })")


def sheets(data):
    """Return the words of each sheet; letters that are joined in print (fi) are told apart."""
    pages = pypdf.PdfReader(BytesIO(data)).pages
    return [" ".join(normalize("NFKC", each.extract_text()).split()) for each in pages]


def is_whole(texts):
    """Whether the first sheet is whole in itself, and an appendix of at most ten follows."""
    for words in ("Limits:", "Least gap over speed", "Where the gap goes", "What to do first", "Counterweight",
                  "licensed engineer"):  # fmt: skip
        assert words in texts[0], words
    assert texts[1].startswith("Verdict in words")
    assert len(texts) <= MOST
    assert all(len(each) > 40 for each in texts)  # no empty sheet


@pytest.mark.parametrize(("name", "paper"), [("A4", A4), ("Letter", LETTER)])
def test_prints_whole(browser, name, paper):
    settings = {"printBackground": True, "paperWidth": paper[0], "paperHeight": paper[1]}
    lines = "document.querySelectorAll('.lines p:not(:last-child)')"
    said = browser.execute_script(f"return Array.from({lines}, (each) => each.textContent)")
    # As long as lines come on machines of people: two of them take a second line.
    longer = (
        f"{lines}.forEach((each, n) => {{ each.textContent = arguments[0][n].padEnd(arguments[1], ' and so on'); }})"
    )
    browser.execute_script(longer, said, 120)
    texts = sheets(b64decode(browser.execute_cdp_cmd("Page.printToPDF", settings)["data"]))
    browser.execute_script(longer, said, 0)
    is_whole(texts)
    for words in ("FAILS", "touch from", "overlap", "on the drawing", "Make two"):
        assert words in texts[0]
    whole = " ".join(texts)
    for words in ("Do the yokes touch?", "Builds that touch", "Bent line", "Cautions", "relief valve"):
        assert words in whole
    # What is only for the screen is not printed.
    for words in ("Every entry of the design", "Worked sheet", "Crank angle 3", "Play"):
        assert words not in whole


@pytest.mark.parametrize("design", ["redesign", "rhombic"])
def test_the_pdf_is_the_page_printed(tmp_path, design):
    other = Evaluation(read(SHIPPED / f"{design}.yaml"))
    text = page(content(f"Fan engine, {design}", other, Source(SHIPPED / f"{design}.yaml")), "0.0")
    file = tmp_path / "report.pdf"
    printing.print_page(text, file, "letter")
    is_whole(sheets(file.read_bytes()))
    first = pypdf.PdfReader(file).pages[0].mediabox
    assert (float(first.width), float(first.height)) == pytest.approx((612, 792), abs=1)


def test_fits_a_phone(browser):
    phone = {"width": 360, "height": 740, "deviceScaleFactor": 2, "mobile": True}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", phone)
    try:
        assert browser.execute_script("return document.documentElement.scrollWidth") <= 360
        cut = browser.execute_script("""
          return Array.from(document.querySelectorAll('main svg')).filter((each) => {
            const box = each.getBoundingClientRect();
            return box.width && (box.left < -1 || box.right > 361);
          }).map((each) => each.getAttribute('class'))""")
        assert cut == []
        small = browser.execute_script(
            """
          return Array.from(document.querySelectorAll('main svg.chart text, main svg.machine text')).filter((text) => {
            const scale = text.ownerSVGElement.getScreenCTM().a;
            return text.textContent.trim() && parseFloat(getComputedStyle(text).fontSize) * scale < arguments[0];
          }).map((text) => text.textContent)""",
            LETTERS,
        )
        assert small == []
        low = browser.execute_script(
            "return Array.from(document.querySelectorAll('button')).map((b) => b.offsetHeight)"
        )
        assert min(low) >= 32
    finally:
        browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_nothing_was_complained_of_in_the_end(browser):
    assert browser.get_log("browser") == []

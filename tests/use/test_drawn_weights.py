"""Counterweights from a drawing: every command takes them, like the same outline in words, and bounds come first."""

import tracemalloc
from pathlib import Path

import pytest
from click.testing import CliRunner

from designs.command import group
from designs.command.inputs import SHIPPED
from designs.counsel.advised import judge
from designs.evaluate import evaluate_finely
from designs.reading import read

CORNERS = [(-30, -35), (30, -35), (30, 8), (-30, 8)]
HOLES = [(0, -25, 6), (10, -25, 4)]
PLATE = "fitted: yes, material: steel, thickness: 20 mm, smallest_radius: 6 mm, largest_radius: 46 mm, at: -9 mm"
SLOWLY = "speed: {least: 100 rpm, rated: 200 rpm, most: 300 rpm}"
"""So that little fails, and no advice is sought for long."""


def fan(folder: Path, shape: str) -> str:
    text = (SHIPPED / "counterweighted.yaml").read_text("utf-8").splitlines()
    text = [
        f"counterweights: {{{PLATE}, shape: {shape}}}" if line.startswith("counterweights:") else line for line in text
    ]
    text = [SLOWLY if line.startswith("speed:") else line for line in text]
    path = folder / "fan.yaml"
    path.write_text("\n".join(text), "utf-8")
    return str(path)


def drawn(folder: Path, put, units: int = 4) -> str:
    """Return a design whose weights are drawn: `put` draws on a modelspace, in units of ezdxf's numbers."""
    import ezdxf

    drawing = ezdxf.new(units=units)
    put(drawing.modelspace())
    drawing.saveas(folder / "weight.dxf")
    return fan(folder, "{kind: outline, drawing: weight.dxf}")


def plate(holes: list[tuple[float, float, float]]):
    def put(space) -> None:
        space.add_lwpolyline(CORNERS, close=True)
        for x, y, diameter in holes:
            space.add_circle((x, y), diameter / 2)

    return put


def run(*words: str):
    result = CliRunner().invoke(group, list(words))
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


@pytest.mark.parametrize("holes", [[], HOLES], ids=["plain", "with holes"])
def test_a_drawing_says_the_same_as_its_corners_in_words(tmp_path: Path, holes: list) -> None:
    corners = ", ".join(f"[{x} mm, {y} mm]" for x, y in CORNERS)
    bored = ", ".join(f"{{at: [{x} mm, {y} mm], diameter: {d} mm}}" for x, y, d in holes)
    words = Path(fan(tmp_path, f"{{kind: outline, polygon: [{corners}], holes: [{bored}]}}"))
    told = judge(evaluate_finely(read(words)))
    shown = judge(evaluate_finely(read(Path(drawn(tmp_path, plate(holes))))))
    for one, other in zip(told, shown, strict=True):
        assert (one.key, one.state) == (other.key, other.state)
        assert (other.value is None) == (one.value is None)
        assert other.value is None or other.value == pytest.approx(one.value, rel=1e-9)


@pytest.mark.parametrize(
    "words",
    [("balance",), ("shafts",), ("compare",), ("size", "--diameter", "6 mm"), ("cut", "-o", "{}/cut"),
     ("report", "-o", "{}/fan.html"), ("search", "--vary", "cranks.webs.0.mass=20 g,22 g")],
    ids=lambda words: words[0],
)  # fmt: skip
@pytest.mark.usefixtures("light")
def test_every_command_takes_a_drawing_with_holes(tmp_path: Path, words: tuple[str, ...]) -> None:
    path = drawn(tmp_path, plate(HOLES))
    result = run(words[0], path, *(word.format(tmp_path) for word in words[1:]))
    assert result.exit_code in (0, 1, 3), result.stderr


def arcs(space) -> None:
    points = [(-30 + place * 60 / 3000, -35, (1 if place % 2 else -1) * 0.99) for place in range(3000)]
    space.add_lwpolyline([*points, (30, 8, 0)], close=True, format="xyb")


def circles(space) -> None:
    space.add_lwpolyline(CORNERS, close=True)
    for place in range(200):
        space.add_circle((place / 10, -20), 0.01)


def curve(space) -> None:
    space.add_spline([(30, 0), (0, 30), (-30, 0), (0, -30), (30, 0)])


def ellipse(space) -> None:
    space.add_ellipse((0, 0), (30, 0), 0.5)


@pytest.mark.parametrize(
    ("put", "units", "words"),
    [
        (arcs, 4, "corners; allowed: at most 2000"),
        (circles, 4, "200 circles"),
        (ellipse, 17, "from 0,0 in the drawing's unit"),  # gigametres
        (ellipse, 20, "from 0,0 in the drawing's unit"),  # parsecs
        (curve, 20, "from 0,0 in the drawing's unit"),
        (plate([]), 7, "from 0,0 in the drawing's unit"),  # kilometres
    ],
)
def test_limits_come_before_the_memory_is_spent(tmp_path: Path, put, units: int, words: str) -> None:
    path = drawn(tmp_path, put, units)
    run("check", path)  # loads what is loaded once
    tracemalloc.start()
    try:
        result = run("check", path)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert result.exit_code == 2
    assert words in result.stderr
    assert peak < 50e6

"""`--plot` of `balance` and `shafts`: the pictures of one half of a design in one file."""

import math

import matplotlib
from matplotlib.figure import Figure

from designs.command import files
from designs.evaluate import Evaluation
from designs.learning.learned import Forecast
from designs.pages.ink import LOOK, save
from designs.pages.pictures import STILL, Picture, pictures

HALVES = {"balance": ("shaking", "weights", "motion"), "shafts": ("gap", "shafts")}
"""Parts of the report whose pictures belong to each half."""
ABREAST = 2
SPACE = 0.25  # inches between pictures
TITLE = 0.35  # inches above each for its title


def draw_half(evaluation: Evaluation, half: str, path: str, force: bool) -> None:
    """Draw the pictures of the half "balance" or "shafts" to a .png, .svg or .pdf file."""
    file = files.free(path, force, files.PICTURES)
    assert file is not None
    drawn = [STILL] if half == "balance" else []
    drawn += [each for each in pictures(evaluation) if each.part in HALVES[half]]
    with matplotlib.rc_context({**LOOK, "svg.hashsalt": half}):
        figure = _together(drawn, evaluation)
        files.write(file, lambda part: save(figure, part), force)


def draw_learned(foretold: list[Forecast], path: str, force: bool) -> None:
    """Draw each forecast, before and after the readings, to a .png, .svg or .pdf file."""
    from designs.pages.axes_learned import draw_learned_gap

    file = files.free(path, force, files.PICTURES)
    assert file is not None
    with matplotlib.rc_context({**LOOK, "svg.hashsalt": "learned"}):
        figure = Figure(figsize=(6.0, 2.8 * len(foretold)), layout="constrained")
        for index, each in enumerate(foretold):
            axes = figure.add_subplot(len(foretold), 1, index + 1)
            draw_learned_gap(axes, each)
            axes.set_title(each.name)
        files.write(file, lambda part: save(figure, part), force)


def _together(drawn: list[Picture], evaluation: Evaluation) -> Figure:
    """Return one figure with all pictures in rows, each with its title."""
    rows = [drawn[start : start + ABREAST] for start in range(0, len(drawn), ABREAST)]
    heights = [max(each.size[1] for each in row) + TITLE + SPACE for row in rows]
    column = max(each.size[0] for each in drawn) + SPACE
    made = Figure(figsize=(math.ceil(column * ABREAST), sum(heights)))
    width, height = made.get_size_inches()
    top = height
    for row, high in zip(rows, heights, strict=True):
        for index, each in enumerate(row):
            left = index * column + SPACE / 2
            each.put(made, (left, top - TITLE - each.size[1]), evaluation)
            made.text((left + 0.1) / width, (top - 0.12) / height, each.title, fontweight="bold", va="top", fontsize=10)
        top -= high
    return made

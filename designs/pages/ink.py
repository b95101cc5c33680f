"""How pictures look: inks, lines and hatches that can be told apart in grey, and labels that keep apart."""

import warnings
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from designs.pages.axes_units import factor, in_units
from designs.pages.spacing import pushed_apart

INK, BLUE, RUST, GREEN, PLUM, SAND, PALE = "#1b1b1b", "#0b5fa5", "#a8431a", "#4d6b1f", "#7b3f98", "#8a6d00", "#d9d9d9"
LINES: tuple[dict[str, Any], ...] = (
    {"color": INK, "linestyle": "-", "linewidth": 1.8},
    {"color": RUST, "linestyle": "--", "linewidth": 1.6},
    {"color": BLUE, "linestyle": "-.", "linewidth": 1.6},
    {"color": GREEN, "linestyle": (0, (6, 1, 1, 1, 1, 1)), "linewidth": 1.6},
    {"color": PLUM, "linestyle": (0, (1, 1.2)), "linewidth": 1.8},
    {"color": SAND, "linestyle": (0, (8, 3)), "linewidth": 1.2},
)
"""Ink and line style together: where the one does not tell, the other does."""

BEFORE: dict[str, Any] = {"color": RUST, "linestyle": "--", "linewidth": 1.4}
AFTER: dict[str, Any] = {"color": INK, "linestyle": "-", "linewidth": 2.0}
BOUND: dict[str, Any] = {"color": INK, "linestyle": (0, (2, 2)), "linewidth": 1.0}

FILLS = ("#f2f2f2", "#c9d8e6", "#e8cdbf", "#d5dcc3", "#ddd0e6", "#e9dfb4", "#ffffff", "#bdbdbd")
HATCHES = ("//", "..", "\\\\", "xx", "--", "++", "oo", "||", "**", "")

LOOK: Any = {
    "font.family": "DejaVu Sans",
    "font.size": 9.0,
    "axes.titlesize": 9.0,
    "axes.labelsize": 9.0,
    "axes.linewidth": 0.7,
    "axes.edgecolor": "#555555",
    "xtick.labelsize": 8.0,
    "ytick.labelsize": 8.0,
    "xtick.color": "#333333",
    "ytick.color": "#333333",
    "grid.color": "#cccccc",
    "grid.linewidth": 0.5,
    "hatch.linewidth": 0.5,
    "svg.fonttype": "none",
    "svg.hashsalt": "quietcrank",
    "pdf.fonttype": 42,
    "figure.facecolor": "none",
    "savefig.facecolor": "white",
}
"""Settings under which every picture is drawn and saved."""


def save(figure: Figure, path: Path, dpi: int = 130) -> None:
    """Save a figure to a picture file; alike each time, and without a word on letters that the font lacks."""
    in_units(figure)
    with warnings.catch_warnings():
        # Names may be in any script: an empty box stands for a letter, in SVG the reader's own font draws it.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        figure.savefig(path, dpi=dpi, metadata={"Date": None} if path.suffix.lower() == ".svg" else None)


def bare(axes: Axes) -> None:
    """Take away what a picture with numbers does not need: the frame above and on the right."""
    axes.spines[["top", "right"]].set_visible(False)
    axes.grid(True)
    axes.set_axisbelow(True)


def empty(axes: Axes, words: str) -> None:
    """Say in place of a picture why there is none."""
    axes.set_axis_off()
    axes.text(0.5, 0.5, words, transform=axes.transAxes, ha="center", va="center", wrap=True)


def signed(value: float) -> str:
    """Return a number of millimetres with its sign, as people see it; without a sign where nothing is left of it."""
    unit, by = factor("mm")
    text = f"{value * by:+.{3 if unit == 'mm' else 4}f}".replace("-", "\N{MINUS SIGN}")
    return text if text.strip("+\N{MINUS SIGN}0.") else "0"


def over_cycle(axes: Axes) -> None:
    """Set the abscissa up as one turn of the crank."""
    axes.set_xlim(0, 360)
    axes.set_xticks(range(0, 361, 45))
    axes.set_xlabel("crank angle, deg")


def closed(values: np.ndarray) -> np.ndarray:
    """Return a curve over the cycle with its first value again at the end, (..., angles + 1)."""
    values = np.asarray(values)
    return np.concatenate([values, values[..., :1]], axis=-1)


def turn(count: int) -> np.ndarray:
    """Return the crank angles of a closed curve with `count` values, degrees."""
    return np.linspace(0.0, 360.0, count + 1)


def name_ends(axes: Axes, ends: Sequence[tuple[float, float, str, str]], size: float = 8.0) -> None:
    """Write names of curves beside their right ends, pushed apart where they would overlap.

    ends : (x, y, name, ink) in data coordinates. Call it once the limits of the axes are final.
    """
    figure = axes.figure
    height = 1.25 * size * figure.dpi / 72
    placed = sorted(
        ((axes.transData.transform((x, y)), x, y, name, ink) for x, y, name, ink in ends), key=lambda e: e[0][1]
    )
    wanted = [float(each[0][1]) for each in placed]
    for (_, x, y, name, ink), at in zip(placed, pushed_apart(wanted, height, axes.bbox.y0, axes.bbox.y1), strict=True):
        shift = (at - float(axes.transData.transform((x, y))[1])) * 72 / figure.dpi
        axes.annotate(
            name,
            (x, y),
            xytext=(5, shift),
            textcoords="offset points",
            va="center",
            fontsize=size,
            color=ink,
            annotation_clip=False,
            in_layout=True,
        )

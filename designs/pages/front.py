"""The options that a search found: by two aims with the front between them, or an aim over what was varied."""

from pathlib import Path

import matplotlib
import numpy as np
from matplotlib.figure import Figure

from designs.options.findings import MARGIN, Aim, Ranking
from designs.options.found import figures
from designs.options.search import Search
from designs.pages.ink import empty, save

LIGHT, DARK, STRONG = "#b5bcc2", "#1b1b1b", "#b8480a"
MOST_PANELS = 6


def draw(search: Search, ranking: Ranking, path: Path) -> None:
    """Draw a ranking to a picture file."""
    with matplotlib.rc_context({"svg.fonttype": "none", "pdf.fonttype": 42, "svg.hashsalt": "search", "font.size": 9}):
        made = front(search, ranking) if len(search.aims) > 1 else along(search, ranking)
        save(made, path, 150)


def front(search: Search, ranking: Ranking) -> Figure:
    """Return the first two aims of every option kept, with the front marked and its ends named."""
    made = Figure(figsize=(8, 5.5), layout="constrained")
    axes = made.subplots()
    (x, x_name), (y, y_name) = (_values(search, ranking, aim) for aim in search.aims[:2])
    if not np.any(np.isfinite(x) & np.isfinite(y)):
        empty(axes, f"nothing to draw: no option that was kept has both\n{x_name}\nand {y_name}")
        return made
    axes.plot(x, y, "o", color=LIGHT, markersize=3, label="passes" if ranking.passes else "comes near")
    if np.any(ranking.front):
        order = np.flatnonzero(ranking.front)[np.argsort(x[ranking.front])]
        axes.plot(
            x[order], y[order], "D-", color=STRONG, markersize=5, linewidth=1, label="no other is better by every aim"
        )
        for place in {int(order[0]), int(order[-1])}:
            axes.annotate(f" rank {place + 1}", (x[place], y[place]), fontweight="bold")
    axes.plot(x[:1], y[:1], "*", color=DARK, markersize=13, label="rank 1")
    axes.set_xlabel(x_name)
    axes.set_ylabel(y_name)
    axes.grid(alpha=0.3)
    axes.legend(frameon=False)
    return made


def along(search: Search, ranking: Ranking) -> Figure:
    """Return the aim over each varied entry, one panel an entry."""
    values, name = _values(search, ranking, search.aims[0])
    if not np.any(np.isfinite(values)):
        made = Figure(figsize=(8, 3), layout="constrained")
        empty(made.subplots(), f"nothing to draw: no option that was kept has a\n{name}")
        return made
    entries = list(zip(search.variations, ranking.values, strict=True))[:MOST_PANELS]
    made = Figure(figsize=(8, 2.6 * len(entries) + 0.4), layout="constrained")
    for axes, (entry, numbers) in zip(np.ravel(made.subplots(len(entries), 1)), entries, strict=True):
        axes.plot(numbers, values, "o", color=LIGHT, markersize=3)
        axes.plot(numbers[:1], values[:1], "*", color=DARK, markersize=13)
        axes.annotate("rank 1", (numbers[0], values[0]), xytext=(8, -14), textcoords="offset points", fontweight="bold")
        axes.set_xlabel(entry.heading)
        axes.set_ylabel(name)
        axes.grid(alpha=0.3)
    return made


def _values(search: Search, ranking: Ranking, aim: Aim) -> tuple[np.ndarray, str]:
    """Return an aim of each option in the unit of people, and what it is."""
    values = aim.value(ranking.verdicts)
    if aim.key == MARGIN:
        return values * 100, "least margin of all limits, percent"
    figure = figures(search)[aim.key]
    unit, factor, _ = figure.shown
    return values * factor, f"{figure.what}, {unit}" if unit else figure.what

"""What opens the gap: small steps of single entries as bars, against the gap that is missing."""

from html import escape

from designs.evaluate import Evaluation
from designs.pages.chart import LETTER, WIDE, round_steps
from designs.pages.chart import number as tick
from designs.pages.side import cut_short
from designs.pages.svg import line, picture, tag, text
from designs.shown import number, said, shown
from designs.summary import tightest_pair
from designs.table import Table

ROW, HIGH, HEAD, LEFT, MOST = 25.0, 12.0, 20.0, 182.0, 10
SMALL = 5e-7  # m; less is no help
NAME = 32  # letters of an entry and its step


def missing(evaluation: Evaluation) -> float:
    """Return by how much the least gap at running speeds falls short of what is asked for, m; zero if it does not."""
    pair = tightest_pair(evaluation)
    if pair is None:
        return 0.0
    gap = float(pair.least(evaluation.tightest_speed(pair))[0])
    return max(0.0, float(evaluation.design.limits.gap) - gap)


def gains_bars(evaluation: Evaluation, gains: Table) -> str:
    """Return the steps that open the gap the most, SVG. gains : entry, step and gap gained, m, best first."""
    unit, up, _ = shown("m")
    rows = [(entry, step, gained * up) for entry, step, gained in gains.rows if gained > SMALL][:MOST]
    if not rows:
        return tag("p", "No small step of a single entry opens the gap.", kind="none")
    needed = missing(evaluation) * up
    beside = LETTER * max(len(_gained(each[2])) for each in rows) + 6  # px for the number right of a bar
    scale = (WIDE - LEFT - beside) / max(needed, rows[0][2])
    below = HEAD + ROW * len(rows)
    inside = "".join(_row(each, HEAD + ROW * place, scale) for place, each in enumerate(rows))
    for value in round_steps(0.0, max(needed, rows[0][2]), 3):
        inside += line(LEFT + value * scale, below, LEFT + value * scale, below + 4, "tick")
        inside += text(LEFT + value * scale, below + 16, tick(value), "", "middle")
    inside += line(LEFT, below, WIDE - beside, below, "axis") + text(WIDE - 6, below + 16, unit, "name", "end")
    if needed:
        x = LEFT + needed * scale
        inside += line(x, HEAD - 4, x, below, "asked")
        inside += text(min(x, WIDE - beside), HEAD - 8, f"needs {number(needed / up, 'm', '.3f')}", "said", "middle")
    best = f"{rows[0][0]}, {rows[0][1]}: {said(rows[0][2] / up, 'm', '.3f')}"
    more = f", {said(needed / up, 'm', '.3f')} are needed" if needed else ""
    words = f"What opens the gap: {best} is the most{more}"
    return picture((0, 0, WIDE, below + 22), inside, words, "chart gains")


def _gained(gained: float) -> str:
    """Return a gain, in the unit of the screen, as it is written."""
    return number(gained / shown("m")[1], "m", ".3f")


def _counted(keys: list[str]) -> list[str]:
    """Return keys in words: of a list the first is number 1, as on every other screen."""
    found: list[str] = []
    for key in keys:
        if key.isdigit() and found:
            found[-1:] = [found[-1].removesuffix("s"), str(int(key) + 1)]
        else:
            found.append(key)
    return found


def _row(row: tuple[str, str, float], y: float, scale: float) -> str:
    entry, step, gained = row
    keys = entry.split(".")
    name = cut_short(" ".join(_counted(keys[-3:] if len(keys) > 3 else keys[1:] or keys)).replace("_", " "), NAME)
    inside = tag("title", escape(f"{entry}, {step}"))
    inside += tag("rect", x=LEFT, y=y + 4, width=max(gained * scale, 0.8), height=HIGH, kind="added")
    inside += text(LEFT + gained * scale + 4, y + 13.5, _gained(gained), "value")
    inside += text(LEFT - 6, y + 9, name, "", "end") + text(LEFT - 6, y + 19, step, "soft tiny", "end")
    return tag("g", inside)

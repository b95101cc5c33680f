"""Where two yokes come nearest, under a lens: both faces as they are displaced at a speed, and what is between them.

Heights are magnified by a factor that is written beside it; places across are drawn at another scale, since yokes are
tens of millimetres wide and their gap is tenths. Each face stands where the design draws it, raised and bent by what
moves its own yoke; what leans them along the shafts, and what is less between two angles, is shared between both, so
what is between them is the gap to the last digit.
"""

from dataclasses import dataclass

import numpy as np

from balance.outlines import edge_heights
from designs.evaluate import Evaluation
from designs.pages.side import cut_short
from designs.pages.spacing import round_down
from designs.pages.svg import path, picture, tag, text
from designs.shown import RPM, said
from shafts.gap.facing import alone
from shafts.gap.items import sum_of_lines, yoke_tilt_along_shafts
from shafts.gap.pair import YokePair

RADIUS = 60.0  # of the lens in its own drawing, in which a millimetre of paper is 2
ACROSS = 18.0  # mm across that the lens shows
LOOKS = 17  # places across at which the faces are drawn
OFF = 0.55  # of the radius, by which the tightest place may stand off the middle
FULL = 0.42  # of the lens that the largest gap or overlap at running speeds takes up
LONGEST = 18  # letters of a name in the lens
AT_ONCE = 100_000  # gaps of speeds, places and angles that are worked out together
FAR = 5e-3  # m: yokes that keep farther apart have nothing to show
PAPER = 2.0  # units of the drawing to a millimetre of paper, where the lens is as large as it is meant to be
BEYOND = f"M-{RADIUS + 9:g},-{RADIUS + 9:g}h138v138h-138ZM{RADIUS:g},0A60,60,0,1,0,-60,0A60,60,0,1,0,60,0Z"
"""All that is outside the lens, to be laid over what reaches out of it."""


@dataclass(frozen=True, eq=False)
class View:
    """What a lens shows, and how.

    x : places across, m.   spot : tightest place, m.   factor : times that heights are magnified.
    across : units of the drawing to a metre.   up : the same for heights.
    """

    pair: YokePair
    x: np.ndarray
    spot: float
    factor: float

    @property
    def across(self) -> float:
        """Units of the drawing to a metre across."""
        return 2 * RADIUS / (ACROSS * 1e-3)

    @property
    def up(self) -> float:
        """Units of the drawing to a metre of height."""
        return self.factor * PAPER * 1e3

    @property
    def shift(self) -> float:
        """Where the tightest place stands in the drawing: toward the end of the yokes that is near it."""
        return OFF * RADIUS * np.sign(self.spot) if abs(self.spot) > ACROSS / 2e3 else 0.0


@dataclass(frozen=True)
class Seen:
    """What is seen at one speed: both faces and what is between them as paths, the gap in words, and its angle, deg."""

    upper: str
    lower: str
    between: str
    gap: float
    angle: float
    words: str

    @property
    def touching(self) -> bool:
        """Whether they overlap."""
        return self.gap <= 0


def view(evaluation: Evaluation, pair: YokePair) -> View | None:
    """Return what the lens of a pair of yokes shows at every speed; None if they keep far apart."""
    worst = evaluation.tightest_speed(pair)
    least = [float(pair.least(each)[0]) for each in [*map(float, evaluation.speeds), worst]]
    if min(least) > FAR:
        return None
    place, _ = pair.tightest(worst)
    spot = float(pair.facing.x[place])
    size = max(abs(min(least)), min(max(abs(each) for each in least), 3 * abs(min(least))), 1e-5)
    factor = round_down(FULL * 2 * RADIUS / (size * PAPER * 1e3))
    middle = spot if abs(spot) <= ACROSS / 2e3 else spot - np.sign(spot) * OFF * ACROSS / 2e3
    x = np.unique([*(middle + np.linspace(-0.5, 0.5, LOOKS) * ACROSS * 1e-3), spot])
    return View(pair, x, spot, factor)


def seen(shown: View, speeds: np.ndarray) -> list[Seen]:
    """Return what the lens shows at each of several speeds, rad/s, where the gap is then least."""
    pair = shown.pair
    tilt = (yoke_tilt_along_shafts,)
    moved = {name: sum_of_lines(pair.loaded, alone(name, shown.x), "expected", tilt).clearances(speeds)
             for name in (pair.upper, pair.lower)}  # fmt: skip
    found, angles = [], pair.loaded.motion.theta.size
    for number, (gap, angle) in enumerate(nearest(pair, speeds)):
        turn = int(np.rint(angle / (2 * np.pi) * angles)) % angles
        faces = [_face(shown, name, moved[name][number][:, turn], turn) for name in (pair.upper, pair.lower)]
        found.append(_between_faces(shown, faces, gap, float(np.degrees(angle))))
    return found


def nearest(pair: YokePair, speeds: np.ndarray) -> list[tuple[float, float]]:
    """Return the least gap, m, and its crank angle, rad, at each of several speeds.

    A few of them at a time: all with every item, place and angle would take gigabytes where angles are many.
    """
    few = max(1, AT_ONCE // pair.facing.nominal.size)
    parts = [pair.least(speeds[start : start + few]) for start in range(0, speeds.size, few)]
    return [(float(gap), float(angle)) for gaps, angles in parts for gap, angle in zip(gaps, angles, strict=True)]


def _face(shown: View, name: str, raised: np.ndarray, turn: int) -> np.ndarray:
    """Return the heights of the face that a yoke turns to the other, m; NaN beside it."""
    pair = shown.pair
    outline = pair.loaded.engine.yokes[name].outline
    assert outline is not None
    low, high = edge_heights(outline, shown.x)
    face = low if name == pair.upper else high
    height = pair.loaded.motion.yokes[name].height[turn]
    return np.where(np.isfinite(face), face + height + raised, np.nan)


def _between_faces(shown: View, faces: list[np.ndarray], gap: float, angle: float) -> Seen:
    upper, lower = faces
    both = upper - lower
    rest = gap - float(np.nanmin(both))  # what both have in common is in neither face alone
    spot = int(np.argmin(np.abs(shown.x - shown.spot)))
    upper, lower = upper + rest / 2, lower - rest / 2
    level = float(np.nanmean([upper[spot], lower[spot]]))
    x = (shown.x - shown.spot) * shown.across + shown.shift
    curves = [-(each - level) * shown.up for each in (upper, lower)]
    above, below = _body(x, curves[0], -1), _body(x, curves[1], 1)
    words = f"overlap {said(-gap, 'm', '.3f')}" if gap <= 0 else f"gap {said(gap, 'm', '.3f')}"
    return Seen(above, below, _between(x, *curves) if gap <= 0 else "", gap, angle, words)


def _body(x: np.ndarray, curve: np.ndarray, way: int) -> str:
    """Return the outline of a yoke from its face to beyond the lens, upward (-1) or downward (+1)."""
    known = np.isfinite(curve)
    points = list(zip(x[known], np.clip(curve[known], -3 * RADIUS, 3 * RADIUS), strict=True))
    if not points:
        return ""
    out = way * 4 * RADIUS
    return path([(points[0][0], out), *points, (points[-1][0], out)], closed=True)


def _between(x: np.ndarray, upper: np.ndarray, lower: np.ndarray) -> str:
    """Return where the one face lies beyond the other; heights count downward, as in the drawing."""
    over = np.isfinite(upper) & np.isfinite(lower)
    fine = np.linspace(x[over][0], x[over][-1], 8 * LOOKS)
    one, other = (np.interp(fine, x[over], each[over]) for each in (upper, lower))
    inside = one >= other
    points = [*zip(fine[inside], one[inside], strict=True)], [*zip(fine[inside], other[inside], strict=True)]
    return path([*points[0], *reversed(points[1])], closed=True) if np.any(inside) else ""


def lens(evaluation: Evaluation, speed: float | None = None, pair: int = 0) -> str:
    """Return the lens over a pair of yokes at a speed, rad/s, SVG; at the worst running speed if none is given.

    Yokes that keep far apart have a sentence in its place.
    """
    if len(evaluation.pairs) <= pair:
        return tag("p", "No two yokes of this design face each other, or their outlines are not given.", kind="none")
    two = evaluation.pairs[pair]
    speed = evaluation.tightest_speed(two) if speed is None else speed
    shown = view(evaluation, two)
    if shown is None:
        gap = said(float(two.least(speed)[0]), "m", ".2f")
        return tag("p", f"The yokes keep {gap} apart at {speed * RPM:.0f} rpm: nothing to look at "
                        "closely.", kind="none")  # fmt: skip
    return lens_picture(shown, seen(shown, np.array([speed]))[0], speed)


def lens_picture(shown: View, found: Seen, speed: float) -> str:
    """Return the lens as it is seen at one speed, SVG, with the number inside."""
    two, r = shown.pair, RADIUS
    inside = tag("path", d=found.upper, kind="face upper") + tag("path", d=found.lower, kind="face lower")
    inside += "".join(tag("path", d=found.between or "M0,0", kind=f"overlap{more}") for more in ("", " hatched"))
    inside += tag("path", d=BEYOND, kind="beyond") + tag("circle", r=r, kind="rim")
    side = -shown.shift * 0.35
    inside += text(side, -0.62 * r, cut_short(two.upper, LONGEST), "name", "middle")
    inside += text(side, 0.68 * r, cut_short(two.lower, LONGEST), "name", "middle")
    inside += text(0, 4.5, found.words, "gap touch" if found.touching else "gap", "middle")
    at = f"{speed * RPM:.0f} rpm, crank angle {found.angle:.0f}°"
    words = f"{two.upper} yoke over {two.lower} yoke at {at}: {found.words}."
    return picture((-r - 1, -r - 1, 2 * r + 2, 2 * r + 2), inside, words, "lens" + (" meets" if found.touching else ""))


def lens_words(shown: View, found: Seen, speed: float) -> str:
    """Return what stands below a lens: factor, speed, crank angle."""
    return (
        f"Where they come nearest, heights {shown.factor:g} times as large, as displaced at {speed * RPM:.0f} rpm, "
        f"crank angle {found.angle:.0f}°."
    )

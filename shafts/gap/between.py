"""The least that a gap can come to anywhere between two speeds, so that no touch that comes and goes is passed over.

Between two speeds what grows with speed squared lies between its ends, at each place and angle. So does the tooth force
and each rod's load: play stays on its side while these keep their sign, and else counts on whichever side closes the
gap. A bearing's load goes straight from one end to the other, so that its direction sweeps the angle between.
What vibrates has no such law: between its ends it is taken to stray by half of what they differ, and as far as at a
speed between them at which it peaks.
"""

import numpy as np

from balance.cycle.at_speed import AtSpeed
from balance.quantities import result
from shafts.gap.curve import GapCurve, sum_over_rows

STRAYS = 0.5  # share of what vibration differs by at two speeds, by which it may stray beyond them in between
Range = tuple[np.ndarray, np.ndarray]
"""The least and the most that something can be, (intervals, options..., places, angles)."""


@result
class _Signs:
    """A load at both ends of intervals, and whether it surely keeps its sign."""

    first: np.ndarray
    last: np.ndarray
    kept: np.ndarray

    @property
    def size(self) -> Range:
        """The least and the most of its size."""
        sizes = np.abs(self.first), np.abs(self.last)
        return np.where(self.kept, np.minimum(*sizes), 0.0), np.maximum(*sizes)


@result
class Peaks:
    """Speeds at which one design's gap vibrates most, rad/s, (peaks,), and how far, m, (peaks, places, angles)."""

    speeds: np.ndarray
    sizes: np.ndarray


NO_PEAKS = Peaks(np.zeros(0), np.zeros((0, 1, 1)))


def peaks_of(curve: GapCurve, speeds: np.ndarray) -> Peaks:
    """Return how far a gap vibrates at some speeds, rad/s, (peaks,)."""
    if not len(speeds) or not isinstance(curve.plain.vibration, AtSpeed):
        return NO_PEAKS
    return Peaks(speeds, np.abs(curve.plain.vibration.at(speeds[:, None])))


def lowest_between(curve: GapCurve, speeds: np.ndarray, peaks: Peaks = NO_PEAKS, finely: bool = False) -> np.ndarray:
    """Return the least that a gap can be between each of several speeds and the next, m, (speeds - 1, options...).

    speeds : rising, rad/s, (speeds, options...).   peaks : of a single design.
    finely : whether play that reverses between two angles counts (see `play_reversal`).
    """
    at = speeds[..., None]
    peaky = np.array([np.any((speeds[:-1] < each) & (speeds[1:] > each), axis=tuple(range(1, speeds.ndim)))
                      for each in peaks.speeds]).reshape(len(peaks.speeds), len(speeds) - 1)  # fmt: skip
    calm = ~np.any(peaky, axis=0).reshape(-1, *(1,) * (speeds.ndim + 1))
    tooth = None if curve.tooth is None else _signs(curve.tooth.at(at), calm, finely)
    low, high = _ends(curve.plain.still.at(at))
    for more in (_vibrating(curve, at, peaks, peaky), _of_teeth(curve, tooth), _of_bearings(curve, at, tooth, calm),
                 _of_rods(curve, at, calm, finely)):  # fmt: skip
        low, high = low + more[0], high + more[1]
    lowest, highest = np.min(low, axis=-2), np.min(high, axis=-2)
    with np.errstate(invalid="ignore"):  # where yokes are not face to face the gap has no end
        least = np.min(lowest - _dip(lowest, highest), axis=-1)
    return np.asarray(np.where(np.isnan(least), np.inf, least))


def _ends(values: np.ndarray) -> Range:
    return np.minimum(values[:-1], values[1:]), np.maximum(values[:-1], values[1:])


def _signs(values: np.ndarray, calm: np.ndarray, finely: bool) -> _Signs:
    sign = np.sign(values)
    kept = (sign[:-1] == sign[1:]) & (sign[1:] != 0)
    if finely:
        for step in (1, -1):
            kept = kept & (sign[1:] == np.roll(sign[1:], step, axis=-1)) & (sign[:-1] == np.roll(sign[:-1], step, -1))
    return _Signs(values[:-1], values[1:], kept & calm)


def _vibrating(curve: GapCurve, at: np.ndarray, peaks: Peaks, peaky: np.ndarray) -> Range:
    if not isinstance(curve.plain.vibration, AtSpeed):
        return np.zeros(1), np.zeros(1)
    values = curve.plain.vibration.at(at)
    low, high = _ends(values)
    stray = STRAYS * (high - low)
    low, high = low - stray, high + stray
    if not len(peaks.speeds):
        return low, high
    most = np.zeros_like(low)
    for size, inside in zip(peaks.sizes, peaky, strict=True):
        most[inside] = np.maximum(most[inside], size)
    return np.minimum(low, -most), np.maximum(high, most)


def _of_teeth(curve: GapCurve, tooth: _Signs | None) -> Range:
    """Return what the teeth push apart, and cranks out of step, can add."""
    low, high = np.zeros(1), np.zeros(1)
    if tooth is not None:
        low, high = _ends(np.stack([curve.apart * size for size in tooth.size]))
        low, high = low[0], high[0]
    if curve.leads is not None:
        ways = curve.leads.ahead, curve.leads.behind, curve.leads.neither
        least, most = (reduced(np.stack(np.broadcast_arrays(*ways)), axis=0) for reduced in (np.min, np.max))
        if tooth is not None:
            sure = np.where(tooth.first > 0, ways[0], ways[1])
            least, most = (np.where(tooth.kept, sure, each) for each in (least, most))
        low, high = low + least, high + most
    return low, high


def _of_rods(curve: GapCurve, at: np.ndarray, calm: np.ndarray, finely: bool) -> Range:
    """Return what the play of rods' pins and of guides can add."""
    if curve.rods is None:
        return np.zeros(1), np.zeros(1)
    thrust = _signs(curve.rods.thrust.at(at), calm, finely)
    slack = curve.rods.slack
    sure = -sum_over_rows(slack, np.sign(thrust.first) * thrust.kept)
    any_way = sum_over_rows(np.abs(slack), (~thrust.kept).astype(float))
    return sure - any_way, sure + any_way


def _of_bearings(curve: GapCurve, at: np.ndarray, tooth: _Signs | None, calm: np.ndarray) -> Range:
    """Return what the play of bearings can add."""
    if curve.bearings is None:
        return np.zeros(1), np.zeros(1)
    rows = curve.bearings
    push = np.zeros(1) if curve.tooth is None else np.abs(curve.tooth.at(at))
    x, y = rows.x.at(at) + rows.x_apart * push, rows.y.at(at) + rows.y_apart * push
    size = np.hypot(x, y)
    size[size == 0] = 1.0
    x, y = x / size, y / size
    turned = np.minimum(x[:-1] * x[1:] + y[:-1] * y[1:], 1.0)
    # What swings by a right angle may pass through zero.
    sure = (turned > 0) & (calm if tooth is None else calm & tooth.kept)
    shift = rows.across * x[..., None, :, :]
    shift += rows.along * y[..., None, :, :]
    return _swept(shift, np.hypot(rows.across, rows.along), sure, np.where(sure, 1 - np.sqrt((1 + turned) / 2), 1.0))


def _swept(shift: np.ndarray, reach: np.ndarray, sure: np.ndarray, beyond: np.ndarray) -> Range:
    """Return the least and most that shifts come to as each row's direction turns between the ends of intervals.

    Turning by t, a part of a circle leaves the range of its ends by 1 - cos(t/2) of its radius at the most.
    shift : at the ends.   reach : at any direction.   sure : rows that turn the short way.
    beyond : share of the reach by which a row leaves its ends; those that are not sure leave zero by all of it.
    """
    away = sum_over_rows(reach, beyond)
    low, high = (sum_over_rows(each, sure.astype(float)) for each in _ends(shift))
    return low - away, high + away


def _dip(lowest: np.ndarray, highest: np.ndarray) -> np.ndarray:
    """Return how far a parabola through an angle and its neighbours can fall below that angle, if it is the lowest."""
    before, after = (np.roll(highest, step, axis=-1) for step in (1, -1))
    low_before, low_after = (np.roll(lowest, step, axis=-1) for step in (1, -1))
    with np.errstate(invalid="ignore", divide="ignore"):
        most = np.maximum(before + after - 2 * lowest, 0.0) / 8
        bend = low_before + low_after - 2 * highest
        tilt = np.maximum(before - low_after, after - low_before)
        close = np.where(bend > 0, tilt**2 / (8 * np.where(bend > 0, bend, 1.0)), np.inf)
    return np.minimum(most, close)

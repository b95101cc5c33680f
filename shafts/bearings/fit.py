"""How a bearing is fitted: its bore on the shaft, its outside in the seat, and what that does to its clearance.

Shaft and bore are one fit: nominally of one size, with a play that is measured or follows from ISO 286 classes. A
tight ring takes 0.7 to 0.9 of its interference off the internal clearance (bearing makers' rule, from memory): 0.9
counts for the least clearance, 0.7 for the most. A loose ring adds all its play, and glue takes that up again.
"""

import numpy as np

from balance.quantities import Number, Scalar, result
from shafts.bearings.bearing import Bearing
from shafts.bearings.kind import Kind
from shafts.iso_286 import Range, limits, play

LOST = (0.7, 0.9)  # of interference, off the internal clearance: least and most
GLUE_GAP = 0.1e-3  # m on the diameter that a retaining compound fills; common practice, no source
HAIR = 1e-7  # m; less than this is rounding, of sizes that come from sums
PRESSED = 1e-9  # m: what is pressed in has interference at its loosest; not zero, so that shares of it can be taken


@result
class Fit:
    """A ring on the shaft or in its seat, (options...).

    least, most : diametral play, m; negative where it is tight.   sure : interference that is surely there, m; negative
    where there is none.   loose, tight : most play and most interference that count as a fit, m.
    given : whether the play is measured or follows from classes, and not from nominal sizes alone.
    may_be_loose : whether it may be looser than a fit, though what is known does not say so.
    """

    least: Number
    most: Number
    sure: Number
    loose: Number
    tight: Number
    given: bool
    may_be_loose: bool = False

    @property
    def misfit(self) -> tuple[Number, Number]:
        """The play, or else the interference that is surely there, m, with its bound: whichever uses up more of it."""
        most, sure = np.asarray(self.most), np.asarray(self.sure)
        loose, tight = np.asarray(self.loose), np.maximum(self.tight, PRESSED)
        is_loose = most / loose >= sure / tight
        return np.where(is_loose, np.maximum(most, 0.0), sure), np.where(is_loose, loose, tight)

    @property
    def may_be_too_tight(self) -> bool:
        """Whether it exceeds the most interference at one end of its range, of any option."""
        return bool(np.any(-np.asarray(self.least) > np.maximum(self.tight, PRESSED) + PRESSED))


def shaft_play(bearing: Bearing) -> Range | None:
    """Return the diametral play of the shaft in the bore, m, (options...); None if it is not given.

    Of what has no inner ring it is all its play.
    """
    inside, fit = bearing.inside, bearing.fit
    if not inside.inner_ring:
        if bearing.clearance is not None and not isinstance(bearing.clearance, str):
            return bearing.clearance, bearing.clearance
        known = fit is not None or getattr(inside, "play", None) is not None
        return inside.clearance(None, fit if isinstance(fit, str) else None) if known else None
    return _play(inside.bore_limits, inside.bore, fit)


def seat_play(bearing: Bearing) -> Range | None:
    """Return the diametral play of the outside in its seat, m, (options...); None if it is not known."""
    inside, fit = bearing.inside, bearing.seat_fit
    if isinstance(fit, str):
        outer = inside.outside_limits
        return None if outer is None or inside.outside is None else play(limits(fit, inside.outside), outer)
    return None if fit is None else (fit, fit)


def _play(hole: Range | None, size: Scalar, fit: Scalar | str | None) -> Range | None:
    if isinstance(fit, str):
        return None if hole is None else play(hole, limits(fit, size))
    return None if fit is None else (fit, fit)


def on_shaft(bearing: Bearing, thinnest: Scalar, thickest: Scalar) -> Fit:
    """Return the fit of the shaft in a bearing's bore, from the shaft's least and largest nominal diameter in it, m.

    The difference of nominal sizes counts beside what is given of the fit.
    """
    inside, given = bearing.inside, shaft_play(bearing)
    least: Number = _rounded(inside.bore - np.asarray(thickest))
    most: Number = _rounded(inside.bore - np.asarray(thinnest))
    alike = bool(np.all(most <= 0) & np.all(least >= 0))
    sure = -least  # what the sizes say is so, whatever else is given
    if given is not None:
        sure = np.maximum(sure, -np.asarray(given[1]))
        # Of one nominal size the play is what is given; of two, it is either.
        least, most = given if alike else (np.minimum(given[0], least), np.maximum(given[1], most))
    loose, tight = _bounds(bearing, inside.loosest, inside.tightest)
    covered = given is not None and bool(
        np.all(least > np.asarray(given[0]) - HAIR) & np.all(most < np.asarray(given[1]) + HAIR)
    )
    if not alike and not covered:  # glue fills a play that is measured, not two sizes that were never one fit
        loose = np.minimum(loose, inside.loosest)
    return Fit(least, most, sure, loose, tight, covered)


def in_seat(bearing: Bearing) -> Fit | None:
    """Return the fit of a bearing's outside in its seat; None if it is not known."""
    given, inside = seat_play(bearing), bearing.inside
    wanted = getattr(inside, "seat_class", None)
    if isinstance(bearing.seat_fit, str) and wanted is not None and inside.outside is not None:
        return _cup_in_seat(bearing, bearing.seat_fit, wanted)
    if given is None:
        return None
    size = _outside(inside)
    # A seat H7 is the usual one of a ring whose load does not turn against it.
    # A thin cup is held by its seat alone.
    loosest = limits("H7", size)[1] - (inside.outside_limits or (0.0, 0.0))[0] if wanted is None else PRESSED
    loose, tight = _bounds(bearing, loosest, _tightest_in_seat(inside, np.asarray(size)))
    return Fit(*given, -np.asarray(given[1]), loose, tight, True)


def _tightest_in_seat(inside: Kind, size: np.ndarray) -> Number:
    """Return the most interference in a seat that counts as a fit, m: of a ring, of a bush, of a cup by its own size.

    A bush is pressed in, at the tightest as s6 in H7 (makers of bronze bushes, from memory).
    """
    if not inside.closes_in:
        return size
    return 1e-3 * size if inside.inner_ring else limits("s6", size)[1]


def _cup_in_seat(bearing: Bearing, given: str, wanted: str) -> Fit:
    """Return the fit of a thin cup by the classes of its seat as given and as wanted, against its nominal outside.

    Its own size shows only once it is pressed in: play is sure where the seat is wider than that at its tightest.
    """
    size = bearing.inside.outside
    assert size is not None
    low, high = limits(given, size)
    loose, tight = _bounds(bearing, np.full(np.shape(low), PRESSED), -np.asarray(limits("R7", size)[0]))
    wider = bool(np.any(high > limits(wanted, size)[1] + HAIR)) and bearing.held_by != "glue"
    return Fit(low, low, -np.asarray(high), loose, tight, True, wider)


def _outside(inside: Kind) -> Number:
    """A bush whose outside is not given is taken by its bore: a smaller size, and closer limits."""
    return inside.bore if inside.outside is None else inside.outside


def _bounds(bearing: Bearing, loose: Number, tight: Number) -> tuple[Number, Number]:
    """Return most play and interference: glue fills more than a slide fit has, and what is pressed has no play."""
    if bearing.held_by == "glue":
        return np.full(np.shape(loose), GLUE_GAP), tight
    if bearing.held_by == "press" and bearing.inside.inner_ring:
        return np.full(np.shape(loose), PRESSED), tight
    return loose, tight


def _rounded(difference: np.ndarray) -> np.ndarray:
    return np.where(np.abs(difference) < HAIR, 0.0, difference)


def fitted(bearing: Bearing, bought: Range) -> Range:
    """Return least and most internal clearance once it is fitted, m, (options...); negative where it is preloaded.

    bought : before it is fitted, m.
    """
    least, most = (np.asarray(each, dtype=float) for each in bought)
    inside, glued = bearing.inside, bearing.held_by == "glue"
    rings = [shaft_play(bearing)] if inside.inner_ring else []
    rings.append(seat_play(bearing))
    for number, ring in enumerate(rings):
        if ring is None:
            continue
        tight = -np.minimum(ring[0], 0.0), -np.minimum(ring[1], 0.0)  # most and least interference
        if number < len(rings) - 1 or inside.closes_in:
            least, most = least - LOST[1] * tight[0], most - LOST[0] * tight[1]
        if not glued:
            least, most = least + np.maximum(ring[0], 0.0), most + np.maximum(ring[1], 0.0)
    return least, most

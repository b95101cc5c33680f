"""Whether shafts fit their bearings, bearings their seats, what is left of internal clearance, and what holds them."""

from collections.abc import Callable, Sequence

import numpy as np

from balance.quantities import Scalar
from balance.turning import HANDS
from designs.evaluate import Evaluation
from designs.shown import file_words
from designs.verdict.row import Row, not_checked, of_worst
from shafts.bearings.bearing import Bearing
from shafts.bearings.fit import Fit, fitted, in_seat, on_shaft, shaft_play
from shafts.bearings.kind import millimetres
from shafts.bearings.play import bought
from shafts.pieces import diameters_in, height_beside
from shafts.shaft import Shaft

KEYS = ("bearing_fit", "bearing_seat", "internal_clearance", "bearing_held")
SHOULDER = 0.6e-3  # m: twice the largest chamfer (0.3 mm) of bearings up to 10 mm bore; common practice, no source
NO_FIT = 0.1e-3  # m, from which two sizes are no fit of one another; common practice, no source
GROOVE = 0.1e-3  # m: the depth of a circlip's groove in the thinnest shafts; common practice, no source


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the fits of the worst bearing on shaft and in seat, its internal clearance, and what it is held by."""
    every = bearings_of(evaluation)
    return [_shaft_row(every), *_seat_rows(every), *_clearance_rows(every), *_held_rows(every)]


Every = Sequence[tuple[str, Shaft, Bearing]]


def bearings_of(evaluation: Evaluation) -> Every:
    """Return every bearing with its name and its shaft."""
    return [
        (f"{side} bearing {index + 1}", shaft, bearing)
        for side, shaft in zip(HANDS, evaluation.design.shafts.pair, strict=True)
        for index, bearing in enumerate(shaft.bearings)
    ]


def clearances_left(every: Every) -> list[tuple[str, np.ndarray, np.ndarray]]:
    """Return least and most internal clearance, m, of the bearings whose fits are given, with their names."""
    by_name = {
        name: fitted(bearing, bought(bearing))
        for name, _, bearing in every
        if bearing.inside.inner_ring and (shaft_play(bearing) is not None or bearing.seat_fit is not None)
    }
    return [(name, np.asarray(least), np.asarray(most)) for name, (least, most) in by_name.items()]


def _shaft_row(every: Every) -> Row:
    sizes = [diameters_in(shaft, bearing) for _, shaft, bearing in every]
    fits = [on_shaft(bearing, *size) for (_, _, bearing), size in zip(every, sizes, strict=True)]
    what = "shaft fits bore of {}"

    def words(index: int) -> str:
        bearing, (thinnest, thickest) = every[index][2], sizes[index]
        shaft = millimetres(thickest)
        if np.any(np.asarray(thinnest) != thickest):
            shaft = f"{millimetres(thinnest)} to {shaft}"
        held = {"press": ", and pressed in it must be tight", "glue": ", glue fills 0.1 mm"}
        sizes_ = f"a shaft of {shaft} mm in a bore of {millimetres(bearing.inside.bore)} mm"
        if np.any(np.asarray(thickest) - bearing.inside.bore > NO_FIT):
            return f"{sizes_}: it does not go in; one of the two is another size"
        return (
            f"{sizes_} {_extent(fits[index])}{held.get(bearing.held_by or '', '')}; a loose ring creeps and wears, "
            "one that is too tight bursts or jams"
        )

    missing = [name for (name, _, _), fit in zip(every, fits, strict=True) if not fit.given]
    return _row("bearing_fit", what, [name for name, _, _ in every], fits, words, _unlooked(every, fits, missing))


def _unlooked(every: Every, fits: list[Fit], missing: list[str]) -> str:
    if missing:
        kinds = {bearing.inside.inner_ring for name, _, bearing in every if name in missing}
        wanted = ["`fit`: the class of the shaft, as h6, or the play as measured"] * (True in kinds)
        wanted += ["its play, or `fit` and tolerance classes"] * (False in kinds)
        return f"give for {', '.join(missing)} {', or '.join(wanted)}"
    tight = [name for (name, _, _), fit in zip(every, fits, strict=True) if fit.may_be_too_tight]
    return f"measure the fit of {', '.join(tight)} and give it: by its class it may be too tight" if tight else ""


def _seat_rows(every: Every) -> list[Row]:
    fits = [in_seat(bearing) for _, _, bearing in every]
    known = [(name, fit) for (name, _, _), fit in zip(every, fits, strict=True) if fit is not None]
    missing = [name for (name, _, _), fit in zip(every, fits, strict=True) if fit is None]
    what, give = "{} fits its seat", "give `seat_fit`: the class of the seat, as H7, or the play as measured"
    if any(isinstance(bearing.seat_fit, str) for name, _, bearing in every if name in missing):
        give = "give as `seat_fit` the play as measured: a class does not tell it where the outside has none of its own"
    if not known:
        return [not_checked("bearing_seat", what.format(", ".join(missing)), give)]
    known_fits = [fit for _, fit in known]

    def words(index: int) -> str:
        fit = known_fits[index]
        loose = bool(np.any(np.asarray(fit.most) > 0))
        why = "a loose ring creeps as the unbalance turns" if loose else "so tight it splits its seat or closes in"
        return f"its outside {_extent(fit)} in the seat; {why}"

    tight = [name for name, fit in known if fit.may_be_too_tight]
    unlooked = f"{give}, for {', '.join(missing)}" if missing else ""
    unlooked = unlooked or (f"measure the seat of {', '.join(tight)}: by its class it may be too tight" * bool(tight))
    loose = [name for name, fit in known if fit.may_be_loose]
    wanted = "a drawn cup wants a seat N6 or N7, in light alloy R7, or glue: looser ones may let it wander"
    unlooked = unlooked or (f"measure the seat of {', '.join(loose)}: {wanted}" * bool(loose))
    return [_row("bearing_seat", what, [name for name, _ in known], known_fits, words, unlooked)]


def _extent(fit: Fit) -> str:
    """Return the play of a fit in words, of its first option."""
    least, most = (float(np.ravel(each)[0]) * 1e6 for each in (fit.least, fit.most))
    return f"has {least:.0f} to {most:.0f} um of play" if least != most else f"has {most:.0f} um of play"


def _row(key: str, what: str, names: list[str], fits: list[Fit], words: Callable[[int], str], unlooked: str) -> Row:
    """Return the row of the fit that uses up most of its bound."""
    sizes = [fit.misfit for fit in fits]
    shares = [np.asarray(value / bound) for value, bound in sizes]
    index = int(np.argmax([np.max(share) for share in shares]))
    value, limit = of_worst(shares, sizes)
    return Row(key, what.format(names[index]), value, limit, "m", "at most", lambda: file_words(words(index)),
               unlooked=unlooked, where=names[index])  # fmt: skip


def _clearance_rows(every: Every) -> list[Row]:
    """Return the row of the least internal clearance that tight rings leave; none where no fit is given."""
    known = clearances_left(every)
    if not known:
        return []
    most = [each for _, _, each in known]
    name = known[int(np.argmin([np.min(each) for each in most]))][0]
    least = min(float(np.min(each)) for _, each, _ in known)
    unlooked = ""
    if least < 0:
        unlooked = f"measure the fits and give them: by their classes they may preload it by {-least * 1e6:.0f} um"
    words = "interference of its rings takes all internal clearance: it runs preloaded and warm"
    narrowest = np.min(np.stack(np.broadcast_arrays(*most)), axis=0)
    what = f"most internal clearance that its fits leave {name}"
    return [Row("internal_clearance", what, narrowest, 0.0, "m", "at least", words, unlooked=unlooked)]


def _held_rows(every: Every) -> list[Row]:
    """Return the row of what holds the bearings along the shaft, of those that a shoulder or circlip holds."""
    bounds: dict[str | None, Scalar] = {"shoulder": SHOULDER, "circlip": GROOVE}
    held = [(name, shaft, bearing) for name, shaft, bearing in every if bearing.held_by in bounds]
    if not held:
        return []
    values = [
        (height_beside(shaft, bearing, groove=bearing.held_by == "circlip"), bounds[bearing.held_by])
        for _, shaft, bearing in held
    ]
    lacks = [-np.asarray(value / bound) for value, bound in values]
    name, _, bearing = held[int(np.argmax([np.max(each) for each in lacks]))]
    value, limit = of_worst(lacks, values)
    what, words = f"height of the shoulder that holds {name}", "no step of the shaft beside it is that much thicker"
    if bearing.held_by == "circlip":
        what = f"depth of the circlip's groove that holds {name}"
        words = "no notch of kind groove with a depth stands beside it"
    return [Row("bearing_held", what, value, limit, "m", "at least", words)]

"""Bearing clearance: each main bearing lets the shaft lie against one side, along its load.

The crankpin moves by the bearing's share of a unit load there (reciprocity) times half the clearance. On more than two
bearings each is pressed along its own load, found without play. Expected: the middle of the range of clearance; in
the worst case its largest, on whichever side closes the gap.
"""

from collections.abc import Iterator

import numpy as np

from balance.cycle.load import Load
from balance.quantities import Number
from balance.turning import HANDS
from shafts.bearings.bearing import Bearing
from shafts.bearings.play import clearance_range
from shafts.crank.loaded import LoadedCrank
from shafts.crank.rows import taken, times
from shafts.gap.curve import BearingRows, GapCurve, at_rows, in_rows, rows_of
from shafts.gap.facing import Facing
from shafts.gap.shift import at_places, rise_per_displacement
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "bearing clearance"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what the bearings' clearance adds to the gap."""
    bearings = [
        (crank, index, bearing) for crank in loaded.cranks for index, bearing in enumerate(crank.shaft.bearings)
    ]
    shifts = [shift for crank in loaded.cranks for shift in bearing_shifts(loaded, facing, crank)]
    plays = [at_rows(off_centre(bearing, case)) for *_, bearing in bearings]
    across, along = (
        rows_of([play * shift[axis] for play, shift in zip(plays, shifts, strict=True)]) for axis in (0, 1)
    )
    if case == "worst":
        return GapCurve(Load(steady=-np.sum(np.sqrt(across**2 + along**2), axis=-2)))
    loads = [crank.bearings[index] for crank, index, _ in bearings]
    x_apart, y_apart = (rows_of([np.atleast_1d(load.apart[axis]) for load in loads]) for axis in (0, 1))
    x, y = in_rows([load.x for load in loads]), in_rows([load.y for load in loads])
    rows = BearingRows(x, y, x_apart, y_apart, across, along)
    return GapCurve(tooth=facing.tooth(loaded), bearings=rows)


def off_centre(bearing: Bearing, case: Case) -> Number:
    """Return how far the shaft stands off the bearing's centre, m, (options...)."""
    least, most = clearance_range(bearing)
    return np.asarray(most) / 2 if case == "worst" else (np.asarray(least) + most) / 4


def bearing_shifts(loaded: LoadedShafts, facing: Facing, crank: LoadedCrank) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Yield the shift of the upper yoke against the lower one per metre by which the shaft moves in each bearing.

    Along x and along y of the crank frame, each (options..., places, angles).
    """
    moves, lifts = [], []
    for name, sign in facing.yokes:
        yoke, moved = loaded.engine.yokes[name], loaded.motion.yokes[name]
        over = at_places(yoke, moved, facing.x, HANDS[crank.hand]) * sign
        moves.append(taken(crank.pushes, crank.stations.rods[name]))  # by reciprocity: see LoadedCrank.carried_along
        lifts += [np.atleast_1d(way)[..., None, :] * over for way in rise_per_displacement(moved, loaded.motion.theta)]
    every = np.stack(np.broadcast_arrays(*lifts), axis=-3)
    shifts = times(np.concatenate(moves, axis=-1), every.reshape(*every.shape[:-2], -1))
    shifts = shifts.reshape(*shifts.shape[:-1], *every.shape[-2:])
    yield from zip(shifts[0::2], shifts[1::2], strict=True)

"""A bare shaft on its bearings, as books and other solvers look at one: by the crank's own chain, in one plane."""

from dataclasses import dataclass
from types import SimpleNamespace
from typing import cast

import numpy as np

from shafts.crank.build import Crank, shaft_lengths
from shafts.crank.compliance import Unit, respond
from shafts.crank.layout import Axis
from shafts.crank.loaded import LoadedCrank
from shafts.crank.loads import CrankLoad
from shafts.crank.stations import stations_of
from shafts.engine import Engine
from shafts.shaft import Shaft


@dataclass(frozen=True, eq=False)
class Influence:
    """Responses at stations, forces then couples, to unit loads there; n stations, b bearings.

    bending : on rigid bearings, (options..., n, n).   seating : what the bearings' own compliance adds.
    share : load on each bearing per unit load, (options..., b, n).
    """

    bending: np.ndarray
    seating: np.ndarray
    share: np.ndarray


def _without_throws(shaft: Shaft, marks: list) -> Crank:
    return Crank(shaft_lengths(shaft, Axis(None, *shaft.ends), marks), None)


def influence(shaft: Shaft, forces_at: list, couples_at: list, compliance: list) -> Influence:
    """Return the influence of forces and couples on a shaft on bearings of this compliance, m/N, zero for rigid."""
    columns = [(Unit(at, fy=1.0),) for at in forces_at] + [(Unit(at, cx=-1.0),) for at in couples_at]
    places = [bearing.at for bearing in shaft.bearings]
    chain = _without_throws(shaft, [*forces_at, *couples_at, *places])
    rows = range(len(columns))

    def answer(supports):
        response = respond(chain, columns, places, places[0], supports)
        return response.by_members(rows) + response.by_supports(rows, supports), response

    row = np.stack(np.broadcast_arrays(*(np.asarray(each, dtype=float) for each in compliance)), axis=-1)
    rigid, _ = answer(np.zeros((len(places), len(places))))
    sprung, response = answer(row[..., None] * np.eye(len(places)))
    count = len(places)
    return Influence(rigid, sprung - rigid, -response.reactions[..., count : 2 * count, :])


def under(shaft: Shaft, loads: list[CrankLoad], theta: np.ndarray) -> LoadedCrank:
    """Return a shaft without throws on rigid bearings under loads over the cycle, as the right crank."""
    engine = cast(Engine, SimpleNamespace(cranks=SimpleNamespace(gears=None)))
    stations, places = stations_of(engine, shaft, loads), [bearing.at for bearing in shaft.bearings]
    rigid = {"rigid": np.zeros((len(places), len(places)))}
    chain = _without_throws(shaft, [*places, *(load.at for load in loads)])
    response = respond(chain, stations.columns, places, loads[0].at, rigid["rigid"])
    columns = np.arange(len(stations.columns))
    return LoadedCrank(shaft, "right", loads, (0.0, 0.0), theta, None, stations, response, columns, rigid)

"""Both cranks under their loads: one structure with all unit loads on it where they are alike, else two."""

from dataclasses import replace

import numpy as np

from balance.quantities import Number, result
from balance.turning import HANDS
from shafts.crank.build import crank
from shafts.crank.compliance import Column, Propped, UnitResponse, propped
from shafts.crank.loaded import LoadedCrank
from shafts.crank.loads import CrankLoad
from shafts.crank.stations import stations_of
from shafts.crank.supports import contact_decides, support_parts, whole_of
from shafts.engine import Engine
from shafts.shaft import Shaft


def loaded_cranks(
    engine: Engine,
    loads: tuple[list[CrankLoad], list[CrankLoad]],
    theta: np.ndarray,
    rated: Number | None = None,
    mirrored: bool = False,
) -> tuple[LoadedCrank, LoadedCrank]:
    """Return the right and the left crank under their loads.

    rated : at which bearings are judged, and ball bearings whose stiffness is not given worked out, rad/s; these count
    as rigid if None.   mirrored : whether what rods and weights do on both is known to be alike but for the side.
    """
    stations = [stations_of(engine, shaft, on_it) for shaft, on_it in zip(engine.shafts.pair, loads, strict=True)]
    if _one_structure(engine):
        columns, chosen = _shared_columns([each.columns for each in stations])
        asked = [(columns, each) for each in chosen]
    else:
        asked = [(each.columns, np.arange(len(each.columns))) for each in stations]
    known: dict[tuple[int, float | bytes], tuple[Propped, UnitResponse]] = {}
    cranks: list[LoadedCrank] = []
    for hand, at_stations, on_crank, (columns, mine) in zip(HANDS, stations, loads, asked, strict=True):
        frame = _Frame(engine, hand, columns, on_crank)
        supports = support_parts(frame.shaft)
        structure = id(columns), _number(frame.held_at)
        if structure not in known:
            built = frame.propped
            known[structure] = built, built.on(whole_of(supports))
        built, response = known[structure]
        gravity = engine.gravity.x, engine.gravity.y
        crank = LoadedCrank(
            frame.shaft, hand, on_crank, gravity, theta, rated, at_stations, response, mine, supports,
            mirrored=cranks[0] if mirrored and cranks else None,
        )  # fmt: skip
        cranks.append(_with_contact(crank, built))
    return cranks[0], cranks[1]


@result
class _Frame:
    """One crank and the unit loads on it, before its supports are known."""

    engine: Engine
    hand: str
    columns: list[Column]
    loads: list[CrankLoad]

    @property
    def shaft(self) -> Shaft:
        return self.engine.shafts.pair[self.hand == "left"]

    @property
    def held_at(self) -> Number:
        """Where the crank's turning is held, m: what its torque comes from or goes to."""
        return next(each.at for each in self.loads if each.name in ("gear teeth", "coupling"))

    @property
    def propped(self) -> Propped:
        """The crank under its unit loads."""
        places = [bearing.at for bearing in self.shaft.bearings]
        marks = [*places, *(unit.z for column in self.columns for unit in column)]
        chain = crank(self.shaft, self.engine.cranks, self.hand, marks)
        return propped(chain, self.columns, places, self.held_at)


def _with_contact(crank: LoadedCrank, built: Propped) -> LoadedCrank:
    """Return the crank with its ball bearings as they yield under their mean loads at the rated speed."""
    if crank.rated is None or not contact_decides(crank.shaft):
        return crank
    supports = support_parts(crank.shaft, list(np.mean(crank.bearing_sizes, axis=-1)))
    if len(crank.shaft.bearings) == 2:  # their loads do not depend on what they yield
        return crank.on_supports(supports)
    return replace(crank, supports=supports, response=built.on(whole_of(supports)))


def _one_structure(engine: Engine) -> bool:
    """Return whether both cranks are one structure: one shaft, and no web of known size on one side alone."""
    lone = (
        web for web in engine.cranks.webs if web.on != "both" and web.width is not None and web.thickness is not None
    )
    return engine.shafts.left is None and next(lone, None) is None


def _shared_columns(sides: list[list[Column]]) -> tuple[list[Column], list[np.ndarray]]:
    """Return the columns of both cranks, those that they share once, and which of them each has."""
    columns = list(sides[0])
    known = {_key(column): index for index, column in enumerate(columns)}
    chosen = []
    for column in sides[1]:
        index = known.get(_key(column), len(columns))
        if index == len(columns):
            columns.append(column)
        chosen.append(index)
    return columns, [np.arange(len(sides[0])), np.array(chosen)]


def _key(column: Column) -> tuple[float | bytes, ...]:
    """Return what tells columns apart: their numbers, or the bytes of those of many options."""
    return tuple(_number(value) for unit in column for value in vars(unit).values())


def _number(value: Number) -> float | bytes:
    return value if isinstance(value, float) else np.asarray(value, dtype=float).tobytes()

"""All parts whose strength is looked at beside the shafts: each kind's safeties, and what a slipping joint does."""

from dataclasses import replace

import numpy as np

from balance.many import options_of
from shafts.engine import Engine
from shafts.gap.items import making_tolerances
from shafts.gap.pair import YokePair
from shafts.loaded_shafts import LoadedShafts
from shafts.shaft import Tolerances
from shafts.strength.arms import arm_safeties
from shafts.strength.hubs import hub_safeties
from shafts.strength.joints import joint_safeties
from shafts.strength.pins import crankpin_safeties, yoke_pin_safeties
from shafts.strength.rods import buckling_safeties, rod_safeties, stem_buckling, stem_safeties
from shafts.strength.seats import PartSafety
from shafts.strength.webs import web_safeties

KINDS = {
    "crankpin_strength": lambda loaded, speeds: _of_cranks(crankpin_safeties, loaded, speeds),
    "web_strength": lambda loaded, speeds: _of_cranks(web_safeties, loaded, speeds),
    "joint_grip": lambda loaded, speeds: _of_cranks(joint_safeties, loaded, speeds),
    "hub_grip": lambda loaded, speeds: _of_cranks(hub_safeties, loaded, speeds),
    "yoke_pin_strength": yoke_pin_safeties,
    "rod_strength": rod_safeties,
    "rod_buckling": buckling_safeties,
    "arm_strength": arm_safeties,
    "stem_strength": stem_safeties,
    "stem_buckling": stem_buckling,
}
"""Kinds of parts by the limit that holds for them."""


def part_safeties(loaded: LoadedShafts, speeds: np.ndarray) -> dict[str, list[PartSafety]]:
    """Return how safe every part is, by the limit that holds for it.   speeds : rad/s, (speeds, options...)."""
    options = options_of(loaded.engine)
    if options is not None and np.shape(speeds)[1:] != (options,):
        raise ValueError(f"speeds of shape {np.shape(speeds)} for {options} options; allowed: (speeds, {options})")
    return {key: list(kind(loaded, speeds)) for key, kind in KINDS.items()}


def _of_cranks(law, loaded: LoadedShafts, speeds: np.ndarray) -> list[PartSafety]:
    return [part for crank in loaded.cranks for part in law(loaded.engine, crank, speeds)]


def gap_of_slip(pair: YokePair, angle: float) -> float:
    """Return the most that the gap of two yokes changes anywhere if one throw turns on its crank by an angle, m."""
    engine = _with_loose_throws(pair.loaded.engine, angle)
    found = making_tolerances.between(replace(pair.loaded, engine=engine), pair.facing)
    return max((float(np.max(np.abs(shift.at(pair.facing.x))) * angle) for name, (_, shift) in found.items()
                if name.startswith("throw phase")), default=0.0)  # fmt: skip


def _with_loose_throws(engine: Engine, angle: float) -> Engine:
    return replace(engine, fits=replace(engine.fits, tolerances=Tolerances(throw_phase=angle)))

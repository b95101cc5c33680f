"""Whether crankpins, webs, joints, hubs, yoke pins, rods, arms and stems bear their loads; a row for each kind."""

import numpy as np

from designs.evaluate import Evaluation
from designs.shown import said
from designs.verdict.row import Row, not_checked
from shafts.strength.parts import gap_of_slip
from shafts.strength.seats import PartSafety

KINDS = {
    "crankpin_strength": "safety of crankpins",
    "web_strength": "safety of crank webs",
    "joint_grip": "grip of joints in webs",
    "hub_grip": "grip of gears, wheels and counterweights on shafts",
    "yoke_pin_strength": "safety of yoke pins",
    "rod_strength": "safety of rods",
    "rod_buckling": "buckling load of rods over their push",
    "arm_strength": "safety of yoke arms",
    "stem_strength": "safety of stems",
    "stem_buckling": "buckling load of stems over their push",
}
SLIP = np.deg2rad(1.0)


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the row of the weakest part of each kind."""
    return [_row(evaluation, key, parts) for key, parts in evaluation.parts.items() if parts]


def _row(evaluation: Evaluation, key: str, parts: list[PartSafety]) -> Row:
    what = KINDS[key]
    unknown = ", ".join(dict.fromkeys(entry for part in parts for entry in part.unknown))
    words = f"give {unknown}" if unknown else ""
    seen = [part for part in parts if part.by]
    if not seen:
        return not_checked(key, what, words)
    # Of parts that are as strong but for rounding, as both sides often are, the first.
    weakest = min(seen, key=lambda part: float(f"{np.min(part.least):.9g}"))
    least = np.min(np.stack(np.broadcast_arrays(*(part.least for part in seen))), axis=0)
    value = np.min(least, axis=0)
    speed = evaluation.part_speeds[np.argmin(least, axis=0)]
    way = "" if weakest.weakest == "grip" else f": {weakest.weakest}"
    name, limit = f"{what}, {weakest.name}{way}", getattr(evaluation.design.limits, key)
    if key == "joint_grip" and np.any(value < limit):
        name += _slip(evaluation)
    return Row(key, name, value, limit, "", "at least", speed=speed, unlooked=words, where=weakest.name)


def _slip(evaluation: Evaluation) -> str:
    """Say what a slip does to the gap."""
    moved = max((gap_of_slip(pair, SLIP) for pair in evaluation.pairs), default=0.0)
    return f"; a slip of 1 degree moves the gap by {said(moved, 'm', '.2f')}" if moved else ""

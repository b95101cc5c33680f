"""Whether displacer and piston keep clear of each other and of the cylinder's ends, and whether dead volumes can be."""

import numpy as np

from balance.cycle.extremes import least
from balance.cylinder import AlongCylinder
from balance.machine.carried import Diaphragm
from balance.machine.machine import IsothermalGas
from designs.evaluate import Evaluation
from designs.shown import said
from designs.verdict.row import Row, not_checked

HELD = 0.5  # of a piston's length must stay within the cylinder (common practice, no source)


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the rows of what leaks past pistons, and along the cylinder for a machine with displacer and piston."""
    along, judged = evaluation.along_cylinder, _leaks(evaluation)
    if along is None:
        return judged
    judged += [_between(evaluation, along), _hot_end(evaluation, along)]
    if not isinstance(_piston(along), Diaphragm):
        judged.append(_held(evaluation, along))
    if isinstance(evaluation.design.gas, IsothermalGas):
        judged += _dead(evaluation, along)
    return judged


def _leaks(evaluation: Evaluation) -> list[Row]:
    """Return the row of the piston that leaks most; none where no piston, or none of a given size, runs in gas."""
    if not evaluation.leaks:
        return []
    name, share = max(evaluation.leaks.items(), key=lambda each: each[1])
    what = f"share of what the piston of {name} sweeps that leaks past it in a turn"
    return [Row("piston_leak", what, share, evaluation.design.limits.piston_leak, "", "at most",
                speed=evaluation.design.speed.rated, where=name)]  # fmt: skip


def _piston(along: AlongCylinder):
    return next(
        yoke.carries for yoke in along.machine.yokes.values() if yoke.carries and yoke.carries.kind != "displacer"
    )


def _heights(along: AlongCylinder) -> str:
    """Return what to give so that the heights of both are known."""
    missing = []
    for name, yoke in along.machine.yokes.items():
        if yoke.carries is not None and name not in [each.yoke for each in along.known]:
            keys = {"displacer": "stem_length and .length", "piston": "crown", "diaphragm": "crown and .clamp_diameter"}
            missing.append(f"yokes.{name}.carries.{keys[yoke.carries.kind]}")
    return "; ".join(missing)


def _between(evaluation: Evaluation, along: AlongCylinder) -> Row:
    key, what = "displacer_to_piston", f"clearance between displacer and {_piston(along).kind}"
    missing = _heights(along)
    if missing:
        return not_checked(key, what, f"give {missing}")
    what += f" ({said(float(least(along.between({}))[0]), 'm', '.3g')} on the drawing alone)"
    return _worst(evaluation, key, what, along.between)


def _hot_end(evaluation: Evaluation, along: AlongCylinder) -> Row:
    key, what = "displacer_to_hot_end", "clearance between displacer and hot end"
    cylinder = along.machine.cylinder
    missing = _heights(along) if along.displacer is None else ""
    if cylinder is None or cylinder.length is None:
        length = "cylinder.length" if cylinder is not None else "cylinder.bore, .starts_at and .length"
        missing = "; ".join(each for each in (missing, length) if each)
        if along.displacer is not None and along.piston is not None:
            needed = along.needed_length(float(evaluation.design.limits.gap))
            missing += f"; {said(needed, 'm', '.4g')} is the least that holds them"
    if missing:
        return not_checked(key, what, f"give {missing}")
    return _worst(evaluation, key, what, along.to_hot_end)


def _held(evaluation: Evaluation, along: AlongCylinder) -> Row:
    key, what = "piston_in_cylinder", "length of the piston that stays within the cylinder"
    missing = "" if along.piston is not None else "yokes.*.carries.crown of the piston"
    if along.machine.cylinder is None:
        missing = "; ".join(each for each in (missing, "cylinder.bore and .starts_at") if each)
    if missing or along.piston is None:
        return not_checked(key, what, f"give {missing}")
    length = along.piston.body.rim - along.piston.body.low
    row = _worst(evaluation, key, what, along.held, HELD * length)
    if along.piston.body.taken:
        return Row(key, what, row.value, row.limit, "m", "at least", speed=row.speed, angle=row.angle,
                   unlooked=f"give {along.piston.body.taken}: a usual length is taken")  # fmt: skip
    return row


def _worst(evaluation: Evaluation, key: str, what: str, of, limit: float | None = None) -> Row:
    """Return the row of a distance over the turn at any speed that is looked at."""
    speeds = np.array(evaluation.running_speeds, dtype=float)
    values, angles = (np.stack(each, axis=-1) for each in zip(*(least(of(each)) for each in evaluation.rises(speeds)),
                                                              strict=True))  # fmt: skip
    index = np.unravel_index(np.argmin(values), values.shape)
    value, angle, speed = values[index], angles[index], speeds[index[0]]
    limit = float(evaluation.design.limits.gap) if limit is None else limit
    return Row(key, what, value, limit, "m", "at least", speed=speed, angle=angle)


def _dead(evaluation: Evaluation, along: AlongCylinder) -> list[Row]:
    gas = evaluation.design.gas
    assert isinstance(gas, IsothermalGas)
    known, judged = along.least_volumes(), []
    for name, key in (("hot", "dead_hot"), ("cold", "dead_cold"), ("regenerator", "dead_regenerator")):
        what = f"{name} dead volume beyond what the clearances alone hold"
        if name in known:
            change = f"the clearances alone hold {said(known[name], 'm^3', '.3g')}; gas.dead.{name} cannot be less"
            judged.append(Row(key, what, float(getattr(gas.dead, name)) - known[name], 0.0, "m^3", "at least", change))
        elif name != "cold" or not isinstance(_piston(along), Diaphragm):
            missing = _heights(along) or "cylinder.bore, .starts_at and .length"
            judged.append(not_checked(key, what, f"give {missing}"))
    return judged

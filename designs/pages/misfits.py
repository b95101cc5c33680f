"""What runs or sits in a fit and does not fit by the verdict, with the parts of it, to be marked where it is."""

from collections.abc import Collection, Iterator
from itertools import product

from balance.obstacles import Obstacle
from balance.outlines import ranges_meet
from designs.evaluate import Evaluation
from designs.shown import said
from designs.verdict.bearing_fits import bearings_of, clearances_left
from shafts.bearings.fit import Fit, in_seat, on_shaft
from shafts.clearance.held import tooth_joints
from shafts.clearance.joined import fit_joints, stem_joints
from shafts.pieces import diameters_in

Misfit = tuple[str, tuple[Obstacle, ...]]
"""How it does not fit, in words, and the parts of it that have a body."""


def misfits(evaluation: Evaluation, failing: Collection[str]) -> Iterator[Misfit]:
    """Yield every fit that fails of a single design, not the worst alone. failing : keys of the rows that fail."""
    for key, found in {"bearing_fit": _on_shafts, "bearing_seat": _in_seats, "internal_clearance": _left_in,
                       "running_fit": _in_bores, "stem_holes": _in_holes, "gear_mesh": _in_mesh}.items():  # fmt: skip
        if key in failing:
            yield from found(evaluation)


def _on_shafts(evaluation: Evaluation) -> Iterator[Misfit]:
    fits = {name: on_shaft(bearing, *diameters_in(shaft, bearing)) for name, shaft, bearing in bearings_of(evaluation)}
    yield from _of_bearings(evaluation, fits, "on the shaft", with_shaft=True)


def _in_seats(evaluation: Evaluation) -> Iterator[Misfit]:
    found = {name: in_seat(bearing) for name, _, bearing in bearings_of(evaluation)}
    fits = {name: fit for name, fit in found.items() if fit is not None}
    yield from _of_bearings(evaluation, fits, "in the seat", with_shaft=False)


def _of_bearings(evaluation: Evaluation, fits: dict[str, Fit], where: str, with_shaft: bool) -> Iterator[Misfit]:
    """Yield the bearings that do not fit, together where they do so alike, as on both sides."""
    alike: dict[str, list[str]] = {}
    for name, fit in fits.items():
        size, bound = (float(each) for each in fit.misfit)
        if size > bound:
            what = "play" if size == float(fit.most) else "interference"
            words = f"{said(size, 'm', '.3g')} of {what} {where}, at most {said(bound, 'm', '.3g')}"
            alike.setdefault(words, []).append(name)
    for words, names in alike.items():
        bearings = _named(evaluation, *names)
        shafts = [
            part
            for part, bearing in product(evaluation.shapes.parts, bearings if with_shaft else ())
            if part.kind == "shaft" and part.hand == bearing.hand and ranges_meet(part.z, bearing.z, 0.0)
        ]
        every = " and ".join([", ".join(names[:-1])] * (len(names) > 1) + names[-1:])
        yield f"{every}: {words}", (*bearings, *dict.fromkeys(shafts))


def _left_in(evaluation: Evaluation) -> Iterator[Misfit]:
    for name, _, most in clearances_left(bearings_of(evaluation)):
        if float(most) < 0:
            words = f"{name}: its fits take {said(-float(most), 'm', '.3g')} more than its internal clearance"
            yield words, _named(evaluation, name)


def _in_bores(evaluation: Evaluation) -> Iterator[Misfit]:
    for joint in fit_joints(evaluation.machine):
        for name, yoke in evaluation.machine.yokes.items():
            if joint.short > 0 and joint.what == f"{getattr(yoke.carries, 'kind', '')} of {name} in its bore":
                yield _too_wide(joint.what, joint.short), (*_carried(evaluation, name), *_named(evaluation, "cylinder"))


def _in_holes(evaluation: Evaluation) -> Iterator[Misfit]:
    yokes = evaluation.machine.yokes
    for joint, name, other in product(stem_joints(evaluation.machine), yokes, yokes):
        if joint.short > 0 and joint.what == f"stem of {name} and yoke {other}":
            yield (
                _too_wide(f"{joint.what}, in its hole", joint.short),
                _named(evaluation, f"stem of {name}", f"yoke {other}"),
            )
        elif joint.short > 0 and joint.what.startswith(f"stem of {name} and piston of {other}, "):
            yield joint.what, (*_named(evaluation, f"stem of {name}"), *_carried(evaluation, other))


def _too_wide(what: str, short: float) -> str:
    return f"{what}: too wide by {said(short, 'm', '.3g')}"


def _in_mesh(evaluation: Evaluation) -> Iterator[Misfit]:
    for joint in tooth_joints(evaluation.machine):
        if joint.short > 0 and joint.what == "backlash above what binds":
            gears = tuple(part for part in evaluation.shapes.parts if part.kind == "gear")
            yield f"the gears bind: {said(joint.short, 'm', '.3g')} of backlash are missing", gears


def _named(evaluation: Evaluation, *names: str) -> tuple[Obstacle, ...]:
    return tuple(part for part in evaluation.shapes.parts if part.name in names)


def _carried(evaluation: Evaluation, yoke: str) -> tuple[Obstacle, ...]:
    """Return what a yoke carries, as a body."""
    return tuple(part for part in evaluation.shapes.parts if part.kind == "carried" and part.follows[1] == yoke)

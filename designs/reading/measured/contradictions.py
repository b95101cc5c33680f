"""Readings that cannot be: each with the number that was expected instead."""

from collections.abc import Callable, Iterator, Sequence
from difflib import get_close_matches
from itertools import pairwise

import numpy as np

from balance.errors import Complaint
from balance.evidence.pendulum import longest_period, period, shortest_period
from balance.machine.yoke import Rod
from designs.design import Design
from designs.design.readings import Measured, RodFound, RodReadings, Scale
from designs.reading.measured.entries import BadEntry, entry_found
from designs.reading.measured.findings import gyration_of, two_edges_of

BEYOND = 1.25
"""Times its length between centres that a rod may reach at most, its ends included; common practice, no source."""


def contradictions(design: Design) -> Iterator[Complaint]:
    """Yield a complaint for each reading that no such machine could give, seen from the design."""
    measured = design.measured
    if measured is not None:
        for source in (_entries, _names, _rods, _others):
            yield from (each.under("measured") for each in source(design, measured))


def _entries(design: Design, measured: Measured) -> Iterator[Complaint]:
    for written, text in measured.entries.items():
        try:
            list(entry_found(design, written, text))
        except BadEntry as error:
            yield Complaint(("entries", written), error.read, error.allowed)


def _names(design: Design, measured: Measured) -> Iterator[Complaint]:
    for kind in ("rods", "yokes"):
        for name in getattr(measured, kind):
            yield from _unknown(name, list(design.yokes), (kind, name))
    for index, feeler in enumerate(measured.gap):
        for number, name in enumerate(feeler.yokes):
            yield from _unknown(name, list(design.yokes), ("gap", str(index), "yokes", str(number)))
        if feeler.yokes[0] == feeler.yokes[1]:
            yield Complaint(("gap", str(index), "yokes"), f"{feeler.yokes[0]} twice", "two yokes that face each other")
    for index, push in enumerate(measured.pushed):
        shaft = design.shafts.pair[("right", "left").index(push.on)]
        known = [*design.cranks.throws, *(f"bearing {number + 1}" for number in range(len(shaft.bearings)))]
        yield from _unknown(push.at, known, ("pushed", str(index), "at"))


def _unknown(name: str, known: list[str], where: tuple[str, ...]) -> Iterator[Complaint]:
    if name not in known:
        near = get_close_matches(name, known, 1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        yield Complaint(where, repr(name), ", ".join(known) + hint)


def _rods(design: Design, measured: Measured) -> Iterator[Complaint]:
    for name, each in measured.rods.items():
        yoke = design.yokes.get(name)
        if yoke is not None and yoke.rod is None:
            yield Complaint(("rods", name), "a rod", f"nothing: the {name} yoke has a slot")
        elif yoke is not None and yoke.rod is not None:
            for hand, side in {"": each, **each.hands}.items():
                where = ("rods", name, hand) if hand else ("rods", name)
                yield from (complaint.under(*where) for way in WAYS for complaint in way(side, yoke.rod))
            yield from (complaint.under("rods", name) for complaint in _together(each, measured.scale))


def _together(rods: RodFound, scale: Scale) -> Iterator[Complaint]:
    """Yield what does not fit together of the readings of a rod, those of both rods with those of each."""
    for hand, (readings, own) in rods.sides.items():
        for complaint in readings.weighed_on(scale).faults():
            if complaint.where[0] in (*own, "mass"):  # else it is said of the other side
                yield complaint.under(hand) if hand else complaint


def _hung_on_one_edge(readings: RodReadings, rod: Rod) -> Iterator[Complaint]:
    if readings.swings is None:
        return
    arm, reach = readings.swings.hung_at.value, BEYOND * float(rod.length)
    if arm > reach:
        yield Complaint(
            ("swings", "hung_at"), f"{arm * 1e3:.1f} mm", f"less than the rod's own reach of {reach * 1e3:.0f} mm"
        )
        return
    swing = period(readings.swings.times, readings.swings.number, readings.swings.amplitude)
    yield from _between(
        ("swings", "times"), swing.value, readings.swings.number, shortest_period(arm), longest_period(arm, reach / 2)
    )


def _between(where: tuple[str, ...], value: float, number: int, low: float, high: float) -> Iterator[Complaint]:
    """Yield a complaint for a swing that no body of that size has."""
    if not low < value < high:
        fault = "shorter than a point's" if value <= low else "longer than any body's of that size"
        read = f"{value * number:.2f} s for {number} swings, {value:.4f} s each, {fault}"
        yield Complaint(where, read, f"{low * number:.2f} to {high * number:.2f} s for {number} swings so hung")


def _hung_on_two_edges(readings: RodReadings, rod: Rod) -> Iterator[Complaint]:
    edges = readings.two_edges
    if edges is None:
        return
    length, apart = float(rod.length), edges.apart.value
    if not 0.75 * length < apart < BEYOND * length:
        allowed = f"about the rod's length of {length * 1e3:.1f} mm and both bores' radii"
        yield Complaint(("two_edges", "apart"), f"{apart * 1e3:.1f} mm", allowed)
        return
    result = two_edges_of(readings)
    if not 0 < result.arm.value < apart or result.gyration.value == 0:
        low, high = (each_of(apart / 2) for each_of in (shortest_period, lambda arm: longest_period(arm, apart / 2)))
        read = f"a mass centre at {result.arm.value * 1e3:.1f} mm of {apart * 1e3:.1f} mm, or no size at all"
        yield Complaint(("two_edges", "from_crankpin"), read, f"swings of about {low:.3f} to {high:.3f} s each")


def _hung_on_strings(readings: RodReadings, rod: Rod) -> Iterator[Complaint]:
    hung = readings.two_strings
    if hung is None:
        return
    gyration, reach = gyration_of(readings).value, BEYOND * float(rod.length) / 2
    if gyration > reach:
        swing = period(hung.times, hung.number).value
        read = f"{swing:.3f} s a swing, so a radius of gyration of {gyration * 1e3:.1f} mm"
        most = swing * reach / gyration
        yield Complaint(("two_strings", "times"), read, f"less than {most:.3f} s a swing for a rod of that length")


WAYS: Sequence[Callable[[RodReadings, Rod], Iterator[Complaint]]] = (
    _hung_on_one_edge, _hung_on_two_edges, _hung_on_strings,
)  # fmt: skip


def _others(design: Design, measured: Measured) -> Iterator[Complaint]:
    if measured.backlash is not None and design.cranks.gears is None:
        yield Complaint(("backlash",), "backlash", "nothing, or cranks.gears beside it")
    if measured.flywheel is not None and design.flywheel is None:
        yield Complaint(("flywheel",), "a flywheel", "nothing, or flywheel beside it")
    if measured.tapped and (design.mount is None or design.mount.feet is None):
        yield Complaint(("tapped",), "a tap", "nothing, or mount.feet beside it")
    yield from _taps_that_rise(measured)
    crank = measured.cranks
    for hand in ("right", "left"):
        swung = None if crank is None else getattr(getattr(crank, hand), "swung", None)
        if swung is not None:
            bare, weighted = (float(np.mean(each)) for each in (swung.times, swung.times_with))
            if bare == weighted:
                where = ("cranks", hand, "swung", "times_with")
                yield Complaint(where, f"{weighted:g} s, as without the mass", "a time that differs: another radius")


def _taps_that_rise(measured: Measured) -> Iterator[Complaint]:
    taps = sorted(enumerate(measured.tapped), key=lambda each: (each[1].along, each[1].added))
    for (_, lighter), (index, heavier) in pairwise(taps):
        if (
            lighter.along == heavier.along
            and heavier.added > lighter.added
            and heavier.frequency.value >= lighter.frequency.value
        ):
            read = f"{heavier.frequency.value:.2f} Hz with {heavier.added * 1e3:g} g added"
            allowed = (
                f"less than the {lighter.frequency.value:.2f} Hz with {lighter.added * 1e3:g} g: more mass rings lower"
            )
            yield Complaint(("tapped", str(index), "frequency"), read, allowed)

"""From readings to what they say of a design's entries, beside what is drawn."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from balance.case.body import AXES
from balance.case.ringing import STIFFNESS, ringing, stiffness_by_ringing
from balance.evidence import dial, pendulum, scales, strings, tapped, unbalance
from balance.evidence.estimate import APART, Estimate, distance
from balance.many import unchecked
from balance.turning import added_masses, turning_masses
from designs.design import Design
from designs.design.readings import INERTIA, CrankFound, Measured, RodReadings, Tap
from designs.reading.measured.entries import entry_found

Path = tuple[str, ...]


@dataclass(frozen=True)
class Finding:
    """One quantity as it was found, beside the drawing's.

    key, what : for JSON and for people.   drawn : of the design as its file draws it, SI; None if it does not say.
    how : from which readings, and what was assumed.   unit : SI unit, of the table's kinds.
    plants : entries of the design that it takes the place of, each with its own value; none if it is compared only.
    used : whether the design is worked out with it.
    """

    key: str
    what: str
    drawn: float | None
    found: Estimate
    unit: str
    how: str
    plants: tuple[tuple[Path, Estimate], ...] = ()
    used: bool = False

    @property
    def apart(self) -> float | None:
        """How many standard deviations of the finding lie between it and the drawing; None where nothing is drawn."""
        return None if self.drawn is None else distance(self.found, Estimate(self.drawn))

    @property
    def disagrees(self) -> bool:
        """Whether the drawing lies outside the finding's own doubt."""
        return self.apart is not None and self.apart > APART


def findings(design: Design) -> list[Finding]:
    """Return all that readings say of entries of a design as drawn, used or not."""
    measured = design.measured
    return [] if measured is None else [finding for source in SOURCES for finding in source(design, measured)]


def _entries(design: Design, measured: Measured) -> Iterator[Finding]:
    for written, text in measured.entries.items():
        for path, drawn, estimate, unit in entry_found(design, written, text):
            name = ".".join(path)
            yield Finding(name, name, drawn, estimate, unit, "as written under entries", ((path, estimate),))


def _rods(design: Design, measured: Measured) -> Iterator[Finding]:
    for name, both in measured.rods.items():
        for hand, (each, own) in both.sides.items():
            every = _rod(design, name, hand, each.weighed_on(measured.scale), measured)
            yield from (finding for finding in every if not RESTS_ON[finding.plants[0][0][-1]].isdisjoint(own))


RESTS_ON = {
    "length": {"between_centres"}, "left_length": {"between_centres"}, "mass": {"mass"},
    "cg": {"small_end_on_scale", "big_end_on_scale", "two_edges"}, "inertia": set(INERTIA),
}  # fmt: skip
"""The readings of a rod by which an entry is found; what else goes into it may be of both rods, or of each."""


def _rod(design: Design, name: str, hand: str, readings: RodReadings, measured: Measured) -> Iterator[Finding]:
    """Yield what is found of one rod, or of both, of a yoke: the left one's masses and length are its own."""
    rod, of = design.yokes[name].rod, f"of {f'the {hand}' if hand else 'a'} rod of the {name}"
    assert rod is not None
    at: Path = ("yokes", name, "rod")
    is_left = hand == "left"
    masses, within = (rod.left or rod, (*at, "left")) if is_left else (rod, at)
    length, key = (rod.left_length or rod.length, "left_length") if is_left else (rod.length, "length")
    span = readings.between_centres or Estimate(float(length))
    if readings.between_centres is not None:
        yield _one(length, readings.between_centres, f"length {of}", "between centres", (*at, key))
    mass = readings.mass and scales.weighed(readings.mass, measured.scale.gain / 2)
    if mass is not None:
        yield _one(masses.mass, mass, f"mass {of}", "scale", (*within, "mass"))
    centre, how = _centre(readings, span)
    if centre is not None:
        how += "" if readings.between_centres is not None else ", length as drawn"
        yield _one(masses.cg, centre, f"mass centre {of}, from the crankpin", how, (*within, "cg"))
    inertia, how = _inertia(readings, mass)
    if inertia is not None:
        yield _one(masses.inertia, inertia, f"moment of inertia {of}", how, (*within, "inertia"))


def _one(drawn: object, estimate: Estimate, what: str, how: str, path: Path) -> Finding:
    """Return the finding of a single entry."""
    name = "_".join(path)
    value = None if drawn is None else float(drawn)  # type: ignore[arg-type]
    return Finding(name, what, value, estimate, _unit_at(path), how, ((path, estimate),))


def _unit_at(path: Path) -> str:
    return UNITS[path[-1]]


UNITS = {
    "length": "m", "left_length": "m", "across": "N/m", "along_shafts": "N/m",
    "cg": "m", "backlash": "m", "mass": "kg", "inertia": "kg m^2", "damping_ratio": "",
    "stiffness": "N/m",
}  # fmt: skip


def _centre(readings: RodReadings, span: Estimate) -> tuple[Estimate | None, str]:
    """Return a rod's mass centre by the better of the ways that the readings allow."""
    small, big, mass = readings.small_end_on_scale, readings.big_end_on_scale, readings.mass
    if small is not None and big is not None:
        return scales.centre_by_both_ends(small, big, span), "both ends on the scale"
    if small is not None and mass is not None:
        return scales.centre_by_one_end(small, mass, span), "small end on the scale, and the mass"
    if big is not None and mass is not None:
        from_yoke_pin = scales.centre_by_one_end(big, mass, span)
        return Estimate(span.value - from_yoke_pin.value, from_yoke_pin.sd), "big end on the scale, and the mass"
    if readings.two_edges is not None:
        edges = two_edges_of(readings)
        return edges.arm, f"two knife edges, the bore's radius counted in; condition {edges.condition:.1f}"
    return None, ""


def two_edges_of(readings: RodReadings) -> pendulum.TwoEdges:
    """Return what a rod's swings on two knife edges tell."""
    edges = readings.two_edges
    assert edges is not None
    first, second = (
        pendulum.period(times, edges.number, edges.amplitude) for times in (edges.from_crankpin, edges.from_yoke_pin)
    )
    return pendulum.two_edges(first, second, edges.apart)


def _inertia(readings: RodReadings, mass: Estimate | None) -> tuple[Estimate | None, str]:
    if mass is None:
        return None, ""
    if readings.swings is not None:
        swing = pendulum.period(readings.swings.times, readings.swings.number, readings.swings.amplitude)
        return pendulum.inertia_by_one_edge(mass, readings.swings.hung_at, swing), "swung on one knife edge"
    if readings.two_edges is not None:
        return two_edges_of(readings).inertia(mass), "swung on two knife edges"
    if readings.two_strings is not None:
        return strings.inertia_of(mass, gyration_of(readings)), "hung on two strings"
    return None, ""


def gyration_of(readings: RodReadings) -> Estimate:
    """Return a rod's radius of gyration from its swings on two strings, m."""
    hung = readings.two_strings
    assert hung is not None
    return strings.gyration_by_two_strings(pendulum.period(hung.times, hung.number), hung.strings, *hung.apart)


def _yokes(design: Design, measured: Measured) -> Iterator[Finding]:
    for name, each in measured.yokes.items():
        parts, drawn = design.yokes[name].parts, float(design.yokes[name].mass)
        mass = scales.weighed(measured.scale.read(each.mass), measured.scale.gain / 2)
        shares = {part: float(one.mass) / drawn if drawn else 1 / len(parts) for part, one in parts.items()}
        plants = tuple((("yokes", name, "parts", part, "mass"), mass.times(share)) for part, share in shares.items())
        how = "scale" if len(parts) == 1 else "scale; each part scaled alike"
        yield Finding(f"yokes_{name}_mass", f"mass of the {name} yoke and its parts", drawn, mass, "kg", how, plants)


def _cranks(design: Design, measured: Measured) -> Iterator[Finding]:
    """Unbalance of bare cranks: which web it is of is not told, so it takes no entry's place."""
    if measured.cranks is None:
        return
    for hand in ("right", "left"):
        each = getattr(measured.cranks, hand)
        if each is not None:
            drawn = added_masses(turning_masses(design, hand))
            for axis, estimate, of in zip(
                "xy", _unbalance(each, measured), (drawn.crank_x, drawn.crank_y), strict=True
            ):
                what, key = f"unbalance {axis} of the bare {hand} crank", f"cranks_{hand}_unbalance_{axis}"
                yield Finding(key, what, float(of), estimate, "kg m", _way(each))


def _way(crank: CrankFound) -> str:
    way = "on the scale" if crank.on_scale else "rolled on rails" if crank.rolled else "swung in its bearings"
    return f"{way}; which web it comes from is not told"


def _unbalance(crank: CrankFound, measured: Measured) -> tuple[Estimate, Estimate]:
    scale = measured.scale
    if crank.on_scale is not None:
        laid = crank.on_scale
        return unbalance.on_scale(laid.at, [*map(scale.read, laid.readings)], laid.arm, scale.gain / 2).components
    if crank.rolled is not None:
        low, high = map(scale.read, crank.rolled.just_moves)
        return unbalance.pointing(unbalance.rolled((low, high), crank.rolled.radius), crank.rolled.hangs_at)
    swung = crank.swung
    assert swung is not None
    bare, weighted = (pendulum.period(times, swung.number) for times in (swung.times, swung.times_with))
    return unbalance.pointing(unbalance.swung(bare, weighted, swung.added, swung.radius).unbalance, swung.hangs_at)


def _flywheel(design: Design, measured: Measured) -> Iterator[Finding]:
    if measured.flywheel is None or design.flywheel is None:
        return
    hung, scale = measured.flywheel.three_strings, measured.scale
    wheel, plate = (scales.weighed(scale.read(each), scale.gain / 2) for each in (hung.mass, hung.plate))
    loaded, empty = (pendulum.period(times, hung.number) for times in (hung.times, hung.times_empty))
    inertia = strings.ThreeStrings(hung.strings, hung.radius).on_plate(wheel, loaded, plate, empty)
    how = "hung on three strings, the plate's own taken off"
    yield _one(design.flywheel.inertia, inertia, "moment of inertia of the flywheel", how, ("flywheel", "inertia"))
    if design.flywheel.mass:
        yield _one(design.flywheel.mass, wheel, "mass of the flywheel", "scale", ("flywheel", "mass"))


def _backlash(design: Design, measured: Measured) -> Iterator[Finding]:
    laid, gears = measured.backlash, design.cranks.gears
    if laid is None or gears is None:
        return
    result = dial.backlash(laid.readings, laid.radius, float(gears.pitch_radius), laid.dial / 2)
    how = "dial, one gear locked"
    if len(laid.readings) >= 4:
        how += f"; it changes by {result.eccentric * 1e3:.3f} mm to each side over a turn: the gears are that eccentric"
    yield _one(gears.backlash, result.backlash, "backlash", how, ("cranks", "gears", "backlash"))


def _taps(design: Design, measured: Measured) -> Iterator[Finding]:
    """Feet by tapping: with a known mass added if there are two taps, else with the mass that is known otherwise."""
    if design.mount is None or design.mount.feet is None:
        return
    for axis in AXES:
        taps = sorted((each for each in measured.tapped if each.along == axis), key=lambda each: each.added)
        if taps and (axis == "y" or not design.mount.turns):
            yield from _straight(design, axis, taps)
        elif taps:
            yield from _rocking(design, axis, taps[0])


def _straight(design: Design, axis: str, taps: list[Tap]) -> Iterator[Finding]:
    """Yield what taps along an axis say of a case that shifts without rocking."""
    mount, (bare, *others) = design.mount, taps
    assert mount is not None and mount.feet is not None
    drawn = float(mount.feet.viscous)
    ratio = Estimate(drawn)
    if bare.decay is not None:
        ratio = _damping(bare)
        feet = ("mount", "feet", "damping_ratio")
        if axis == "y":
            yield _one(drawn, ratio, "damping ratio of the feet", "how a tap dies away", feet)
    one = tapped.undamped(bare.frequency, ratio)
    own = tapped.stiffness_of(one, Estimate(float(mount.mass) + bare.phone + bare.added))
    stiffness, how = own, "tapped, mass as drawn"
    if others and others[-1].added > bare.added:
        two = tapped.undamped(others[-1].frequency, ratio)
        both = tapped.by_added_mass(one, two, Estimate(others[-1].added - bare.added))
        stiffness, how = both.stiffness, "tapped without and with a known mass"
        mass = Estimate(both.mass.value - bare.phone - bare.added, both.mass.sd)
        key = "mount_mass" if axis == "y" else f"mount_mass_{axis}"
        yield Finding(key, "mass of the engine", float(mount.mass), mass, "kg", f"{how}; a scale knows better")
    yield _of_feet(design, axis, stiffness, how)


def _damping(tap: Tap) -> Estimate:
    """Return the damping ratio that a tap's decay shows."""
    assert tap.decay is not None
    ratio = tapped.damping_ratio(tapped.decrement(tap.decay.peaks))
    if len(tap.decay.peaks) == 2:  # no scatter to go by: a tenth is what repeats differ by, common practice
        return replace(ratio, sd=ratio.value / 10)
    return ratio


def _of_feet(design: Design, axis: str, stiffness: Estimate, how: str) -> Finding:
    """Return the stiffness of the feet along an axis; of rubber, whose size gives it, it takes no entry's place."""
    assert design.mount is not None and design.mount.feet is not None
    feet = design.mount.feet
    what = f"stiffness of all feet, moving{WAYS[axis]}"
    drawn, path = float(feet.stiffnesses[AXES.index(axis)]), ("mount", "feet", STIFFNESS[axis])
    if feet.rubber is not None:
        return Finding("_".join(path), what, drawn, stiffness, "N/m", f"{how}; the drawing's is by the buffers' size")
    return _one(drawn, stiffness, what, how, path)


def _rocking(design: Design, axis: str, tap: Tap) -> Iterator[Finding]:
    """Yield what a tap across or along the shafts says of a case that rocks as it shifts: by its modes."""
    mount = design.mount
    assert mount is not None
    loaded = unchecked(mount, {"mass": mount.mass + tap.phone + tap.added})
    expected = ringing(loaded, design.gravity, axis)
    ratio = Estimate(0.0 if expected is None else expected[1]) if tap.decay is None else _damping(tap)
    heard = tapped.undamped(tap.frequency, ratio)
    stiffness = None if expected is None else stiffness_by_ringing(loaded, design.gravity, axis, heard)
    if expected is None or stiffness is None:
        how = "as tapped; the case shifts and rocks in two modes, and which of them rang is not told"
        yield Finding(f"ringing_{axis}", f"ringing of the case{WAYS[axis]}", None, tap.frequency, "Hz", how)
        return
    if tap.decay is not None:
        how = "how a tap dies away; each direction has its own"
        yield Finding(f"damping_{axis}", f"damping of the case{WAYS[axis]}", expected[1], ratio, "", how)
    yield _of_feet(design, axis, stiffness, "tapped; with the case rocking on its feet as placed")


WAYS = {"x": " across the shafts", "y": "", "z": " along the shafts"}


SOURCES: tuple[Callable[[Design, Measured], Iterator[Finding]], ...] = (
    _entries, _rods, _yokes, _cranks, _flywheel, _backlash, _taps,
)  # fmt: skip
"""Where findings come from, in the order in which they are shown."""

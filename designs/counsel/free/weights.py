"""Counterweights: fitted or not, plate, reach, planes, place, aim, screws, and trims on the yokes."""

from collections.abc import Iterator

import numpy as np

from balance.machine.counterweights import Counterweights, OutlineShape, Screws, Trim
from balance.machine.materials import MATERIALS
from balance.machine.threads import THREADS
from balance.machine.yoke import Yoke
from balance.weights.carrier import could_be
from designs.changing.edit import Edit, edited, rounded, text
from designs.changing.groups import HUB
from designs.counsel.dial import Dial, Level, Work, fixed
from designs.counsel.free.shafts import seat_diameter
from designs.counsel.free.stepped import weight_pieces
from designs.design import Design
from designs.design.stock import Stock

SHIFTS = (1, 2, 3, 4, 5, 6, 8)  # steps of a plane's place
REACHES = (1, 2, 3, 4, 6, 8, 10)  # half millimetres of the largest radius
APART = 1e-3  # m between mirrored weights that meet, and between a weight and a crankpin
ROD = 4e-3  # m, thickness of a rod where it is not given; common practice, no source
CLEAR = 0.5e-3  # m between a weight and a rod, along the shafts
THREAD = (3e-3, 4e-3, 5e-3, 6e-3, 8e-3, 10e-3, 12e-3, 16e-3)  # m, of thread in what holds the screws
BESIDE = ("counterweight_own", "clearance_weights")  # limits of what a weight must clear, which only a whole look sees
SHORTER = (0.5e-3, 1e-3, 1.5e-3, 2e-3, 3e-3, 4e-3, 6e-3, 8e-3)  # m of thread less
ON_WEB = 0.05e-3  # m beyond a web's round end, where a weight lies on it
SCREWS = Screws(size="M3", number=2, arrangement="tension", engagement=3e-3)
"""Those of new weights: from outside through the weight, along its radius; common practice, no source."""
BESIDE_SCREW = 2.0  # times as thick as its screw a plate is, at least: half of it on either side is metal
REACH = ("counterweights", "largest_radius")
DEAR = ("tungsten-alloy",)
TRIMS = (0.01, 0.02, 0.03, 0.05, 0.07, 0.1, 0.15)  # kg

Way = tuple[tuple[Edit, ...], str]
"""Edits, and what they make of a counterweight in words."""


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield what may be done about counterweights; for a design that describes none, counterweights to describe."""
    weights = design.counterweights
    if weights is None:
        yield _new(design, stock)
        return
    if not weights.fitted:
        yield _fitted(design, weights, stock)
    yield _plates(weights, stock)
    if not isinstance(weights.shape, OutlineShape):
        yield _reach(design, weights)
    yield from _planes(design, weights, stock)
    yield from _screws(weights, stock)
    yield from _bolt_circle(weights)
    yield from _from_outside(design, weights, stock)
    yield from _seat(design, weights)
    for name in design.yokes:
        yield _trim(name, weights)


def _fitted(design: Design, weights: Counterweights, stock: Stock) -> Dial:
    """Those proposed; and larger ones, as these fail where their plate is too small for all that is wanted of them.

    Farther out first, then of a heavier plate, then both; of a dear metal last.
    """
    fit, heft = Edit(("counterweights", "fitted"), True), _heft(weights.material.name, float(weights.thickness))
    farther = [] if isinstance(weights.shape, OutlineShape) else sorted(
        each for each in _reaches(design, weights) if each > float(weights.largest_radius))  # fmt: skip
    heavier = sorted((each for each in _sold(weights, stock) if _heft(*each) > heft), key=lambda each: _heft(*each))
    reaches: list[Way] = [((Edit(REACH, each),), f", reaching {text(each, 'm')}") for each in farther]
    ways: list[Way] = [((), ""), *reaches]
    for dear in (False, True):
        plates: list[Way] = [(_plate(weights, *each), f", of {_plate_named(*each)}") for each in heavier
                             if (each[0] in DEAR) is dear]  # fmt: skip
        ways += plates
        ways += [((*one, *other), word + far) for one, word in plates for other, far in reaches[-1:]]
    levels = [Level(_clear_of_rods(fit, *edits), f"fitted{words}", _work(weights)) for edits, words in ways]
    return Dial("counterweights", "counterweights", ("counterweights.fitted",), "only proposed", levels, BESIDE)


def _heft(name: str, thickness: float) -> float:
    """Return the mass of a plate per area, kg/m^2."""
    return float(MATERIALS[name].density) * thickness


def _work(weights: Counterweights, planes: int = 0) -> Work:
    return Work(make=weight_pieces(planes or len(weights.planes)))


def _plates(weights: Counterweights, stock: Stock) -> Dial:
    """Material and thickness together."""
    now = (weights.material.name, float(weights.thickness))
    found = _sold(weights, stock)
    found.sort(key=lambda each: (each[0] != now[0], abs(each[1] - now[1]), each[0]))
    levels = [Level(_clear_of_rods(*_plate(weights, *each)), _plate_named(*each), _work(weights)) for each in found]
    paths = ("counterweights.material", "counterweights.thickness")
    return Dial("plate of the counterweights", "counterweights", paths, _plate_named(*now), levels,
                (*BESIDE, "weight_screws", "axial_room"))  # fmt: skip


def _sold(weights: Counterweights, stock: Stock) -> list[tuple[str, float]]:
    """Return the other plates that are sold and heavy enough: material and thickness, m."""
    assert stock.plates is not None
    now = (weights.material.name, float(weights.thickness))
    return [(name, float(each)) for name, thicknesses in stock.plates.items() if name in MATERIALS
            for each in thicknesses if (name, float(each)) != now and name != "aluminium"]  # fmt: skip


def _clear_of_rods(*edits: Edit):
    """Return edits after which no weight stands in a rod's plane that it did not stand in before; else none."""

    def of(design: Design) -> tuple[Edit, ...]:
        after = _overlap(edited(design, edits))
        return edits if after <= _overlap(design) + 1e-9 else ()

    return of


def _overlap(design: Design) -> float:
    """Return by how much weights and rods overlap along the shafts at the most, m."""
    weights = design.counterweights
    assert weights is not None
    worst = 0.0
    for yoke in design.yokes.values():
        at = float(design.throw_of(yoke).at)
        thick = _rod_thickness(yoke)
        worst = max(
            worst, *((thick + float(weights.thickness)) / 2 + CLEAR - abs(at - float(z)) for z in weights.planes)
        )
    return worst


def _plate(weights: Counterweights, name: str, thickness: float) -> tuple[Edit, ...]:
    edits = [Edit(("counterweights", "thickness"), thickness)]
    if name != weights.material.name:
        edits.insert(0, Edit(("counterweights", "material"), MATERIALS[name]))
    return tuple(edits)


def _plate_named(name: str, thickness: float) -> str:
    return f"{name} {text(thickness, 'm')}"


def _reach(design: Design, weights: Counterweights) -> Dial:
    """Farther out up to where mirrored weights would meet, or less far."""
    values = _reaches(design, weights)
    levels = [Level(fixed(Edit(REACH, each)), text(each, "m"), _work(weights)) for each in values]
    return Dial("reach of the counterweights", "counterweights", (".".join(REACH),),
                text(float(weights.largest_radius), "m"), levels, ("clearance_weights",))  # fmt: skip


def _reaches(design: Design, weights: Counterweights) -> list[float]:
    """Return other largest radii, m, by turns larger and smaller; of weights that meet, from where they do not."""
    now, least = float(weights.largest_radius), float(weights.smallest_radius) + 2e-3
    most = float(design.cranks.centre_distance) / 2 - APART / 2
    step = 0.5e-3
    start = now if now <= most else step * np.floor(most / step + 1e-6)
    values = dict.fromkeys(rounded(start + sign * count * step, step) for count in (0, *REACHES) for sign in (1, -1))
    return [each for each in values if least <= each <= most and each != rounded(now, step)]


def _planes(design: Design, weights: Counterweights, stock: Stock) -> Iterator[Dial]:
    assert stock.steps is not None
    places, step = tuple(float(each) for each in weights.planes), float(stock.steps.place)
    many = len(places) > 1
    keys = ("counterweights", "at")
    second = list(_second_planes(design, weights, places))
    levels = [Level(_clear_of_rods(Edit(keys, pair), *_carried_too(design, weights, pair[1])), text(pair, "m"),
                    _work(weights, 2)) for pair in second]  # fmt: skip
    for number, at in enumerate(places):
        for count in SHIFTS:
            for sign in (1, -1):
                moved = tuple(rounded(at + sign * count * step, step / 2) if n == number else each
                              for n, each in enumerate(places))  # fmt: skip
                value = moved if many else moved[0]
                levels.append(Level(_clear_of_rods(Edit(keys, value)), text(value, "m"), _work(weights)))
    for number, at in enumerate(places):
        for each in _carried_places(design, weights, at, step / 2):
            moved = tuple(each if n == number else other for n, other in enumerate(places))
            value = moved if many else moved[0]
            levels.append(Level(_clear_of_rods(Edit(keys, value)), text(value, "m"), _work(weights)))
    yield Dial("place of the counterweights", "counterweights", ("counterweights.at",),
               text(places if many else places[0], "m"), levels, ("on_shaft", "axial_room", *BESIDE))  # fmt: skip


def _carried_places(design: Design, weights: Counterweights, at: float, step: float) -> Iterator[float]:
    """Yield the nearest places at which something carries a plate, where it stands farther off than single steps go."""
    for low, high in could_be(weights, design.cranks, design.shafts.ends).values():
        near = float(np.clip(at, low + step, high - step))
        if abs(near - at) > SHIFTS[-1] * 2 * step:
            yield rounded(near, step)


def _second_planes(design: Design, weights: Counterweights, places: tuple[float, ...]) -> Iterator[tuple[float, float]]:
    """Yield places with a second plane: beyond the outermost crankpin of each end, and at each web off the first."""
    if len(places) > 1:
        return
    throws, half = design.cranks.throws.values(), float(weights.thickness) / 2
    ends = [(float(each.at), 0.0 if each.pin is None else float(each.pin.length) / 2) for each in throws]
    beyond = [min(at - pin for at, pin in ends) - half - APART, max(at + pin for at, pin in ends) + half + APART]
    beside = [float(design.throw_of(yoke).at) + sign * (half + _rod_thickness(yoke) / 2 + CLEAR)
              for yoke in design.yokes.values() for sign in (-1, 1)]  # fmt: skip
    ranges = could_be(weights, design.cranks, design.shafts.ends)
    on_pins = [at for at in beside for name, (low, high) in ranges.items() if "pin" in name and low <= at <= high]
    found = (rounded(at, 0.5e-3) for at in (*(float(web.at) for web in design.cranks.webs), *on_pins, *beyond))
    for each in dict.fromkeys(found):
        if abs(each - places[0]) > 2 * half:
            yield (places[0], each)


def _carried_too(design: Design, weights: Counterweights, at: float) -> tuple[Edit, ...]:
    """Return what then carries the weights of each plane, where it is given for the first: what is nearest to it."""
    if not isinstance(weights.on, str):
        return ()
    ranges = could_be(weights, design.cranks, design.shafts.ends)
    there = {name: abs(at - (low + high) / 2) for name, (low, high) in ranges.items() if low <= at <= high}
    if not there:
        return ()
    name = min(there, key=there.__getitem__)
    named = "shaft" if name == "the shaft" else "pin" if "pin" in name else name
    return (Edit(("counterweights", "on"), (weights.on, named)),)


def _rod_thickness(yoke: Yoke) -> float:
    return ROD if yoke.rod is None or yoke.rod.thickness is None else float(yoke.rod.thickness)


def _screws(weights: Counterweights, stock: Stock) -> Iterator[Dial]:
    """More screws or thicker ones, where screws are given."""
    if weights.screws is None or stock.screws is None:
        return
    own = weights.screws
    sizes = [each for each in stock.screws if THREADS.get(each, (0.0,))[0] >= THREADS[own.size][0]]
    found = [(size, number) for number in (own.number, 2, 3, 4) for size in sizes if number >= own.number]
    found = [each for each in dict.fromkeys(found) if each != (own.size, own.number)]
    sets = _screwed_on(weights)
    levels = [Level(_screwed(size, number), f"{number} x {size}", Work(buy=(("screw", sets * number),)))
              for size, number in found]  # fmt: skip
    paths = ("counterweights.screws.size", "counterweights.screws.number")
    yield Dial("screws of the counterweights", "counterweights", paths, f"{own.number} x {own.size}", levels)
    yield from _deeper(weights)


def _screwed_on(weights: Counterweights) -> int:
    """Return how many counterweights are screwed on: what a crankpin carries is held by its joint."""
    carriers = weights.on if isinstance(weights.on, tuple) else (weights.on,) * len(weights.planes)
    return 2 * sum(each != "pin" for each in carriers)


def _deeper(weights: Counterweights) -> Iterator[Dial]:
    """Longer thread in what holds the screws, or shorter: so that they stay clear of the hole behind it."""
    assert weights.screws is not None
    if weights.screws.engagement is None:
        return
    keys, now = ("counterweights", "screws", "engagement"), float(weights.screws.engagement)
    work = Work(buy=(("screw", _screwed_on(weights) * weights.screws.number),))
    lengths = [each for each in THREAD if now < each <= max(3 * now, 6e-3)]
    levels = [Level(fixed(Edit(keys, each)), text(each, "m"), work) for each in lengths]
    yield Dial("thread of the counterweights' screws", "counterweights", (".".join(keys),), text(now, "m"), levels)
    least = max(now / 3, THREADS[weights.screws.size][0] * 0.5e-3)
    lengths = [each for cut in SHORTER if least <= (each := rounded(now - cut, SHORTER[0])) < now]
    levels = [Level(fixed(Edit(keys, each)), text(each, "m"), work) for each in lengths]
    yield Dial("shorter thread of the counterweights' screws", "counterweights", (".".join(keys),), text(now, "m"),
               levels, ("weight_screws",))  # fmt: skip


def _bolt_circle(weights: Counterweights) -> Iterator[Dial]:
    """Holes nearer to the shaft or farther out, by half millimetres."""
    bolts = getattr(weights.shape, "bolts", None)
    if bolts is None:
        return
    keys, now = ("counterweights", "shape", "bolts", "radius"), float(bolts.radius)
    half = float(bolts.diameter) / 2
    least, most = float(weights.smallest_radius) + half, float(weights.largest_radius) - half
    radii = [rounded(now + sign * count * 0.5e-3, 0.5e-3) for count in REACHES for sign in (-1, 1)]
    levels = [Level(_circled(each), text(each, "m"), _work(weights)) for each in radii if least < each < most]
    yield Dial("bolt circle of the counterweights", "counterweights", (".".join(keys),), text(now, "m"), levels)


def _circled(radius: float):
    def edits(design: Design) -> tuple[Edit, ...]:
        there = getattr(getattr(design.counterweights, "shape", None), "bolts", None) is not None
        return (Edit(("counterweights", "shape", "bolts", "radius"), radius),) if there else ()

    return edits


def _from_outside(design: Design, weights: Counterweights, stock: Stock) -> Iterator[Dial]:
    """Screws along the radius in the place of screws along the shafts, for weights that lie round a web.

    The plate then begins at the web's round end, and has no holes along the shafts.
    """
    own, seat = weights.screws, _round_end(design, weights)
    if own is None or own.arrangement == "tension" or seat is None:
        return
    metal = seat - seat_diameter(design.shafts) / 2  # down to the shaft's hole in the web
    thick = {size: THREADS[size][0] * 1e-3 for size in stock.screws or () if size in THREADS}
    sizes = sorted((size for size in thick if thick[size] <= thick.get(own.size, 0.0)), key=lambda size: -thick[size])
    work = _work(weights) + Work(buy=(("screw", 2 * len(weights.planes) * own.number),))
    levels = [Level(_radial(seat, size, each), f"{size} along the radius, {text(each, 'm')} of thread", work)
              for size in sizes for each in (2e-3, *THREAD) if thick[size] <= each <= metal]  # fmt: skip
    paths = tuple(f"counterweights.screws.{key}" for key in ("arrangement", "engagement"))
    yield Dial("way of the counterweights' screws", "counterweights", paths, f"{own.size} along the shafts", levels,
               ("weight_screws",))  # fmt: skip


def _round_end(design: Design, weights: Counterweights) -> float | None:
    """Return from which radius on weights lie on the round end of the widest web in their planes, m."""
    half = float(weights.thickness) / 2
    widths = [float(web.width) for web in design.cranks.webs if web.width is not None
              and any(abs(float(web.at) - float(z)) < half for z in weights.planes)]  # fmt: skip
    return rounded(max(widths) / 2 + ON_WEB, ON_WEB) if widths else None


def _seat(design: Design, weights: Counterweights) -> Iterator[Dial]:
    """Weights screwed from outside that begin where their web ends, where they do not."""
    seat, keys = _round_end(design, weights), ("counterweights", "smallest_radius")
    now = float(weights.smallest_radius)
    tension = weights.screws is not None and weights.screws.arrangement == "tension"
    if not tension or seat is None or abs(now - seat) <= 2 * ON_WEB or seat >= float(weights.largest_radius):
        return
    levels = [Level(fixed(Edit(keys, seat)), text(seat, "m"), _work(weights))]
    yield Dial("seat of the counterweights", "counterweights", (".".join(keys),), text(now, "m"), levels,
               ("weight_screws",))  # fmt: skip


def _radial(seat: float, size: str, engagement: float):
    def edits(design: Design) -> tuple[Edit, ...]:
        weights = design.counterweights
        if weights is None or weights.screws is None or float(weights.largest_radius) <= seat:
            return ()
        if float(weights.thickness) < BESIDE_SCREW * THREADS[size][0] * 1e-3:
            return ()  # no plate for such a screw
        keys = ("counterweights", "screws")
        found = [Edit((*keys, "arrangement"), "tension"), Edit((*keys, "engagement"), engagement)]
        found += [Edit((*keys, "size"), size)] * (size != weights.screws.size)
        if getattr(weights.shape, "bolts", None) is not None:
            found.append(Edit(("counterweights", "shape", "bolts"), None))
        if float(weights.smallest_radius) != seat:
            found.append(Edit(("counterweights", "smallest_radius"), seat))
        return tuple(found)

    return edits


def _screwed(size: str, number: int):
    wanted = {"size": size, "number": number}

    def edits(design: Design) -> tuple[Edit, ...]:
        own = None if design.counterweights is None else design.counterweights.screws
        new = {} if own is None else {key: value for key, value in wanted.items() if getattr(own, key) != value}
        return tuple(Edit(("counterweights", "screws", key), value) for key, value in new.items())

    return edits


def _trim(name: str, weights: Counterweights) -> Dial:
    """Mass on a yoke, at most so much: the balancing takes what helps."""
    now = 0.0 if name not in weights.trims else float(weights.trims[name].at_most)
    keys = ("counterweights", "trims", name)
    anew = weight_pieces(len(weights.planes)) if weights.fitted else ()

    def edits(mass: float):
        def of(design: Design) -> tuple[Edit, ...]:
            assert design.counterweights is not None
            there = name in design.counterweights.trims
            return (Edit((*keys, "at_most"), mass),) if there else (Edit(keys, Trim(at_most=mass)),)

        return of

    levels = [Level(edits(each), f"at most {text(each, 'kg')}", Work((*anew, (f"trim on the {name} yoke", 1))))
              for each in TRIMS if each > now]  # fmt: skip
    return Dial(f"trim on the {name} yoke", "trims", (".".join(keys),), text(now, "kg"), levels)


def _new(design: Design, stock: Stock) -> Dial:
    """Counterweights of steel or denser plate at each web, or at the outermost two, screwed on from outside.

    They lie on what carries them: on the round end of a web of some width, else about the shaft.
    """
    assert stock.plates is not None
    hub = rounded(seat_diameter(design.shafts) / 2 + HUB, 0.5e-3)
    hub = max([hub, *(float(web.width) / 2 + ON_WEB for web in design.cranks.webs if web.width is not None)])
    reach = rounded(float(design.cranks.centre_distance) / 2 - APART, 0.5e-3)
    webs = sorted({float(web.at) for web in design.cranks.webs})
    places: list[float | tuple[float, float]] = [*webs]
    if len(webs) > 1:
        places.append((webs[0], webs[-1]))
    levels = []
    for at in places if reach > hub + 2e-3 else ():
        for name in ("steel", "brass", "tungsten-alloy"):
            for thickness in (each for each in stock.plates.get(name, ()) if 4e-3 <= float(each) <= 12e-3):
                try:
                    block = Counterweights(fitted=True, material=MATERIALS[name], thickness=float(thickness), at=at,
                                           smallest_radius=float(f"{hub:.6g}"), largest_radius=reach,
                                           screws=SCREWS)  # fmt: skip
                except ValueError:  # two planes nearer than the plate is thick
                    continue
                shown = f"{_plate_named(name, float(thickness))} at {text(at, 'm')}"
                screws = (("screw", 2 * len(block.planes) * SCREWS.number),)
                levels.append(Level(fixed(Edit(("counterweights",), block)), shown, _work(block) + Work(buy=screws)))
    return Dial("counterweights", "counterweights", ("counterweights",), "none", levels)

"""What holds gears, wheels and counterweights on their shafts: more of what is there, or another kind of joint."""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import NamedTuple

import numpy as np

from balance.machine.joint import CrossPin, Hub
from balance.machine.threads import THREADS, Thread
from balance.turning import HANDS
from designs.changing.edit import Edit, Keys, rounded, text, value_at
from designs.counsel.dial import Dial, Level, Work, path_of
from designs.counsel.free.joints import MICRON, PRESSED, TIGHTER, TIGHTEST
from designs.design import Design
from designs.design.stock import Stock
from designs.fixings import fixing
from shafts.clearance.held import AROUND, BESIDE, DEEP, FLAT
from shafts.strength.on_shaft import Hubbed, hubbed

PIN = 0.2, 0.4  # of the shaft: how thick a pin across it is; common practice, no source
TIGHTENED: dict[Thread, float] = {"M2": 0.35, "M2.5": 0.7, "M3": 1.2, "M4": 2.8, "M5": 5.5, "M6": 9.5}
"""Torques with which screws of class 8.8 are tightened, N m; from memory."""
LONGER = (1e-3, 2e-3, 3e-3, 4e-3, 6e-3, 8e-3)  # m, or shorter
SCREWS = 2  # in one hub; common practice, no source


class Held(NamedTuple):
    """What sits on one or both shafts in the same way.

    part : in words.   keys : of its hub.   hub : what holds it.   sizes : of the shafts there, m.
    solid : whether it is known how wide the hub is, and of what.   long : its own length, m; None if not known.
    """

    part: str
    keys: Keys
    hub: Hub
    sizes: list[float]
    solid: bool
    long: float | None

    @property
    def thin(self) -> float:
        """Diameter of the thinner of both shafts there, m."""
        return min(self.sizes)

    @property
    def wall(self) -> float:
        """Thickness of the hub around the thicker shaft, m; endless where nothing tells."""
        return np.inf if self.hub.outside is None else (float(self.hub.outside) - max(self.sizes)) / 2


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield the hub of the gears, of each wheel and of counterweights on the shafts, where its kind is given."""
    for held in _every(design):
        levels = [Level(partial(_edits, held.keys, hub), fixing(hub), _work(held, hub)) for hub in _others(held, stock)]
        name = f"hub of the {held.part}" + "s" * (held.part in ("gear", "counterweight"))
        yield Dial(name, "hubs", (path_of(held.keys),), fixing(held.hub), levels, ("hub_grip",))
        yield from _lengths(name, held)


def _every(design: Design) -> Iterator[Held]:
    found: dict[str, list[Hubbed]] = {}
    for hand, shaft in zip(HANDS, design.shafts.pair, strict=True):
        for each in hubbed(design, shaft, hand):
            found.setdefault(each.entry, []).append(each)
    for entry, parts in found.items():
        hub = parts[0].hub
        if hub is not None:
            keys = tuple(entry.split("."))
            owner, part = value_at(design, keys[:-1]), parts[0].name.split()[1]
            long = next((getattr(owner, each) for each in ("face", "thickness") if hasattr(owner, each)), None)
            known = [(each.outside or hub.outside, each.material or hub.material) for each in parts]
            solid = all(None not in each for each in known)
            yield Held(part, keys, hub, [float(each.diameter) for each in parts], solid,
                       None if long is None else float(long))  # fmt: skip


def _lengths(name: str, held: Held) -> Iterator[Dial]:
    """Yield a longer hub, up to as long as what it holds, and a shorter one, down to half the shaft's diameter."""
    if held.hub.length is None or held.hub.kind in ("one piece", "screwed"):
        return
    now, most, least = float(held.hub.length), held.long or 0.0, held.thin / 2
    lengths = [*(now + each for each in LONGER if now + each <= most), *(now - each for each in LONGER)]
    work = Work(make=((f"hub of the {held.part}", _pieces(held)),))
    levels = [Level(partial(_edits, (*held.keys, "length"), rounded(each, MICRON)), text(each, "m"), work)
              for each in lengths if each >= least]  # fmt: skip
    paths = (path_of((*held.keys, "length")),)
    yield Dial(f"length of the {name}", "hubs", paths, text(now, "m"), levels, ("hub_grip", "pin_seats"))


def _pieces(held: Held) -> int:
    return 2 if held.part == "counterweight" else len(held.sizes)


def _work(held: Held, hub: Hub) -> Work:
    """A bore that is to be tighter is bored anew; all else is drilled or slit in what is there."""
    pieces = _pieces(held)
    if hub.kind == "pressed":
        return Work(make=((f"hub of the {held.part}" if held.part == "counterweight" else held.part, pieces),))
    screws = {"set screws": "set screw", "clamped": "clamp screw", "pinned": "cross pin"}[hub.kind]
    return Work((((f"{held.part} fixing"), pieces),), ((screws, pieces * hub.screws),))


def _edits(keys: Keys, value: Hub | float, design: Design) -> tuple[Edit, ...]:
    """Nothing where there is no such hub any more, as of a flywheel that another change takes away."""
    above = keys[: keys.index("hub")]
    return () if getattr(value_at(design, above), "hub", None) is None else (Edit(keys, value),)


def _others(held: Held, stock: Stock) -> Iterator[Hub]:
    """Yield other hubs, more of the same kind first; what is one piece, screwed home or keyed stays so."""
    own = held.hub
    length = max(0.0 if own.length is None else float(own.length), held.long or 0.0)
    if not length or own.kind in ("one piece", "screwed", "keyed"):
        return
    blank = Hub(kind="glued", length=length, outside=own.outside, material=own.material)
    threads = [each for each in TIGHTENED if each in (stock.screws or ()) and AROUND * _thick(each) <= length]
    yield from _tighter(held)
    yield from _more_screws(held, threads)
    if held.solid:
        yield from _pinned(held, blank, stock)
    yield from _clamped(held, blank, threads)
    if held.solid and own.kind != "pressed":
        yield replace(blank, kind="pressed", interference=rounded(PRESSED * held.thin, MICRON))


def _tighter(held: Held) -> Iterator[Hub]:
    if held.hub.kind == "pressed" and held.hub.interference is not None:
        tight = (rounded(float(held.hub.interference) + more, MICRON) for more in TIGHTER)
        yield from (replace(held.hub, interference=each) for each in tight if each <= TIGHTEST * held.thin)


def _more_screws(held: Held, threads: list[Thread]) -> Iterator[Hub]:
    """Yield as many set screws or more, as thick or thicker, where hub and shaft have room for them."""
    own = held.hub
    if own.kind != "set screws" or own.thread is None:
        return
    for thread in threads:
        if _thick(own.thread) <= _thick(thread) <= FLAT * held.thin and DEEP * _thick(thread) <= held.wall:
            numbers = range(own.screws + (thread == own.thread), SCREWS + 1)
            yield from (replace(own, number=number, thread=thread) for number in numbers)


def _pinned(held: Held, blank: Hub, stock: Stock) -> Iterator[Hub]:
    now = 0.0 if held.hub.pin is None else float(held.hub.pin.diameter)
    for size in map(float, stock.pins or ()):
        fits = PIN[0] * held.thin <= size <= PIN[1] * held.thin and AROUND * size <= float(blank.length or 0.0)
        if fits and not np.isclose(size, now):
            yield replace(blank, kind="pinned", pin=CrossPin(diameter=size))


def _clamped(held: Held, blank: Hub, threads: list[Thread]) -> Iterator[Hub]:
    """Yield slit hubs with a screw, thicker than one that there is; only where the hub is given to be wide enough."""
    now = _thick(held.hub.thread) if held.hub.kind == "clamped" and held.hub.thread is not None else 0.0
    if held.hub.outside is not None:
        fit = (each for each in threads if now < _thick(each) and BESIDE * _thick(each) <= held.wall)
        yield from (replace(blank, kind="clamped", thread=each, tightening=TIGHTENED[each]) for each in fit)


def _thick(thread: str) -> float:
    """Return the diameter of a thread, m."""
    return THREADS[thread][0] * 1e-3

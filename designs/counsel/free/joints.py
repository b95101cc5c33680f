"""What holds pins and shafts in webs: more interference or depth, solder for glue, a press fit for either."""

from collections.abc import Iterator

from balance.machine.crank import Pin, Web
from balance.machine.joint import Joint
from designs.changing.edit import Edit, Keys, rounded, text, value_at
from designs.counsel.dial import Dial, Level, Work, fixed, path_of
from designs.counsel.free.cranks import webs_of
from designs.design import Design
from designs.design.stock import Stock

TIGHTER = (2e-6, 4e-6, 6e-6, 8e-6, 10e-6, 15e-6, 20e-6)  # m of interference more
TIGHTEST = 3e-3  # of the diameter: more is no press fit of a small workshop; common practice, no source
PRESSED = 2e-3  # of the diameter, a press fit in place of a film; common practice, no source
THICKER = 2.0  # times as thick as it is: what is held may become so on the way
MICRON = 1e-6  # m
DEEPER = (1e-3, 2e-3, 3e-3, 4e-3, 6e-3)  # m, of a seat
HAIR = 1e-9  # m


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield the joint of each crankpin and of each web with the shaft, where its kind is given."""
    del stock
    cranks = design.cranks
    for name, throw in cranks.throws.items():
        if throw.pin is not None and throw.pin.joint is not None:
            keys: Keys = ("cranks", "throws", name, "pin", "joint")
            work = Work(make=((f"{name} crankpin", 2),))
            yield from _dial(f"joint of the {name} crankpin", keys, throw.pin.joint, float(throw.pin.diameter), work)
            yield from _deeper(f"depth of the {name} crankpin in its webs", keys, throw.pin.joint,
                               [cranks.webs[n] for n in webs_of(design, name)], work)  # fmt: skip
    for place, web in enumerate(cranks.webs):
        if web.joint is not None:
            keys, work = ("cranks", "webs", str(place), "joint"), Work(make=((f"web {place + 1}", 2),))
            diameter = float(design.shafts.segments[0].diameter)
            yield from _dial(f"joint of web {place + 1} and shaft", keys, web.joint, diameter, work)
            yield from _deeper(f"depth of the shaft in web {place + 1}", keys, web.joint, [web], work)


def _dial(name: str, keys: Keys, joint: Joint, diameter: float, work: Work) -> Iterator[Dial]:
    """Yield tighter fits and other kinds; what is one piece or screwed stays so."""
    levels = []
    if joint.kind == "pressed" and joint.interference is not None:
        tight = (rounded(float(joint.interference) + more, MICRON) for more in TIGHTER)
        possible = (each for each in tight if each <= THICKER * TIGHTEST * diameter)
        levels = [Level(_tighter(keys, each), _pressed(each), work) for each in possible]
    if joint.kind == "glued":
        levels.append(Level(fixed(Edit((*keys, "kind"), "soldered")), "soldered", work))
    if joint.kind in ("glued", "soldered") and joint.length is not None:
        edits = (Edit((*keys, "kind"), "pressed"), Edit((*keys, "interference"), rounded(PRESSED * diameter, MICRON)))
        shown = _pressed(rounded(PRESSED * diameter, MICRON))
        levels.append(Level(fixed(*edits), shown, work))
    now = joint.kind if joint.interference is None else _pressed(float(joint.interference))
    if levels:
        yield Dial(name, "joints", (path_of((*keys, "kind")), path_of((*keys, "interference"))), now, levels,
                   ("joint_grip",))  # fmt: skip


def _deeper(name: str, keys: Keys, joint: Joint, webs: list[Web], work: Work) -> Iterator[Dial]:
    """Yield a seat as deep as the thinnest web that holds it, or less deep, but deeper than it is."""
    most = min((float(web.thickness) for web in webs if web.thickness is not None), default=0.0)
    if joint.length is None or joint.kind not in ("pressed", "glued", "soldered"):
        return
    now = float(joint.length)
    depths = [rounded(now + more, MICRON) for more in DEEPER if now + more < most - HAIR]
    depths += [most] if now < most - HAIR else []
    levels = [Level(fixed(Edit((*keys, "length"), each)), text(each, "m"), work) for each in depths]
    yield Dial(name, "joints", (path_of((*keys, "length")),), text(now, "m"), levels, ("joint_grip",))


def _tighter(keys: Keys, interference: float):
    """More interference, as far as what it holds, thicker by now perhaps, can still be pressed in."""

    def edits(design: Design) -> tuple[Edit, ...]:
        joint, pin = value_at(design, keys), value_at(design, keys[:-1])
        diameter = pin.diameter if isinstance(pin, Pin) else design.shafts.segments[0].diameter
        if joint.kind != "pressed" or not float(joint.interference) < interference <= TIGHTEST * float(diameter) + HAIR:
            return ()
        return (Edit((*keys, "interference"), interference),)

    return edits


def _pressed(interference: float) -> str:
    return f"pressed, interference {text(interference * 1e6, '')} um"

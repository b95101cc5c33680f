"""What a joint of a pin or shaft and what sits on it holds: torque, bending moment, and force across.

Pressed: Lame's pressure p of the interference; friction carries the torque mu p pi d^2 l/2, and the pin tips once a
moment p pi d l^2/12 or a force p pi d l/2 has relieved one side of it (the same pressures as in a rigid seat). Of the
computed grip 0.3 is taken, the low end for press fits of a small workshop; no more pressure than the web bears elastic.
Glued or soldered: a film of strength s carries the torque s pi d^2 l/2, the moment s pi d l^2/12, the force s pi d l/2.
Screwed: the shoulder, as wide as the pin, is clamped by F = M/(0.26 d), a nut factor of 0.2 and 30 percent of scatter;
it turns by friction in thread and shoulder, less what the pitch gives, and opens at F (D^2 + d^2)/(8 D).
Set screws: a cup point holds F along and F d/2 about the shaft, F of the next smaller inch size. Of what is published,
which differs by three, the lowest is taken: a third to a half of Shigley's (9th ed., table 7-4), who asks for a safety
of 4 to 8 where loads change. A second one adds 0.3 of the first, as where it stands across from it (common practice, no
source). On a shaft as hard as their points they hold half.
Clamped: each screw closes the slit with F = M/(0.26 d); the hub touches along two lines, so mu F d turns it, F l/12
tips it and F/2 opens it.
Pinned: two sections of the pin bear 0.2 of its tensile strength in shear that reverses (0.577 x 0.5, less for surface
and rubbing); hub and shaft bear their faces: p d^2 D/6 in the shaft, p D (h^2 - d^2)/4 in the hub (Decker).
Keyed: a parallel key by DIN 6885 with round ends bears p (h - t) (l - b) d/2. Where faces bear under a load that
reverses, p is 0.35 of the weaker yield strength (after DIN 6892; from memory), also where a bore keeps a hub upright.
Strengths and factors are from memory, check against the standard: friction 0.12; retaining glue 3 MPa and silver solder
25 MPa under alternating load, their lower ends.
"""

import numpy as np

from balance.machine.joint import Joint
from balance.machine.materials import Material
from balance.machine.threads import THREADS
from balance.quantities import Number, Scalar, over_angle, result
from shafts.strength.seats import inverse

FRICTION, PRESSED_SHARE = 0.12, 0.3
FILM = {"glued": 3e6, "soldered": 25e6}  # Pa, shear strength under alternating load
NUT_FACTOR = 0.26
REVERSED, PIN_SHEAR = 0.35, 0.2
NEEDED = {"pressed": ("length", "interference"), "glued": ("length",), "soldered": ("length",),
          "screwed": ("thread", "tightening"), "set screws": ("thread", "length"),
          "clamped": ("thread", "tightening", "length"), "pinned": ("pin", "length"), "keyed": ("length",),
          "one piece": ()}  # fmt: skip
POUND = 4.4482216  # N
CUP_POINTS = {1.854: 20, 2.184: 26, 2.845: 50, 3.175: 75, 3.505: 100, 4.166: 150, 4.826: 200, 6.35: 400, 7.938: 700,
              9.525: 1000}  # fmt: skip
"""Holding power of cup points along a shaft, pounds, by the diameter of the screw, mm: the lowest of the published
charts of set screws; of the two smallest, which it leaves out, 0.31 of Shigley's, its share at the next."""
SECOND = 0.3
HARD = 1100e6  # Pa, tensile strength of a shaft about as hard as cup points (45 HRC); common practice, no source
KEYS = ((6.0, 2.0, 2.0, 1.2), (8.0, 3.0, 3.0, 1.8), (10.0, 4.0, 4.0, 2.5), (12.0, 5.0, 5.0, 3.0), (17.0, 6.0, 6.0, 3.5),
        (22.0, 8.0, 7.0, 4.0))  # fmt: skip
"""Shafts thicker than so many mm take a key so wide and high, so deep in them, mm: DIN 6885-1."""
KEYED = KEYS[0][0] * 1e-3, 30e-3  # m, shafts of that table


@result
class Grip:
    """What a joint holds by itself: torque, N m, bending moment, N m, and force across, N; each (options...)."""

    torque: Number
    moment: Number
    force: Number

    def used(self, torque: Scalar, moment: Scalar, force: Scalar) -> Number:
        """Return the share that loads of the same kinds take together; endless where it holds nothing by itself."""
        held = (np.asarray(each, dtype=float) for each in (self.torque, self.moment, self.force))
        shares = [np.where(most > 0, load / np.where(most > 0, most, 1.0), np.inf)
                  for load, most in zip((torque, moment, force), held, strict=True)]  # fmt: skip
        return shares[0] + shares[1] + shares[2]

    def safety(self, torque: np.ndarray, moment: np.ndarray, force: np.ndarray) -> np.ndarray:
        """Return how safe it is against the worst of loads over the cycle, angles last, (speeds, options...)."""
        held = Grip(*map(over_angle, (self.torque, self.moment, self.force)))
        return inverse(np.max(held.used(torque, moment, force), axis=-1))


def missing_of(joint: Joint) -> tuple[str, ...]:
    """Return the entries of a joint without which its grip is not known."""
    return tuple(name for name in NEEDED[joint.kind] if getattr(joint, name) is None)


def untold(joint: Joint, d: Scalar, metals: tuple[Material, Material]) -> tuple[str, ...]:
    """Return in words what else is not known of what a joint holds.   metals : outside and inside."""
    if joint.kind not in ("pinned", "keyed"):
        return ()
    found = [f"yield_strength of {each.name}" for each in metals if each.yield_strength is None]
    pin = metals[1] if joint.pin is None or joint.pin.material is None else joint.pin.material
    if joint.kind == "pinned" and pin.tensile_strength is None:
        found.append(f"tensile_strength of {pin.name}")
    if joint.kind == "keyed" and np.any((np.asarray(d) <= KEYED[0]) | (np.asarray(d) > KEYED[1])):
        found.append("another kind of joint: a key is known for shafts beyond 6 and up to 30 mm")
    return tuple(dict.fromkeys(found))


def grip_of(
    joint: Joint, d: Scalar, length: Scalar | None, outside: Scalar, metals: tuple[Material, Material]
) -> Grip | None:
    """Return what holds a pin or shaft; None where it is one piece.

    All that it takes must be known (`missing_of`, `untold`).
    d : of pin or shaft, m.   length : over which both meet, m; not asked of what is screwed home.
    outside : diameter or width of what sits about it, m.   metals : of what sits about it, and of pin or shaft.
    """
    if joint.kind == "one piece":
        return None
    if joint.kind == "screwed":
        return _screwed(joint, d)
    assert length is not None
    if joint.kind in ("pressed", *FILM):
        return _along_seat(joint, d, length, _film(joint, d, outside, metals))
    bears = REVERSED * min(each.yield_strength or 0.0 for each in metals)
    if joint.kind == "set screws":
        return _set_screws(joint, d, length, metals[1])
    if joint.kind == "clamped":
        return _clamped(joint, d, length)
    if joint.kind == "pinned":
        return _pinned(joint, d, length, outside, bears, metals[1])
    return _keyed(d, length, bears)


def pressure(interference: Scalar, diameter: Scalar, outer: Scalar, hub: Material, shaft: Material) -> np.ndarray:
    """Return the pressure of a solid shaft in a ring, Pa, by Lame; interference on the diameter, m."""
    return ring_pressure(interference, diameter, outer, 0.0, hub, shaft)


def ring_pressure(
    interference: Scalar, diameter: Scalar, outer: Scalar, bore: Scalar, hub: Material, shaft: Material
) -> np.ndarray:
    """Return the same of a shaft with a bore, m."""
    poisson, poisson_shaft = (each.young / (2 * np.asarray(each.shear)) - 1 for each in (hub, shaft))
    square, around, inside = (np.square(each) for each in (diameter, outer, bore))
    ring = ((around + square) / (around - square) + poisson) / hub.young
    core = ((square + inside) / (square - inside) - poisson_shaft) / shaft.young
    return np.asarray(interference / (diameter * (ring + core)))


def most_interference(
    joint: Joint | None, d: Scalar | None, outside: Scalar | None, metals: tuple[Material, Material]
) -> Number | None:
    """Return the interference on the diameter, m, at which what sits about it yields all round; None if not known.

    d, outside, metals : as in `grip_of`.
    The pressure is then Y log(D/d) (thick ring, Tresca; from memory, check against the standard), and the interference
    the elastic one of that pressure, which is on the safe side.
    """
    yields = metals[0].yield_strength
    if joint is None or joint.kind != "pressed" or joint.interference is None or None in (d, outside, yields):
        return None
    assert d is not None and outside is not None and yields is not None
    outer = np.maximum(outside, d * (1 + 1e-9))
    return yields * np.log(outer / d) / pressure(1.0, d, outer, *metals)


def _along_seat(joint: Joint, d: Scalar, length: Scalar, film: Scalar) -> Grip:
    whole = np.pi * d * length * np.asarray(film)
    rub = FRICTION if joint.kind == "pressed" else 1.0
    return Grip(rub * whole * d / 2, whole * length / 12, whole / 2)


def _film(joint: Joint, d: Scalar, outside: Scalar, metals: tuple[Material, Material]) -> Number:
    """Return the pressure of a press fit, of which a share counts, or the strength of a film, Pa."""
    if joint.kind != "pressed":
        return FILM[joint.kind]
    assert joint.interference is not None
    outer = np.maximum(outside, d * (1 + 1e-9))
    pressed = pressure(joint.interference, d, outer, *metals)
    if metals[0].yield_strength is not None:
        pressed = np.minimum(pressed, metals[0].yield_strength * (1 - np.square(d / outer)) / 2)
    return PRESSED_SHARE * pressed


def _clamp_force(joint: Joint, size: float) -> Number:
    assert joint.tightening is not None
    return np.asarray(joint.tightening) / (NUT_FACTOR * size)


def _screwed(joint: Joint, shoulder_diameter: Scalar) -> Grip:
    assert joint.thread is not None
    size, pitch = (each * 1e-3 for each in THREADS[joint.thread])
    clamped = _clamp_force(joint, size)
    flank, face = (size - 0.65 * pitch) / 2, (np.maximum(shoulder_diameter, size) + size) / 4
    turns = clamped * np.maximum(FRICTION * (flank / np.cos(np.pi / 6) + face) - pitch / (2 * np.pi), 0.0)
    ring = np.maximum(shoulder_diameter, size)
    return Grip(turns, clamped * (ring**2 + size**2) / (8 * ring), FRICTION * clamped)


def cup_point(thread: str) -> float:
    """Return the force along a shaft at which a set screw slips, N: the low end of what is published."""
    return POUND * max(pounds for diameter, pounds in CUP_POINTS.items() if diameter <= THREADS[thread][0])


def _set_screws(joint: Joint, d: Scalar, length: Scalar, shaft: Material) -> Grip:
    assert joint.thread is not None
    soft = shaft.tensile_strength is not None and np.all(np.asarray(shaft.tensile_strength) < HARD)
    holds = cup_point(joint.thread) * (1 + SECOND * (joint.screws > 1)) * (1.0 if soft else 0.5)
    return Grip(holds * np.asarray(d) / 2, holds * np.asarray(length) / 2, holds)


def _clamped(joint: Joint, d: Scalar, length: Scalar) -> Grip:
    assert joint.thread is not None
    force = joint.screws * _clamp_force(joint, THREADS[joint.thread][0] * 1e-3)
    return Grip(FRICTION * force * d, force * np.asarray(length) / 12, force / 2)


def _pinned(joint: Joint, d: Scalar, length: Scalar, outside: Scalar, bears: Scalar, shaft: Material) -> Grip:
    """A pin half as thick as the shaft leaves it no metal."""
    assert joint.pin is not None
    across, metal = joint.pin.diameter, joint.pin.material or shaft
    assert metal.tensile_strength is not None
    sheared = np.pi / 2 * np.square(across) * PIN_SHEAR * metal.tensile_strength
    in_shaft = bears * np.square(d) * across / 6
    in_hub = bears * across * np.maximum(np.square(outside) - np.square(d), 0.0) / 4
    left = np.asarray(across) < np.asarray(d) / 2
    turns = np.where(left, np.minimum(sheared * d / 2, np.minimum(in_shaft, in_hub)), 0.0)
    return Grip(turns, _upright(d, length, bears), np.where(left, sheared, 0.0))


def key_of(d: float) -> tuple[float, float] | None:
    """Return width and height of the key of a shaft, m; None where the table has none."""
    if not KEYED[0] < d <= KEYED[1]:
        return None
    return next((wide * 1e-3, high * 1e-3) for beyond, wide, high, _ in reversed(KEYS) if d > beyond * 1e-3)


def _keyed(d: Scalar, length: Scalar, bears: Scalar) -> Grip:
    d, table = np.asarray(d, dtype=float), np.array(KEYS) * 1e-3
    _, wide, high, deep = np.moveaxis(table[np.maximum(np.searchsorted(table[:, 0], d) - 1, 0)], -1, 0)
    turns = bears * (high - deep) * np.maximum(length - wide, 0.0) * d / 2
    return Grip(turns, _upright(d, length, bears), bears * d * length)


def _upright(d: Scalar, length: Scalar, bears: Scalar) -> Number:
    """Return the moment at which the ends of a bore yield, N m: the pressure along it grows from its middle."""
    return bears * np.asarray(d) * np.square(length) / 6

"""Which parts could meet, and in which kind of pair they are told."""

from balance.bodies.yokes import axis_of
from balance.machine.carried import Displacer, Piston
from balance.obstacles import Missing, Obstacle
from balance.outlines import ranges_meet
from shafts.engine import Engine

GROUPS = {
    "wheels": {"gear", "wheel"},
    "weights": {"weight"},
    "carried": {"carried", "stem", "post", "cylinder"},
    "bearings": {"bearing"},
    "": {"shaft", "web", "pin", "rod", "yoke", "case"},
}
"""Kinds of pairs, by the kinds of part that make them so: the first that either part belongs to."""
TURNING = {"shaft", "web", "pin", "weight", "gear", "wheel"}
BESIDE = {"bearing", "shaft", "gear", "wheel", "weight"}  # on one shaft: told by the clearance along it
STANDING = {"case", "cylinder", "bearing"}
HAIR = 1e-7  # m; less than this is rounding


def group_of(one: Obstacle, other: Obstacle) -> str:
    """Return the kind of pair that two parts make, a key of GROUPS."""
    return next(name for name, kinds in GROUPS.items() if {one.kind, other.kind} & kinds)


def unlooked(parts: list[Obstacle], missing: list[Missing], group: str) -> list[Missing]:
    """Return the parts without a body that could meet one of a kind of pair."""
    mine = [part.z for part in parts if part.kind in GROUPS[group]]
    return [each for each in missing if any(ranges_meet(each.z, z) for z in mine)]


def could_meet(engine: Engine, one: Obstacle, other: Obstacle) -> bool:
    """Return whether two parts could meet: side by side along the shafts, not joined, and neither runs in the other.

    Parts that belong together never move against each other: a yoke with its rods and pins, rods on one crankpin and
    the webs beside them, all that turns with one shaft. What sits side by side on a shaft is looked at along it.
    Parts that share a face rub.
    """
    if one.name == other.name or not ranges_meet(one.z, other.z, engine.fits.axial_play):
        return False
    kinds, names = {one.kind, other.kind}, [one.follows[1], other.follows[1]]
    if kinds <= STANDING or kinds == {"yoke"} or kinds == {"gear"} or _runs_in(engine, one, other):
        return False
    if one.hand == other.hand != "both" and _belong_together(engine, one, other, kinds, names):
        return False
    mirrored = {one.hand, other.hand} == {"right", "left"}
    return names[0] != names[1] or not names[0] or mirrored


def _belong_together(engine: Engine, one: Obstacle, other: Obstacle, kinds: set[str], names: list[str]) -> bool:
    if kinds <= TURNING or kinds == {"shaft", "rod"} or ("bearing" in kinds and kinds <= BESIDE):
        return True
    return _on_one_pin(engine, names) or _web_beside_rod(engine, one, other)


def _web_beside_rod(engine: Engine, one: Obstacle, other: Obstacle) -> bool:
    """Return whether one part is a web and the other a rod on a crankpin at its end, where both are faced to run."""
    return any(web.joins and rod.kind == "rod" and engine.yokes[rod.follows[1]].throw in web.joins
               for web, rod in ((one, other), (other, one)))  # fmt: skip


def _on_one_pin(engine: Engine, names: list[str]) -> bool:
    throws = [engine.yokes[name].throw if name else name for name in names]
    return throws[0] == throws[1] != ""


def _runs_in(engine: Engine, one: Obstacle, other: Obstacle) -> bool:
    """Return whether one part runs in the other: a running fit, which is told by its play.

    A stem in the hole of a yoke or piston; a piston or displacer in the cylinder; a shaft through the wall that holds
    its bearing.
    """
    for inner, outer in ((one, other), (other, one)):
        if inner.kind == "stem" and outer.kind == "yoke":
            return True
        if inner.kind == "stem" and outer.kind == "carried" and _through_piston(engine, outer):
            return True
        if inner.kind == outer.kind == "carried" and not (_has_outline(engine, inner) or _has_outline(engine, outer)):
            return True  # both by their measures: told along the cylinder
        if inner.kind == "carried" and (outer.kind == "cylinder" or _bored(engine, inner, outer)):
            return True
        if inner.kind in ("shaft", "bearing") and outer.kind == "case" and _holds(engine, inner, outer):
            return True
    return False


def _has_outline(engine: Engine, carried: Obstacle) -> bool:
    return getattr(engine.yokes[carried.follows[1]].carries, "outline", None) is not None


def _through_piston(engine: Engine, piston: Obstacle) -> bool:
    carried = [yoke.carries for yoke in engine.yokes.values()]
    passes = any(isinstance(each, Displacer) and each.stem_through_piston for each in carried)
    return passes and not isinstance(engine.yokes[piston.follows[1]].carries, Displacer)


def _bored(engine: Engine, inner: Obstacle, wall: Obstacle) -> bool:
    """Return whether a wall stands beside the bore in which a piston or displacer no wider than it runs."""
    import shapely

    carried = engine.yokes[inner.follows[1]].carries
    if wall.kind != "case" or not isinstance(carried, Piston | Displacer):
        return False
    half = float(carried.bore) / 2
    left, _, right, _ = shapely.bounds(inner.shapes[0])
    wall_left, _, wall_right, _ = shapely.bounds(wall.shapes)
    beside = wall_left >= half - HAIR or wall_right <= -half + HAIR
    return bool(beside and left >= -half - HAIR and right <= half + HAIR)


def _holds(engine: Engine, shaft: Obstacle, wall: Obstacle) -> bool:
    """Return whether a wall holds a bearing of the shaft, which then passes through it."""
    import shapely

    if not shapely.intersects(shaft.shapes, wall.shapes):
        return False
    bearings = engine.shafts.pair[shaft.hand == "left"].bearings
    return any(ranges_meet(wall.z, (float(each.at) - HAIR, float(each.at) + HAIR)) for each in bearings)


def stem_crosses(engine: Engine, z: tuple[float, float]) -> bool:
    """Return whether a part that reaches along the shafts from z[0] to z[1] lies in the way of the cylinder's axis."""
    axis = axis_of(engine)
    return bool(ranges_meet(z, (axis - HAIR, axis + HAIR)))

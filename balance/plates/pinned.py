"""A counterweight that sits on a crankpin: a sector or segment, a hub, and an arm from there to an eye for the pin.

The hub is a disc about the shaft's line that joins the weight; the arm is as wide as the eye, and both reach no farther
than the eye does. What weight, hub and arm share is counted once: at each radius the angles that they fill are
intervals, and over the radius the sum is taken numerically.
"""

from functools import cached_property
from itertools import pairwise

import numpy as np

from balance.plates.plate import Bend, Measures, flattened
from balance.plates.sector import Sector
from balance.plates.segment import Segment
from balance.quantities import Number, Scalar, result

HAIR = 1e-9  # m; by which a weight is drawn larger, so that it joins the hub that it touches

Weight = Sector | Segment
POINTS, WEIGHTS = np.polynomial.legendre.leggauss(48)


@result
class PinArm:
    """What takes the pin.   radius : throw of the pin, m.   angle : of the pin in the crank frame, rad.

    pin : its diameter, m.   there : 1 for options whose plate sits on the pin, else 0; all (options...).
    throw : name of the throw.
    """

    radius: Number
    angle: Number
    pin: Number
    there: Number = 1.0
    throw: str = ""

    @property
    def half_width(self) -> Number:
        """Radius of the eye, and half the arm's width, m: half the pin's diameter of metal about its hole."""
        return np.asarray(self.pin, dtype=float)

    @property
    def corner(self) -> Number:
        """How far from the shaft's line the arm's sides meet the eye, m."""
        return np.sqrt(np.asarray(self.radius) ** 2 + self.half_width**2)

    @property
    def reach(self) -> Number:
        """How far the eye reaches from the shaft's line, m."""
        return self.radius + self.half_width


@result
class Pinned:
    """Weight, hub and arm as one edge, in the frame of the plate's mass centre.

    weight : sector or segment.   middle_at, pin_at : angles of its middle and of the pin from the mass centre, rad.
    measures : of the whole, with the integral along the mass centre's direction.
    """

    weight: Weight
    arm: PinArm
    middle_at: Number
    pin_at: Number
    measures: Measures

    @property
    def reach(self) -> Number:
        """Largest distance from the shaft's line, m."""
        return np.maximum(self.weight.reach, self.arm.reach)

    def edge_distance(self, x: Scalar, y: Scalar) -> Number:
        """Return how far a point lies inside weight, arm or hub, whichever is most, m."""
        radius, angle = np.hypot(x, y), np.arctan2(x, y)
        along = np.clip(radius * np.cos(angle - self.pin_at), 0.0, self.arm.radius)
        beside = np.hypot(x - along * np.sin(self.pin_at), y - along * np.cos(self.pin_at))
        turned = angle - self.middle_at
        inside = self.weight.edge_distance(radius * np.sin(turned), radius * np.cos(turned))
        hub = hub_radius(self.weight, self.arm) - radius
        return np.maximum(np.maximum(inside, self.arm.half_width - beside), hub)

    @cached_property
    def outline(self):
        """Outline of a single design as a shapely polygon, m, without holes."""
        import shapely  # a tenth of a second to import, and only a drawing or a proof of fit needs it

        corners = flattened(self.weight.path())
        sine, cosine = np.sin(float(self.middle_at)), np.cos(float(self.middle_at))
        turned = shapely.Polygon(np.stack([corners[:, 0] * cosine + corners[:, 1] * sine,
                                           corners[:, 1] * cosine - corners[:, 0] * sine], axis=-1))  # fmt: skip
        far = float(self.arm.radius) * np.array([np.sin(float(self.pin_at)), np.cos(float(self.pin_at))])
        arm = shapely.LineString([(0.0, 0.0), far]).buffer(float(self.arm.half_width), quad_segs=90)
        hub = shapely.Point(0.0, 0.0).buffer(float(hub_radius(self.weight, self.arm)) * (1 + 1e-6), quad_segs=180)
        return shapely.unary_union([turned.buffer(HAIR), arm, hub])

    def path(self) -> list[Bend]:
        """Return its corners, counter-clockwise; arcs as chords of a degree or less."""
        import shapely

        ring = shapely.geometry.polygon.orient(self.outline).exterior
        return [(float(x), float(y), 0.0) for x, y in list(ring.coords)[:-1]]


def hub_radius(weight: Weight, arm: PinArm) -> Number:
    """Return the radius of the hub, m: to the inner edge of the weight, with a neck beyond a straight cut."""
    inner, neck = _inner(weight)
    return np.maximum(inner + neck * arm.half_width, arm.half_width)


def half_angle(weight: Weight, radius: np.ndarray) -> np.ndarray:
    """Return half the angle that a sector or segment fills at a radius, rad; zero where it does not reach."""
    if isinstance(weight, Sector):
        inside = (radius >= _after(weight.inner)) & (radius <= _after(weight.outer))
        return np.where(inside, _after(weight.half_angle), 0.0)
    share = _after(weight.chord) / np.maximum(radius, 1e-12)
    return np.where(radius <= _after(weight.outer), np.arccos(np.minimum(share, 1.0)), 0.0)


def added(weight: Weight, middle: Scalar, arm: PinArm) -> tuple[Number, Number, Number]:
    """Return what hub and arm add to a weight: area, m^2, complex first moment, m^3, and polar moment, m^4.

    middle : angle of the weight's middle in the crank frame, rad; the first moment is along + i across in that frame.
    """
    measures = _known_hub_and_arm(hub_radius(weight, arm), arm)
    shared = _in_common(weight, arm, np.asarray(arm.angle) - middle)
    ways = np.exp(1j * np.asarray(arm.angle)), np.exp(1j * np.asarray(middle))
    return measures.area - shared.area, measures.first * ways[0] - shared.first * ways[1], measures.polar - shared.polar


def _known_hub_and_arm(hub: Number, arm: PinArm) -> Measures:
    """Return the same as below; mostly the hub stays as it is while the size of the weight is found by turns."""
    known = arm.__dict__.get("_own")
    if known is None or not np.array_equal(known[0], hub):
        known = arm.__dict__["_own"] = hub, _hub_and_arm(hub, arm)
    return known[1]


def _hub_and_arm(hub: Number, arm: PinArm) -> Measures:
    """Return the integrals of 1, of r cos(angle from the pin) and of r^2 over hub and arm together."""
    corner = np.maximum(hub, arm.corner)
    measures = Measures(np.pi * hub**2, np.zeros_like(hub), np.pi / 2 * hub**4)
    for low, high, covered in ((hub, corner, _by_strip), (corner, np.maximum(hub, arm.reach), _by_eye)):
        if np.any(high > low):
            radius, step = _nodes(low, high)
            covers = covered(arm, radius)
            measures = _plus_rings(measures, radius, step, 2 * covers, 2 * np.sin(covers))
    return measures


def _in_common(weight: Weight, arm: PinArm, apart: Number) -> Measures:
    """Return the integrals of 1, of r exp(i angle from the weight's middle) and of r^2 over what both fill.

    apart : angle from the weight's middle to the pin, rad.
    """
    hub, apart = hub_radius(weight, arm), _after((apart + np.pi) % (2 * np.pi) - np.pi)
    bends = [hub, np.maximum(hub, arm.corner), np.maximum(hub, arm.reach)]
    edges = [*bends, *(np.minimum(each, bends[-1]) for each in (_inner(weight)[0], weight.reach))]
    ordered = np.sort(np.stack(np.broadcast_arrays(*edges)), axis=0)
    measures = Measures(np.zeros_like(hub), np.zeros_like(hub), np.zeros_like(hub))
    for low, high in pairwise(ordered):
        ends = _after(low), _after(high)
        # The weight fills most at one of the ends, the arm at the inner one. Mostly they face away from each other.
        most = np.maximum(*(half_angle(weight, end) for end in ends))
        if np.any((most + _covers(arm, hub, ends[0]) > np.abs(apart)) & (most > 0) & (ends[1] > ends[0])):
            radius, step = _nodes(low, high)
            measures = _plus_rings(
                measures, radius, step, *_common_angle(half_angle(weight, radius), _covers(arm, hub, radius), apart)
            )
    return measures


def _plus_rings(
    measures: Measures, radius: np.ndarray, step: np.ndarray, filled: np.ndarray, turned: np.ndarray
) -> Measures:
    """Return integrals with those over a range of radii.   filled : angle at each, rad.   turned : sum of cos there."""
    step = step * radius
    return Measures(
        measures.area + np.sum(step * filled, axis=-1),
        measures.first + np.sum(step * radius * turned, axis=-1),
        measures.polar + np.sum(step * radius**2 * filled, axis=-1),
    )


def _nodes(low: Number, high: Number) -> tuple[np.ndarray, np.ndarray]:
    """Return radii between two bends and their steps, close together at both ends, where slopes are steep."""
    angle = (POINTS + 1) * (np.pi / 2)
    share, slope = (1 - np.cos(angle)) / 2, np.sin(angle) * np.pi / 4
    width = _after(high - low)
    return _after(low) + width * share, width * slope * WEIGHTS


def _covers(arm: PinArm, hub: Number, radius: np.ndarray) -> np.ndarray:
    """Return half the angle that hub and arm fill at a radius, rad."""
    of_arm = np.where(radius <= _after(arm.corner), _by_strip(arm, radius), _by_eye(arm, radius))
    return np.where(radius < _after(hub), np.pi, np.where(radius <= _after(arm.reach), of_arm, 0.0))


def _by_strip(arm: PinArm, radius: np.ndarray) -> np.ndarray:
    return np.arcsin(np.minimum(_after(arm.half_width) / np.maximum(radius, 1e-12), 1.0))


def _by_eye(arm: PinArm, radius: np.ndarray) -> np.ndarray:
    throw, eye, size = _after(arm.radius), _after(arm.half_width), np.maximum(radius, 1e-12)
    return np.arccos(np.clip((size**2 + throw**2 - eye**2) / (2 * size * throw), -1.0, 1.0))


def _common_angle(fills: np.ndarray, covers: np.ndarray, apart: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the angle that two intervals share, about 0 and about `apart`, and its sum of exp(i angle)."""
    angle: np.ndarray = np.zeros(np.broadcast_shapes(fills.shape, covers.shape, apart.shape))
    turned = np.zeros(angle.shape, dtype=complex)
    whole = covers >= np.pi
    for shift in (-2 * np.pi, 0.0, 2 * np.pi):
        low = np.where(whole, -fills, np.maximum(-fills, apart + shift - covers))
        high = np.where(whole, fills, np.minimum(fills, apart + shift + covers))
        there = np.broadcast_to((high > low) & (~whole | (shift == 0.0)), angle.shape)
        if np.any(there):
            low, high = (np.broadcast_to(each, angle.shape)[there] for each in (low, high))
            angle[there] += high - low
            turned[there] += (np.exp(1j * high) - np.exp(1j * low)) / 1j
    return angle, turned


def _inner(weight: Weight) -> tuple[Number, Number]:
    """Return the least radius of a weight, and 1 where it begins with a straight cut, which needs a neck."""
    if isinstance(weight, Sector):
        return np.asarray(weight.inner, dtype=float), 0.0
    return np.asarray(weight.chord, dtype=float), 1.0


def _after(value: Scalar) -> np.ndarray:
    return np.asarray(value, dtype=float)[..., None]

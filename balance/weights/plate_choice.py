"""Which plate has the wanted mass times radius: what is solved for, and which shape is the best."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from balance.machine.counterweights import Counterweights, OutlineShape, SectorShape, SegmentShape
from balance.plates.plate import Bend, Edge, Measures, Plate, RoundHole, hole_measures
from balance.plates.polygon import upright
from balance.plates.sector import Sector, sector_of_first, sector_radius
from balance.plates.segment import Segment, segment_of_first, segment_radius
from balance.quantities import Number, Scalar, result

RADII = 64  # trial radii between hub and largest radius; the best is flat, so a step misses it by less than 1 in 1000


def plate_for(counterweights: Counterweights, moment: Scalar) -> Plate:
    """Return the plate with a wanted mass times radius, kg m, or the nearest to it that the entries allow.

    moment : (options...), not negative. The shape is the stated one, or, where the entries ask for it,
    the lightest or the one of least inertia among sectors and segments of every radius allowed.
    """
    if counterweights.choose == "stated" or isinstance(counterweights.shape, OutlineShape):
        return stated_plate(counterweights, moment)
    return _best_plate(counterweights, np.asarray(moment, dtype=float))


def largest_moment(counterweights: Counterweights) -> Number:
    """Return the most mass times radius that a plate within the entries can have, kg m, (options...)."""
    return plate_for(counterweights, np.inf).moment


def stated_plate(counterweights: Counterweights, moment: Scalar) -> Plate:
    """Return the plate of the stated shape; see plate_for."""
    shape = counterweights.shape
    if isinstance(shape, OutlineShape):
        return _outline_plate(counterweights, shape, moment)
    holes = _bolt_holes(shape)
    make = _sector if isinstance(shape, SectorShape) else _segment
    density, thickness = counterweights.material.density, counterweights.thickness
    with np.errstate(invalid="ignore", divide="ignore"):  # an endless moment asks for the largest plate
        first = np.asarray(moment) / (density * np.asarray(thickness)) + hole_measures(holes).first
    edge = make(counterweights, first)
    plate = Plate(edge, thickness, density, holes)
    return _thinned(plate, moment) if counterweights.solve_for == "thickness" else plate


def _bolt_holes(shape: SectorShape | SegmentShape) -> tuple[RoundHole, ...]:
    if shape.bolts is None:
        return ()
    return tuple((x, y, shape.bolts.diameter) for x, y in shape.bolts.places)


def _sector(counterweights: Counterweights, first: Number) -> Sector:
    shape = counterweights.shape
    assert isinstance(shape, SectorShape)
    inner, outer, half = counterweights.smallest_radius, counterweights.largest_radius, np.asarray(shape.angle) / 2
    if counterweights.solve_for == "extent":
        return sector_of_first(first, inner, outer)
    if counterweights.solve_for == "radius":
        outer = np.minimum(sector_radius(first, inner, half), outer)
    return Sector(inner, outer, half)


def _segment(counterweights: Counterweights, first: Number) -> Segment:
    shape = counterweights.shape
    assert isinstance(shape, SegmentShape)
    chord = counterweights.smallest_radius if shape.chord is None else shape.chord
    if counterweights.solve_for == "extent":
        return segment_of_first(first, counterweights.largest_radius, chord)
    if counterweights.solve_for == "radius":
        return Segment(np.minimum(segment_radius(first, chord), counterweights.largest_radius), chord)
    return Segment(counterweights.largest_radius, chord)


def _thinned(plate: Plate, moment: Scalar) -> Plate:
    """Return the plate made as thin as the moment allows, never thicker than it was."""
    thickness = np.minimum(plate.thickness, plate.thickness * np.asarray(moment) / plate.moment)
    return replace(plate, thickness=thickness)


def _outline_plate(counterweights: Counterweights, shape: OutlineShape, moment: Scalar) -> Plate:
    holes: tuple[RoundHole, ...] = tuple((*hole.at, hole.diameter) for hole in shape.holes)
    if shape.drawing is not None:
        corners = shape.drawing.corners
        holes += tuple((float(x), float(y), float(diameter)) for x, y, diameter in shape.drawing.holes)
    else:
        assert shape.polygon is not None
        corners = np.stack(
            [np.stack(np.broadcast_arrays(*corner), axis=-1) for corner in _broadcast_corners(shape.polygon)], axis=-2
        )
    edge, turned = upright(np.asarray(corners, dtype=float), holes)
    return _thinned(Plate(edge, counterweights.thickness, counterweights.material.density, turned), moment)


def _broadcast_corners(polygon: tuple[tuple[Scalar, Scalar], ...]) -> list[list[np.ndarray]]:
    flat = np.broadcast_arrays(*(value for corner in polygon for value in corner))
    return [list(flat[index : index + 2]) for index in range(0, len(flat), 2)]


@result
class Mixed:
    """Edges of one kind for some options and of another for the others; only its measures are known."""

    first: Edge
    second: Edge
    takes_first: np.ndarray

    @property
    def measures(self) -> Measures:
        """Integrals over whichever edge each option has."""
        one, two = vars(self.first.measures).values(), vars(self.second.measures).values()
        return Measures(*(np.where(self.takes_first, a, b) for a, b in zip(one, two, strict=True)))

    @property
    def reach(self) -> Number:
        """Largest distance from the shaft's centre, m."""
        return np.where(self.takes_first, self.first.reach, self.second.reach)

    def edge_distance(self, x: Scalar, y: Scalar) -> Number:
        """Return how far a point lies inside, m."""
        return np.where(self.takes_first, self.first.edge_distance(x, y), self.second.edge_distance(x, y))

    @property
    def chosen(self) -> Edge:
        """The edge of a single design."""
        return self.first if bool(self.takes_first) else self.second

    def path(self) -> list[Bend]:
        """Return the path of a single design's edge."""
        return self.chosen.path()


def _best_plate(counterweights: Counterweights, moment: np.ndarray) -> Plate:
    """Return the lightest plate, or the one of least inertia; the thickest plate is always best for both.

    For a given radius a thicker plate fills a smaller angle, so its mass centre lies farther out.
    """
    measure = _measure(counterweights)
    plain = replace(counterweights, solve_for="extent", choose="stated")
    kinds = [replace(plain, shape=_like(counterweights, kind)) for kind in (SectorShape, SegmentShape)]
    plates = [_best_radius(each, moment, measure) for each in kinds]
    merits = [_merit(plate, moment, measure) for plate in plates]
    takes_first = np.asarray(merits[0] <= merits[1])
    return replace(plates[0], edge=Mixed(plates[0].edge, plates[1].edge, takes_first))


def _like(counterweights: Counterweights, kind: type) -> SectorShape | SegmentShape:
    return kind(bolts=getattr(counterweights.shape, "bolts", None))


def _measure(counterweights: Counterweights) -> Callable[[Plate], Number]:
    return (lambda plate: plate.mass) if counterweights.choose == "lightest" else (lambda plate: plate.inertia)


def _merit(plate: Plate, moment: np.ndarray, measure: Callable[[Plate], Number]) -> np.ndarray:
    """Return what is to be small; where the plate falls short, a large number that falls with what it reaches."""
    missing = np.where(np.isfinite(moment), moment, np.inf) - plate.moment
    short = missing > 1e-9 * np.abs(plate.moment) + 1e-15
    far = 1e9 / np.maximum(np.asarray(plate.moment), 1e-30)
    return np.where(short | (plate.hole_edge_distance < 0), far, np.asarray(measure(plate)))


def _best_radius(counterweights: Counterweights, moment: np.ndarray, measure: Callable[[Plate], Number]) -> Plate:
    hub, most = np.asarray(counterweights.smallest_radius), np.asarray(counterweights.largest_radius)
    radii = [hub + (most - hub) * share for share in np.arange(1, RADII + 1) / RADII]
    bolts = getattr(counterweights.shape, "bolts", None)
    if bolts is not None:  # no radius that would cut into the holes
        least = np.minimum(bolts.radius + np.asarray(bolts.diameter) * 0.51, most)
        radii = [np.maximum(radius, least) for radius in radii]
    merits = [
        _merit(plate_for(replace(counterweights, largest_radius=radius), moment), moment, measure) for radius in radii
    ]
    index = np.argmin(np.stack(np.broadcast_arrays(*merits)), axis=0)[None]
    best = np.take_along_axis(np.stack(np.broadcast_arrays(*radii, merits[0])[:-1]), index, axis=0)[0]
    return plate_for(replace(counterweights, largest_radius=best), moment)

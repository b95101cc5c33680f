"""The elastic chain of a crank against a space frame that knows nothing of it: random cranks of every layout."""

from dataclasses import replace

import numpy as np
import pytest
from engines import crank_frame as frame
from engines.space_frame import Metal
from random_cranks import random_crank

from balance.machine.crank import Cranks, Throw, Web
from balance.machine.crank import Pin as Crankpin
from balance.machine.materials import MATERIALS, Material
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.crank.build import crank
from shafts.crank.compliance import Unit, respond
from shafts.shaft import Segment, Shaft

LAYOUTS = ("overhung", "outboard", "held")


def metal(of: Metal) -> Material:
    return replace(MATERIALS["steel"], young=of.young, shear=of.shear)


def plain(one: frame.Crank) -> frame.Crank:
    """A crank with solid pins, as a design has them, whose bored shafts shear as Cowper says."""
    return replace(one, pins=tuple(replace(pin, bore=0.0) for pin in one.pins), hollow_shear=True)


def shaft_of(one: frame.Crank) -> Shaft:
    """The same shaft in a design: it runs on along the throws, where the chain must cut it."""
    edges = [one.shaft[0].start]
    segments = []
    for step in one.shaft:
        if step.start > edges[-1] + 1e-12:
            segments.append(Segment(length=step.start - edges[-1], diameter=0.002))  # must not matter
        segments.append(Segment(length=step.end - step.start, diameter=step.diameter, bore=step.bore))
        edges.append(step.end)
    bearings = tuple(Bearing(at=each.at, bush=Bush(bore=0.005, length=0.005)) for each in one.bearings)
    return Shaft(material=metal(one.metal), segments=tuple(segments), starts_at=one.shaft[0].start, bearings=bearings)


def cranks_of(one: frame.Crank) -> Cranks:
    throws = {
        f"throw {number}": Throw(
            radius=pin.radius,
            phase=pin.angle,
            at=(pin.start + pin.end) / 2,
            pin=Crankpin(diameter=pin.diameter, length=pin.end - pin.start, material=metal(pin.metal)),
        )
        for number, pin in enumerate(one.pins)
    }
    webs = tuple(
        Web(at=web.middle, mass=0.0, thickness=web.thickness, width=web.width, material=metal(web.metal))
        for web in one.webs
    )
    return Cranks(centre_distance=0.05, throws=throws, webs=webs)


def both(one: frame.Crank, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Compliance by chain and by frame at pins and places of the shaft, and the bearings' reactions by both."""
    along = [float(rng.uniform(step.start, step.end)) for step in one.shaft for _ in range(2)]
    columns, points = [], []
    for number, pin in enumerate(one.pins):
        x, y, z = pin.radius * np.sin(pin.angle), pin.radius * np.cos(pin.angle), (pin.start + pin.end) / 2
        columns += [(Unit(z, x, y, fx=1.0),), (Unit(z, x, y, fy=1.0),)]
        points += [(frame.Place(z, number), way) for way in (0, 1)]
    for z in along:
        columns += [(Unit(z, fx=1.0),), (Unit(z, fy=1.0),), (Unit(z, cx=1.0),), (Unit(z, cy=1.0),), (Unit(z, cz=1.0),)]
        points += [(frame.Place(z), way) for way in (0, 1, 3, 4, 5)]
    shaft = shaft_of(one)
    chain = crank(shaft, cranks_of(one), "right", [*along, *(each.at for each in one.bearings), one.torque_at])
    supports = np.diag([1 / each.stiffness for each in one.bearings])
    response = respond(chain, columns, [each.at for each in one.bearings], one.torque_at, supports)
    rows = range(len(columns))
    ours = response.by_members(rows) + response.by_supports(rows, supports)
    cases = []
    for place, way in points:
        vector = [0.0] * 6
        vector[way] = 1.0
        cases.append([frame.Load(place, tuple(vector[:3]), tuple(vector[3:]))])
    bent = frame.bend(one, cases, [place for place, _ in points])
    theirs = np.array(
        [[bent.moves[case, row, way] for case in range(len(cases))] for row, (_, way) in enumerate(points)]
    )
    count = len(one.bearings)
    reactions = np.concatenate([bent.bearings[:, :, 0].T, bent.bearings[:, :, 1].T])
    return ours, theirs, response.reactions[: 2 * count], reactions


@pytest.mark.parametrize("throws", [1, 2])
@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("seed", range(8))
def test_the_chain_bends_as_a_frame_in_space_does(layout: str, throws: int, seed: int) -> None:
    rng = np.random.default_rng([seed, throws, LAYOUTS.index(layout)])
    ours, theirs, pushed, their_push = both(plain(random_crank(rng, layout, throws)), rng)
    size = np.sqrt(np.outer(np.diag(theirs), np.diag(theirs)))
    np.testing.assert_allclose(ours / size, theirs / size, rtol=0, atol=1e-8)
    np.testing.assert_allclose(pushed, their_push, rtol=0, atol=1e-8 * np.max(np.abs(their_push)))

"""The frame in space against closed forms, and against what must hold of any frame.

Closed forms are those of any book on strength of materials (unit load method); nothing here is a published number.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from engines.space_frame import (
    LONG,
    Element,
    Frame,
    Metal,
    Section,
    Springs,
    axes,
    load_at,
    rectangle,
    roark_torsion,
    round_coefficient,
    round_section,
    series_torsion,
    solve,
)

STEEL, BRASS = Metal(206e9, 79.4e9), Metal(100e9, 37e9)
ALL = range(6)
ODD = Section(area=3e-5, second_1=7e-11, second_2=2e-10, torsion=1.1e-10, coefficient=0.85)  # all sizes differ
EXACT = 1e-12


def clamped(node=0):
    """Return the holds that clamp a node."""
    return tuple((node, way) for way in ALL)


def line(places, section=ODD, metal=STEEL, **more):
    """Return a frame of one straight bar along z with nodes at `places`, m; axis 1 is x, axis 2 is y."""
    nodes = np.array([(0.0, 0.0, z) for z in places])
    elements = tuple(Element(i, i + 1, section, metal, (0, 1, 0)) for i in range(len(places) - 1))
    return Frame(nodes, elements, **more)


def rotation(rng):
    """Return a random proper rotation, (3, 3)."""
    turn, upper = np.linalg.qr(rng.normal(size=(3, 3)))
    turn = turn * np.sign(np.diag(upper))
    return turn * np.sign(np.linalg.det(turn))


def turned(frame, turn):
    """Return the same frame turned about the origin; its springs must be of six rows a node."""
    elements = tuple(replace(each, axis_2=tuple(turn @ each.axis_2)) for each in frame.elements)
    springs = []
    for each in frame.springs:
        wide = np.kron(np.eye(2 * len(each.nodes)), turn)
        springs.append(replace(each, matrix=wide @ each.matrix @ wide.T))
    return replace(frame, nodes=frame.nodes @ turn.T, elements=elements, springs=tuple(springs))


def split(frame, parts):
    """Return the same frame with every element in equal parts; the nodes there were keep their numbers."""
    nodes, elements = list(frame.nodes), []
    for each in frame.elements:
        first, last = frame.nodes[each.start], frame.nodes[each.end]
        chain = [each.start, *range(len(nodes), len(nodes) + parts - 1), each.end]
        nodes += [first + (last - first) * share / parts for share in range(1, parts)]
        elements += [replace(each, start=a, end=b) for a, b in pairwise(chain)]
    return replace(frame, nodes=np.array(nodes), elements=tuple(elements))


def tangle(rng, count=7):
    """Return a random frame: a tree of bars and one ring, two rigid links, a spring on each of two nodes, one coupled.

    It has no held freedom, so all that stands against the loads comes out of its springs.
    """
    nodes = rng.uniform(-0.05, 0.05, (count + 2, 3))
    pairs = [(int(rng.integers(0, i)), i) for i in range(1, count)] + [(0, count - 1)]
    elements = tuple(Element(a, b, bar(rng), metal(rng), tuple(rng.normal(size=3))) for a, b in dict.fromkeys(pairs))
    root = rng.normal(size=(12, 12)) * np.tile([1e3, 1e3, 1e3, 10, 10, 10], 2)[:, None]
    springs = (Springs((1, count), root @ root.T), Springs((2,), np.diag([1e6, 2e6, 3e6, 0, 0, 0])))
    return Frame(nodes, elements, links=((count, 3), (count + 1, count)), springs=springs)


def bar(rng):
    """Return a random section of a bar some millimetres thick."""
    one, other = rng.uniform(2e-3, 12e-3, 2)
    return rectangle(one, other, STEEL) if rng.random() < 0.5 else round_section(one, STEEL, bore=one / 3)


def metal(rng):
    """Return one metal of three."""
    return (STEEL, BRASS, Metal(70e9, 26e9))[rng.integers(3)]


def unit_loads(count):
    """Return a case of one unit load for every freedom, (6 count, count, 6)."""
    return np.eye(6 * count).reshape(6 * count, count, 6)


def test_cantilever_bends_and_shears():
    span, force = 0.03, 40.0
    frame = line([0, span], holds=clamped())
    loads = np.concatenate([load_at(2, 1, (force, 0, 0)), load_at(2, 1, (0, force, 0))])
    answer = solve(frame, loads)
    shear = force * span / (ODD.coefficient * STEEL.shear * ODD.area)
    for case, (second, tilt) in enumerate([(ODD.second_2, (4, 1)), (ODD.second_1, (3, -1))]):
        flexural = STEEL.young * second
        found = answer.moves[case, 1]
        np.testing.assert_allclose(found[case], force * span**3 / (3 * flexural) + shear, rtol=EXACT)
        np.testing.assert_allclose(found[tilt[0]], tilt[1] * force * span**2 / (2 * flexural), rtol=EXACT)
        others = np.delete(found, [case, tilt[0]])
        np.testing.assert_allclose(others, 0, atol=1e-20)
    np.testing.assert_allclose(answer.ends[0, 0, :6], [-force, 0, 0, 0, -force * span, 0], atol=1e-12)
    np.testing.assert_allclose(answer.ends[1, 0, :6], [0, -force, 0, force * span, 0, 0], atol=1e-12)
    np.testing.assert_allclose(answer.ends[0, 0, 6:], [force, 0, 0, 0, 0, 0], atol=1e-12)


def test_element_is_the_textbook_one():
    """Przemieniecki's eq. 5.116 in the local axes here: twelve unit motions of the ends, one after the other.

    Both planes written out; the ends are moved by springs so stiff that nothing else counts.
    """
    span, stiff = 0.03, 1e22
    frame = line([0, span], springs=(Springs((0, 1), np.eye(12) * stiff),))
    ends = solve(frame, unit_loads(2) * stiff).ends[:, 0]
    expected = np.zeros((12, 12))
    for second, places, sign in ((ODD.second_2, [0, 4, 6, 10], 1), (ODD.second_1, [1, 3, 7, 9], -1)):
        flexural = STEEL.young * second
        phi = 12 * flexural / (ODD.coefficient * STEEL.shear * ODD.area * span**2)
        a, b, c, d = 12 / span**2, sign * 6 / span, 4 + phi, 2 - phi
        rows = [[a, b, -a, b], [b, c, -b, d], [-a, -b, a, -b], [b, d, -b, c]]
        expected[np.ix_(places, places)] = np.array(rows) * flexural / (span * (1 + phi))
    for places, stiffness in (([2, 8], STEEL.young * ODD.area), ([5, 11], STEEL.shear * ODD.torsion)):
        expected[np.ix_(places, places)] = np.array([[1, -1], [-1, 1]]) * stiffness / span
    np.testing.assert_allclose(ends, expected, rtol=1e-9, atol=1e-4)


def test_cantilever_bends_under_a_couple():
    """Slope M L/(E I), deflection M L^2/(2 E I); shear has no part in it."""
    span, couple = 0.03, 2.0
    loads = np.concatenate([load_at(2, 1, couple=(couple, 0, 0)), load_at(2, 1, couple=(0, couple, 0))])
    found = solve(line([0, span], holds=clamped()), loads).moves[:, 1]
    bent_1, bent_2 = couple / (STEEL.young * ODD.second_1), couple / (STEEL.young * ODD.second_2)
    np.testing.assert_allclose(found[0, [1, 3]], [-bent_1 * span**2 / 2, bent_1 * span], rtol=EXACT)
    np.testing.assert_allclose(found[1, [0, 4]], [bent_2 * span**2 / 2, bent_2 * span], rtol=EXACT)


def test_twist_and_stretch_of_two_bars_in_a_row():
    frame = line([0, 0.02, 0.05], holds=clamped())
    second = replace(frame.elements[1], metal=BRASS)
    frame = replace(frame, elements=(frame.elements[0], second))
    found = solve(frame, load_at(3, 2, (0, 0, 30.0), (0, 0, 0.7))).moves[0, 2]
    stretch = 30 / ODD.area * (0.02 / STEEL.young + 0.03 / BRASS.young)
    twist = 0.7 / ODD.torsion * (0.02 / STEEL.shear + 0.03 / BRASS.shear)
    np.testing.assert_allclose(found, [0, 0, stretch, 0, 0, twist], rtol=EXACT, atol=1e-20)


@pytest.mark.parametrize("seed", range(3))
def test_cantilever_with_an_arm(seed):
    """Leg b along z, arm a along x, force at the arm's end along y: both bend and shear, the leg twists by P a.

    Along z the leg is stretched, and bent by P a; along x the arm is stretched and the leg bends and shears.
    """
    leg, arm, force = 0.030, 0.012, 100.0
    one, other = rectangle(5e-3, 8e-3, STEEL), rectangle(3e-3, 9e-3, BRASS)
    nodes = np.array([(0, 0, 0), (0, 0, leg), (arm, 0, leg)])
    elements = (Element(0, 1, one, STEEL, (0, 1, 0)), Element(1, 2, other, BRASS, (0, 1, 0)))
    turn = rotation(np.random.default_rng(seed))
    frame = turned(Frame(nodes, elements, holds=clamped()), turn)
    loads = np.concatenate([load_at(3, 2, tuple(turn[:, way] * force)) for way in range(3)])
    found = np.diag(solve(frame, loads).moves[:, 2, :3] @ turn)
    slide_1 = leg / (one.coefficient * STEEL.shear * one.area)
    slide_2 = arm / (other.coefficient * BRASS.shear * other.area)
    along_y = leg**3 / (3 * STEEL.young * one.second_1) + arm**3 / (3 * BRASS.young * other.second_1)
    along_y += arm**2 * leg / (STEEL.shear * one.torsion) + slide_1 + slide_2
    along_z = arm**3 / (3 * BRASS.young * other.second_2) + arm**2 * leg / (STEEL.young * one.second_2)
    along_z += slide_2 + leg / (STEEL.young * one.area)
    along_x = leg**3 / (3 * STEEL.young * one.second_2) + slide_1 + arm / (BRASS.young * other.area)
    np.testing.assert_allclose(found / force, [along_x, along_y, along_z], rtol=1e-11)


def test_rod_bent_twice():
    """Legs along z, x, y, force along z at the end: stretch, bending by P b, then bending by P c and twist by P c."""
    first, second, third = 0.03, 0.02, 0.015
    nodes = np.array([(0, 0, 0), (0, 0, first), (second, 0, first), (second, third, first)])
    section = round_section(6e-3, STEEL)
    ways = ((0, 1, 0), (0, 1, 0), (1, 0, 0))
    elements = tuple(Element(i, i + 1, section, STEEL, way) for i, way in enumerate(ways))
    found = solve(Frame(nodes, elements, holds=clamped()), load_at(4, 3, (0, 0, 1.0))).moves[0, 3, 2]
    bends = second**3 / 3 + third**3 / 3 + (second**2 + third**2) * first
    expected = bends / (STEEL.young * section.second_1) + third**2 * second / (STEEL.shear * section.torsion)
    expected += first / (STEEL.young * section.area)
    expected += (second + third) / (section.coefficient * STEEL.shear * section.area)
    np.testing.assert_allclose(found, expected, rtol=1e-11)


def test_simply_supported():
    """F a^2 b^2/(3 E I l) + F a b/(k G A l) under the load; the bar leans on its ends by F b/l and F a/l."""
    a, b, force = 0.02, 0.045, 60.0
    span = a + b
    holds = ((0, 0), (0, 1), (0, 2), (0, 5), (2, 0), (2, 1))
    answer = solve(line([0, a, span], holds=holds), load_at(3, 1, (force, 0, 0)))
    expected = force * a**2 * b**2 / (3 * STEEL.young * ODD.second_2 * span)
    expected += force * a * b / (ODD.coefficient * STEEL.shear * ODD.area * span)
    np.testing.assert_allclose(answer.moves[0, 1, 0], expected, rtol=EXACT)
    np.testing.assert_allclose(answer.held[0], np.array([-b, 0, 0, 0, -a, 0]) * force / span, rtol=EXACT, atol=1e-12)


def test_a_load_on_what_is_held_goes_straight_into_the_hold():
    holds = (*clamped(), (1, 0), (1, 5))
    alone = solve(line([0, 0.03], holds=holds), load_at(2, 1, (0, 7.0, 5.0), (3.0, 0, 0)))
    both = solve(line([0, 0.03], holds=holds), load_at(2, 1, (2.0, 7.0, 5.0), (3.0, 0, 0.4)))
    np.testing.assert_array_equal(both.moves, alone.moves)
    np.testing.assert_allclose(both.held - alone.held, [[0, 0, 0, 0, 0, 0, -2.0, -0.4]], atol=1e-14)
    np.testing.assert_allclose(alone.held[0, [1, 2, 3, 6]], [-7.0, -5.0, -3.0 + 0.03 * 7.0, 0.0], atol=1e-14)


def test_three_soft_bearings():
    """Force in the first of two equal spans, the outer springs alike: the middle reaction by the force method.

    With the middle spring away the middle moves by d_f; a unit force there moves it by d_1: R (d_1 + 1/k) = d_f.
    """
    half, at, soft, middle = 0.03, 0.012, 4e6, 9e6
    springs = tuple(Springs((node,), np.diag([k, k, 0.0])) for node, k in ((0, soft), (2, middle), (3, soft)))
    frame = line([0, at, half, 2 * half], springs=springs, holds=((0, 2), (0, 5)))
    answer = solve(frame, load_at(4, 1, (1.0, 0, 0)))
    flexural, sliding = STEEL.young * ODD.second_2, ODD.coefficient * STEEL.shear * ODD.area
    span, far = 2 * half, 2 * half - at
    loaded = at * half * (span**2 - at**2 - half**2) / (6 * flexural * span) + at / (2 * sliding)
    loaded += (far + at) / (2 * span * soft)
    unit = span**3 / (48 * flexural) + span / (4 * sliding) + 1 / (2 * soft)
    reaction = loaded / (unit + 1 / middle)
    expected = np.array([far / span - reaction / 2, reaction, at / span - reaction / 2])
    np.testing.assert_allclose([each[0, 0, 0] for each in answer.springs], -expected, rtol=1e-11)


def test_rigid_links_in_a_chain():
    """A rigid arm r to the side and on by c at a cantilever's end is a force, a twist F r and a couple F c there."""
    span, r, c, force = 0.03, 0.01, 0.007, 25.0
    frame = line([0, span], holds=clamped())
    nodes = np.vstack([frame.nodes, [(0, r, span), (0, r, span + c)]])
    linked = replace(frame, nodes=nodes, links=((2, 1), (3, 2)))
    found = solve(linked, load_at(4, 3, (force, 0, 0))).moves[0]
    flexural, sliding = STEEL.young * ODD.second_2, ODD.coefficient * STEEL.shear * ODD.area
    twist = -force * r * span / (STEEL.shear * ODD.torsion)
    tilt = force * (span**2 / 2 + c * span) / flexural
    root = force * (span**3 / 3 + c * span**2 / 2) / flexural + force * span / sliding
    np.testing.assert_allclose(found[1], [root, 0, 0, 0, tilt, twist], rtol=EXACT, atol=1e-20)
    np.testing.assert_allclose(found[3], [root + tilt * c - twist * r, 0, 0, 0, tilt, twist], rtol=EXACT, atol=1e-20)


@pytest.mark.parametrize("seed", range(4))
def test_forces_and_displacements_are_reciprocal(seed):
    frame = tangle(np.random.default_rng(seed))
    count = len(frame.nodes)
    give = solve(frame, unit_loads(count)).moves.reshape(6 * count, 6 * count)
    np.testing.assert_allclose(give, give.T, rtol=1e-10, atol=1e-13 * np.abs(give).max())
    assert np.linalg.eigvalsh((give + give.T) / 2).min() > -1e-12 * np.abs(give).max()


@pytest.mark.parametrize("seed", range(4))
def test_forces_balance(seed):
    """All springs together hold what is loaded, and every element what its own ends bring."""
    rng = np.random.default_rng(seed)
    frame = tangle(rng)
    loads = rng.normal(size=(3, len(frame.nodes), 6))
    answer = solve(frame, loads)
    outside = loads.copy()
    for each, force in zip(frame.springs, answer.springs, strict=True):
        outside[:, list(each.nodes)] += force
    balance = outside.sum(axis=1)
    balance[:, 3:] += np.cross(frame.nodes, outside[:, :, :3]).sum(axis=1)
    np.testing.assert_allclose(balance, 0, atol=1e-11 * np.abs(outside).max())
    for number, each in enumerate(frame.elements):
        chord = axes(frame, each).astype(float) @ (frame.nodes[each.end] - frame.nodes[each.start])
        first, last = answer.ends[:, number, :6], answer.ends[:, number, 6:]
        np.testing.assert_allclose(first[:, :3], -last[:, :3], atol=1e-10)
        np.testing.assert_allclose(first[:, 3:] + last[:, 3:] + np.cross(chord, last[:, :3]), 0, atol=1e-11)


@pytest.mark.parametrize("seed", range(4))
def test_work_of_the_loads_is_strain_energy(seed):
    """Half of force times way = energy of elements, from their end forces by flexibility, and of springs."""
    rng = np.random.default_rng(seed)
    frame = tangle(rng)
    loads = rng.normal(size=(1, len(frame.nodes), 6)) * [10, 10, 10, 0.1, 0.1, 0.1]
    answer = solve(frame, loads)
    stored = sum(energy(frame, each, answer.ends[0, n]) for n, each in enumerate(frame.elements))
    for each, force in zip(frame.springs, answer.springs, strict=True):
        stored -= 0.5 * np.sum(force[0] * answer.moves[0, list(each.nodes)])
    np.testing.assert_allclose(stored, 0.5 * np.sum(loads[0] * answer.moves[0]), rtol=1e-10)


def energy(frame, element, ends):
    """Return the strain energy of an element, J, from the loads at its ends; couples run evenly between these."""
    section, material = element.section, element.metal
    span = float(np.linalg.norm(frame.nodes[element.end] - frame.nodes[element.start]))
    shear = section.coefficient * material.shear * section.area
    work = (ends[6] ** 2 + ends[7] ** 2) / shear + ends[8] ** 2 / (material.young * section.area)
    work += ends[11] ** 2 / (material.shear * section.torsion)
    for near, far, second in ((-ends[3], ends[9], section.second_1), (-ends[4], ends[10], section.second_2)):
        work += (near**2 + near * far + far**2) / (3 * material.young * second)
    return 0.5 * work * span


@pytest.mark.parametrize("parts", [2, 5, 16])
def test_splitting_changes_nothing(parts):
    rng = np.random.default_rng(parts)
    frame = tangle(rng)
    count = len(frame.nodes)
    loads = rng.normal(size=(2, count, 6))
    finer = split(frame, parts)
    more = np.concatenate([loads, np.zeros((2, len(finer.nodes) - count, 6))], axis=1)
    whole, parted = solve(frame, loads), solve(finer, more)
    np.testing.assert_allclose(parted.moves[:, :count], whole.moves, rtol=1e-9, atol=1e-12 * np.abs(whole.moves).max())
    np.testing.assert_allclose(parted.ends[:, ::parts, :6], whole.ends[:, :, :6], atol=1e-10 * np.abs(whole.ends).max())


@pytest.mark.parametrize("seed", range(4))
def test_turning_everything_changes_nothing(seed):
    rng = np.random.default_rng(seed)
    frame, turn = tangle(rng), rotation(rng)
    frame = replace(frame, springs=(frame.springs[0], Springs((2,), np.diag([1e6, 2e6, 3e6, 1.0, 2.0, 3.0]))))
    loads = rng.normal(size=(2, len(frame.nodes), 6))
    both = np.kron(np.eye(2), turn)
    here, there = solve(frame, loads), solve(turned(frame, turn), loads @ both.T)
    np.testing.assert_allclose(there.moves, here.moves @ both.T, atol=1e-11 * np.abs(here.moves).max())
    np.testing.assert_allclose(there.ends, here.ends, atol=1e-10 * np.abs(here.ends).max())


@pytest.mark.skipif(np.finfo(LONG).nmant < 63, reason="this machine's long numbers are its usual ones")
def test_digits_are_kept_beside_stiff_and_short_elements():
    """Lengths from 0.2 to 200 mm, diameters 2 to 40 mm, a metal as stiff as a thousand steels: the unit load integral.

    u = sum of ((l - a)^3 - (l - b)^3)/(3 E I) + (b - a)/(k G A) over the steps from a to b.
    """
    hard = Metal(206e12, 79.4e12)
    steps = [(0.2e-3, 0.002, STEEL), (1e-3, 0.04, hard), (0.2, 0.003, STEEL), (0.3e-3, 0.03, hard), (0.05, 0.02, BRASS)]
    places = np.concatenate([[0.0], np.cumsum([each[0] for each in steps])])
    sections = [round_section(diameter, material) for _, diameter, material in steps]
    nodes = np.array([(0, 0, z) for z in places])
    made = enumerate(zip(sections, steps, strict=True))
    elements = tuple(Element(i, i + 1, section, step[2], (0, 1, 0)) for i, (section, step) in made)
    answer = solve(Frame(nodes, elements, holds=clamped()), load_at(6, 5, (1.0, 0, 0)))
    left = places[-1] - places
    expected = 0.0
    for i, (section, (_, _, material)) in enumerate(zip(sections, steps, strict=True)):
        expected += (left[i] ** 3 - left[i + 1] ** 3) / (3 * material.young * section.second_1)
        expected += (left[i] - left[i + 1]) / (section.coefficient * material.shear * section.area)
    np.testing.assert_allclose(answer.moves[0, 5, 0], expected, rtol=1e-11)
    # Forces come from strains, which in the hard steps are a part in 1e12 of the displacements.
    np.testing.assert_allclose(answer.ends[0, :, 6], 1.0, rtol=1e-6)
    np.testing.assert_allclose(answer.ends[0, [0, 2, 4], 6], 1.0, rtol=1e-11)


def test_sections():
    """Cowper's k for a Poisson's ratio of 0.3: 0.886 round, 0.850 rectangle, about 0.53 thin tube."""
    metal = Metal(2.6, 1.0)
    assert round_section(1.0, metal).coefficient == pytest.approx(0.8864, abs=1e-4)
    assert rectangle(1.0, 2.0, metal).coefficient == pytest.approx(0.8497, abs=1e-4)
    assert round_coefficient(0.3, 1.0) == pytest.approx(2 * 1.3 / (4 + 3 * 0.3))
    assert round_section(1.0, metal, 0.5, hollow=True).coefficient < round_section(1.0, metal, 0.5).coefficient
    np.testing.assert_allclose(round_section(2.0, metal, 1.0).torsion, np.pi / 2 * (1 - 1 / 16))
    np.testing.assert_allclose(rectangle(2.0, 3.0, metal).second_1, 2 * 27 / 12)


@pytest.mark.parametrize("ratio", [1.0, 1.5, 2.0, 4.0, 10.0])
def test_twist_of_rectangles(ratio):
    """Timoshenko and Goodier's table of J/(w t^3): 0.1406, 0.196, 0.229, 0.281, 0.312; Roark's formula lies near."""
    table = {1.0: 0.1406, 1.5: 0.196, 2.0: 0.229, 4.0: 0.281, 10.0: 0.312}
    assert series_torsion(1.0, ratio) / ratio == pytest.approx(table[ratio], abs=6e-4)
    assert roark_torsion(ratio, 1.0) == pytest.approx(series_torsion(1.0, ratio), rel=5e-3)


def test_what_cannot_be_solved_is_refused():
    with pytest.raises(ValueError, match="mechanism"):
        solve(line([0, 1.0], holds=((0, 0), (0, 1), (0, 2), (1, 0), (1, 1))), load_at(2, 1, (0, 0, 1)))
    with pytest.raises(ValueError, match="nothing holds"):
        solve(replace(line([0, 1.0], holds=clamped()), nodes=np.eye(3)), load_at(3, 1))
    with pytest.raises(ValueError, match="no length"):
        solve(line([0, 0.0], holds=clamped()), load_at(2, 1))
    with pytest.raises(ValueError, match="two masters"):
        solve(line([0, 1.0, 2.0], links=((2, 1), (2, 0))), load_at(3, 1))
    with pytest.raises(ValueError, match="ring"):
        solve(line([0, 1.0, 2.0], links=((2, 1), (1, 2))), load_at(3, 1))
    with pytest.raises(ValueError, match="slave"):
        solve(line([0, 1.0], links=((1, 0),), holds=((1, 0),)), load_at(2, 1))
    with pytest.raises(ValueError, match="3 or 6 rows"):
        solve(line([0, 1.0], springs=(Springs((0,), np.eye(4)),)), load_at(2, 1))

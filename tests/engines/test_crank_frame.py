"""Cranks as frames: closed forms of those that statics alone solves, and what must hold of every crank."""

from dataclasses import replace
from math import cos, inf, pi, sin

import numpy as np
import pytest
from engines.crank_frame import SHAFT, Bearing, Crank, Load, Pin, Place, Step, Web, bend, compliance
from engines.space_frame import Metal, rectangle, round_section
from random_cranks import LAYOUTS, random_crank

STEEL, BRASS, LIGHT = Metal(206e9, 79.4e9), Metal(100e9, 37e9), Metal(70e9, 26.3e9)
KINDS = [(layout, throws) for layout in LAYOUTS for throws in (1, 2)]
SPAN, NECK, THICK, WIDE, THROW, REACH = 0.05, 0.008, 0.006, 0.014, 0.011, 0.013  # m
END = NECK + THICK + REACH  # of the pin; the bearing next to the crank is at z = 0


def overhung(near=inf, far=inf, angle=0.0):
    """Return a shaft with bearings at -SPAN and 0, NECK, a web and a free pin."""
    return Crank(
        shaft=(Step(-SPAN, NECK, 0.007),),
        metal=STEEL,
        webs=(Web(NECK + THICK / 2, THICK, WIDE, LIGHT, (SHAFT, 0)),),
        pins=(Pin(NECK + THICK, END, 0.005, THROW, angle, BRASS),),
        bearings=(Bearing(-SPAN, far), Bearing(0.0, near, axial=True)),
        torque_at=0.0,
    )


def stiffness(section, metal):
    """Return E A, k G A, G J, N and N m^2, and E I about axes 1 and 2."""
    shear = section.coefficient * metal.shear * section.area
    bend_1, bend_2 = metal.young * section.second_1, metal.young * section.second_2
    return metal.young * section.area, shear, metal.shear * section.torsion, bend_1, bend_2


SHAFT_IS, PIN_IS = stiffness(round_section(0.007, STEEL), STEEL), stiffness(round_section(0.005, BRASS), BRASS)
WEB_IS = stiffness(rectangle(WIDE, THICK, LIGHT), LIGHT)
ARM = END - NECK - THICK / 2  # from the web's middle to the end of the pin


def shaft_bends(near, far):
    """Return what the shaft and its bearings give under a unit force across the axis at z = END."""
    _, shear, _, flexural, _ = SHAFT_IS
    found = (END**3 - (END - NECK) ** 3) / (3 * flexural) + NECK / shear
    found += END**2 * SPAN / (3 * flexural) + (END / SPAN) ** 2 * SPAN / shear
    return found + (1 + END / SPAN) ** 2 / near + (END / SPAN) ** 2 / far


@pytest.mark.parametrize(("near", "far"), [(inf, inf), (3e7, inf), (5e6, 2e7)])
def test_overhung_crank_by_the_unit_load(near, far):
    """Tangential, radial and axial unit force at the end of the pin, each with all that gives way under it."""
    place = Place(END, 0)
    found = np.diag(compliance(overhung(near, far), [(place, 0), (place, 1), (place, 2)]))
    stretch, shear, twist, across, in_plane = WEB_IS
    pin = REACH**3 / (3 * PIN_IS[3]) + REACH / PIN_IS[1]
    tangential = shaft_bends(near, far) + THROW**2 * NECK / SHAFT_IS[2] + pin
    tangential += THROW**3 / (3 * in_plane) + THROW / shear + ARM**2 * THROW / twist
    radial = shaft_bends(near, far) + pin + THROW / stretch + ARM**2 * THROW / across
    axial = REACH / PIN_IS[0] + THROW**3 / (3 * across) + THROW / shear + NECK / SHAFT_IS[0]
    axial += THROW**2 * ((NECK + SPAN / 3) / SHAFT_IS[3] + 1 / (SPAN * SHAFT_IS[1]))
    axial += (THROW / SPAN) ** 2 * (1 / near + 1 / far)
    np.testing.assert_allclose(found, [tangential, radial, axial], rtol=1e-11)


def test_reactions_of_an_overhung_crank():
    """By moments: across F (1 + END/SPAN) and -F END/SPAN, for a force along z F r/SPAN; torque F r."""
    cases = [[Load(Place(END, 0), tuple(way))] for way in np.eye(3)]
    bent = bend(overhung(4e7, 9e6), cases, [])
    lean = END / SPAN
    turn = THROW / SPAN
    expected = [
        [[lean, 0, 0], [-1 - lean, 0, 0]],
        [[0, lean, 0], [0, -1 - lean, 0]],
        [[0, -turn, 0], [0, turn, -1]],
    ]
    np.testing.assert_allclose(bent.bearings, expected, atol=1e-11)
    np.testing.assert_allclose(bent.torque, [THROW, 0, 0], atol=1e-13)


def test_loads_over_a_rigid_bearing_move_nothing():
    """A force across or along z on a bearing without give, and a couple where the shaft is held against turning."""
    bent = bend(overhung(), [[Load(Place(0.0), (1.0, 2.0, 3.0), (0, 0, 4.0))]], [Place(END, 0)])
    np.testing.assert_array_equal(bent.moves, 0)
    np.testing.assert_allclose(bent.bearings[0], [[0, 0, 0], [-1, -2, -3]], atol=1e-15)
    np.testing.assert_allclose(bent.torque, -4.0)


def test_loads_of_members_of_an_overhung_crank():
    """A tangential force bends the web in its plane by F r at the shaft and twists it by F times its arm."""
    bent = bend(overhung(), [[Load(Place(END, 0), (1.0, 0, 0))]], [])
    ends = {(each.kind, each.start): bent.ends[0, n] for n, each in enumerate(bent.members)}
    web = ends["web", NECK + THICK / 2]  # local axes: 1 along z x y = -x, 2 along z, 3 along y
    np.testing.assert_allclose(web[6:], [-1, 0, 0, 0, 0, ARM], atol=1e-11)
    np.testing.assert_allclose(web[:6], [1, 0, 0, 0, THROW, -ARM], atol=1e-11)
    np.testing.assert_allclose(ends["pin", NECK + THICK][:6], [-1, 0, 0, 0, -REACH, 0], atol=1e-11)
    np.testing.assert_allclose(ends["shaft", 0.0][:6], [-1, 0, 0, 0, -END, THROW], atol=1e-11)


def test_places_inside_a_web_are_rigid_with_it():
    """What a pin does where it begins, it does in its seat too, but for the turn; the same on the shaft."""
    seat, face = Place(NECK + THICK / 4, 0), Place(NECK + THICK, 0)
    looks = [seat, face, Place(NECK + THICK / 3), Place(NECK)]
    moves = bend(overhung(), [[Load(Place(END, 0), (3.0, 4.0, 5.0))]], looks).moves[0]
    for inside, outside, depth in ((0, 1, -0.75 * THICK), (2, 3, THICK / 3)):
        np.testing.assert_allclose(moves[inside, 3:], moves[outside, 3:], rtol=1e-12)
        turn = np.cross(moves[outside, 3:], [0, 0, depth])
        np.testing.assert_allclose(moves[inside, :3], moves[outside, :3] + turn, rtol=1e-12)
    seated = compliance(overhung(), [(seat, 0), (Place(END, 0), 0)])
    np.testing.assert_allclose(seated[0, 1], seated[1, 0], rtol=1e-12)


def held(angle=0.0, soft=inf):
    """Return a crank of one throw on two bearings, alike on both sides."""
    side, first = 0.02, 0.02 + THICK
    last = first + 2 * REACH
    webs = tuple(
        Web(z, THICK, WIDE, LIGHT, axes) for z, axes in ((first - THICK / 2, (-1, 0)), (last + THICK / 2, (0, -1)))
    )
    end = last + THICK + side
    return Crank(
        shaft=(Step(0.0, side, 0.007), Step(last + THICK, end, 0.007)),
        metal=STEEL,
        webs=webs,
        pins=(Pin(first, last, 0.005, THROW, angle, BRASS),),
        bearings=(Bearing(0.0, soft, axial=True), Bearing(end, soft)),
        torque_at=0.0,
    )


@pytest.mark.parametrize("soft", [inf, 8e6])
def test_crank_held_on_both_sides_under_a_radial_force(soft):
    """In the plane of the throw the bearings carry F/2 each, whatever the crank: M = F z/2 up to the middle.

    The webs are stretched by F/2 and bent by F/2 times the way from the bearing to their middle.
    """
    side, begin = 0.02, 0.02 + THICK
    middle = Place(begin + REACH, 0)
    half = side**3 / (3 * SHAFT_IS[3]) + side / SHAFT_IS[1] + THROW / WEB_IS[0]
    half += (side + THICK / 2) ** 2 * THROW / WEB_IS[3] + 1 / soft
    half += ((begin + REACH) ** 3 - begin**3) / (3 * PIN_IS[3]) + REACH / PIN_IS[1]
    np.testing.assert_allclose(compliance(held(soft=soft), [(middle, 1)])[0, 0], half / 2, rtol=1e-11)


def test_crank_held_on_both_sides_under_torque():
    """Two bearings cannot answer a couple about their own line: it passes through shaft, webs and pin unchanged.

    Shaft and pin twist by it, each web bends in its plane by it over the whole of its length. A second bearing on each
    side keeps the shaft from swinging aside, and the crank gives less.
    """
    crank = held(soft=2e7)
    far = Place(crank.bearings[1].at)
    free = 0.04 / SHAFT_IS[2] + 2 * REACH / PIN_IS[2] + 2 * THROW / WEB_IS[4]
    bent = bend(crank, [[Load(far, couple=(0, 0, 1.0))]], [far])
    np.testing.assert_allclose(bent.moves[0, 0, 5], free, rtol=1e-11)
    np.testing.assert_allclose(bent.bearings, 0, atol=1e-9)
    more = replace(crank, bearings=(*crank.bearings, Bearing(0.019, 2e7), Bearing(far.z - 0.019, 2e7)))
    assert 0.5 * free < compliance(more, [(far, 5)])[0, 0] < 0.99 * free


def places_of(crank, rng):
    """Return places on every pin and on the shaft, seats inside webs among them."""
    places = []
    for number, pin in enumerate(crank.pins):
        places += [Place(float(z), number) for z in (*rng.uniform(pin.start, pin.end, 2), pin.end)]
    places += [Place(float(rng.uniform(each.start, each.end))) for each in crank.shaft]
    return [*places, Place(crank.webs[0].middle), Place(crank.webs[0].middle, 0)]


def random_cases(rng, places, count=3):
    """Return cases with a load at every place."""
    loads = [Load(place, tuple(rng.normal(size=3) * 50), tuple(rng.normal(size=3))) for place in places * count]
    return [loads[first::count] for first in range(count)]


@pytest.fixture(params=range(3 * len(KINDS)))
def drawn(request):
    """A random crank of each kind, three of each, places on it and the generator."""
    rng = np.random.default_rng(request.param)
    crank = random_crank(rng, *KINDS[request.param % len(KINDS)])
    return crank, places_of(crank, rng), rng


def test_every_crank_balances(drawn):
    """Bearings and the hold against turning take what the loads bring, in force and in couple about the origin."""
    crank, places, rng = drawn
    cases = random_cases(rng, places)
    bent = bend(crank, cases, places)
    force, couple = bent.bearings.sum(axis=1), np.zeros((len(cases), 3))
    for number, bearing in enumerate(crank.bearings):
        couple += np.cross([0, 0, bearing.at], bent.bearings[:, number])
    couple[:, 2] += bent.torque
    for number, case in enumerate(cases):
        for load in case:
            force[number] += load.force
            couple[number] += load.couple + np.cross(spot(crank, load.place), load.force)
    np.testing.assert_allclose(force, 0, atol=1e-8)
    np.testing.assert_allclose(couple, 0, atol=1e-9)


def spot(crank, place):
    """Return the coordinates of a place, m."""
    if place.on == SHAFT:
        return np.array([0.0, 0.0, place.z])
    pin = crank.pins[place.on]
    return np.array([pin.radius * sin(pin.angle), pin.radius * cos(pin.angle), place.z])


def test_every_crank_is_reciprocal_and_gives_way(drawn):
    crank, places, _ = drawn
    give = compliance(crank, [(place, way) for place in places for way in range(6)])
    np.testing.assert_allclose(give, give.T, rtol=1e-10, atol=1e-12 * np.abs(give).max())
    assert np.linalg.eigvalsh((give + give.T) / 2).min() > -1e-12 * np.abs(give).max()
    assert np.all(np.diag(give) >= 0)


def test_no_crank_changes_when_its_members_are_split(drawn):
    crank, places, rng = drawn
    cases = random_cases(rng, places, 1)
    whole, parted = bend(crank, cases, places), bend(crank, cases, places, parts=3)
    np.testing.assert_allclose(parted.moves, whole.moves, rtol=1e-9, atol=1e-13 * np.abs(whole.moves).max())
    np.testing.assert_allclose(parted.bearings, whole.bearings, atol=1e-9 * np.abs(whole.bearings).max())


def test_no_crank_changes_when_it_turns_with_its_loads(drawn):
    """An angle runs from y towards x, that is against the right hand about z."""
    crank, places, rng = drawn
    angle = float(rng.uniform(-pi, pi))
    turn = np.array([[cos(angle), sin(angle), 0], [-sin(angle), cos(angle), 0], [0, 0, 1]])
    pins = tuple(replace(pin, angle=pin.angle + angle) for pin in crank.pins)
    cases = random_cases(rng, places)
    turned = [[turned_load(turn, load) for load in case] for case in cases]
    here, there = bend(crank, cases, places), bend(replace(crank, pins=pins), turned, places)
    both = np.kron(np.eye(2), turn)
    np.testing.assert_allclose(there.moves, here.moves @ both.T, atol=1e-11 * np.abs(here.moves).max())
    np.testing.assert_allclose(there.bearings, here.bearings @ turn.T, atol=1e-10 * np.abs(here.bearings).max())
    for number, member in enumerate(here.members):  # a web's axes turn with it, round members' do not
        expected = here.ends[:, number] if member.kind == "web" else here.ends[:, number] @ np.kron(np.eye(2), both).T
        np.testing.assert_allclose(there.ends[:, number], expected, atol=1e-10 * np.abs(here.ends).max())


def turned_load(turn, load):
    """Return a load at the same place of the crank, turned."""
    return replace(load, force=tuple(turn @ load.force), couple=tuple(turn @ load.couple))


def test_work_on_every_crank_is_stored(drawn):
    """Work of the loads = energy of members, from the loads at their ends by flexibility, and of the bearings."""
    crank, places, rng = drawn
    case = random_cases(rng, places, 1)[0]
    bent = bend(crank, [case], [load.place for load in case])
    work = sum(np.dot((*load.force, *load.couple), bent.moves[0, n]) for n, load in enumerate(case))
    stored = sum(twice_energy(crank, each, bent.ends[0, n]) for n, each in enumerate(bent.members))
    for bearing, force in zip(crank.bearings, bent.bearings[0], strict=True):
        stored += (force[0] ** 2 + force[1] ** 2) / bearing.stiffness
    np.testing.assert_allclose(stored, work, rtol=1e-10)


def twice_energy(crank, member, ends):
    """Return twice the energy of a member whose couples run evenly from end to end, J."""
    span = member.end - member.start
    if member.kind == "web":
        web = crank.webs[member.number]
        rest = [spot(crank, Place(web.middle, on)) for on in web.axes]
        span = float(np.linalg.norm(rest[1] - rest[0]))
        gives = stiffness(rectangle(web.width, web.thickness, web.metal), web.metal)
    elif member.kind == "pin":
        pin = crank.pins[member.number]
        gives = stiffness(round_section(pin.diameter, pin.metal, pin.bore), pin.metal)
    else:
        step = next(each for each in crank.shaft if each.start < (member.start + member.end) / 2 < each.end)
        gives = stiffness(round_section(step.diameter, crank.metal, step.bore), crank.metal)
    pull, shear, twist, bend_1, bend_2 = gives
    found = ends[8] ** 2 / pull + (ends[6] ** 2 + ends[7] ** 2) / shear + ends[11] ** 2 / twist
    for near, far, flexural in ((-ends[3], ends[9], bend_1), (-ends[4], ends[10], bend_2)):
        found += (near**2 + near * far + far**2) / (3 * flexural)
    return found * span


def test_random_cranks_are_of_all_kinds():
    drawn = [random_crank(np.random.default_rng(seed)) for seed in range(200)]
    assert {len(each.bearings) for each in drawn} == {2, 3, 4}
    assert {len(each.pins) for each in drawn} == {1, 2}
    assert {len(each.webs) - len(each.pins) for each in drawn} == {0, 1}
    for each in drawn:
        assert sum(bearing.axial for bearing in each.bearings) == 1
        sizes = [step.diameter for step in each.shaft]
        assert all(3e-3 <= size <= 14e-3 for size in sizes)
        assert all(6e-3 <= pin.radius <= 20e-3 and 3e-3 <= pin.diameter <= 10e-3 for pin in each.pins)
        assert all(3e-3 <= web.thickness <= 12e-3 for web in each.webs)
    assert any(step.bore for each in drawn for step in each.shaft)


def test_what_does_not_fit_together_is_refused():
    crank = overhung()
    with pytest.raises(ValueError, match="no pin 3"):
        compliance(crank, [(Place(0.0, 3), 0)])
    with pytest.raises(ValueError, match="nothing is at"):
        compliance(crank, [(Place(END + 0.001, 0), 0)])
    with pytest.raises(ValueError, match="nothing is at"):
        compliance(crank, [(Place(END), 0)])
    shifted = replace(crank, webs=(replace(crank.webs[0], middle=NECK),))
    with pytest.raises(ValueError, match="begins at a face"):
        compliance(shifted, [(Place(0.0), 0)])

"""A crank throw in plain numbers and Timoshenko's closed forms of its twist, for every test that needs them."""

from engines.space_frame import Metal, rectangle, round_section
from published.frames import slender

MM = 1e-3

# In m and Pa; `side`: from the end of a journal to the web's middle plane; `pin_length`: between both middle planes.
THROW = {
    "journal": 60 * MM,
    "pin": 55 * MM,
    "width": 90 * MM,
    "thickness": 22 * MM,
    "radius": 50 * MM,
    "side": 30 * MM,
    "pin_length": 60 * MM,
    "young": 206e9,
    "shear": 79.4e9,
}
TORSION = {  # rad/(N m); m of journal that twist as much; m
    "free": 1.798295e-6,
    "constrained": 1.413387e-6,
    "free_length": 0.1816713,
    "constrained_length": 0.1427863,
    "k": 0.132859,
}
OVERHUNG = {"force": 100.0, "tangential": 0.931766e-6, "radial": 1.184218e-6, "axial": 0.265534e-6}  # N, m


def sections(throw):
    """Return the metal and the sections, which do not shear, of journal, pin and web: across it, then along z."""
    metal = Metal(throw["young"], throw["shear"])
    web = rectangle(throw["width"], throw["thickness"], metal)
    rounds = (round_section(throw[each], metal) for each in ("journal", "pin"))
    return metal, *(slender(each) for each in (*rounds, web))


def rigidities(throw):
    """Return C1, C2, C3 of journal, pin and web in torsion, B of the web in its plane and B1 of the pin, N m^2."""
    metal, journal, pin, web = sections(throw)
    twists = [metal.shear * each.torsion for each in (journal, pin, web)]
    return *twists, metal.young * web.second_2, metal.young * pin.second_1


def free_form(throw):
    """Return 2 b1/C1 + a/C2 + 2 r/B, rad/(N m)."""
    c1, c2, _, b, _ = rigidities(throw)
    return 2 * throw["side"] / c1 + throw["pin_length"] / c2 + 2 * throw["radius"] / b


def constrained_form(throw):
    """Return 2 b1/C1 + a/C2 (1 - r/k) + 2 r/B (1 - r/(2 k)), rad/(N m), and k, m."""
    c1, c2, c3, b, b1 = rigidities(throw)
    r, a = throw["radius"], throw["pin_length"]
    above = r * a**2 / (4 * c3) + a * r**2 / (2 * c2) + a**3 / (24 * b1) + r**3 / (3 * b)
    k = above / (a * r / (2 * c2) + r**2 / (2 * b))
    return 2 * throw["side"] / c1 + a / c2 * (1 - r / k) + 2 * r / b * (1 - r / (2 * k)), k

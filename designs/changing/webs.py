"""A web that is cut to another width: what it then weighs, and where."""

import numpy as np

from balance.machine.crank import Web
from designs.changing.edit import Edit, Keys, edited, rounded
from designs.design import Design
from shafts.web_plates import web_plate

GRAM = 1e-5  # kg and m, how finely masses and mass centres are written


def widened(before: Design, after: Design, place: int, width: float) -> tuple[Edit, ...]:
    """Return a web, counted from 0, of so wide a bar, m: it weighs more by what its plate then has more, holes less.

    What is given of it besides its plate stays as it is. Where it holds no crankpin it is no plate, and its mass grows
    with its width.
    before : the design whose web it is.   after : the same with all that changes along with it, as a thicker shaft.
    """
    web, keys = before.cranks.webs[place], ("cranks", "webs", str(place))
    wide = Edit((*keys, "width"), width)
    old, new = (web_plate(each, place, each.shafts) for each in (before, edited(after, (wide,))))
    mass, centre = float(web.mass) * width / float(web.width), (float(web.cg[0]), float(web.cg[1]))  # type: ignore[arg-type]
    if old is not None and new is not None:
        mass = float(web.mass) + new.plate.mass - old.plate.mass
        more = np.subtract(new.plate.moment, old.plate.moment)
        across, along = (float(web.mass) * np.array(centre) + more) / mass
        centre = float(across), float(along)
    return wide, *web_edits(place, web, mass, centre)


def web_edits(place: int, web: Web, mass: float, centre: tuple[float, float]) -> tuple[Edit, ...]:
    """Return a web's mass, kg, and mass centre, m, where they are others; its moment of inertia in proportion."""
    keys: Keys = ("cranks", "webs", str(place))
    found = [] if mass == float(web.mass) else [Edit((*keys, "mass"), rounded(mass, GRAM))]
    if found and web.inertia is not None and float(web.inertia):
        found.append(Edit((*keys, "inertia"), float(f"{float(web.inertia) * mass / float(web.mass):.3g}")))
    if any(abs(one - float(other)) > 1e-6 for one, other in zip(centre, web.cg, strict=True)):
        found.append(Edit((*keys, "cg"), tuple(rounded(each, GRAM) for each in centre)))
    return tuple(found)

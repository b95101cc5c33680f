"""A counterweight in its true size, to be held against the part: edge, holes, sizes, and where the crankpins are."""

import numpy as np

from balance.plates.plate import flattened
from balance.plates.sector import Sector
from balance.plates.segment import Segment
from designs.evaluate import Evaluation
from designs.pages.svg import line, path, picture, tag, text
from designs.shown import number as number_of
from designs.shown import said as said_of
from designs.shown import shown

LETTERS = 3.0  # mm; height of words
LETTER = 0.56  # width of a letter over its height
SCALES = (1.0, 0.5, 0.25)  # largest first; the first at which it fits
WIDE = 84.0  # mm that the drawing may be wide


def counterweight(evaluation: Evaluation, plane: int = 0, wide: float = WIDE) -> str:
    """Return the counterweight of one plane, SVG in millimetres of paper; a sentence where there is none.

    wide : mm that the drawing may be wide; a larger one is drawn at half or a quarter of its size, and says so.
    """
    if evaluation.weights is None:
        return tag("p", "This design has no counterweights.", kind="none")
    weight = evaluation.weights.planes[plane]
    plate = weight.shape
    if float(plate.mass) <= 0:
        return tag("p", f"No counterweight is needed at {said_of(float(weight.at), 'm', 'g')}.", kind="none")
    edge = plate.corners * 1e3
    pins, scale = _crankpins(evaluation, float(weight.angle)), plate_scale(evaluation, plane, wide)
    size = LETTERS / scale
    half, reach, low = _extent(evaluation, plane, size)
    box = -half, -reach - 2.6 * size, 2 * half, reach + 3.2 * size + low
    inside = line(0, -reach - 0.4 * size, 0, low, "centre") + line(-half, 0, half, 0, "centre")
    inside += tag("path", d=path([(x, -y) for x, y in edge], closed=True), kind="plate")
    for x, y, diameter in plate.holes:
        inside += tag("circle", cx=float(x) * 1e3, cy=-float(y) * 1e3, r=float(diameter) * 5e2, kind="hole")
    inside += "".join(_pin(each, size) for each in pins) + _names(pins, size)
    centre = float(plate.centre) * 1e3
    inside += tag("path", d=f"M-1.2,{-centre:.2f}h2.4M0,{-centre - 1.2:.2f}v2.4", kind="centre-mark")
    inside += tag("circle", cx=0, cy=0, r=0.7, kind="shaft-mark")
    inside += text(0, -reach - 1.2 * size, _edge_words(plate.edge), "label", "middle")
    said = words(evaluation, [plane])
    kind = "plate-drawing" + ("" if scale == 1.0 else " reduced")
    drawn = picture(box, inside, f"Counterweight, drawn {scale_words(scale)}: {said}", kind)
    sizes = f' font-size="{size:.1f}" style="width:{box[2] * scale:.1f}mm;height:{box[3] * scale:.1f}mm"'
    return drawn.replace("<svg", f"<svg{sizes}", 1)


def plate_scale(evaluation: Evaluation, plane: int = 0, wide: float = WIDE) -> float:
    """Return the scale at which a counterweight is drawn: 1 is its true size."""
    fitting = (each for each in SCALES if 2 * _extent(evaluation, plane, LETTERS / each)[0] * each <= wide)
    return next(fitting, SCALES[-1])


def alike(evaluation: Evaluation) -> list[list[int]]:
    """Return the planes of the counterweights, those together in which the same plate stands at the same angle."""
    planes = [] if evaluation.weights is None else evaluation.weights.planes
    groups: dict[tuple, list[int]] = {}
    for number, weight in enumerate(planes):
        edge = weight.shape.corners
        holes = tuple(round(float(value), 9) for hole in weight.shape.holes for value in hole)
        thick, angle = round(float(weight.shape.thickness), 9), round(float(weight.angle), 6)
        groups.setdefault((edge.round(9).tobytes(), holes, thick, angle), []).append(number)
    return list(groups.values())


def scale_words(scale: float) -> str:
    """Return a scale in words."""
    return f"1:{1 / scale:g}"


def _extent(evaluation: Evaluation, plane: int, size: float) -> tuple[float, float, float]:
    """Return how far the drawing reaches to either side, up and down, mm; size : height of letters, mm."""
    assert evaluation.weights is not None
    weight = evaluation.weights.planes[plane]
    edge = weight.shape.corners * 1e3
    pins = _crankpins(evaluation, float(weight.angle))
    named = [abs(x) + LETTER * size * len(_name(each)) / 2 for each in pins for x in (each[1],)]
    over = LETTER * size * len(_edge_words(weight.shape.edge)) / 2
    half = max(float(np.abs(edge[:, 0]).max()) + 1.5, *named, over)
    lowest = max(
        size * 2, float(-edge[:, 1].min()) + 1, *(-y + 2 + size * (1.3 + 1.2 * len(pins)) for _, _, y, _ in pins)
    )
    return half, max(float(edge[:, 1].max()), *(y + 2 for _, _, y, _ in pins)), lowest


def _crankpins(evaluation: Evaluation, angle: float) -> list[tuple[str, float, float, float]]:
    """Return every crankpin by name, mm, with the weight's direction upward, and its angle to that, deg."""
    found = []
    for name, throw in evaluation.machine.cranks.throws.items():
        turned = float(throw.phase) - angle
        turned = (turned + np.pi) % (2 * np.pi) - np.pi
        radius = float(throw.radius) * 1e3
        found.append((name, radius * np.sin(turned), radius * np.cos(turned), float(np.degrees(turned))))
    return found


def _name(pin: tuple[str, float, float, float]) -> str:
    return f"{pin[0][:10]} {abs(pin[3]):.0f}°"


def _pin(pin: tuple[str, float, float, float], size: float) -> str:
    _, x, y, _ = pin
    return line(0, 0, x, -y, "to-pin") + tag("circle", cx=x, cy=-y, r=size / 2, kind="crankpin")


def _names(pins: list[tuple[str, float, float, float]], size: float) -> str:
    """Return the names of crankpins below them, one below the other where they would overlap."""
    found = ""
    taken: list[tuple[float, float, float]] = []
    for pin in sorted(pins, key=lambda each: -each[2]):
        x, y, half = pin[1], -pin[2] + 1.7 * size, LETTER * size * len(_name(pin)) / 2
        while any(abs(y - other) < 1.1 * size and abs(x - at) < half + its for at, other, its in taken):
            y += 1.2 * size
        taken.append((x, y, half))
        found += text(x, y, _name(pin), "label pin-name", "middle")
    return found


def _edge_words(edge) -> str:
    edge = getattr(edge, "chosen", edge)
    if isinstance(edge, Sector):
        inner = f"r {number_of(float(edge.inner), 'm', '.1f')}, " if float(edge.inner) > 0 else ""
        return f"{inner}R {number_of(float(edge.outer), 'm', '.1f')}, {np.degrees(2 * float(edge.half_angle)):.1f}°"
    if isinstance(edge, Segment):
        outer, cut = (number_of(float(each), "m", ".1f") for each in (edge.outer, edge.chord))
        return f"R {outer}, cut {cut} from the shaft"
    x, y = (number_of(float(np.ptp(each)), "m", ".1f") for each in flattened(edge.path()).T)
    return f"{x} wide, {y} high"


def words(evaluation: Evaluation, planes: list[int]) -> str:
    """Return what is said below the drawing: how many, where, how thick, of what, how heavy, and its angle.

    planes : those that it is alike in.
    """
    weights, design = evaluation.weights, evaluation.design.counterweights
    assert weights is not None and design is not None
    weight, unit = weights.planes[planes[0]], shown("m")[0]
    plate = weight.shape
    pins = _crankpins(evaluation, float(weight.angle))
    name, _, _, angle = pins[0]
    material = getattr(design.material, "name", "")
    short = float(np.asarray(weight.short))
    missing = f" It falls short of what is wanted by {said_of(short, 'kg m', '.0f')}." if short > 0 else ""
    places = " and ".join(number_of(float(weights.planes[each].at), "m", "g") for each in planes)
    holes = {round(float(each), 5) for *_, each in plate.holes}
    bored = f", holes {', '.join(number_of(each, 'm', 'g') for each in sorted(holes))} {unit}" if holes else ""
    return (
        f"Make {('two', 'four')[len(planes) > 1]}, for each crank at {places} {unit}: "
        f"{said_of(float(plate.thickness), 'm', '.2f')} {material}, {said_of(float(plate.mass), 'kg', '.1f')}"
        f"{bored}. Its middle stands {abs(angle):.1f}° from crankpin {name}.{missing}"
    )

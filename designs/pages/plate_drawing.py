"""A counterweight in its true size, to be held against the part: edge, holes, sizes, and where the crankpins are."""

import numpy as np

from balance.plates.plate import flattened
from balance.plates.sector import Sector
from balance.plates.segment import Segment
from designs.evaluate import Evaluation
from designs.pages.svg import line, path, picture, tag, text
from designs.tables.table import number_text

LETTERS = 3.0  # mm; height of words
SCALES = (1.0, 0.5, 0.25)  # largest first; the first at which it fits
BESIDE = 10.0  # mm left beside it for names of crankpins
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
        return tag("p", f"No counterweight is needed at {float(weight.at) * 1e3:g} mm.", kind="none")
    edge = flattened(plate.edge.path()) * 1e3
    pins = _crankpins(evaluation, float(weight.angle))
    reach = _reach(evaluation, plane)
    half, scale = reach + BESIDE, plate_scale(evaluation, plane, wide)
    size = LETTERS / scale
    low = max(float(-edge[:, 1].min()), *(-y + 3 for _, _, y, _ in pins), 4.0) + 2.4 * size
    box = -half, -reach - 3.4 * size, 2 * half, reach + 3.4 * size + low
    inside = line(0, -reach - size, 0, low - 2 * size, "centre") + line(-reach, 0, reach, 0, "centre")
    inside += tag("path", d=path([(x, -y) for x, y in edge], closed=True), kind="plate")
    for x, y, diameter in plate.holes:
        inside += tag("circle", cx=float(x) * 1e3, cy=-float(y) * 1e3, r=float(diameter) * 5e2, kind="hole")
    inside += "".join(_pin(*each, size) for each in pins)
    centre = float(plate.centre) * 1e3
    inside += tag("path", d=f"M-1.2,{-centre:.2f}h2.4M0,{-centre - 1.2:.2f}v2.4", kind="centre-mark")
    inside += tag("circle", cx=0, cy=0, r=0.7, kind="shaft-mark")
    inside += text(0, -reach - 1.7 * size, _edge_words(plate.edge), "label", "middle")
    said = words(evaluation, plane)
    kind = "plate-drawing" + ("" if scale == 1.0 else " reduced")
    drawn = picture(box, inside, f"Counterweight, drawn {scale_words(scale)}: {said}", kind)
    sizes = f' font-size="{size:.1f}" style="width:{box[2] * scale:.1f}mm;height:{box[3] * scale:.1f}mm"'
    return drawn.replace("<svg", f"<svg{sizes}", 1)


def plate_scale(evaluation: Evaluation, plane: int = 0, wide: float = WIDE) -> float:
    """Return the scale at which a counterweight is drawn: 1 is its true size."""
    across = 2 * (_reach(evaluation, plane) + BESIDE)
    return next((each for each in SCALES if across * each <= wide), SCALES[-1])


def scale_words(scale: float) -> str:
    """Return a scale in words."""
    return f"1:{1 / scale:g}"


def _reach(evaluation: Evaluation, plane: int) -> float:
    """Return how far from the shaft's centre the weight or a crankpin reaches, mm."""
    assert evaluation.weights is not None
    throws = evaluation.machine.cranks.throws.values()
    return 1e3 * max(float(evaluation.weights.planes[plane].shape.edge.reach),
                     *(float(each.radius) + 3e-3 for each in throws))  # fmt: skip


def _crankpins(evaluation: Evaluation, angle: float) -> list[tuple[str, float, float, float]]:
    """Return every crankpin by name, mm, with the weight's direction upward, and its angle to that, deg."""
    found = []
    for name, throw in evaluation.machine.cranks.throws.items():
        turned = float(throw.phase) - angle
        turned = (turned + np.pi) % (2 * np.pi) - np.pi
        radius = float(throw.radius) * 1e3
        found.append((name, radius * np.sin(turned), radius * np.cos(turned), float(np.degrees(turned))))
    return found


def _pin(name: str, x: float, y: float, angle: float, size: float) -> str:
    side = 1 if x >= 0 else -1
    inside = line(0, 0, x, -y, "to-pin") + tag("circle", cx=x, cy=-y, r=1.6, kind="crankpin")
    where = x + side * 2.6, -y + (size if y < 0 else -0.2 * size)
    return inside + text(*where, f"{name} {abs(angle):.0f}°", "label pin-name", "end" if side < 0 else "")


def _edge_words(edge) -> str:
    edge = getattr(edge, "chosen", edge)
    if isinstance(edge, Sector):
        inner = f"r {float(edge.inner) * 1e3:.1f}, " if float(edge.inner) > 0 else ""
        return f"{inner}R {float(edge.outer) * 1e3:.1f}, {np.degrees(2 * float(edge.half_angle)):.1f}°"
    if isinstance(edge, Segment):
        return f"R {float(edge.outer) * 1e3:.1f}, cut {float(edge.chord) * 1e3:.1f} from the shaft"
    x, y = flattened(edge.path()).T * 1e3
    return f"{np.ptp(x):.1f} wide, {np.ptp(y):.1f} high"


def words(evaluation: Evaluation, plane: int = 0) -> str:
    """Return what is said below the drawing: where, how thick, of what, how heavy, how many, and its angles."""
    weights, design = evaluation.weights, evaluation.design.counterweights
    assert weights is not None and design is not None
    weight = weights.planes[plane]
    plate = weight.shape
    pins = _crankpins(evaluation, float(weight.angle))
    name, _, _, angle = pins[0]
    material = getattr(design.material, "name", "")
    short = float(np.asarray(weight.short))
    missing = f" It falls short of what is wanted by {short * 1e6:.0f} g mm." if short > 0 else ""
    holes = {round(float(each) * 1e3, 2) for *_, each in plate.holes}
    bored = f", holes {', '.join(f'{each:g}' for each in sorted(holes))} mm" if holes else ""
    return (
        f"Make two, one for each crank, at {_minus(float(weight.at) * 1e3)} mm: "
        f"{number_text(float(plate.thickness) * 1e3, 2)} mm {material}, {number_text(float(plate.mass) * 1e3, 1)} g"
        f"{bored}. Its middle stands {abs(angle):.1f}° from crankpin {name}.{missing}"
    )


def _minus(value: float) -> str:
    return f"{value:g}".replace("-", "\u2212")

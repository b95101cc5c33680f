"""What of a DXF file can be followed as a cut edge: which kinds of lines, shown and flat, and what is passed over.

What may hold an edge or a hole and cannot be followed is refused: left out in silence, it would be metal.
"""

from typing import Any

import numpy as np

from designs.reading.complaints import Place, bad, quote

NOT_CUT = "BESIDE"  # the layer on which a drawing shows what the plate stands beside
ASIDE = f"what is not cut, on the layer {NOT_CUT}"
FLAT = 1e-9  # in drawing units, by which a line may rise
FOLLOWED = {
    "LINE": "a line",
    "ARC": "an arc",
    "CIRCLE": "a circle",
    "ELLIPSE": "an ellipse",
    "SPLINE": "a spline",
    "LWPOLYLINE": "a polyline",
    "POLYLINE": "a polyline",
}
"""Kinds that are followed, in plain words."""
NOTES = {
    *("TEXT", "MTEXT", "ATTDEF", "DIMENSION", "ARC_DIMENSION", "LARGE_RADIAL_DIMENSION", "LEADER", "MULTILEADER"),
    *("TOLERANCE", "HATCH", "POINT", "XLINE", "RAY", "VIEWPORT", "IMAGE", "WIPEOUT"),
}
"""Kinds that say something about a drawing and are no edge."""


def refuse_what_is_no_line(entity: Any, document: Any, place: Place) -> None:
    """Refuse what may hold an edge or a hole but cannot be followed, and what the drawing does not show."""
    kind, name = entity.dxftype(), entity.dxf.layer
    if kind not in FOLLOWED:
        what = "a block" if kind == "INSERT" else f"{kind}"
        allowed = f"lines, arcs, circles, ellipses, splines and polylines (explode a block); {ASIDE}"
        raise bad(place, f"{what} on the layer {quote(name)}, which cannot be followed", allowed)
    layer = document.layers.get(name) if name in document.layers else None
    if entity.dxf.get("invisible", 0) or (layer is not None and (layer.is_off() or layer.is_frozen())):
        hidden = f"{FOLLOWED[kind]} on the layer {quote(name)}, which is hidden"
        raise bad(place, hidden, f"what is cut, shown; {ASIDE}")


def lay_flat(entity: Any, place: Place) -> None:
    """Give a line that was mirrored in a drawing program its places as they are seen; refuse one that is not flat."""
    from ezdxf.upright import upright

    upright(entity)
    rise, tilt = _rise(entity), np.zeros(2)
    if entity.dxftype() not in ("LINE", "SPLINE"):  # of a line it is the way in which it is thick
        tilt = np.array([*entity.dxf.get("extrusion", (0, 0, 1))], dtype=float)[:2]
    if not (rise < FLAT and np.all(np.abs(tilt) < FLAT)):
        raise bad(place, f"{FOLLOWED[entity.dxftype()]} that does not lie flat", "a flat drawing, seen from above")


def _rise(entity: Any) -> float:
    """Return between which heights a line runs, of the kinds whose points have heights of their own."""
    match entity.dxftype():
        case "LINE":
            heights = [entity.dxf.start.z, entity.dxf.end.z]
        case "SPLINE":
            heights = [point[2] for point in (*entity.control_points, *entity.fit_points)]
        case "POLYLINE":
            heights = [each.dxf.location.z for each in entity.vertices]
        case _:
            heights = []
    return float(np.ptp(heights)) if heights else 0.0

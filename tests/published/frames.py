"""Frames as the books' examples have them: plane or bent bars between numbered points, most of them without shear."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
from engines.space_frame import Element, Frame, Metal, Section, load_at, solve

ALL = tuple(range(6))
PLANE = (2, 3, 4)  # ways that a frame in the plane of x and y does not use


def slender(section: Section, stiff: float = 1.0) -> Section:
    """Return a section that gives nothing in shear, and `stiff` times less in length."""
    return replace(section, coefficient=np.inf, area=section.area * stiff)


def chain(points, sections, metal: Metal, holds, axis_2=(0, 0, 1)) -> Frame:
    """Return bars from each of `points`, m, to the next; one section for all or one for each; holds {point: ways}."""
    nodes = np.array(points, float)
    if isinstance(sections, Section):
        sections = [sections] * (len(nodes) - 1)
    pairs = zip(pairwise(range(len(nodes))), sections, strict=True)
    elements = tuple(
        Element(*pair, section, metal, across(nodes[pair[1]] - nodes[pair[0]], axis_2)) for pair, section in pairs
    )
    return Frame(nodes, elements, holds=tuple((point, way) for point, ways in holds.items() for way in ways))


def across(chord, wished):
    """Return the wished direction, or one that any bar along it can have."""
    return (0, 1, 0) if np.linalg.norm(np.cross(chord, wished)) < 1e-9 * np.linalg.norm(chord) else wished


def moved(frame: Frame, point: int, force=(0, 0, 0), couple=(0, 0, 0), seen: int | None = None) -> np.ndarray:
    """Return displacement and rotation, (6,), of a point, or of the one that is `seen`, under a load on it."""
    answer = solve(frame, load_at(len(frame.nodes), point, force, couple))
    return answer.moves[0, point if seen is None else seen]

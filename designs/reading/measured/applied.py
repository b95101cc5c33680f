"""A design with what was found in the place of what is drawn, each finding kept beside it."""

from collections.abc import Iterator
from dataclasses import replace

from balance.doubt.ranges import Range
from balance.errors import Complaint
from balance.evidence.estimate import Estimate
from balance.machine.yoke import RodMasses
from balance.many import planted, unchecked
from balance.quantities import out_of_range
from designs.design import Design
from designs.reading.complaints import BadFile, Placed, alike, fold
from designs.reading.measured.contradictions import contradictions
from designs.reading.measured.findings import Finding, findings
from designs.reading.nodes import Entries, Items, Node
from designs.reading.placing import node_at
from designs.reading.taken import records, right_of

Path = tuple[str, ...]
AROUND = ("title", "speed", "limits", "mount", "stock", "may_change", "measured", "options")
"""Entries of a file that say nothing of the parts that move."""


def applied(design: Design, tree: Entries) -> Design:
    """Return a design worked with what its readings say, and with all they say beside it.

    tree : what the design was read from. An entry that an option has set stays as the option says: the part is another
    one then. Raises BadFile for readings that cannot be.
    """
    _refuse(contradictions(design), tree)
    from_bench = findings(design)
    _refuse(_impossible(from_bench), tree)
    assert design.measured is not None
    measured, set_by_option = design.measured, _of_options(tree)
    if _is_rebuilt(tree, set_by_option):  # another machine has not knocked yet
        design = unchecked(design, {"measured": unchecked(measured, {"first_contact": None})})
    if measured.check_with == "drawing":
        return unchecked(design, {"found": tuple(from_bench)})
    used = [replace(each, used=bool(each.plants) and not _is_set(each, tree, set_by_option)) for each in from_bench]
    plants = [plant for each in used if each.used for plant in each.plants]
    apart = [plant for plant in plants if _of_left_rod(plant[0])]
    made = _with_left_rods(_with(design, [each for each in plants if each not in apart]), apart)
    made = _with(made, apart)
    _refuse(_out_of_bounds(made), tree)
    doubts = {**made.doubts, **_doubts(used, made.doubts)}
    return unchecked(made, {"found": tuple(used), "doubts": {**_of_left_rods(design, apart, doubts), **doubts}})


Plants = list[tuple[Path, Estimate]]


def _with(design: Design, plants: Plants) -> Design:
    for path, value in plants:
        design = planted(design, (path,), value.value)
    return design


def _of_left_rod(path: Path) -> bool:
    """Return whether an entry is one of the left rod's masses."""
    return path[0] == "yokes" and path[2:4] == ("rod", "left")


def _left_rods(design: Design, apart: Plants) -> list[str]:
    """Return the yokes whose left rod's masses were found and are not drawn by themselves."""
    names = dict.fromkeys(path[1] for path, _ in apart)
    return [name for name in names if (rod := design.yokes[name].rod) is not None and rod.left is None]


def _with_left_rods(design: Design, apart: Plants) -> Design:
    """Return a design whose left rods stand by themselves where they were weighed: in all else as the right ones."""
    yokes = dict(design.yokes)
    for name in _left_rods(design, apart):
        rod = yokes[name].rod
        assert rod is not None
        left = RodMasses(mass=rod.mass, cg=rod.cg, inertia=rod.inertia)
        yokes[name] = unchecked(yokes[name], {"rod": unchecked(rod, {"left": left})})
    return unchecked(design, {"yokes": yokes})


def _of_left_rods(design: Design, apart: Plants, doubts: dict[Path, Range]) -> dict[Path, Range]:
    """Return for those rods the doubt of what was not found on them, which is that of the right ones."""
    ranges: dict[Path, Range] = {}
    for name in _left_rods(design, apart):
        for key in ("mass", "cg", "inertia"):
            each = doubts.get(("yokes", name, "rod", key))
            if each is not None:
                ranges[("yokes", name, "rod", "left", key)] = each
    return ranges


def _refuse(complaints: Iterator[Complaint], tree: Entries) -> None:
    placed = [Placed(node_at(tree, each.where)[0].place, each) for each in complaints]
    if placed:
        raise BadFile(*placed)


def _impossible(from_bench: list[Finding]) -> Iterator[Complaint]:
    for each in from_bench:
        if each.plants and each.key.endswith(("inertia", "mass", "stiffness")) and each.found.value <= 0:
            where = ("measured", *each.plants[0][0][:2])
            yield Complaint(
                where, f"{each.what} of {each.found.value:.3g} {each.unit}", "readings that give more than zero"
            )


def _out_of_bounds(design: Design) -> Iterator[Complaint]:
    """Yield what does not fit together once the findings stand in the design, said where they were read."""
    for path, record in records(design):
        wrong = list(out_of_range(type(record), vars(record)))
        if not wrong and hasattr(record, "disagreements"):
            wrong = list(record.disagreements())
        for each in wrong:
            at = ".".join((*path, *each.where))
            yield Complaint(("measured",), f"{at} of {each.read}", each.allowed)


def _doubts(used: list[Finding], before: dict[Path, Range]) -> dict[Path, Range]:
    """Return the ranges of all entries that a finding took the place of; those of one finding are one unknown."""
    return {
        path: _range(each, value, each.key if len(each.plants) > 1 else "", before.get(path))
        for each in used
        if each.used
        for path, value in each.plants
        if value.sd > 0
    }


def _range(finding: Finding, value: Estimate, alike: str, before: Range | None) -> Range:
    low, high = value.value - value.half_width, value.value + value.half_width
    by_path = finding.what == finding.key  # what stands under `entries` has no name but its path
    name = finding.what if not by_path else "" if before is None else before.name
    return Range("normal", low, value.value, high, finding.unit, True, f"measured: {finding.how}", name, "", alike)


def _of_options(tree: Entries) -> set[int]:
    """Return the nodes, by identity, that options would set; changed entries are these very nodes (reading.changes)."""
    written = next(alike("options", tree.entries), None)
    options = tree.entries.get(written) if written else None
    if not isinstance(options, Entries):
        return set()
    return {id(new) for each in options.entries.values() if isinstance(each, Entries) for new in each.entries.values()}


def _is_rebuilt(tree: Entries, set_by_option: set[int]) -> bool:
    """Return whether an option has set anything of the machine itself."""
    return any(not set_by_option.isdisjoint(_ids_below(node)) for name, node in tree.entries.items()
               if fold(name) not in AROUND)  # fmt: skip


def _ids_below(node: Node) -> Iterator[int]:
    yield id(node)
    inner = node.entries.values() if isinstance(node, Entries) else node.items if isinstance(node, Items) else ()
    for each in inner:
        yield from _ids_below(each)


def _is_set(from_bench: Finding, tree: Entries, set_by_option: set[int]) -> bool:
    paths = [each for path, _ in from_bench.plants for each in (path, right_of(path)) if each is not None]
    return any(not set_by_option.isdisjoint(_ids_along(tree, path)) for path in paths)


def _ids_along(node: Node, path: Path) -> Iterator[int]:
    """Yield the identity of each node that a path leads through."""
    for key in path:
        if isinstance(node, Entries):
            name = next((each for each in (key, *alike(key, node.entries)) if each in node.entries), None)
            if name is None:
                return
            node = node.entries[name]
        elif isinstance(node, Items) and key.isdecimal() and int(key) < len(node.items):
            node = node.items[int(key)]
        else:
            return
        yield id(node)

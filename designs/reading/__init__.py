"""Reading design files: units, places, and every complaint at once."""

from pathlib import Path

from designs.design import Design
from designs.reading import changes
from designs.reading.build import build
from designs.reading.complaints import BadFile
from designs.reading.nodes import Entries
from designs.reading.source import parse, read_file

__all__ = ["BadFile", "design_of", "read", "read_options", "read_text", "read_tree"]


def read(path: str | Path, option: str | None = None, allow_above: bool = False) -> Design:
    """Return the design in a file, or one of its options.

    allow_above : whether the file may name tables that do not stand beside it.
    Raises BadFile, with every complaint and its line, if it is not a design.
    """
    return design_of(read_tree(path, option), path, allow_above)


def read_tree(path: str | Path, option: str | None = None) -> Entries:
    """Return the entries of a file as written, changed by one of its options; raises BadFile."""
    tree = read_file(path)
    return tree if option is None else changes.changed(tree, option)


def design_of(tree: Entries, path: str | Path | None = None, allow_above: bool = False) -> Design:
    """Return the design that entries describe; `path` is the file they came from. Raises BadFile."""
    design = build(Design, tree, None if path is None else Path(path).parent, allow_above)
    if design.measured is None:
        return design
    from designs.reading.measured.applied import applied  # stands on this package, and few designs need it

    return applied(design, tree)


def read_text(text: str, name: str = "text") -> Design:
    """Return the design in a text; `name` stands for the file in complaints. Raises BadFile."""
    return design_of(parse(text, name))


def read_options(path: str | Path, allow_above: bool = False) -> dict[str, Design | BadFile]:
    """Return each option of a file by name, as a design or as what is wrong with it.

    Raises BadFile if the file itself is not well formed.
    """
    tree = read_file(path)
    return {name: _design_or_complaints(tree, name, path, allow_above) for name in changes.names(tree)}


def _design_or_complaints(tree: Entries, option: str, path: str | Path, allow_above: bool) -> Design | BadFile:
    try:
        return design_of(changes.changed(tree, option), path, allow_above)
    except BadFile as error:
        return error

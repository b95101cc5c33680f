"""Writing a file whole or not at all, and never over one that is not meant to be replaced."""

import os
import secrets
import shutil
from collections.abc import Callable
from pathlib import Path

_READ: set[Path] = set()
_PARTS: set[Path] = set()


class IsInputError(FileExistsError):
    """A file that was read, and so is not written over, whatever is forced."""


def note_as_input(path: Path) -> None:
    """Remember a file as one that this run has read."""
    _READ.add(_real(path))


def _real(path: Path) -> Path:
    """Return a path without links; one whose links go round in a circle as far as they lead."""
    return Path(os.path.realpath(path))


def write_whole(path: Path, save: Callable[[Path], object], replace: bool = False) -> None:
    """Let `save` write a file beside its place, then move it there.

    replace : whether a file that is there already, or comes there meanwhile, may be replaced.
    The file beside it has a name of its own, so that two runs never share one, and is gone whatever happens.
    Raises FileExistsError, IsInputError for a file that this run has read, and OSError where nothing can be written.
    """
    if _real(path) in _READ:
        raise IsInputError(f"{path}: it was read as input; allowed: another name")
    part = path.with_name(f".{secrets.token_hex(8)}.part{path.suffix}")
    _PARTS.add(part)
    try:
        save(part)
        if replace:
            part.replace(path)
        else:
            _move_to_free_place(part, path)
    finally:
        part.unlink(missing_ok=True)
        _PARTS.discard(part)


def write_back(path: Path, content: bytes, was: bytes) -> bool:
    """Write a file that was read anew, whole or not at all, as long as it is what was read; return whether it was.

    For a file that a person has opened to change it. Its permissions stay, and a link goes on pointing to it.
    """
    path = _real(path)
    part = path.with_name(f".{secrets.token_hex(8)}.part{path.suffix}")
    _PARTS.add(part)
    try:
        part.write_bytes(content)
        shutil.copymode(path, part)
        if path.read_bytes() != was:
            return False
        part.replace(path)
        return True
    finally:
        part.unlink(missing_ok=True)
        _PARTS.discard(part)


def clear_away() -> None:
    """Remove what is half written, for a run that ends here and now."""
    for part in tuple(_PARTS):
        part.unlink(missing_ok=True)


def _move_to_free_place(part: Path, path: Path) -> None:
    """Move a file where none is; a plain rename would land on one that came there meanwhile."""
    try:
        try:
            os.link(part, path)
        except FileExistsError:
            raise
        except OSError:  # some disks know no second name for a file: take the place, then fill it
            path.open("xb").close()
            part.replace(path)
    except FileExistsError:
        raise FileExistsError(f"{path}: it exists already") from None

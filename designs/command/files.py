"""Files that a command writes: never over an existing one unless told to, and whole or not at all."""

import errno
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

import click

from designs import status
from designs.whole_file import IsInputError, write_whole

PICTURES = (".png", ".svg", ".pdf")


def refuse(message: str, ending: int = status.BAD_INPUT) -> NoReturn:
    """Say why and end."""
    click.echo(message, err=True)
    sys.exit(ending)


def refused(where: Path | str, error: OSError) -> NoReturn:
    """Say what the disk does not do, and end: with status 2 if the name is to blame."""
    bad_name = error.errno in (errno.ENAMETOOLONG, errno.EINVAL, errno.EILSEQ, errno.ENOENT, errno.ENOTDIR)
    refuse(f"{where}: {error.strerror or error}", status.BAD_INPUT if bad_name else status.REFUSED)


def free(path: str | None, force: bool, endings: tuple[str, ...] = ()) -> Path | None:
    """Return where to write, None if nothing is to be written; ends the command if that must not be written."""
    if path is None:
        return None
    file = Path(path)
    if endings and file.suffix.lower() not in endings:
        refuse(f"{path}: read the ending {file.suffix or 'none'!r}; allowed: {', '.join(endings)}")
    try:
        _refuse_unless_free(file, force)
    except OSError as error:
        refused(path, error)
    except ValueError as error:  # a name with a character that no disk takes
        refuse(f"{path}: {error}")
    return file


def _refuse_unless_free(file: Path, force: bool) -> None:
    if file.exists() and not (force and file.is_file()):
        refuse(f"{file}: it exists already; allowed: another name, or --force to replace a file")
    if not file.absolute().parent.is_dir():
        refuse(f"{file}: its folder does not exist")


def write(path: Path, save: Callable[[Path], object], force: bool = False) -> None:
    """Let `save` write a file, whole or not at all; over an existing one only if forced to."""
    try:
        write_whole(path, save, replace=force)
    except IsInputError as error:
        refuse(str(error))
    except FileExistsError:
        refuse(f"{path}: it exists already; allowed: another name, or --force to replace a file")
    except OSError as error:
        refused(path, error)


def write_text(path: Path, text: str, force: bool = False) -> None:
    """Write a text file, as `write` does."""
    write(path, lambda part: part.write_text(text, "utf-8"), force)

"""Files that a design file names: beside it, or in a folder beside it, and nowhere else unless allowed."""

from pathlib import Path, PureWindowsPath

from designs.reading.complaints import Place, bad, quote
from designs.whole_file import note_as_input


def file_beside(name: str, folder: Path | None, allow_above: bool, position: Place) -> Path:
    """Return the file of a name that a design file gives; raises BadFile at the place where it is named.

    folder : where the design file stands, None if there is none.   allow_above : whether it may stand elsewhere.
    """
    if folder is None:
        raise bad(position, f"the table {quote(name)} in a design that is no file", "a table beside a design file")
    within = "a file beside the design file, or in a folder beside it"
    if not allow_above and (PureWindowsPath(name).anchor or ".." in PureWindowsPath(name).parts):
        raise bad(position, quote(name), within)
    try:
        file, home = (folder / name).resolve(strict=True), folder.resolve(strict=True)
    except FileNotFoundError:
        raise bad(position, f"{quote(name)}, which is not there", within) from None
    except (OSError, ValueError, RuntimeError):
        raise bad(position, f"{quote(name)}, which is no name of a file", within) from None
    if not allow_above and not file.is_relative_to(home):
        raise bad(position, f"{quote(name)}, which leads elsewhere", within)
    return file


def content_of(file: Path, largest: int, position: Place, wanted: str) -> bytes:
    """Return what a file holds, at most `largest` bytes; raises BadFile.

    wanted : what kind of file it ought to be, e.g. "a CSV file".
    """
    try:
        if not file.is_file():
            raise bad(position, f"{quote(file.name)}, which is not a file", wanted)
        with file.open("rb") as opened:
            content = opened.read(largest + 1)
        note_as_input(file)
    except OSError as error:
        raise bad(position, f"{quote(file.name)}: {error.strerror}", f"{wanted} that can be read") from None
    if len(content) > largest:
        raise bad(Place(file.name), f"more than {largest:,} bytes", "a shorter file")
    return content


def text_of_file(file: Path, largest: int, position: Place, wanted: str) -> str:
    """Return the text of a file of UTF-8; raises BadFile as `content_of` does, and at the first byte that is none."""
    content = content_of(file, largest, position, wanted)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise bad(Place(file.name, line, 1), "a byte that is no text", "UTF-8 text") from None

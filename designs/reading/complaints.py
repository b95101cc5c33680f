"""What is wrong with a file, and where: complaints with a line, and the error that carries them all."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches

from balance.errors import Complaint

SHOWN = 40  # complaints that one error prints; more would only bury the first
LONGEST_QUOTE = 60
LONGEST_LIST = 24  # names listed as allowed before the list is cut


@dataclass(frozen=True, slots=True)
class Place:
    """A place in a file; line and column count from one, and line 0 stands for the file as a whole."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


@dataclass(frozen=True, slots=True)
class Placed:
    """A complaint at its place in a file, with the nearest word that would have been right, if any."""

    place: Place
    complaint: Complaint
    nearest: str | None = None

    def __str__(self) -> str:
        keys = f"{'.'.join(self.complaint.where)}: " if self.complaint.where else ""
        hint = f"; did you mean {self.nearest!r}?" if self.nearest else ""
        return f"{self.place}: {keys}read {self.complaint.read}; allowed: {self.complaint.allowed}{hint}"


class BadFile(ValueError):
    """A file that cannot be made into a design; carries every complaint, in the order of the lines."""

    def __init__(self, *complaints: Placed):
        super().__init__(*complaints)
        self.complaints = tuple(sorted(complaints, key=lambda each: (each.place.line, each.place.column)))

    def __str__(self) -> str:
        lines = [str(each) for each in self.complaints[:SHOWN]]
        left = len(self.complaints) - len(lines)
        return "\n".join(lines + [f"... and {left} more"] * bool(left))


def bad(position: Place, read: str, allowed: str, where: tuple[str, ...] = (), nearest: str | None = None) -> BadFile:
    """Return the error that carries this one complaint."""
    return BadFile(Placed(position, Complaint(where, read, allowed), nearest))


def quote(text: str) -> str:
    """Return a text as it is shown in a complaint: in quotes, cut when long, nothing hidden in it."""
    return repr(text if len(text) <= LONGEST_QUOTE else text[: LONGEST_QUOTE - 3] + "...")


def listed(names: Iterable[str]) -> str:
    """Return names as a list to read, cut when it is long."""
    names = list(names)
    return ", ".join(names[:LONGEST_LIST] + ["..."] * (len(names) > LONGEST_LIST))


def fold(name: str) -> str:
    """Return a key with spaces, hyphens and underscores made the same ("rod length" is rod_length)."""
    return "_".join(name.replace("-", " ").replace("_", " ").split())


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known name that looks most like a word, None if none comes close."""
    if len(word) > LONGEST_QUOTE:
        return None
    folded = {fold(name).lower(): name for name in known}
    close = get_close_matches(fold(word).lower(), list(folded), n=1, cutoff=0.6)
    return folded[close[0]] if close else None


def alike(word: str, known: Iterable[str]) -> Iterator[str]:
    """Yield the known names that are the same word but for spaces, hyphens and underscores; a number only as it is.

    -1 is no other way to write 1.
    """
    folded = fold(word)
    if folded.isdecimal():
        return (name for name in known if name == word)
    return (name for name in known if fold(name) == folded)

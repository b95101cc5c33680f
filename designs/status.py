"""How the command ends: every exit status there is, and what each says of a verdict."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the help must not wait for all that a verdict loads
    from designs.verdict.row import Row

HOLDS = 0
FAILS = 1
BAD_INPUT = 2
NOT_ALL_CHECKED = 3
REFUSED = 4
BROKEN = 5
FAULT = 6
STOPPED = 130  # 128 and the number of the signal, as shells have it
READER_GONE = 141
ENDED = 143

MEANINGS = {
    HOLDS: "nothing fails, and all that was asked for was looked at",
    FAILS: "a limit fails or depends",
    BAD_INPUT: "the input was not understood, or a file is in the way",
    NOT_ALL_CHECKED: "nothing fails, but not all that was asked for could be looked at",
    REFUSED: "the machine refuses: disk full, no leave to write, memory used up",
    BROKEN: "the installation is not whole",
    FAULT: "a fault of quietcrank itself",
    STOPPED: "stopped by Ctrl-C",
    READER_GONE: "the reader of the output went away",
    ENDED: "ended from outside",
}
"""What each says, in words for people."""

WORST_FIRST = (BAD_INPUT, FAILS, NOT_ALL_CHECKED, HOLDS)


def of_verdict(rows: Iterable["Row"]) -> int:
    """Return the status of one design; a limit that nobody asked for weighs nothing."""
    states = {row.state for row in rows if row.asked}
    if not states.isdisjoint(("FAIL", "depends")):
        return FAILS
    return NOT_ALL_CHECKED if "not checked" in states else HOLDS


def counts(rows: Iterable["Row"]) -> dict[str, int]:
    """Return how many limits stand in each state; one that nobody asked for is no pass either."""
    states = [row.state for row in rows]
    return {state: states.count(state) for state in ("pass", "FAIL", "depends", "not checked")}


def in_a_word(rows: Iterable["Row"]) -> str:
    """Return one word or few for a whole verdict."""
    states = {row.state for row in rows if row.asked}
    words = {"FAIL": "FAILS", "depends": "depends", "not checked": "not all checked"}
    return next((word for state, word in words.items() if state in states), "passes")


def worst(statuses: Sequence[int]) -> int:
    """Return the status of several designs together."""
    return next((each for each in WORST_FIRST if each in statuses), HOLDS)


def in_words() -> str:
    """Return all statuses as one paragraph."""
    return "Exit status: " + "; ".join(f"{status} {meaning}" for status, meaning in MEANINGS.items()) + "."

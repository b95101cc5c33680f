"""What is to be worked out beside the server, told from one process to the other."""

from typing import NamedTuple


class Job(NamedTuple):
    """What is to be worked out of which design.

    kind : a method of `slow.Work`.   rpm, factor : for the motion, the speed looked at and the lens's factor.
    """

    kind: str
    text: str
    path: str
    allow_above: bool
    option: str | None = None
    rpm: float = 0.0
    factor: float | None = None

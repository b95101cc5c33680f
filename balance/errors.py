"""What goes wrong: one family of errors, the facts as fields, the sentence made when it is shown."""

from collections.abc import Collection
from dataclasses import dataclass, field

import numpy as np


@dataclass(frozen=True, slots=True)
class Complaint:
    """One thing that is wrong with a design.

    where : key path inside the object that complains, outermost first, e.g. ("rod", "length").
    read : what was found there, as text.
    allowed : what would have been accepted, as text.
    wrong : for which options it holds, (options,), where many are checked at once and it is known; else None.
    """

    where: tuple[str, ...]
    read: str
    allowed: str
    wrong: np.ndarray | None = field(default=None, compare=False, repr=False)

    def under(self, *keys: str) -> "Complaint":
        """Return the same complaint seen from an object that holds this one under `keys`."""
        return Complaint((*keys, *self.where), self.read, self.allowed, self.wrong)

    def __str__(self) -> str:
        return f"{'.'.join(self.where) or 'design'}: read {self.read}; allowed: {self.allowed}"


class BadDesign(ValueError):
    """A design, or a part of one, that cannot be computed; carries every complaint at once."""

    def __init__(self, *complaints: Complaint):
        super().__init__(*complaints)
        self.complaints = complaints

    def __str__(self) -> str:
        return "\n".join(str(each) for each in self.complaints)


def refuse_unknown(what: str, value: object, known: Collection[object]) -> None:
    """Raise ValueError for a name that is none of those known, which the sentence lists."""
    if value not in known:
        raise ValueError(f"{what}: read {value!r}; allowed: {', '.join(map(str, known))}")

"""The outline of a part: what a design may say of it."""

from collections.abc import Iterator
from typing import Annotated

import numpy as np

from balance.errors import Complaint
from balance.quantities import Length, Most, Number, Positive, definition


@definition
class Outline:
    """What a part looks like from along the shafts, and from where to where it reaches along them."""

    rectangle: Annotated[tuple[Length, Length] | None, Positive, "width and height"] = None
    polygon: Annotated[tuple[tuple[Length, Length], ...] | None, Most(100), "corners [x, y], in order"] = None
    offset: Annotated[tuple[Length, Length], "where its origin stands"] = (0.0, 0.0)
    z: Annotated[tuple[Length, Length], "from where to where along the shafts"]

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: not exactly one shape, too few corners, z turned round."""
        if (self.rectangle is None) == (self.polygon is None):
            yield Complaint((), "both or neither of rectangle and polygon", "one of them")
        if self.polygon is not None and len(self.polygon) < 3:
            yield Complaint(("polygon",), f"{len(self.polygon)} corners", "three or more")
        wrong = np.asarray(self.z[0]) >= np.asarray(self.z[1])
        if np.any(wrong):
            yield Complaint(("z",), "a range that ends before it starts", "[least, most]", wrong)

    @property
    def corners(self) -> tuple[tuple[Number, Number], ...]:
        """Corners (x, y) in order, about the part's own origin, m."""
        dx, dy = self.offset
        if self.polygon is not None:
            return tuple((x + dx, y + dy) for x, y in self.polygon)
        assert self.rectangle is not None
        half_width, half_height = self.rectangle[0] / 2, self.rectangle[1] / 2
        signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
        return tuple((i * half_width + dx, j * half_height + dy) for i, j in signs)

"""Whether the rubber stop is pressed no harder than it bears."""

import numpy as np

from designs.evaluate import Evaluation
from designs.verdict.row import Row

DEEPEST = 0.3  # of its thickness; rubber that is pressed harder again and again creeps and tears (common practice)


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the row of the stop; nothing without one."""
    stops, stop = evaluation.stop, evaluation.design.stop
    if stops is None or stop is None:
        return []
    index = int(np.argmax(stops.compression))
    share = float(stops.compression[index]) / float(stop.thickness)
    what, angle = "compression of the rubber stop, of its thickness", float(evaluation.motion.theta[index])
    return [Row("stop_compression", what, share, DEEPEST, "1", "at most", angle=angle)]

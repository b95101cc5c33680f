"""Whatever goes wrong while a design is worked out, as a sentence for the page."""

import traceback
from pathlib import Path

import numpy as np

from balance.errors import BadDesign
from designs.reading import BadFile

REFUSING = (BadFile, BadDesign, ArithmeticError, np.linalg.LinAlgError)
"""What a design is to blame for."""


def words_of(error: Exception) -> str:
    """Return what went wrong: what is wrong with the design, or that quietcrank itself is at fault."""
    if isinstance(error, REFUSING):
        return f"It cannot be worked out: {error}"
    last = traceback.extract_tb(error.__traceback__)[-1]
    said = " ".join(str(error).split())
    where = f"{Path(last.filename).name}, line {last.lineno}"
    return f"A fault of quietcrank itself: {type(error).__name__}: {said} ({where}). Please report it with the file."

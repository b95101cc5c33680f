"""Flat drawings of what a design sizes and a maker cuts from plate: DXF at 1:1 in millimetres, one file a part."""

from designs.drawing import webs, wheels
from designs.drawing.sheets import sheets
from designs.drawing.writing import NothingToCut, write_cut

__all__ = ["NothingToCut", "sheets", "webs", "wheels", "write_cut"]

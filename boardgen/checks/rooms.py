"""The rooms that parts claim, on the grid."""

from boardgen.model.board import Part
from boardgen.model.land_pattern import Extent
from boardgen.model.shapes import Box
from boardgen.units import Nm, snap


def courtyard_of(part: Part) -> Box:
    """Take a part's courtyard where it lies."""
    return box_of(part.extent(part.pattern.courtyard))


def box_of(extent: Extent) -> Box:
    """Turn a box in millimetres into a shape."""
    left, bottom = snap(extent.left_mm), snap(extent.bottom_mm)
    right, top = snap(extent.right_mm), snap(extent.top_mm)
    centre_point = (Nm((left + right) // 2), Nm((bottom + top) // 2))
    return Box(centre_point, Nm(right - left), Nm(top - bottom))

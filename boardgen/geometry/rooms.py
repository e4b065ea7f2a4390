"""The rooms that parts claim, on the grid, and those that lines do."""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from boardgen.model.board import Part, Point
from boardgen.model.land_pattern import Extent
from boardgen.model.shapes import Box, turned_box
from boardgen.units import Nm, snap


def courtyard_of(part: Part) -> Box:
    """Take a part's courtyard where it lies."""
    return placed(part, part.pattern.courtyard)


def rooms_of(part: Part) -> tuple[Box, ...]:
    """Take what a part keeps others out of: its courtyard, or around each of lands that are all."""
    pattern = part.pattern
    if not pattern.bodiless:
        return (courtyard_of(part),)
    by = pattern.courtyard.top_mm - pattern.body.top_mm
    return tuple(placed(part, land.extent.grown(by)) for land in pattern.lands)


def body_of(part: Part) -> Box:
    """Take a part's body where it lies."""
    return placed(part, part.pattern.body)


def placed(part: Part, box: Extent) -> Box:
    """Turn a box of a part's pattern into a shape where the part has it, at its angle."""
    if part.pose.turn_deg % 90 == 0:
        return box_of(part.extent(box))
    x, y = part.place((box.left_mm + box.right_mm) / 2, (box.bottom_mm + box.top_mm) / 2)
    width, height = snap(box.right_mm - box.left_mm), snap(box.top_mm - box.bottom_mm)
    return turned_box((snap(x), snap(y)), width, height, part.pose.turn_deg)


def box_of(extent: Extent) -> Box:
    """Turn a box in millimetres into a shape."""
    left, bottom = snap(extent.left_mm), snap(extent.bottom_mm)
    right, top = snap(extent.right_mm), snap(extent.top_mm)
    centre_point = (Nm((left + right) // 2), Nm((bottom + top) // 2))
    return Box(centre_point, Nm(right - left), Nm(top - bottom))


def covered(points: Sequence[Point], step_mm: float) -> Iterator[Extent]:
    """Cover a line with upright boxes, about as large as a step where it runs askew."""
    for (x1, y1), (x2, y2) in pairwise(points):
        askew = min(abs(x2 - x1), abs(y2 - y1))
        count = max(1, math.ceil(askew / step_mm))
        for place in range(count):
            xs = sorted(x1 + (x2 - x1) * step / count for step in (place, place + 1))
            ys = sorted(y1 + (y2 - y1) * step / count for step in (place, place + 1))
            yield Extent(left_mm=xs[0], bottom_mm=ys[0], right_mm=xs[1], top_mm=ys[1])

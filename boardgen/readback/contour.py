"""Is a contour simple? Clause 4.10.3 of the Gerber specification, on the grid."""

import math
import re
from collections.abc import Iterator, Sequence

import shapely
from shapely import Polygon

from boardgen.units import NM_PER_MM

Point = tuple[int, int]
Edge = tuple[Point, Point | None, bool]
"""Where a line or an arc ends, the arc's centre, and whether it turns clockwise."""

_PLACE = re.compile(r"\[([-\d.e+]+) ([-\d.e+]+)")
_CHORDS = 16
"""To a quarter circle: chords bow inwards by less than a contour's own arcs differ."""


def contour_faults(
    start: Point, edges: Sequence[Edge]
) -> Iterator[tuple[str, tuple[float, float]]]:
    """Say what keeps a contour from being simple, and where: open, crossing or touching itself.

    Parameters
    ----------
    start : tuple of int
        In nanometres, as all points.
    edges : sequence
        Lines and arcs in their order.
    """
    if edges[-1][0] != start:
        gap = math.dist(edges[-1][0], start) / NM_PER_MM
        yield f"a contour stays open by {gap:.4f} mm (4.10.3)", edges[-1][0]
        return
    points = [start, *_points(start, edges)]
    if len(points) < 4:  # noqa: PLR2004 - two points and the way back enclose nothing
        yield "a contour encloses nothing", start
        return
    polygon = Polygon(points)
    if not polygon.is_valid:
        yield "a contour crosses or touches itself (4.10.3)", _where(polygon)


def _points(start: Point, edges: Sequence[Edge]) -> Iterator[tuple[float, float]]:
    at = start
    for end, centre, clockwise in edges:
        if centre is not None:
            yield from _chords(at, end, centre, clockwise=clockwise)
        yield end
        at = end


def _chords(
    start: Point, end: Point, centre: Point, *, clockwise: bool
) -> Iterator[tuple[float, float]]:
    radius = math.dist(start, centre)
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    last = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turn = ((first - last) if clockwise else (last - first)) % math.tau or math.tau
    steps = math.ceil(turn / (math.pi / 2) * _CHORDS)
    for step in range(1, steps):
        angle = first + (-turn if clockwise else turn) * step / steps
        yield (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))


def _where(polygon: Polygon) -> tuple[float, float]:
    """Find the place that GEOS names first, without working out all the others."""
    found = _PLACE.search(shapely.is_valid_reason(polygon))
    x, y = (float(found[1]), float(found[2])) if found else polygon.exterior.coords[0][:2]
    return (x, y)

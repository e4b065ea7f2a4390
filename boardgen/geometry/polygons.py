"""Shapes → polygons of shapely, in nanometres.

Arcs become chords with their points on the arc; a chord stays within a quarter micrometre of it,
a quarter of the margin that layout keeps beyond every limit.
"""

import math
from collections.abc import Iterator
from functools import lru_cache

import numpy as np
import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from boardgen.model.shapes import Box, Contour, Disc, Edge, Point, Shape, Stroke

SAGITTA_NM = 250.0

FINE_SAGITTA_NM = 0.5
"""For measuring along one outline: chords that no whole nanometre can tell from the arc."""


def quarter_segments(radius_nm: float, sagitta_nm: float = SAGITTA_NM) -> int:
    """Tell into how many chords a quarter circle is cut to keep the sagitta."""
    if radius_nm <= sagitta_nm:
        return 2
    half_angle = math.acos(1 - sagitta_nm / radius_nm)
    return max(2, math.ceil(math.pi / 4 / half_angle))


@lru_cache(maxsize=16384)
def polygon(shape: Shape, sagitta_nm: float = SAGITTA_NM) -> BaseGeometry:
    """Turn a shape into the polygon of its area, once for all rules that ask."""
    radius = shape.radius_nm
    base = skeleton(shape, sagitta_nm)
    if isinstance(shape, Contour) and radius:
        base = base.exterior
    if not radius:
        return base
    return base.buffer(radius, quad_segs=quarter_segments(radius, sagitta_nm))


@lru_cache(maxsize=16384)
def skeleton(shape: Shape, sagitta_nm: float = SAGITTA_NM) -> BaseGeometry:
    """Turn a shape's skeleton into a point, line or polygon; its radius is left out."""
    if isinstance(shape, Disc):
        return shapely.Point(shape.centre)
    if isinstance(shape, Stroke):
        return LineString(shape.points)
    if isinstance(shape, Box):
        if shape.turn_udeg:
            return shapely.polygons(np.array(shape.corners(), dtype=float))
        (x, y), half_w, half_h = shape.centre, shape.width_nm / 2, shape.height_nm / 2
        return shapely.box(x - half_w, y - half_h, x + half_w, y + half_h)
    # Of an array the library makes a polygon in a fraction of the time that it takes of points.
    return shapely.polygons(np.array(list(contour_points(shape, sagitta_nm))))


def contour_points(
    contour: Contour, sagitta_nm: float = SAGITTA_NM
) -> Iterator[tuple[float, float]]:
    """Walk a contour's points, arcs cut into chords."""
    at = contour.start
    for edge in contour.edges:
        yield from _edge_points(at, edge, sagitta_nm)
        at = edge.end


def _edge_points(start: Point, edge: Edge, sagitta_nm: float) -> Iterator[tuple[float, float]]:
    if edge.centre is not None:
        cx, cy = edge.centre
        radius = math.hypot(start[0] - cx, start[1] - cy)
        first = math.atan2(start[1] - cy, start[0] - cx)
        sweep = math.atan2(edge.end[1] - cy, edge.end[0] - cx) - first
        sweep = -((-sweep) % math.tau) if edge.clockwise else sweep % math.tau
        steps = max(2, math.ceil(abs(sweep) / (math.pi / 2) * quarter_segments(radius, sagitta_nm)))
        for angle in first + sweep * np.arange(1, steps) / steps:
            yield (cx + radius * math.cos(angle), cy + radius * math.sin(angle))
    yield (float(edge.end[0]), float(edge.end[1]))

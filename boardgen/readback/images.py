"""Seen objects → areas, in nanometres, batched by runs of one polarity."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import groupby

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon, STRtree, affinity
from shapely.geometry.base import BaseGeometry

from boardgen.model.shapes import Box, Contour, Disc, Shape, Stroke
from boardgen.readback.objects import Seen, SeenHole
from boardgen.units import NM_PER_MM, Nm

_QUARTER = 32
"""Chords to a quarter circle: 1.2 µm of sagitta at 4 mm radius, far below what is compared."""

_SAGITTA_NM = 1_200.0
"""Wider arcs are cut finer: a board's edge of 50 mm radius would be off by 15 µm else, and copper
that lies on it would show, or hide, slivers that are not there."""


_TRIANGLE = 3
"""Fewer corners enclose nothing."""


@lru_cache(maxsize=16384)
def area(shape: Shape) -> BaseGeometry:
    """Turn a shape into its area, once for all that ask."""
    if isinstance(shape, Disc):
        return shapely.Point(shape.centre).buffer(shape.radius_nm, quad_segs=_QUARTER)
    if isinstance(shape, Stroke):
        return LineString(shape.points).buffer(shape.radius_nm, quad_segs=_QUARTER)
    if isinstance(shape, Box):
        (x, y), width, height = shape.centre, shape.width_nm / 2, shape.height_nm / 2
        level = shapely.box(x - width, y - height, x + width, y + height)
        turn_deg = shape.turn_udeg / 1e6
        return affinity.rotate(level, turn_deg, origin=shape.centre) if turn_deg else level
    ring = list(_ring(shape))
    if len(set(ring)) < _TRIANGLE:
        return Polygon()
    if shape.radius_nm:
        line = LineString([*ring, ring[0]])
        return line.buffer(shape.radius_nm, quad_segs=_QUARTER)
    return shapely.make_valid(Polygon(ring))


def _ring(contour: Contour) -> Iterator[tuple[float, float]]:
    x, y = contour.start
    for edge in contour.edges:
        if edge.centre is not None:
            cx, cy = edge.centre
            radius = math.hypot(x - cx, y - cy)
            start = math.atan2(y - cy, x - cx)
            end = math.atan2(edge.end[1] - cy, edge.end[0] - cx)
            turn = (start - end) if edge.clockwise else (end - start)
            turn = turn % math.tau or math.tau
            quarter = max(_QUARTER, math.pi / 4 / math.sqrt(2 * _SAGITTA_NM / max(radius, 1.0)))
            steps = max(2, math.ceil(turn / (math.pi / 2) * quarter))
            for step in range(1, steps):
                angle = start + (-turn if edge.clockwise else turn) * step / steps
                yield (cx + radius * math.cos(angle), cy + radius * math.sin(angle))
        x, y = edge.end
        yield (float(x), float(y))


def image(objects: Iterable[Seen]) -> BaseGeometry:
    """Compute what a file shows."""
    shown: BaseGeometry = MultiPolygon()
    for dark, run in groupby(objects, key=lambda seen: seen.dark):
        merged = shapely.disjoint_subset_union_all(np.array([area(seen.shape) for seen in run]))
        shown = shown.union(merged) if dark else shown.difference(merged)
    return shown


def barrel(hole: SeenHole) -> BaseGeometry:
    """Turn a hole into the area that it takes away."""
    return shapely.Point(hole.x_nm, hole.y_nm).buffer(hole.diameter_nm / 2, quad_segs=_QUARTER)


def inside(profile: Iterable[Seen]) -> BaseGeometry:
    """Compute the board's area from its drawn edges: the first, less the cut-outs in it."""
    areas = [
        area(replace(seen.shape, radius_nm=Nm(0)))
        for seen in profile
        if isinstance(seen.shape, Contour)
    ]
    whole = areas[0] if areas else MultiPolygon()
    return whole.difference(shapely.union_all(areas[1:])) if areas[1:] else whole


def pieces(shown: BaseGeometry) -> list[Polygon]:
    """Take an image apart, in an order that depends on places only."""
    parts = (part for part in shapely.get_parts(shown) if isinstance(part, Polygon))
    return sorted((part for part in parts if not part.is_empty), key=lambda part: part.bounds)


class Pieces:
    """What an image falls apart into, prepared to be asked what lies on or near it.

    A tree prepares what it is asked with, not what it holds; here the pieces are the large ones.
    """

    def __init__(self, parts: Sequence[Polygon]) -> None:
        self.parts = np.array(parts, dtype=object)
        shapely.prepare(self.parts)
        self._tree = STRtree(self.parts)

    def under(self, shape: BaseGeometry) -> list[int]:
        """List the pieces that a shape meets."""
        met = self._tree.query(shape)
        return sorted(met[shapely.intersects(self.parts[met], shape)].tolist())

    def pairs_within(self, reach_nm: float) -> list[tuple[int, int]]:
        """List pairs of pieces that are no further apart."""
        found = []
        for place, part in enumerate(self.parts):
            left, bottom, right, top = part.bounds
            around = shapely.box(left - reach_nm, bottom - reach_nm, right + reach_nm,
                                 top + reach_nm)  # fmt: skip
            near = self._tree.query(around)
            near = near[near > place]
            near = near[shapely.dwithin(part, self.parts[near], reach_nm)]
            found += [(place, int(other)) for other in near]
        return found


def differs(first: BaseGeometry, second: BaseGeometry, shrink_nm: float) -> list[Polygon]:
    """Find where two images differ by more than a hair."""
    return pieces(first.symmetric_difference(second).buffer(-shrink_nm))


def point_mm(shape: BaseGeometry) -> tuple[float, float]:
    """Name a point of an area for a person."""
    point = shape.representative_point()
    return (round(point.x / NM_PER_MM, 4), round(point.y / NM_PER_MM, 4))


def box_mm(shape: BaseGeometry) -> tuple[float, float]:
    """Tell how large a box around an area is."""
    left, bottom, right, top = shape.bounds
    return (round((right - left) / NM_PER_MM, 4), round((top - bottom) / NM_PER_MM, 4))

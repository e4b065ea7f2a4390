"""Distances and neighbours, exact on skeletons."""

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from shapely import LineString, STRtree
from shapely.geometry.base import BaseGeometry

from boardgen.geometry.polygons import FINE_SAGITTA_NM, SAGITTA_NM, contour_points, skeleton
from boardgen.geometry.regions import Region, image
from boardgen.model.artwork import Item
from boardgen.model.shapes import Contour, Point, Shape, Stroke
from boardgen.units import Nm

_NOISE_NM = 1e-3
"""Square roots of integers end in noise; a thousandth of a nanometre is none."""


_CUT_NM = 10

_SHORTEST_NM = 2_000
"""Points nearer than 1 µm are forbidden practice in Gerber (4.14.2); twice that is kept."""


def distance_nm(first: Shape, second: Shape) -> float:
    """Measure between the outlines of two shapes; negative when they overlap.

    Skeleton distance less both radii: exact but for arcs in the skeleton of a contour.
    """
    between = float(skeleton(first).distance(skeleton(second)))
    return between - first.radius_nm - second.radius_nm + _NOISE_NM


def near_pairs(
    first: Sequence[Shape], second: Sequence[Shape], within_nm: int
) -> Iterator[tuple[int, int, float]]:
    """List pairs of shapes that are nearer than a distance, with the distance in nm.

    Parameters
    ----------
    first, second : sequence of Shape
        When both are the same object, each pair comes once and none with itself.
    within_nm : int
        Pairs at this distance or further are left out.
    """
    if not first or not second:
        return
    bases, radii = _skeletons(first)
    others, other_radii = (bases, radii) if first is second else _skeletons(second)
    reach = within_nm + radii.max() + other_radii.max()
    pairs = STRtree(others).query(bases, "dwithin", reach)
    if first is second:
        pairs = pairs[:, pairs[0] < pairs[1]]
    one, other = pairs[:, np.lexsort(pairs[::-1])]
    gaps = shapely.distance(bases[one], others[other]) - radii[one] - other_radii[other] + _NOISE_NM
    near = gaps < within_nm
    yield from zip(one[near].tolist(), other[near].tolist(), gaps[near].tolist(), strict=True)


def _skeletons(shapes: Sequence[Shape]) -> "tuple[np.ndarray[Any, Any], np.ndarray[Any, Any]]":
    """Give shapes' skeletons, and their radii in nanometres."""
    radii = np.array([shape.radius_nm for shape in shapes], dtype=float)
    return np.array([skeleton(shape) for shape in shapes]), radii


class PourEdge:
    """What objects show, dark and clear in turn, and its boundary in a tree.

    So looking near it costs little. Arcs are cut into chords; who comes near a distance is looked
    at again, with arcs cut within some nanometres, which are forgiven.
    """

    def __init__(self, items: Sequence[Item]) -> None:
        """Draw the objects and take the boundary apart."""
        self.region = image(items)
        self._items = items
        self._pieces = _segments(self.region)
        self._tree = STRtree(self._pieces)
        self._drawn = STRtree([skeleton(item.shape) for item in items])
        self._widest = max((item.shape.radius_nm for item in items), default=0)
        shapely.prepare(self.region.shape)

    def near(self, shapes: Sequence[Shape], within_nm: int) -> Iterator[tuple[int, float]]:
        """List shapes that are nearer to the area than a distance, with the distance in nm.

        A shape whose skeleton meets the area is nearer by its whole radius.
        """
        for place, rough in self._rough(shapes, within_nm + 2 * SAGITTA_NM):
            gap = self._exact(shapes[place], rough, within_nm)
            if gap < within_nm - _CUT_NM:
                yield place, gap

    def nearest(self, shapes: Sequence[Shape], within_nm: int) -> tuple[int, float] | None:
        """Find the shape nearest to the area within a distance, with the distance in nm.

        Of shapes that differ by less than how arcs are cut, a quarter of a micrometre, one is told.
        """
        found = min(self._rough(shapes, within_nm), key=lambda pair: pair[1], default=None)
        if found is None:
            return None
        place, rough = found
        return place, self._exact(shapes[place], rough, within_nm)

    def _rough(self, shapes: Sequence[Shape], within_nm: float) -> list[tuple[int, float]]:
        if not shapes or not len(self._pieces):
            return []
        bases, radii = _skeletons(shapes)
        gaps = np.where(shapely.intersects(self.region.shape, bases), 0.0, np.inf)
        ones, pieces = self._tree.query(bases, "dwithin", within_nm + radii)
        np.minimum.at(gaps, ones, shapely.distance(bases[ones], self._pieces[pieces]))
        gaps += _NOISE_NM - radii
        return [(int(place), float(gaps[place])) for place in np.flatnonzero(gaps < within_nm)]

    def _exact(self, shape: Shape, rough_nm: float, within_nm: int) -> float:
        """Measure again; what meets the area already is not asked how deep."""
        if rough_nm <= 1 - shape.radius_nm:
            return rough_nm
        base = skeleton(shape, FINE_SAGITTA_NM)
        reach = shape.radius_nm + min(within_nm, rough_nm) + 2 * SAGITTA_NM + self._widest
        near = sorted(self._drawn.query(base, "dwithin", reach).tolist())
        exact = image([self._items[which] for which in near], _CUT_NM)
        return float(round(exact.shape.distance(base) - shape.radius_nm))


def _segments(region: Region) -> "np.ndarray[Any, Any]":
    rings = [np.array(ring) for ring in region.rings_nm()]
    if not rings:
        return np.array([])
    ends = np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings])
    return np.asarray(shapely.linestrings(ends))


def near_line(
    contour: Contour, shapes: Sequence[Shape], within_nm: int
) -> Iterator[tuple[int, float]]:
    """List shapes that are nearer to a closed line than a distance, with the distance in nm.

    Arcs are cut so finely that whole nanometres are right: the grid knows no others.
    """
    for place, _ in _rough_to_line(contour, shapes, within_nm + 2 * SAGITTA_NM):
        gap = _to_line(contour, shapes[place])
        if gap < within_nm:
            yield place, gap


def near_lines(
    contours: Sequence[Contour], shapes: Sequence[Shape], within_nm: int
) -> Iterator[tuple[Contour, int, float]]:
    """List shapes that are nearer to one of some closed lines than a distance, line by line."""
    for contour in contours:
        for place, gap in near_line(contour, shapes, within_nm):
            yield contour, place, gap


def nearest_to_line(
    contour: Contour, shapes: Sequence[Shape], within_nm: int
) -> tuple[int, float] | None:
    """Find the shape nearest to a closed line within a distance; see `PourEdge.nearest`."""
    rough = _rough_to_line(contour, shapes, within_nm)
    if not rough:
        return None
    place = min(rough, key=lambda pair: pair[1])[0]
    return place, _to_line(contour, shapes[place])


def _rough_to_line(
    contour: Contour, shapes: Sequence[Shape], within_nm: float
) -> list[tuple[int, float]]:
    if not shapes:
        return []
    (bases, radii), line = _skeletons(shapes), _ring(contour)
    # What is far away a prepared line leaves out at once.
    near = np.flatnonzero(shapely.dwithin(line, bases, within_nm + radii))
    gaps = (shapely.distance(line, bases[near]) - radii[near]).tolist()
    return [pair for pair in zip(near.tolist(), gaps, strict=True) if pair[1] < within_nm]


@lru_cache(maxsize=16)
def _ring(contour: Contour) -> BaseGeometry:
    line = skeleton(contour).exterior
    shapely.prepare(line)
    return line


def _to_line(contour: Contour, shape: Shape) -> int:
    gap: int = round(_line(contour).distance(skeleton(shape, FINE_SAGITTA_NM)) - shape.radius_nm)
    return gap


def between(first: Shape, second: Shape) -> tuple[float, float]:
    """Find the middle of the gap, or of the overlap, of two shapes where they are nearest."""
    return _middle_of_gap(skeleton(first), first.radius_nm, skeleton(second), second.radius_nm)


def between_area(shape: Shape, region: Region) -> tuple[float, float]:
    """Find the middle of the gap between a shape and an area where they are nearest."""
    return _middle_of_gap(skeleton(shape), shape.radius_nm, region.shape, 0)


def between_line(shape: Shape, contour: Contour) -> tuple[float, float]:
    """Find the middle of the gap between a shape and a closed line where they are nearest."""
    return _middle_of_gap(skeleton(shape), shape.radius_nm, skeleton(contour).exterior, 0)


def _middle_of_gap(
    first: BaseGeometry, first_nm: float, second: BaseGeometry, second_nm: float
) -> tuple[float, float]:
    (x1, y1), (x2, y2) = shapely.get_coordinates(shapely.shortest_line(first, second)).tolist()
    length = math.hypot(x2 - x1, y2 - y1)
    along = (length + first_nm - second_nm) / 2 / length if length else 0.0
    return (x1 + (x2 - x1) * along, y1 + (y2 - y1) * along)


def area_to_line(
    region: Region, contour: Contour, within_nm: int
) -> tuple[int, tuple[float, float]] | None:
    """Measure from an area to a closed line, in nm, and tell the middle of the gap.

    None when there is no area, or it is further away than asked for.

    Corners of the area lie on its arcs, so that chords do not make it nearer than it is.
    """
    rough = skeleton(contour).exterior
    if region.shape.is_empty or rough.distance(region.shape) > within_nm + 2 * SAGITTA_NM:
        return None
    near = region.shape.intersection(rough.buffer(within_nm + 4 * SAGITTA_NM, quad_segs=4))
    gap: int = round(_line(contour).distance(near))
    return (gap, _middle_of_gap(rough, 0, near, 0)) if gap < within_nm else None


@lru_cache(maxsize=4)
def _line(contour: Contour) -> BaseGeometry:
    """Cut a contour's line finely, once for all that is held against it."""
    line = skeleton(contour, FINE_SAGITTA_NM).exterior
    shapely.prepare(line)
    return line


def centre(shape: Shape) -> tuple[float, float]:
    """Find the middle of a shape's box, in nm."""
    left, bottom, right, top = skeleton(shape).bounds
    return ((left + right) / 2, (bottom + top) / 2)


def box_nm(shape: Shape) -> tuple[float, float, float, float]:
    """Find left, bottom, right and top of a shape; of a profile those of its centre line."""
    whole = _line(shape) if isinstance(shape, Contour) else skeleton(shape)
    left, bottom, right, top = whole.bounds
    reach = 0 if isinstance(shape, Contour) else shape.radius_nm
    return (left - reach, bottom - reach, right + reach, top + reach)


def insets_nm(inner: Contour, outer: Contour) -> tuple[float, float]:
    """Measure least and greatest distance from points of an inner contour to the outer line."""
    points = shapely.points(np.array(list(contour_points(inner))))
    # A tree of chords finds the nearest ten times sooner than a prepared line of thousands does.
    corners = shapely.get_coordinates(_line(outer))
    chords = STRtree(shapely.linestrings(np.stack((corners[:-1], corners[1:]), axis=1)))
    _, gaps = chords.query_nearest(points, all_matches=False, return_distance=True)
    return (float(gaps.min()), float(gaps.max()))


def trimmed(stroke: Stroke, forbidden: Region) -> tuple[Stroke, ...]:
    """Cut away what of a stroke lies within an area; what is left may be several strokes.

    The area must already hold the wanted gap; the stroke's own radius is added here.
    """
    line = LineString(stroke.points)
    rest = line.difference(forbidden.shape.buffer(stroke.radius_nm))
    if rest.equals(line):
        return (stroke,)
    found = []
    for part in shapely.get_parts(rest):
        points = _apart([(Nm(round(x)), Nm(round(y))) for x, y in part.coords])
        if len(points) > 1:
            found.append(Stroke(points, stroke.radius_nm))
    return tuple(found)


def _apart(points: list[Point]) -> tuple[Point, ...]:
    kept = points[:1]
    kept += [
        point
        for point in points[1:]
        if abs(point[0] - kept[0][0]) + abs(point[1] - kept[0][1]) >= _SHORTEST_NM
    ]
    return tuple(kept)

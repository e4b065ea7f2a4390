"""Spots between places: as far from the nearest of them as can be."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import shapely

_ALIKE = 1.3
"""So many times as far as its nearest place another one may lie to be a neighbour too."""
_WIDE = 1.0
"""No further than so many times the usual distance a spot lies from its places: else it is a gap
that was left on purpose."""
_SLACK = 1e-6

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Spot:
    """A spot, and the numbers of the places around it."""

    at: Place
    around: tuple[int, ...]


def along_lines(places: Sequence[Place]) -> list[Spot]:
    """List the middles between neighbours."""
    nearest = _nearest(places)
    return [
        Spot(_middle(places[one], places[other]), (one, other))
        for one, other in combinations(range(len(places)), 2)
        if math.dist(places[one], places[other]) <= _ALIKE * min(nearest[one], nearest[other])
    ]


def in_a_row(places: Sequence[Place], *, closed: bool) -> list[Spot]:
    """List the middles between each place and the next one, wherever it lies."""
    last = [(len(places) - 1, 0)] if closed else []
    pairs = [*pairwise(range(len(places))), *last]
    return [Spot(_middle(places[one], places[other]), (one, other)) for one, other in pairs]


def over_area(places: Sequence[Place]) -> list[Spot]:
    """List the middles between neighbours, and of each three places that no other lies between.

    The latter are corners of the places' Voronoi cells, as far as they lie among the places.
    """
    usual = max(_nearest(places), default=0.0)
    cells = shapely.delaunay_triangles(shapely.MultiPoint(list(places)))
    inside = shapely.convex_hull(shapely.MultiPoint(list(places))).buffer(_SLACK * usual)
    number = {place: index for index, place in enumerate(places)}
    corners = [
        Spot(at, tuple(number[tuple(corner)] for corner in shapely.get_coordinates(cell)[:3]))
        for cell, at, radius in _rounded(cells)
        if radius <= _WIDE * usual and inside.covers(shapely.Point(at))
    ]
    return [*along_lines(places), *corners]


def middle_of(places: Sequence[Place]) -> Place:
    """Find the middle of the smallest circle around places, to a nanometre of millimetres."""
    middle = shapely.minimum_bounding_circle(shapely.MultiPoint(list(places))).centroid
    return (round(middle.x, 6), round(middle.y, 6))


def _rounded(cells: shapely.GeometryCollection) -> Iterator[tuple[shapely.Geometry, Place, float]]:
    """Give each triangle with the circle through its corners; those that are none left out.

    Where places at the rim lie on a line but for rounding, triangles of no area come between.
    """
    for cell in cells.geoms:
        (x1, y1), (x2, y2), (x3, y3) = shapely.get_coordinates(cell)[:3].tolist()
        twice = 2 * ((x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1))
        if not twice:
            continue
        b, c = (x2 - x1) ** 2 + (y2 - y1) ** 2, (x3 - x1) ** 2 + (y3 - y1) ** 2
        dx = ((y3 - y1) * b - (y2 - y1) * c) / twice
        dy = ((x2 - x1) * c - (x3 - x1) * b) / twice
        yield cell, (x1 + dx, y1 + dy), math.hypot(dx, dy)


def _nearest(places: Sequence[Place]) -> list[float]:
    """Tell of each place how far the nearest other one is."""
    return [
        min((math.dist(one, other) for j, other in enumerate(places) if j != i), default=0.0)
        for i, one in enumerate(places)
    ]


def _middle(one: Place, other: Place) -> Place:
    return ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2)

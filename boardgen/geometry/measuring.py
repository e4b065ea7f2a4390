"""Distances and neighbours, exact on skeletons."""

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import LineString, STRtree

from boardgen.geometry.polygons import FINE_SAGITTA_NM, SAGITTA_NM, skeleton
from boardgen.geometry.regions import Region
from boardgen.model.shapes import Contour, Point, Shape, Stroke
from boardgen.units import Nm

_NOISE_NM = 1e-3
"""Square roots of integers end in noise; a thousandth of a nanometre is none."""


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
    tree = STRtree([skeleton(shape) for shape in second])
    reach = within_nm + max(s.radius_nm for s in first) + max(s.radius_nm for s in second)
    bases = np.array([skeleton(shape) for shape in first])
    for one, other in sorted(map(tuple, tree.query(bases, "dwithin", reach).T.tolist())):
        if first is second and one >= other:
            continue
        gap = distance_nm(first[one], second[other])
        if gap < within_nm:
            yield one, other, gap


def near_region(
    region: Region, shapes: Sequence[Shape], within_nm: int
) -> Iterator[tuple[int, float]]:
    """List shapes that are nearer to an area than a distance, with the distance in nm."""
    shapely.prepare(region.shape)
    for place, shape in enumerate(shapes):
        base = skeleton(shape)
        if not shapely.dwithin(region.shape, base, within_nm + shape.radius_nm):
            continue
        gap = float(region.shape.distance(base)) - shape.radius_nm + _NOISE_NM
        if gap < within_nm:
            yield place, gap


def near_line(
    contour: Contour, shapes: Sequence[Shape], within_nm: int
) -> Iterator[tuple[int, float]]:
    """List shapes that are nearer to a closed line than a distance, with the distance in nm.

    Arcs are cut so finely that whole nanometres are right: the grid knows no others.
    """
    line = skeleton(contour, FINE_SAGITTA_NM).exterior
    shapely.prepare(line)
    for place, shape in enumerate(shapes):
        if not shapely.dwithin(line, skeleton(shape), within_nm + shape.radius_nm + SAGITTA_NM):
            continue
        gap = round(line.distance(skeleton(shape, FINE_SAGITTA_NM)) - shape.radius_nm)
        if gap < within_nm:
            yield place, gap


def centre(shape: Shape) -> tuple[float, float]:
    """Find the middle of a shape's box, in nm."""
    left, bottom, right, top = skeleton(shape).bounds
    return ((left + right) / 2, (bottom + top) / 2)


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

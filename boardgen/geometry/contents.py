"""What lies inside what, and by how much; where an area is thin, and where a contour is faulty."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from boardgen.geometry.contours import grown
from boardgen.geometry.offsets import offset
from boardgen.geometry.polygons import FINE_SAGITTA_NM, polygon, quarter_segments, skeleton
from boardgen.geometry.regions import Region, polygons_of, union
from boardgen.model.shapes import Box, Contour, Disc, Point, Shape

_ROUNDING_NM = 500.0
"""Half a micrometre: between what is exactly at a limit and what is one micrometre past it."""
_FLOAT_NM = 1e-3
"""Float noise of nanometres: exactly as wide as asked for is wide enough."""
_ARC_NM = 500.0
"""Gerber allows an arc's two radii to differ by rounding; half a micrometre is far more."""


def margin_nm(inner: Shape, outer: Shape) -> float:
    """Measure how far a shape stays inside another, at the worst place; negative outside.

    Exact of discs in discs or rectangles, and between rectangles; else between outlines cut finely.
    """
    if isinstance(inner, Disc) and isinstance(outer, Disc):
        return outer.radius_nm - inner.radius_nm - math.dist(inner.centre, outer.centre)
    if isinstance(inner, Disc) and isinstance(outer, Box) and not outer.radius_nm:
        along, across = _off_middle(inner.centre, outer)
        return min(outer.width_nm / 2 - along, outer.height_nm / 2 - across) - inner.radius_nm
    if isinstance(inner, Box) and isinstance(outer, Box) and _parallel(inner, outer):
        along, across = _off_middle(inner.centre, outer)
        beside = outer.width_nm - inner.width_nm - 2 * inner.radius_nm
        above = outer.height_nm - inner.height_nm - 2 * inner.radius_nm
        return min(beside / 2 - along, above / 2 - across)
    return margin_in_nm(inner, Region(polygon(outer, FINE_SAGITTA_NM)))


def _parallel(inner: Box, outer: Box) -> bool:
    return not outer.radius_nm and inner.turn_udeg == outer.turn_udeg


def _off_middle(point: Point, box: Box) -> tuple[float, float]:
    """Tell how far a point lies from a rectangle's middle, along its sides."""
    (cos, sin), x, y = box.axes, point[0] - box.centre[0], point[1] - box.centre[1]
    return (abs(x * cos + y * sin), abs(y * cos - x * sin))


def margin_in_nm(inner: Shape, area: Region) -> float:
    """Measure how far a shape stays inside an area, at the worst place; negative outside."""
    body = polygon(inner, FINE_SAGITTA_NM)
    if area.shape.is_empty:
        return -math.inf
    if area.shape.covers(body):
        return float(round(area.shape.boundary.distance(body)))
    return -float(shapely.hausdorff_distance(body.difference(area.shape), area.shape))


def overlap(first: Shape, second: Shape) -> bool:
    """Tell whether two shapes share more than their outlines."""
    shared = polygon(first).intersection(polygon(second))
    return bool(shared.area > _ROUNDING_NM**2)


def beyond(contour: Contour, shapes: Sequence[Shape]) -> Iterator[tuple[int, float]]:
    """List shapes that reach out of a contour's area, with how far in nm."""
    area = skeleton(contour, FINE_SAGITTA_NM)
    shapely.prepare(area)
    for place, shape in enumerate(shapes):
        body = polygon(shape)
        if not area.contains_properly(body):
            out = body.difference(area)
            reach = max((area.distance(shapely.Point(at)) for at in _points(out)), default=0.0)
            if reach > _ROUNDING_NM:
                yield place, reach


def _points(shape: shapely.Geometry) -> list[tuple[float, float]]:
    return [(x, y) for x, y in shapely.get_coordinates(shape).tolist()]


def thin_places(region: Region, width_nm: int) -> Iterator[tuple[tuple[float, float], float]]:
    """List places where an area is narrower than a width, with how wide it is there, in nm.

    Necks, and fingers without a core: what a disc of that width cannot reach and is no mere corner.
    """
    yield from necks(region, width_nm)
    shrink = width_nm / 2 - _ROUNDING_NM / 2
    segments = quarter_segments(shrink)
    for piece in polygons_of(region.shape):
        if 2 * piece.area < _SLICE_NM * piece.length:
            continue
        inner = offset(piece, -shrink, quad_segs=segments)
        kept = offset(inner, shrink + 2, quad_segs=segments)
        for part in polygons_of(piece.difference(kept)):
            if _sticks_out(part, kept, width_nm):
                yield _middle(part), _width(part, width_nm)


_SLICE_NM = 10.0
"""Where clear areas just touch, rounding leaves slices thinner than this: they are no copper."""


def _sticks_out(part: shapely.Polygon, kept: shapely.Geometry, width_nm: int) -> bool:
    """Tell a finger from a mere corner: its tip is further from the rest than the width."""
    left, bottom, right, top = part.bounds
    if max(right - left, top - bottom) < width_nm:
        return False
    ends = shapely.points(shapely.get_coordinates(part))
    return bool(kept.is_empty or shapely.distance(ends, kept).max() > width_nm)


def necks(region: Region, width_nm: int) -> Iterator[tuple[tuple[float, float], float]]:
    """List places where an area is joined by less than a width, with how much, in nm.

    Between two rings of its boundary; or where it falls apart when it is shrunk by half the width.
    """
    least, shrink = width_nm - _ROUNDING_NM, (width_nm - _ROUNDING_NM) / 2
    for piece in polygons_of(region.shape):
        rings = [piece.exterior, *piece.interiors]
        for one, other in _near_rings(rings, least):
            line = shapely.shortest_line(rings[one], rings[other])
            yield _middle(line), float(line.length)
        parts = polygons_of(offset(piece, -shrink, quad_segs=quarter_segments(shrink)))
        for place in range(1, len(parts)):
            rest = shapely.MultiPolygon(parts[:place])
            line = shapely.shortest_line(parts[place], rest)
            if line.length < width_nm and piece.covers(line):
                yield _middle(line), _width(piece.intersection(_around(line, width_nm)), width_nm)


def slits(region: Region, width_nm: int) -> Iterator[tuple[float, float]]:
    """List places where what is clear between two parts of an area is narrower than a width.

    Between two wider clear places; a notch that ends is none.
    """
    if region.empty:
        return
    segments, (left, bottom, right, top) = quarter_segments(width_nm / 2), region.shape.bounds
    beside = 2 * width_nm
    frame = shapely.box(left - beside, bottom - beside, right + beside, top + beside)
    for clear in polygons_of(frame.difference(region.shape)):
        wide = polygons_of(offset(clear, -width_nm / 2, quad_segs=segments))
        if len(wide) > 1:
            kept = [part.buffer(width_nm / 2 + 2, quad_segs=segments) for part in wide]
            tree = shapely.STRtree(kept)
            for part in polygons_of(clear.difference(shapely.union_all(kept))):
                if len(tree.query(part, "intersects")) > 1:
                    yield _middle(part)


_POINTS_A_STRETCH = 16


def _near_rings(rings: Sequence[shapely.LinearRing], within_nm: float) -> list[tuple[int, int]]:
    """List pairs of rings that come nearer than a distance, each once.

    They are cut into stretches for it: of a whole ring, a board's edge say, a tree knows no more
    than its box, and each other ring would be held against all of its points.
    """
    stretches, owners = [], []
    for place, ring in enumerate(rings):
        points = shapely.get_coordinates(ring)
        for start in range(0, len(points) - 1, _POINTS_A_STRETCH):
            stretches.append(points[start : start + _POINTS_A_STRETCH + 1])
            owners.append(place)
    lines = np.array([shapely.LineString(stretch) for stretch in stretches])
    whose = np.array(owners)
    found = whose[shapely.STRtree(lines).query(lines, "dwithin", within_nm)]
    return sorted({(int(a), int(b)) for a, b in found.T if a < b})


def _around(line: shapely.LineString, width_nm: int) -> shapely.Polygon:
    return shapely.Point(_middle(line)).buffer(width_nm)


def _width(part: shapely.Geometry, most_nm: float) -> float:
    """Find how wide a thin piece is: how much it can be shrunk before it is gone or falls apart."""
    low, high = 0.0, most_nm
    pieces = len(polygons_of(part))
    while high - low > _ROUNDING_NM / 2:
        middle = (low + high) / 2
        left = polygons_of(part.buffer(-middle / 2))
        if len(left) == pieces:
            low = middle
        else:
            high = middle
    return low


def _middle(shape: shapely.Geometry) -> tuple[float, float]:
    at = shape.centroid
    return (at.x, at.y)


def inside(contour: Contour, shapes: Sequence[Shape]) -> Iterator[tuple[int, float]]:
    """List shapes that reach into a contour's area, as a cut-out's, with how far in nm."""
    area = skeleton(contour, FINE_SAGITTA_NM)
    shapely.prepare(area)
    for place, shape in enumerate(shapes):
        body = polygon(shape)
        if area.intersects(body) and (shared := area.intersection(body)).area > _ROUNDING_NM**2:
            yield place, float(shapely.hausdorff_distance(shared, area.exterior))


def webs(shapes: Sequence[Shape], width_nm: int) -> Iterator[tuple[int, int, float]]:
    """List pairs of shapes with a strip between them that is narrower than a width, in nm.

    Shapes that overlap, or that others join, have no strip between them there.
    """
    if not shapes:
        return
    joined = union(shapes)
    bodies = [skeleton(shape) for shape in shapes]
    tree = shapely.STRtree(bodies)
    reach = width_nm + 2 * max((shape.radius_nm for shape in shapes), default=0)
    for one, other in sorted(map(tuple, tree.query(bodies, "dwithin", reach).T.tolist())):
        if one >= other:
            continue
        gap = bodies[one].distance(bodies[other])
        gap -= shapes[one].radius_nm + shapes[other].radius_nm
        if not _ROUNDING_NM < gap < width_nm - _FLOAT_NM:
            continue
        if not joined.shape.covers(shapely.Point(_between(shapes[one], shapes[other], gap))):
            yield one, other, float(gap)


def _between(first: Shape, second: Shape, gap: float) -> tuple[float, float]:
    """Find the middle of the strip between two shapes: where both, grown, meet."""
    wide = round(gap / 2 + _ROUNDING_NM)
    return _middle(polygon(grown(first, wide)).intersection(polygon(grown(second, wide))))


@dataclass(frozen=True, slots=True)
class InnerCorner:
    """A bend of an outline into the board: where, and its radius (0: sharp)."""

    place: Point
    radius_nm: float


def inner_corners(contour: Contour, *, cut_out: bool = False) -> Iterator[InnerCorner]:
    """List the bends into the board that a milling cutter has to reach.

    It runs around the board outside of its outline, and inside of a ``cut_out``.
    """
    ring = list(_directions(contour))
    turn = 1.0 if skeleton(contour).exterior.is_ccw is not cut_out else -1.0
    for (end, _, ahead, arc), (_, start, _, _) in pairwise([*ring, ring[0]]):
        if arc is not None and turn * arc < 0:
            yield InnerCorner(end, abs(arc))
        bend = turn * (ahead[0] * start[1] - ahead[1] * start[0])
        if bend < -_SHARP:
            yield InnerCorner(end, 0.0)


_SHARP = 1e-3
"""Sine of the angle from which on two edges do not run into one another."""

_Vector = tuple[float, float]


def _directions(contour: Contour) -> Iterator[tuple[Point, _Vector, _Vector, float | None]]:
    """Walk edges: end, direction at start and at end, radius of an arc (negative: clockwise)."""
    at = contour.start
    for edge in contour.edges:
        if edge.centre is None:
            way = _unit(edge.end[0] - at[0], edge.end[1] - at[1])
            yield edge.end, way, way, None
        else:
            spin = -1.0 if edge.clockwise else 1.0
            (cx, cy), radius = edge.centre, math.dist(at, edge.centre)
            ways = [_unit(-spin * (y - cy), spin * (x - cx)) for x, y in (at, edge.end)]
            yield edge.end, ways[0], ways[1], spin * radius
        at = edge.end


def _unit(x: float, y: float) -> _Vector:
    length = math.hypot(x, y) or 1.0
    return (x / length, y / length)


def contour_fault(contour: Contour) -> tuple[str, Point] | None:
    """Tell what is wrong with a closed contour, and where; None when nothing is."""
    at = contour.start
    for edge in contour.edges:
        if edge.end == at:
            return "a piece has no length", at
        if edge.centre is not None:
            apart = math.dist(at, edge.centre) - math.dist(edge.end, edge.centre)
            if abs(apart) >= _ARC_NM:
                return "an arc does not meet its end", edge.end
        at = edge.end
    area = skeleton(contour)
    if not area.is_valid:
        x, y = _cross(shapely.is_valid_reason(area))
        return "it crosses itself", (type(at[0])(round(x)), type(at[1])(round(y)))
    return None


def _cross(reason: str) -> tuple[float, float]:
    """Take the place out of the library's sentence."""
    inside = reason[reason.rfind("[") + 1 : reason.rfind("]")].split()
    return (float(inside[0]), float(inside[1]))


def fingers(region: Region, width_nm: int) -> Iterator[tuple[tuple[float, float], float]]:
    """List pieces narrower than a width that hang on an area at one end: where, and how long.

    A piece that joins two places is a bridge and none of them.
    """
    segments = quarter_segments(width_nm / 2)
    core = offset(region.shape, -width_nm / 2, quad_segs=segments)
    core = offset(core, width_nm / 2, quad_segs=segments)
    least = (width_nm / 2) ** 2
    pieces = [
        whole
        for piece in polygons_of(region.shape.difference(core))
        if piece.area > least
        for whole in polygons_of(
            piece.buffer(-_SEAM_NM).buffer(_SEAM_NM, join_style="mitre", mitre_limit=2)
        )
        if whole.area > least
    ]
    wide = [piece.buffer(5 * _SEAM_NM, quad_segs=2) for piece in pieces]
    met = polygons_of(core.intersection(shapely.MultiPolygon(_apart(wide))))
    tree = shapely.STRtree(met)
    for piece, around in zip(pieces, wide, strict=True):
        roots = [met[place] for place in sorted(tree.query(around, "intersects").tolist())]
        if len(roots) == 1:
            ends = shapely.points(shapely.get_coordinates(piece))
            yield _middle(piece), float(shapely.distance(ends, roots[0]).max())


def _apart(parts: Sequence[shapely.Polygon]) -> list[shapely.Polygon]:
    return polygons_of(shapely.disjoint_subset_union_all(np.array(parts))) if parts else []


_SEAM_NM = 2_000.0
"""What opening an area leaves along its round corners is thinner than this."""

"""Contours of lines and true arcs: rounded rectangles and the outlines of thickened shapes."""

from dataclasses import replace
from itertools import pairwise

from boardgen.model.shapes import Box, Contour, Disc, Edge, Point, Shape, Stroke
from boardgen.units import Nm


def grown(shape: Shape, by_nm: int) -> Shape:
    """Thicken a shape: the same skeleton with a larger radius."""
    return replace(shape, radius_nm=Nm(shape.radius_nm + by_nm))


def rounded_rectangle(
    left: int, bottom: int, right: int, top: int, radius: int, pen_radius: int = 0
) -> Contour:
    """Draw a rectangle with rounded corners, counter-clockwise, from its lower left."""
    if radius == 0:
        corners = ((right, bottom), (right, top), (left, top), (left, bottom))
        return Contour(tuple(Edge(_point(*corner)) for corner in corners), Nm(pen_radius))
    turns = (
        ((right - radius, bottom), (right - radius, bottom + radius), (right, bottom + radius)),
        ((right, top - radius), (right - radius, top - radius), (right - radius, top)),
        ((left + radius, top), (left + radius, top - radius), (left, top - radius)),
        ((left, bottom + radius), (left + radius, bottom + radius), (left + radius, bottom)),
    )
    edges: list[Edge] = []
    for start, centre, end in turns:
        if edges and edges[-1].end == _point(*start):
            pass  # a side of no length: the arcs follow one another
        elif not (not edges and _point(*start) == _point(left + radius, bottom)):
            edges.append(Edge(_point(*start)))
        edges.append(Edge(_point(*end), _point(*centre)))
    return Contour(tuple(edges), Nm(pen_radius))


def circle(centre: Point, radius: int) -> Contour:
    """Draw a circle as two half arcs."""
    x, y = centre
    right, left = _point(x + radius, y), _point(x - radius, y)
    return Contour((Edge(left, centre), Edge(right, centre)))


def outline(shape: Disc | Box) -> Contour:
    """Draw the outline of a thickened point or rectangle, with true arcs."""
    if isinstance(shape, Disc):
        return circle(shape.centre, shape.radius_nm)
    if shape.turn_udeg:
        return _turned_outline(shape)
    (x, y), radius = shape.centre, shape.radius_nm
    half_w, half_h = shape.width_nm // 2, shape.height_nm // 2
    return rounded_rectangle(
        x - half_w - radius, y - half_h - radius, x + half_w + radius, y + half_h + radius, radius
    )


def _turned_outline(box: Box) -> Contour:
    """Draw a turned rectangle with rounded corners: each arc about a corner of the skeleton."""
    (cos, sin), radius = box.axes, box.radius_nm
    outwards = ((sin, -cos), (cos, sin), (-sin, cos), (-cos, -sin))
    edges: list[Edge] = []
    for place, (x, y) in enumerate(box.corners()):
        centre = _point(round(x), round(y))
        if not radius:
            edges.append(Edge(centre))
            continue
        before, after = outwards[place - 1], outwards[place]
        start, end = (
            _point(centre[0] + round(radius * way[0]), centre[1] + round(radius * way[1]))
            for way in (before, after)
        )
        edges += [Edge(start), Edge(end, centre)]
    return Contour(tuple(edges))


def polyline(points: tuple[Point, ...], radius: int) -> Stroke:
    """Make a stroke; points that follow themselves are left out."""
    kept = [points[0]]
    kept += [point for before, point in pairwise(points) if point != before]
    return Stroke(tuple(kept), Nm(radius))


def _point(x: int, y: int) -> Point:
    return (Nm(x), Nm(y))

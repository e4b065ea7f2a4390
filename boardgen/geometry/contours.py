"""Contours of lines and true arcs: rounded rectangles and the outlines of thickened shapes."""

import math
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


def inset(contour: Contour, by_nm: int, least_nm: int) -> Contour:
    """Draw the line at a distance to the left of a closed line, its corners rounded.

    Arcs keep their centres, but a left turn, sharp or hardly rounder than the distance, gets the
    least radius; a sharp right turn becomes an arc about its corner.

    Parameters
    ----------
    contour : Contour
        The board to its left: counter-clockwise outside, clockwise around a cut-out. Lines and arcs
        meet without a kink. Each is longer than what the distance takes of it: a step or a slot
        that is shorter comes out nearer than asked for.
    """
    starts = (contour.start, *(edge.end for edge in contour.edges))
    pieces = list(zip(starts, contour.edges, strict=False))
    arcs = []
    for place, piece in enumerate(pieces):
        before, after = pieces[place - 1], pieces[(place + 1) % len(pieces)]
        if piece[1].centre is not None:
            arcs.append(_moved_arc(before, piece, after, by_nm, least_nm))
        elif after[1].centre is None:
            arcs += _rounded(piece[1].end, _way(piece), _way(after), by_nm, least_nm)
    edges: list[Edge] = []
    at = arcs[-1][1].end
    for start, arc in arcs:
        if start != at:
            edges.append(Edge(start))
        if arc.end != start:  # an arc that ends where it begins would be a whole circle
            edges.append(arc)
        at = arc.end
    return Contour(tuple(edges), contour.radius_nm)


_Piece = tuple[Point, Edge]
_Way = tuple[float, float]
_STRAIGHT = 1e-9
"""Sine of a bend between lines that run on in one direction."""


def _way(piece: _Piece) -> _Way:
    (x1, y1), (x2, y2) = piece[0], piece[1].end
    length = math.dist((x1, y1), (x2, y2))
    return ((x2 - x1) / length, (y2 - y1) / length)


def _bend(first: _Way, second: _Way) -> float:
    """Tell the sine of a bend, positive to the left; 0 where there is none."""
    sine = first[0] * second[1] - first[1] * second[0]
    return sine if abs(sine) > _STRAIGHT else 0.0


def _moved_arc(before: _Piece, piece: _Piece, after: _Piece, by_nm: int, least_nm: int) -> _Piece:
    """Move an arc to its left; one that would be too tight becomes a rounder one of its lines."""
    start, edge = piece
    centre = edge.centre or start
    radius = math.dist(start, centre)
    wanted = radius + by_nm if edge.clockwise else radius - by_nm
    tight = not edge.clockwise and wanted < least_nm
    if tight and before[1].centre is None and after[1].centre is None:
        return _fillet((start, edge.end), (_way(before), _way(after)), by_nm, least_nm)
    share = wanted / radius
    moved_start, moved_end = (
        _point(
            centre[0] + round((x - centre[0]) * share), centre[1] + round((y - centre[1]) * share)
        )
        for x, y in (start, edge.end)
    )
    return moved_start, Edge(moved_end, centre, edge.clockwise)


def _rounded(
    corner: Point, first: _Way, second: _Way, by_nm: int, least_nm: int
) -> tuple[_Piece, ...]:
    """Round the corner between two lines, if there is one."""
    bend = _bend(first, second)
    if bend > 0:
        return (_fillet((corner, corner), (first, second), by_nm, least_nm),)
    return (_about(corner, first, second, by_nm),) if bend else ()


def _fillet(
    ends: tuple[Point, Point], ways: tuple[_Way, _Way], by_nm: int, least_nm: int
) -> _Piece:
    """Round the corner of two lines that were moved to their left."""
    (start, end), (first, second) = ends, ways
    away = by_nm + least_nm
    left, other = (-first[1], first[0]), (-second[1], second[0])
    p = (start[0] + away * left[0], start[1] + away * left[1])
    q = (end[0] + away * other[0], end[1] + away * other[1])
    along = ((q[0] - p[0]) * second[1] - (q[1] - p[1]) * second[0]) / _bend(first, second)
    x, y = p[0] + along * first[0], p[1] + along * first[1]
    centre = _point(round(x), round(y))
    begin = _point(round(x - least_nm * left[0]), round(y - least_nm * left[1]))
    finish = _point(round(x - least_nm * other[0]), round(y - least_nm * other[1]))
    return begin, Edge(finish, centre)


def _about(corner: Point, first: _Way, second: _Way, by_nm: int) -> _Piece:
    """Lead around a corner that points into the board."""
    begin, finish = (
        _point(corner[0] + round(-by_nm * way[1]), corner[1] + round(by_nm * way[0]))
        for way in (first, second)
    )
    return begin, Edge(finish, corner, clockwise=True)


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

"""Contours of lines and true arcs: rounded rectangles and the outlines of thickened shapes."""

import math
from dataclasses import dataclass, replace
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
    least radius; a sharp right turn between lines becomes an arc about its corner.

    Parameters
    ----------
    contour : Contour
        The board to its left: counter-clockwise outside, clockwise around a cut-out. An arc meets
        its neighbours without a kink, or turning left. Each is longer than what the distance takes
        of it: a step or a slot that is shorter comes out nearer than asked for.
    """
    starts = (contour.start, *(edge.end for edge in contour.edges))
    pieces = list(zip(starts, contour.edges, strict=False))
    kept = [place for place, piece in enumerate(pieces) if not _tight(piece, by_nm, least_nm)]
    moved: list[_Piece | None] = [
        None if pieces[place][1].centre is None else _moved_arc(pieces[place], by_nm)
        for place in kept
    ]
    corners: list[_Piece | None] = []
    for here, place in enumerate(kept):
        there = (here + 1) % len(kept)
        before, after = pieces[place], pieces[kept[there]]
        corner = _corner(before, after, by_nm, least_nm)
        corners.append(corner)
        trims = corner and (before[1].centre or after[1].centre)
        if corner and trims:
            moved[here] = _ending(moved[here], corner[0])
            moved[there] = _starting(moved[there], corner[1].end)
    drawn = [arc for pair in zip(moved, corners, strict=True) for arc in pair if arc]
    edges: list[Edge] = []
    at = drawn[-1][1].end
    for start, arc in drawn:
        if math.dist(start, at) > _ROUNDED_NM:
            edges.append(Edge(start))
        if arc.end != start:  # an arc that ends where it begins would be a whole circle
            edges.append(arc)
        at = arc.end
    return Contour(tuple(edges), contour.radius_nm)


_Piece = tuple[Point, Edge]
_Way = tuple[float, float]
_ROUNDED_NM = 1.5
"""Arcs that run into one another end so far apart when both ends are rounded: no line joins them,
which might lead back."""
_STRAIGHT = 1e-9
"""Sine of a bend between lines that run on in one direction."""


def _tight(piece: _Piece, by_nm: int, least_nm: int) -> bool:
    """Tell whether a left turn is hardly rounder than the distance: it becomes a corner."""
    start, edge = piece
    if edge.centre is None or edge.clockwise:
        return False
    return math.dist(start, edge.centre) - by_nm < least_nm


def _ending(arc: _Piece | None, at: Point) -> _Piece | None:
    return arc and (arc[0], arc[1]._replace(end=at))


def _starting(arc: _Piece | None, at: Point) -> _Piece | None:
    return arc and (at, arc[1])


def _way(piece: _Piece, *, at_end: bool = True) -> _Way:
    """Tell which way a piece runs where it ends, or where it begins."""
    (x1, y1), edge = piece
    x2, y2 = edge.end
    if edge.centre is None:
        length = math.dist((x1, y1), (x2, y2))
        return ((x2 - x1) / length, (y2 - y1) / length)
    (x, y), (cx, cy) = (edge.end if at_end else piece[0]), edge.centre
    turn = (-1 if edge.clockwise else 1) / math.dist((x, y), edge.centre)
    return (-(y - cy) * turn, (x - cx) * turn)


def _bend(first: _Way, second: _Way) -> float:
    """Tell the sine of a bend, positive to the left; 0 where there is none."""
    sine = first[0] * second[1] - first[1] * second[0]
    return sine if abs(sine) > _STRAIGHT else 0.0


def _moved_arc(piece: _Piece, by_nm: int) -> _Piece:
    """Move an arc to its left, about the same centre."""
    start, edge = piece
    centre = edge.centre or start
    radius = math.dist(start, centre)
    share = (radius + by_nm if edge.clockwise else radius - by_nm) / radius
    moved_start, moved_end = (
        _point(
            centre[0] + round((x - centre[0]) * share), centre[1] + round((y - centre[1]) * share)
        )
        for x, y in (start, edge.end)
    )
    return moved_start, Edge(moved_end, centre, edge.clockwise)


def _corner(before: _Piece, after: _Piece, by_nm: int, least_nm: int) -> _Piece | None:
    """Round the corner between two pieces that were moved to their left, if there is one."""
    straight = before[1].centre is None and after[1].centre is None
    first, second = _way(before), _way(after, at_end=False)
    bend = _bend(first, second)
    if straight:
        if bend > 0:
            ends = (before[1].end, after[0])
            return _fillet(ends, (first, second), by_nm, least_nm)
        return _about(before[1].end, first, second, by_nm) if bend else None
    return _fillet_of_arcs(before, after, by_nm, least_nm) if bend > _KINK else None


_KINK = 1e-3
"""Sine of a bend below which an arc goes on as its neighbour does, but for rounding."""


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


def _fillet_of_arcs(before: _Piece, after: _Piece, by_nm: int, least_nm: int) -> _Piece | None:
    """Round the corner of two pieces of which one is an arc at least.

    Its centre lies as far within as both distances from either: where circles, or a line and a
    circle, meet, nearest to the corner.
    """
    away = by_nm + least_nm
    centres = _meetings(_track(before, away), _track(after, away))
    if not centres:
        return None
    middle = min(centres, key=lambda at: math.dist(at, before[1].end))
    begin, finish = (_foot(middle, piece, by_nm) for piece in (before, after))
    return begin, Edge(finish, _point(round(middle[0]), round(middle[1])))


@dataclass(frozen=True, slots=True)
class _Straight:
    """A line by a point of it and its way."""

    at: _Way
    way: _Way


@dataclass(frozen=True, slots=True)
class _Round:
    """A circle."""

    centre: _Way
    radius: float


def _track(piece: _Piece, away_nm: int) -> _Straight | _Round:
    """Tell where all lies that is so far to the left of a piece."""
    edge = piece[1]
    if edge.centre is not None:
        radius = math.dist(piece[0], edge.centre)
        return _Round(edge.centre, radius + away_nm if edge.clockwise else radius - away_nm)
    way = _way(piece)
    return _Straight((edge.end[0] - away_nm * way[1], edge.end[1] + away_nm * way[0]), way)


def _meetings(first: _Straight | _Round, second: _Straight | _Round) -> list[_Way]:
    """Find where a circle meets a line or another circle: two places, or none."""
    if isinstance(second, _Straight):
        first, second = second, first
    assert isinstance(second, _Round)  # noqa: S101 - two lines have a corner of their own
    (x, y), radius = second.centre, second.radius
    if isinstance(first, _Straight):
        (px, py), way = first.at, first.way
        along = (x - px) * way[0] + (y - py) * way[1]
        foot = (px + along * way[0], py + along * way[1])
    else:
        (px, py), apart = first.centre, math.dist(first.centre, second.centre)
        if not apart:
            return []
        along = (apart**2 + radius**2 - first.radius**2) / (2 * apart)
        foot = (x + (px - x) * along / apart, y + (py - y) * along / apart)
        way = (-(py - y) / apart, (px - x) / apart)
    half = radius**2 - math.dist(foot, (x, y)) ** 2
    if half < 0:
        return []
    root = math.sqrt(half)
    return [(foot[0] + side * root * way[0], foot[1] + side * root * way[1]) for side in (-1, 1)]


def _foot(at: _Way, piece: _Piece, by_nm: int) -> Point:
    """Find the place of a moved piece that is nearest to a point."""
    track = _track(piece, by_nm)
    if isinstance(track, _Straight):
        (x, y), way = track.at, track.way
        along = (at[0] - x) * way[0] + (at[1] - y) * way[1]
        return _point(round(x + along * way[0]), round(y + along * way[1]))
    x, y = track.centre
    share = track.radius / math.dist(track.centre, at)
    return _point(round(x + (at[0] - x) * share), round(y + (at[1] - y) * share))


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

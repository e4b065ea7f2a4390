"""The board's edge as it was read: its box, and whether a chain of points follows it."""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from boardgen.model.shapes import Contour, Edge

_Point = tuple[int, int]

_LONG_RAD = math.radians(91)
"""Arcs up to a quarter turn, and a hair, may be told by their ends alone."""
_APART_RAD = math.radians(15)
"""On longer ones points stand no further apart: own choice."""
_MOST_TRIED = 5


def pieces(line: Contour) -> Iterator[tuple[_Point, Edge]]:
    """Give every piece of a closed line with the point where it begins."""
    start = line.start
    for edge in line.edges:
        yield start, edge
        start = edge.end


def sweep_rad(start: _Point, edge: Edge, end: _Point | None = None) -> float:
    """Tell by how much an arc turns up to a point of it, or to its end; 0 for a line."""
    if edge.centre is None:
        return 0.0
    (x, y), (x1, y1), (x2, y2) = edge.centre, start, end or edge.end
    turn = math.atan2(y2 - y, x2 - x) - math.atan2(y1 - y, x1 - x)
    return (-turn if edge.clockwise else turn) % math.tau or math.tau


def box_nm(line: Contour) -> tuple[int, int, int, int]:
    """Measure left, bottom, right and top of a closed line; an arc reaches as far as it bulges."""
    points: list[_Point] = [edge.end for edge in line.edges]
    for start, edge in pieces(line):
        if edge.centre is not None:
            (x, y), radius = edge.centre, round(math.dist(start, edge.centre))
            bulges = ((x + radius, y), (x, y + radius), (x - radius, y), (x, y - radius))
            points += [at for at in bulges if sweep_rad(start, edge, at) < sweep_rad(start, edge)]
    across, along = zip(*points, strict=True)
    return (min(across), min(along), max(across), max(along))


def follows(line: Contour, said: Sequence[_Point], step_nm: float) -> bool:
    """Tell whether a closed chain of points is a line's: every corner of it, and points on arcs.

    The chain may begin at any corner; ``step_nm`` is how finely its points are written.
    """
    _, *others = line.edges
    turned = [*others, line.edges[0]]
    starts = [at for at, point in enumerate(said) if _close(point, line.edges[0].end, step_nm)]
    return any(
        _walked(line.edges[0].end, turned, [*said[at + 1 :], *said[: at + 1]], step_nm)
        for at in starts[:_MOST_TRIED]
    )


def _walked(start: _Point, edges: Sequence[Edge], said: Sequence[_Point], step_nm: float) -> bool:
    """Follow a chain of points piece by piece; nothing may be left over."""
    rest = list(said)
    for edge in edges:
        passed = []
        while rest and not _close(rest[0], edge.end, step_nm):
            passed.append(rest.pop(0))
        if not rest or not _on_arc(start, edge, passed, step_nm):
            return False
        start = rest.pop(0) and edge.end
    return not rest


def _on_arc(start: _Point, edge: Edge, passed: Sequence[_Point], step_nm: float) -> bool:
    """Tell whether points lie on an arc in its order, and near enough to one another on a long one.

    A line has none.
    """
    whole = sweep_rad(start, edge)
    if edge.centre is None or whole <= _LONG_RAD:
        return not passed
    radius = math.dist(start, edge.centre)
    turns = [0.0, *(sweep_rad(start, edge, at) for at in passed), whole]
    return all(abs(math.dist(at, edge.centre) - radius) <= 2 * step_nm for at in passed) and all(
        0.0 < after - before <= _APART_RAD for before, after in pairwise(turns)
    )


def _close(one: _Point, other: _Point, step_nm: float) -> bool:
    return max(abs(one[0] - other[0]), abs(one[1] - other[1])) <= step_nm

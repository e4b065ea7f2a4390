"""An edge around a line: a band as wide as asked for, its ends square with rounded corners."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from boardgen.model.outline import Bow, Outline, Ring, walk
from boardgen.model.pose import Point, Pose
from boardgen.model.spine import Piece, Spine

CORNER_MM = 2.0
"""Corners at the ends of a band: own choice."""
_QUARTERS = tuple(math.pi / 2 * quarter for quarter in range(4))
_HARDLY_MM = 1e-6


def along(spine: Spine, across_mm: float) -> Ring:
    """Follow a line at a distance to its left, as pieces; the first one says where it begins."""
    way, bows = 0.0, [Bow(spine.place(0.0, across_mm))]
    for piece in spine.pieces:
        start = spine.pose(way + piece.length_mm / 2)
        way += piece.length_mm
        centre = _centre(start, piece) if piece.radius_mm else None
        at = spine.start if spine.closed and piece is spine.pieces[-1] else spine.pose(way)
        bows.append(Bow(at.place(0.0, across_mm), centre, piece.radius_mm < 0))
    return tuple(bows)


def _centre(on_arc: Pose, piece: Piece) -> Point:
    return on_arc.place(0.0, piece.radius_mm)


def back(bows: Ring) -> Ring:
    """Go the same way back."""
    turned = [Bow(bows[-1].end)]
    for before, bow in reversed(list(pairwise(bows))):
        turned.append(Bow(before.end, bow.centre, not bow.clockwise))
    return tuple(turned)


def around_open(spine: Spine, width_mm: float) -> Ring:
    """Draw the edge of a band around a line with two ends, counter-clockwise."""
    half = width_mm / 2
    right, left = along(spine, -half), back(along(spine, half))
    return (*_capped(right, left), *_capped(left, right))


def _capped(side: Ring, next_side: Ring) -> Iterator[Bow]:
    """Go along a side and square round its end to the next, its first corner rounded already."""
    start, end = side[-1].end, next_side[0].end
    corner = min(CORNER_MM, math.dist(start, end) / 3)
    ahead, across = _heading(side), _unit(start, end)
    for bow in side[1:-1]:
        yield bow
    last = side[-1]
    before = (start[0] - corner * ahead[0], start[1] - corner * ahead[1])
    yield Bow(before, last.centre, last.clockwise)
    turned = (start[0] + corner * across[0], start[1] + corner * across[1])
    yield Bow(turned, (before[0] + corner * across[0], before[1] + corner * across[1]))
    off = (end[0] - corner * across[0], end[1] - corner * across[1])
    if math.dist(turned, off) > _HARDLY_MM:
        yield Bow(off)
    done = (end[0] - corner * ahead[0], end[1] - corner * ahead[1])
    yield Bow(done, (off[0] - corner * ahead[0], off[1] - corner * ahead[1]))


def _heading(side: Ring) -> Point:
    """Tell which way a side ends; bands begin and end straight."""
    return _unit(side[-2].end, side[-1].end)


def _unit(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return ((end[0] - start[0]) / length, (end[1] - start[1]) / length)


def placed(rings: Sequence[Ring], spine: Spine) -> tuple[Outline, Spine, Point]:
    """Move edge and line so that the box around the edge begins at the origin; tell by how much."""
    xs, ys = zip(*_extremes(rings[0]), strict=True)
    by = (-min(xs), -min(ys))
    outer, *inner = (_moved(ring, by) for ring in rings)
    start = replace(spine.start, x_mm=spine.start.x_mm + by[0], y_mm=spine.start.y_mm + by[1])
    outline = Outline(
        length_mm=max(xs) - min(xs), width_mm=max(ys) - min(ys), outer=outer, inner=tuple(inner)
    )
    return outline, replace(spine, start=start), by


def _moved(ring: Ring, by: Point) -> Ring:
    def moved(at: Point) -> Point:
        return (at[0] + by[0], at[1] + by[1])

    return tuple(
        replace(bow, end=moved(bow.end), centre=bow.centre and moved(bow.centre)) for bow in ring
    )


def _extremes(ring: Ring) -> Iterator[Point]:
    """List the ends of a ring's pieces, and where arcs reach furthest along an axis."""
    for start, bow in walk(ring):
        yield bow.end
        if bow.centre is None:
            continue
        (x, y), way = bow.centre, -1.0 if bow.clockwise else 1.0
        radius = math.dist(start, bow.centre)
        first, last = (math.atan2(at[1] - y, at[0] - x) for at in (start, bow.end))
        sweep = way * (last - first) % math.tau or math.tau
        for quarter in _QUARTERS:
            if way * (quarter - first) % math.tau < sweep:
                yield (x + radius * math.cos(quarter), y + radius * math.sin(quarter))


def sharpest_mm(spine: Spine) -> float:
    """Tell the radius of a line's sharpest arc: infinite where it has none."""
    return min((abs(p.radius_mm) for p in spine.pieces if p.radius_mm), default=math.inf)

"""Edges around a line: beside it, back the same way, and square ends with rounded corners."""

import math
from collections.abc import Iterator
from itertools import pairwise

from boardgen.model.outline import Bow, Ring
from boardgen.model.pose import Point, Pose
from boardgen.model.spine import Piece, Spine

CORNER_MM = 2.0
"""Corners at the ends of a band: own choice."""
_HARDLY_MM = 1e-6


def along(spine: Spine, across_mm: float) -> Ring:
    """Follow a line at a distance to its left, as pieces; the first one says where it begins."""
    way, bows = 0.0, [Bow(spine.place(0.0, across_mm))]
    for place, piece in enumerate(spine.pieces, start=1):
        start = spine.pose(way + piece.length_mm / 2)
        way += piece.length_mm
        centre = _centre(start, piece) if piece.radius_mm else None
        ends = spine.closed and place == len(spine.pieces)
        at = spine.start if ends else spine.pose(way)
        bows.append(Bow(at.place(0.0, across_mm), centre, piece.radius_mm < 0))
    return tuple(bows)


def _centre(on_arc: Pose, piece: Piece) -> Point:
    return on_arc.place(0.0, piece.radius_mm)


def back(bows: Ring) -> Ring:
    """Go the same way back."""
    turned = [Bow(bows[-1].end)]
    for before, bow in reversed(list(pairwise(bows))):
        around = bow.centre is not None and not bow.clockwise
        turned.append(Bow(before.end, bow.centre, around))
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
    yield from side[1:-1]
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

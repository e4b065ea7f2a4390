"""The form "path": LEDs along a line of one's own, with rounded corners."""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from boardgen.forms.band import planned_closed, planned_open
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Plan
from boardgen.model.pose import Point, Pose
from boardgen.model.sections import FormSection
from boardgen.model.side import Side
from boardgen.model.spine import Piece

FILLET_MM = 16.0
"""How round a path's corners are, if not asked for and where they have room: own choice."""
_LEAST_FILLET_MM, _STRAIGHT_MM = 1.0, 1.0
_STRAIGHT_DEG = 1e-6


def path(parameters: Parameters) -> Plan:
    """Plan a path through points: open, with the supply at its first one, or closed.

    LEDs stand at their pitch from the first point on, or, with a connector at the right, from the
    last one; on a closed path at equal distances, of which ``form.pitch`` is the least.
    """
    form = parameters.form
    points = form.points[::-1] if parameters.connector.at == "right" else form.points
    if form.closed:
        clockwise = parameters.connector.side == Side.TOP.value
        other_way = (area_mm2(points) > 0) is clockwise  # the first side stays the first
        round_way = (points[1], points[0], *points[:1:-1]) if other_way else points
        ring = closed_way(round_way)
        return planned_closed(parameters, _start(ring), tuple(pieces(ring, fillet_mm(form))))
    line = tuple(pieces(points, fillet_mm(form)))
    return planned_open(parameters, _start(points), line, form.pitch_mm / 2, "")


def fillet_mm(form: FormSection) -> float:
    """Tell how round a path's corners are: as asked, or as its sides allow."""
    if form.fillet_mm is not None or len(form.points) < 3:  # noqa: PLR2004 - a bend needs three
        return FILLET_MM if form.fillet_mm is None else form.fillet_mm
    points = (*form.points, *form.points[:2]) if form.closed else form.points
    bends = [0.0, *(abs(math.tan(_turn_rad(*at) / 2)) for at in _threes(points)), 0.0]
    if form.closed:
        bends[0], bends[-1] = bends[-2], bends[1]
    fits = (
        (math.dist(*ends) - _STRAIGHT_MM) / (before + after)
        for ends, before, after in zip(pairwise(points), bends, bends[1:], strict=False)
        if before + after
    )
    return max(min((FILLET_MM, *fits)), _LEAST_FILLET_MM)


def _threes(points: Sequence[Point]) -> Iterator[tuple[Point, Point, Point]]:
    yield from zip(points, points[1:], points[2:], strict=False)


def closed_way(points: Sequence[Point]) -> tuple[Point, ...]:
    """Go round: from midway between the first two points, where it is straight, back to there."""
    (x1, y1), (x2, y2) = points[:2]
    middle = ((x1 + x2) / 2, (y1 + y2) / 2)
    return (middle, *points[1:], points[0], middle)


def area_mm2(points: Sequence[Point]) -> float:
    """Measure what straight lines from point to point enclose: positive counter-clockwise."""
    around = zip(points, (*points[1:], points[0]), strict=True)
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in around) / 2


def _start(points: Sequence[Point]) -> Pose:
    (x, y), (far_x, far_y) = points[:2]
    turn = math.degrees(math.atan2(far_y - y, far_x - x))
    return Pose(x_mm=x, y_mm=y, turn_deg=turn)


def pieces(points: Sequence[Point], radius_mm: float) -> Iterator[Piece]:
    """Go straight from point to point, and round each between with a radius."""
    used = 0.0
    for place, (start, end) in enumerate(pairwise(points)):
        turn, cut = 0.0, 0.0
        if place + 2 < len(points):
            turn = _turn_rad(start, end, points[place + 2])
            cut = radius_mm * math.tan(abs(turn) / 2)
        yield Piece(length_mm=math.dist(start, end) - used - cut)
        if abs(turn) > _STRAIGHT_DEG:
            yield Piece(length_mm=radius_mm * abs(turn), radius_mm=math.copysign(radius_mm, turn))
        used = cut


def _turn_rad(before: Point, at: Point, after: Point) -> float:
    first = math.atan2(at[1] - before[1], at[0] - before[0])
    second = math.atan2(after[1] - at[1], after[0] - at[0])
    return math.remainder(second - first, math.tau)

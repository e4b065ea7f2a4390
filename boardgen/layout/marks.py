"""Drawn lines of the legend: bodies, cathode bars."""

import math

from boardgen.layout.cell import MARGIN_MM, cathode_bar_mm, copper_bar_mm
from boardgen.layout.course import Course
from boardgen.layout.inlet import guard_side
from boardgen.model.board import Board, Mark, MarkRole, Part, PartKind, Point, Side
from boardgen.model.land_pattern import Entry
from boardgen.model.limits import Limits
from boardgen.model.parameters import Parameters
from boardgen.model.part_kinds import Drawn
from boardgen.tolerances import FLOAT_MM


def copper_bars(parameters: Parameters, board: Board, course: Course) -> tuple[Mark, ...]:
    """Draw bars that will be copper, beside cathodes, on the side without rail."""
    across_mm = course.sketch.rail_side * (course.bar_from_mm or 0.0)
    return tuple(
        _copper_bar(parameters, part, across_mm)
        if part.kind is PartKind.LED
        else _copper_bar_of_guard(parameters, board, part, course.rail_mm)
        for part in board.parts
        if part.kind.row.cathode
    )


def printed_marks(parameters: Parameters, board: Board) -> tuple[Mark, ...]:
    """Draw each part's body beside its lands and a bar at each LED's cathode."""
    limits = parameters.parts.limits
    found: list[Mark] = []
    for part in board.parts:
        if part.kind.row.drawn is Drawn.HOUSING:
            found += _housing(part, limits)
        elif part.kind.row.drawn is Drawn.CHIP:
            found += _body_lines(part, limits)
            if part.kind.row.cathode:
                found.append(_cathode_bar(part, limits))
    return tuple(found)


def _copper_bar_of_guard(parameters: Parameters, board: Board, part: Part, rail_mm: float) -> Mark:
    """Draw a bar beside the cathode's land and track, on the side away from the rail's feed.

    Where the feed has yet to find its way it will be as wide as the rail.
    """
    aims, land = parameters.parts.limits.aims, part.pattern.by_function("K")
    net = part.net(land.name)
    widest = max((track.width_mm for track in board.tracks if track.net == net), default=rail_mm)
    away = max(land.height_mm, widest) / 2 + aims.pour_gap_mm + aims.mark_stroke_mm / 2
    level = _away_from_feed(parameters, board, part, away)
    # No longer than the land, its round ends included: the track may bend just beyond.
    half = (land.width_mm - aims.mark_stroke_mm) / 2
    # The rail may begin where the courtyard ends: the bar keeps off it, towards the anode.
    outward = math.copysign(1.0, land.x_mm)
    end = part.pattern.courtyard.right_mm if outward > 0 else -part.pattern.courtyard.left_mm
    reach = end - aims.pour_gap_mm - aims.mark_stroke_mm / 2
    middle = land.x_mm - outward * max(0.0, abs(land.x_mm) + half - reach)
    ends = (middle - half, middle + half)
    first, last = (part.place(x, level) for x in ends)
    return Mark(
        side=Side.TOP,
        role=MarkRole.CATHODE,
        points=(first, last),
        stroke_mm=aims.mark_stroke_mm,
        owner=part.reference,
    )


def _away_from_feed(parameters: Parameters, board: Board, part: Part, away_mm: float) -> float:
    """Choose the side of a guard's middle line that the feed from its cathode does not take.

    A rail far from the edge, on a board that a wide connector makes wide, lies on the other side.
    """
    land = part.pattern.by_function("K")
    start = part.land_place(land)
    # The diode's pattern is turned by half: its upper side lies below.
    usual = guard_side(parameters) * away_mm
    ends = [
        point
        for track in board.tracks
        if track.net == part.net(land.name)
        and min(math.dist(start, point) for point in track.points) < FLOAT_MM
        for point in track.points
        if abs(point[1] - start[1]) > MARGIN_MM
    ]
    if not ends or (part.place(0.0, usual)[1] > start[1]) is not (ends[0][1] > start[1]):
        return usual
    return -usual


def _copper_bar(parameters: Parameters, part: Part, level: float) -> Mark:
    """Draw a bar beside the cathode's end, on the side away from the rail.

    The cathode lies ahead: its pattern is turned by half, so that away from the rail is up.
    """
    aims = parameters.parts.limits.aims
    outward = math.copysign(1.0, part.pattern.by_function("K").x_mm)
    start, end = (part.place(outward * reach, level) for reach in copper_bar_mm(part.pattern, aims))
    return Mark(
        side=Side.TOP,
        role=MarkRole.CATHODE,
        points=(start, end),
        stroke_mm=aims.mark_stroke_mm,
        owner=part.reference,
    )


def body_line_y_mm(part: Part, limits: Limits) -> float:
    """Tell how far from a chip's middle its body lines run: outside body and openings."""
    lands = max(abs(land.y_mm) + land.height_mm / 2 for land in part.pattern.lands)
    open_edge = lands + limits.mask_expansion_mm + limits.aims.legend_land_mm
    return max(part.pattern.body.top_mm, open_edge) + limits.aims.legend_stroke_mm / 2


def _body_lines(part: Part, limits: Limits) -> list[Mark]:
    body, y = part.pattern.body, body_line_y_mm(part, limits)
    return [
        _mark(part, MarkRole.BODY, limits.aims.legend_stroke_mm,
              (body.left_mm, side * y), (body.right_mm, side * y))
        for side in (1, -1)
    ]  # fmt: skip


def cathode_bar_x_mm(part: Part, limits: Limits) -> float:
    """Tell where along an LED (unturned) its bar stands: outside body and opening, at pin K."""
    side = -1 if part.pattern.by_function("K").x_mm < 0 else 1
    return side * cathode_bar_mm(part.pattern, limits)


def _cathode_bar(part: Part, limits: Limits) -> Mark:
    x = cathode_bar_x_mm(part, limits)
    # As long as the body is wide at least; up to the body lines looks drawn.
    half = max(part.pattern.body.top_mm, body_line_y_mm(part, limits))
    return _mark(part, MarkRole.CATHODE, limits.aims.mark_stroke_mm, (x, -half), (x, half))


def _housing(part: Part, limits: Limits) -> list[Mark]:
    """Draw a housing, open where it meets the edge and wires enter; a wire pad has none."""
    if not part.pattern.height_mm:
        return []
    body, aims = part.pattern.body, limits.aims
    clear = limits.mask_expansion_mm + aims.legend_land_mm + aims.legend_stroke_mm / 2
    half = max(abs(land.x_mm) + land.width_mm / 2 for land in part.pattern.lands) + clear
    deep = max(land.height_mm for land in part.pattern.lands) / 2 + clear
    left, right = min(body.left_mm, -half), max(body.right_mm, half)
    top = max(body.top_mm, deep)
    if part.pattern.entry is Entry.SIDE:
        start = body.bottom_mm + aims.legend_edge_mm + aims.legend_stroke_mm / 2
        points: tuple[Point, ...] = ((left, start), (left, top), (right, top), (right, start))
    else:
        bottom = min(body.bottom_mm, -deep)
        points = ((left, bottom), (left, top), (right, top), (right, bottom), (left, bottom))
    return [_mark(part, MarkRole.BODY, aims.legend_stroke_mm, *points)]


def _mark(part: Part, role: MarkRole, stroke_mm: float, *points: Point) -> Mark:
    return Mark(
        side=part.side,
        role=role,
        points=tuple(part.place(*point) for point in points),
        stroke_mm=stroke_mm,
        owner=part.reference,
    )

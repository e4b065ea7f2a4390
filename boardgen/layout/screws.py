"""Screws at places that the user gave: refused where something else is already."""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from boardgen.errors import RefusalError
from boardgen.model.board import Board, MountingHole, Part, Point, Side
from boardgen.model.land_pattern import Extent
from boardgen.model.parameters import Parameters
from boardgen.model.pose import direction
from boardgen.tolerances import HAIR_MM


def refuse_screws_in_the_way(parameters: Parameters, board: Board) -> None:
    """Hold given places against edges, parts and tracks.

    Raises
    ------
    RefusalError
        With the part that is met, and by how much.
    """
    if not parameters.mounting.places:
        return
    problems = [
        parameters.problem(
            "mounting.places",
            what=f"the screw at ({', '.join(f'{at:g}' for at in asked)}) mm with its circle of"
            f" {hole.room_mm:g} mm {what} by {deep:.2f} mm",
            remedy="move it by at least as much, take a smaller screw or less under it, or leave"
            " places out",
        )
        for place, (hole, asked) in enumerate(
            zip(board.holes, parameters.mounting.places, strict=True)
        )
        for what, deep in _met(parameters, board, hole, board.holes[:place])
        if deep > HAIR_MM
    ]
    if problems:
        raise RefusalError(*problems)


def _met(
    parameters: Parameters, board: Board, hole: MountingHole, others: tuple[MountingHole, ...]
) -> Iterator[tuple[str, float]]:
    """Tell what a screw meets and how deep."""
    radius, to_edge = hole.room_mm / 2, board.outline.inwards_mm((hole.x_mm, hole.y_mm))
    wall = hole.hole_mm / 2 + parameters.parts.limits.hole_edge_mm + HAIR_MM
    yield "comes too near to the edge", max(radius, wall) - to_edge
    for other in others:
        apart = math.hypot(hole.x_mm - other.x_mm, hole.y_mm - other.y_mm)
        yield f"meets {other.reference}", radius + other.room_mm / 2 - apart
    for part in board.parts:
        deep = radius - _to_box(hole, part, part.pattern.courtyard)
        yield f"meets {part.reference}", deep
    tracks = [radius + track.width_mm / 2 - _to_line(hole, track.points) for track in board.tracks]
    yield "meets a track", max(tracks)
    if not parameters.printed:
        for mark in board.marks:  # they are copper
            deep = radius + mark.stroke_mm / 2 - _to_line(hole, mark.points)
            yield f"meets the mark of {mark.owner}", deep
    vias = [
        radius + via.land_mm / 2 - math.hypot(hole.x_mm - via.x_mm, hole.y_mm - via.y_mm)
        for via in board.vias
    ]
    yield "meets a via", max(vias, default=0.0)


def _to_box(hole: MountingHole, part: Part, box: Extent) -> float:
    """Measure to a box of a part's pattern, as the part lies."""
    cos, sin = direction(part.pose.turn_deg)
    dx, dy = hole.x_mm - part.x_mm, hole.y_mm - part.y_mm
    x, y = dx * cos + dy * sin, dy * cos - dx * sin
    x = -x if part.side is Side.BOTTOM else x
    across = max(box.left_mm - x, x - box.right_mm, 0.0)
    along = max(box.bottom_mm - y, y - box.top_mm, 0.0)
    return math.hypot(across, along)


def _to_line(hole: MountingHole, points: Sequence[Point]) -> float:
    return min(_to_piece((hole.x_mm, hole.y_mm), *ends) for ends in pairwise(points))


def _to_piece(at: Point, start: Point, end: Point) -> float:
    dx, dy = end[0] - start[0], end[1] - start[1]
    squared = dx * dx + dy * dy
    share = ((at[0] - start[0]) * dx + (at[1] - start[1]) * dy) / squared if squared else 0.0
    foot = min(max(share, 0.0), 1.0)
    return math.dist(at, (start[0] + foot * dx, start[1] + foot * dy))

"""Screws at places that the user gave: refused where something else is already."""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from boardgen.errors import Problem, RefusalError
from boardgen.model.board import Board, MountingHole, Point
from boardgen.model.land_pattern import Extent
from boardgen.model.parameters import Parameters
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
        Problem(
            what=f"the screw at ({hole.x_mm:g}, {hole.y_mm:g}) mm with its circle of"
            f" {hole.room_mm:g} mm {what} by {deep:.2f} mm",
            remedy="move it by at least as much, take a smaller screw or less under it, or leave"
            " places out",
            file=parameters.file,
            line=parameters.origin("mounting.places").line,
            path="mounting.places",
        )
        for place, hole in enumerate(board.holes)
        for what, deep in _met(parameters, board, hole, board.holes[:place])
        if deep > HAIR_MM
    ]
    if problems:
        raise RefusalError(*problems)


def _met(
    parameters: Parameters, board: Board, hole: MountingHole, others: tuple[MountingHole, ...]
) -> Iterator[tuple[str, float]]:
    """Tell what a screw meets and how deep."""
    outline, radius = board.outline, hole.room_mm / 2
    to_edge = min(hole.x_mm, hole.y_mm, outline.length_mm - hole.x_mm, outline.width_mm - hole.y_mm)
    wall = hole.hole_mm / 2 + parameters.limits.hole_edge_mm + HAIR_MM
    yield "comes too near to the edge", max(radius, wall) - to_edge
    for other in others:
        apart = math.hypot(hole.x_mm - other.x_mm, hole.y_mm - other.y_mm)
        yield f"meets {other.reference}", radius + other.room_mm / 2 - apart
    for part in board.parts:
        deep = radius - _to_box(hole, part.extent(part.pattern.courtyard))
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


def _to_box(hole: MountingHole, box: Extent) -> float:
    across = max(box.left_mm - hole.x_mm, hole.x_mm - box.right_mm, 0.0)
    along = max(box.bottom_mm - hole.y_mm, hole.y_mm - box.top_mm, 0.0)
    return math.hypot(across, along)


def _to_line(hole: MountingHole, points: Sequence[Point]) -> float:
    return min(
        _to_box(
            hole,
            Extent(
                left_mm=min(x1, x2), bottom_mm=min(y1, y2), right_mm=max(x1, x2), top_mm=max(y1, y2)
            ),
        )
        for (x1, y1), (x2, y2) in pairwise(points)
    )

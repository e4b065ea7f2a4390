"""Screws at places that the user gave: refused where something else is already."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from boardgen.errors import Change, RefusalError
from boardgen.model.board import Board, MountingHole, Part, Point, Side
from boardgen.model.land_pattern import Extent
from boardgen.model.parameters import Parameters
from boardgen.model.pose import Pose, direction
from boardgen.model.sections import SITES
from boardgen.tolerances import HAIR_MM


def refuse_screws_in_the_way(parameters: Parameters, board: Board, turned_deg: float) -> None:
    """Hold places that the file chose against edges, parts and tracks.

    ``turned_deg`` is how far the board is turned from the file's own coordinates.

    Raises
    ------
    RefusalError
        With the part that is met, by how much, and where there is room.
    """
    mounting = parameters.mounting
    if not mounting.chosen:
        return
    met = {
        place: what
        for place, hole in enumerate(board.holes)
        if (what := list(_met(parameters, board, hole, board.holes[:place])))
    }
    if not met:
        return
    offers: tuple[Change, ...] = ()
    if mounting.at == "circle":
        offers = _turned(parameters, board)
    problems = [
        parameters.problem(
            "mounting.places"
            if mounting.places
            else f"mounting.{_KEYS.get(mounting.at, mounting.at)}",
            what=f"the screw {_where(parameters, place)} with its circle of"
            f" {board.holes[place].room_mm:g} mm {what} by {deep:.2f} mm",
            remedy=_free_place(parameters, board, place, turned_deg)
            or _REMEDIES["places" if mounting.places else mounting.at],
            offers=offers,
            at="" if mounting.places else "mounting.at",
        )
        for place, found in met.items()
        for what, deep in (found if mounting.places else [max(found, key=lambda one: one[1])])
    ]
    raise RefusalError(*problems)


_REMEDIES = {
    "places": "move it by at least as much (x to the right, y up), take a smaller screw or less"
    " under it, or leave places out",
    "middle": 'write at = "circle", take a smaller screw, or leave it out',
    "circle": "take another circle or count, a smaller screw or less under it, or leave it out",
    SITES: "write another every, take a smaller screw or less under it, or leave it out",
}

_KEYS = {SITES: "every"}
"""Which key places the screws, where it is not called as what ``mounting.at`` says."""


def _where(parameters: Parameters, place: int) -> str:
    mounting = parameters.mounting
    if mounting.places:
        return f"at ({', '.join(f'{at:g}' for at in mounting.places[place])}) mm"
    if mounting.at == "middle":
        return "in the middle"
    if mounting.at == SITES:
        return f"on the free site {place + 1}"
    return f"at {(mounting.from_deg + 360.0 * place / mounting.count) % 360.0:g} deg"


_TURN_DEG, _STEP_MM, _FURTHEST_MM, _FURTHEST_CIRCLE_MM = 5.0, 1.0, 15.0, 90.0


def _turned(parameters: Parameters, board: Board) -> tuple[Change, ...]:
    """Look for the nearest turn of a circle of screws that is free, then for another circle."""
    mounting = parameters.mounting
    if mounting.circle_mm is None or mounting.count == 1:
        return ()
    x, y = (math.fsum(getattr(hole, axis) for hole in board.holes) / mounting.count
            for axis in ("x_mm", "y_mm"))  # fmt: skip
    most = round(180.0 / mounting.count / _TURN_DEG)
    turns = [sign * step * _TURN_DEG for step in range(most + 1) for sign in (1, -1)]
    steps = range(int(_FURTHEST_CIRCLE_MM / _STEP_MM) + 1)
    wider = [sign * step * _STEP_MM for step in steps for sign in (1, -1)]
    tried = [(turn, 0.0) for turn in turns] + [(turn, more) for more in wider for turn in turns]

    def free(turn_deg: float, more_mm: float) -> bool:
        share = 1.0 + more_mm / (mounting.circle_mm or 1.0)
        there = Pose(x_mm=x, y_mm=y, turn_deg=turn_deg)
        holes: tuple[MountingHole, ...] = ()
        for hole in board.holes:
            at = there.place((hole.x_mm - x) * share, (hole.y_mm - y) * share)
            moved = replace(hole, x_mm=at[0], y_mm=at[1])
            if share <= 0 or next(_met(parameters, board, moved, holes), None):
                return False
            holes = (*holes, moved)
        return True

    for turn, more in tried:
        if free(turn, more):
            first = f'"{(mounting.from_deg + turn) % 360.0:g} deg"'
            change = Change(path="mounting.from", value=first)
            if not more:
                return (change,)
            size = Change(path="mounting.circle", value=f'"{mounting.circle_mm + more:g} mm"')
            return (replace(size, also=(change,) if turn else ()),)
    return ()


_DIRECTIONS = 16


def _free_place(parameters: Parameters, board: Board, place: int, turned_deg: float) -> str:
    """Tell the free place that is nearest to a given one, in the file's own coordinates."""
    places, hole = parameters.mounting.places, board.holes[place]
    others = (*board.holes[:place], *board.holes[place + 1 :])
    for step in range(1, int(2 * _FURTHEST_MM) + 1 if places else 1):
        for direct in range(_DIRECTIONS):
            turn = math.tau * direct / _DIRECTIONS
            dx, dy = (round(step * _STEP_MM / 2 * way(turn), 1) for way in (math.cos, math.sin))
            moved = replace(hole, x_mm=hole.x_mm + dx, y_mm=hole.y_mm + dy)
            if not next(_met(parameters, board, moved, others), None):
                x, y = Pose(x_mm=0, y_mm=0, turn_deg=-turned_deg).place(dx, dy)
                return f"({places[place][0] + x:.7g}, {places[place][1] + y:.7g}) mm is free"
    return ""


def _met(
    parameters: Parameters, board: Board, hole: MountingHole, others: tuple[MountingHole, ...]
) -> Iterator[tuple[str, float]]:
    """Tell what a screw meets and how deep."""
    for what, deep in _depths(parameters, board, hole, others):
        if deep > HAIR_MM:
            yield what, deep


def _depths(
    parameters: Parameters, board: Board, hole: MountingHole, others: tuple[MountingHole, ...]
) -> Iterator[tuple[str, float]]:
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

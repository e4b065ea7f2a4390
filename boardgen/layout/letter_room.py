"""Where letters may stand: boxes taken and boxes free, on one side of the board."""

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import lru_cache, partial

import numpy as np
import numpy.typing as npt

from boardgen.geometry.ground import Ground, Places
from boardgen.geometry.placing import contour
from boardgen.geometry.rooms import covered
from boardgen.model.board import Board, Part, Point, Side
from boardgen.model.land_pattern import Extent
from boardgen.model.limits import Limits
from boardgen.model.outline import Outline, walk
from boardgen.model.pose import Pose, direction
from boardgen.tolerances import HAIR_MM

BETWEEN_TEXTS_MM = 0.2
_CELL_MM = 5.0
_BLOCK = 16
"""So many boxes are held against all that is taken at once: of many the first often is in vain."""


def around(x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> Extent:
    """Make the box of a width and height around a centre."""
    return Extent(
        left_mm=x_mm - width_mm / 2,
        bottom_mm=y_mm - height_mm / 2,
        right_mm=x_mm + width_mm / 2,
        top_mm=y_mm + height_mm / 2,
    )


def meet(first: Extent, second: Extent) -> bool:
    """Tell whether two boxes share more than an edge."""
    return (
        first.left_mm < second.right_mm - HAIR_MM
        and second.left_mm < first.right_mm - HAIR_MM
        and first.bottom_mm < second.top_mm - HAIR_MM
        and second.bottom_mm < first.top_mm - HAIR_MM
    )


_FINE_MM, _SMALL_MM, _COARSE_MM = 0.05, 0.25, 1.0
"""Corners, lines askew and words askew are covered with upright boxes of about these sizes."""


along_line = partial(covered, step_mm=_SMALL_MM)
"""Covers a line with upright boxes."""


class Taken:
    """Upright boxes that are taken."""

    def __init__(self) -> None:
        self._taken, self._count = np.empty((64, 4)), 0

    def take(self, box: Extent) -> None:
        """Mark a box as taken; nothing else may meet it."""
        if self._count == len(self._taken):
            self._taken = np.concatenate((self._taken, np.empty_like(self._taken)))
        self._taken[self._count] = (box.left_mm, box.bottom_mm, box.right_mm, box.top_mm)
        self._count += 1

    def meets(self, boxes: Sequence[Extent]) -> bool:
        """Tell whether any of some boxes meets one that is taken."""
        blocks = range(0, len(boxes), _BLOCK)
        return any(self._met(boxes[start : start + _BLOCK]) for start in blocks)

    def _met(self, boxes: Sequence[Extent]) -> bool:
        lefts, bottoms, rights, tops = np.array(
            [(box.left_mm, box.bottom_mm, box.right_mm, box.top_mm) for box in boxes]
        ).T[:, :, None]
        starts, lows, ends, highs = self._taken[: self._count].T
        meeting = (lefts < ends - HAIR_MM) & (starts < rights - HAIR_MM)
        meeting &= (bottoms < highs - HAIR_MM) & (lows < tops - HAIR_MM)
        return bool(meeting.any())


class Room(Taken):
    """The free space for letters on one side."""

    def __init__(self, board: Board, limits: Limits, side: Side, *, copper: bool = False) -> None:
        super().__init__()
        self._inside = Extent(
            left_mm=0, bottom_mm=0, right_mm=board.outline.length_mm,
            top_mm=board.outline.width_mm,
        ).grown(-limits.aims.legend_edge_mm)  # fmt: skip
        self._edge = partial(_ground, board.outline, limits.aims.legend_edge_mm)
        self._ground = None if board.outline.boxed else self._edge()
        for box in _obstacles(board, limits, side):
            self.take(box)
        if copper:
            for box in _tracks(board, side, limits.aims.pour_gap_mm):
                self.take(box)
            for box in _spoked(board, limits):
                self.take(box)

    def free(self, boxes: Sequence[Extent]) -> bool:
        """Tell whether all of some boxes are free, of one another too."""
        return (
            not self.meets(boxes)
            and all(_within(box, self._inside) for box in boxes)
            and (not self._ground or all(map(self._ground.holds_one, boxes)))
            and disjoint(boxes)
        )

    def free_along(
        self, lefts_mm: Places, rights_mm: Places, bottom_mm: float, top_mm: float
    ) -> npt.NDArray[np.bool_]:
        """Tell which of the boxes between two heights are free, by their left and right edges."""
        inside = self._inside
        free = (lefts_mm >= inside.left_mm - HAIR_MM) & (rights_mm <= inside.right_mm + HAIR_MM)
        if bottom_mm < inside.bottom_mm - HAIR_MM or top_mm > inside.top_mm + HAIR_MM:
            free[:] = False
        if free.any():
            lefts, rights = lefts_mm[free, None], rights_mm[free, None]
            starts, lows, ends, highs = self._taken[: self._count].T
            level = (bottom_mm < highs - HAIR_MM) & (lows < top_mm - HAIR_MM)
            meeting = (lefts < ends[level] - HAIR_MM) & (starts[level] < rights - HAIR_MM)
            free[free] = ~meeting.any(axis=1)
        if free.any() and self._ground:
            free[free] = self._ground.holds(lefts_mm[free], rights_mm[free], bottom_mm, top_mm)
        return free

    def take_turned(self, pose: Pose, size_mm: tuple[float, float]) -> None:
        """Mark a box at an angle as taken."""
        (wide, tall), (cos, sin) = size_mm, map(abs, direction(pose.turn_deg))
        columns, rows = (math.ceil(length / _COARSE_MM) for length in size_mm)
        cell = (wide / columns, tall / rows)
        seen = (cell[0] * cos + cell[1] * sin, cell[0] * sin + cell[1] * cos)
        for column in range(columns):
            for row in range(rows):
                at = ((column + 0.5) * cell[0] - wide / 2, (row + 0.5) * cell[1] - tall / 2)
                self.take(around(*pose.place(*at), *seen))

    def free_turned(
        self, xs_mm: Places, ys_mm: Places, turns_deg: Places, size_mm: tuple[float, float]
    ) -> npt.NDArray[np.bool_]:
        """Tell about which middles a box of a size is free, each at an angle of its own."""
        return self._edge().holds_turned(
            xs_mm, ys_mm, turns_deg, size_mm, self._taken[: self._count]
        )


@lru_cache(maxsize=4)
def _ground(outline: Outline, within_mm: float) -> Ground:
    size = (outline.length_mm, outline.width_mm)
    return Ground([contour(ring) for ring in outline.rings], size, within_mm)


def _within(box: Extent, room: Extent) -> bool:
    """Tell whether a box lies in a room, but for a hair."""
    return (
        box.left_mm >= room.left_mm - HAIR_MM
        and box.right_mm <= room.right_mm + HAIR_MM
        and box.bottom_mm >= room.bottom_mm - HAIR_MM
        and box.top_mm <= room.top_mm + HAIR_MM
    )


def disjoint(boxes: Sequence[Extent]) -> bool:
    """Tell whether no two of some boxes meet."""
    cells: dict[tuple[int, int], list[Extent]] = defaultdict(list)
    for box in boxes:
        if any(meet(box, other) for cell in _cells(box) for other in cells[cell]):
            return False
        for cell in _cells(box):
            cells[cell].append(box)
    return True


def _cells(box: Extent) -> Iterator[tuple[int, int]]:
    for column in range(int(box.left_mm // _CELL_MM), int(box.right_mm // _CELL_MM) + 1):
        for row in range(int(box.bottom_mm // _CELL_MM), int(box.top_mm // _CELL_MM) + 1):
            yield column, row


def _obstacles(board: Board, limits: Limits, side: Side) -> Iterator[Extent]:
    """List what letters must keep off: openings, holes, bodies, screw heads, corners."""
    gap = limits.aims.legend_land_mm
    for part in board.parts:
        if part.side is side and part.pattern.height_mm:
            beside = gap if part.pattern.through_hole else 0.0
            for box in part.cover(part.pattern.body):
                yield box.grown(beside)
        yield from _lands(part, side, limits.mask_expansion_mm + gap)
        for plain in part.pattern.holes:
            x, y = part.place(plain.x_mm, plain.y_mm)
            yield around(x, y, plain.hole_mm + 2 * gap, plain.hole_mm + 2 * gap)
    for via in board.vias:
        size = via.land_mm + 2 * gap
        yield around(via.x_mm, via.y_mm, size, size)
    for hole in board.holes:
        yield around(hole.x_mm, hole.y_mm, hole.room_mm, hole.room_mm)
    for start, bow in walk(board.outline.outer) if board.outline.boxed else ():
        if bow.centre is not None:
            yield from _beyond(start, bow.end, bow.centre, limits.aims.legend_edge_mm)


def _beyond(start: Point, end: Point, centre: Point, within_mm: float) -> Iterator[Extent]:
    """Cover what lies beyond a rounded corner, and some way inside of it, with upright boxes."""
    (x, y), radius = centre, math.dist(start, centre)
    corner = tuple(
        at + math.copysign(radius, one + other - 2 * at)
        for at, one, other in zip(centre, start, end, strict=True)
    )
    inner = max(radius - within_mm, 0.0) / radius
    count = math.ceil(radius / _FINE_MM)
    for step in range(count):
        along, across = (
            1 - inner * math.cos(math.radians(90 * (step + 1) / count)),
            1 - inner * math.sin(math.radians(90 * step / count)),
        )
        xs = sorted((corner[0], corner[0] + (x - corner[0]) * along))
        ys = sorted((corner[1], corner[1] + (y - corner[1]) * across))
        yield Extent(left_mm=xs[0], bottom_mm=ys[0], right_mm=xs[1], top_mm=ys[1])


def _spoked(board: Board, limits: Limits) -> Iterator[Extent]:
    """Keep copper letters off the spokes of leads, which the return current needs."""
    aims = limits.aims
    spoke, nets = (
        max(pour.lead_spoke_mm for pour in board.pours),
        {pour.net for pour in board.pours},
    )
    reach = aims.hole_relief_gap_mm + spoke + aims.pour_gap_mm
    for part in board.parts:
        for land in part.pattern.lands:
            if land.hole_mm and part.net(land.name) in nets:
                size = land.width_mm + 2 * reach
                yield around(*part.land_place(land), size, size)


def _tracks(board: Board, side: Side, gap: float) -> Iterator[Extent]:
    for track in board.tracks:
        if track.side is side:
            for box in along_line(track.points):
                yield box.grown(track.width_mm / 2 + gap)


def _lands(part: Part, side: Side, gap: float) -> Iterator[Extent]:
    for land in part.pattern.lands:
        if side is part.side or land.hole_mm:
            for box in part.cover(land.extent):
                yield box.grown(gap)

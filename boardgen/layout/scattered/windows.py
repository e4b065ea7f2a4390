"""The part of a board in which a way is looked for: its cost does not grow with the board."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from boardgen.geometry.placing import point
from boardgen.model.board import Board, Point
from boardgen.model.outline import Outline
from boardgen.model.shapes import Box
from boardgen.units import Nm

_BEYOND_MM = (25.0, 80.0)
"""So far around its nearest ends a way is looked for first; hardly ever a shorter one leads around
further out. Own choice."""
_REACH_MM = 20.0
"""No part reaches further from its middle, with the room that it claims."""


@dataclass(frozen=True, slots=True)
class Window:
    """A box on the board, in mm."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def box(self) -> Box:
        """The window as a shape."""
        (left, bottom), (right, top) = (
            point((self.left, self.bottom)),
            point((self.right, self.top)),
        )
        middle = (Nm((left + right) // 2), Nm((bottom + top) // 2))
        return Box(middle, Nm(right - left), Nm(top - bottom))

    def holds(self, at: Point) -> bool:
        """Tell whether a place lies inside."""
        return self.left <= at[0] <= self.right and self.bottom <= at[1] <= self.top

    def part_of(self, board: Board) -> Board:
        """Leave out of a board what cannot reach inside."""
        return replace(
            board,
            parts=tuple(part for part in board.parts if self.near([(part.x_mm, part.y_mm)])),
            tracks=tuple(track for track in board.tracks if self.near(track.points)),
            vias=tuple(via for via in board.vias if self.near([(via.x_mm, via.y_mm)])),
            holes=tuple(hole for hole in board.holes if self.near([(hole.x_mm, hole.y_mm)])),
            marks=tuple(mark for mark in board.marks if self.near(mark.points)),
        )

    def near(self, points: Iterable[Point]) -> bool:
        """Tell whether what has these points, or its middle there, may reach inside."""
        xs, ys = zip(*points, strict=True)
        across = max(xs) >= self.left - _REACH_MM and min(xs) <= self.right + _REACH_MM
        up = max(ys) >= self.bottom - _REACH_MM and min(ys) <= self.top + _REACH_MM
        return bool(across and up)


def windows(outline: Outline, starts: Sequence[Point], goals: Sequence[Point]) -> Iterator[Window]:
    """Give windows around the start and the goal that are nearest, then the whole board."""
    whole = Window(0.0, 0.0, outline.length_mm, outline.width_mm)
    apart = np.asarray(starts)[:, None] - np.asarray(goals)[None, :]
    start, goal = divmod(int(np.hypot(*apart.T).T.argmin()), len(goals))
    xs, ys = zip(starts[start], goals[goal], strict=True)
    for beyond in _BEYOND_MM:
        window = Window(
            max(min(xs) - beyond, whole.left), max(min(ys) - beyond, whole.bottom),
            min(max(xs) + beyond, whole.right), min(max(ys) + beyond, whole.top),
        )  # fmt: skip
        if window == whole:
            break
        yield window
    yield whole


def around(at: Point, board: Board) -> Window:
    """Give a window around a place; with all that reaches inside, it holds what a via may meet."""
    x, y = at
    whole = board.outline
    return Window(
        max(x - _VIA_MM, 0.0), max(y - _VIA_MM, 0.0),
        min(x + _VIA_MM, whole.length_mm), min(y + _VIA_MM, whole.width_mm),
    )  # fmt: skip


_VIA_MM = 12.0
"""No via stands further from its part."""

"""A board unrolled along the line of its LEDs, so that a ring is a bar."""

import math
from collections.abc import Iterable

from boardgen.model.board import Board, Part, Point
from boardgen.model.land_pattern import Extent, half_size
from boardgen.model.outline import Ring, walk

Box = tuple[float, float, float, float]
"""Middle and half sizes of what is cut out, along the strip and across it."""


class Strip:
    """The board along its spine and across it, from its lower or inner edge on.

    A board whose LEDs stand in rows is its own strip. Lengths are those at the spine: further out
    they are longer on the board, further in shorter.
    """

    def __init__(self, board: Board) -> None:
        """Find the strip that holds a board."""
        outline, self._spine = board.outline, board.spine
        self.length_mm, self.width_mm, self._low_mm = outline.length_mm, outline.width_mm, 0.0
        self._area_mm2 = outline.area_mm2
        self.closed = board.spine is not None and board.spine.closed
        if board.spine is not None:
            self.length_mm = board.spine.length_mm
            middle = (outline.length_mm / 2, outline.width_mm / 2)
            outer = self._across(outline.rings[:1])
            # Without an opening a round strip reaches to the middle.
            inner = self._across(outline.inner) or [board.spine.locate(middle)[1]]
            edges = (min(outer, key=abs), min(inner, key=abs))
            self._low_mm, self.width_mm = min(edges), abs(edges[0] - edges[1])

    @property
    def mean_width_mm(self) -> float:
        """How wide it is on the whole: as long and so wide, it has the board's area."""
        return self._area_mm2 / self.length_mm if self._spine else self.width_mm

    def _across(self, rings: Iterable[Ring]) -> list[float]:
        return [self.at(start)[1] for ring in rings for start, _ in walk(ring)]

    def at(self, point: Point) -> Point:
        """Tell where a point of the board lies on the strip."""
        if self._spine is None:
            return point
        along, across = self._spine.locate(point)
        return (along, across - self._low_mm)

    def piece(self, start: Point, end: Point, reach_mm: float) -> Box:
        """Unroll a piece of a track, with what it keeps clear on every side."""
        (x1, y1), (x2, y2) = self.at(start), self.at(end)
        if self.closed:
            x2 = x1 + math.remainder(x2 - x1, self.length_mm)
        return ((x1 + x2) / 2, (y1 + y2) / 2, abs(x1 - x2) / 2 + reach_mm,
                abs(y1 - y2) / 2 + reach_mm)  # fmt: skip

    def area(self, part: Part, box: Extent, reach_mm: float) -> Box:
        """Unroll a box of a part's pattern, with what it keeps clear on every side."""
        at = part.place((box.left_mm + box.right_mm) / 2, (box.bottom_mm + box.top_mm) / 2)
        half_w, half_h = half_size(part.extent(box) if self._spine is None else box)
        if self._spine is not None:
            along = self._spine.pose(self._spine.locate(at)[0]).turn_deg
            turn = math.radians(part.pose.turn_deg - along)
            cos, sin = abs(math.cos(turn)), abs(math.sin(turn))
            half_w, half_h = half_w * cos + half_h * sin, half_w * sin + half_h * cos
        return (*self.at(at), half_w + reach_mm, half_h + reach_mm)

    def disc(self, middle: Point, radius_mm: float) -> Box:
        """Unroll a disc, as the square around it."""
        return (*self.at(middle), radius_mm, radius_mm)

"""A board unrolled along the line of its LEDs, so that a ring is a bar."""

from collections.abc import Iterable

from boardgen.model.board import Board, Point
from boardgen.model.outline import Ring, walk


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

"""Room for letters in a picture: each takes the first of its places that meets nothing."""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from boardgen.geometry.lettering import size_mm
from boardgen.model.board import Point
from boardgen.model.land_pattern import Extent
from boardgen.model.lettering import Lettering

_CELL_MM = 5.0
"""Boxes are looked up by squares of this side, so that no picture asks all of all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Letters in their place: the text, its middle, its height."""

    text: str
    at: Point
    height_mm: float


@dataclass(frozen=True, slots=True)
class Taken:
    """What a picture has drawn already, as boxes."""

    boxes: list[Extent] = field(default_factory=list)
    _cells: dict[tuple[int, int], list[Extent]] = field(default_factory=lambda: defaultdict(list))

    def add(self, box: Extent) -> None:
        """Take the room of a box."""
        self.boxes.append(box)
        self.bar(box)

    def bar(self, box: Extent) -> None:
        """Keep letters off a box that cuts may go through."""
        for cell in _cells(box):
            self._cells[cell].append(box)

    def free(self, box: Extent) -> bool:
        """Tell whether a box meets nothing."""
        return not any(
            _meet(box, other) for cell in _cells(box) for other in self._cells.get(cell, ())
        )


def _cells(box: Extent) -> Iterator[tuple[int, int]]:
    low_x, high_x = (math.floor(at / _CELL_MM) for at in (box.left_mm, box.right_mm))
    low_y, high_y = (math.floor(at / _CELL_MM) for at in (box.bottom_mm, box.top_mm))
    for x in range(low_x, high_x + 1):
        for y in range(low_y, high_y + 1):
            yield x, y


def _meet(one: Extent, other: Extent) -> bool:
    return (
        one.left_mm < other.right_mm
        and other.left_mm < one.right_mm
        and one.bottom_mm < other.top_mm
        and other.bottom_mm < one.top_mm
    )


def around(at: Point, size: tuple[float, float]) -> Extent:
    """Give the box of a size around its middle."""
    (x, y), (width, height) = at, size
    return Extent(
        left_mm=x - width / 2, bottom_mm=y - height / 2,
        right_mm=x + width / 2, top_mm=y + height / 2,
    )  # fmt: skip


def beside(box: Extent, size: tuple[float, float], gap_mm: float) -> Iterator[Point]:
    """List middles for a box of a size beside another: above, below, right, left, then corners."""
    x, y = (box.left_mm + box.right_mm) / 2, (box.bottom_mm + box.top_mm) / 2
    along = (box.right_mm - box.left_mm + size[0]) / 2 + gap_mm
    across = (box.top_mm - box.bottom_mm + size[1]) / 2 + gap_mm
    for dx, dy in ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (1, -1), (-1, 1), (-1, -1)):
        yield (x + dx * along, y + dy * across)


def place(
    text: str,
    places: Iterable[Point],
    height_mm: float,
    pen_mm: float,
    grounds: tuple[Taken, Taken],
    lettering: Lettering,
    *,
    must: bool,
) -> Label | None:
    """Take the first place where a text meets nothing, and its room with two pens' width around.

    Of ``grounds`` the first must be free, the second should. Without such a place there is none,
    but where there must be one it is the first.
    """
    wide, high = size_mm(text, height_mm, pen_mm, lettering)
    air = (wide + 4 * pen_mm, high + 4 * pen_mm)
    (taken, edges), tries = grounds, list(places)
    free = [at for at in tries if taken.free(around(at, air))]
    off_edges = (at for at in free if edges.free(around(at, air)))
    at = next(off_edges, free[0] if free else tries[0] if must else None)
    if at is None:
        return None
    taken.add(around(at, (wide, high)))
    return Label(text=text, at=at, height_mm=height_mm)


def within(box: Extent, size: tuple[float, float]) -> bool:
    """Tell whether a size fits into a box."""
    wide, high = box.right_mm - box.left_mm, box.top_mm - box.bottom_mm
    return size[0] <= wide and size[1] <= high


def boxes_around(chains: Iterable[Sequence[Point]]) -> Iterator[Extent]:
    """Give the box around each chain of places."""
    for chain in chains:
        xs, ys = zip(*chain, strict=True)
        yield Extent(left_mm=min(xs), bottom_mm=min(ys), right_mm=max(xs), top_mm=max(ys))

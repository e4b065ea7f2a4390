"""Lines of drawings as rings: closed, or chained where their ends meet."""

import math
from collections.abc import Iterator
from itertools import pairwise

from boardgen.model.outline import Bow, Ring, backwards
from boardgen.model.pose import Point
from boardgen.standards.path_data import Drawn

MEET_MM = 0.01
"""Ends that lie nearer are one place: drawing programs round."""


class DrawingError(ValueError):
    """What is wrong with a drawing, in words, and what would be right."""


def not_read(kind: str, read: str) -> DrawingError:
    """Name a kind of shape that is not read, and those that are."""
    return DrawingError(f"holds a shape that is not read ({kind}); draw {read}")


def ring_of(line: Drawn) -> Ring:
    """Close a line: its last piece ends where the first begins, and none is a point."""
    ends = [line.start, *(bow.end for bow in line.pieces)]
    kept = [
        bow
        for bow, (start, end) in zip(line.pieces, pairwise(ends), strict=True)
        if math.dist(start, end) >= MEET_MM or bow.centre is not None
    ]
    last = kept[-1] if kept else Bow(line.start)
    return (*kept[:-1], Bow(line.start, last.centre, last.clockwise))


def chained(loose: list[Drawn]) -> Iterator[Ring]:
    """Join lines whose ends meet, until each chain is closed."""
    while loose:
        chain = loose.pop()
        while math.dist(chain.start, chain.pieces[-1].end) >= MEET_MM:
            end = chain.pieces[-1].end
            other = next((line for line in loose if _meets(line, end)), None)
            if other is None:
                raise DrawingError(
                    f"a line ends in the open at ({end[0]:.4g}, {end[1]:.4g}) mm; close it"
                )
            loose.remove(other)
            onward = other if math.dist(other.start, end) < MEET_MM else _turned(other)
            chain = Drawn(chain.start, (*chain.pieces, *onward.pieces), closed=False)
        yield ring_of(chain)


def _meets(line: Drawn, at: Point) -> bool:
    return min(math.dist(line.start, at), math.dist(line.pieces[-1].end, at)) < MEET_MM


def _turned(line: Drawn) -> Drawn:
    starts = [line.start, *(bow.end for bow in line.pieces)]
    back = backwards(zip(starts, line.pieces, strict=False))
    return Drawn(line.pieces[-1].end, back, closed=False)

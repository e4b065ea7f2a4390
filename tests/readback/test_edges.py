"""The board's edge as read: boxes and chains of points by elementary geometry of the circle."""

import math
from itertools import pairwise

import pytest

from boardgen.model.shapes import Contour, Edge
from boardgen.readback.edges import box_nm, follows
from boardgen.readback.objects import Seen
from boardgen.units import Nm

MM = 1_000_000


def at(x_mm: float, y_mm: float) -> tuple[Nm, Nm]:
    return (Nm(round(x_mm * MM)), Nm(round(y_mm * MM)))


FLAT = Contour(
    (
        Edge(at(50, 24)),  # up the flat, then the long way round
        Edge(at(50, -24), at(32, 0)),
    )
)
"""A circle of 30 mm about (32, 0), cut straight at x = 50: 3-4-5 triangles."""


def chain(step_deg: float) -> list[tuple[int, int]]:
    first = math.degrees(math.atan2(24, 18))
    steps = math.ceil((360 - 2 * first) / step_deg)
    turns = [first + (360 - 2 * first) * n / steps for n in range(steps + 1)]
    return [at(32 + 30 * math.cos(math.radians(t)), 30 * math.sin(math.radians(t))) for t in turns]


def test_an_arc_reaches_as_far_as_it_bulges() -> None:
    assert box_nm(FLAT) == (2 * MM, -30 * MM, 50 * MM, 30 * MM)


@pytest.mark.parametrize("begin", [0, 1, 7])
def test_points_on_an_arc_follow_it_wherever_the_chain_begins(begin: int) -> None:
    said = chain(10)
    assert follows(FLAT, [*said[begin:], *said[:begin]], 1000)


def test_what_does_not_follow_it() -> None:
    said = chain(10)
    moved = [*said[:5], (said[5][0], said[5][1] + 5000), *said[6:]]
    across = [said[0], *(point for point in said[1:-1] if point[0] > 40 * MM), said[-1]]
    swapped = [*said[:5], said[6], said[5], *said[7:]]
    for other in (moved, across, swapped, said[:-1], [*said, at(50, 0)], said[::-1]):
        assert not follows(FLAT, other, 1000)


def test_a_rounded_corner_may_be_cut() -> None:
    square = Contour(
        (
            Edge(at(10, 0)),
            Edge(at(12, 2), at(10, 2)),
            Edge(at(12, 8)),
            Edge(at(0, 8)),
            Edge(at(0, 0)),
        )
    )
    corners = [edge.end for edge in square.edges]
    assert follows(square, corners, 1000)
    assert not follows(square, [*corners[1:-1], at(0, 1)], 1000)
    assert max(math.dist(*ends) for ends in pairwise(corners)) == 12 * MM


def test_an_outline_is_as_large_as_its_box() -> None:
    assert Seen(shape=FLAT, dark=True, function="Profile").size_mm == (48.0, 60.0)

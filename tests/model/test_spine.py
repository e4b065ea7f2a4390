"""A line with places beside it, against what is known of circles and straight lines."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardgen.model.pose import Pose
from boardgen.model.spine import Piece, Spine
from boardgen.tolerances import CHORD_MM

RADIUS = 25.0


def circle(way: int) -> Spine:
    """Start at the left of a circle about (30, 30), upwards when clockwise (-1)."""
    turn = 90.0 if way < 0 else 270.0
    return Spine(
        start=Pose(x_mm=5.0, y_mm=30.0, turn_deg=turn),
        pieces=(Piece(length_mm=math.tau * RADIUS, radius_mm=way * RADIUS),),
        closed=True,
    )


@pytest.mark.parametrize(
    ("quarters", "at", "turn_deg"),
    [(0, (5, 30), 90), (1, (30, 55), 0), (2, (55, 30), 270), (3, (30, 5), 180), (4, (5, 30), 90)],
)
def test_clockwise_from_the_left_the_quarters_lie_at_the_top_right_and_bottom(
    quarters: int, at: tuple[float, float], turn_deg: float
) -> None:
    pose = circle(-1).pose(quarters * math.pi / 2 * RADIUS)
    assert (pose.x_mm, pose.y_mm) == pytest.approx(at, abs=1e-6)
    assert pose.turn_deg % 360 == pytest.approx(turn_deg, abs=1e-5)


@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize("across", [-3.0, 0.0, 4.0])
def test_left_of_a_clockwise_circle_is_outside(way: int, across: float) -> None:
    at = circle(way).place(10.0, across)
    assert math.dist(at, (30, 30)) == pytest.approx(RADIUS - way * across)


BENT = Spine(
    start=Pose(x_mm=3.0, y_mm=4.0, turn_deg=30.0),
    pieces=(
        Piece(length_mm=10.0),
        Piece(length_mm=8.0 * math.pi, radius_mm=8.0),
        Piece(length_mm=12.0),
        Piece(length_mm=6.0, radius_mm=-9.0),
    ),
)


@given(st.floats(-5, 50), st.floats(-4, 4))
def test_what_is_placed_is_located_again(along: float, across: float) -> None:
    for spine in (BENT, circle(1), circle(-1)):
        if not spine.closed and not 0 < along < spine.length_mm:
            continue
        found = spine.locate(spine.place(along, across))
        assert found[1] == pytest.approx(across, abs=1e-6)
        off = found[0] - along
        off = math.remainder(off, spine.length_mm) if spine.closed else off
        assert off == pytest.approx(0.0, abs=1e-6)


@given(st.floats(-20, 60), st.floats(1, 60), st.floats(-10, 10))
def test_no_chord_leaves_its_arc_by_more_than_a_chord_may(
    start: float, length: float, across: float
) -> None:
    spine = circle(-1)
    points = spine.path((start, start + length), across)
    wanted = RADIUS + across
    assert points[0] == pytest.approx(spine.place(start, across))
    assert points[-1] == pytest.approx(spine.place(start + length, across))
    for first, second in pairwise(points):
        assert first != second
        middle = ((first[0] + second[0]) / 2, (first[1] + second[1]) / 2)
        assert wanted - 1.01 * CHORD_MM <= math.dist(middle, (30, 30)) <= wanted + 1e-9
    drawn = sum(math.dist(*ends) for ends in pairwise(points))
    assert drawn == pytest.approx(length * wanted / RADIUS, rel=1e-3)


def test_an_open_line_goes_straight_on_beyond_its_ends() -> None:
    line = Spine(start=Pose(x_mm=0.0, y_mm=0.0), pieces=(Piece(length_mm=10.0),))
    assert line.place(-4.0, 1.0) == pytest.approx((-4.0, 1.0))
    assert line.place(14.0, -1.0) == pytest.approx((14.0, -1.0))
    assert line.path((8.0, 2.0), 0.0) == ((8.0, 0.0), (2.0, 0.0))

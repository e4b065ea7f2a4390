"""Where letters may stand, held against shapely: on the board's ground, and off what is taken."""

from copy import copy
from dataclasses import replace
from functools import cache

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, box
from shapely.affinity import rotate
from shapely.ops import unary_union

from boardgen.geometry.placing import contour
from boardgen.geometry.polygons import polygon
from boardgen.layout.letter_room import Room, around
from boardgen.model.board import Side
from boardgen.model.land_pattern import Extent
from boardgen.model.outline import rectangle
from boardgen.model.pose import Pose
from boardgen.units import NM_PER_MM
from tests.conftest import RING, design_of

COARSE_MM = 0.75
"""Ground is looked at on a grid of 0.25 mm, a step beyond each edge of a box: own value."""


@cache
def ring() -> tuple[Room, Polygon, Extent]:
    design = design_of(RING)
    outline, limits = design.board.outline, design.parameters.parts.limits
    edge, *holes = (polygon(contour(one)) for one in outline.rings)
    size = Extent(left_mm=0, bottom_mm=0, right_mm=outline.length_mm, top_mm=outline.width_mm)
    inside = edge.difference(unary_union(holes)).buffer(-limits.aims.legend_edge_mm * NM_PER_MM)
    return Room(design.board, limits, Side.BOTTOM), inside, size


def shape(of: Extent) -> Polygon:
    sides = (of.left_mm, of.bottom_mm, of.right_mm, of.top_mm)
    return box(*(side * NM_PER_MM for side in sides))


@st.composite
def boxes(draw: st.DrawFn) -> Extent:
    *_, size = ring()
    x, y = draw(st.floats(0, size.right_mm)), draw(st.floats(0, size.top_mm))
    wide, tall = draw(st.floats(0.5, 12)), draw(st.floats(0.5, 4))
    return Extent(left_mm=x - wide / 2, right_mm=x + wide / 2,
                  bottom_mm=y - tall / 2, top_mm=y + tall / 2)  # fmt: skip


@given(boxes())
def test_what_is_free_lies_on_the_board(one: Extent) -> None:
    room, inside, _ = ring()
    if room.free([one]):
        assert inside.covers(shape(one).buffer(-1))


@given(boxes(), st.lists(boxes(), min_size=1, max_size=80))
def test_what_is_taken_is_not_free_and_all_else_stays_so(one: Extent, taken: list[Extent]) -> None:
    room = copy(ring()[0])  # what is taken beyond its own count is not the first one's
    before = room.free([one])
    for other in taken:
        room.take(other)
    met = any(shape(one).buffer(-1).intersects(shape(other).buffer(-1)) for other in taken)
    assert room.free([one]) == (before and not met)


@given(boxes())
def test_a_box_well_inside_of_an_empty_board_is_free(one: Extent) -> None:
    design = design_of(RING)
    bare = replace(design.board, parts=(), vias=(), holes=())
    room = Room(bare, design.parameters.parts.limits, Side.BOTTOM)
    _, inside, _ = ring()
    if inside.buffer(-COARSE_MM * NM_PER_MM).covers(shape(one)):
        assert room.free([one])


@given(boxes(), st.lists(st.floats(-40, 40), min_size=1, max_size=30))
def test_a_row_of_boxes_is_judged_as_each_of_them(one: Extent, moved: list[float]) -> None:
    room, *_ = ring()
    shifts = np.array(moved)
    along = room.free_along(one.left_mm + shifts, one.right_mm + shifts, one.bottom_mm, one.top_mm)
    each = [
        room.free([Extent(left_mm=one.left_mm + by, right_mm=one.right_mm + by,
                          bottom_mm=one.bottom_mm, top_mm=one.top_mm)])
        for by in moved
    ]  # fmt: skip
    assert along.tolist() == each


@cache
def bare() -> Room:
    """Make room on a board on which nothing stands."""
    design = design_of(RING)
    board = replace(design.board, parts=(), vias=(), holes=(), tracks=())
    return Room(board, design.parameters.parts.limits, Side.BOTTOM)


def posed(one: Extent, turn_deg: float) -> tuple[Pose, tuple[float, float]]:
    x, y = (one.left_mm + one.right_mm) / 2, (one.bottom_mm + one.top_mm) / 2
    size = (one.right_mm - one.left_mm, one.top_mm - one.bottom_mm)
    return Pose(x_mm=x, y_mm=y, turn_deg=turn_deg), size


def told_free(room: Room, one: Extent, turn_deg: float) -> bool:
    pose, size = posed(one, turn_deg)
    at = (np.array([pose.x_mm]), np.array([pose.y_mm]), np.array([turn_deg]))
    return bool(room.free_turned(*at, size)[0])


@given(boxes(), st.floats(-90, 90), st.lists(boxes(), max_size=12))
def test_turned_boxes_are_free_where_they_lie_on_the_board_and_off_what_is_taken(
    one: Extent, turn_deg: float, taken: list[Extent]
) -> None:
    """Held against shapely's own turning; within 2 micrometres of an edge either may be told."""
    room, drawn = copy(bare()), rotate(shape(one), turn_deg)
    for other in taken:
        room.take(other)
    free = ring()[1].difference(unary_union([shape(other) for other in taken]))
    if told_free(room, one, turn_deg):
        assert free.covers(drawn.buffer(-2000))
    else:
        assert not free.covers(drawn.buffer(2000))


@given(boxes(), st.floats(-90, 90), st.floats(-0.49, 0.49), st.floats(-0.49, 0.49))
def test_of_a_turned_box_that_is_taken_nothing_is_free(
    one: Extent, turn_deg: float, along: float, across: float
) -> None:
    room, (pose, (wide, tall)) = copy(bare()), posed(one, turn_deg)
    room.take_turned(pose, (wide, tall))
    x, y = pose.place(along * wide, across * tall)
    assert not room.free([around(x, y, 0.001, 0.001)])


@given(boxes(), st.floats(0.5, 24))
def test_on_a_rounded_rectangle_nothing_is_free_beyond_its_corners(
    one: Extent, corner_mm: float
) -> None:
    """Once a letter stood 0.04 mm from the arc of a board that was nearly a circle."""
    design = design_of(RING)
    limits = design.parameters.parts.limits
    outline = rectangle(60.0, 50.0, corner_mm)
    board = replace(design.board, parts=(), vias=(), holes=(), tracks=(), outline=outline)
    inside = polygon(contour(outline.outer)).buffer(-limits.aims.legend_edge_mm * NM_PER_MM)
    if Room(board, limits, Side.BOTTOM).free([one]):
        assert inside.buffer(2000).covers(shape(one))

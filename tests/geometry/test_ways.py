"""Ways through an area: around corners, through gaps, none where there is none.

Lengths are held against the taut string's, own arithmetic by Pythagoras.
"""

import math
from heapq import heappop
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString

from boardgen.geometry.regions import Region, union
from boardgen.geometry.ways import way
from boardgen.model.shapes import Box, Disc
from boardgen.units import Nm

MM = 1_000_000
STEP = MM / 4


def at(x_mm: float, y_mm: float) -> tuple[Nm, Nm]:
    return Nm(round(x_mm * MM)), Nm(round(y_mm * MM))


def box(x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> Box:
    return Box(at(x_mm, y_mm), Nm(round(width_mm * MM)), Nm(round(height_mm * MM)))


def length_mm(points: tuple[tuple[float, float], ...]) -> float:
    return sum(math.dist(*ends) for ends in pairwise(points)) / MM


FIELD = union([box(20, 20, 40, 40)])


def test_over_open_ground_it_is_one_straight_piece() -> None:
    found = way(FIELD, [at(2, 3)], [at(37.1, 29.4)], STEP)
    assert found == (at(2, 3), at(37.1, 29.4))


def test_around_a_wall_it_is_a_taut_string_over_its_corner() -> None:
    """From (10, 10) to (30, 10) over the top of a wall, whose nearest end is at y = 16."""
    free = FIELD - union([box(20, 8, 2, 16)])
    found = way(free, [at(10, 10)], [at(30, 10)], STEP)
    assert found
    taut = 2 * math.hypot(9, 6) + 2
    assert taut <= length_mm(found) <= 1.03 * taut


def test_of_several_ends_it_takes_the_nearest() -> None:
    found = way(FIELD, [at(2, 2), at(30, 30)], [at(10, 38), at(33, 30)], STEP)
    assert found == (at(30, 30), at(33, 30))


def test_there_is_none_through_a_wall_from_edge_to_edge() -> None:
    free = FIELD - union([box(20, 20, 1, 42)])
    assert way(free, [at(10, 10)], [at(30, 10)], STEP) is None


def test_a_finer_grid_finds_the_narrow_door() -> None:
    """A door of 0.3 mm between the points of a grid of 2 mm."""
    free = FIELD - union([box(20, 10, 1, 22.0), box(20, 31.3, 1, 20)])
    narrow = [at(18, 21.15)], [at(22, 21.15)]
    assert way(free, *narrow, 2.0 * MM) is None
    assert way(free, *narrow, 0.1 * MM)


def test_a_long_way_round_is_found_and_none_where_its_last_door_is_shut() -> None:
    """Nine walls, open at either end in turn: ten lanes of more points than are taken up at first.

    Then its last door is open by less than a step: the ground hangs together, the grid does not.
    """
    walls = [box(4 * n, 19 + 2 * (n % 2), 1, 38) for n in range(1, 10)]
    free = FIELD - union(walls)
    found = way(free, [at(2, 2)], [at(38, 2)], STEP)
    assert found
    taut = 1.5 + 8 * math.hypot(3, 36) + 9 * 1 + 1.5
    assert taut <= length_mm(found) <= 1.03 * taut
    shut = free - union([box(36, 1.06, 1, 2)])
    assert len(shut.pieces()) == 1
    assert way(shut, [at(2, 2)], [at(38, 2)], STEP) is None


def test_a_search_in_vain_is_given_up_long_before_its_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """A field of 22,000 points before a door that is open by less than a step (own case)."""
    taken = []

    def counted(heap: list[tuple[float, float, int]]) -> tuple[float, float, int]:
        taken.append(heap[0])
        return heappop(heap)

    monkeypatch.setattr("boardgen.geometry.ways.heapq.heappop", counted)
    free = FIELD - union([box(35, 20.06, 1, 40)])
    assert len(free.pieces()) == 1
    assert way(free, [at(2, 2)], [at(38, 2)], STEP) is None
    assert len(taken) < 20_000


spots = st.tuples(st.floats(2, 38), st.floats(2, 38)).map(lambda place: at(*place))


@given(st.lists(spots, max_size=12), spots, spots)
def test_every_piece_lies_in_the_area_and_begins_where_the_last_ends(
    stones: list[tuple[Nm, Nm]], start: tuple[Nm, Nm], goal: tuple[Nm, Nm]
) -> None:
    free = FIELD - union([Disc(stone, Nm(2 * MM)) for stone in stones])
    free = free | union([Disc(end, Nm(MM // 2)) for end in (start, goal)])
    found = way(free, [start], [goal], STEP)
    if found is None:
        # No piece of ground holds both, or the two are parted by less than a step of the grid.
        wide = Region(free.shape.buffer(-STEP)).pieces()
        ends = (Disc(start, Nm(1)), Disc(goal, Nm(1)))
        assert not [one for one in wide if all(map(one.covers, ends))]
        return
    assert (found[0], found[-1]) == (start, goal)
    for one, other in pairwise(found):
        assert free.shape.covers(LineString([one, other]))
    assert length_mm(found) >= math.dist(start, goal) / MM - 1e-9


@pytest.mark.parametrize("goal", [(38, 2), (2, 38), (38, 38)])
def test_the_same_ground_gives_the_same_way(goal: tuple[float, float]) -> None:
    stones = [Disc(at(8 + 7 * n, 31 - 5 * n), Nm(3 * MM)) for n in range(5)]
    free = FIELD - union(stones)
    ways = {way(free, [at(2, 2)], [at(*goal)], STEP) for _ in range(2)}
    assert len(ways) == 1
    assert None not in ways


def test_past_a_tip_between_two_points_of_the_grid_there_still_is_a_way() -> None:
    """Two open neighbours see one another not: that step is shut, another is found (own case)."""
    stone, start, goal = at(26.5, 2.5), at(2.0, 2.0), at(28.0, 2.0)
    free = FIELD - union([Disc(stone, Nm(2 * MM))])
    free = free | union([Disc(end, Nm(MM // 2)) for end in (start, goal)])
    found = way(free, [start], [goal], STEP)
    assert found
    assert all(free.shape.covers(LineString(ends)) for ends in pairwise(found))

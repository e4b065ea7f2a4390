"""The way through an area: A* on a fine grid of eight directions, then pulled straight.

Hart, Nilsson and Raphael, "A formal basis for the heuristic determination of minimum cost paths"
(1968), from memory, confident. The bound is the grid's size: each of its points is taken up once.
"""

import heapq
import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon

from boardgen.geometry.regions import Region, polygons_of

Spot = tuple[float, float]
_MOST_POINTS = 1_000_000
"""A finer grid than this takes longer than anyone waits; a larger board gets a coarser one."""
_DIAGONAL = math.sqrt(2.0)
_Step = tuple[int, float]
"""From a point's number to the next one's, and how long it is."""


def way(
    free: Region, starts: Sequence[Spot], goals: Sequence[Spot], step_nm: float
) -> tuple[Spot, ...] | None:
    """Find a short chain of straight pieces inside an area, from a start to a goal.

    Parameters
    ----------
    free : Region
        Where it may run.
    starts, goals : sequence of (x, y)
        Where it may begin and end, in nanometres, inside the area.
    step_nm : float
        How fine the grid is; narrower passages may be missed.

    Returns
    -------
    tuple of (x, y), optional
        Its points; None where the area leaves no way.
    """
    pieces = [part for part in polygons_of(free.shape) if _in(part, starts) and _in(part, goals)]
    if not pieces:
        return None
    free = Region(MultiPolygon(pieces))
    shapely.prepare(free.shape)
    grid = _Grid(free, step_nm)
    begins, ends = grid.near(starts), grid.near(goals)
    shut: set[tuple[int, int]] = set()
    while True:
        cells = _found(grid, begins, ends, shut) if begins and ends else None
        if cells is None:
            return None
        # Two open neighbours may lie on either side of a tip: such a step is shut, and sought anew.
        hidden = [pair for pair in pairwise(cells) if not _seen(free, *map(grid.spot, pair))]
        if not hidden:
            spots = map(grid.spot, cells)
            return _straight(free, [begins[cells[0]], *spots, ends[cells[-1]]])
        shut.update(hidden)


def _in(part: Polygon, spots: Sequence[Spot]) -> bool:
    return any(part.intersects(Point(spot)) for spot in spots)


class _Grid:
    """Points in equal steps, numbered row by row, and which of them lie inside an area.

    Around them lies a border that is closed, so that every open point has eight neighbours.
    """

    def __init__(self, free: Region, step_nm: float) -> None:
        left, bottom, right, top = free.shape.bounds
        self._step = max(step_nm, math.sqrt((right - left) * (top - bottom) / _MOST_POINTS))
        self._left, self._bottom = left - self._step, bottom - self._step
        xs = np.arange(self._left, right + 2 * self._step, self._step)
        ys = np.arange(self._bottom, top + 2 * self._step, self._step)
        self._free = free
        self.shape = (len(ys), len(xs))
        inside = shapely.contains_xy(free.shape, xs[None, :], ys[:, None])
        self.open: list[bool] = inside.ravel().tolist()

    @cached_property
    def ways_on(self) -> list[tuple[_Step, ...]]:
        """The steps that each open point leaves; those across need both corners open."""
        up = self.shape[1]
        straight = [((step,), (step, 1.0)) for step in (1, -1, up, -up)]
        across = [((x + y, x, y), (x + y, _DIAGONAL)) for x in (1, -1) for y in (up, -up)]
        steps = [*straight, *across]
        is_open, ways = np.array(self.open), np.zeros(len(self.open), dtype=int)
        for bit, (needed, _) in enumerate(steps):
            ways |= np.logical_and.reduce([np.roll(is_open, -cell) for cell in needed]) << bit
        sets = [tuple(way for bit, (_, way) in enumerate(steps) if held >> bit & 1)
                for held in range(1 << len(steps))]  # fmt: skip
        return [sets[held] for held in ways.tolist()]

    def spot(self, cell: int) -> Spot:
        row, column = divmod(cell, self.shape[1])
        return (self._left + column * self._step, self._bottom + row * self._step)

    def near(self, spots: Sequence[Spot]) -> dict[int, Spot]:
        """Give points of the grid that spots are seen from, each with the nearest of them."""
        found: dict[int, tuple[float, Spot]] = {}
        for spot in spots:
            for cell in self._around(spot):
                off = math.dist(spot, self.spot(cell))
                nearer = cell not in found or off < found[cell][0]
                if nearer and _seen(self._free, spot, self.spot(cell)):
                    found[cell] = (off, spot)
        return {cell: spot for cell, (_, spot) in found.items()}

    def _around(self, spot: Spot) -> Iterator[int]:
        """Give the open points around a spot, which lies between points."""
        row = round((spot[1] - self._bottom) / self._step)
        column = round((spot[0] - self._left) / self._step)
        for up in range(max(row - 1, 0), min(row + 2, self.shape[0])):
            for right in range(max(column - 1, 0), min(column + 2, self.shape[1])):
                cell = up * self.shape[1] + right
                if self.open[cell]:
                    yield cell


def _found(
    grid: _Grid,
    begins: Mapping[int, Spot],
    ends: Mapping[int, Spot],
    shut: Collection[tuple[int, int]],
) -> list[int] | None:
    """Search the grid, the most promising point first."""
    ways_on, to_go = grid.ways_on, _least_to_go(grid, ends)
    cost = [math.inf] * len(ways_on)
    for cell in begins:
        cost[cell] = 0.0
    before: dict[int, int] = {}
    # Of points that promise the same, the one that is nearest to its end comes first.
    heap = [(to_go[cell], to_go[cell], cell) for cell in sorted(begins)]
    heapq.heapify(heap)
    done, taken_up = bytearray(len(ways_on)), 0
    while heap:
        _, _, cell = heapq.heappop(heap)
        if done[cell]:
            continue
        done[cell] = True
        taken_up += 1
        if taken_up == _IN_VAIN and not _led(grid, begins, ends):
            return None
        if cell in ends:
            return _back(before, cell)
        for step, length in ways_on[cell]:
            after, spent = cell + step, cost[cell] + length
            if spent < cost[after] and (cell, after) not in shut:
                cost[after], before[after] = spent, cell
                heapq.heappush(heap, (spent + to_go[after], to_go[after], after))
    return None


_IN_VAIN = 5_000
"""After so many points it is asked whether any way leads on: that costs as much as some of them."""


def _led(grid: _Grid, begins: Iterable[int], ends: Iterable[int]) -> bool:
    """Tell whether any steps lead from a begin to an end, by whole rows of open points.

    A step across needs both corners open: where one leads, two straight ones do.
    """
    is_open, up = np.array(grid.open), grid.shape[1]
    row = np.cumsum(is_open & ~np.roll(is_open, 1))
    below = np.flatnonzero(is_open[:-up] & is_open[up:])
    beside = defaultdict(set)
    for one, other in set(zip(row[below].tolist(), row[below + up].tolist(), strict=True)):
        beside[one].add(other)
        beside[other].add(one)
    reached: set[int] = set()
    next_ = set(row[list(begins)].tolist())
    while next_:
        reached |= next_
        next_ = set().union(*(beside[one] for one in next_)) - reached
    return not reached.isdisjoint(row[list(ends)].tolist())


_MOST_ENDS, _BOXED = 36, 9
"""Of more ends the points around each are taken together: the bound is looser, and still one."""


def _least_to_go(grid: _Grid, ends: Iterable[int]) -> list[float]:
    """Tell for each point how many steps it is at least to the nearest end, or to a box of ends."""
    rows, columns = np.indices(grid.shape)
    least = np.full(grid.shape, np.inf)
    found = [divmod(end, grid.shape[1]) for end in sorted(ends)]
    boxes = [found[place : place + _BOXED] for place in range(0, len(found), _BOXED)]
    for box in boxes if len(found) > _MOST_ENDS else [[end] for end in found]:
        (low, left), (high, right_) = (
            map(min, zip(*box, strict=True)),
            map(max, zip(*box, strict=True)),
        )
        up = np.maximum(np.maximum(low - rows, rows - high), 0)
        right = np.maximum(np.maximum(left - columns, columns - right_), 0)
        both = np.minimum(up, right)
        np.minimum(least, up + right - (2.0 - _DIAGONAL) * both, out=least)
    bounds: list[float] = least.ravel().tolist()
    return bounds


def _back(before: dict[int, int], cell: int) -> list[int]:
    chain = [cell]
    while chain[-1] in before:
        chain.append(before[chain[-1]])
    return chain[::-1]


def _straight(free: Region, chain: Sequence[Spot]) -> tuple[Spot, ...]:
    """Leave out every point that is not needed: each kept one sees the next."""
    kept, at = [chain[0]], 0
    while at < len(chain) - 1:
        at = next(
            (
                far
                for far in range(len(chain) - 1, at + 1, -1)
                if _seen(free, chain[at], chain[far])
            ),
            at + 1,
        )
        kept.append(chain[at])
    return tuple(kept)


def _seen(free: Region, one: Spot, other: Spot) -> bool:
    return one == other or bool(free.shape.covers(LineString([one, other])))

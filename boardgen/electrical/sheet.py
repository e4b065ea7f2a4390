"""What is lost in conducting sheets: a nodal solution on a grid of cells.

The nodes are solved by conjugate gradients. Each step is prepared on ever wider grids, a cell of
which stands for four (multigrid): so errors over the whole board go as fast as those from cell to
cell, and the cost grows with the number of cells only. Both methods are textbook matter.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from boardgen.electrical.network import Array

Cell = tuple[int, int, int]
"""Number of the sheet, then place along x and along y."""
Link = tuple[Cell, Cell, float]
_Cells = tuple[npt.NDArray[np.int_], ...]

_EXACT = 1e-3
"""The error is less than so much of the whole, in the sense of the heat lost."""
_MOST_STEPS = 5_000
_DAMPED = 0.7
"""What a sweep takes of its correction; with all of it, the shortest waves would stay."""
_SWEEPS, _LAST_SWEEPS = 2, 8
_SMALLEST = 4
"""A grid of so many cells along its longer side is not made wider."""


@dataclass(frozen=True)
class Sheets:
    """Sheets on the same cells, one above the other, of one square ohm each.

    Attributes
    ----------
    upright, level : arrays of (sheet, nx - 1, ny), (sheet, nx, ny - 1)
        What conducts from a cell to its right neighbour, and to the one above it, in squares.
    joined : array of (nx, ny)
        What conducts between two sheets; nothing where there is one.
    held : array of (sheet, nx, ny)
        What conducts to where the current leaves.
    links : tuple of Link
        What conducts between cells that are no neighbours.
    """

    upright: Array
    level: Array
    joined: Array
    held: Array
    links: tuple[Link, ...] = ()

    @cached_property
    def whole(self) -> Array:
        """All that conducts from each cell; 0 where there is nothing."""
        whole = self.held.copy()
        for one, other, conducts in self.links:
            whole[one] += conducts
            whole[other] += conducts
        whole[:, :-1] += self.upright
        whole[:, 1:] += self.upright
        whole[:, :, :-1] += self.level
        whole[:, :, 1:] += self.level
        if len(whole) > 1:
            whole += self.joined
        return whole

    def lost(self, drawn: Array) -> Array:
        """Solve for what is lost at each cell.

        Parameters
        ----------
        drawn : array of (sheet, nx, ny)
            Current drawn at each cell; none where nothing conducts.
        """
        lost, rest = np.zeros_like(drawn), drawn.copy()
        way = prepared = self._prepared(rest)
        size = first = float((rest * prepared).sum())
        for _ in range(_MOST_STEPS):
            if size <= _EXACT * _EXACT * first:
                return lost
            through = self._left(way)
            step = size / float((way * through).sum())
            lost += step * way
            rest -= step * through
            prepared = self._prepared(rest)
            before, size = size, float((rest * prepared).sum())
            way = prepared + size / before * way
        raise ArithmeticError("what the pours lose was not found")

    def _left(self, lost: Array) -> Array:
        """Tell what leaves each cell."""
        left: Array = self.whole * lost
        flat, of = left.ravel(), lost.ravel()
        for step, conducts in self._steps:
            flat[:-step] -= conducts * of[step:]
            flat[step:] -= conducts * of[:-step]
        if len(left) > 1:
            left -= self.joined * lost[::-1]
        if self.links:
            ones, others, conducts = self._ends
            np.subtract.at(left, ones, conducts * lost[others])
            np.subtract.at(left, others, conducts * lost[ones])
        return left

    @cached_property
    def _steps(self) -> tuple[tuple[int, Array], ...]:
        """How far on the next cell lies in a row of them all, and what conducts to it.

        Cells in one row are gone through much faster than in tables; nothing leads from the last
        of a column, or of a sheet, to the next one's first.
        """
        upright, level = np.zeros_like(self.held), np.zeros_like(self.held)
        upright[:, :-1], level[:, :, :-1] = self.upright, self.level
        column = self.held.shape[2]
        return ((column, upright.ravel()[:-column]), (1, level.ravel()[:-1]))

    @cached_property
    def _ends(self) -> tuple[_Cells, _Cells, Array]:
        ones, others, conducts = zip(*self.links, strict=True)
        return (
            tuple(np.array(ones, dtype=int).T),
            tuple(np.array(others, dtype=int).T),
            np.array(conducts),
        )

    def _prepared(self, rest: Array) -> Array:
        """Guess what a rest of current loses: sweeps here, the long way on a wider grid.

        As many sweeps after it as before keep the guess symmetric, damped ones keep it positive:
        the conjugate gradients ask for both, whatever the wider grid conducts.
        """
        lost: Array = self._share * rest
        wider = self._wider
        sweeps = _SWEEPS if wider else _LAST_SWEEPS
        for _ in range(sweeps - 1):
            lost += self._share * (rest - self._left(lost))
        if wider:
            found = wider._prepared(_fours(rest - self._left(lost)))  # noqa: SLF001 - of its kind
            wide = np.repeat(np.repeat(found, 2, axis=1), 2, axis=2)
            lost += wide[:, : lost.shape[1], : lost.shape[2]]
            for _ in range(sweeps):
                lost += self._share * (rest - self._left(lost))
        return lost

    @cached_property
    def _share(self) -> Array:
        return np.divide(_DAMPED, self.whole, out=np.zeros_like(self.whole), where=self.whole > 0)

    @cached_property
    def _wider(self) -> "Sheets | None":
        """The same sheets in cells of twice the width; their middles are twice as far apart."""
        if max(self.held.shape[1:]) <= _SMALLEST:
            return None
        upright, level = _evened(self.upright[:, 1::2], 2), _evened(self.level[:, :, 1::2], 1)
        return Sheets(
            upright=(upright[:, :, ::2] + upright[:, :, 1::2]) / 2,
            level=(level[:, ::2] + level[:, 1::2]) / 2,
            joined=_fours(self.joined[None])[0],
            held=_fours(self.held),
            links=tuple(_wider_links(self.links)),
        )


def _wider_links(links: Iterable[Link]) -> Iterator[Link]:
    """Join the wider cells that links lead between; within one there is nothing to join."""
    for ends in links:
        one, other = ((sheet, x // 2, y // 2) for sheet, x, y in ends[:2])
        if one != other:
            yield one, other, ends[2]


def _evened(values: Array, axis: int) -> Array:
    """Add a row of nothing where their number is odd."""
    if not values.shape[axis] % 2:
        return values
    room = [(0, 0)] * values.ndim
    room[axis] = (0, values.shape[axis] % 2)
    return np.pad(values, room)


def _fours(values: Array) -> Array:
    """Add up each four cells that a wider one stands for."""
    even = _evened(_evened(values, 1), 2)
    pairs = even[:, ::2] + even[:, 1::2]
    fours: Array = pairs[:, :, ::2] + pairs[:, :, 1::2]
    return fours

"""Ground: an area that is asked often whether upright boxes lie wholly on it."""

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import shapely

from boardgen.geometry.regions import union
from boardgen.model.land_pattern import Extent
from boardgen.model.shapes import Contour
from boardgen.units import NM_PER_MM

Places = npt.NDArray[np.float64]
_STEP_MM = 0.25
_TILE = 64
"""Points along a tile's side: boxes are letters, of which most lie on one or two."""


class Ground:
    """A board's area, some way inside of its edge and its cut-outs, as a grid of points.

    A box is taken to lie on it when all points within a step of it do: never too generous. Points
    are looked at tile by tile, where a box is first asked for: a long line bent round a yard of air
    costs no more than a straight one.
    """

    def __init__(
        self, rings: Sequence[Contour], size_mm: tuple[float, float], within_mm: float
    ) -> None:
        edge, *cut_outs = rings
        self._area = (union([edge]) - union(cut_outs)).shape.buffer(-within_mm * NM_PER_MM)
        shapely.prepare(self._area)
        self._last = tuple(int(np.floor(length / _STEP_MM)) + 2 for length in size_mm)
        self._tiles: dict[tuple[int, int], npt.NDArray[np.bool_]] = {}

    def holds(
        self, lefts_mm: Places, rights_mm: Places, bottom_mm: float, top_mm: float
    ) -> npt.NDArray[np.bool_]:
        """Tell which of the boxes between two heights lie on it, by their left and right edges."""
        low_y = max(0, int(np.floor(bottom_mm / _STEP_MM)))
        high_y = min(self._last[1], int(np.ceil(top_mm / _STEP_MM)) + 1)
        lows = np.maximum(np.floor(lefts_mm / _STEP_MM).astype(int), 0)
        highs = np.minimum(np.ceil(rights_mm / _STEP_MM).astype(int) + 1, self._last[0])
        first, last = int(lows.min()) // _TILE, (int(highs.max()) - 1) // _TILE
        off = np.zeros((last + 1 - first) * _TILE, dtype=bool)
        for column in range(first, last + 1):
            here = off[(column - first) * _TILE :][:_TILE]
            for row in range(low_y // _TILE, (high_y - 1) // _TILE + 1):
                tile = self._tile(column, row)
                here |= tile[:, max(low_y - row * _TILE, 0) : high_y - row * _TILE].any(axis=1)
        before = np.concatenate(([0], np.cumsum(off)))
        held: npt.NDArray[np.bool_] = before[highs - first * _TILE] == before[lows - first * _TILE]
        return held

    def holds_one(self, box: Extent) -> bool:
        """Tell of a single box whether it lies on it: the same answer, in much less time."""
        low_x, low_y = (max(0, math.floor(at / _STEP_MM)) for at in (box.left_mm, box.bottom_mm))
        high_x, high_y = (
            min(last, math.ceil(at / _STEP_MM) + 1)
            for last, at in zip(self._last, (box.right_mm, box.top_mm), strict=True)
        )
        return not any(
            self._tile(column, row)[
                max(low_x - column * _TILE, 0) : high_x - column * _TILE,
                max(low_y - row * _TILE, 0) : high_y - row * _TILE,
            ].any()
            for column in range(low_x // _TILE, (high_x - 1) // _TILE + 1)
            for row in range(low_y // _TILE, (high_y - 1) // _TILE + 1)
        )

    def holds_turned(
        self,
        xs_mm: Places,
        ys_mm: Places,
        turns_deg: Places,
        size_mm: tuple[float, float],
        taken_mm: Places,
    ) -> npt.NDArray[np.bool_]:
        """Tell about which middles boxes lie on it and off upright ones, each at its own angle.

        ``taken_mm`` tells left, bottom, right and top of each upright box.
        """
        free = self._area - shapely.union_all(shapely.box(*(taken_mm.T * NM_PER_MM)))
        shapely.prepare(free)
        corners = _turned(xs_mm, ys_mm, turns_deg, size_mm)
        held: npt.NDArray[np.bool_] = shapely.contains_xy(free, corners.mean(axis=1))
        for corner in range(4):  # of most places a point tells that they are taken
            held[held] = shapely.contains_xy(free, corners[held, corner])
        held[held] = shapely.covers(free, shapely.polygons(corners[held]))
        return held

    def _tile(self, column: int, row: int) -> npt.NDArray[np.bool_]:
        """Tell of the points of a tile which lie off the area."""
        if (column, row) not in self._tiles:
            xs, ys = (
                np.arange(tile * _TILE, (tile + 1) * _TILE) * _STEP_MM * NM_PER_MM
                for tile in (column, row)
            )
            off = ~shapely.contains_xy(self._area, *np.meshgrid(xs, ys, indexing="ij"))
            self._tiles[column, row] = off
        return self._tiles[column, row]


def _turned(
    xs_mm: Places, ys_mm: Places, turns_deg: Places, size_mm: tuple[float, float]
) -> Places:
    """Give the corners of boxes of a size about middles, each at its angle, in nanometres."""
    u, v = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]).T * (np.array(size_mm) / 2)[:, None]
    turns = np.radians(turns_deg)[:, None]
    cos, sin = np.cos(turns), np.sin(turns)
    corners = (xs_mm[:, None] + u * cos - v * sin, ys_mm[:, None] + u * sin + v * cos)
    return np.stack(corners, axis=-1) * NM_PER_MM

"""Ground: an area that is asked often whether upright boxes lie wholly on it."""

from collections.abc import Sequence

import numpy as np
import shapely

from boardgen.geometry.regions import union
from boardgen.model.shapes import Contour
from boardgen.units import NM_PER_MM

_STEP_MM = 0.25


class Ground:
    """A board's area, some way inside of its edge and its cut-outs, as a grid of points.

    A sum over all points to the lower left of each makes any box a matter of four look-ups. A box
    is taken to lie on it when all points within a step of it do: never too generous.
    """

    def __init__(
        self, rings: Sequence[Contour], size_mm: tuple[float, float], within_mm: float
    ) -> None:
        """Look at every point of the grid once."""
        edge, *cut_outs = rings
        area = (union([edge]) - union(cut_outs)).shape.buffer(-within_mm * NM_PER_MM)
        shapely.prepare(area)
        xs, ys = (np.arange(-1, length / _STEP_MM + 2) * _STEP_MM * NM_PER_MM for length in size_mm)
        off = ~shapely.contains_xy(area, *np.meshgrid(xs, ys, indexing="ij"))
        self._off = np.zeros((len(xs) + 1, len(ys) + 1), dtype=np.int64)
        self._off[1:, 1:] = off.cumsum(axis=0).cumsum(axis=1)

    def holds(self, left_mm: float, bottom_mm: float, right_mm: float, top_mm: float) -> bool:
        """Tell whether a box lies on it."""
        columns, rows = (length - 1 for length in self._off.shape)
        low_x, low_y = (max(0, int(np.floor(at / _STEP_MM)) + 1) for at in (left_mm, bottom_mm))
        high_x = min(columns, int(np.ceil(right_mm / _STEP_MM)) + 2)
        high_y = min(rows, int(np.ceil(top_mm / _STEP_MM)) + 2)
        sums = self._off
        beside = sums[high_x, high_y] - sums[low_x, high_y] - sums[high_x, low_y]
        return bool(beside + sums[low_x, low_y] == 0)

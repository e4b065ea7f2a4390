"""What hangs together: copper pieces joined by overlap and by plated holes."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import STRtree

from boardgen.geometry.polygons import polygon
from boardgen.geometry.regions import Region
from boardgen.model.shapes import Shape


class Groups:
    """Numbers gathered into groups by pairs: the usual union-find."""

    def __init__(self, count: int) -> None:
        self._parent = list(range(count))

    def find(self, member: int) -> int:
        """Name the group of a member by one of its members."""
        while self._parent[member] != member:
            self._parent[member] = self._parent[self._parent[member]]
            member = self._parent[member]
        return member

    def join(self, first: int, second: int) -> None:
        """Make two groups one."""
        self._parent[self.find(second)] = self.find(first)


def touching(
    first: Sequence[Shape | Region], second: Sequence[Shape | Region]
) -> list[tuple[int, int]]:
    """List pairs of areas that meet; of one list with itself each pair once, in order.

    Of each pair the larger area is prepared, so that a pour is not walked for every land on it.
    """
    if not first or not second:
        return []
    ones, twos = (
        np.array([part.shape if isinstance(part, Region) else polygon(part) for part in side])
        for side in (first, second)
    )
    pairs = STRtree(twos).query(ones)
    if first is second:
        pairs = pairs[:, pairs[0] < pairs[1]]
    large, small = ones[pairs[0]], twos[pairs[1]]
    swap = shapely.get_num_coordinates(large) < shapely.get_num_coordinates(small)
    large, small = np.where(swap, small, large), np.where(swap, large, small)
    shapely.prepare(large)
    meet = pairs[:, shapely.intersects(large, small)].T.tolist()
    return sorted((int(one), int(two)) for one, two in meet)

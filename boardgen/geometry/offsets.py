"""Areas made wider or narrower all round, at a cost near linear in their rings.

The library below takes one ring at a time in little time. Many polygons at once, or one with many
holes, it takes in a time that grows with the square of their number, for it asks of each piece of
the new edge in which others it lies. So each polygon goes alone, and they are joined where they
meet. Narrower is the outer ring narrower less the holes wider, and the other way round: the same
points, for each ring is offset by the same code; to the last bit where joins are round and their
chords are told (``quad_segs``), for the two ways differ in what they take when nothing is said.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry


def offset(shape: BaseGeometry, by_nm: float, **style: Any) -> BaseGeometry:  # noqa: ANN401 - shapely's
    """Widen (or narrow, below 0) an area.

    Parameters
    ----------
    shape : BaseGeometry
        Polygons; anything else is handed on to the library.
    by_nm : float
        How far the edge moves outwards.
    style
        Joins and chords, as the library's ``buffer`` takes them.
    """
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
    if len(parts) != shapely.get_num_geometries(shape) or _plain(parts):
        return shape.buffer(by_nm, **style)
    moved = [_of_one(part, by_nm, style) for part in parts]
    return moved[0] if len(moved) == 1 else _joined(np.array(moved))


def _plain(parts: Sequence[Polygon]) -> bool:
    """Tell whether the library below takes an area as a whole as fast: one ring, or nothing."""
    return not parts or (len(parts) == 1 and not parts[0].interiors)


def _of_one(part: Polygon, by_nm: float, style: dict[str, Any]) -> BaseGeometry:
    outer = Polygon(part.exterior).buffer(by_nm, **style)
    if not part.interiors:
        return outer
    holes = shapely.buffer(shapely.polygons(list(part.interiors)), -by_nm, **style)
    holes = holes[~shapely.is_empty(holes)]
    return outer.difference(_joined(holes)) if len(holes) else outer


def _joined(shapes: "np.ndarray[Any, Any]") -> BaseGeometry:
    parts = shapely.get_parts(shapes)
    return shapely.disjoint_subset_union_all(parts) if len(parts) else MultiPolygon()

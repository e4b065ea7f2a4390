"""Areas made of many objects: images of layers, pours and their pieces."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np
import shapely
from shapely import GeometryType, MultiPolygon, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from boardgen.geometry.offsets import offset
from boardgen.geometry.polygons import SAGITTA_NM, polygon, quarter_segments, skeleton
from boardgen.model.artwork import Artwork, Item
from boardgen.model.shapes import Contour, Edge, Point, Shape
from boardgen.units import NM_PER_MM, Nm

_HAIR_NM = 500.0
"""Slices thinner than a micrometre come from cutting arcs into chords: they are no copper."""

_NOTHING_NM = 1.0
"""Arcs that coincide leave slices of float noise, which cannot be made wider."""

_INTO_CLEAR_NM = 5_000.0
"""A patch reaches this far into what is clear already, so that no hair is left between."""


@dataclass(frozen=True, slots=True)
class Region:
    """An area, opaque to the stages that pass it around."""

    shape: BaseGeometry

    @property
    def area_nm2(self) -> float:
        """The area in square nanometres."""
        return float(self.shape.area)

    @property
    def middle_nm(self) -> tuple[float, float]:
        """A point inside, as near to the middle as there is one."""
        at = self.shape.representative_point()
        return (float(at.x), float(at.y))

    @property
    def empty(self) -> bool:
        """Whether it is no area at all."""
        return bool(self.shape.is_empty)

    @property
    def hair(self) -> bool:
        """Whether it is thinner than what cutting arcs into chords leaves."""
        return bool(offset(self.shape, -_HAIR_NM / 2).is_empty)

    def covers(self, shape: Shape) -> bool:
        """Tell whether a shape lies wholly inside."""
        shapely.prepare(self.shape)
        return bool(self.shape.covers(polygon(shape)))

    def beyond(self, shapes: Sequence[Shape]) -> list[int]:
        """Tell which of some shapes, their radii left out, do not lie wholly inside."""
        shapely.prepare(self.shape)
        inside = shapely.covers(self.shape, np.array([skeleton(shape) for shape in shapes]))
        return [int(place) for place in np.flatnonzero(~inside)]

    def pieces(self) -> tuple["Region", ...]:
        """Take the area apart into what hangs together, hairs left out."""
        return tuple(Region(part) for part in polygons_of(self.shape) if _wide(part, _HAIR_NM))

    def rings_nm(self) -> tuple[tuple[tuple[float, float], ...], ...]:
        """List all rings, outer and inner, for drawing by the even-odd rule."""
        rings = (
            ring
            for part in polygons_of(self.shape)
            for ring in (part.exterior, *part.interiors)
        )  # fmt: skip
        return tuple(tuple(map(tuple, ring.coords)) for ring in rings)

    def inset(self, by_nm: float) -> "Region":
        """Take a band off all its edges."""
        return Region(offset(self.shape, -by_nm))

    def __sub__(self, other: "Region") -> "Region":
        return Region(self.shape.difference(other.shape))

    def __and__(self, other: "Region") -> "Region":
        return Region(self.shape.intersection(other.shape))

    def __or__(self, other: "Region") -> "Region":
        return Region(self.shape.union(other.shape))


def geos_version() -> str:
    """Tell the version of the library below shapely, on which the last nanometre may depend."""
    return str(shapely.geos_version_string)


def polygons_of(shape: BaseGeometry) -> list[Polygon]:
    """List the polygons of a geometry, in an order that depends on their places only."""
    parts = shapely.get_parts(shape)
    areas = parts[(shapely.get_type_id(parts) == GeometryType.POLYGON) & ~shapely.is_empty(parts)]
    found: list[Polygon] = areas[np.lexsort(shapely.bounds(areas).T[::-1])].tolist()
    return found


def union(shapes: Iterable[Shape], sagitta_nm: float = SAGITTA_NM) -> Region:
    """Unite shapes; only what overlaps is merged, so the cost stays near linear."""
    parts = [polygon(shape, sagitta_nm) for shape in shapes]
    return Region(shapely.disjoint_subset_union_all(np.array(parts)) if parts else MultiPolygon())


def gathered(regions: Iterable[Region]) -> Region:
    """Put areas that do not meet into one."""
    return Region(MultiPolygon([part for region in regions for part in polygons_of(region.shape)]))


def board_of(artwork: Artwork) -> Region:
    """Compute the board itself: inside its edge, less its cut-outs."""
    edge, *cut_outs = (replace(line, radius_nm=Nm(0)) for line in artwork.edges)
    return union([edge]) - union(cut_outs) if cut_outs else union([edge])


def image(items: Sequence[Item], sagitta_nm: float = SAGITTA_NM) -> Region:
    """Compute what a layer shows: runs of dark and clear objects, one after the other."""
    shown = Region(MultiPolygon())
    for dark, run in groupby(items, key=lambda item: item.dark):
        area = union((item.shape for item in run), sagitta_nm)
        shown = shown | area if dark else shown - area
    return shown


def opened(region: Region, radius_nm: int) -> Region:
    """Keep what a disc of a radius can reach: no piece thinner than twice it, no sharp corner."""
    segments = quarter_segments(radius_nm)
    inner = offset(region.shape, -radius_nm, quad_segs=segments)
    return Region(offset(inner, radius_nm, quad_segs=segments))


def triangles(
    region: Region,
) -> list[tuple[list[tuple[float, float]], list[tuple[int, int, int]]]]:
    """Cut each piece into triangles that share corners, counter-clockwise: corners in mm, faces."""
    found = []
    for part in polygons_of(region.shape):
        numbers: dict[tuple[float, float], int] = {}
        faces = []
        for one in shapely.constrained_delaunay_triangles(part).geoms:
            ring = one.exterior if one.exterior.is_ccw else one.exterior.reverse()
            first, second, third = (numbers.setdefault(at, len(numbers)) for at in ring.coords[:3])
            faces.append((first, second, third))
        corners = [(x / NM_PER_MM, y / NM_PER_MM) for x, y in numbers]
        found.append((corners, faces))
    return found


def patches(whole: Region, kept: Region) -> tuple[Contour, ...]:
    """Draw clear contours that take away all of an area but a part of it.

    Parameters
    ----------
    whole, kept : Region
        The area as it stands, and the part that shall remain.

    Returns
    -------
    tuple of Contour
        Straight-edged, without holes; they reach a little into what is clear already.
    """
    surplus = MultiPolygon(
        [
            part
            for part in polygons_of(
                whole.shape.difference(offset(kept.shape, _HAIR_NM, quad_segs=2))
            )
            if _wide(part, _NOTHING_NM)
        ]
    )
    # Once for all pieces: a difference for each of them would grow with the square of the board.
    wide = offset(surplus, _INTO_CLEAR_NM, join_style="mitre", mitre_limit=1.5)
    parts = polygons_of(wide.difference(kept.shape))
    if not parts:
        return ()
    meant = STRtree(parts).query(np.array(polygons_of(surplus)), "intersects")[1]
    return tuple(
        contour
        for place in sorted(set(meant.tolist()))
        for whole_part in _without_holes(parts[place])
        for contour in _contours(whole_part)
    )


def _wide(part: Polygon, width_nm: float) -> bool:
    """Tell whether a piece is wider than a hair, on the mean of its length."""
    return bool(2 * part.area > width_nm * part.length)


def closings(areas: Region, width_nm: int) -> tuple[Contour, ...]:
    """Draw what fills every gap of an area that is narrower than a width."""
    reach = width_nm / 2
    segments = quarter_segments(reach)
    wider = offset(areas.shape, reach, quad_segs=segments)
    closed = offset(wider, -reach, quad_segs=segments)
    gaps = closed.difference(offset(areas.shape, _HAIR_NM, quad_segs=2))
    found: list[Contour] = []
    for gap in polygons_of(gaps):
        for part in _without_holes(gap.buffer(_INTO_CLEAR_NM, join_style="mitre")):
            found += _contours(part)
    return tuple(found)


def _without_holes(part: Polygon) -> list[Polygon]:
    """Cut a polygon upright through its first hole until no hole is left."""
    if not part.interiors:
        return [part]
    left, bottom, right, top = part.bounds
    middle = part.interiors[0].centroid.x
    halves = (shapely.box(left, bottom, middle, top), shapely.box(middle, bottom, right, top))
    return [
        whole
        for half in halves
        for piece in polygons_of(part.intersection(half))
        for whole in _without_holes(piece)
    ]


def _contours(part: Polygon) -> list[Contour]:
    """Snap a polygon to the grid; points nearer than 1 µm to a neighbour go (Gerber 4.14.2)."""
    simple = part.simplify(_HAIR_NM)
    snapped = shapely.set_precision(simple, 1_000)
    return [
        Contour(tuple(Edge(_snapped(point)) for point in piece.exterior.coords[1:]))
        for piece in polygons_of(snapped)
        if piece.area > _HAIR_NM * 1_000
    ]


def _snapped(point: tuple[float, ...]) -> Point:
    return (Nm(round(point[0])), Nm(round(point[1])))

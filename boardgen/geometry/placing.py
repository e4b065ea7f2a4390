"""Board coordinates → the artwork's grid."""

from boardgen.model.artwork import Owner
from boardgen.model.board import Part
from boardgen.model.board import Point as PointMm
from boardgen.model.land_pattern import Land, LandShape
from boardgen.model.outline import Bow, Ring, walk
from boardgen.model.shapes import Box, Contour, Disc, Edge, Point, turned_box
from boardgen.units import Nm, snap


def point(at: PointMm) -> Point:
    """Snap a point to the grid."""
    return (snap(at[0]), snap(at[1]))


def contour(ring: Ring) -> Contour:
    """Snap a ring of the outline to the grid; arcs that come to nothing there are left out."""
    drawn = [(start, _edge(start, bow)) for start, bow in walk(ring)]
    kept = [
        edge for (start, edge), bow in zip(drawn, ring, strict=True)
        if bow.centre is None or point(start) != edge.end
    ]  # fmt: skip
    # Of a ring that comes to nothing as a whole the claims tell.
    return Contour(tuple(kept if len(kept) > _LEAST else [edge for _, edge in drawn]))


def _edge(start: PointMm, bow: Bow) -> Edge:
    """Snap an edge; an arc whose radius comes to nothing is the line that it stands for."""
    centre, end = point(bow.centre) if bow.centre else None, point(bow.end)
    if centre in (point(start), end):
        centre = None
    return Edge(end, centre, bow.clockwise)


_LEAST = 2


def half(length_mm: float) -> Nm:
    """Snap half a length: radii of what is given by its diameter."""
    return snap(length_mm / 2)


def land_shape(part: Part, land: Land, change_mm: float = 0.0) -> Disc | Box:
    """Draw a land where its part has it, larger or smaller by a change on every side."""
    centre = point(part.land_place(land))
    width, height = land.width_mm + 2 * change_mm, land.height_mm + 2 * change_mm
    if land.shape is LandShape.ROUND:
        return Disc(centre, half(width))
    return turned_box(centre, Nm(2 * half(width)), Nm(2 * half(height)), part.pose.turn_deg)


def owner(part: Part, land: Land) -> Owner:
    """Name a land by part, pin and function."""
    return Owner(reference=part.reference, pin=land.name, function=land.function)

"""Shapes of the artwork: a skeleton thickened by a radius, in whole nanometres.

A distance between shapes is the distance of their skeletons less both radii; a clearance is the
same skeleton with a larger radius.
"""

from dataclasses import dataclass

from boardgen.units import Nm

Point = tuple[Nm, Nm]
ZERO = Nm(0)


@dataclass(frozen=True, slots=True)
class Disc:
    """A point thickened: round lands, holes."""

    centre: Point
    radius_nm: Nm


@dataclass(frozen=True, slots=True)
class Stroke:
    """A chain of straight pieces thickened: tracks, letters."""

    points: tuple[Point, ...]
    radius_nm: Nm


@dataclass(frozen=True, slots=True)
class Box:
    """An axis-parallel rectangle, its skeleton thickened (radius 0: sharp corners)."""

    centre: Point
    width_nm: Nm
    height_nm: Nm
    radius_nm: Nm = ZERO


@dataclass(frozen=True, slots=True)
class Edge:
    """A piece of a contour: its end, and its centre when it is an arc."""

    end: Point
    centre: Point | None = None
    clockwise: bool = False


@dataclass(frozen=True, slots=True)
class Contour:
    """A closed chain of lines and arcs; it starts where its last edge ends.

    With radius 0 it stands for the area inside; thickened, for the line itself (a profile).
    """

    edges: tuple[Edge, ...]
    radius_nm: Nm = ZERO

    @property
    def start(self) -> Point:
        """The point where the first edge begins and the last one ends."""
        return self.edges[-1].end


Shape = Disc | Stroke | Box | Contour

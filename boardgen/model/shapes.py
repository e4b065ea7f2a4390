"""Shapes of the artwork: a skeleton thickened by a radius, in whole nanometres.

A distance between shapes is the distance of their skeletons less both radii; a clearance is the
same skeleton with a larger radius.
"""

from dataclasses import dataclass
from typing import NamedTuple

from boardgen.model.pose import direction
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
    """A rectangle, its skeleton thickened (radius 0: sharp corners).

    It is turned counter-clockwise about its centre by millionths of a degree, from 0 to below a
    quarter turn: beyond that width and height change places, so that equal ones are equal.
    """

    centre: Point
    width_nm: Nm
    height_nm: Nm
    radius_nm: Nm = ZERO
    turn_udeg: int = 0

    @property
    def axes(self) -> tuple[float, float]:
        """Cosine and sine of its angle."""
        return direction(self.turn_udeg / UDEG)

    def corners(self) -> tuple[tuple[float, float], ...]:
        """Give the skeleton's corners, from the lower left, counter-clockwise."""
        (x, y), (cos, sin) = self.centre, self.axes
        half_w, half_h = self.width_nm / 2, self.height_nm / 2
        signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
        return tuple(
            (x + a * half_w * cos - b * half_h * sin, y + a * half_w * sin + b * half_h * cos)
            for a, b in signs
        )


UDEG = 1_000_000
"""Millionths of a degree to a degree."""


def turned_box(centre: Point, width_nm: Nm, height_nm: Nm, turn_deg: float) -> Box:
    """Make a rectangle at any angle, in the one form that it has."""
    turn = round(turn_deg * UDEG) % (180 * UDEG)
    if turn >= 90 * UDEG:
        turn, width_nm, height_nm = turn - 90 * UDEG, height_nm, width_nm
    return Box(centre, width_nm, height_nm, turn_udeg=turn)


class Edge(NamedTuple):
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

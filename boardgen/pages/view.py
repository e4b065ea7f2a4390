"""One side as it is looked at, and how areas and letters are drawn on it."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from boardgen.geometry.lettering import chains
from boardgen.geometry.regions import Region
from boardgen.model.board import Board, Point
from boardgen.model.lettering import Lettering
from boardgen.model.outline import Ring, sweep_rad, walk
from boardgen.model.side import Side
from boardgen.units import NM_PER_MM

MARGIN_MM = 2.0


def number(value_mm: float) -> str:
    """Write a coordinate with at most three decimals."""
    text = f"{value_mm:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@dataclass(frozen=True, slots=True)
class View:
    """One side: from below, left and right change places; y counts downwards in pictures."""

    side: Side
    length_mm: float
    width_mm: float

    def point(self, at: Point) -> Point:
        """Carry a place of the board, in mm, into the picture."""
        x = self.length_mm - at[0] if self.side is Side.BOTTOM else at[0]
        return (x, self.width_mm - at[1])

    def path(self, region: Region) -> str:
        """Write an area as path data."""
        return "".join(
            "M" + "L".join(self._nm(x, y) for x, y in ring[:-1]) + "Z" for ring in region.rings_nm()
        )

    def ring(self, ring: Ring) -> str:
        """Write a ring of the board's edge as path data, arcs as arcs."""
        data = ""
        for start, bow in walk(ring):
            x, y = self.point(bow.end)
            if not data:
                data = "M{} {}".format(*map(number, self.point(start)))
            if bow.centre is None:
                data += f"L{number(x)} {number(y)}"
                continue
            radius = number(math.dist(start, bow.centre))
            large = int(abs(sweep_rad(start, bow)) > math.pi)
            # Pictures count downwards and the bottom is seen from below: each turns arcs round.
            onwards = int(bow.clockwise is (self.side is Side.TOP))
            data += f"A{radius} {radius} 0 {large} {onwards} {number(x)} {number(y)}"
        return f"{data}Z"

    def _nm(self, x_nm: float, y_nm: float) -> str:
        x, y = self.point((x_nm / NM_PER_MM, y_nm / NM_PER_MM))
        return f"{number(x)} {number(y)}"

    def lines(self, chain: Iterable[Point]) -> str:
        """Write a chain of places as path data."""
        places = [self.point(at) for at in chain]
        return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in places)


def flattened(ring: Ring) -> list[Point]:
    """Give a ring's corners, arcs by chords of a few degrees: for pictures, not for measures."""
    points: list[Point] = []
    for start, bow in walk(ring):
        if bow.centre is not None:
            (x, y), sweep = bow.centre, sweep_rad(start, bow)
            radius, from_rad = math.dist(start, bow.centre), math.atan2(start[1] - y, start[0] - x)
            steps = math.ceil(abs(sweep) / _CHORD_RAD)
            angles = (from_rad + sweep * step / steps for step in range(1, steps))
            points += [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles]
        points.append(bow.end)
    return points


_CHORD_RAD = math.radians(3.0)


def letters(text: str, at: Point, height_mm: float, lettering: Lettering) -> str:
    """Write a text as path data around a place of the picture, in the legend's own letters."""
    return "".join(
        "M" + "L".join(f"{number(at[0] + x)} {number(at[1] - y)}" for x, y in chain)
        for chain in chains(text, height_mm, lettering)
    )


def holes(board: Board, view: View) -> str:
    """Write the holes for screws, for pegs and for a wire's pull as path data."""
    return "".join(circle(view.point(at), wide / 2) for at, wide in hole_places(board))


def hole_places(board: Board) -> Iterator[tuple[Point, float]]:
    """List the places and diameters of holes that no land is around."""
    for hole in board.holes:
        yield (hole.x_mm, hole.y_mm), hole.hole_mm
    for part in board.parts:
        for plain in part.pattern.holes:
            yield part.place(plain.x_mm, plain.y_mm), plain.hole_mm


def circle(at: Point, radius_mm: float) -> str:
    """Write a circle around a place of the picture as path data, two arcs from its left."""
    radius, across = number(radius_mm), number(2 * radius_mm)
    return (
        f"M{number(at[0] - radius_mm)} {number(at[1])}"
        f"a{radius} {radius} 0 1 0 {across} 0a{radius} {radius} 0 1 0 -{across} 0Z"
    )

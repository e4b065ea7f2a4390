"""A board's edge: closed rings of straight lines and true arcs, in millimetres."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from boardgen.model.pose import Point


@dataclass(frozen=True, slots=True)
class Bow:
    """A piece of a ring: where it ends, and its centre when it is an arc."""

    end: Point
    centre: Point | None = None
    clockwise: bool = False


Ring = tuple[Bow, ...]
"""A closed chain of pieces; it begins where its last one ends."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """The edge of a board, and of its cut-outs.

    ``outer`` runs counter-clockwise, each ring of ``inner`` clockwise: the board lies to the left.
    The lower-left corner of the box around it, ``length_mm`` by ``width_mm``, is the origin.
    """

    length_mm: float
    width_mm: float
    outer: Ring
    inner: tuple[Ring, ...] = ()

    @property
    def rings(self) -> tuple[Ring, ...]:
        """The outer ring, then those of the cut-outs."""
        return (self.outer, *self.inner)

    @property
    def boxed(self) -> bool:
        """Whether it is a rectangle, its corners rounded or not, without cut-outs."""
        quarter = math.pi / 2 + _HARDLY_RAD
        return not self.inner and all(
            0.0 <= sweep_rad(start, bow) <= quarter and (bow.centre or _level(start, bow.end))
            for start, bow in walk(self.outer)
        )

    def inwards_mm(self, at: Point) -> float:
        """Tell how far a point lies from the nearest edge: negative beyond it, exact on arcs."""
        near = min(
            (_to_bow_mm(at, start, bow) for ring in self.rings for start, bow in walk(ring)),
            # Beyond a corner both are as near: the one that the point lies further off tells.
            key=lambda found: (round(found[0], 9), -abs(found[1])),
        )
        return math.copysign(*near)

    @property
    def area_mm2(self) -> float:
        """The board's area, cut-outs taken off."""
        return sum(map(signed_area_mm2, self.rings))


@dataclass(frozen=True, slots=True)
class Drawing:
    """An edge that was drawn elsewhere; ``corner`` is where the board's lower left lies there.

    ``digest`` is that of the file.
    """

    outline: Outline
    corner: Point
    digest: str


_QUARTERS = tuple(math.pi / 2 * quarter for quarter in range(4))


def walk(ring: Ring) -> Iterator[tuple[Point, Bow]]:
    """Give every piece of a ring with the point where it begins."""
    start = ring[-1].end
    for bow in ring:
        yield start, bow
        start = bow.end


def backwards(walked: Iterable[tuple[Point, Bow]]) -> Ring:
    """Go the other way along pieces that are given with the points where they begin."""
    return tuple(
        Bow(start, bow.centre, bow.centre is not None and not bow.clockwise)
        for start, bow in reversed(list(walked))
    )


def sweep_rad(start: Point, bow: Bow) -> float:
    """Tell by which angle an arc turns, counter-clockwise positive; 0 for a line."""
    if bow.centre is None:
        return 0.0
    (x, y), (x1, y1), (x2, y2) = bow.centre, start, bow.end
    turn = math.atan2(y2 - y, x2 - x) - math.atan2(y1 - y, x1 - x)
    return -((-turn) % math.tau or math.tau) if bow.clockwise else turn % math.tau or math.tau


def _level(start: Point, end: Point) -> bool:
    """Tell whether a straight side lies along an axis."""
    return min(abs(start[0] - end[0]), abs(start[1] - end[1])) < _HARDLY_RAD


_HARDLY_RAD = 1e-6


def _to_bow_mm(at: Point, start: Point, bow: Bow) -> tuple[float, float]:
    """Measure to a piece of a ring; the sign that follows is positive to its left."""
    (x, y), (x1, y1), (x2, y2) = at, start, bow.end
    if bow.centre is None:
        dx, dy = x2 - x1, y2 - y1
        share = ((x - x1) * dx + (y - y1) * dy) / (dx * dx + dy * dy)
        foot = min(max(share, 0.0), 1.0)
        side = (dx * (y - y1) - dy * (x - x1)) / math.hypot(dx, dy)
        return (math.dist(at, (x1 + foot * dx, y1 + foot * dy)), side)
    (cx, cy), way = bow.centre, -1.0 if bow.clockwise else 1.0
    radius, out = math.dist(start, bow.centre), math.dist(at, bow.centre)
    turned = way * (math.atan2(y - cy, x - cx) - math.atan2(y1 - cy, x1 - cx)) % math.tau
    side = way * (radius - out)
    if turned <= abs(sweep_rad(start, bow)) or not out:
        return (abs(radius - out), side)
    return (min(math.dist(at, start), math.dist(at, bow.end)), side)


def slot_mm(ring: Ring) -> tuple[float, float] | None:
    """Tell the width and whole length of a slot: two straight sides, half circles at its ends."""
    pieces = list(walk(ring))
    sides = [math.dist(start, bow.end) for start, bow in pieces if bow.centre is None]
    radii = [math.dist(start, bow.centre) for start, bow in pieces if bow.centre is not None]
    turned = sum(sweep_rad(start, bow) for start, bow in pieces)
    alike = [*(abs(side - sides[0]) for side in sides), *(abs(one - radii[0]) for one in radii)]
    round_it = abs(abs(turned) - math.tau) < _ROUGHLY
    if len(sides) != _ENDS or not radii or max(alike) > _ROUGHLY or not round_it:
        return None
    return (2 * radii[0], sides[0] + 2 * radii[0])


def slot_ends(ring: Ring) -> tuple[Point, Point] | None:
    """Tell between which points a slot's cutter goes, the left or lower one first."""
    if slot_mm(ring) is None:
        return None
    centres = sorted({bow.centre for bow in ring if bow.centre is not None})
    return (centres[0], centres[-1])


_ENDS, _ROUGHLY = 2, 1e-3
"""Millimetres and radians: as near as drawings are drawn."""


def signed_area_mm2(ring: Ring) -> float:
    """Measure what a ring encloses: positive counter-clockwise (Green's theorem)."""
    total = 0.0
    for (x1, y1), bow in walk(ring):
        x2, y2 = bow.end
        total += (x1 * y2 - x2 * y1) / 2
        if bow.centre is not None:
            angle = sweep_rad((x1, y1), bow)
            radius = math.dist((x1, y1), bow.centre)
            total += radius**2 * (angle - math.sin(angle)) / 2
    return total


def rectangle(length_mm: float, width_mm: float, corner_mm: float) -> Outline:
    """Draw a rectangle with rounded corners (0: sharp ones), from its lower left."""
    right, top, radius = length_mm, width_mm, corner_mm
    if radius <= 0:
        corners = ((right, 0.0), (right, top), (0.0, top), (0.0, 0.0))
        ring = tuple(Bow(corner) for corner in corners)
        return Outline(length_mm=length_mm, width_mm=width_mm, outer=ring)
    turns = (
        ((right - radius, 0.0), (right - radius, radius), (right, radius)),
        ((right, top - radius), (right - radius, top - radius), (right - radius, top)),
        ((radius, top), (radius, top - radius), (0.0, top - radius)),
        ((0.0, radius), (radius, radius), (radius, 0.0)),
    )
    bows: list[Bow] = []
    at = turns[-1][-1]
    for start, centre, end in turns:
        # A side of no length: its arcs follow one another.
        bows += [Bow(start)] * (math.dist(at, start) > 0)
        bows.append(Bow(end, centre))
        at = end
    return Outline(length_mm=length_mm, width_mm=width_mm, outer=tuple(bows))


def circle(centre: Point, radius_mm: float, *, clockwise: bool = False) -> Ring:
    """Draw a circle as two half arcs."""
    x, y = centre
    right, left = (x + radius_mm, y), (x - radius_mm, y)
    return (Bow(left, centre, clockwise), Bow(right, centre, clockwise))


def moved(ring: Ring, by: Point) -> Ring:
    """Move a ring."""

    def there(at: Point) -> Point:
        return (at[0] + by[0], at[1] + by[1])

    return tuple(
        replace(bow, end=there(bow.end), centre=bow.centre and there(bow.centre)) for bow in ring
    )


def extremes(ring: Ring) -> Iterator[Point]:
    """List the ends of a ring's pieces, and where arcs reach furthest along an axis."""
    for start, bow in walk(ring):
        yield bow.end
        if bow.centre is None:
            continue
        (x, y), way = bow.centre, -1.0 if bow.clockwise else 1.0
        radius = math.dist(start, bow.centre)
        first, last = (math.atan2(at[1] - y, at[0] - x) for at in (start, bow.end))
        sweep = way * (last - first) % math.tau or math.tau
        for quarter in _QUARTERS:
            if way * (quarter - first) % math.tau < sweep:
                yield (x + radius * math.cos(quarter), y + radius * math.sin(quarter))

"""A line of one's own: straight legs and arcs, from points or from path data."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from boardgen.model.form_section import FormSection
from boardgen.model.outline import Bow, Ring, backwards, signed_area_mm2, sweep_rad
from boardgen.model.pose import Point, Pose
from boardgen.model.spine import Piece
from boardgen.standards.path_data import parse, turned_up

FILLET_MM = 16.0
"""How round a path's corners are, if not asked for and where they have room: own choice."""
STRAIGHT_MM = 1.0
"""So much stays straight between two bends: own choice."""
_LEAST_FILLET_MM, _STRAIGHT_DEG = 1.0, 1e-6


@dataclass(frozen=True, slots=True)
class Line:
    """Legs one after the other; the last one of a closed line ends where the first begins."""

    start: Point
    legs: tuple[Bow, ...]
    closed: bool

    def walk(self) -> Iterator[tuple[Point, Bow]]:
        """Give each leg with the point where it begins."""
        ends = (self.start, *(leg.end for leg in self.legs))
        return zip(ends, self.legs, strict=False)

    def turns_rad(self) -> list[float]:
        """Tell by how much the way turns at the end of each leg, to the left positive.

        An open line ends straight.
        """
        legs = list(self.walk())
        following = [*legs[1:], legs[0]] if self.closed else legs[1:]
        turns = [
            math.remainder(heading_rad(*after) - _end_rad(*before), math.tau)
            for before, after in zip(legs, following, strict=False)
        ]
        return turns if self.closed else [*turns, 0.0]

    def area_mm2(self) -> float:
        """Measure what a closed line encloses: positive counter-clockwise."""
        return signed_area_mm2(self.legs)

    def backwards(self) -> "Line":
        """Go the other way; the first leg of a closed line stays the first."""
        back = backwards(self.walk())
        if not self.closed:
            return Line(self.legs[-1].end, back, closed=False)
        return Line(self.legs[0].end, (back[-1], *back[:-1]), closed=True)

    def amid_its_first_leg(self) -> "Line":
        """Begin a closed line midway of its first leg, where it is straight."""
        (x1, y1), (x2, y2) = self.start, self.legs[0].end
        middle = ((x1 + x2) / 2, (y1 + y2) / 2)
        return Line(middle, (*self.legs, Bow(middle)), closed=False)

    def pose(self) -> Pose:
        """Tell where it begins, and which way."""
        turn = math.degrees(heading_rad(self.start, self.legs[0]))
        return Pose(x_mm=self.start[0], y_mm=self.start[1], turn_deg=turn)


def line_of(form: FormSection) -> Line:
    """Take a file's line: path data turned so that y is up, or its points.

    Raises
    ------
    PathDataError
        When the path data are none.
    """
    if form.line:
        drawn = turned_up(parse(form.line)[0], 1.0, 0.0)
        return Line(drawn.start, drawn.pieces, drawn.closed)
    rest: Ring = tuple(Bow(point) for point in form.points[1:])
    back: Ring = (Bow(form.points[0]),) if form.closed else ()
    return Line(form.points[0], (*rest, *back), form.closed)


def heading_rad(start: Point, leg: Bow) -> float:
    """Tell which way a leg begins."""
    if leg.centre is None:
        return math.atan2(leg.end[1] - start[1], leg.end[0] - start[0])
    out = math.atan2(start[1] - leg.centre[1], start[0] - leg.centre[0])
    return out + math.copysign(math.pi / 2, sweep_rad(start, leg))


def _end_rad(start: Point, leg: Bow) -> float:
    return heading_rad(start, leg) + sweep_rad(start, leg)


def cuts_mm(line: Line, fillet_mm: float) -> list[tuple[float, float]]:
    """Tell how much bends take of each leg at its beginning and its end; arcs meet without any."""
    cuts = [
        fillet_mm * math.tan(abs(turn) / 2) if _bends(turn, *pair) else 0.0
        for turn, pair in zip(line.turns_rad(), _pairs(line), strict=True)
    ]
    first = cuts[-1] if line.closed else 0.0
    return list(pairwise([first, *cuts]))


def _pairs(line: Line) -> list[tuple[Bow, Bow]]:
    return list(zip(line.legs, [*line.legs[1:], line.legs[0]], strict=True))


def _bends(turn_rad: float, before: Bow, after: Bow) -> bool:
    return before.centre is None and after.centre is None and abs(turn_rad) > _STRAIGHT_DEG


def fillet_mm(form: FormSection, line: Line) -> float:
    """Tell how round a path's corners are: as asked, or as its sides allow."""
    if form.fillet_mm is not None:
        return form.fillet_mm
    fits = (
        (math.dist(start, leg.end) - STRAIGHT_MM) / (before + after)
        for (start, leg), (before, after) in zip(line.walk(), cuts_mm(line, 1.0), strict=True)
        if before + after
    )
    return max(min((FILLET_MM, *fits)), _LEAST_FILLET_MM)


def pieces(line: Line, fillet_mm: float) -> Iterator[Piece]:
    """Go along a line that is open, and round its corners with a radius."""
    legs: Sequence[tuple[Point, Bow]] = list(line.walk())
    cuts, turns = cuts_mm(line, fillet_mm), line.turns_rad()
    for (start, leg), (before, after), turn in zip(legs, cuts, turns, strict=True):
        if leg.centre is not None:
            sweep = sweep_rad(start, leg)
            radius = math.dist(start, leg.centre)
            yield Piece(length_mm=radius * abs(sweep), radius_mm=math.copysign(radius, sweep))
            continue
        yield Piece(length_mm=math.dist(start, leg.end) - before - after)
        if after:
            yield Piece(length_mm=fillet_mm * abs(turn), radius_mm=math.copysign(fillet_mm, turn))

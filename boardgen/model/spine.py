"""A line along which LEDs stand: straight pieces and true arcs, and places beside it."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from boardgen.model.pose import Point, Pose, direction
from boardgen.tolerances import CHORD_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece of a line: its length, and the radius of an arc.

    ``radius_mm`` is positive where the line turns left, negative where it turns right, and 0 where
    it is straight.
    """

    length_mm: float
    radius_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Spine:
    """A line from a pose on; a closed one ends where it begins.

    Places on it are told by how far they lie along it, and across it to its left.
    """

    start: Pose
    pieces: tuple[Piece, ...]
    closed: bool = False

    @cached_property
    def length_mm(self) -> float:
        """How long it is."""
        return sum(piece.length_mm for piece in self.pieces)

    def pose(self, along_mm: float, across_mm: float = 0.0) -> Pose:
        """Give the place and direction at a way along and across; a closed line goes round.

        An open one goes straight on beyond its ends.
        """
        at = along_mm % self.length_mm if self.closed else along_mm
        before, here = self.start, self.pieces[0]
        for pose, piece in self._placed:
            before, here = pose, piece
            if at <= piece.length_mm:
                break
            at -= piece.length_mm
        else:
            at += here.length_mm
        return _moved(before, here, at, across_mm)

    def bends(self, from_mm: float, to_mm: float) -> tuple[float, ...]:
        """List the radii of the pieces between two ways along it, in order."""
        passed, found = 0.0, list[float]()
        for piece in self.pieces:
            if passed < to_mm and from_mm < passed + piece.length_mm:
                found.append(round(piece.radius_mm, 6))
            passed += piece.length_mm
        return tuple(dict.fromkeys(found)) or (0.0,)

    def place(self, along_mm: float, across_mm: float = 0.0) -> Point:
        """Give the point at a way along and across."""
        pose = self.pose(along_mm, across_mm)
        return (pose.x_mm, pose.y_mm)

    def locate(self, at: Point) -> tuple[float, float]:
        """Tell how far along and across a point lies, by the piece that is nearest to it."""
        passed, found = 0.0, list[tuple[float, float, float]]()
        for pose, piece in self._placed:
            off, along, across = _seen(pose, piece, at)
            found.append((off, passed + along, across))
            passed += piece.length_mm
        _, along, across = min(found)
        return (along % passed if self.closed else along, across)

    def path(self, ways_mm: Sequence[float], across_mm: float) -> tuple[Point, ...]:
        """Give points beside the line through ways along it, in order.

        Chords stand for arcs, as near to them as a micrometre; where the line is straight it needs
        no point to pass a way.
        """
        ways = [ways_mm[0]]
        for before, after in pairwise(ways_mm):
            ways += [*self._knots(before, after, across_mm), after]
        kept = (way for way in ways[1:-1] if not self._straight_at(way))
        return tuple(self.place(along, across_mm) for along in (ways[0], *kept, ways[-1]))

    def _straight_at(self, along_mm: float) -> bool:
        """Tell whether the line goes straight on at a way along it."""
        passed = 0.0
        at = along_mm % self.length_mm if self.closed else along_mm
        for place, piece in enumerate(self.pieces):
            first, last = place == 0, place == len(self.pieces) - 1
            after_start = at > passed + CHORD_MM or (first and not self.closed)
            passed += piece.length_mm
            before_end = at < passed - CHORD_MM or (last and not self.closed)
            if after_start and before_end:
                return not piece.radius_mm
        return False

    @cached_property
    def _placed(self) -> tuple[tuple[Pose, Piece], ...]:
        """Each piece with the pose at its start; angles are added up before they are kept."""
        placed = list[tuple[Pose, Piece]]()
        x, y, turned = self.start.x_mm, self.start.y_mm, 0.0
        for piece in self.pieces:
            turn_deg = self.start.turn_deg + math.degrees(turned)
            placed.append((Pose(x_mm=x, y_mm=y, turn_deg=turn_deg), piece))
            bend = piece.length_mm / piece.radius_mm if piece.radius_mm else 0.0
            dx, dy = _chord(piece.length_mm, piece.radius_mm)
            cos, sin = _direction(turn_deg)
            x, y = x + dx * cos - dy * sin, y + dx * sin + dy * cos
            turned += bend
        return tuple(placed)

    def _knots(self, from_mm: float, to_mm: float, across_mm: float) -> Iterator[float]:
        """List where a path needs a point of its own, between its ends and in its direction."""
        low, high = sorted((from_mm, to_mm))
        knots: list[float] = []
        turns = range(math.floor(low / self.length_mm), math.ceil(high / self.length_mm))
        for turn in turns if self.closed else (0,):
            passed = turn * self.length_mm
            for piece in self.pieces:
                count = _chords(piece, across_mm)
                knots += [passed + piece.length_mm * n / count for n in range(count + 1)]
                passed += piece.length_mm
        # Where pieces meet, and where a closed line begins anew, a knot comes twice.
        inside = list[float]()
        for knot in sorted(knots):
            if (inside[-1] if inside else low) + CHORD_MM < knot < high - CHORD_MM:
                inside.append(knot)
        yield from inside if from_mm < to_mm else reversed(inside)


def _chord(length_mm: float, radius_mm: float) -> Point:
    """Tell how far ahead and to the left an arc of a length ends, or a straight line."""
    if not radius_mm:
        return (length_mm, 0.0)
    bend = length_mm / radius_mm
    return (radius_mm * math.sin(bend), radius_mm * (1 - math.cos(bend)))


def _direction(turn_deg: float) -> Point:
    """Give cosine and sine: at quarter turns exact, elsewhere of the angle as it was added up."""
    off = math.remainder(turn_deg, 90.0)
    return direction(turn_deg - off) if abs(off) < _NO_ANGLE_DEG else direction(turn_deg)


_NO_ANGLE_DEG = 1e-9


def _moved(pose: Pose, piece: Piece, along_mm: float, across_mm: float) -> Pose:
    """Go along a piece from the pose at its start, then across to the left."""
    radius = piece.radius_mm
    if not radius:
        x, y = pose.place(along_mm, across_mm)
        return Pose(x_mm=x, y_mm=y, turn_deg=pose.turn_deg)
    turned = math.degrees(along_mm / radius)
    centre = pose.place(0.0, radius)
    there = Pose(x_mm=centre[0], y_mm=centre[1], turn_deg=pose.turn_deg + turned)
    x, y = there.place(0.0, across_mm - radius)
    return Pose(x_mm=x, y_mm=y, turn_deg=there.turn_deg)


def _seen(pose: Pose, piece: Piece, at: Point) -> tuple[float, float, float]:
    """Tell how far off a piece a point lies, and how far along and across its whole line."""
    turn = math.radians(pose.turn_deg)
    dx, dy = at[0] - pose.x_mm, at[1] - pose.y_mm
    x, y = dx * math.cos(turn) + dy * math.sin(turn), dy * math.cos(turn) - dx * math.sin(turn)
    radius = piece.radius_mm
    if not radius:
        inside = min(max(x, 0.0), piece.length_mm)
        return (math.hypot(x - inside, y), x, y)
    angle = math.atan2(x, math.copysign(1.0, radius) * (radius - y))
    middle = piece.length_mm / abs(radius) / 2
    # An arc may be longer than half a circle: angles are told around its middle.
    angle = middle + math.remainder(angle - middle, math.tau)
    along, across = angle * abs(radius), radius - math.copysign(math.hypot(x, y - radius), radius)
    inside = min(max(along, 0.0), piece.length_mm)
    ahead, left = _chord(inside, radius)
    return (math.hypot(x - ahead, y - left), along, across)


def _chords(piece: Piece, across_mm: float) -> int:
    """Tell into how many chords a piece is cut so that none leaves its arc."""
    if not piece.radius_mm:
        return 1
    radius = abs(piece.radius_mm - across_mm)
    most = 2 * math.acos(max(1.0 - CHORD_MM / radius, 0.0)) if radius > CHORD_MM else math.pi
    return max(1, math.ceil(piece.length_mm / abs(piece.radius_mm) / most))

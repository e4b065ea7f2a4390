"""Path data of SVG: lines and arcs of circles (W3C SVG 1.1, 8.3 and F.6.5, from memory, confident).

Places are told as they stand there, y down.
"""

import math
import re
from dataclasses import dataclass, field

from boardgen.model.outline import Bow
from boardgen.model.pose import Point

_NUMBER = re.compile(r"[\s,]*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)")
_FLAG = re.compile(r"[\s,]*([01])")
_LETTER = re.compile(r"[\s,]*([A-Za-z])")
_REST = re.compile(r"[\s,]*")
_CURVES = "CSQT"
_FURTHEST, _NOTHING = 1e6, 1e-6
_ALIKE = 1e-3
"""Both radii of a circle's arc are the same, but for rounding."""


class PathDataError(ValueError):
    """What is wrong with path data, in words."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A line of path data: where it begins, its pieces, and whether it was closed."""

    start: Point
    pieces: tuple[Bow, ...]
    closed: bool


def parse(text: str) -> list[Drawn]:
    """Read path data.

    Examples
    --------
    >>> (line,) = parse("M 0 0 h 10 A 5 5 0 0 1 10 10 z")
    >>> line.pieces[1]
    Bow(end=(10.0, 10.0), centre=(10.0, 5.0), clockwise=False)

    Raises
    ------
    PathDataError
        When it is none, or has other curves than arcs of circles.
    """
    reader = _Reader(text)
    while not reader.ended:
        reader.command()
    return [line for line in reader.lines() if line.pieces]


@dataclass(slots=True)
class _Reader:
    text: str
    place: int = 0
    letter: str = ""
    at: Point = (0.0, 0.0)
    start: Point = (0.0, 0.0)
    pieces: list[Bow] = field(default_factory=list)
    done: list[Drawn] = field(default_factory=list)

    @property
    def ended(self) -> bool:
        found = _REST.match(self.text, self.place)
        return found is not None and found.end() == len(self.text)

    def lines(self) -> list[Drawn]:
        return [*self.done, Drawn(self.start, tuple(self.pieces), closed=False)]

    def _take(self, pattern: re.Pattern[str], what: str) -> str:
        found = pattern.match(self.text, self.place)
        if found is None:
            rest = self.text[self.place : self.place + 12].strip()
            raise PathDataError(
                f"{what} is wanted before {rest!r}" if rest else f"{what} is missing"
            )
        self.place = found.end()
        return found[1]

    def _number(self) -> float:
        number = float(self._take(_NUMBER, "a number"))
        if abs(number) > _FURTHEST:
            raise PathDataError(f"{number:g} is too far away")
        return number

    def command(self) -> None:
        """Take a letter, or more numbers for the last one."""
        found = _LETTER.match(self.text, self.place)
        if found:
            self.letter, self.place = found[1], found.end()
        elif self.letter in {"", "Z", "z"}:
            raise PathDataError(
                f"a letter is wanted before {self.text[self.place :][:12].strip()!r}"
            )
        kind = self.letter.upper()
        if not self.done and kind != "M":
            raise PathDataError("it does not begin with M")
        if kind in _CURVES:
            raise PathDataError(f"{self.letter} is a curve; lines and arcs of circles are read")
        drawn = {"M": self._move, "L": self._line, "H": self._level, "V": self._upright,
                 "A": self._arc, "Z": self._close}  # fmt: skip
        if kind not in drawn:
            raise PathDataError(f"{self.letter} is no command of path data")
        drawn[kind]()

    def _offset(self) -> Point:
        return self.at if self.letter.islower() else (0.0, 0.0)

    def _place(self) -> Point:
        dx, dy = self._offset()
        return (self._number() + dx, self._number() + dy)

    def _move(self) -> None:
        to = self._place()
        self.done.append(Drawn(self.start, tuple(self.pieces), closed=False))
        self.at = self.start = to
        self.pieces = []
        self.letter = "l" if self.letter == "m" else "L"

    def _to(self, end: Point) -> None:
        self.pieces.append(Bow(end))
        self.at = end

    def _line(self) -> None:
        self._to(self._place())

    def _level(self) -> None:
        self._to((self._number() + self._offset()[0], self.at[1]))

    def _upright(self) -> None:
        self._to((self.at[0], self._number() + self._offset()[1]))

    def _close(self) -> None:
        if math.dist(self.at, self.start) > _NOTHING:
            self.pieces.append(Bow(self.start))
        elif self.pieces:  # sums of steps end where they began but for rounding
            last = self.pieces[-1]
            self.pieces[-1] = Bow(self.start, last.centre, last.clockwise)
        self.done.append(Drawn(self.start, tuple(self.pieces), closed=True))
        self.at, self.pieces = self.start, []

    def _arc(self) -> None:
        rx, ry, _ = [abs(self._number()) for _ in range(3)]
        large, sweep = [self._take(_FLAG, "0 or 1") == "1" for _ in range(2)]
        end = self._place()
        if abs(rx - ry) > _ALIKE * max(rx, ry):
            raise PathDataError(f"its arc of {rx:g} by {ry:g} is an ellipse's; circles' are read")
        if not rx or end == self.at:
            self._to(end)
            return
        self.pieces.append(Bow(end, _centre(self.at, end, rx, large is sweep), not sweep))
        self.at = end


def _centre(start: Point, end: Point, radius: float, to_the_right: bool) -> Point:
    """Find the middle of a circle through two points; too small a radius grows (F.6.6)."""
    (x1, y1), (x2, y2) = start, end
    half = math.dist(start, end) / 2
    off = math.sqrt(max(radius**2 - half**2, 0.0)) / (2 * half)
    side = -off if not to_the_right else off
    return ((x1 + x2) / 2 + side * (y2 - y1), (y1 + y2) / 2 - side * (x2 - x1))


def turned_up(line: Drawn, scale: float, low: float) -> Drawn:
    """Turn y up, from a lower edge on, at a scale."""

    def there(at: Point) -> Point:
        return (at[0] * scale, (low - at[1]) * scale)

    pieces = tuple(
        Bow(there(bow.end), bow.centre and there(bow.centre), bow.centre is not None
            and not bow.clockwise)
        for bow in line.pieces
    )  # fmt: skip
    return Drawn(there(line.start), pieces, line.closed)

"""The drawing that a carpenter asks for: outline and holes with their measures."""

import math
from collections.abc import Iterator, Sequence

import svgwrite
from svgwrite.container import SVG
from svgwrite.path import Path

from boardgen import units
from boardgen.model.board import PartKind, Point, Side
from boardgen.model.design import Design
from boardgen.model.land_pattern import Extent
from boardgen.model.outline import Outline, Ring, extremes, walk
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.pages.sheet import LINE_MM, SHEET_MM, heading, key_lines, lines_of
from boardgen.pages.view import View, circle, number
from boardgen.pages.words import WORDS, say

_LEFT_MM, _TOP_MM, _RIGHT_MM = 46.0, 16.0, 12.0
_MOST_HIGH_MM, _USUAL_COLUMNS, _MOST_COLUMNS = 170.0, 2, 6
_SCALES = (5.0, 4.0, 3.0, 2.0, 1.5, 1.0, 0.75, 0.5, 0.25, 0.1)
_ROW_MM, _COLUMN_MM, _TEXT_MM = 5.0, 13.0, 3.0
"""From row to row of measures, from column to column, and their letters: on paper."""
_BESIDE_MM, _ABOVE_MM = 13.0, 4.0
"""How near two stand in one row, and in one column: seven digits are as wide."""
_DIGIT, _CAPITAL, _AIR_MM = 0.6, 0.75, 0.4
"""How wide a digit is and how high, as shares of letters' size, and the air around them."""
_ARROW_MM, _NEAR_END_MM = 2.0, 6.0
_THIN_MM, _PEN_MM = 0.15, 0.35


def dimensions(design: Design) -> OutputFiles:
    """Draw ``dimensions.svg``: seen from the top, measured from the lower left corner, in mm."""
    outline = design.board.outline
    left, scale = _left_and_scale(design)
    drawing = svgwrite.Drawing(debug=False)
    title = say("dimensions.title", title=design.parameters.board.title, scale=f"{scale:g}")
    drawing.set_desc(title=title, desc=WORDS["dimensions.desc"])
    heading(drawing, title)
    pen = _Paper(drawing, outline, left, scale)
    pen.board(design)
    below = pen.below(_places(design, 0))
    pen.overall(below, pen.aside(_places(design, 1)))
    start = _TOP_MM + outline.width_mm * scale + (below + 2) * _ROW_MM + 4.0
    lines = lines_of(list(_told(design)))
    key_lines(drawing, lines, (_LEFT_MM / 2, start))
    wide, high = SHEET_MM[0], math.ceil(start + (len(lines) + 1) * LINE_MM)
    drawing["width"], drawing["height"] = f"{number(wide)}mm", f"{high}mm"
    drawing["viewBox"] = f"0 0 {number(wide)} {high}"
    return (OutputFile(path="dimensions.svg", content=f"{drawing.tostring()}\n".encode()),)


def _left_and_scale(design: Design) -> tuple[float, float]:
    """Choose a scale that leaves columns of measures their room at the left of the drawing."""
    outline, left = design.board.outline, _LEFT_MM
    while True:
        fits = min(
            (SHEET_MM[0] - left - _RIGHT_MM) / outline.length_mm, _MOST_HIGH_MM / outline.width_mm
        )
        rounds = (scale for scale in _SCALES if scale <= fits)
        scale = next(rounds, units.down_to_step(fits, 0.01))
        columns = min(max(_columns(_places(design, 1), scale), default=0) + 1, _MOST_COLUMNS)
        needed = _LEFT_MM + _COLUMN_MM * max(columns - _USUAL_COLUMNS, 0)
        if needed <= left:
            return left, scale
        left = needed


def _columns(places: Sequence[float], scale: float) -> list[int]:
    """Give each place across the board the column of its number."""
    return _rows([place * scale for place in places], _ABOVE_MM)


def _rows(along: Sequence[float], apart: float) -> list[int]:
    """Give each of some measures the first row where it is so far from the last one there."""
    lasts: list[float] = []
    found = []
    for here in along:
        row = next((n for n, last in enumerate(lasts) if here - last >= apart), len(lasts))
        lasts[row : row + 1] = [here]
        found.append(row)
    return found


def _places(design: Design, axis: int) -> list[float]:
    """List the places of screws along an axis, each once."""
    return sorted({round((hole.x_mm, hole.y_mm)[axis], 3) for hole in design.board.holes})


def _told(design: Design) -> Iterator[str]:
    """Tell sizes, edges and holes in words, as one reads them to the saw."""
    outline, mounting = design.board.outline, design.parameters.mounting
    yield say(
        "dimensions.size", length=number(outline.length_mm), width=number(outline.width_mm),
        thickness=number(design.parameters.order.thickness_mm),
    )  # fmt: skip
    if radii := _radii(outline.outer):
        yield say("dimensions.edge", radii=radii)
    yield from map(_opening, outline.inner)
    for hole in design.board.holes:
        yield say(
        "dimensions.hole", name=hole.reference, screw=mounting.screw, hole=number(hole.hole_mm),
            x=number(hole.x_mm), y=number(hole.y_mm), covered=number(hole.covered_mm),
        )  # fmt: skip
    tallest = max(design.board.parts, key=lambda part: part.pattern.height_mm)
    yield say("dimensions.height", height=number(tallest.pattern.height_mm), name=tallest.reference)
    yield WORDS["dimensions.from"]


def _opening(ring: Ring) -> str:
    """Tell where an opening lies: a circle by its middle, another by the box around it."""
    xs, ys = zip(*extremes(ring), strict=True)
    left, low, right, top = map(number, (min(xs), min(ys), max(xs), max(ys)))
    centres = {bow.centre for bow in ring}
    if len(centres) == 1 and (middle := centres.pop()) is not None:
        x, y = map(number, middle)
        return say("dimensions.round", across=number(max(xs) - min(xs)), x=x, y=y)
    arcs = say("dimensions.arcs", radii=radii) if (radii := _radii(ring)) else ""
    return say("dimensions.opening", left=left, low=low, right=right, top=top, arcs=arcs)


def _radii(ring: Ring) -> str:
    """List the radii of a ring's arcs, each once."""
    found = {number(math.dist(start, bow.centre)) for start, bow in walk(ring) if bow.centre}
    return ", ".join(sorted(found, key=float))


_Line = tuple[Point, Point]
_Measure = tuple[_Line, str, Point, str]
"""A line from the board to a number; the number, where it stands, and by which end of it."""


def _box(text: str, at: Point, anchor: str) -> Extent:
    """Tell about where a number stands, with a little air around it."""
    wide, (x, y) = _DIGIT * _TEXT_MM * len(text), at
    left = x - wide * {"end": 1.0, "middle": 0.5}[anchor]
    box = Extent(left_mm=left, bottom_mm=y - _CAPITAL * _TEXT_MM, right_mm=left + wide, top_mm=y)
    return box.grown(_AIR_MM)


def _outside(line: _Line, boxes: Sequence[Extent]) -> Iterator[_Line]:
    """Give the pieces of a level or upright line that lie in none of some boxes."""
    (x1, y1), (x2, y2) = line
    axis = 0 if y1 == y2 else 1
    ends = sorted((line[0][axis], line[1][axis]))
    met = sorted(
        ((box.left_mm, box.right_mm), (box.bottom_mm, box.top_mm))[axis]
        for box in boxes
        if (box.bottom_mm < y1 < box.top_mm, box.left_mm < x1 < box.right_mm)[axis]
    )
    start = ends[0]
    for low, high in [*met, (ends[1], ends[1])]:
        end = min(low, ends[1])
        if end > start:
            yield ((start, y1), (end, y1)) if axis == 0 else ((x1, start), (x2, end))
        start = max(start, high)


def _arrows(one: Point, other: Point) -> str:
    """Draw arrowheads at a line's ends, from outside where the line is too short for both."""
    long = math.dist(one, other)
    way = 1.0 if long > 2 * _ARROW_MM else -1.0
    data = ""
    for tip, tail in ((one, other), (other, one)):
        dx, dy = (way * (b - a) / long for a, b in zip(tip, tail, strict=True))
        for side in (-0.35, 0.35):
            x, y = tip[0] + _ARROW_MM * (dx + side * dy), tip[1] + _ARROW_MM * (dy + side * dx)
            data += f"M{number(tip[0])} {number(tip[1])}L{number(x)} {number(y)}"
    return data


class _Paper:
    """Draws the board on paper, and measures around it."""

    def __init__(
        self, drawing: svgwrite.Drawing, outline: Outline, left_mm: float, scale: float
    ) -> None:
        self.drawing, self.outline, self.left_mm, self.scale = drawing, outline, left_mm, scale
        self.numbers: list[Extent] = []
        self.view = View(Side.TOP, outline.length_mm, outline.width_mm)

    def at(self, place: Point) -> Point:
        """Carry a place of the board onto the paper."""
        x, y = self.view.point(place)
        return (self.left_mm + x * self.scale, _TOP_MM + y * self.scale)

    def board(self, design: Design) -> None:
        """Draw edge, screw holes with what their heads cover, LEDs and connector as they lie."""
        away, (wide, high) = 1.0, (self.outline.length_mm + 2, self.outline.width_mm + 2)
        shown = SVG(
            (number(self.left_mm - away * self.scale), number(_TOP_MM - away * self.scale)),
            (number(wide * self.scale), number(high * self.scale)),
            viewBox=f"-1 -1 {number(wide)} {number(high)}",
        )
        edge = "".join(self.view.ring(ring) for ring in self.outline.rings)
        bodies = "".join(
            self.view.lines(part.corners(part.pattern.body)) + "Z"
            for part in design.board.parts
            if part.kind in (PartKind.LED, PartKind.CONNECTOR) and not part.pattern.bodiless
        )
        holes = "".join(
            circle(self.view.point((hole.x_mm, hole.y_mm)), hole.hole_mm / 2)
            for hole in design.board.holes
        )
        heads = "".join(
            circle(self.view.point((hole.x_mm, hole.y_mm)), hole.covered_mm / 2)
            for hole in design.board.holes
        )
        for name, data, pen in (("bodies", bodies, _THIN_MM), ("heads", heads, _THIN_MM),
                                ("edge", edge, _PEN_MM), ("holes", holes, _PEN_MM)):  # fmt: skip
            if data:
                path = Path(d=data, id=name, debug=False, fill="none", stroke="#000000")
                path["stroke-width"] = number(pen / self.scale)
                shown.add(path)
        self.drawing.add(shown)

    def below(self, places: Sequence[float]) -> int:
        """Measure places along the board; tell how many rows of numbers they take."""
        right, _ = self.at((self.outline.length_mm, 0.0))
        on_paper = [self.at((value, 0.0)) for value in places]
        # Beside the arrow's line a number ends, where others have their middles.
        near = [right - x < _NEAR_END_MM for x, _ in on_paper]
        beside = right - 1.0 - _BESIDE_MM / 2
        rows = _rows([beside if by else x for by, (x, _) in zip(near, on_paper, strict=True)],
                     _BESIDE_MM)  # fmt: skip
        written = []
        for value, (x, y), row, by in zip(places, on_paper, rows, near, strict=True):
            away = y + (row + 1) * _ROW_MM
            at = (right - 1.0 if by else x, away + 1.5)
            written.append(
                (((x, y + 1), (x, away - 1)), number(value), at, "end" if by else "middle")
            )
        self._measure(written)
        return max(rows, default=0) + 1

    def aside(self, places: Sequence[float]) -> int:
        """Measure places across the board; tell how many columns of numbers they take.

        What finds no place in so many is left to the list below the drawing.
        """
        on_paper = [self.at((0.0, value)) for value in places]
        rows = _columns(places, self.scale)
        written = []
        for value, (x, y), row in zip(places, on_paper, rows, strict=True):
            if row < _MOST_COLUMNS:
                end = x - 3 - _COLUMN_MM * row
                line = ((x - 1, y), (end, y))
                written.append((line, number(value), (end - 1.0, y + 1.0), "end"))
        self._measure(written)
        return min(max(rows, default=0) + 1, _MOST_COLUMNS)

    def _measure(self, written: Sequence[_Measure]) -> None:
        self.numbers += [_box(text, at, anchor) for _, text, at, anchor in written]
        self._lines([line for line, *_ in written])
        for _, text, at, anchor in written:
            self._write(text, at, anchor)

    def overall(self, below: int, aside: int) -> None:
        """Measure length and width over all, with arrows, beyond so many rows and columns."""
        (left, low), (right, top) = (
            self.at((0.0, 0.0)), self.at((self.outline.length_mm, self.outline.width_mm))
        )  # fmt: skip
        y, x = low + (below + 1.3) * _ROW_MM, left - 5.0 - _COLUMN_MM * aside
        lines = [((at, low + 1), (at, y + 1)) for at in (left, right)]
        lines += [((left - 1, at), (x - 1, at)) for at in (low, top)]
        ends = (((left, y), (right, y)), ((x, low), (x, top)))
        self._lines([*lines, *ends])
        self._draw("".join(_arrows(*line) for line in ends))
        self._write(number(self.outline.length_mm), ((left + right) / 2, y - 1.0), "middle")
        self._write(number(self.outline.width_mm), (x - 1.8, (low + top) / 2 + 1.0), "end")

    def _lines(self, lines: Sequence[_Line]) -> None:
        """Draw level and upright lines; they break off around numbers that they pass."""
        data = ""
        for line in lines:
            for (x1, y1), (x2, y2) in _outside(line, self.numbers):
                data += f"M{number(x1)} {number(y1)}"
                data += f"V{number(y2)}" if x1 == x2 else f"H{number(x2)}"
        self._draw(data)

    def _draw(self, data: str) -> None:
        if data:
            path = Path(d=data, debug=False, fill="none", stroke="#000000")
            path["stroke-width"] = number(_THIN_MM)
            self.drawing.add(path)

    def _write(self, text: str, at: Point, anchor: str) -> None:
        x, y = map(number, at)
        self.drawing.add(
            self.drawing.text(
                text, (x, y), font_size=number(_TEXT_MM), font_family="sans-serif",
                text_anchor=anchor,
            )
        )  # fmt: skip

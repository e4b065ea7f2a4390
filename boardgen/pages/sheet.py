"""A drawing on sheets that both A4 and Letter print: as large as fits, or cut into strips.

A sheet is drawn in millimetres of paper. The drawing stands once in its definitions; each strip
shows a window of it, so that nothing is drawn twice and a cut hides nothing.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import svgwrite
from svgwrite.container import SVG

from boardgen.model.board import Point
from boardgen.model.land_pattern import Extent
from boardgen.pages.view import number
from boardgen.pages.words import say

SHEET_MM = (184.0, 250.0)
"""What A4 (210 x 297) and Letter (216 x 279) both print with edges of 14 mm or more: ISO 216 and
ANSI Y14.1, from memory."""
_LEFT_MM, _RIGHT_MM, _TOP_MM = 10.0, 4.0, 16.0
LINE_MM, _TEXT_MM, _TITLE_MM = 4.6, 3.0, 4.5
_GAP_MM = 9.0
"""Between strips, where the letters of the cuts stand."""
RULER_MM = 50.0
_RULER_ROOM_MM = 12.0
_CUT_AWAY_MM = 1.2
_PEN_MM = 0.25
_LINE_LETTERS = 96
"""So many letters of a text of 3 mm fit into a line, whatever the font: own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A window of the drawing, and the names of its cuts: at left and right, above and below."""

    window: Extent
    cuts: tuple[str, str] = ("", "")
    level_cuts: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheets:
    """How a drawing is shared out: its scale, and the strips of each sheet.

    ``complete`` tells that no empty strip is left out.
    """

    scale: float
    pages: tuple[tuple[Strip, ...], ...]
    complete: bool = True

    @property
    def whole(self) -> bool:
        """Whether the drawing is in one piece."""
        return self.complete and len(self.pages) == 1 and len(self.pages[0]) == 1


def shared_out(box: Extent, scale: float, kept: Sequence[Sequence[Extent]], lines: int) -> Sheets:
    """Share a drawing out over sheets: whole where it fits, else in strips.

    Parameters
    ----------
    box : Extent
        What has to be shown, in the drawing's own millimetres.
    scale : float
        Paper over drawing.
    kept : sequence of sequences of Extent
        What should not be cut, and where that cannot be had the little that must not.
    lines : int
        How many lines of text stand below.
    """
    (wide_mm, high_mm), away = room_mm(lines), _CUT_AWAY_MM / scale
    along = _cuts(
        (box.left_mm, box.right_mm), wide_mm / scale,
        [[(one.left_mm - away, one.right_mm + away) for one in group] for group in kept],
    )  # fmt: skip
    across = _cuts(
        (box.bottom_mm, box.top_mm), high_mm / scale,
        [[(one.bottom_mm - away, one.top_mm + away) for one in group] for group in kept],
    )  # fmt: skip
    strips = [
        Strip(
            window=Extent(left_mm=left, bottom_mm=low, right_mm=right, top_mm=high),
            cuts=(_name(place, len(along)), _name(place + 1, len(along))),
            level_cuts=(
                _name(row, len(across), len(along)),
                _name(row + 1, len(across), len(along)),
            ),
        )
        for row, (low, high) in enumerate(pairwise(across))
        for place, (left, right) in enumerate(pairwise(along))
        if _holds(kept, (left, low, right, high))
    ]
    return Sheets(
        scale=scale, pages=_paged(strips, scale, high_mm),
        complete=len(strips) == (len(along) - 1) * (len(across) - 1),
    )  # fmt: skip


def _holds(kept: Sequence[Sequence[Extent]], window: tuple[float, float, float, float]) -> bool:
    """Tell whether a window shows anything of what should not be cut: an empty one is left out."""
    left, low, right, high = window
    return any(
        left < box.right_mm and box.left_mm < right and low < box.top_mm and box.bottom_mm < high
        for group in kept
        for box in group
    )


def room_mm(lines: int) -> tuple[float, float]:
    """Tell what a sheet has for a drawing, along and across, above so many lines of text."""
    return (
        SHEET_MM[0] - _LEFT_MM - _RIGHT_MM,
        SHEET_MM[1] - _TOP_MM - _RULER_ROOM_MM - lines * LINE_MM,
    )


def _name(place: int, count: int, others: int = 2) -> str:
    """Name a cut by its number, after those of the other way; ends of the drawing have none."""
    return "" if place in (0, count - 1) else say("sheets.cut", number=place + others - 2)


def _cuts(
    ends: tuple[float, float], most: float, kept: Sequence[Sequence[tuple[float, float]]]
) -> list[float]:
    """Cut a length into like pieces no longer than ``most``, where nothing lies if that goes.

    Else where nothing of the last group lies if that goes, and least of all.
    """

    def cut(at: float) -> list[int]:
        return [sum(low < at < high for low, high in group) for group in reversed(kept)]

    cuts = [ends[0]]
    while (left := ends[1] - cuts[-1]) > most:
        even = cuts[-1] + left / math.ceil(left / most)
        steps = sorted(range(-40, 41), key=abs)
        tries = [at for step in steps if (at := even + step * most / 100) <= cuts[-1] + most]
        cuts.append(min(tries, key=cut))
    return [*cuts, ends[1]]


def _paged(strips: Sequence[Strip], scale: float, most_mm: float) -> tuple[tuple[Strip, ...], ...]:
    pages: list[tuple[Strip, ...]] = []
    left_mm = 0.0
    for strip in strips:
        high_mm = (strip.window.top_mm - strip.window.bottom_mm) * scale + _GAP_MM
        if not pages or high_mm - _GAP_MM > left_mm:
            pages.append(())
            left_mm = most_mm
        pages[-1] = (*pages[-1], strip)
        left_mm -= high_mm
    return tuple(pages)


def lines_of(texts: Sequence[str]) -> list[str]:
    """Break texts into lines that fit a sheet."""
    lines: list[str] = []
    for text in texts:
        line = ""
        for word in text.split(" "):
            if line and len(line) + 1 + len(word) > _LINE_LETTERS:
                lines.append(line)
                line = ""
            line = f"{line} {word}" if line else word
        lines.append(line)
    return lines


def draw_sheet(
    drawing: svgwrite.Drawing, sheets: Sheets, page: int, title: str, lines: Sequence[str]
) -> None:
    """Put a sheet around what ``drawing`` defines as ``parts``: heading, strips, rulers, key."""
    heading(drawing, title)
    y_mm, cuts = _TOP_MM, ""
    for strip in sheets.pages[page]:
        window = strip.window
        wide, high = (
            (window.right_mm - window.left_mm) * sheets.scale,
            (window.top_mm - window.bottom_mm) * sheets.scale,
        )
        shown = SVG(
            (number(_LEFT_MM), number(y_mm)),
            (number(wide), number(high)),
            viewBox=f"{number(window.left_mm)} {number(window.bottom_mm)}"
            f" {number(wide / sheets.scale)} {number(high / sheets.scale)}",
        )
        shown.add(drawing.use("#parts"))
        drawing.add(shown)
        for name, x_mm in zip(strip.cuts, (_LEFT_MM, _LEFT_MM + wide), strict=True):
            if name:
                cuts += _dashes((x_mm, y_mm - 1), high + 2, "v")
                # Beside the ruler's own letters.
                x = x_mm + 6 if x_mm < SHEET_MM[0] / 2 else x_mm - 8
                _write(drawing, name, (x, y_mm - 2), _TEXT_MM)
        # Of a narrow strip beside the cut's end, else beyond what the rulers have below.
        beside = (_LEFT_MM + wide + 2, 1.0) if wide < _NARROW_MM else (_LEFT_MM + _NARROW_MM, 3.5)
        for name, at_mm, (x, down) in zip(
            strip.level_cuts,
            (y_mm, y_mm + high),
            ((_LEFT_MM + wide / 2, -1.0), beside),
            strict=True,
        ):
            if name:
                cuts += _dashes((_LEFT_MM - 1, at_mm), wide + 2, "h")
                _write(drawing, name, (x, at_mm + down), _TEXT_MM)
        y_mm += high + _GAP_MM
    below_mm = y_mm - _GAP_MM + 4.0
    drawing.add(
        drawing.path(
            d=cuts + _rulers(below_mm), id="rulers", fill="none", stroke="black",
            stroke_width=_PEN_MM,
        )
    )  # fmt: skip
    for at in ((_LEFT_MM + RULER_MM + 2, below_mm + 2), (0.5, _TOP_MM - 2)):
        _write(drawing, say("sheets.ruler", length=f"{RULER_MM:g}"), at, _TEXT_MM)
    key_lines(drawing, lines, (_LEFT_MM, below_mm + _RULER_ROOM_MM - 4.0))


def one_sheet(title: str, key: Sequence[str], tall_mm: float) -> svgwrite.Drawing:
    """Begin a white sheet as wide as paper takes, with its title; the key is told as well."""
    drawing = svgwrite.Drawing(
        size=(f"{number(SHEET_MM[0])}mm", f"{number(tall_mm)}mm"),
        viewBox=f"0 0 {number(SHEET_MM[0])} {number(tall_mm)}",
        debug=False,
    )
    drawing.set_desc(title=title, desc=" ".join(key))
    drawing.add(drawing.rect((0, 0), (number(SHEET_MM[0]), number(tall_mm)), fill="white"))
    heading(drawing, title)
    return drawing


def heading(drawing: svgwrite.Drawing, title: str) -> None:
    """Print a sheet's title."""
    _write(drawing, title, (_LEFT_MM, 6.0), _TITLE_MM)


def key_lines(drawing: svgwrite.Drawing, lines: Sequence[str], at: Point) -> None:
    """Print lines of text, one below the other."""
    for place, line in enumerate(lines):
        _write(drawing, line, (at[0], at[1] + place * LINE_MM), _TEXT_MM)


def _dashes(start: Point, long_mm: float, way: str) -> str:
    """Draw a cut, "v" or "h": a line of dashes, which the board's edge is not."""
    x, y = start
    right, down = (1, 0) if way == "h" else (0, 1)
    steps = (step * _DASH_MM for step in range(math.floor(long_mm / _DASH_MM)))
    return "".join(
        f"M{number(x + right * step)} {number(y + down * step)}{way}{number(_DASH_MM / 2)}"
        for step in steps
    )


_DASH_MM, _NARROW_MM = 2.5, 70.0


def _write(drawing: svgwrite.Drawing, text: str, at: Point, height_mm: float) -> None:
    x, y = map(number, at)
    drawing.add(drawing.text(text, (x, y), font_size=number(height_mm), font_family="sans-serif"))


def _rulers(below_mm: float) -> str:
    """Draw a ruler below and one on the left, a tick every 10 mm."""
    left, top = _LEFT_MM - 4.0, _TOP_MM
    data = (
        f"M{number(_LEFT_MM)} {number(below_mm)}h{RULER_MM:g}"
        f"M{number(left)} {number(top)}v{RULER_MM:g}"
    )
    for step in range(round(RULER_MM / 10) + 1):
        data += f"M{number(_LEFT_MM + 10 * step)} {number(below_mm)}v1.5"
        data += f"M{number(left)} {number(top + 10 * step)}h-1.5"
    return data


def height_mm(sheets: Sheets, page: int, lines: int) -> float:
    """Tell how tall a sheet is with its key."""
    strips = sum(
        (strip.window.top_mm - strip.window.bottom_mm) * sheets.scale + _GAP_MM
        for strip in sheets.pages[page]
    )
    tall = max(strips, RULER_MM + _GAP_MM)
    return math.ceil(_TOP_MM + tall - _GAP_MM + _RULER_ROOM_MM + (lines + 1) * LINE_MM)

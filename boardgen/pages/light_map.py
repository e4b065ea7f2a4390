"""A small picture of the light on the plane that was asked for: greys, and lines of equal light."""

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import numpy as np
import svgwrite
from numpy.typing import NDArray
from svgwrite.path import Path

from boardgen.model.design import Design
from boardgen.model.operation import Illumination
from boardgen.model.outline import Outline
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.pages.labels import Taken, around
from boardgen.pages.sheet import LINE_MM, SHEET_MM, key_lines, lines_of, one_sheet
from boardgen.pages.view import circle, flattened, number
from boardgen.pages.words import say
from boardgen.standards.photometry import illuminance_lx

_CELLS = 48
"""Along the longer side of the plane: lines are drawn smooth between them."""
_BANDS = 6
_LEFT_MM, _TOP_MM, _MOST_HIGH_MM = 12.0, 14.0, 180.0
_BEYOND = 1.5
"""So many times its distance the plane is shown beyond the LEDs."""
_NICE = (1.0, 2.0, 2.5, 5.0, 10.0)
_DARKEST, _BRIGHTEST = 0x50, 0xFF
_TEXT_MM = 2.6


def light_maps(design: Design) -> OutputFiles:
    """Draw ``light.svg`` where a plane or a diffuser is asked for and LEDs tell their light.

    Places are worked out by the sum of cosine-power sources that ``explain`` shows; the board's own
    shadow and what the room reflects are left out.
    """
    found, light = design.operation.illumination, design.parameters.light
    height = light.plane_mm or light.diffuser_mm
    if found is None or height is None:
        return ()
    xs, ys, lux = field(found, height, design.board.outline)
    levels = levels_of(float(lux.max()))
    wide, high = xs[-1] - xs[0], ys[-1] - ys[0]
    scale = min((SHEET_MM[0] - 2 * _LEFT_MM) / wide, _MOST_HIGH_MM / high)
    title = say("light.title", title=design.parameters.board.title, height=number(height))
    key = lines_of([
        say("light.key", most=f"{float(f'{lux.max():.2g}'):g}", wide=f"{wide:.0f}",
            high=f"{high:.0f}"),
        say("light.lines", levels=", ".join(f"{level:g}" for level in levels)),
    ])  # fmt: skip
    tall = _TOP_MM + high * scale + (len(key) + 2) * LINE_MM
    drawing = one_sheet(title, key, tall)
    on_paper = _Paper(float(xs[0]), float(ys[-1]), scale)
    for path in (*_greys(xs, ys, lux, levels, on_paper), *_board(design, found, on_paper)):
        drawing.add(path)
    _label(drawing, xs, ys, lux, levels, on_paper)
    key_lines(drawing, key, (_LEFT_MM, _TOP_MM + high * scale + 1.5 * LINE_MM))
    return (OutputFile(path="light.svg", content=f"{drawing.tostring()}\n".encode()),)


_Grid = NDArray[np.float64]


def field(found: Illumination, height_mm: float, outline: Outline) -> tuple[_Grid, _Grid, _Grid]:
    """Work out the illuminance at the places of a grid around LEDs and board, in lx."""
    places = [(x, y) for x, y, _, _ in found.sources]
    axis, powers = ([source[n] for source in found.sources] for n in (2, 3))
    beyond = _BEYOND * height_mm
    (left, low), (right, top) = (
        tuple(pick(place[axis] for place in places) for axis in (0, 1)) for pick in (min, max)
    )
    left, right = min(left - beyond, 0.0), max(right + beyond, outline.length_mm)
    low, top = min(low - beyond, 0.0), max(top + beyond, outline.width_mm)
    step = max(right - left, top - low) / _CELLS
    xs = np.linspace(left, right, max(round((right - left) / step), 8) + 1)
    ys = np.linspace(low, top, max(round((top - low) / step), 8) + 1)
    lux = [[illuminance_lx((x, y), places, height_mm, axis, powers) for x in xs] for y in ys]
    return xs, ys, np.array(lux)


def levels_of(most_lx: float) -> list[float]:
    """Choose round levels below the brightest place."""
    rough = most_lx / _BANDS
    ten = 10.0 ** math.floor(math.log10(rough))
    step = next(ten * nice for nice in _NICE if ten * nice >= rough)
    return [step * n for n in range(1, _BANDS) if step * n < most_lx]


class _Paper:
    """Carries places of the plane onto the paper."""

    def __init__(self, left_mm: float, top_mm: float, scale: float) -> None:
        self.left_mm, self.top_mm, self.scale = left_mm, top_mm, scale

    def at(self, x: float, y: float) -> tuple[float, float]:
        return (
            _LEFT_MM + (x - self.left_mm) * self.scale,
            _TOP_MM + (self.top_mm - y) * self.scale,
        )

    def line(self, points: _Grid) -> str:
        places = (self.at(float(x), float(y)) for x, y in points)
        return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in places)


def _greys(xs: _Grid, ys: _Grid, lux: _Grid, levels: list[float], paper: _Paper) -> Iterator[Path]:
    """Fill the bands between levels, the brightest white, and draw the lines between them."""
    from contourpy import FillType, contour_generator  # noqa: PLC0415 - of these pictures alone

    lines: Any = contour_generator(xs, ys, lux, fill_type=FillType.OuterOffset)
    edges = [0.0, *levels, float(lux.max()) * 1.01]
    for place, (low, high) in enumerate(pairwise(edges)):
        share = place / max(len(levels), 1)
        grey = round(_DARKEST + (_BRIGHTEST - _DARKEST) * share)
        data = ""
        for points, offsets in zip(*lines.filled(low, high), strict=True):
            for start, end in pairwise(offsets):
                data += paper.line(points[start:end]) + "Z"
        if data:
            colour = f"#{grey:02x}{grey:02x}{grey:02x}"
            yield Path(d=data, debug=False, fill=colour, fill_rule="evenodd")
    data = "".join(paper.line(line) for level in levels for line in lines.lines(level))
    if data:
        yield Path(d=data, debug=False, fill="none", stroke="#000000", stroke_width=0.2)


def _board(design: Design, found: Illumination, paper: _Paper) -> Iterator[Path]:
    """Draw the board's edge, and a spot for each LED, where they are over the plane."""
    rings = [np.array(flattened(ring)) for ring in design.board.outline.rings]
    edge = "".join(paper.line(ring) + "Z" for ring in rings)
    yield Path(d=edge, debug=False, fill="none", stroke="#000000", stroke_width=0.35)
    dots = "".join(circle(paper.at(x, y), 0.6) for x, y, _, _ in found.sources)
    yield Path(d=dots, debug=False, fill="#000000")


def _label(
    drawing: svgwrite.Drawing, xs: _Grid, ys: _Grid, lux: _Grid, levels: list[float], paper: _Paper
) -> None:
    """Write each level's value as far right on its line as no other stands, on a white ground."""
    from contourpy import contour_generator  # noqa: PLC0415 - of these pictures alone

    lines: Any = contour_generator(xs, ys, lux)
    taken = Taken()
    for level in levels:
        text = f"{level:g}"
        wide = 0.62 * _TEXT_MM * len(text)
        points = sorted((tuple(at) for line in lines.lines(level) for at in line), reverse=True)
        boxes = (around(paper.at(*map(float, at)), (wide, _TEXT_MM)) for at in points)
        box = next(filter(taken.free, boxes), None)
        if box is None:
            continue  # the key lists them all
        taken.add(box)
        x, y = (box.left_mm + box.right_mm) / 2, (box.bottom_mm + box.top_mm) / 2
        drawing.add(drawing.rect((number(x - wide / 2), number(y - _TEXT_MM / 2)),
                                 (number(wide), number(_TEXT_MM)), fill="white"))  # fmt: skip
        drawing.add(
            drawing.text(
                text, (number(x), number(y + 0.36 * _TEXT_MM)), font_size=number(_TEXT_MM),
                font_family="sans-serif", text_anchor="middle",
            )
        )  # fmt: skip

"""Words of the legend held against the board: each letter where it belongs, mirrored on the back.

Letters are set here by code of the proof's own, from the table of strokes alone.
"""

import math
from collections.abc import Iterator, Mapping
from itertools import pairwise

from boardgen.model.artwork import LayerKind
from boardgen.model.board import Text
from boardgen.model.design import Design
from boardgen.model.lettering import Lettering
from boardgen.model.proof import Difference, Kind
from boardgen.model.shapes import Stroke
from boardgen.model.side import Side
from boardgen.readback.expected import FILES
from boardgen.readback.objects import Reading
from boardgen.units import NM_PER_MM

_FOUND = 0.7
"""Print is trimmed at lands: so many of a word's strokes have to be there."""

_GRID_NM = 4
_Segment = frozenset[tuple[int, int]]


def words(readings: Mapping[str, Reading], design: Design) -> tuple[int, list[Difference]]:
    """Compare every word; returns how many there are, and those that are not as they should be."""
    found, count = list[Difference](), 0
    for side in Side:
        layer = LayerKind.LEGEND if design.parameters.printed else LayerKind.COPPER
        name = FILES[layer, side][0]
        texts = [text for text in design.board.texts if text.side is side]
        if name not in readings or not texts:
            continue
        drawn = set(_segments(readings[name]))
        for text in texts:
            count += 1
            wanted = list(_set(text, design.parameters.parts.lettering))
            held = sum(_near(segment, drawn) for segment in wanted)
            if held < _FOUND * len(wanted):
                found.append(
                    Difference(
                        kind=Kind.MISSING,
                        text=f'"{text.text}" does not stand where and as it should',
                        layer=name.rpartition(".")[0],
                        subjects=(text.owner,) if text.owner else (),
                        place_mm=(text.x_mm, text.y_mm),
                    )
                )
    return count, found


def _segments(reading: Reading) -> Iterator[_Segment]:
    for seen in reading.objects:
        if isinstance(seen.shape, Stroke):
            points = [_grid(*point) for point in seen.shape.points]
            for one, other in pairwise(points):
                yield frozenset((one, other))


def _grid(x_nm: float, y_nm: float) -> tuple[int, int]:
    return (round(x_nm / _GRID_NM), round(y_nm / _GRID_NM))


def _near(segment: tuple[tuple[float, float], tuple[float, float]], drawn: set[_Segment]) -> bool:
    """Find a segment among those drawn; rounding may have put its ends into the next cell."""
    (x1, y1), (x2, y2) = segment
    shifts = (-1.0, 1.0)
    ends = [
        ({_grid(x1 + dx, y1 + dy) for dx in shifts for dy in shifts}),
        ({_grid(x2 + dx, y2 + dy) for dx in shifts for dy in shifts}),
    ]
    return any(frozenset((one, other)) in drawn for one in ends[0] for other in ends[1])


def _set(
    text: Text, lettering: Lettering
) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """Set a word: letters side by side, its box's middle at its place, read from its own side."""
    scale, pen, strokes = text.height_mm / lettering.cap_height, 0.0, []
    for letter in text.text:
        if letter == " ":
            pen += lettering.space
            continue
        glyph = lettering.glyphs[letter]
        strokes += [[(pen + x, y) for x, y in stroke] for stroke in glyph]
        pen += max(x for stroke in glyph for x, _ in stroke) + lettering.gap
    left = min(x for stroke in strokes for x, _ in stroke)
    right = max(x for stroke in strokes for x, _ in stroke)
    middle_x, middle_y = (left + right) / 2, lettering.cap_height / 2
    turn = math.radians(text.turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    seen_from = -1 if text.side is Side.BOTTOM else 1
    for stroke in strokes:
        points = []
        for x, y in stroke:
            along, up = (x - middle_x) * scale, (y - middle_y) * scale
            turned = (along * cos - up * sin, along * sin + up * cos)
            points.append(
                (
                    (text.x_mm + seen_from * turned[0]) * NM_PER_MM,
                    (text.y_mm + turned[1]) * NM_PER_MM,
                )
            )
        yield from pairwise(points)

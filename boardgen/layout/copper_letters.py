"""Letters in the pour, for boards that are not printed."""

import math
from collections.abc import Sequence
from itertools import chain

import numpy as np
import numpy.typing as npt

from boardgen.errors import Change
from boardgen.forms.table import plan
from boardgen.geometry.ground import Places
from boardgen.layout.letter_room import around
from boardgen.layout.letters_along import place_along
from boardgen.layout.words import (
    COPPER_STRIP_MM,
    LINE_STEP_MM,
    CopperWords,
    broken,
    copper_lines,
    copper_words,
)
from boardgen.layout.writer import NoRoomError, Writer, from_the_middle
from boardgen.model.board import Point, Side, TextRole
from boardgen.model.circuit import Circuit

_STEP_MM, _LEFT_DEG = 1.0, 180.0
_MOST_LINES = 4
"""Words in more lines than these are no longer read as one: own choice."""


def write_in_copper(writer: Writer, circuit: Circuit) -> None:
    """Set title, supply and the side's name in the pour, where the return current still passes.

    Words that fit into one line stand in one, away from the rail; where a line finds no room as a
    whole, its words are placed one by one, broken at their spaces, and at last turned as the
    board's line runs.

    Raises
    ------
    NoRoomError
        When words find no room.
    """
    parameters, outline = writer.parameters, writer.board.outline
    words = copper_words(parameters, circuit)
    aims = parameters.parts.limits.aims
    clear = aims.pour_gap_mm + COPPER_STRIP_MM
    room = outline.length_mm - _taken_mm(writer) - 2 * aims.legend_edge_mm
    for line in copper_lines(words, room, clear):
        if _place(writer, [line], clear):
            continue
        for word in line:
            counts = range(1, min(len(word.parts), _MOST_LINES) + 1)
            upright = (
                _place(writer, [[part] for part in broken(parameters, word, count)], clear)
                for count in counts
            )
            turned = (
                place_along(writer, broken(parameters, word, count), clear) for count in counts
            )
            if not any(chain(upright, turned)):
                raise _no_room(writer, word, clear)


def _taken_mm(writer: Writer) -> float:
    """Tell what connector and switch take of the board's length when they stand at an end."""
    length = writer.board.outline.length_mm
    if writer.parameters.connector.amid:
        return 0.0
    boxes = [
        part.extent(part.pattern.courtyard)
        for part in writer.board.parts
        if part.pattern.through_hole
    ]
    if writer.parameters.connector.at_deg == _LEFT_DEG:
        return max(box.right_mm for box in boxes)
    return length - min(box.left_mm for box in boxes)


def _place(writer: Writer, lines: Sequence[Sequence[CopperWords]], clear_mm: float) -> bool:
    """Set a block at the first free place, from the edge inwards, middle first.

    Words of a line stand side by side, its lines one below the other about one middle.
    """
    middles = np.array(from_the_middle(writer.board.outline.length_mm, _STEP_MM))
    deep = sum(_deep_mm(line, clear_mm) for line in lines)
    for level in _levels(writer, deep / 2):
        free, top = np.ones_like(middles, dtype=bool), level + deep / 2
        for line in lines:
            deep_mm = _deep_mm(line, clear_mm)
            free[free] = _free(writer, line, middles[free], top - deep_mm / 2, clear_mm)
            top -= deep_mm
        if free.any():
            top = level + deep / 2
            for line in lines:
                at = (float(middles[free.argmax()]), top - _deep_mm(line, clear_mm) / 2)
                _write(writer, line, at, clear_mm)
                top -= _deep_mm(line, clear_mm)
            return True
    return False


def _deep_mm(line: Sequence[CopperWords], clear_mm: float) -> float:
    return max(word.size_mm[1] for word in line) + 2 * clear_mm


def _wide_mm(line: Sequence[CopperWords], clear_mm: float) -> float:
    return sum(word.size_mm[0] + 2 * clear_mm for word in line)


def _free(
    writer: Writer, line: Sequence[CopperWords], middles: Places, level_mm: float, clear_mm: float
) -> npt.NDArray[np.bool_]:
    """Tell about which middles a line finds room at a level."""
    lefts, free = middles - _wide_mm(line, clear_mm) / 2, np.ones_like(middles, dtype=bool)
    for word in line:
        rights, half = lefts + (word.size_mm[0] + 2 * clear_mm), word.size_mm[1] / 2 + clear_mm
        free[free] = writer.rooms[Side.TOP].free_along(
            lefts[free], rights[free], level_mm - half, level_mm + half
        )
        lefts = rights
    return free


def _write(writer: Writer, line: Sequence[CopperWords], middle: Point, clear_mm: float) -> None:
    left, level = middle[0] - _wide_mm(line, clear_mm) / 2, middle[1]
    for word in line:
        at = (left + clear_mm + word.size_mm[0] / 2, level)
        writer.rooms[Side.TOP].take(around(*at, *word.size_mm))
        writer.texts.append(writer.text(Side.TOP, TextRole.PAGE, word.text, at, word.height_mm))
        left += word.size_mm[0] + 2 * clear_mm


def _levels(writer: Writer, inset_mm: float) -> list[float]:
    """List heights for a line, from the edge away from the rail inwards."""
    aims, width = writer.parameters.parts.limits.aims, writer.board.outline.width_mm
    inset = inset_mm + aims.legend_edge_mm
    steps = int(max(0.0, width - 2 * inset) / LINE_STEP_MM) + 1
    levels = [inset + step * LINE_STEP_MM for step in range(steps)]
    return levels if writer.up > 0 else [width - level for level in levels]


def _no_room(writer: Writer, word: CopperWords, clear_mm: float) -> NoRoomError:
    parameters, outline = writer.parameters, writer.board.outline
    more = math.ceil(outline.width_mm + 2 * (word.size_mm[1] + 2 * clear_mm))
    return NoRoomError(
        parameters.problem(
            "board.title",
            what=f'"{word.text}" finds no room in the copper',
            remedy="shorten the title",
            offers=(Change(path=plan(parameters).keys.across, value=f'"{more} mm"'),),
        ),
        width_mm=more,
    )

"""What is written on a board besides references: title, supply, which side this is."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from boardgen import units
from boardgen.geometry.lettering import size_mm
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters

NO_BREAK = "\u00a0"
COPPER_SIDE = "copper side"
"""Reads properly on the side that carries the copper, so that a film laid the wrong way is seen."""

COPPER_STRIP_MM = 1.5
"""What is left of the pour on both sides of letters in copper: the return current passes there."""

LINE_STEP_MM = 0.25
"""Heights for lines are tried in steps of this."""

NAME_BOX_MM = (28.0, 6.0)
NAME_BOX_GAP_MM = 2.0


def plain(text: str) -> str:
    """Turn no-break spaces into plain ones, for printing."""
    return text.replace(NO_BREAK, " ")


def title_words(parameters: Parameters) -> str:
    """Word the title line with its revision."""
    return f"{parameters.legend_text} rev{NO_BREAK}{parameters.board.revision}"


def supply_words(parameters: Parameters, circuit: Circuit) -> str:
    """Word the supply's range and the highest current, rounded up to two digits.

    Of boards that are joined it is that of all: it enters at the one that is fed.

    Numbers and their units are held together by no-break spaces.
    """
    supply = parameters.parts.supply
    current = units.at_most_amps(circuit.worst_a)
    volts = f"{supply.low_v:.3g}–{supply.high_v:.3g} V DC,"
    return f"{volts.replace(' ', NO_BREAK)} {current.replace(' ', NO_BREAK)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class CopperWords:
    """Words in copper with their size, and the parts between which they may be broken."""

    text: str
    height_mm: float
    size_mm: tuple[float, float]
    parts: tuple[str, ...]


def copper_words(parameters: Parameters, circuit: Circuit) -> tuple[CopperWords, ...]:
    """List what stands in copper when nothing is printed: title, supply, the side's name."""
    aims = parameters.parts.limits.aims
    return (
        _sized(parameters, title_words(parameters), aims.title_mm),
        _sized(parameters, supply_words(parameters, circuit), aims.text_mm),
        _sized(parameters, COPPER_SIDE, aims.text_mm),
    )


def broken(parameters: Parameters, words: CopperWords, lines: int) -> tuple[CopperWords, ...]:
    """Break words into so many lines, the longest of them as short as may be."""
    shortest = _broken(words.parts, lines)
    return tuple(_sized(parameters, line, words.height_mm) for line in shortest)


@lru_cache(maxsize=1024)
def _broken(parts: tuple[str, ...], lines: int) -> tuple[str, ...]:
    if lines == 1:
        return (" ".join(parts),)
    ways = (
        (" ".join(parts[:cut]), *_broken(parts[cut:], lines - 1))
        for cut in range(1, len(parts) - lines + 2)
    )
    return min(ways, key=lambda way: max(map(len, way)))


def _sized(parameters: Parameters, text: str, height_mm: float) -> CopperWords:
    aims, lettering = parameters.parts.limits.aims, parameters.parts.lettering
    stroke = max(parameters.parts.limits.track_mm, height_mm * aims.text_stroke_share)
    size = size_mm(plain(text), height_mm, stroke, lettering)
    parts = tuple(map(plain, text.split(" ")))
    return CopperWords(text=plain(text), height_mm=height_mm, size_mm=size, parts=parts)


def copper_lines(
    words: Sequence[CopperWords], room_mm: float, clear_mm: float
) -> tuple[tuple[CopperWords, ...], ...]:
    """Set words into lines of a length, each with a clearance on both sides, in their order."""
    lines: list[list[CopperWords]] = []
    free: list[float] = []
    for word in words:
        wide = word.size_mm[0] + 2 * clear_mm
        line = next((place for place, left in enumerate(free) if left >= wide), None)
        if line is None:
            lines.append([word])
            free.append(room_mm - wide)
        else:
            lines[line].append(word)
            free[line] -= wide
    return tuple(map(tuple, lines))

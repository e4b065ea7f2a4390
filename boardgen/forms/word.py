"""The form "word": LEDs along the strokes of letters."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from boardgen.errors import Change, RefusalError
from boardgen.forms.facing import CURRENT, ONE_WAY
from boardgen.forms.places import Place, amid, around
from boardgen.model.lettering import Lettering
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Keys, Plan
from boardgen.model.pose import Point

_KEYS = Keys(
    whole="form",
    pitch="form.pitch",
    along="form.margin",
    across="form.margin",
    between="form.height",
    corner="form.corner",
)
_NEAR = 0.75
"""Where strokes meet, an LED nearer to another than this share of the pitch is left out."""


def word(parameters: Parameters) -> Plan:
    """Plan a word of capital letters: each stroke shares its LEDs out equally, at about a pitch.

    Raises
    ------
    RefusalError
        When the word takes another number of LEDs than was asked for.
    """
    count, form = parameters.light.count, parameters.form
    found = sites(form.text, form.height_mm, form.pitch_mm, parameters.parts.lettering)
    if len(found) != count:
        change = Change(path="light.count", value=str(len(found)))
        what = f"the word takes {len(found)} LEDs at this height and pitch, not {count}"
        raise RefusalError(parameters.problem("light.count", what, offers=(change,)))
    facing = parameters.form.facing or ONE_WAY
    if facing == ONE_WAY:
        found = [(x, y, 0.0) for x, y, _ in found]
    return replace(
        around(parameters, amid(parameters, found), _KEYS), current=CURRENT.get(facing, "")
    )


def sites(text: str, height_mm: float, pitch_mm: float, lettering: Lettering) -> list[Place]:
    """List where LEDs stand and which way strokes run; those that meet others are left out."""
    found: list[Place] = []
    for stroke in strokes(text, height_mm, lettering):
        for x, y, turn in shared_out(stroke, pitch_mm):
            if all(math.dist((x, y), other[:2]) > _NEAR * pitch_mm for other in found):
                found.append((x, y, turn))
    return found


def strokes(text: str, height_mm: float, lettering: Lettering) -> Iterator[list[Point]]:
    """Draw a word's letters at a height, one beside the other."""
    scale, left = height_mm / lettering.cap_height, 0.0
    for letter in text:
        drawn = lettering.glyphs.get(letter, ())
        wide = max((x for stroke in drawn for x, _ in stroke), default=lettering.space)
        for stroke in drawn:
            yield [(left + x * scale, y * scale) for x, y in stroke]
        left += (wide + lettering.gap) * scale


def shared_out(line: Sequence[Point], pitch_mm: float) -> Iterator[Place]:
    """Share places out along a line, both ends among them, about a pitch apart."""
    sides = [math.dist(*ends) for ends in pairwise(line)]
    steps = max(1, round(sum(sides) / pitch_mm))
    for step in range(steps + 1):
        way = sum(sides) * step / steps
        for (start, end), side in zip(pairwise(line), sides, strict=True):
            if way <= side or end == line[-1]:
                share = min(way / side, 1.0) if side else 0.0
                dx, dy = end[0] - start[0], end[1] - start[1]
                turn = math.degrees(math.atan2(dy, dx))
                yield (start[0] + share * dx, start[1] + share * dy, turn)
                break
            way -= side

"""Which way LEDs face: held against where their poles lie, by elementary geometry."""

import math
from dataclasses import replace
from typing import Any

import pytest

from boardgen.checks.looks_sites import current_faults
from boardgen.designing import draw_board
from boardgen.errors import RefusalError
from boardgen.model.board import Part, PartKind, TextRole
from boardgen.model.design import Design
from tests.conftest import every, merged, parameters_of
from tests.forms.test_lines import sound

RING = """\
[board]
title = "Facing"
date = "2026-11-29"
[supply]
from = "usb 5 V 500 mA"
[light]
led     = "white 2835"
count   = 8
current = "10 mA"
[form]
kind  = "ring"
pitch = "20 mm"
"""
HALF = {"kind": "arc", "from": "180 deg", "to": "0 deg"}
BENT = {"kind": "path", "points": [["0 mm", "0 mm"], ["90 mm", "0 mm"], ["90 mm", "90 mm"]]}
ROUND = {"kind": "path", "closed": True, "pitch": "25 mm",
         "points": [["0 mm", "0 mm"], ["70 mm", "0 mm"], ["70 mm", "60 mm"],
                    ["0 mm", "60 mm"]]}  # fmt: skip
FORMS: dict[str, dict[str, Any]] = {
    "ring": {}, "polygon": {"kind": "polygon", "sides": 5}, "arc": HALF, "path": BENT,
    "closed path": ROUND, "disc": {"kind": "disc"}, "word": {"kind": "word", "text": "HI"},
}  # fmt: skip
COUNTS = {"word": 6, "disc": 7}
AROUND = ("ring", "polygon", "arc", "closed path", "disc")
"""Forms that have an inside."""


def faced(name: str, facing: str) -> str:
    text = merged(RING, {"light": {"count": COUNTS.get(name, 8)}})
    return merged(text, {"form": {**FORMS[name], "facing": facing}})


def poles(led: Part) -> tuple[tuple[float, float], tuple[float, float]]:
    anode, cathode = (led.land_place(led.pattern.by_function(f)) for f in "AK")
    return anode, cathode


def leds(design: Design) -> list[Part]:
    return [part for part in design.board.parts if part.kind is PartKind.LED]


def middle(name: str, design: Design) -> tuple[float, float]:
    """Tell where a form has its middle: of an arc, that of the circle through three of its LEDs."""
    found = [(part.x_mm, part.y_mm) for part in leds(design)]
    if name != "arc":
        return (
            (min(x for x, _ in found) + max(x for x, _ in found)) / 2,
            (min(y for _, y in found) + max(y for _, y in found)) / 2,
        )
    (ax, ay), (bx, by), (cx, cy) = found[0], found[4], found[-1]
    twice = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    a, b, c = ax**2 + ay**2, bx**2 + by**2, cx**2 + cy**2
    return (
        (a * (by - cy) + b * (cy - ay) + c * (ay - by)) / twice,
        (a * (cx - bx) + b * (ax - cx) + c * (bx - ax)) / twice,
    )


@pytest.mark.parametrize("name", every(AROUND, lambda place: AROUND[place] == "ring"))
@pytest.mark.parametrize(("facing", "sign"), [("inward", -1), ("outward", 1)])
def test_cathodes_lie_nearer_to_the_middle_or_further_out(
    name: str, facing: str, sign: int
) -> None:
    design = draw_board(parameters_of(faced(name, facing)))
    at = middle(name, design)
    for led in leds(design):
        anode, cathode = poles(led)
        if math.dist(at, (led.x_mm, led.y_mm)) > 1.0:
            assert sign * (math.dist(cathode, at) - math.dist(anode, at)) > 0, led.reference
    assert not list(current_faults(design))


@pytest.mark.parametrize("name", every(FORMS, lambda place: list(FORMS)[place] in "disc word"))
def test_one_way_is_the_same_way_for_all(name: str) -> None:
    design = draw_board(parameters_of(faced(name, "one way")))
    turns = {
        tuple(round(k - a, 6) for a, k in zip(*poles(led), strict=True)) for led in leds(design)
    }
    assert len(turns) == 1
    words = {text.text for text in design.board.texts if text.role is TextRole.NOTE}
    assert "current →" in words
    assert not list(current_faults(design))


@pytest.mark.parametrize("facing", every(["inward", "outward"], lambda place: place == 1))
@pytest.mark.thorough
def test_words_on_a_board_whose_leds_are_turned_round_are_found(facing: str) -> None:
    other = {"inward": "outward", "outward": "inward"}[facing]
    design = draw_board(parameters_of(faced("ring", facing)))
    printed = draw_board(parameters_of(faced("ring", other))).board.texts
    wrong = replace(design, board=replace(design.board, texts=printed))
    assert list(current_faults(wrong))


@pytest.mark.thorough
@pytest.mark.parametrize(("name", "facing"), [
    *((name, facing) for name in FORMS for facing in ("one way", "along")),
    *((name, facing) for name in AROUND for facing in ("inward", "outward")),
])  # fmt: skip
@pytest.mark.parametrize("sides", [1, 2])
def test_each_form_facing_each_way_is_built_and_proven(name: str, facing: str, sides: int) -> None:
    copper = {"copper": {"sides": sides}}
    side = {"connector": {"side": "bottom" if sides == 1 else "top"}}
    sound(merged(merged(faced(name, facing), copper), side))


@pytest.mark.parametrize("name", ["path", "word"])
def test_what_has_no_inside_faces_neither_in_nor_out(name: str) -> None:
    with pytest.raises(RefusalError, match="has no inside"):
        parameters_of(faced(name, "inward"))


def test_more_leds_than_ways_are_looked_for_are_refused() -> None:
    text = merged(RING, {"light": {"count": 101}, "form": {"facing": "outward"}})
    with pytest.raises(RefusalError, match="ring with LEDs facing outward"):
        parameters_of(text)
    assert parameters_of(merged(text, {"form": {"facing": "along"}}))

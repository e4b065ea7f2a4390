"""Words in copper on boards that are not printed: whole, side by side, or broken into lines."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardgen.checks.looks_letters import looks_letters
from boardgen.checks.table import check
from boardgen.designing import draw_board
from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.layout.letters_along import beside
from boardgen.layout.words import broken, copper_words
from boardgen.model.board import Board, PartKind, TextRole
from boardgen.model.pose import Pose
from boardgen.model.spine import Piece, Spine
from tests.conftest import SHELF, built_of, design_of, merged, parameters_of

ETCHED = merged(SHELF, {"order": {"house": "home-etched"}})
ROUND = merged(ETCHED, {
    "board": {"title": "Form"},
    "supply": {"from": "adapter 12 V"},
    "light": {"led": "green 0805", "count": 4, "current": "3.4 mA", "use": None},
    "form": {"kind": "disc", "pitch": "14.1 mm", "filling": "concentric"},
    "connector": {"kind": "wire pads", "poles": 4, "at": "right"},
})  # fmt: skip
BENT = merged(ETCHED, {
    "board": {"title": "Form"},
    "supply": {"from": "adapter 24 V"},
    "light": {"led": "green 0603", "count": 9, "current": "4 mA", "use": None},
    "resistor": {"per_branch": 2},
    "form": {"kind": "arc", "pitch": "26.2 mm", "from": "60 deg", "to": "240 deg"},
    "connector": {"kind": "wire pads", "poles": 2, "at": "left"},
})  # fmt: skip


@settings(max_examples=25)
@given(st.lists(st.text("ABCabc012", min_size=1, max_size=9), min_size=1, max_size=5), st.data())
def test_words_are_broken_at_spaces_into_the_shortest_lines(
    parts: list[str], data: st.DataObject
) -> None:
    """The longest line is no longer than in any other way to break them: every way is tried."""
    parameters = parameters_of(merged(ETCHED, {"legend": {"text": " ".join(parts)}}))
    title, *_ = copper_words(parameters, size(parameters))
    lines = data.draw(st.integers(1, len(title.parts)))
    found = [line.text for line in broken(parameters, title, lines)]
    assert len(found) == lines
    assert " ".join(found) == title.text
    assert "rev A" in found[-1]  # a no-break space holds them together

    def ways(left: tuple[str, ...], count: int) -> list[list[str]]:
        if count == 1:
            return [[" ".join(left)]]
        return [[" ".join(left[:at]), *rest] for at in range(1, len(left))
                for rest in ways(left[at:], count - 1)]  # fmt: skip

    longest = min(max(map(len, way)) for way in ways(title.parts, lines))
    assert max(map(len, found)) == longest


@pytest.mark.thorough
def test_a_small_disc_has_its_supply_in_two_lines_about_one_middle() -> None:
    built = built_of(ROUND)
    assert built.proof
    texts = [text for text in built.design.board.texts if text.role is TextRole.PAGE]
    said = [text.text for text in texts]
    assert said == ["Form rev A", "copper side", "11.4–12.6 V DC,", "7.4 mA"]
    upper, lower = texts[2:]
    assert upper.x_mm == lower.x_mm
    assert upper.y_mm > lower.y_mm + upper.height_mm


@pytest.mark.thorough
def test_words_that_fit_stand_whole() -> None:
    texts = [text for text in built_of(ETCHED).design.board.texts if text.role is TextRole.PAGE]
    assert [text.text.partition(" ")[0] for text in texts] == ["Shelf", "4.75–5.5", "copper"]
    assert all(one.x_mm < other.x_mm for one, other in pairwise(texts))


@pytest.mark.thorough
def test_on_a_bent_band_words_turn_as_the_line_runs_and_never_stand_upside_down() -> None:
    built = built_of(BENT)
    assert built.proof
    board = built.design.board
    texts = [text for text in board.texts if text.role is TextRole.PAGE]
    said = " ".join(text.text for text in texts)
    assert all(words in said for words in ("Form rev A", "copper side", "V DC"))
    turned = [text for text in texts if text.turn_deg]
    assert turned
    for text in turned:
        x, y = (
            at - middle for at, middle in zip((text.x_mm, text.y_mm), _middle(board), strict=True)
        )
        assert abs(math.remainder(math.degrees(math.atan2(y, x)) + 90 - text.turn_deg, 180)) < 0.01
        assert math.cos(math.radians(text.turn_deg)) > 0
    assert "looks.letters" not in {finding.code for finding in built.findings}


@given(st.floats(-360, 360), st.floats(0.5, 40), st.sampled_from([1, -1]))
def test_words_beside_a_line_read_along_it_from_below_or_from_the_right(
    line_deg: float, long_mm: float, up: int
) -> None:
    start = Pose(x_mm=5.0, y_mm=7.0, turn_deg=line_deg)
    spine = Spine(start=start, pieces=(Piece(length_mm=long_mm),))
    xs, ys, turns = beside(spine, up)
    off = [math.remainder(turn - line_deg, 180) for turn in set(turns)]
    assert off == pytest.approx([0.0] * len(off), abs=1e-5)
    assert -90 - 1e-5 < min(turns) <= max(turns) <= 90
    # The best are furthest across on the side away from the rail, then nearer to it.
    across = [up * round(spine.locate((x, y))[1], 6) for x, y in zip(xs, ys, strict=True)]
    assert across == sorted(across)


@pytest.mark.thorough
def test_of_a_band_that_is_never_wide_enough_the_longest_word_is_told() -> None:
    """Once the narrowest width spoke: of signs, which a wider one has room for."""
    word = "Donaudampfschifffahrtsgesellschaftskapit"
    with pytest.raises(RefusalError, match=word) as refused:
        draw_board(parameters_of(merged(BENT, {"board": {"title": word}})))
    assert "shorten the title" in refused.value.problems[0].remedy


def test_forty_words_are_broken_at_once() -> None:
    """Every way to break them was tried once: 2 ** 39 of them."""
    parameters = parameters_of(merged(ETCHED, {"legend": {"text": " ".join("ab" * 19)}}))
    title, *_ = copper_words(parameters, size(parameters))
    # 38 letters and "rev A" with a space between any two: 78 in four lines, those of letters odd.
    assert max(len(line.text) for line in broken(parameters, title, 4)) == 21


STRAIT = """\
[board]
title = "Form"
date = "2026-11-29"
[supply]
from = "alkaline AAA"
cells = 4
[light]
led = "red 1206"
count = 6
current = "11.1 mA"
[resistor]
per_branch = 3
[form]
kind = "disc"
pitch = "17 mm"
filling = "concentric"
[connector]
kind = "wire pads"
at = "left"
side = "bottom"
switch = "slide switch"
[copper]
sides = 1
relief = "none"
[order]
house = "milled"
"""


def test_a_sign_does_not_stand_where_it_cuts_the_pour_apart() -> None:
    """Between track and edge a − once left four LEDs without a way back; the proof found it."""
    found = check(draw_board(parameters_of(STRAIT)))
    assert not {"net.whole", "rail.drop"} & {finding.code for finding in found}


KISS = """\
[board]
title = "Form"
date = "2026-11-29"
[supply]
from = "alkaline AAA"
cells = 4
[light]
led = "green 0603"
count = 6
current = "6.4 mA"
[resistor]
per_branch = 3
[protection]
[form]
kind = "word"
text = "H"
height = "39 mm"
pitch = "21 mm"
outline = "rectangle"
facing = "along"
[connector]
kind = "wire pads"
poles = 3
at = "bottom"
side = "bottom"
[copper]
sides = 1
relief = "none"
[order]
house = "milled"
"""


@pytest.mark.thorough
def test_round_corners_of_the_pour_beside_a_sign_do_not_touch() -> None:
    """Between a − and a ballast's land they came within 0.3 µm, which no clear shape can draw."""
    design = draw_board(parameters_of(KISS))
    assert "−" in {text.text for text in design.board.texts}
    assert "pour.thin" not in {finding.code for finding in check(design)}


def test_letters_that_turn_where_they_may_not_are_found() -> None:
    """Printed words stand at 0 or 90 degrees; those in copper are never upside down."""
    for bar, turns in ((SHELF, (45, 180, 270)), (ETCHED, (91, 180, 269))):
        design = design_of(bar)
        for turn in turns:
            texts = (replace(design.board.texts[0], turn_deg=turn), *design.board.texts[1:])
            (finding,) = looks_letters(replace(design, board=replace(design.board, texts=texts)))
            assert f"reads at {turn} deg" in finding.message
    for turn in (30, 90, 271, 359):
        texts = (replace(design.board.texts[0], turn_deg=turn), *design.board.texts[1:])
        assert not [*looks_letters(replace(design, board=replace(design.board, texts=texts)))]


def _middle(board: Board) -> tuple[float, float]:
    """Find the middle of the circle on which an arc's LEDs lie: from three of them."""
    a, b, c = (
        complex(*led)
        for led in [(p.x_mm, p.y_mm) for p in board.parts if p.kind is PartKind.LED][:3]
    )
    w = (c - a) / (b - a)
    middle = (b - a) * (w - abs(w) ** 2) / (2j * w.imag) + a
    return (middle.real, middle.imag)

"""Discs and words: places by elementary geometry; whole boards proven, all facing one way.

Centred hexagonal numbers (1, 7, 19, 37) fill rings of a triangular lattice; a circle k pitches out
holds 6k LEDs. How words are drawn is our own.
"""

import math
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardgen.errors import RefusalError
from boardgen.forms.disc import concentric, hexagonal
from boardgen.forms.table import plan
from boardgen.forms.word import shared_out, sites, strokes
from boardgen.model.board import PartKind
from boardgen.model.findings import Severity
from tests.conftest import built_of, merged, parameters_of

DISC = """\
[board]
title = "Disc"
date = "2026-11-29"
[supply]
from = "usb 5 V 500 mA"
[light]
led   = "red 0805"
count = 7
current = "5 mA"
[form]
kind  = "disc"
pitch = "16 mm"
"""
WORD = merged(DISC, {"form": {"kind": "word", "text": "HI"}, "light": {"count": 13}})


@pytest.mark.parametrize(("count", "rings"), [(1, 0), (7, 1), (19, 2), (37, 3)])
def test_a_hexagonal_disc_fills_ring_by_ring(count: int, rings: int) -> None:
    found = hexagonal(count, 10.0)
    assert len(set(found)) == count
    assert max(math.hypot(*at) for at in found) == pytest.approx(10.0 * rings)
    apart = [math.dist(*pair) for pair in combinations(found, 2)]
    assert min(apart, default=10.0) == pytest.approx(10.0)
    if count > 1:  # each ring closes: as many neighbours as a whole hexagon has
        sides = sum(abs(gap - 10.0) < 1e-6 for gap in apart)
        assert sides == 3 * rings * (3 * rings + 1)


@pytest.mark.parametrize(
    ("count", "out"), [(2, 1 / 2), (3, 1 / math.sqrt(3)), (4, math.sqrt(3) / 2), (7, 1.0)]
)
def test_few_leds_of_a_hexagonal_disc_stand_around_its_middle(count: int, out: float) -> None:
    """Half an edge, the circle around a triangle, the long half of a rhombus, a hexagon's side."""
    assert max(math.hypot(*at) for at in hexagonal(count, 10.0)) == pytest.approx(10.0 * out)


@settings(deadline=None)
@given(st.integers(1, 250))
def test_a_hexagonal_disc_is_no_wider_than_one_around_a_place_of_its_lattice(count: int) -> None:
    found = hexagonal(count, 10.0)
    assert min((math.dist(*pair) for pair in combinations(found, 2)), default=10.0) >= 9.999
    lattice = ((5.0 * across, 5.0 * math.sqrt(3) * up)
               for across in range(-40, 41) for up in range(-20, 21)
               if not (across + up) % 2)  # fmt: skip
    around_one = sorted(math.hypot(*at) for at in lattice)
    reach = max(math.hypot(*at) for at in found)
    assert reach <= around_one[count - 1] + 1e-5
    # In the middle of the smallest circle no half of its rim is bare.
    rim = sorted(math.atan2(y, x) for x, y in found if math.hypot(x, y) > reach - 1e-4)
    gaps = [later - earlier for earlier, later in pairwise([*rim, rim[0] + math.tau])]
    assert count == 1 or max(gaps) <= math.pi + 1e-3


@pytest.mark.parametrize("count", [1, 7, 10, 19, 25])
def test_a_concentric_disc_holds_six_more_on_each_circle(count: int) -> None:
    found = concentric(count, 10.0)
    assert len(found) == count
    out = [round(math.hypot(*at) / 10.0, 6) for at in found]
    for circle in range(1, int(max(out))):
        assert out.count(circle) == 6 * circle
    assert min((math.dist(*pair) for pair in combinations(found, 2)), default=10.0) >= 9.99


@pytest.mark.parametrize("text", ["HI", "LAB", "2026"])
def test_a_words_leds_stand_on_its_strokes_about_a_pitch_apart(text: str) -> None:
    parameters = parameters_of(merged(WORD, {"form": {"text": text}}))
    lettering = parameters.parts.lettering
    found = [(x, y) for x, y, _ in sites(text, 45.0, 16.0, lettering)]
    lines = list(strokes(text, 45.0, lettering))
    assert max(y for line in lines for _, y in line) == pytest.approx(45.0)
    for at in found:
        assert min(_off(at, *ends) for line in lines for ends in zip(line, line[1:])) < 1e-6  # noqa: B905, RUF007
    assert min(math.dist(*pair) for pair in combinations(found, 2)) > 0.75 * 16.0


def _off(at: tuple[float, float], start: tuple[float, float], end: tuple[float, float]) -> float:
    """Measure from a point to a straight piece."""
    (x, y), (x1, y1), (x2, y2) = at, start, end
    long = math.dist(start, end)
    share = ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / long**2 if long else 0.0
    foot = min(max(share, 0.0), 1.0)
    return math.dist(at, (x1 + foot * (x2 - x1), y1 + foot * (y2 - y1)))


def test_points_are_shared_out_with_both_ends_among_them() -> None:
    bent = [(0.0, 0.0), (30.0, 0.0), (30.0, 15.0)]
    assert list(shared_out(bent, 15.0)) == [(0, 0, 0), (15, 0, 0), (30, 0, 0), (30, 15, 90)]
    assert len(list(shared_out(bent, 100.0))) == 2


def test_a_word_of_another_number_of_leds_is_told_its_own() -> None:
    with pytest.raises(RefusalError) as refused:
        plan(parameters_of(merged(WORD, {"light": {"count": 9}})))
    (offer,) = refused.value.problems[0].offers
    assert (offer.path, offer.value) == ("light.count", "13")
    assert plan(parameters_of(WORD)).chains == (13,)


@pytest.mark.parametrize("text", ["hi", "HÉ", "A-B", ""])
def test_a_word_that_no_letters_draw_is_refused(text: str) -> None:
    with pytest.raises(RefusalError, match=r"form\.text"):
        parameters_of(merged(WORD, {"form": {"text": text}}))


@pytest.mark.thorough
@pytest.mark.parametrize("base", [DISC, WORD], ids=["disc", "word"])
def test_a_disc_and_a_word_are_proven_and_face_one_way(base: str) -> None:
    built = built_of(base)
    assert built.proof
    findings = built.judgement.findings
    assert not [f for f in findings if f.severity is Severity.ERROR], findings
    leds = [part for part in built.design.board.parts if part.kind is PartKind.LED]
    assert len({led.pose.turn_deg for led in leds}) == 1

"""Evenness behind a diffuser: spots by elementary geometry, light by dense sums of our own.

A point of a square lattice's cell lies at most p/sqrt(2) from its nearest point, of a triangular
one p/sqrt(3) (elementary geometry). The dense sums take I0*h^(m+1)/r^(m+3) of each source at 2,500
places, with loops of their own.
"""

import math
from typing import Any

import pytest

from boardgen.checks.light import light_uneven
from boardgen.designing import draw_board
from boardgen.errors import RefusalError
from boardgen.forms.disc import hexagonal
from boardgen.geometry.between import along_lines, over_area
from boardgen.standards.photometry import (
    evenness,
    height_for_evenness,
    pitch_over_height,
    spread_evenness,
)
from tests.conftest import merged, parameters_of

PITCH = 10.0
SQUARE = [(PITCH * x, PITCH * y) for y in range(15) for x in range(15)]
HEXAGON = hexagonal(169, PITCH)

PANEL = """\
[board]
title = "Panel"
date = "2026-11-29"
[supply]
from = "adapter 12 V"
[light]
led      = "white 2835"
count    = 12
current  = "10 mA"
diffuser = "20 mm"
evenness = "85 %"
[form]
kind  = "grid"
rows  = 3
pitch = "even"
"""
BAR = merged(PANEL, {"form": {"kind": "bar", "rows": 1}})
DISC = merged(PANEL, {"form": {"kind": "disc", "rows": None}, "light": {"count": 7}})


@pytest.mark.parametrize(("places", "most"), [(SQUARE, math.sqrt(2)), (HEXAGON, math.sqrt(3))])
def test_spots_lie_as_far_from_their_places_as_a_lattice_has_any(
    places: list[tuple[float, float]], most: float
) -> None:
    spots = over_area(places)
    far = [math.dist(spot.at, places[one]) for spot in spots for one in spot.around]
    assert max(far) == pytest.approx(PITCH / most)
    assert min(far) == pytest.approx(PITCH / 2)


def test_spots_of_a_line_are_the_middles_between_neighbours() -> None:
    found = along_lines([(0.0, 0.0), (10.0, 0.0), (20.0, 0.0), (90.0, 0.0)])
    assert [spot.at for spot in found] == [(5.0, 0.0), (15.0, 0.0)]


@pytest.mark.parametrize("places", [SQUARE, HEXAGON], ids=["square", "hexagonal"])
@pytest.mark.parametrize("height", [6.0, 9.0])
def test_no_place_of_a_cell_is_darker_than_its_spots(
    places: list[tuple[float, float]], height: float
) -> None:
    centre = [math.fsum(axis) / len(places) for axis in zip(*places, strict=True)]
    middle = min(places, key=lambda at: math.dist(at, centre))
    inner = [
        (spot.at, spot.around)
        for spot in over_area(places)
        if math.dist(spot.at, middle) < PITCH
    ]  # fmt: skip

    def light(x: float, y: float) -> float:
        return sum(
            height**2 / (height**2 + (x - x0) ** 2 + (y - y0) ** 2) ** 2 for x0, y0 in places
        )

    steps = [PITCH * n / 50 - PITCH / 2 for n in range(50)]
    dense = [light(middle[0] + dx, middle[1] + dy) for dx in steps for dy in steps]
    found = spread_evenness(places, inner, height, 1.0)
    assert found == pytest.approx(min(dense) / light(*middle), rel=0.01)


def test_a_long_row_is_as_even_as_an_endless_one() -> None:
    row = [(PITCH * n, 0.0) for n in range(101)]
    spots = [((505.0, 0.0), (50, 51))]
    height = height_for_evenness(row, spots, 0.9, 1.0)
    assert PITCH / height == pytest.approx(pitch_over_height(0.9, 1.0), rel=1e-3)


@pytest.mark.parametrize("text", [
    pytest.param(PANEL, id="grid"), pytest.param(BAR, id="bar"),
    pytest.param(DISC, id="disc", marks=pytest.mark.thorough),
])  # fmt: skip
def test_an_even_pitch_is_the_widest_that_looks_as_even_as_asked_for(text: str) -> None:
    chosen = parameters_of(text)
    assert not list(light_uneven(draw_board(chosen)))
    wider = merged(text, {"form": {"pitch": f"{chosen.form.pitch_mm + 0.1:g} mm"}})
    (finding,) = light_uneven(draw_board(parameters_of(wider)))
    offers = {change.path: change.value for change in finding.changes}
    assert offers["form.pitch"] == f'"{chosen.form.pitch_mm:.1f} mm"'


def test_two_given_places_are_as_even_as_the_cosine_law_has_it() -> None:
    """Of m = 1: the middle has 2/(h^2 + d^2/4)^2, an LED 1/h^4 + 1/(h^2 + d^2)^2 (by hand)."""
    h, d = 20.0, 30.0
    pair = [["0 mm", "0 mm", "0 deg"], [f"{d} mm", "0 mm", "0 deg"]]
    text = merged(PANEL, {"light": {"count": 2}})
    text = merged(text, {"form": {"kind": "places", "rows": None, "pitch": None, "places": pair}})
    found = draw_board(parameters_of(text)).operation.illumination
    assert found
    assert found.order == pytest.approx(1.0)
    over = 1 / h**4 + 1 / (h**2 + d**2) ** 2
    assert found.evenness == pytest.approx(2 / (h**2 + d**2 / 4) ** 2 / over)


@pytest.mark.parametrize("form", [{"kind": "bar", "rows": 1}, {"kind": "disc", "rows": None}])
def test_one_led_is_not_told_to_be_even(form: dict[str, Any]) -> None:
    """There is nothing between it and a neighbour (geometry)."""
    text = merged(PANEL, {"form": {**form, "pitch": "20 mm"}, "light": {"count": 1}})
    with pytest.raises(RefusalError, match="one LED has no neighbour"):
        parameters_of(text)
    found = draw_board(parameters_of(merged(text, {"light": {"evenness": None}})))
    assert found.operation.illumination
    assert found.operation.illumination.evenness is None


def test_one_led_of_each_board_that_is_joined_has_neighbours() -> None:
    """Those of the next boards: a row of one pitch goes on."""
    text = merged(BAR, {"form": {"pitch": "30 mm", "width": "14 mm"}, "light": {"count": 1}})
    found = draw_board(parameters_of(merged(text, {"joint": {"boards": 4}}))).operation
    assert found.illumination
    assert found.illumination.evenness == pytest.approx(evenness(30.0 / 20.0, 1.0))


@pytest.mark.parametrize("key", ["diffuser", "evenness"])
def test_an_even_pitch_asks_for_the_light_it_follows_from(key: str) -> None:
    with pytest.raises(RefusalError, match=f"{key} is not given"):
        parameters_of(merged(PANEL, {"light": {key: None, "evenness": None}}))


def test_an_even_pitch_out_of_all_bounds_is_refused() -> None:
    with pytest.raises(RefusalError, match="a pitch is 1 mm to 500 mm"):
        parameters_of(merged(BAR, {"light": {"diffuser": "1 mm", "evenness": "99.9 %"}}))


@pytest.mark.parametrize(("changes", "words"), [
    ({"form": {"kind": "disc", "rows": None}, "light": {"count": 1}}, "one LED has no pitch"),
    ({"form": {"kind": "word", "text": "HI", "rows": None}}, "shares its LEDs out itself"),
])  # fmt: skip
def test_an_even_pitch_is_for_what_has_one(
    changes: dict[str, dict[str, object]], words: str
) -> None:
    with pytest.raises(RefusalError, match=words):
        parameters_of(merged(PANEL, changes))

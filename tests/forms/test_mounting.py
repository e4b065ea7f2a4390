"""Screws on a circle and in the middle: places by elementary geometry, offers tried."""

import math
from itertools import pairwise
from typing import Any

import pytest

from boardgen.designing import design_board, draw_board
from boardgen.errors import RefusalError
from boardgen.reading.changes import settings
from boardgen.reading.family import parse_family
from tests.conftest import every, merged, parameters_of
from tests.forms.test_lines import sound

RING = """\
[board]
title = "Ring"
date = "2026-11-29"
[supply]
from = "usb 5 V 500 mA"
[light]
led     = "white 2835"
count   = 12
current = "10 mA"
[form]
kind  = "ring"
pitch = "20 mm"
[mounting]
screw  = "M3"
at     = "circle"
circle = "40 mm"
count  = 3
"""
MIDDLED: dict[str, dict[str, Any]] = {
    "ring": {},
    "polygon": {"kind": "polygon", "sides": 6},
    "disc": {"kind": "disc", "pitch": "30 mm"},
}
CIRCLES = {"disc": "46 mm"}


def of(name: str, **mounting: str | int) -> str:
    circle = {"circle": CIRCLES.get(name, "40 mm"), **mounting}
    return merged(RING, {"form": MIDDLED[name], "mounting": circle})


def middle(text: str) -> tuple[float, float]:
    board = draw_board(parameters_of(merged(text, {"mounting": {
        "at": "none", "circle": None, "count": None, "from": None,
    }}))).board  # fmt: skip
    spine = board.spines[0]
    if spine.closed:
        ways = [spine.place(spine.length_mm * n / 24) for n in range(24)]
    else:
        ways = [line.place(0.0) for line in board.spines[:7]]
    return (
        math.fsum(x for x, _ in ways) / len(ways),
        math.fsum(y for _, y in ways) / len(ways),
    )


@pytest.mark.parametrize("name", every(["ring", "polygon"], lambda place: place == 0))
@pytest.mark.parametrize(("count", "first"), [
    (4, 45), *(pytest.param(*one, marks=pytest.mark.thorough) for one in ((3, 90), (1, 0))),
])  # fmt: skip
def test_screws_share_a_circle_out(name: str, count: int, first: int) -> None:
    text = of(name, count=count, **{"from": f"{first} deg"})
    holes = draw_board(parameters_of(text)).board.holes
    x, y = middle(text)
    assert [math.hypot(hole.x_mm - x, hole.y_mm - y) for hole in holes] == [
        pytest.approx(20.0, abs=0.01)
    ] * count
    turns = [math.degrees(math.atan2(hole.y_mm - y, hole.x_mm - x)) % 360 for hole in holes]
    assert turns[0] == pytest.approx(first % 360, abs=0.05)
    for before, after in pairwise(turns):
        assert (after - before) % 360 == pytest.approx(360 / count, abs=0.1)


@pytest.mark.parametrize("name", every(["ring", "polygon"], lambda place: place == 0))
def test_a_screw_sits_in_the_middle(name: str) -> None:
    text = merged(of(name), {"mounting": {"at": "middle", "circle": None, "count": None}})
    (hole,) = draw_board(parameters_of(text)).board.holes
    assert (hole.x_mm, hole.y_mm) == pytest.approx(middle(text), abs=0.01)


@pytest.mark.parametrize(("circle", "hole"), [("70 mm", None), ("30 mm", "50 mm")])
@pytest.mark.thorough
def test_a_circle_in_the_way_is_told_the_nearest_that_is_free(
    circle: str, hole: str | None
) -> None:
    """However far it is: one lies in the ring's opening."""
    text = merged(of("ring", circle=circle, **{"from": "105 deg"}), {"form": {"hole": hole}})
    with pytest.raises(RefusalError) as caught:
        design_board(_read(text))
    offers = [offer for problem in caught.value.problems for offer in problem.offers]
    assert offers
    for offer in offers:
        design_board(_read(text, *(f"{one.path}={one.value}" for one in offer.all)))


@pytest.mark.thorough
def test_a_place_in_the_way_is_told_the_nearest_that_is_free() -> None:
    """On an arc, whose board is turned: the place is told as the file counts it."""
    form = {"kind": "arc", "from": "150 deg", "to": "30 deg", "width": "36 mm"}
    given = {"at": None, "circle": None, "count": None}
    radius = 12 * 20.0 / math.radians(120)
    at = ["0 mm", f"{radius:.1f} mm"]
    text = merged(RING, {"form": form, "mounting": {**given, "places": [at]}})
    with pytest.raises(RefusalError) as caught:
        draw_board(parameters_of(text))
    words = caught.value.problems[0].remedy
    x, y = words.partition(") mm is free")[0].lstrip("(").split(", ")
    draw_board(parameters_of(merged(text, {"mounting": {"places": [[f"{x} mm", f"{y} mm"]]}})))


@pytest.mark.parametrize(("changes", "words"), [
    ({"form": {"kind": "bar"}}, "screws are not counted from a middle"),
    ({"mounting": {"circle": None}}, "is missing"),
    ({"mounting": {"at": "middle"}}, 'belongs to at = "circle"'),
    ({"mounting": {"at": "ends"}}, "neither ends nor corners"),
])  # fmt: skip
def test_what_cannot_be_is_refused(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(RefusalError, match=words):
        parameters_of(merged(RING, changes))


def _read(text: str, *written: str) -> Any:
    family = parse_family(text, file="bar.toml", name="bar", changes=settings(written))
    (member,) = family.members
    return member.parameters


BELOW: dict[str, dict[str, Any]] = {
    **MIDDLED,
    "word": {"kind": "word", "text": "I", "pitch": "14 mm"},
    "places": {"kind": "places", "pitch": None, "places": [["0 mm", "0 mm", "0 deg"],
                                                           ["30 mm", "12 mm", "90 deg"]]},
    "in a circle": {"kind": "places", "pitch": None, "outline": "circle", "places": [
        ["0 mm", "0 mm", "0 deg"], ["30 mm", "12 mm", "90 deg"]]},
}  # fmt: skip
FEW = {"word": 4, "places": 2, "in a circle": 2}


@pytest.mark.parametrize("name", every(BELOW, lambda place: list(BELOW)[place] == "places"))
@pytest.mark.parametrize("kind", ["terminal 3.5 mm", "wire pads"])
def test_the_supply_comes_in_from_below(name: str, kind: str) -> None:
    text = merged(RING, {
        "form": BELOW[name], "connector": {"at": "bottom", "kind": kind},
        "mounting": {"at": None, "circle": None, "count": None, "screw": None},
        "light": {"count": FEW.get(name, 12)},
    })  # fmt: skip
    built = sound(text)
    board = built.design.board
    connector = board.part("J1")
    assert connector.y_mm < board.outline.width_mm / 4
    assert connector.x_mm == pytest.approx(board.outline.length_mm / 2, abs=1.0)


@pytest.mark.parametrize("kind", ["bar", "grid"])
def test_rows_have_no_way_in_from_below(kind: str) -> None:
    text = merged(RING, {"form": {"kind": kind}, "mounting": {"at": "none", "circle": None}})
    text = merged(text, {"mounting": {"count": None}, "connector": {"at": "bottom"}})
    with pytest.raises(RefusalError, match="at the left, the right or above"):
        parameters_of(text)

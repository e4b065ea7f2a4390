"""Forms along a line: edges held against closed forms, whole boards proven, refusals followed.

A band has the area of its width times the length of its middle line (Pappus's theorem, from
memory), however it bends; lengths and areas of polygons are elementary geometry.
"""

import itertools
import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardgen.build import Built
from boardgen.checks.table import check
from boardgen.designing import draw_board
from boardgen.errors import RefusalError
from boardgen.forms.band import placed
from boardgen.forms.edges import CORNER_MM, around_open
from boardgen.forms.table import plan
from boardgen.model.board import PartKind
from boardgen.model.findings import Severity
from boardgen.model.outline import signed_area_mm2
from boardgen.model.pose import Pose
from boardgen.model.spine import Piece, Spine
from tests.conftest import built_of, every, merged, parameters_of

ARC = """\
[board]
title = "Mirror arc"
date = "2026-11-29"
[supply]
from = "usb 5 V 500 mA"
[light]
led   = "white 2835"
count = 8
current = "10 mA"
[form]
kind  = "arc"
pitch = "16 mm"
"""
PATH = merged(ARC, {"form": {
    "kind": "path", "fillet": "16 mm",
    "points": [["0 mm", "0 mm"], ["70 mm", "0 mm"], ["70 mm", "60 mm"], ["120 mm", "60 mm"]],
}})  # fmt: skip
HOUSE = merged(ARC, {"form": {
    "kind": "path", "pitch": "14 mm", "closed": True, "fillet": "9 mm",
    "points": [["0 mm", "45 mm"], ["0 mm", "0 mm"], ["50 mm", "0 mm"], ["50 mm", "45 mm"],
               ["25 mm", "75 mm"]],
}, "light": {"count": 12}})  # fmt: skip
POLYGON = merged(ARC, {"form": {"kind": "polygon"}, "light": {"count": 10}})
KINDS = {"arc": ARC, "path": PATH, "closed path": HOUSE, "polygon": POLYGON}

bends = st.builds(
    lambda length, radius, left: Piece(length_mm=length, radius_mm=radius if left else -radius),
    st.floats(5.0, 30.0), st.floats(20.0, 200.0), st.booleans(),
)  # fmt: skip
straights = st.builds(lambda length: Piece(length_mm=length), st.floats(6.0, 60.0))


@given(st.lists(st.one_of(bends, straights), min_size=1, max_size=5), st.floats(6.0, 30.0),
       st.floats(-180.0, 180.0))  # fmt: skip
@settings(deadline=None)
def test_a_band_is_as_large_as_its_width_times_its_length(
    pieces: list[Piece], width: float, turn: float
) -> None:
    ends = Piece(length_mm=8.0)
    line = Spine(start=Pose(x_mm=3.0, y_mm=-5.0, turn_deg=turn), pieces=(ends, *pieces, ends))
    outline, moved, _ = placed((around_open(line, width),), line)
    corner = min(CORNER_MM, width / 3)
    cut = 4 * corner**2 * (1 - math.pi / 4)
    assert signed_area_mm2(outline.outer) == pytest.approx(width * line.length_mm - cut, rel=1e-6)
    assert moved.length_mm == line.length_mm
    xs, ys = zip(*(bow.end for bow in outline.outer), strict=True)
    assert min(xs) >= -1e-9
    assert min(ys) >= -1e-9


@pytest.mark.parametrize(("sides", "fillet_mm"), list(itertools.product((3, 4, 6, 12), (4.0, 9.0))))
def test_a_polygons_line_is_as_long_as_its_leds_ask_and_its_area_that_of_geometry(
    sides: int, fillet_mm: float
) -> None:
    form = {"sides": sides, "fillet": f"{fillet_mm:g} mm"}
    planned = plan(parameters_of(merged(POLYGON, {"form": form})))
    assert planned.sketch
    sketch = planned.sketch(planned.least_mm)
    (line,) = sketch.spines
    assert line.length_mm == pytest.approx(160.0)
    half = math.pi / sides
    apothem = planned.least_mm / 2
    sharp = sides * apothem**2 * math.tan(half)
    rounded = fillet_mm**2 * (sides * math.tan(half) - math.pi)
    assert signed_area_mm2(sketch.outline.outer) == pytest.approx(sharp - rounded)


@pytest.mark.parametrize("sweep", [90, 180, 270])
def test_an_arcs_radius_follows_from_leds_pitch_and_angle(sweep: int) -> None:
    text = merged(ARC, {"form": {"from": f"{sweep} deg", "to": "0 deg"}})
    planned = plan(parameters_of(text))
    assert planned.sketch
    (line,) = planned.sketch(20.0).spines
    (bend,) = (piece for piece in line.pieces if piece.radius_mm)
    assert abs(bend.radius_mm) == pytest.approx(8 * 16.0 / math.radians(sweep))
    assert bend.radius_mm < 0, "from the left over the top it goes clockwise"


SMALL = ("looks.references", "looks.finger", "looks.entry")
"""What wide boards with few LEDs, and bands as narrow as they go, may be told, without harm."""


def sound(text: str) -> Built:
    built = built_of(text)
    assert built.proof
    assert built.proof.holds
    findings = built.judgement.findings
    assert not [f for f in findings if f.severity is Severity.ERROR], findings
    drawn = [f for f in findings if f.code.startswith("looks.") and f.code not in SMALL]
    assert not [f for f in drawn if f.severity is Severity.WARNING], drawn
    return built


SIDES: dict[str, dict[str, dict[str, Any]]] = {
    "two sides": {},
    "one side": {"copper": {"sides": 1}, "connector": {"side": "bottom"}},
}
HOUSES = ("ordinary", "first-time", "fine")
SUPPLIES: dict[str, dict[str, dict[str, Any]]] = {
    "usb": {},
    "12 V": {"supply": {"from": "adapter 12 V"}, "light": {"count": 12}},
    "3 x AA": {
        "supply": {"from": "alkaline AA", "cells": 3},
        "light": {"led": "red 0805", "current": "5 mA"},
    },
}
CASES = list(itertools.product(KINDS, SIDES, SUPPLIES, HOUSES))
USUAL = ("two sides", "usb", "ordinary")


def marks_of(place: int, case: tuple[str, ...]) -> list[Any]:
    if case == ("arc", *USUAL):
        return []
    return [pytest.mark.thorough if place % 8 == 1 or case[1:] == USUAL else pytest.mark.slow]


@pytest.mark.parametrize(
    ("kind", "side", "supply", "house"),
    [pytest.param(*case, marks=marks_of(place, case)) for place, case in enumerate(CASES)],
)
def test_every_line_with_sides_supplies_and_houses_is_proven(
    kind: str, side: str, supply: str, house: str
) -> None:
    text = merged(KINDS[kind], SIDES[side])
    text = merged(text, {"order": {"house": house}})
    if kind == "path" and supply == "12 V":
        text = merged(text, {"form": {"pitch": "13.5 mm"}})
    built = sound(merged(text, SUPPLIES[supply]))
    leds = [part for part in built.design.board.parts if part.kind is PartKind.LED]
    assert len({round(led.pose.turn_deg, 3) for led in leds}) > 1, "they turn with the line"


REFUSED: dict[str, tuple[str, dict[str, dict[str, Any]], str]] = {
    "an arc that is a ring": (ARC, {"form": {"from": "360 deg", "to": "0 deg"}}, "take a ring"),
    "a supply amid an arc": (ARC, {"connector": {"at": "middle"}}, "comes in at an end"),
    "one point": (PATH, {"form": {"points": [["0 mm", "0 mm"]]}}, "lists 1 of the 2 points"),
    "a point twice": (
        PATH,
        {"form": {"points": [["0 mm", "0 mm"], ["0 mm", "0 mm"], ["90 mm", "0 mm"]]}},
        "is where the next one is",
    ),
    "back over itself": (
        PATH,
        {"form": {"points": [["0 mm", "0 mm"], ["90 mm", "0 mm"], ["10 mm", "1 mm"]]}},
        "turns the line back",
    ),
    "bends too round": (PATH, {"form": {"fillet": "40 mm"}}, "take a smaller fillet"),
    "too many LEDs": (PATH, {"light": {"count": 40}}, "write light.count = 10, or lengthen"),
    "a margin of an open path": (PATH, {"form": {"margin": "9 mm"}}, "write width"),
    "points on one line": (
        HOUSE,
        {"form": {"points": [["0 mm", "0 mm"], ["50 mm", "0 mm"], ["90 mm", "0 mm"]]}},
        "lie on one line",
    ),
    "corners rounder than a circle": (POLYGON, {"form": {"fillet": "30 mm"}}, "25.4 mm"),
}


@pytest.mark.parametrize("name", every(REFUSED, lambda at: at % 3 == 0))
def test_what_is_no_line_is_refused_with_what_would_be(name: str) -> None:
    base, change, words = REFUSED[name]
    with pytest.raises(RefusalError) as refused:
        plan(parameters_of(merged(base, change)))
    assert words in str(refused.value)


@pytest.mark.thorough
def test_a_band_asked_too_narrow_is_offered_the_least_that_does() -> None:
    """The offer is followed: it builds, and half a millimetre less does not."""
    with pytest.raises(RefusalError) as refused:
        built_of(merged(ARC, {"form": {"width": "4 mm"}}))
    (offer,) = refused.value.problems[0].offers
    assert offer.path == "form.width"
    least = float(offer.value.strip('"').removesuffix(" mm"))
    sound(merged(ARC, {"form": {"width": f"{least:g} mm"}}))
    with pytest.raises(RefusalError):
        built_of(merged(ARC, {"form": {"width": f"{least - 1:g} mm"}}))


@pytest.mark.thorough
def test_the_supply_may_come_in_at_the_other_end() -> None:
    left, right = (sound(merged(ARC, {"connector": {"at": at}})) for at in ("left", "right"))
    x_left, x_right = (built.design.board.part("J1").x_mm for built in (left, right))
    middle = left.design.board.outline.length_mm / 2
    assert x_left < middle < x_right


FREE: dict[str, dict[str, Any]] = {
    "an arc beyond its ends": {
        "form": {"from": "225 deg", "to": "-45 deg", "pitch": "24 mm"},
    },
    "an arc fed at its other end": {
        "form": {"from": "200 deg", "to": "-20 deg", "pitch": "24 mm"},
        "connector": {"at": "right"},
    },
}  # fmt: skip


@pytest.mark.thorough
@pytest.mark.parametrize("name", FREE)
def test_wires_reach_a_connector_on_an_edge_that_is_not_the_outermost(name: str) -> None:
    """The board's own box says nothing of such an edge: the way in front of it is free."""
    sound(merged(ARC, FREE[name]))


@pytest.mark.thorough
def test_a_board_that_bends_round_before_its_connector_is_told_so() -> None:
    points = [["0 mm", "0 mm"], ["90 mm", "0 mm"], ["90 mm", "80 mm"], ["-60 mm", "80 mm"],
              ["-60 mm", "20 mm"], ["-22 mm", "20 mm"], ["-22 mm", "-30 mm"]]  # fmt: skip
    built = built_of(merged(PATH, {"form": {"points": points, "fillet": "13 mm"}}))
    assert "connector.entry" in {finding.code for finding in built.judgement.findings}


@pytest.mark.parametrize("points", [
    [["0 mm", "0 mm"], ["200 mm", "0 mm"], ["200 mm", "150 mm"], ["100 mm", "150 mm"],
     ["100 mm", "-80 mm"]],
    [["0 mm", "0 mm"], ["150 mm", "0 mm"], ["150 mm", "15 mm"], ["0 mm", "15 mm"]],
], ids=["crossing", "legs that overlap"])  # fmt: skip
@pytest.mark.thorough
def test_an_edge_that_crosses_itself_is_named(points: list[list[str]]) -> None:
    with pytest.raises(RefusalError, match="crosses itself"):
        built_of(merged(PATH, {"form": {"points": points, "fillet": "5 mm"}}))


def test_a_bend_is_as_round_as_its_sides_allow() -> None:
    """Two right angles share a side of 21 mm, of which 1 mm stays straight: 10 mm each."""
    points = [["0 mm", "0 mm"], ["90 mm", "0 mm"], ["90 mm", "21 mm"], ["170 mm", "21 mm"]]
    planned = plan(parameters_of(merged(PATH, {"form": {"points": points, "fillet": None}})))
    assert planned.sketch
    (line,) = planned.sketch(12.0).spines
    assert {round(abs(p.radius_mm), 6) for p in line.pieces if p.radius_mm} == {10.0}


@pytest.mark.thorough
@pytest.mark.parametrize(("sides", "fillet"), [(5, "20 mm"), (7, "20 mm"), (12, None)])
def test_a_polygon_is_straight_where_its_connector_stands(sides: int, fillet: str | None) -> None:
    """Its face is flush: no rule on wires, edge and looks has anything to say."""
    form = {"kind": "polygon", "sides": sides, "fillet": fillet, "pitch": "20 mm"}
    sound(merged(ARC, {"form": form}))


LINES = {
    "open": "M 0 0 H 60 A 20 20 0 0 1 80 20 V 90",
    "open, both ways": "M 0 0 h 50 a 25 25 0 0 0 25 -25 v -20 a 25 25 0 0 1 25 -25 h 60",
    "a stadium": "M 30 0 H 130 A 30 30 0 0 1 130 60 H 30 A 30 30 0 0 1 30 0 Z",
    "a drop": "M 0 0 H 60 V 60 L 30 100 L 0 60 Z",
}


def lined(name: str, **connector: str) -> str:
    form = {"kind": "path", "line": LINES[name], "points": None, "fillet": None}
    return merged(PATH, {"form": form, "connector": connector} if connector else {"form": form})


def test_path_data_and_points_are_one_line() -> None:
    points = [["0 mm", "0 mm"], ["90 mm", "0 mm"], ["90 mm", "-60 mm"], ["160 mm", "-60 mm"]]
    drawn = merged(PATH, {"form": {"points": None, "line": "M0 0H90V60H160", "fillet": "9 mm"}})
    by_hand = merged(PATH, {"form": {"points": points, "fillet": "9 mm"}})
    one, other = (plan(parameters_of(text)).sketch for text in (drawn, by_hand))
    assert one
    assert other
    assert one(14.0) == other(14.0)


def test_arcs_of_path_data_are_as_long_and_round_as_drawn() -> None:
    """Half circles of 30 mm and two sides of 100 mm: 200 + 60 pi (geometry)."""
    sketch = plan(parameters_of(lined("a stadium"))).sketch
    assert sketch
    (line,) = sketch(8.0).spines
    assert line.closed
    assert line.length_mm == pytest.approx(200 + 60 * math.pi)
    assert {round(abs(p.radius_mm), 6) for p in line.pieces if p.radius_mm} == {30.0}


@pytest.mark.thorough
@pytest.mark.parametrize("name", LINES)
@pytest.mark.parametrize("side", ["top", "bottom"])
def test_a_line_of_path_data_is_built_and_proven(name: str, side: str) -> None:
    sound(lined(name, side=side))


@pytest.mark.parametrize(("line", "words"), [
    ("M 0 0 C 1 2 3 4 5 6", "is not path data"), ("H 60", "does not begin with M"),
    ("M 0 0 H 60 M 9 9 V 60", "draws 2 lines"), ("M 0 0", "draws no line"),
    ("M 0 0 H 60 A 20 20 0 0 0 80 20", "line 2 meets an arc at 90 deg"),
    ("M 0 0 A 30 30 0 0 1 60 0 A 30 30 0 0 1 0 0 Z", "is an arc, and the supply"),
    ("M 0 0 H 60 H 0", "turns the line back over itself"),
    ("M 0 0 H 9", "the path is 9 mm long"),
])  # fmt: skip
def test_path_data_that_make_no_line_are_refused(line: str, words: str) -> None:
    with pytest.raises(RefusalError, match=words):
        parameters_of(merged(PATH, {"form": {"points": None, "line": line}}))


@pytest.mark.parametrize("key", ["points", "closed"])
def test_path_data_stand_alone(key: str) -> None:
    beside = {"points": [["0 mm", "0 mm"], ["9 mm", "0 mm"]], "closed": True}[key]
    text = merged(PATH, {"form": {"points": None, "line": LINES["open"], "fillet": None}})
    with pytest.raises(RefusalError, match="belongs to a path of points"):
        parameters_of(merged(text, {"form": {key: beside}}))


SHARP = merged(PATH, {
    "form": {"points": [["0 mm", "0 mm"], ["101 mm", "0 mm"], ["180 mm", "-46 mm"],
                        ["180 mm", "74 mm"]], "pitch": "20 mm", "facing": "one way"},
    "light": {"count": 6},
})  # fmt: skip


@pytest.mark.parametrize("cutter_mm", every([2, 4], lambda at: at == 0))
def test_an_edge_goes_no_further_out_than_bends_and_cutter_allow(cutter_mm: int) -> None:
    """An inner corner is as round as its bend less half the width; half the cutter at least."""
    parameters = parameters_of(merged(SHARP, {"form": {"width": "60 mm", "fillet": "12 mm"}}))
    limits = replace(parameters.parts.limits, router_mm=cutter_mm)
    parts = replace(parameters.parts, limits=limits)
    with pytest.raises(RefusalError, match="sides would meet") as refused:
        draw_board(replace(parameters, parts=parts))
    (offer,) = refused.value.problems[0].offers
    most_mm = float(offer.value.strip('"').removesuffix(" mm"))
    assert 2 * (12 - cutter_mm / 2) - 0.15 < most_mm < 2 * (12 - cutter_mm / 2)
    drawn = replace(parameters, parts=parts, form=replace(parameters.form, width_mm=most_mm))
    assert "profile.corner" not in {finding.code for finding in check(draw_board(drawn))}


@pytest.mark.thorough
def test_letters_do_not_push_an_edge_beyond_what_bends_allow() -> None:
    """Once the board grew for its letters until its inner corners were too sharp to be milled."""
    text = merged(SHARP, {
        "board": {"title": "Unbreakablewords"}, "form": {"fillet": "12 mm"},
        "copper": {"sides": 1}, "connector": {"side": "bottom"}, "order": {"house": "milled"},
    })  # fmt: skip
    with pytest.raises(RefusalError, match="finds no room in the copper") as refused:
        draw_board(parameters_of(text))
    assert not refused.value.problems[0].offers

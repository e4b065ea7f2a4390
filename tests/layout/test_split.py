"""A pour of its own for the supply: 0 V on the LEDs' side, V+ below, a via to each ballast."""

import math
from typing import Any

import pytest

from boardgen.checks.notes import supply_pour
from boardgen.designing import draw_board
from boardgen.errors import RefusalError
from boardgen.layout.course import Course
from boardgen.layout.scattered import courses
from boardgen.layout.scattered.routes import routes
from boardgen.model.board import Side
from tests.conftest import every, merged, parameters_of
from tests.forms.test_lines import sound

DISC = """\
[board]
title = "Split"
date = "2026-11-29"
[supply]
from = "usb 5 V 500 mA"
[light]
led     = "white 2835"
count   = 12
current = "10 mA"
[form]
kind  = "disc"
pitch = "20 mm"
[copper]
pour = "split"
"""
BOARDS: dict[str, dict[str, dict[str, Any]]] = {
    "a disc": {},
    "behind a switch and guards": {
        "connector": {"switch": "slide switch"},
        "protection": {"fuse": "500 mA resettable", "reverse": "schottky"}},
    "fed from the middle": {
        "form": {"kind": "ring", "facing": "outward"},
        "connector": {"at": "centre", "kind": "pin header 2.54 mm"}},
    "strings of a word": {
        "supply": {"from": "adapter 12 V"}, "light": {"count": 24, "in_series": 3},
        "form": {"kind": "word", "text": "LAB", "pitch": "15 mm"}},
    "with test points": {"copper": {"test_points": True}},
    "from below, four poles": {"connector": {"side": "bottom", "kind": "wire pads", "poles": 4}},
}  # fmt: skip


def of(name: str) -> str:
    return merged(DISC, BOARDS[name])


@pytest.mark.parametrize("name", every(BOARDS, lambda place: place == 0))
def test_each_ballast_has_a_via_of_its_own_and_the_board_is_proven(name: str) -> None:
    board = sound(of(name)).design.board
    assert {pour.side: pour.net for pour in board.pours} == {Side.TOP: "0V", Side.BOTTOM: "V+"}
    branches = len(draw_board(parameters_of(of(name))).circuit.branches)
    risers = [via for via in board.vias if via.net == "V+"]
    assert len(risers) == branches + ("test points" in name)
    assert len(board.vias) == len(risers), "0 V needs none"
    design = draw_board(parameters_of(of(name)))
    for branch in design.circuit.branches:
        part = design.board.part(branch.ballasts[0])
        x, y = part.land_place(part.pattern.land("1"))
        (via,) = [track.points[-1] for track in board.tracks
                  if track.net == "V+" and math.dist(track.points[0], (x, y)) < 1e-6]  # fmt: skip
        back = (part.x_mm - x) * (via[0] - x) + (part.y_mm - y) * (via[1] - y)
        assert back < 1e-6, f"{branch.ballasts[0]} is fed from below itself"
    stubs = [track for track in board.tracks if track.net == "V+" and "switch" not in name]
    assert max((math.dist(*track.points) for track in stubs), default=0.0) <= 8.0


@pytest.mark.thorough
def test_it_is_said() -> None:
    (asked,) = supply_pour(draw_board(parameters_of(DISC)))
    assert "as asked for" in asked.message
    assert not list(
        supply_pour(draw_board(parameters_of(merged(DISC, {"copper": {"pour": "both"}}))))
    )


def test_without_a_word_it_is_taken_where_tracks_find_no_way(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The search for tracks is made to fail: asked for as tracks it is refused, else poured."""

    def none(*args: Any, cuts: bool) -> Any:
        course: Course = args[2]
        return routes(*args, cuts=cuts) if course.split else "the supply finds no way to R1"

    monkeypatch.setattr(courses, "routes", none)
    with pytest.raises(RefusalError, match="finds no way to R1"):
        draw_board(parameters_of(merged(DISC, {"copper": {"pour": "both"}})))
    (said,) = supply_pour(draw_board(parameters_of(merged(DISC, {"copper": {"pour": None}}))))
    assert "for tracks found no way" in said.message


@pytest.mark.thorough
def test_tracks_come_first() -> None:
    design = draw_board(parameters_of(merged(DISC, {"copper": {"pour": None}})))
    assert {pour.net for pour in design.board.pours} == {"0V"}


@pytest.mark.parametrize("changes", [
    {"copper": {"sides": 1}, "connector": {"side": "bottom"}},
    {"protection": {"fuse": "500 mA resettable"}},
])  # fmt: skip
def test_what_has_no_other_side_or_no_place_or_pin_for_it_is_refused(
    changes: dict[str, dict[str, Any]],
) -> None:
    with pytest.raises(RefusalError, match="no pour of its own"):
        draw_board(parameters_of(merged(DISC, changes)))


@pytest.mark.parametrize("form", [
    {"kind": "bar"}, {"kind": "ring"}, {"kind": "arc"}, {"kind": "ring", "circles": 2},
])  # fmt: skip
def test_forms_along_a_line_have_rails(form: dict[str, Any]) -> None:
    with pytest.raises(RefusalError, match="stand along a line"):
        parameters_of(merged(DISC, {"form": form}))


def test_the_power_balance_closes_and_less_is_lost_than_along_tracks() -> None:
    """Each part from its own law; a pour as wide as the board loses less than tracks across it."""
    poured, tracks = (
        draw_board(parameters_of(merged(DISC, {"copper": {"pour": pour}}))).operation
        for pour in ("split", "both")
    )
    power = poured.power
    parts = power.leds_w + power.ballasts_w + power.guards_w + power.rails_w
    assert parts == pytest.approx(power.supply_w, rel=1e-9)
    assert 0.0 < poured.rails.drop_v < tracks.rails.drop_v

"""Currents at the connector: wide rails leave room for its signs, spokes grow with the current."""

from typing import Any

import pytest

from boardgen.checks.table import check
from boardgen.designing import design_board
from boardgen.errors import RefusalError
from boardgen.model.artwork import Purpose
from boardgen.model.design import Design
from boardgen.standards import track_width
from tests.conftest import every, merged, parameters_of

COIN = """
[board]
title = "-"
date = "2026-11-25"
[supply]
from = "lithium coin 20 mm"
[light]
led = "green 3528"
count = 60
use = "task"
[resistor]
size = "0805"
per_branch = 2
[form]
kind = "bar"
pitch = "8.8 mm"
rows = 2
[connector]
kind = "coin cell holder 20 mm"
at = "left"
[mounting]
at = "none"
[copper]
sides = 1
relief = "holes"
[order]
house = "home-etched"
"""
HEADER = """
[board]
title = "spokes"
date = "2026-11-25"
[supply]
from = "alkaline AA"
cells = 3
[light]
led = "red 0402"
count = 58
current = "27.1 mA"
[form]
kind = "bar"
pitch = "7 mm"
rows = 2
[connector]
kind = "pin header 2.54 mm"
at = "left"
[copper]
sides = 1
weight = "0.5 oz"
relief = "holes"
[order]
house = "fine"
"""


FUSED = """
[board]
title = "0"
date = "2026-11-25"
[supply]
from = "alkaline AA"
cells = 3
[light]
led = "green 1206"
count = 45
current = "20.3 mA"
[resistor]
size = "0805"
per_branch = 2
[protection]
fuse = "500 mA resettable"
[form]
kind = "bar"
pitch = "644 mil"
[connector]
kind = "terminal 3.81 mm"
at = "left"
[mounting]
screw = "M3"
at = "ends"
[copper]
sides = 1
relief = "none"
[order]
house = "home-etched"
"""


def _codes(design: Design) -> set[str]:
    return {finding.code for finding in check(design)}


@pytest.mark.parametrize("at", ["left", "right", "middle"])
@pytest.mark.thorough
def test_a_rail_in_bare_copper_leaves_room_for_the_sign_at_its_pole(at: str) -> None:
    """The current alone would have it 16 mm wide, over all places for +."""
    design = design_board(parameters_of(merged(COIN, {"connector": {"at": at}})))
    assert {text.text for text in design.board.texts} >= {"+", "−"}


@pytest.mark.thorough
def test_a_rail_asked_for_over_the_place_of_a_sign_is_refused_with_the_widest() -> None:
    with pytest.raises(RefusalError) as caught:
        design_board(parameters_of(merged(COIN, {"copper": {"rail": "9 mm"}})))
    (problem,) = caught.value.problems
    assert problem.path == "copper.rail"
    widest = problem.remedy.split('"')[1]
    design_board(parameters_of(merged(COIN, {"copper": {"rail": widest}})))


def _spoke_mm(design: Design) -> float:
    widths = {
        2 * item.shape.radius_nm / 1e6
        for layer in design.artwork.coppers()
        for item in layer.items
        if item.purpose is Purpose.SPOKE
    }  # fmt: skip
    (width,) = widths
    return width


@pytest.mark.thorough
def test_spokes_of_a_lead_are_as_wide_as_the_current_asks_for() -> None:
    """IPC-2221 curve fit, as `standards.track_width` has it: two spokes carry the return."""
    design = design_board(parameters_of(HEADER))
    copper = design.parameters.copper
    needed = track_width.width_mm(design.circuit.worst_a, copper.rise_k, copper.weight_um)
    assert needed / 2 <= _spoke_mm(design) <= needed / 2 + 0.05
    assert "relief.current" not in _codes(design)


@pytest.mark.thorough
def test_spokes_of_both_sides_share_the_current() -> None:
    wide, shared = (
        design_board(parameters_of(merged(HEADER, {"copper": {"sides": sides}})))
        for sides in (1, 2)
    )
    assert _spoke_mm(shared) < _spoke_mm(wide)
    assert "relief.current" not in _codes(shared)


@pytest.mark.parametrize("relief", ["none", "holes"])
@pytest.mark.thorough
def test_no_current_moves_the_connector(relief: str) -> None:
    """Spokes find their room around the lead or are narrow; the board stays as it is."""
    current = {"light": {"current": "5 mA"}}
    weak, strong = (
        design_board(parameters_of(merged(HEADER, {"copper": {"relief": relief}, **light}))).board
        for light in (current, {})
    )
    assert [p.x_mm for p in weak.parts if p.reference == "J1"] == [
        p.x_mm for p in strong.parts if p.reference == "J1"
    ]


@pytest.mark.thorough
def test_without_relief_no_spoke_is_planned() -> None:
    design = design_board(parameters_of(merged(HEADER, {"copper": {"relief": "none"}})))
    assert {pour.lead_spoke_mm for pour in design.board.pours} == {design.limits.aims.hole_spoke_mm}


@pytest.mark.parametrize("relief", every(["none", "holes", "all"], lambda at: at == 1))
@pytest.mark.thorough
def test_no_current_takes_the_place_of_the_signs_in_copper(relief: str) -> None:
    changes: dict[str, dict[str, Any]] = {
        "supply": {"from": "usb 5 V", "cells": None},
        "light": {"led": "red 3528", "count": 60, "current": "25 mA"},
        "form": {"rows": 1, "pitch": "30 mm"},
        "copper": {"sides": 2, "weight": "35 um", "relief": relief},
        "order": {"house": "ordinary", "mask": "none"},
    }
    design = design_board(parameters_of(merged(HEADER, changes)))
    assert {text.text for text in design.board.texts} >= {"+", "−"}


def test_spokes_of_small_currents_are_as_wide_as_the_house_likes_them() -> None:
    design = design_board(parameters_of(merged(HEADER, {"light": {"count": 4, "current": "5 mA"}})))
    assert _spoke_mm(design) == design.limits.aims.hole_spoke_mm


@pytest.mark.thorough
def test_spokes_that_find_no_room_as_wide_are_narrow_and_the_rule_says_what_is_lacking() -> None:
    light = {"light": {"led": "red 3528", "count": 58, "current": "150 mA"}}
    design = design_board(parameters_of(merged(HEADER, light)))
    assert _spoke_mm(design) == design.limits.aims.hole_spoke_mm
    assert "relief.current" in _codes(design)
    assert "relief.spokes" not in _codes(design)


@pytest.mark.thorough
def test_a_wide_feed_behind_a_guard_keeps_off_the_screw_head() -> None:
    """Its round end reaches beyond the guard's courtyard."""
    design = design_board(parameters_of(FUSED))
    guard = next(part for part in design.board.parts if part.reference == "F1")
    widest = max(track.width_mm for track in design.board.tracks)
    out = guard.land_place(guard.pattern.by_function("out"))[0] + widest / 2
    assert out > guard.extent(guard.pattern.courtyard).right_mm
    assert "screw.room" not in _codes(design)


@pytest.mark.thorough
def test_a_wide_rails_end_at_a_test_point_stays_inside_the_board() -> None:
    """Its round end, half its width, reached beyond the end of the board."""
    changes: dict[str, dict[str, Any]] = {
        "light": {"count": 58, "use": None, "current": "7.3 mA"},
        "resistor": {"per_branch": 1},
        "form": {"rows": 1, "pitch": "7.8 mm"},
        "connector": {"side": "top"},
        "copper": {"sides": 2, "weight": "2 oz", "test_points": True},
        "order": {"house": "ordinary"},
    }
    assert not _codes(design_board(parameters_of(merged(COIN, changes)))) & {
        "edge.copper",
        "profile.outside",
    }

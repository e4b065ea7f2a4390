"""Rounded corners and rounded ends of rails keep off one another and off the board's ends."""

import re
from typing import Any

import pytest

from boardgen.checks.table import check
from boardgen.designing import design_board
from boardgen.errors import RefusalError
from tests.checks.planting import corner_mm
from tests.conftest import SHELF, design_of, merged, parameters_of

LONG = """\
[board]
title = "Far rail"
[supply]
low = "8 V"
nominal = "9 V"
high = "9.6 V"
[light]
led = "amber 0603"
count = 6
current = "0.5 mA"
[resistor]
size = "2512"
[protection]
fuse = "750 mA resettable"
reverse = "schottky"
[form]
kind = "bar"
pitch = "20 mm"
width = "34.7 mm"
[connector]
kind = "terminal 5.0 mm"
poles = 3
at = "right"
[mounting]
at = "none"
[copper]
weight = "2 oz"
relief = "none"
[order]
house = "first-time"
mask = "none"
"""
"""Found by the random run of the laws: the rail's round end lay 0.05 mm too near to a corner."""


def test_a_corner_that_comes_too_near_to_the_rails_end_is_refused_with_the_largest_that_fits() -> (
    None
):
    with pytest.raises(RefusalError) as caught:
        design_board(parameters_of(merged(LONG, {"form": {"corner": "2.8 mm"}})))
    assert 'form.corner = "2.3 mm"' in str(caught.value)


def test_the_corner_that_is_offered_keeps_every_limit() -> None:
    design = design_board(parameters_of(merged(LONG, {"form": {"corner": "2.3 mm"}})))
    assert not [found for found in check(design) if found.code.startswith("edge.")]


WIDE = """\
[board]
title = "Wide rail"
[supply]
from = "lithium coin 20 mm"
[light]
led = "warm white 0805"
count = 48
current = "10 mA"
[resistor]
size = "2010"
per_branch = 2
[form]
kind = "bar"
pitch = "23.3 mm"
[connector]
kind = "coin cell holder 20 mm"
at = "right"
[mounting]
at = "none"
[copper]
weight = "2 oz"
"""
"""Found by the blind pairs: a rail of 17 mm, whose round end reached beyond the board's end."""


@pytest.mark.thorough
def test_a_rail_is_no_wider_than_its_round_end_has_room_before_the_boards_end() -> None:
    design = design_board(parameters_of(WIDE))
    assert not {found.code for found in check(design)} & {"edge.copper", "profile.outside"}


@pytest.mark.thorough
def test_a_wide_rail_that_is_asked_for_is_refused_with_the_length_that_fits_it() -> None:
    wide = merged(WIDE, {"copper": {"rail": "12 mm"}, "form": {"width": "60 mm"}})
    with pytest.raises(RefusalError) as caught:
        design_board(parameters_of(wide))
    found = re.search(r'length = "([\d.]+) mm"', str(caught.value))
    assert found
    longer = merged(wide, {"form": {"length": f"{found[1]} mm"}})
    assert not {f.code for f in check(design_board(parameters_of(longer)))} & {"edge.copper"}


ROWS: dict[str, Any] = {"form": {"rows": 3}, "light": {"count": 9}}
INCHES = {"form": {"pitch": "0.6 in"}, "board": {"date": "2026-11-25"}}


@pytest.mark.parametrize(
    "changes",
    [{}, {"mounting": {"at": "corners"}}, {"form": {"rows": 2}}, ROWS],
    ids=["one row", "corners", "two rows", "three rows"],
)
@pytest.mark.thorough
def test_a_pitch_in_inches_asks_for_its_grid_along_the_row_only(changes: dict[str, Any]) -> None:
    text = merged(merged(SHELF, INCHES), changes)
    assert "looks.grid" not in {found.code for found in check(design_of(text))}


def test_ballasts_leave_the_grid_of_inches_where_it_would_ask_for_a_larger_pitch() -> None:
    three: dict[str, dict[str, Any]] = {"form": {"pitch": "0.65 in"}, "resistor": {"per_branch": 3}}
    assert design_of(merged(SHELF, three)).board.part("R1")


CONCENTRIC = """
[board]
title = "A"
date = "2026-11-25"
[supply]
from = "adapter 12 V"
[light]
led = "green 3528"
count = 48
current = "21.3 mA"
[resistor]
size = "0402"
[form]
kind = "bar"
pitch = "356 mil"
corner = "3 mm"
[connector]
kind = "terminal 2.54 mm"
poles = 4
at = "right"
side = "top"
[mounting]
screw = "M1.6"
under = "washer"
at = "corners"
[copper]
weight = "0.5 oz"
relief = "holes"
"""


@pytest.mark.thorough
def test_a_screws_room_that_fills_a_corner_leaves_no_slices_of_copper() -> None:
    """Its circle and the pour's corner are the same arc, cut into chords in two ways."""
    design = design_board(parameters_of(CONCENTRIC))
    hole, corner = design.board.holes[0], corner_mm(design.board.outline)
    assert hole.room_mm / 2 == corner - design.board.pours[0].edge_mm
    assert not {f.code for f in check(design)} & {"net.whole", "pour.island"}


HEADER: dict[str, Any] = {
    "supply": {"from": "adapter 24 V"},
    "light": {"led": "white 1206", "count": 22, "use": "task"},
    "form": {"pitch": "329 mil"},
    "connector": {"kind": "pin header 2.54 mm", "poles": 3},
    "mounting": {"at": "none"},
    "copper": {"relief": "holes"},
    "order": {"house": "first-time"},
}
MILLED: dict[str, Any] = {
    "supply": {"from": "alkaline AAA", "cells": 4},
    "light": {"led": "warm white 0805", "count": 24, "use": "night-light"},
    "form": {"pitch": "681 mil", "rows": 3, "row_pitch": "14.2 mm"},
    "connector": {"kind": "pin header 2.54 mm", "poles": 2, "at": "middle"},
    "mounting": {"at": "corners", "screw": "M1.6", "under": "none"},
    "order": {"house": "milled"},
}


@pytest.mark.parametrize(
    ("changes", "asked", "code"),
    [
        pytest.param(HEADER, "2.9 mm", "edge.copper", id="a rail's foot at a pin header"),
        pytest.param(
            MILLED,
            "2.8 mm",
            "edge.hole",
            id="a wall at a corner's screw",
            marks=pytest.mark.thorough,
        ),
    ],
)
@pytest.mark.thorough
def test_large_corners_keep_off_what_lies_in_them(
    changes: dict[str, Any], asked: str, code: str
) -> None:
    """Found by random files: refused with a radius that does, and that one builds."""
    text = merged(SHELF, changes)
    with pytest.raises(RefusalError, match=r'form.corner = "2.7 mm"'):
        design_board(parameters_of(merged(text, {"form": {"corner": asked}})))
    fitting = design_of(merged(text, {"form": {"corner": "2.7 mm"}}))
    assert code not in {found.code for found in check(fitting)}


@pytest.mark.thorough
def test_the_return_passes_between_the_far_screw_and_the_land_there() -> None:
    """Found by random files: ballasts over their row put a land beside the screw."""
    text = merged(
        SHELF,
        {
            "supply": {"from": "adapter 12 V"},
            "light": {"led": "white 3528", "count": 32, "use": None, "current": "1.6 mA"},
            "form": {"pitch": "300 mil", "rows": 2, "row_pitch": "8 mm"},
            "connector": {"kind": "terminal 3.81 mm", "at": "right"},
            "mounting": {"screw": "M2.5", "under": "head"},
            "copper": {"relief": "none"},
        },
    )
    assert "net.whole" not in {found.code for found in check(design_of(text))}

"""Rows of boards with one copper side: the pour passes between them, bars keep off large ballasts.

What random files found; the values are our own.
"""

import re
from itertools import pairwise
from typing import Any

import pytest

from boardgen.checks.table import check
from boardgen.designing import design_board
from boardgen.errors import RefusalError
from boardgen.model.part_kinds import PartKind
from boardgen.reading.parameters import parse
from tests.conftest import SHELF, built_of, design_of, merged

ROWS = merged(
    SHELF,
    {
        "supply": {
            "from": None,
            "kind": "adapter",
            "low": "20.4 V",
            "nominal": "24 V",
            "high": "28.8 V",
        },
        "light": {"led": "orange 0805", "count": 54, "use": "night-light"},
        "resistor": {"size": "0805"},
        "form": {"pitch": "309 mil", "rows": 3},
        "connector": {"kind": "terminal 2.54 mm", "poles": 4},
        "copper": {"sides": 1, "weight": "0.5 oz"},
    },
)


@pytest.mark.parametrize("house", ["home-etched", "milled"])
@pytest.mark.thorough
def test_the_closest_rows_that_are_offered_leave_the_pour_whole(house: str) -> None:
    """Rows four millimetres apart are refused with the least that would do."""
    close = {"order": {"house": house}, "form": {"row_pitch": "4 mm"}}
    with pytest.raises(RefusalError) as refused:
        design_board(parse(merged(ROWS, close), file="bar.toml", name="bar"))
    least = re.search(r'row_pitch = "([\d.]+ mm)"', str(refused.value))
    assert least
    fits = {"order": {"house": house}, "form": {"row_pitch": least[1]}}
    design = design_board(parse(merged(ROWS, fits), file="bar.toml", name="bar"))
    assert not {found.code for found in check(design)} & {"net.whole", "pour.thin"}


@pytest.mark.thorough
def test_a_copper_bar_beside_a_large_ballast_is_still_its_leds() -> None:
    text = merged(
        SHELF,
        {
            "light": {"led": "blue 0603", "count": 3},
            "resistor": {"size": "2512"},
            "copper": {"sides": 1, "weight": "2 oz"},
            "order": {"house": "home-etched"},
        },
    )
    proof = built_of(text).proof
    assert proof
    assert proof.holds


@pytest.mark.thorough
def test_the_wide_foot_of_a_thin_rail_keeps_off_the_next_pole() -> None:
    text = merged(
        SHELF,
        {
            "board": {"title": "C"},
            "supply": {"from": "alkaline AA", "cells": 3},
            "light": {"led": "green 0603", "count": 5, "use": None, "current": "9.5 mA"},
            "form": {"pitch": "461 mil"},
            "connector": {"kind": "terminal 3.5 mm", "poles": 3, "at": "left"},
            "mounting": {"at": "none"},
            "copper": {"sides": 1, "weight": "0.5 oz", "rail": "0.5 mm", "test_points": True},
            "order": {"house": "home-etched"},
        },
    )
    assert "gap.copper" not in {found.code for found in check(design_of(text))}


def test_test_points_of_a_rail_near_the_middle_keep_off_one_another() -> None:
    text = merged(
        SHELF,
        {
            "board": {"title": "C"},
            "light": {"led": "amber 0603", "count": 15, "use": None, "current": "25.2 mA"},
            "resistor": {"size": "0402"},
            "form": {"pitch": "300 mil"},
            "connector": {
                "kind": "terminal 2.54 mm",
                "poles": 3,
                "at": "middle",
                "switch": "slide switch",
            },
            "mounting": {"at": "none"},
            "copper": {
                "sides": 1,
                "weight": "0.5 oz",
                "relief": "holes",
                "rail": "0.5 mm",
                "test_points": True,
            },
            "order": {"house": "fine", "mask": "none"},
        },
    )
    assert "courtyard.overlap" not in {found.code for found in check(design_of(text))}


def test_a_screw_asked_for_over_a_copper_bar_is_refused() -> None:
    """Where D1's bar lies is read off the board without screws."""
    bare: dict[str, dict[str, Any]] = {
        "supply": {
            "from": None,
            "kind": "adapter",
            "low": "8 V",
            "nominal": "9 V",
            "high": "9.6 V",
        },
        "light": {"led": "red 0402", "use": None, "current": "5.8 mA"},
        "copper": {"sides": 1},
        "order": {"house": "home-etched"},
    }
    plain = merged(merged(SHELF, bare), {"mounting": {"at": "none"}})
    (bar,) = [mark for mark in design_of(plain).board.marks if mark.owner == "D1"]
    x, y = bar.points[0]
    place = [f"{x + 0.5:.3f} mm", f"{y + 1.5:.3f} mm"]
    screw: dict[str, Any] = {"screw": "M2", "under": "none", "places": [place]}
    with pytest.raises(RefusalError, match="meets the mark of D1"):
        design_of(merged(merged(SHELF, bare), {"mounting": screw}))


@pytest.mark.parametrize("rows", [2, 3])
@pytest.mark.parametrize("row_pitch", ["10 mm", "12 mm", "15 mm"])
@pytest.mark.thorough
def test_rows_at_a_row_pitch_on_the_grid_lie_on_the_grid(rows: int, row_pitch: str) -> None:
    form = {"rows": rows, "row_pitch": row_pitch, "pitch": "14 mm"}
    text = merged(SHELF, {"light": {"count": 2 * rows}, "form": form})
    design = design_board(parse(text, file="bar.toml", name="bar"))
    assert "looks.grid" not in {finding.code for finding in check(design)}


@pytest.mark.parametrize("width", [None, "60 mm"])
@pytest.mark.thorough
def test_rails_come_in_with_rows_that_lie_nearer_than_the_board_is_wide(width: str | None) -> None:
    form = {"rows": 5, "row_pitch": "8 mm", "pitch": "8 mm", "width": width}
    wide = {"kind": "terminal 5.08 mm", "poles": 4, "switch": "slide switch"}
    light = {"led": "white 0805", "count": 20}
    text = merged(SHELF, {"light": light, "form": form, "connector": wide})
    design = design_of(text)
    rows = sorted({part.y_mm for part in design.board.parts if part.kind is PartKind.LED})
    assert [round(b - a, 6) for a, b in pairwise(rows)] == [8.0] * 4
    codes = {finding.code for finding in check(design)}
    assert not codes & {"looks.grid", "gap.copper", "courtyard.overlap", "net.parts"}


def test_a_row_pitch_that_no_grid_divides_is_taken_as_meant() -> None:
    form = {"rows": 3, "row_pitch": "12.6 mm", "pitch": "14 mm"}
    text = merged(SHELF, {"light": {"count": 6}, "form": form})
    design = design_board(parse(text, file="bar.toml", name="bar"))
    assert any(part.y_mm % 0.5 for part in design.board.parts)
    assert "looks.grid" not in {finding.code for finding in check(design)}

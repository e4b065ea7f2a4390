"""What was measured on the bench: the supply first, then branches; sums by Ohm's law, by hand."""

from typing import Any

import pytest

from boardgen.checks.table import check
from boardgen.electrical.measured import expected
from boardgen.model.design import Design
from boardgen.model.findings import Severity
from tests.conftest import SHELF, Make, design_of, merged

BRANCHES = 8


def measured(design: Make, supply: str, **more: object) -> Design:
    told = {"date": "2026-02-03", "supply": supply, "current": "105 mA", **more}
    made: Design = design(built=told)
    return made


def of_the_bench(made: Design) -> list[tuple[str, Severity]]:
    return [(f.code, f.severity) for f in check(made) if f.code.startswith("built.")]


def test_twelve_volts_on_a_board_for_five_is_an_error_that_says_unplug(design: Make) -> None:
    """(12 - 3.1) V / 150 ohm = 59 mA and 0.53 W in a resistor of 0.125 W (own sum)."""
    made = measured(design, "12.0 V", current="475 mA", ballasts=["8.9 V"] * BRANCHES,
                    resistors=["150R"] * BRANCHES)  # fmt: skip
    assert of_the_bench(made) == [("built.supply", Severity.ERROR)]
    (found,) = [f for f in check(made) if f.code == "built.supply"]
    assert found.message.startswith("unplug it: the supply gave 12 V")


@pytest.mark.parametrize(
    ("supply", "told"),
    [("5.5 V", False), ("5.6 V", False), ("5.62 V", True), ("4.66 V", False), ("4.65 V", True)],
)
def test_the_supply_is_held_against_its_range_and_the_meter(
    design: Make, supply: str, *, told: bool
) -> None:
    """4.75 to 5.5 V and 2 % for the meter: 4.655 to 5.61 V (own choice, own sum)."""
    codes = {code for code, _ in of_the_bench(measured(design, supply))}
    assert ("built.supply" in codes) is told


def test_below_its_range_only_the_supply_is_asked_about(design: Make) -> None:
    made = measured(design, "1.2 V", ballasts=["0 V"] * BRANCHES)
    assert of_the_bench(made) == [("built.supply", Severity.WARNING)]


CELLS: dict[str, Any] = {
    "supply": {"from": "alkaline AA", "cells": 2},
    "light": {"led": "red 0805", "count": 2, "current": "5 mA", "use": None},
}


def test_what_a_meter_cannot_tell_from_nothing_is_nothing() -> None:
    """Flat cells leave a red LED nanoamperes: a meter that shows 0 says no more."""
    made = design_of(merged(SHELF, CELLS))
    flat = expected(made.parameters, made.circuit, 1.6)
    assert flat.board_a.low == 0.0
    assert {band.low for band in flat.ballasts_v} == {0.0}
    assert all(band.high >= 0.01 for band in flat.ballasts_v)


def test_a_wrong_number_of_values_is_told_once_for_each_list(design: Make) -> None:
    made = measured(design, "5 V", ballasts=["2 V"], resistors=["150R"])
    said = [f.message for f in check(made) if f.code == "built.differs"]
    assert len(said) == len(set(said)) == 2


def test_a_branch_whose_ohms_are_known_is_not_sent_to_be_measured(design: Make) -> None:
    volts = ["2 V"] * (BRANCHES - 1) + ["0.9 V"]
    blind = measured(design, "5 V", ballasts=volts)
    seen = measured(design, "5 V", ballasts=volts, resistors=["150R"] * BRANCHES)
    (first,), (second,) = ([f.message for f in check(made) if f.code == "built.differs"]
                           for made in (blind, seen))  # fmt: skip
    assert "unplug the supply and measure R8" in first
    assert "if R8 measures right" in second


def test_several_resistors_of_a_branch_are_measured_together(design: Make) -> None:
    from boardgen.electrical.in_short import in_short  # noqa: PLC0415 - beside its one use

    made = design(resistor={"per_branch": 3})
    said = dict(in_short(made.parameters, made.circuit, made.operation))
    assert "across the 3 resistors of a branch together" in said["measure first"]

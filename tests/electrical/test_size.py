"""The circuit: arrangement, ballasts, leftovers, refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardgen.electrical.arrangement import row_branches
from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.model.parameters import Parameters
from boardgen.standards.preferred_values import next_up
from tests.conftest import SHELF, Make, merged, parameters_of

TWELVE = {"from": "adapter 12 V"}


def test_strings_of_three_are_chosen_on_twelve_volts_and_the_reason_is_said(
    parameters: Make,
) -> None:
    """Reference page 11: (11.4 - 1) / 3.3 = 3.15, so three; worked there."""
    circuit = size(parameters(supply=TWELVE, light={"count": 12}))
    assert circuit.in_series == 3
    assert "= 3.15, so 3" in circuit.in_series_reason


@pytest.mark.parametrize(("low", "series"), [("7.5 V", 1), ("7.6 V", 2)])
def test_the_lowest_supply_decides_and_flips_at_its_limit(
    parameters: Make, low: str, series: int
) -> None:
    """One volt of headroom over two LEDs of at most 3.3 V needs 7.6 V."""
    supply = {"from": None, "low": low, "nominal": "9 V", "high": "9.5 V"}
    assert size(parameters(supply=supply)).in_series == series


def test_leftovers_make_a_shorter_branch_with_its_own_ballast(parameters: Make) -> None:
    circuit = size(parameters(supply=TWELVE, light={"count": 20}))
    assert [branch.kind.leds for branch in circuit.branches] == [3] * 6 + [2]
    long, short = circuit.kinds
    assert short.ballast.value_ohm > long.ballast.value_ohm
    assert short.ballast.wanted_ohm == pytest.approx((12 - 2 * 3.0) / 0.015)


def test_each_row_ends_in_its_own_leftover(parameters: Make) -> None:
    circuit = size(parameters(supply=TWELVE, light={"count": 16}, form={"rows": 2}))
    assert [(branch.row, branch.kind.leds) for branch in circuit.branches] == [
        (0, 3), (0, 3), (0, 2), (1, 3), (1, 3), (1, 2),
    ]  # fmt: skip
    assert [branch.number for branch in circuit.branches] == [1, 2, 3, 4, 5, 6]


def test_nets_are_named_by_branch_and_node(parameters: Make) -> None:
    circuit = size(parameters(supply=TWELVE, light={"count": 9}))
    names = [circuit.net(circuit.branches[2], node) for node in range(5)]
    assert names == ["V+", "B03.1", "B03.2", "B03.3", "0V"]


def refused(parameters: Parameters) -> str:
    with pytest.raises(RefusalError) as caught:
        size(parameters)
    return str(caught.value)


def test_a_supply_below_the_leds_is_refused_with_the_change_that_passes(parameters: Make) -> None:
    text = refused(parameters(light={"in_series": 2}))
    assert "2 x 3 V = 6 V" in text
    assert "1 in series" in text
    size(parameters(light={"in_series": 1}))


def test_a_supply_just_at_the_leds_is_refused_and_just_above_is_not(parameters: Make) -> None:
    def own(volts: str) -> Parameters:
        supply = {"from": None, "low": "3 V", "nominal": volts, "high": "3.6 V"}
        found: Parameters = parameters(supply=supply, light={"count": 1})
        return found

    assert "headroom 0.00 V" in refused(own("3 V"))
    kind = size(own("3.01 V")).kinds[0]
    assert kind.low.current_a == 0.0
    assert kind.headroom_low_v < 0


def test_more_in_series_than_a_row_has_is_refused(parameters: Make) -> None:
    text = refused(parameters(supply=TWELVE, light={"in_series": 3}, form={"rows": 4}))
    assert "do not fit a row of 2" in text


def test_a_drawer_is_kept_to_and_one_that_ends_too_low_is_refused(parameters: Make) -> None:
    drawer = {"drawer": ["100R", "180R", "270R"]}
    assert size(parameters(resistor=drawer)).kinds[0].ballast.value_ohm == 180
    text = refused(parameters(resistor={"drawer": ["100R", "120R"]}))
    assert "at least 133.3 ohm" in text
    assert "150R" in text


@pytest.mark.parametrize(
    ("use", "led", "milliamperes"),
    [
        ("night-light", "white 2835", 0.5),
        ("indicator", "white 2835", 2),
        ("ambience", "red 0805", 5),
        ("task", "white 2835", 15),
        ("task", "red 0805", 10),
        (None, "red 0805", 5),
    ],
)
def test_the_current_follows_the_use(
    parameters: Make, use: str | None, led: str, milliamperes: float
) -> None:
    """Own choices of the parameter page's table of defaults; never 20 mA unasked."""
    found = parameters(light={"use": use, "led": led})
    assert found.current_a == pytest.approx(milliamperes / 1000)


def test_cells_count(parameters: Make) -> None:
    supply = parameters(
        supply={"from": "alkaline AA", "cells": 3}, light={"led": "red 0805"}
    ).supply
    assert (supply.low_v, supply.nominal_v, supply.high_v) == pytest.approx((3.0, 4.5, 4.8))


@given(st.integers(1, 200), st.integers(1, 12))
def test_cutting_a_row_uses_every_led_once(columns: int, series: int) -> None:
    cuts = row_branches(columns, series)
    assert [column for first, n in cuts for column in range(first, first + n)] == list(
        range(columns)
    )
    assert all(n == series for _, n in cuts[:-1])


@given(st.floats(0.1, 1e6), st.sampled_from(["E3", "E6", "E12", "E24", "E48", "E96"]))
def test_a_preferred_value_is_never_below_the_wanted_nor_a_step_above(
    wanted: float, series: str
) -> None:
    found = next_up(wanted, series)
    assert found >= wanted * (1 - 1e-8)
    step = 10 ** (1 / int(series[1:]))
    assert found <= wanted * step * 1.12  # the E24 exceptions stretch a step


@given(st.integers(100, 3_000), st.integers(50, 2_000))
def test_corners_enclose_the_nominal_current(centivolts: int, microamperes: int) -> None:
    headroom, milliamperes = centivolts / 100, microamperes / 100
    supply = {
        "from": None,
        "low": f"{3 + headroom * 0.9:.3f} V",
        "nominal": f"{3 + headroom:.3f} V",
        "high": f"{3 + headroom * 1.1:.3f} V",
    }
    light = {"use": None, "current": f"{milliamperes:.2f} mA", "in_series": 1, "count": 2}
    kind = size(parameters_of(merged(SHELF, {"supply": supply, "light": light}))).kinds[0]
    assert kind.low.current_a <= kind.nominal.current_a <= kind.high.current_a
    assert kind.nominal.current_a <= milliamperes / 1000 * 1.0001
    drop = kind.nominal.current_a * kind.nominal.resistance_ohm + kind.nominal.vf_v
    assert drop == pytest.approx(kind.nominal.supply_v)

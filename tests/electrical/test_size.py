"""The circuit: arrangement, ballasts, leftovers, refusals."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardgen.electrical.arrangement import cut_chain
from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.model.parameters import Parameters
from boardgen.standards.preferred_values import next_up
from tests.conftest import SHELF, Make, design_of, merged, parameters_of

TWELVE = {"from": "adapter 12 V"}


def test_strings_of_three_are_chosen_on_twelve_volts_and_the_reason_is_said(
    parameters: Make,
) -> None:
    """Own arithmetic: (11.4 - 1) / 3.4 = 3.06, so three; here with the LED's own curve."""
    circuit = size(parameters(supply=TWELVE, light={"count": 12, "current": "10 mA", "use": None}))
    assert circuit.channels[0].in_series == 3
    assert "the best all in all" in circuit.channels[0].in_series_reason
    assert (
        "= 3.16" in circuit.channels[0].in_series_reason
    )  # 10.4 / (3.3 at 20 mA - 0.085 + 0.075 in the cold)


CHOICES = [
    # supply, LED's Vf typical / max, headroom, LEDs, in series, branches, left over, efficiency
    (["4.40 V", "5 V", "5.25 V"], [2.0, 2.4], "1 V", 20, 1, 20, 0, 0.400),
    (["4.40 V", "5 V", "5.25 V"], [3.1, 3.4], "0.5 V", 20, 1, 20, 0, 0.620),
    (["11.4 V", "12 V", "12.6 V"], [3.1, 3.4], "1 V", 20, 3, 7, 2, 0.775),
    (["9 V", "13.5 V", "16 V"], [3.1, 3.4], "1 V", 20, 2, 10, 0, 0.459),
    (["11.4 V", "12 V", "12.6 V"], [2.0, 2.4], "1 V", 20, 4, 5, 0, 0.667),
    (["21.6 V", "24 V", "26.4 V"], [3.1, 3.4], "2 V", 20, 5, 4, 0, 0.646),
    (["22.8 V", "24 V", "25.2 V"], [2.0, 2.4], "2 V", 25, 8, 4, 1, 0.667),
]
"""Derived and computed by hand with fixed forward voltages.

The page takes the most in series that have the headroom. boardgen ranks: it takes the same, except
in the last row, where 5 in series rank alike, make equal branches and are the coolest.
"""


@pytest.mark.parametrize("case", CHOICES, ids=lambda case: f"{case[0][1]} {case[1][0]}")
def test_arrangements_are_chosen_as_worked_by_hand(parameters: Make, case: Any) -> None:
    (low, nominal, high), (typical, most), headroom, count, series, branches, left, share = case
    led = {"size": "2835", "colour": "white", "cathode": "notch", "source": "test",
           "vf": {"at": "5 mA", "min": f"{typical} V", "typical": f"{typical} V",
                  "max": f"{most} V"},
           "points": [["1 mA", f"{typical - 1e-6:.6f} V"], ["5 mA", f"{typical} V"]],
           "per_kelvin": "0 mV/K", "max_current": "60 mA"}  # fmt: skip
    circuit = size(
        parameters(
            led={"own": led},
            supply={"from": None, "kind": "adapter", "low": low, "nominal": nominal, "high": high},
            light={"led": "own", "count": count, "use": None, "current": "5 mA"},
            limits={"headroom": headroom},
        )
    )
    most_in_series = max(
        (way for way in circuit.channels[0].arrangements if not way.short_of_headroom),
        key=lambda way: way.in_series,
    )
    found = (most_in_series.in_series, most_in_series.branches, most_in_series.leftover)
    assert found == (series, branches, left)
    assert circuit.channels[0].in_series == (series if left != 1 else 5)
    if left == 0:
        assert most_in_series.efficiency == pytest.approx(share, abs=0.0006)


def test_every_way_is_listed_with_its_ranks_and_what_speaks_against_it(parameters: Make) -> None:
    ways = size(parameters(supply=TWELVE, light={"count": 12})).channels[0].arrangements
    assert sorted(way.in_series for way in ways) == [1, 2, 3, 4]
    by_series = {way.in_series: way for way in ways}
    spreads = [by_series[leds].spread for leds in (1, 2, 3, 4)]
    assert spreads == sorted(spreads)
    assert [by_series[leds].ranks[0] for leds in (1, 2, 3, 4)] == [1, 2, 3, 4]
    assert [by_series[leds].ranks[1] for leds in (1, 2, 3, 4)] == [4, 3, 2, 1]
    assert by_series[4].short_of_headroom
    assert any("headroom" in fault for fault in by_series[4].faults)
    # One that goes dark is worse than twelve resistors over their rating, which others mend.
    assert by_series[1].errors
    assert by_series[4].headroom_low_v < 0
    assert [way.in_series for way in ways[-2:]] == [1, 4]


def test_a_way_over_a_limit_is_never_taken_while_one_without_exists(parameters: Make) -> None:
    """Ten whites in three and a rest were given a resistor over its rating; five pairs were not."""
    for led in ("white 1206", "white 2835", "red 0805"):
        for count in range(4, 14):
            ways = (
                size(parameters(supply=TWELVE, light={"led": led, "count": count}))
                .channels[0]
                .arrangements
            )
            assert not ways[0].errors or all(way.errors for way in ways)
    for led in ("white 1206", "white 2835"):
        pairs = parameters(supply=TWELVE, light={"led": led, "count": 10, "use": "task"})
        assert size(pairs).channels[0].in_series == 2


def test_of_ways_that_are_alike_otherwise_equal_branches_win(parameters: Make) -> None:
    ways = size(parameters(supply=TWELVE, light={"count": 12})).channels[0].arrangements
    assert {way.ranks[3] for way in ways if way.leftover} <= {2}
    assert {way.ranks[3] for way in ways if not way.leftover} == {1}


def test_the_lowest_supply_decides_and_flips_at_its_limit_to_a_millivolt(parameters: Make) -> None:
    """One volt of headroom over two LEDs at their greatest forward voltage, in the cold."""

    def chosen(volts: float) -> int:
        supply = {
            "from": None,
            "kind": "adapter",
            "low": f"{volts:.4f} V",
            "nominal": "9 V",
            "high": "9.5 V",
        }
        found: int = size(parameters(supply=supply)).channels[0].in_series
        return found

    lowest = {"from": None, "kind": "adapter", "low": "7.6 V", "nominal": "9 V", "high": "9.5 V"}
    left = size(parameters(supply=lowest, light={"in_series": 2})).kinds[0].headroom_low_v
    vf = (7.6 - left) / 2
    edge = 1.0 + 2 * vf
    assert chosen(edge - 0.001) == 1
    assert chosen(edge + 0.001) == 2


def test_leftovers_make_a_shorter_branch_with_its_own_ballast(parameters: Make) -> None:
    circuit = size(parameters(supply=TWELVE, light={"count": 20}))
    assert [branch.kind.leds for branch in circuit.branches] == [3] * 6 + [2]
    long, short = circuit.kinds
    assert short.ballast.value_ohm > long.ballast.value_ohm
    # Typical forward voltage at 15 mA: 3.0 V at 20 mA, less n Vt ln(20/15) and 5 mA over 4 ohm,
    # half of a small chip's for a chip of 60 mA.
    vf = 3.0 - 2.5 * 0.0256926 * math.log(20 / 15) - 0.005 * 4
    assert short.ballast.wanted_ohm == pytest.approx((12 - 2 * vf) / 0.015, rel=1e-6)


def test_each_row_ends_in_its_own_leftover(parameters: Make) -> None:
    circuit = size(parameters(supply=TWELVE, light={"count": 16}, form={"rows": 2}))
    assert [(branch.first_site, branch.kind.leds) for branch in circuit.branches] == [
        (0, 3), (3, 3), (6, 2), (8, 3), (11, 3), (14, 2),
    ]  # fmt: skip
    assert [branch.number for branch in circuit.branches] == [1, 2, 3, 4, 5, 6]


def test_nets_are_named_by_branch_and_node(parameters: Make) -> None:
    circuit = size(parameters(supply=TWELVE, light={"count": 9}))
    branch = circuit.branches[2]
    assert [net.name for net in branch.nets] == ["V+", "B03.1", "B03.2", "B03.3", "0V"]
    assert branch.parts == ("R3", "D7", "D8", "D9")
    assert branch.around("D8") == ("B03.2", "B03.3")
    assert circuit.branch_of("D9") is branch
    with pytest.raises(KeyError):
        circuit.branch_of("D10")


def test_a_ballast_of_several_resistors_has_nets_of_its_own(parameters: Make) -> None:
    circuit = size(parameters(supply=TWELVE, light={"count": 6}, resistor={"per_branch": 2}))
    branch = circuit.branches[1]
    assert branch.ballasts == ("R3", "R4")
    assert branch.around("R4") == ("B02.R1", "B02.1")
    assert branch.around(branch.leds[-1])[1] == "0V"


def refused(parameters: Parameters) -> str:
    with pytest.raises(RefusalError) as caught:
        size(parameters)
    return str(caught.value)


def test_more_in_series_than_a_row_has_is_refused(parameters: Make) -> None:
    text = refused(parameters(supply=TWELVE, light={"in_series": 3}, form={"rows": 4}))
    assert "do not fit a row of 2" in text


def test_a_drawer_is_kept_to_and_one_that_ends_too_low_is_refused(parameters: Make) -> None:
    drawer = {"drawer": ["100R", "180R", "270R"]}
    assert size(parameters(resistor=drawer)).kinds[0].ballast.value_ohm == 180
    text = refused(parameters(resistor={"drawer": ["100R", "120R"]}))
    assert "at least 135.9 ohm" in text


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
    """Own choices of the defaults; never 20 mA unasked."""
    found = parameters(light={"use": use, "led": led})
    assert found.parts.emitters[0].current_a == pytest.approx(milliamperes / 1000)


def test_cells_count(parameters: Make) -> None:
    supply = parameters(
        supply={"from": "alkaline AA", "cells": 3}, light={"led": "red 0805"}
    ).parts.supply
    assert (supply.low_v, supply.nominal_v, supply.high_v) == pytest.approx((3.0, 4.5, 4.8))


@given(st.integers(1, 200), st.integers(1, 12))
def test_cutting_a_row_uses_every_led_once(columns: int, series: int) -> None:
    cuts = cut_chain(columns, series)
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
        "kind": "bench",
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


@pytest.mark.parametrize(
    ("supply", "light", "pitch"),
    [
        ({"from": "adapter 12 V"}, {"count": 24, "current": "15 mA"}, "7 mm"),
        ({"from": "adapter 24 V"}, {"count": 24, "current": "28 mA"}, "6 mm"),
        (
            {"from": None, "kind": "adapter", "low": "12 V", "nominal": "12 V", "high": "16.8 V"},
            {"count": 9, "current": "10 mA"}, "10 mm",
        ),
    ],
)  # fmt: skip
def test_where_every_way_is_over_a_limit_none_that_goes_dark_is_taken(
    supply: dict[str, Any], light: dict[str, Any], pitch: str
) -> None:
    """The way least over its limits: one that goes dark burns at the other end of the supply."""
    changes = {"supply": supply, "light": {**light, "use": None}, "form": {"pitch": pitch}}
    made = design_of(merged(SHELF, changes))
    ways = made.circuit.channels[0].arrangements
    chosen = next(way for way in ways if way.in_series == made.circuit.kinds[0].leds)
    assert chosen.headroom_low_v > 0
    assert "no way has enough voltage" not in made.circuit.channels[0].in_series_reason


def test_a_cool_way_that_goes_dark_comes_after_a_hot_one_that_lights(parameters: Make) -> None:
    """Four in series load their resistors least of all, and have no volts for them when cold."""
    flat = {"from": None, "kind": "adapter", "low": "11.9 V", "nominal": "11.9 V", "high": "11.9 V"}
    ways = (
        size(
            parameters(
                supply=flat,
                light={"count": 12, "use": None, "current": "10 mA"},
                resistor={"rating": "20 mW"},
            )
        )
        .channels[0]
        .arrangements
    )
    dark = next(way for way in ways if way.in_series == 4)
    assert dark.headroom_low_v < 0
    assert all(way.errors for way in ways)
    assert dark.load == min(way.load for way in ways)
    assert ways[-1] is dark

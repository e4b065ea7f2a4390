"""Supplies and LED data: what is read, and what contradicts itself."""

from typing import Any

import pytest

from boardgen.errors import RefusalError
from boardgen.reading import catalogue
from tests.conftest import SHELF, Make, merged, parameters_of


def refused(**changes: Any) -> str:
    with pytest.raises(RefusalError) as caught:
        parameters_of(merged(SHELF, changes))
    return str(caught.value)


def own(volts: str) -> dict[str, Any]:
    return {"from": None, "low": volts, "nominal": volts, "high": volts}


@pytest.mark.parametrize(
    ("volts", "place", "words"),
    [
        ("30 V", "damp", ""),
        ("30.001 V", "damp", "where it is damp, boardgen stops at 30 V DC"),
        ("30.001 V", "outdoor", "where it is outdoor, boardgen"),
        ("60 V", "dry", ""),
        ("60.001 V", "dry", "stops at 60 V DC"),
        ("60.001 V", "damp", "stops at 60 V DC"),
    ],
)
def test_where_it_is_damp_thirty_volts_are_the_end(volts: str, place: str, words: str) -> None:
    changes: dict[str, Any] = {"supply": own(volts), "board": {"place": place}}
    if words:
        assert words in refused(**changes)
    else:
        parameters_of(merged(SHELF, changes))


@pytest.mark.parametrize("name", ["12 V AC", "16V~", "mains"])
def test_alternating_current_is_refused_with_the_reason(name: str) -> None:
    assert "alternating current or mains" in refused(supply={"from": name})


@pytest.mark.parametrize("name", ["alkaline AA", "NiMH AAA", "li-ion protected"])
def test_cells_multiply_range_resistance_and_curve(parameters: Make, name: str) -> None:
    assert "needs the number of cells" in refused(supply={"from": name})
    one = catalogue.supplies()[name]
    four = parameters(supply={"from": name, "cells": 4}).parts.supply
    assert (four.low_v, four.nominal_v, four.high_v) == pytest.approx(
        (4 * one.low_v, 4 * one.nominal_v, 4 * one.high_v)
    )
    assert four.resistance_ohm == pytest.approx(4 * one.resistance_ohm)
    assert four.cutoff_v == pytest.approx(4 * one.cutoff_v)
    assert [volts for _, volts in four.curve] == pytest.approx([4 * v for _, v in one.curve])
    assert four.capacity == one.capacity


def test_every_battery_of_the_catalogue_falls_from_full_to_empty() -> None:
    for name, supply in catalogue.supplies().items():
        assert supply.low_v <= supply.nominal_v <= supply.high_v, name
        assert supply.runs_down is bool(supply.capacity), name
        if not supply.runs_down:
            continue
        drawn, volts = zip(*supply.curve, strict=True)
        assert (drawn[0], drawn[-1]) == (0, 1), name
        assert list(drawn) == sorted(drawn), name
        assert list(volts) == sorted(volts, reverse=True), name
        drains, charges = zip(*supply.capacity, strict=True)
        assert list(drains) == sorted(drains), name
        assert list(charges) == sorted(charges, reverse=True), name


LED = {
    "size": "0805", "colour": "red", "cathode": "bar", "source": "test", "max_current": "30 mA",
    "vf": {"at": "20 mA", "min": "1.8 V", "typical": "2 V", "max": "2.4 V"},
}  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"vf": {"at": "20 mA", "min": "2.1 V", "typical": "2 V", "max": "2.4 V"}},
         "are not in this order"),
        ({"vf": {"at": "20 mA", "min": "1.8 V", "typical": "2.5 V", "max": "2.4 V"}},
         "are not in this order"),
        ({"points": [["5 mA", "1.9 V"], ["20 mA", "1.85 V"]]}, "does not rise"),
        ({"points": [["20 mA", "2 V"], ["5 mA", "2.1 V"]]}, "does not rise"),
        ({"points": [["20 mA", "2 V"]]}, "one pair is no curve"),
        ({"points": [["5 mA", "2.6 V"], ["20 mA", "2.8 V"]]}, "but vf says 1.8 to 2.4 V"),
        ({"points": [["5 mA", "2.1 V"], ["20 mA", "2.2 V"]]}, "but vf says 1.8 to 2.4 V"),
        ({"points": [["2 mA", "1.2 V"], ["10 mA", "1.9 V"], ["20 mA", "2 V"], ["30 mA", "2.05 V"]]},
         "no LED's curve passes them"),
        ({"output": {"at": "20 mA", "flux": "40 lm"}}, "one watt gives 683 lm at most"),
        ({"output": {"at": "20 mA", "intensity": "20 cd", "angle": "120 deg"}}, "683 lm at most"),
        ({"points": [["5 mA"]]}, 'wants two values, like ["15 mA", "12 V"]'),
        ({"points": [["5 V", "2 mA"]]}, "does not make a current"),
        ({"per_kelvin": "2 mV/K"}, "outside"),
        ({"thermal": "0.4 K/mW"}, "K/W"),
    ],
)  # fmt: skip
def test_contradictory_led_data_are_refused(changes: dict[str, Any], words: str) -> None:
    assert words in refused(led={"own": {**LED, **changes}}, light={"led": "own"})


@pytest.mark.parametrize("board", [{"ambient_low": "50 degC"}, {"ambient": "-10 degC"}])
def test_the_warmest_air_is_not_colder_than_the_coldest(board: dict[str, str]) -> None:
    text = refused(board=board)
    assert "ambient_low" in text
    assert "is colder than the coldest" in text


@pytest.mark.parametrize(
    "points",
    [
        [["2 mA", "0.9 V"], ["20 mA", "1.4 V"], ["100 mA", "3.6 V"]],
        [["2 mA", "0.2 V"], ["20 mA", "2 V"]],
    ],
)
def test_a_curve_that_is_a_resistors_is_refused(points: list[list[str]]) -> None:
    led = {**LED, "vf": {"at": "100 mA", "min": "2.4 V", "typical": "3.2 V", "max": "3.8 V"},
           "max_current": "150 mA", "points": points}  # fmt: skip
    text = refused(led={"own": led}, light={"led": "own"})
    assert "points" in text


def test_all_is_told_at_once_even_when_other_sections_are_wrong() -> None:
    text = refused(
        supply={"from": None, "low": "6 V", "nominal": "5 V", "high": "4 V"},
        light={"use": "taks"},
        form={"pitch": "20"},
        led={"own": {**LED, "points": [["20 mA", "2 V"]]}},
    )
    for words in ("not in this order", "taks", "has no unit", "one pair is no curve"):
        assert words in text


def test_points_that_suit_the_forward_voltage_are_taken(parameters: Make) -> None:
    points = [["5 mA", "1.88 V"], ["20 mA", "2 V"]]
    found = parameters(led={"own": {**LED, "points": points}}, light={"led": "own"})
    assert found.parts.emitters[0].led.data.points == ((0.005, 1.88), (0.02, 2.0))


def test_an_led_to_look_like_must_say_how_bright_it_is() -> None:
    text = refused(led={"own": LED}, light={"led": "own", "as_bright_as": "own"})
    assert "does not say how bright it is" in text
    flux = {**LED, "output": {"at": "20 mA", "flux": "2 lm"}}
    alike = {"led": "own", "as_bright_as": "own"}
    assert "needs an angle" in refused(led={"own": flux}, light=alike)
    assert "not-there" in refused(light={"as_bright_as": "not-there"})


def test_light_is_asked_only_of_an_led_that_says_how_bright_it_is(parameters: Make) -> None:
    silent = {"own": LED}
    for key in ("plane", "diffuser"):
        text = refused(led=silent, light={"led": "own", key: "100 mm"})
        assert "does not say how bright it is" in text
    assert "how far the diffuser is" in refused(light={"evenness": "90 %"})
    parameters(light={"plane": "300 mm", "diffuser": "15 mm", "evenness": "90 %"})


def test_shapes_of_every_colour_and_size_are_there_with_their_standing() -> None:
    for name, data in catalogue.leds().items():
        shape = catalogue.led_shape(data)
        assert shape.source, name
        assert shape.thermal_source, name
        assert -0.01 < shape.per_kelvin_v < 0, name
        assert 100 < shape.thermal_k_per_w < 1000, name

"""Facts of common practice, and verdicts that flip exactly at their limit."""

import re

import pytest

from boardgen.checks.table import check
from boardgen.designing import design_board
from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.model.findings import Finding, Severity
from boardgen.model.parameters import Parameters
from boardgen.standards.preferred_values import between
from tests.conftest import SHELF, SMALLEST, Make, design_of, merged, parameters_of


def found(parameters: Parameters) -> dict[str, Finding]:
    return {finding.code: finding for finding in check(design_board(parameters))}


def refusal_of(text: str) -> str:
    with pytest.raises(RefusalError) as caught:
        size(parameters_of(text))
    return str(caught.value)


def test_a_shared_ballast_is_refused_with_what_it_would_do_here() -> None:
    """Own calculation: the lowest forward voltage takes nearly all."""
    text = refusal_of(merged(SHELF, {"resistor": {"shared": True}}))
    amps = [
        float(value) * {"m": 1e-3, "u": 1e-6}[prefix]
        for value, prefix in re.findall(r"([\d.]+) ([mu])A", text)
    ]
    assert amps[0] > 5 * amps[1]  # together
    assert amps[2] < 1.3 * amps[3]  # each on its own
    size(parameters_of(merged(SHELF, {"resistor": {"shared": True}, "light": {"count": 1}})))


# -- common practice ---------------------------------------------------------------------------


def practice(*, count: int = 1, in_series: int = 1, supply: str = "3 V") -> str:
    """One red LED of 1.9 V at 20 mA on 3 V: a check of common practice, no source."""
    return merged(
        SMALLEST,
        {
            "supply": {"from": None, "low": supply, "nominal": supply, "high": supply},
            "light": {"led": "own", "count": count, "in_series": in_series, "current": "20 mA"},
            "led": {
                "own": {
                    "size": "0805", "colour": "red", "cathode": "bar", "source": "test",
                    "vf": {"at": "20 mA", "min": "1.9 V", "typical": "1.9 V", "max": "1.9 V"},
                    "max_current": "60 mA",
                }
            },
        },
    )  # fmt: skip


def test_facts_of_common_practice_hold() -> None:
    """Common practice, no source: 1.1 V over 55 ohm, 22 mW; 56 ohm; 1 % of it is 55.44 to 56.56."""
    kind = size(parameters_of(practice())).kinds[0]
    assert kind.ballast.wanted_ohm == pytest.approx(55.0)
    assert 0.020**2 * kind.ballast.wanted_ohm == pytest.approx(0.022)
    assert kind.ballast.value_ohm == 56.0
    assert kind.high.resistance_ohm == pytest.approx(55.44)
    assert kind.low.resistance_ohm == pytest.approx(56.56)
    assert 3.0 - 0.020 * kind.ballast.wanted_ohm == pytest.approx(1.9)


def test_five_in_series_need_nine_and_a_half_volts() -> None:
    """Common practice, no source: five LEDs of 1.9 V need 9.5 V before anything is left."""
    assert "5 LEDs in series need 9.5 V" in refusal_of(
        practice(count=5, in_series=5, supply="9.5 V")
    )
    size(parameters_of(practice(count=5, in_series=5, supply="9.501 V")))


# -- verdicts flip exactly at their limit ------------------------------------------------------


def test_a_millivolt_of_supply_flips_the_headroom(parameters: Make) -> None:
    def short(low: float) -> bool:
        supply = {"from": None, "low": f"{low:.4f} V", "nominal": "9 V", "high": "9.5 V"}
        return "headroom.branch" in found(parameters(supply=supply, light={"in_series": 2}))

    left = size(parameters(supply={"from": None, "low": "7 V", "nominal": "9 V", "high": "9.5 V"},
                           light={"in_series": 2})).kinds[0].headroom_low_v  # fmt: skip
    edge = 7.0 + 1.0 - left
    assert short(edge - 0.001)
    assert not short(edge + 0.001)


@pytest.mark.thorough
def test_a_milliwatt_of_rating_flips_the_ballast() -> None:
    text = merged(SHELF, {"supply": {"from": "adapter 12 V"}, "light": {"in_series": 2}})
    ballast = design_of(text).circuit.kinds[0].ballast
    left = ballast.derated_w / ballast.rating_w
    edge = ballast.worst_w / 0.5 / left * 1000  # half of what the warm board leaves of the rating
    for milliwatts, hot in ((edge - 1, True), (edge + 1, False)):
        rated = merged(text, {"resistor": {"rating": f"{milliwatts:.3f} mW"}})
        assert ("power.ballast" in found(parameters_of(rated))) is hot
    for milliwatts, severity in ((edge / 2 - 1, Severity.ERROR), (edge / 2 + 1, Severity.WARNING)):
        rated = merged(text, {"resistor": {"rating": f"{milliwatts:.3f} mW"}})
        assert found(parameters_of(rated))["power.ballast"].severity is severity


@pytest.mark.thorough
def test_a_step_of_the_series_flips_the_leds_limit(parameters: Make) -> None:
    """With one value the LEDs pass, with the next one down they carry too much."""
    values = between(90, 400, "E24")
    verdicts = []
    for value in values:
        changes = {"led": "red 0805", "use": None, "current": "4 mA", "in_series": 1}
        made = parameters(resistor={"drawer": [f"{value:g}R"], "round": "nearest"}, light=changes)
        (kind,) = design_board(made).circuit.kinds
        over = kind.led_load > 0.7
        assert ("current.led" in found(made)) is over
        verdicts.append(over)
    assert verdicts == sorted(verdicts, reverse=True)
    assert 0 < sum(verdicts) < len(verdicts)


@pytest.mark.parametrize(
    ("delivers", "volts", "strong"),
    [("8 A", 12, False), ("8.01 A", 12, True), ("4.16 A", 24, False), ("4.17 A", 24, True)],
)
@pytest.mark.thorough
def test_a_source_is_strong_from_eight_amperes_or_a_hundred_volt_amperes_on(
    parameters: Make, delivers: str, volts: int, strong: bool
) -> None:
    supply = {"from": None, "low": f"{volts} V", "nominal": f"{volts} V", "high": f"{volts} V",
              "delivers": delivers}  # fmt: skip
    made = parameters(supply={**supply, "kind": "bench"}, light={"count": 12, "in_series": 3})
    assert made.parts.supply.strong is strong
    assert ("supply.fuse" in found(made)) is strong


def test_a_lithium_cell_always_wants_a_fuse(design: Make) -> None:
    supply = {"from": "li-ion protected", "cells": 1}
    made = design(supply=supply, light={"led": "red 0805"})
    finding = {finding.code: finding for finding in check(made)}["supply.fuse"]
    assert finding.severity is Severity.ERROR


def test_a_gate_starved_behind_a_fuse_is_told(parameters: Make) -> None:
    changes = {"supply": {"from": None, "kind": "cells", "low": "2.6 V", "nominal": "3.6 V",
                          "high": "4 V"},
               "light": {"led": "red 0805", "count": 10, "use": None, "current": "8 mA"},
               "protection": {"reverse": "p-channel", "fuse": "100 mA resettable"}}  # fmt: skip
    assert "gate.low" in found(parameters(SHELF, **changes))


def test_a_weak_load_on_usb_is_told(design: Make) -> None:
    codes = {finding.code for finding in check(design(light={"count": 4}))}
    assert "supply.idle" in codes  # some 55 mA
    assert "supply.idle" not in {finding.code for finding in check(design_of(SHELF))}  # 111 mA


def test_leds_that_a_reversed_supply_may_break_are_told(design: Make) -> None:
    codes = {finding.code for finding in check(design())}
    assert "reverse.led" in codes  # 5.5 V over one LED of 5 V
    guarded = design(protection={"reverse": "schottky"})
    assert "reverse.led" not in {finding.code for finding in check(guarded)}

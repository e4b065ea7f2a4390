"""The LED's curve and the operating point, held against published numbers and against scipy."""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.special import lambertw

from boardgen.electrical.leds import bins, settled
from boardgen.electrical.sharing import shared_currents_a
from boardgen.electrical.size import size
from boardgen.standards.diode import (
    THERMAL_V,
    Diode,
    diode_through,
    fitted,
    operating_current_a,
    shape,
    slope_ohm,
    wright_omega,
)
from tests.conftest import SHELF, SMALLEST, Make, merged, parameters_of

TABLE: dict[str, Any] = tomllib.loads(
    (Path(__file__).parents[1] / "published/operating-points.toml").read_text(encoding="utf-8")
)


def model(name: str) -> Diode:
    ideality, series, volts = TABLE["model"][name]
    return diode_through(ideality, series, 0.020, volts)


# -- published ---------------------------------------------------------------------------------


@pytest.mark.parametrize("row", [p["row"] for p in TABLE["point"]], ids=lambda r: f"{r[0]}{r[1]}")
def test_operating_points_are_as_worked_by_hand(row: list[Any]) -> None:
    """Issue: to 1e-9 A; the page prints six digits of a milliampere."""
    name, supply, ohms, series, milliamperes, volts, y, slope = row
    diode = model(name)
    current = float(operating_current_a(diode, supply, series, ohms))
    assert current * 1000 == pytest.approx(milliamperes, abs=5.1e-7)
    assert float(diode.voltage_v(current)) == pytest.approx(volts, abs=5.1e-6)
    loop = current * ohms + series * float(diode.voltage_v(current)) - supply
    assert abs(loop) < 1e-9
    a, total = series * diode.ideality * THERMAL_V, ohms + series * diode.series_ohm
    argument = diode.log_saturation + np.log(total / a) + supply / a
    assert float(argument) == pytest.approx(y, abs=5.1e-5)
    found = 1000 / (ohms + series * float(slope_ohm(diode, current)))
    assert found == pytest.approx(slope, abs=5.1e-5)


@pytest.mark.parametrize("name", ["red", "amber", "white", "infrared"])
def test_curves_pass_the_published_voltages(name: str) -> None:
    at, wanted = TABLE["volts"]["at_ma"], TABLE["volts"][name]
    found = [float(model(name).voltage_v(amps / 1000)) for amps in at]
    assert found == pytest.approx(wanted, abs=5.1e-5)


def test_the_fit_gives_the_published_digits() -> None:
    table = TABLE["fit"]
    points = [(amps / 1000, v) for amps, v in zip(table["milliamperes"], table["volts"],
                                                  strict=True)]  # fmt: skip
    ideality, series, log = fitted(points)
    assert ideality == pytest.approx(table["n"], abs=5.1e-5)
    assert series == pytest.approx(table["rs_ohm"], abs=5.1e-5)
    assert np.exp(log) == pytest.approx(table["is_a"], rel=5e-5)
    diode = Diode(ideality=ideality, series_ohm=series, log_saturation=log)
    off = [float(diode.voltage_v(amps)) - volts for amps, volts in points]
    assert np.sqrt(np.mean(np.square(off))) * 1000 == pytest.approx(table["rms_mv"], abs=0.051)
    assert max(map(abs, off)) * 1000 == pytest.approx(table["greatest_mv"], abs=0.051)


@pytest.mark.parametrize("case", ["near", "far"])
def test_a_common_ballast_is_shared_as_published(case: str) -> None:
    volts, common, own = TABLE["shared"][case]
    pair = [diode_through(2.0, 3.0, 0.020, v) for v in volts]
    found = [amps * 1000 for amps in shared_currents_a(pair, 5.0, 1, 75.0)]
    assert found == pytest.approx(common, abs=6e-5)
    alone = [1000 * float(operating_current_a(diode, 5.0, 1, 150.0)) for diode in pair]
    assert alone == pytest.approx(own, abs=6e-4)


@pytest.mark.parametrize("row", TABLE["derating"]["knees"])
def test_derating_begins_where_the_data_sheet_says(row: list[float], parameters: Make) -> None:
    """Below the knee the data sheet's current holds, above it the junction does."""
    most, junction, thermal, volts, knee = row

    def most_a(ambient: float) -> float:
        led = {"size": "0805", "colour": "red", "cathode": "bar", "source": "test",
               "vf": {"at": "50 mA", "min": f"{volts} V", "typical": f"{volts} V",
                      "max": f"{volts} V"},
               "points": [["1 uA", f"{volts - 2e-6} V"], ["50 mA", f"{volts} V"]],
               "per_kelvin": "0 mV/K", "max_current": f"{most} A", "thermal": f"{thermal} K/W",
               "max_junction": f"{junction} degC"}  # fmt: skip
        found = parameters(
            SMALLEST,
            led={"lamp": led},
            light={"led": "lamp"},
            board={"ambient": f"{ambient} degC"},
        )
        return float(size(found).kinds[0].most_a)

    assert most_a(knee - 0.1) == pytest.approx(most)
    assert most_a(knee + 0.1) < most
    beyond = min(knee + 20, 99)
    assert most_a(beyond) == pytest.approx((junction - beyond) / (thermal * volts), rel=1e-4)


# -- outside witness: scipy --------------------------------------------------------------------


def test_scipy_agrees_over_a_thousand_random_circuits() -> None:
    generator = np.random.default_rng(4)
    for _ in range(1_000):
        ideality, series = generator.uniform(1, 3), generator.uniform(0, 10)
        volts, leds = generator.uniform(1.2, 3.6), int(generator.integers(1, 9))
        diode = diode_through(ideality, series, 0.020, volts)
        supply, ohms = generator.uniform(0, 60), 10 ** generator.uniform(0, 4)
        found = float(operating_current_a(diode, supply, leds, ohms))

        def loop(amps: float, d: Diode = diode, s: float = supply, n: int = leds,
                 r: float = ohms) -> float:  # fmt: skip
            return float(s - amps * r - n * d.voltage_v(amps))

        assert found == pytest.approx(brentq(loop, 0.0, supply / ohms + 1e-12, xtol=1e-15),
                                      abs=1e-12, rel=1e-9)  # fmt: skip
        a, total = leds * ideality * THERMAL_V, ohms + leds * series
        saturation = float(np.exp(diode.log_saturation))
        exponent = (supply + saturation * total) / a
        if exponent < 700:  # beyond, Lambert's form overflows; Wright's does not
            w = lambertw(saturation * total / a * np.exp(exponent)).real
            assert found == pytest.approx(a / total * w - saturation, abs=1e-12, rel=1e-9)


@given(st.floats(-600, 1e6))
def test_omega_solves_its_equation(y: float) -> None:
    omega = float(wright_omega(y))
    if y > -500:
        assert omega + np.log(omega) == pytest.approx(y, rel=1e-13, abs=1e-13)


# -- laws --------------------------------------------------------------------------------------

DIODES = st.builds(
    diode_through, st.floats(1, 3), st.floats(0, 12), st.just(0.02), st.floats(1.2, 3.8)
)


@given(DIODES, st.floats(0, 60), st.integers(1, 12), st.floats(1, 1e5), st.floats(0.001, 10))
def test_current_falls_when_any_resistance_grows(
    diode: Diode, supply: float, leds: int, ohms: float, more: float
) -> None:
    noise = 1e-18
    current = float(operating_current_a(diode, supply, leds, ohms)) + noise
    assert float(operating_current_a(diode, supply, leds, ohms * (1 + more))) <= current
    stiffer = Diode(
        ideality=diode.ideality,
        series_ohm=diode.series_ohm + more,
        log_saturation=diode.log_saturation,
    )
    assert float(operating_current_a(stiffer, supply, leds, ohms)) <= current
    if current > 1e-6:
        assert float(operating_current_a(diode, supply, leds, ohms * (1 + more))) < current


@given(DIODES, st.floats(0, 60), st.integers(1, 12), st.floats(1, 1e5))
def test_the_loop_closes_and_nothing_flows_backwards(
    diode: Diode, supply: float, leds: int, ohms: float
) -> None:
    current = float(operating_current_a(diode, supply, leds, ohms))
    assert current >= 0
    if current > 1e-12:
        loop = current * ohms + leds * float(diode.voltage_v(current))
        assert loop == pytest.approx(supply, rel=1e-9, abs=1e-9)


@given(st.floats(0, 30), st.floats(20, 2_000), st.floats(-20, 80))
def test_warming_up_never_dims_and_settles_at_its_own_heat(
    supply: float, ohms: float, ambient: float
) -> None:
    led = parameters_of(SHELF).parts.emitters[0].led
    diode = bins(led).typical
    cold, warm = (settled(diode, led, supply, 3.0, ohms, ambient, way) for way in (0.0, 1.0))
    assert float(warm.current_a) >= float(cold.current_a) * (1 - 1e-12)
    if float(warm.junction_degc) < 300:
        heat = float(warm.vf_v * warm.current_a)
        rise = float(warm.junction_degc) - ambient
        assert rise == pytest.approx(led.shape.thermal_k_per_w * heat, abs=1e-6, rel=1e-6)


def test_two_pairs_scale_the_typical_shape_and_more_are_fitted() -> None:
    one = shape([], (2.0, 3.0))
    assert one == (2.0, 3.0)
    exact = diode_through(2.0, 3.0, 0.020, 2.0)
    pairs = [(amps, float(exact.voltage_v(amps))) for amps in (0.001, 0.020)]
    assert shape(pairs, (4.0, 6.0)) == pytest.approx((2.0, 3.0), rel=1e-9)
    many = [(amps, float(exact.voltage_v(amps))) for amps in (0.001, 0.005, 0.020, 0.030)]
    assert shape(many, (1.0, 1.0)) == pytest.approx((2.0, 3.0), rel=1e-6)


def test_a_fit_never_takes_negative_resistances() -> None:
    bent_down = [(0.001, 1.8), (0.010, 2.1), (0.020, 2.15), (0.030, 2.16)]
    assert fitted(bent_down)[1] == 0.0
    straight = [(0.001, 0.1), (0.010, 1.0), (0.020, 2.0), (0.030, 3.0)]
    ideality, series, _ = fitted(straight)
    assert ideality > 0
    assert series == pytest.approx(100, rel=0.02)


def test_an_own_curve_is_read_and_used(parameters: Make) -> None:
    """A steep curve makes the fixed forward voltage of the textbooks."""
    vf = {"at": "20 mA", "min": "2 V", "typical": "2 V", "max": "2 V"}
    points = [["1 mA", "1.999999 V"], ["20 mA", "2 V"]]
    led = {"size": "0805", "colour": "red", "cathode": "bar", "source": "test", "vf": vf,
           "max_current": "60 mA", "points": points}  # fmt: skip
    found = parameters(merged(SMALLEST, {"led": {"own": led}, "light": {"led": "own"}}))
    kind = size(found).kinds[0]
    assert kind.nominal.vf_v == pytest.approx(2.0, abs=1e-5)


def test_a_larger_chip_has_less_series_resistance_in_proportion(parameters: Make) -> None:
    """Own choice: typical Rs are of chips stated at 20 mA that bear 30 mA; of larger ones less."""
    vf = {"at": "60 mA", "min": "2.8 V", "typical": "3 V", "max": "3.3 V"}
    led = {"size": "2835", "colour": "white", "cathode": "notch", "source": "test", "vf": vf,
           "max_current": "80 mA"}  # fmt: skip
    found = parameters(merged(SHELF, {"led": {"own": led}, "light": {"led": "own"}}))
    assert bins(found.parts.emitters[0].led).typical.series_ohm == pytest.approx(8.0 / 3)
    # A chip of 60 mA whose forward voltage is stated at 20 mA: half of a small one's.
    assert bins(parameters(SHELF).parts.emitters[0].led).typical.series_ohm == pytest.approx(4.0)

"""What the board does: run time, light, samples, power; and laws that hold whatever the board."""

import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardgen.electrical.leds import bins, settled, through
from boardgen.electrical.runtime import _board_current, capacity_ah, discharge, run_time
from boardgen.electrical.sampling import Draws, branch_currents_a, draws
from boardgen.electrical.size import size
from boardgen.model.board import PartKind
from boardgen.standards.photometry import (
    evenness,
    flux_lm,
    illuminance_lx,
    intensity_cd,
    order,
    pitch_over_height,
)
from tests.conftest import SHELF, SMALLEST, Make, design_of, merged, parameters_of

PUBLISHED = Path(__file__).parents[1] / "published"
TIMES: dict[str, Any] = tomllib.loads((PUBLISHED / "run-times.toml").read_text(encoding="utf-8"))
LIGHT: dict[str, Any] = tomllib.loads((PUBLISHED / "light.toml").read_text(encoding="utf-8"))

CURVE = list(zip(TIMES["curve"]["drawn"], TIMES["curve"]["volts"], strict=True))


def fixed(branches: float, cell_ohm: float = 0.0) -> Any:
    """Three cells, 2.0 V of LED, 100 ohm in each branch: the page's cases."""
    return lambda volts: np.maximum(3 * volts - 2.0, 0) / (100 / branches + 3 * cell_ohm)


# -- run time ----------------------------------------------------------------------------------


def test_a_straight_fall_takes_the_published_hours() -> None:
    a = TIMES["a"]
    found = discharge(a["curve"], a["charge_ah"], fixed(1))
    assert found.hours[-1] == pytest.approx(a["hours"], abs=1e-3)


def test_a_curve_takes_the_published_hours_all_along() -> None:
    b = TIMES["b"]
    found = discharge(CURVE, b["charge_ah"], fixed(1))
    at = np.interp(TIMES["curve"]["drawn"], found.drawn, found.hours)
    assert at == pytest.approx(b["hours"], abs=1e-3)
    amps = np.interp(TIMES["curve"]["drawn"], found.drawn, found.current_a)
    assert amps * 1000 == pytest.approx(b["milliamperes"], abs=1e-6)


@pytest.mark.parametrize(("case", "words"), [("c", "battery is at its end"), ("d", "goes out")])
def test_a_discharge_ends_where_the_page_ends_it(case: str, words: str) -> None:
    table = TIMES[case]
    found = discharge(
        CURVE, table["charge_ah"], fixed(table["branches"], table.get("cell_ohm", 0.0)),
        cutoff_v=table.get("cutoff_v", 0.0), cutoff_a=table.get("dark_ma", 0.0) / 1000,
    )  # fmt: skip
    assert found.hours[-1] == pytest.approx(table["hours"], abs=1e-3)
    assert found.charge_share * table["charge_ah"] == pytest.approx(table["drawn_ah"], abs=1e-4)
    assert words in found.ends_by
    if "mean_ma" in table:
        mean = table["drawn_ah"] / found.hours[-1] * 1000
        assert mean == pytest.approx(table["mean_ma"], abs=0.06)


@given(st.floats(10, 1000), st.floats(1.01, 5))
def test_run_time_grows_when_current_falls(ohms: float, by: float) -> None:
    def hours(resistance: float) -> float:
        return float(
            discharge(CURVE, 2.0, lambda volts: np.maximum(3 * volts - 2.0, 0) / resistance).hours[
                -1
            ]
        )

    assert hours(ohms * by) > hours(ohms)


@pytest.mark.parametrize(
    ("name", "cells"),
    [("alkaline AA", 3), ("NiMH AA", 4), ("li-ion protected", 1), ("battery 12 V", None)],
)
def test_batteries_say_how_long_they_last(parameters: Make, name: str, cells: int | None) -> None:
    supply = {"from": name, "cells": cells} if cells else {"from": name}
    changes = {"supply": supply, "light": {"led": "red 0805", "use": None, "current": "5 mA"}}
    dim, bright = (
        parameters(SHELF, **{**changes, "light": {**changes["light"], "current": amps}})
        for amps in ("5 mA", "10 mA")
    )
    long, short = (run_time(found, size(found)) for found in (dim, bright))
    assert long
    assert short
    assert long.hours > short.hours > 0
    assert 0 <= long.left < 1
    light = [share for _, share in long.ages]
    assert light[0] == 1
    assert light == sorted(light, reverse=True)
    # Nothing is drawn that was not there: hours times mean current is the charge used.
    assert long.hours * long.mean_a == pytest.approx(long.charge_ah * (1 - long.left), rel=1e-6)


def test_adapters_do_not_run_down(design: Make) -> None:
    assert design().operation.run_time is None


def test_the_drain_decides_how_much_a_battery_holds() -> None:
    """Continuous tests, read in a secondary page: 2.15 Ah at 100 mA, less above."""
    table = parameters_of(
        merged(SHELF, {"supply": {"from": "alkaline AA", "cells": 3}, "light": {"led": "red 0805"}})
    ).parts.supply.capacity
    assert capacity_ah(table, 0.1) == pytest.approx(2.15)
    assert capacity_ah(table, 0.5) == pytest.approx(1.24)
    assert 1.24 < capacity_ah(table, 0.25) < 2.15
    assert capacity_ah(table, 5.0) == pytest.approx(0.90)


# -- light -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("angle", "m", "lumens"), LIGHT["beam"])
def test_beams_follow_the_cosine_power_law(angle: float, m: float, lumens: float) -> None:
    assert order(angle) == pytest.approx(m, abs=5.1e-5)
    assert flux_lm(1.0, angle) == pytest.approx(lumens, abs=5.1e-5)
    assert intensity_cd(flux_lm(1.0, angle), angle) == pytest.approx(1.0)


@pytest.mark.parametrize("bar", LIGHT["bar"], ids=lambda bar: f"{bar['row'][0]}")
def test_a_bar_lights_a_plane_as_published(bar: dict[str, Any]) -> None:
    count, pitch, height, candela, angle = bar["row"]
    leds = [(pitch * (i - (count - 1) / 2), 0.0) for i in range(int(count))]
    for x, y, lux in bar["lux"]:
        found = illuminance_lx((x, y), leds, height, candela, order(angle))
        # The last example prints its candela and pitch to six digits only.
        assert found == pytest.approx(lux, rel=2e-6)


@pytest.mark.parametrize("angle", ["120", "90", "60", "30"])
def test_rows_are_as_even_as_published(angle: str) -> None:
    table, m = LIGHT["evenness"], order(float(angle))
    for pitch, even in zip(table["pitch_over_height"], table[angle], strict=True):
        assert evenness(pitch, m) == pytest.approx(even, abs=5.1e-6)
    for wanted, pitch in zip(LIGHT["pitch"]["wanted"], LIGHT["pitch"][angle], strict=True):
        assert pitch_over_height(wanted, m) == pytest.approx(pitch, abs=5.1e-4)


BRIGHT = {
    "white": {"size": "2835", "colour": "white", "cathode": "notch", "source": "test",
              "vf": {"at": "20 mA", "min": "2.8 V", "typical": "3 V", "max": "3.3 V"},
              "max_current": "60 mA",
              "output": {"at": "60 mA", "flux": "22 lm", "angle": "120 deg"}},
    "red": {"size": "0805", "colour": "red", "cathode": "bar", "source": "test",
            "vf": {"at": "20 mA", "min": "1.8 V", "typical": "2 V", "max": "2.4 V"},
            "max_current": "30 mA",
            "output": {"at": "20 mA", "intensity": "200 mcd", "angle": "120 deg"}},
}  # fmt: skip


def test_a_board_tells_its_light_from_the_leds_data(design: Make) -> None:
    asked = {"led": "own", "plane": "300 mm", "diffuser": "20 mm", "evenness": "94 %"}
    made = design(led={"own": BRIGHT["white"]}, light=asked)
    light, current = made.operation.illumination, made.circuit.kinds[0].nominal.current_a
    # 22 lm at 60 mA, in proportion to current: flux of a cosine emitter is pi times its candela.
    assert light.flux_lm == pytest.approx(8 * 22 * current / 0.060)
    assert light.axis_cd == pytest.approx(22 * current / 0.060 / np.pi)
    assert light.evenness == pytest.approx(0.94704, abs=1e-5)  # pitch = height, as published
    # Own calculation: over the first LED the level is 0.81 of the middle, endless row.
    assert light.end_share == pytest.approx(0.81, abs=0.02)
    assert light.middle_lx == max(lux for _, lux in light.along_lx)
    assert light.across_lx[-1][1] < light.across_lx[0][1]


def test_a_silent_led_gives_no_light_to_tell(design: Make) -> None:
    led = {key: value for key, value in BRIGHT["red"].items() if key != "output"}
    made = design(led={"own": led}, light={"led": "own"})
    assert made.operation.illumination is None


def test_two_colours_that_should_look_alike_get_currents_by_their_candela(parameters: Make) -> None:
    """200 mcd at 20 mA are 10 mcd/mA; 22 lm at 60 mA and 120 degrees are 117 mcd/mA: R1, D."""
    light = {"led": "w", "as_bright_as": "r", "use": None, "current": "9 mA"}
    found = parameters(led={"w": BRIGHT["white"], "r": BRIGHT["red"]}, light=light)
    assert found.parts.emitters[0].current_a == pytest.approx(0.009 * 10 / (22 / np.pi / 60 * 1000))


# -- samples -----------------------------------------------------------------------------------

STRINGS = merged(
    SHELF,
    {
        "supply": {"from": "adapter 12 V"},
        "light": {"count": 12, "in_series": 3},
        "resistor": {"tolerance": "5 %"},
    },
)


def extremes(fix: str = "") -> tuple[float, float]:
    """Sample 10,000 boards, with one thing held in its middle; shares of the corners' reach."""
    parameters = parameters_of(STRINGS)
    circuit = size(parameters)
    (kind,) = circuit.kinds
    drawn = draws(10_000, (3, 3, 3, 3), 7)
    if fix:
        middle = np.full_like(getattr(drawn, fix), 0.5)
        drawn = Draws(**{name: middle if name == fix else getattr(drawn, name)
                         for name in Draws.__dataclass_fields__})  # fmt: skip
    currents = branch_currents_a(parameters, circuit, drawn)
    assert currents.max() <= kind.high.current_a * (1 + 1e-12)
    assert currents.min() >= kind.low.current_a * (1 - 1e-12)
    return currents.max() / kind.high.current_a, kind.low.current_a / currents.min()


def test_corners_bound_every_sample_and_are_nearly_reached() -> None:
    high, low = extremes()
    assert high >= 0.97
    assert low >= 0.97


@pytest.mark.parametrize("held", ["supply", "bin", "tolerance", "ambient"])
def test_holding_any_one_of_the_draws_keeps_the_corner_out_of_reach(held: str) -> None:
    high, low = extremes(held)
    assert min(high, low) < 0.97


@settings(max_examples=25)
@given(
    st.sampled_from(["usb 5 V", "adapter 12 V", "adapter 24 V"]),
    st.sampled_from(["red 0805", "white 2835", "blue 3528", "amber 0603"]),
    st.integers(5, 300),
    st.integers(0, 2**32 - 1),
)
def test_corners_bound_every_sample_of_random_boards(
    supply: str, led: str, tenths: int, seed: int
) -> None:
    light = {"led": led, "use": None, "current": f"{tenths / 10} mA", "count": 6}
    parameters = parameters_of(merged(SHELF, {"supply": {"from": supply}, "light": light}))
    circuit = size(parameters)
    leds = tuple(branch.kind.leds for branch in circuit.branches)
    currents = branch_currents_a(parameters, circuit, draws(200, leds, seed))
    for place, branch in enumerate(circuit.branches):
        assert currents[:, place].max() <= branch.kind.high.current_a * (1 + 1e-12)
        assert currents[:, place].min() >= branch.kind.low.current_a * (1 - 1e-12)


def test_samples_are_the_same_on_every_run(design: Make) -> None:
    one, other = draws(50, (3, 3), 3), draws(50, (3, 3), 3)
    assert np.array_equal(one.bin, other.bin)
    assert not np.array_equal(one.bin, draws(50, (3, 3), 4).bin)
    # PCG64 is specified: these first draws are the same on every machine.
    assert draws(2, (1,), 1).bin.ravel() == pytest.approx([0.51773, 1.0], abs=1e-5)
    sampling = design(STRINGS).operation.sampling
    assert sampling.branch_a.low < sampling.branch_a.middle < sampling.branch_a.high
    assert sampling.unlike.high > 0.1


WILD = {
    "size": "2835", "colour": "white", "cathode": "notch", "source": "test",
    "vf": {"at": "20 mA", "min": "2.6 V", "typical": "3.2 V", "max": "3.8 V"},
    "max_current": "150 mA", "thermal": "280 K/W",
}  # fmt: skip


def test_the_hottest_led_need_not_be_the_one_with_most_current(parameters: Make) -> None:
    """Behind a ballast that takes most of the supply, the greatest Vf makes the most heat."""
    supply = {"from": None, "kind": "bench", "low": "23 V", "nominal": "24 V", "high": "25 V"}
    found = parameters(
        led={"own": WILD},
        supply=supply,
        light={"led": "own", "in_series": 1, "use": None, "current": "45 mA"},
        board={"ambient": "60 degC"},
        resistor={"size": "2512", "series": "E96"},
    )
    (kind,) = size(found).kinds
    bins_v = np.linspace(2.6, 3.8, 25)
    junctions = [
        float(settled(through(kind.led, volts), kind.led, 25.0, 1, kind.high.resistance_ohm, 60.0)
              .junction_degc)
        for volts in bins_v
    ]  # fmt: skip
    assert kind.hottest.junction_degc == pytest.approx(max(junctions), abs=0.05)
    assert kind.hottest.junction_degc > kind.high.junction_degc + 5
    assert kind.led_load > 1  # over 100 degC
    assert kind.high.current_a < kind.most_a


def test_warming_settles_even_where_more_heat_means_less(parameters: Make) -> None:
    led = {**WILD, "per_kelvin": "-10 mV/K", "thermal": "2000 K/W", "colour": "uv",
           "vf": {"at": "20 mA", "min": "2.8 V", "typical": "3 V", "max": "3.1 V"}}  # fmt: skip
    part = parameters(led={"own": led}, light={"led": "own"}).parts.emitters[0].led
    state = settled(through(part, 2.8), part, 15.0, 1.0, 190.0, 20.0)
    heat = float(state.vf_v * state.current_a)
    assert float(state.junction_degc) == pytest.approx(20 + 2000 * heat, rel=1e-6)


def test_each_led_shines_by_its_own_branchs_current(design: Make) -> None:
    """A short branch behind a coarse series is brighter: its light counts as such."""
    output = {"at": "20 mA", "flux": "8 lm", "angle": "120 deg"}
    made = design(
        led={"own": {**WILD, "output": output}},
        supply={"from": "adapter 12 V"},
        light={
            "led": "own",
            "count": 4,
            "in_series": 3,
            "use": None,
            "current": "20 mA",
            "plane": "400 mm",
        },
        resistor={"series": "E3"},
    )
    amps = [b.kind.nominal.current_a for b in made.circuit.branches for _ in range(b.kind.leds)]
    light = made.operation.illumination
    assert light.flux_lm == pytest.approx(8 / 0.020 * sum(amps))
    assert light.axis_cd == pytest.approx(8 / np.pi / 0.020 * max(amps))
    leds = [(part.x_mm, part.y_mm) for part in made.board.parts if part.kind is PartKind.LED]
    middle = ((leds[0][0] + leds[-1][0]) / 2, leds[0][1])
    one = [
        illuminance_lx(middle, [place], 400.0, 8 / np.pi / 0.020 * current, 1.0)
        for place, current in zip(leds, amps, strict=True)
    ]
    assert light.middle_lx == pytest.approx(sum(one))


def test_a_cells_inner_resistance_is_common_to_all_branches(parameters: Make) -> None:
    """The loop closes: rest = r times the whole current + ballast and LED of one branch."""
    found = parameters(
        SMALLEST,
        supply={"from": "lithium coin 20 mm"},
        light={"count": 3, "current": "0.8 mA"},
        connector={"kind": "coin cell holder 20 mm"},
    )
    circuit = size(found)
    assert len(circuit.branches) == 3
    at_rest = np.array([3.2, 2.9, 2.5])
    total = _board_current(found, circuit)(at_rest)
    each, ballast = total / 3, circuit.kinds[0].nominal.resistance_ohm
    loop = 20.0 * total + each * ballast + bins(found.parts.emitters[0].led).typical.voltage_v(each)
    assert loop == pytest.approx(at_rest, rel=1e-9)


def test_power_and_heat_per_area_are_told(design: Make) -> None:
    made = design()
    # A rectangle of 181 x 14 mm whose four corners of 2 mm are round.
    area_cm2 = (181 * 14 - (4 - math.pi) * 2**2) / 100
    assert made.operation.worst_power_w == pytest.approx(5.5 * made.circuit.worst_a)
    assert made.operation.worst_w_per_cm2 == pytest.approx(made.operation.worst_power_w / area_cm2)
    # Two contacts of 10 mohm, common practice, no source.
    assert made.operation.connector_worst_w == pytest.approx(0.02 * made.circuit.worst_a**2)
    assert 0.5 < made.operation.efficiency < 0.65  # some 2.9 of 5 V


def test_one_branch_is_as_strong_as_itself() -> None:
    assert design_of(SMALLEST).operation.rails.spread == 0.0

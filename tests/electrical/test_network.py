"""Rails by nodal solution, held against closed forms, and what other ways to feed would give."""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardgen.electrical.network import Array, Flow, Taps, Tree, solve
from boardgen.electrical.rails import _inside
from boardgen.standards.copper import sheet_ohm
from boardgen.standards.photometry import lightness_steps
from tests.conftest import SHELF, Make, design_of, merged

PUBLISHED = Path(__file__).parents[1] / "published"
TABLE: dict[str, Any] = tomllib.loads((PUBLISHED / "rails.toml").read_text(encoding="utf-8"))
LIGHT: dict[str, Any] = tomllib.loads((PUBLISHED / "light.toml").read_text(encoding="utf-8"))

NO_RAIL = Tree(parents=(-1,), ohms=(0.0,))


def chain(sections: int, ohms: float, *, both_ends: bool = False) -> Tree:
    fed = frozenset({0, sections} if both_ends else {0})
    return Tree(parents=(-1, *range(sections)), ohms=(0.0, *[ohms] * sections), fed=fed)


def constant(amps: float) -> Taps:
    def taps(across: Array) -> tuple[Array, Array]:
        return np.full_like(across, amps), np.zeros_like(across)

    return taps


def resistive(ohms: float) -> Taps:
    def taps(across: Array) -> tuple[Array, Array]:
        return across / ohms, np.full_like(across, 1 / ohms)

    return taps


def along(number: int, supply: Tree, back: Tree, taps: Taps, volts: float, *,
          mirrored: bool = False) -> Flow:  # fmt: skip
    """Solve with a tap at each node of both rails; ``mirrored`` when the return runs backwards."""
    below = [number + 1 - tap if mirrored else tap for tap in range(1, number + 1)]
    places = [(tap, other if len(back.parents) > 1 else 0)
              for tap, other in zip(range(1, number + 1), below, strict=True)]  # fmt: skip
    return solve(supply, back, places, taps, volts)


@pytest.mark.parametrize(("number", "one_end", "both"), TABLE["sums"])
def test_drops_are_the_published_sums(number: int, one_end: float, both: float) -> None:
    amps, ohms = 0.02, 1e-3
    one = along(number, chain(number, ohms), NO_RAIL, constant(amps), 5.0)
    two = along(number, chain(number + 1, ohms, both_ends=True), NO_RAIL, constant(amps), 5.0)
    loop = along(number, chain(number, ohms), chain(number, ohms), constant(amps), 5.0)
    unit = amps * ohms
    assert one.supply_drop_v.max() == pytest.approx(one_end * unit, abs=1e-9)
    assert two.supply_drop_v.max() == pytest.approx(both * unit, abs=1e-9)
    total = loop.supply_drop_v + loop.return_drop_v
    assert total.max() == pytest.approx(number * (number + 1) * unit, abs=1e-9)


def test_a_return_from_the_other_end_evens_the_drops_out() -> None:
    table, unit = TABLE["diagonal"], 0.02 * 1e-3
    number = table["taps"]
    flow = along(number, chain(number, 1e-3), chain(number, 1e-3), constant(0.02), 5.0,
                 mirrored=True)  # fmt: skip
    drops = (flow.supply_drop_v + flow.return_drop_v) / unit
    assert drops[0] == drops[-1] == pytest.approx(table["ends"], abs=1e-6)
    assert drops.max() == pytest.approx(table["middle"], abs=1e-6)


@pytest.mark.parametrize("row", TABLE["worked"]["rows"])
def test_worked_drops_come_out_in_millivolts(row: list[float]) -> None:
    number, amps, one_end, both, loop = row
    ohms = TABLE["worked"]["section_ohm"]
    count = int(number)
    one = along(count, chain(count, ohms), NO_RAIL, constant(amps), 5.0)
    two = along(count, chain(count + 1, ohms, both_ends=True), NO_RAIL, constant(amps), 5.0)
    around = along(count, chain(count, ohms), chain(count, ohms), constant(amps), 5.0)
    assert one.supply_drop_v.max() * 1000 == pytest.approx(one_end, abs=6e-4)
    assert two.supply_drop_v.max() * 1000 == pytest.approx(both, abs=6e-4)
    assert (around.supply_drop_v + around.return_drop_v).max() * 1000 == pytest.approx(
        loop, abs=1.1e-3
    )


def test_resistive_taps_follow_the_hyperbolic_cosine() -> None:
    table = TABLE["taps"]
    number, r, ohms, volts = table["number"], table["section_ohm"], table["tap_ohm"], table["volts"]
    flow = along(number, chain(number, r), NO_RAIL, resistive(ohms), volts)
    alpha = np.arccosh(1 + r / ohms / 2)
    for tap in range(1, number + 1):
        wanted = volts * np.cosh((number - tap + 0.5) * alpha) / np.cosh((number + 0.5) * alpha)
        assert flow.across_v[tap - 1] == pytest.approx(wanted, abs=1e-9)
    for tap, value in table["across_v"].items():
        assert flow.across_v[int(tap) - 1] == pytest.approx(value, abs=5.1e-9)
    for tap, value in table["current_ma"].items():
        assert flow.current_a[int(tap) - 1] * 1000 == pytest.approx(value, abs=5.1e-5)


@pytest.mark.parametrize(("degc", "microns", "ohms"), TABLE["copper"]["sheet"])
def test_a_square_of_copper_has_the_published_resistance(
    degc: float, microns: float, ohms: float
) -> None:
    assert sheet_ohm(microns, degc) == pytest.approx(ohms, abs=5.1e-8)


@pytest.mark.parametrize(("less", "steps"), LIGHT["lightness"]["rows"])
def test_less_light_is_told_in_steps_of_lightness(less: float, steps: float) -> None:
    assert lightness_steps(less) == pytest.approx(steps, abs=0.051)


TREES = st.lists(st.tuples(st.integers(0, 10**6), st.floats(1e-4, 1.0)), min_size=1, max_size=30)


@given(TREES, TREES, st.floats(1, 60), st.floats(0.5, 1000))
def test_what_goes_in_comes_out_on_random_trees(
    above: list[tuple[int, float]], below: list[tuple[int, float]], volts: float, ohms: float
) -> None:
    """Power in = power of the taps + heat of every piece; the power balance closes to 1e-9."""
    first, second = (
        Tree(
            parents=(-1, *(pick % place for place, (pick, _) in enumerate(nodes, start=1))),
            ohms=(0.0, *(piece for _, piece in nodes)),
        )
        for nodes in (above, below)
    )
    places = [(place % len(first.parents), (place * 7) % len(second.parents))
              for place in range(1, 20)]  # fmt: skip
    flow = solve(first, second, places, resistive(ohms), volts)
    source = volts * flow.current_a.sum()
    taps = (flow.current_a * flow.across_v).sum()
    assert taps + flow.loss_w == pytest.approx(source, rel=1e-9)


# -- on boards ---------------------------------------------------------------------------------

LONG = merged(
    SHELF,
    {
        "supply": {"from": "adapter 5 V"},
        "light": {"count": 32, "use": None, "current": "20 mA"},
        "form": {"pitch": "14.5 mm"},
        "resistor": {"series": "E24"},
        "copper": {"rail": "1 mm"},
    },
)


def test_the_power_balance_of_a_board_closes(design: Make) -> None:
    """Each part from its own law: diode, Ohm, drops, pieces of copper."""
    for text in (LONG, SHELF):
        power = design(text).operation.power
        parts = power.leds_w + power.ballasts_w + power.guards_w + power.rails_w
        assert parts == pytest.approx(power.supply_w, rel=1e-9)


def test_a_long_bar_fades_and_its_remedies_are_computed() -> None:
    """Own scenario: 32 LEDs, 20 mA, 1 mm rails: some percent from end to end.

    There both rails are 1 mm wide and forward voltages fixed; here the return is the pour.
    """
    operation = design_of(LONG).operation
    rails = operation.rails
    assert 0.015 < rails.spread < 0.067
    ways = {way.title: way.spread for way in rails.options}
    assert ways["as drawn"] == rails.spread
    assert ways["a supply rail of twice the width"] == pytest.approx(rails.spread / 2, rel=0.15)
    # The return costs little here, so that turning it round helps little; a second feed quarters.
    assert ways["a second feed at the other end"] < rails.spread / 3
    assert ways["the return taken from the other end"] < rails.spread
    wide = design_of(merged(LONG, {"copper": {"rail": "2 mm"}})).operation.rails
    assert wide.spread == pytest.approx(ways["a supply rail of twice the width"], rel=0.05)


def test_no_branch_gets_more_than_nominal_and_the_first_gets_most(design: Make) -> None:
    made = design()
    nominal = made.circuit.kinds[0].nominal.current_a
    assert all(amps <= nominal for amps in made.operation.rails.currents_a)
    assert len(made.operation.rails.currents_a) == len(made.circuit.branches)
    assert made.operation.rails.currents_a[0] == max(made.operation.rails.currents_a)


@pytest.mark.parametrize("at", ["left", "right"])
@pytest.mark.thorough
def test_the_branch_furthest_from_the_connector_is_the_weakest(design: Make, at: str) -> None:
    currents = design(LONG, connector={"at": at}).operation.rails.currents_a
    weakest = currents.index(min(currents))
    assert weakest == (len(currents) - 1 if at == "left" else 0)


@pytest.mark.thorough
def test_a_hotter_board_loses_more_along_its_rails(design: Make) -> None:
    cool, hot = (design(LONG, board={"ambient": ambient}) for ambient in ("25 degC", "85 degC"))
    ratio = hot.operation.rails.drop_v / cool.operation.rails.drop_v
    assert ratio == pytest.approx(sheet_ohm(35, 95) / sheet_ohm(35, 35), rel=0.01)


def test_only_tracks_of_one_width_that_end_together_make_a_bend() -> None:
    """A bend is 0.44 square shorter than its centre line, a stub at a rail's end is none."""
    here, level, upright = (0.0, 0.0), (1.0, 0.0), (0.0, 1.0)
    bend = {here: [(level, 1.5), (upright, 1.5)]}
    stub = {here: [(level, 1.5), (upright, 0.5)]}
    passing = {here: [(level, 1.5), (level, 1.5), (upright, 1.5)]}
    assert _inside(here, level, 1.5, bend, {}) == pytest.approx(0.22 * 1.5)
    assert _inside(here, level, 1.5, stub, {}) == 0.0
    assert _inside(here, level, 1.5, passing, {}) == 0.0
    assert _inside(here, upright, 0.5, stub, {}) == 0.75  # half of the rail that it lies in

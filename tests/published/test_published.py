"""Values from outside, held against what boards and their explanations show."""

import csv
import math
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from boardgen.electrical.explain import explain
from boardgen.electrical.size import size
from boardgen.model.board import PartKind
from boardgen.model.land_pattern import Extent, LandPattern
from boardgen.outputs import export
from boardgen.units import mm
from tests.conftest import ROOT, SMALLEST, design_of, merged, parameters_of

HERE = Path(__file__).parent


def table(name: str) -> dict[str, Any]:
    return tomllib.loads((HERE / f"{name}.toml").read_text(encoding="utf-8"))


def one_led(
    supply: list[float] | float,
    vf: list[float] | float,
    *,
    series: int = 1,
    count: int = 0,
    current: float = 0.02,
    series_name: str = "",
    **resistor: object,
) -> str:
    """Describe a board of one own LED with stated corners.

    Its curve is so steep that the forward voltage is the same at every current and temperature: the
    textbook's fixed-voltage model, which the worked examples use.
    """
    if series_name:
        resistor["series"] = series_name
    low, nominal, high = supply if isinstance(supply, list) else [supply] * 3
    least, typical, most = vf if isinstance(vf, list) else [vf] * 3
    changes: dict[str, dict[str, Any]] = {
        "supply": {
            "from": None,
            "kind": "adapter",
            "low": f"{low} V",
            "nominal": f"{nominal} V",
            "high": f"{high} V",
        },
        "light": {
            "led": "test",
            "count": count or series,
            "in_series": series,
            "current": f"{current * 1000:.10g} mA",
        },
        "resistor": resistor,
        "led": {
            "test": {
                "size": "0805",
                "colour": "red",
                "vf": {
                    "at": "20 mA",
                    "min": f"{least} V",
                    "typical": f"{typical} V",
                    "max": f"{most} V",
                },
                "points": [["1 mA", f"{typical - 1e-6:.6f} V"], ["20 mA", f"{typical} V"]],
                "per_kelvin": "0 mV/K",
                "max_current": "60 mA",
                "cathode": "bar",
                "source": "test",
            }
        },
    }
    return merged(SMALLEST, changes)


HAIR = 1 + 1e-6
"""The steep curve is not quite upright: a hair more is asked for, so that the drawer serves."""


def explained(text: str) -> dict[str, float]:
    """Gather the numbers that `boardgen explain` shows."""
    parameters = parameters_of(text)
    steps = explain(parameters, size(parameters))
    return {step.key: step.value for step in steps}


# -- preferred values --------------------------------------------------------------------------


@pytest.mark.parametrize("series", ["E3", "E6", "E12", "E24", "E48", "E96"])
def test_every_preferred_value_is_taken_when_just_less_is_wanted(series: str) -> None:
    values = table("preferred-values")[series]
    for before, value in zip([values[-1] / 10, *values[:-1]], values, strict=True):
        # Just above the value before, so that any value between would be taken instead.
        wanted = before * 1.0001
        found = explained(one_led(5.0, 2.0, current=3.0 / wanted / 100, series_name=series))
        assert found["ballast_ohm"] == pytest.approx(value * 100, rel=1e-9)


# -- ballasts ----------------------------------------------------------------------------------

_SIZING = table("ballasts")["sizing"]
_CORNERS = table("ballasts")["corners"]


@pytest.mark.parametrize("case", _SIZING, ids=lambda case: f"{case['supply']:g}V-{case['series']}")
@pytest.mark.parametrize("series", ["E24", "E96"])
def test_ballasts_are_sized_as_worked_by_hand(case: dict[str, Any], series: str) -> None:
    text = one_led(
        case["supply"], case["vf"], series=case["series"], current=case["current"],
        series_name=series, tolerance="0 %",
    )  # fmt: skip
    found = explained(text)
    assert found["ballast_wanted_ohm"] == pytest.approx(case["exact"], rel=1e-6)
    assert found["ballast_ohm"] == case[series]
    assert found["headroom_lowest_v"] == pytest.approx(case["headroom"], rel=1e-6)
    exact = merged(text, {"resistor": {"series": None, "drawer": [f"{case['exact']}R"]}})
    assert explained(exact)["ballast_heat_w"] == pytest.approx(case["power"], rel=1e-5)


@pytest.mark.parametrize("case", _CORNERS, ids=lambda case: case["case"])
def test_corners_are_as_worked_by_hand(case: dict[str, Any]) -> None:
    nominal = (case["supply"][1] - case["series"] * case["vf"][1]) / case["value"]
    text = one_led(
        case["supply"], case["vf"], series=case["series"], current=nominal * HAIR,
        tolerance="5 %", drawer=[f"{case['value']}R"],
    )  # fmt: skip
    found = explained(text)
    currents = [found[f"current_{name}_a"] * 1000 for name in ("lowest", "nominal", "highest")]
    assert currents == pytest.approx(case["current_ma"], abs=0.0006)
    assert found["ballast_heat_w"] * 1000 == pytest.approx(case["worst_mw"], abs=0.006)


def test_ballasts_are_derated_above_seventy_degrees() -> None:
    for derating in table("ballasts")["derating"]:
        for ambient, share in zip(derating["ambient"], derating["share"], strict=True):
            text = merged(
                SMALLEST,
                {
                    "board": {"ambient": f"{ambient} degC"},
                    "light": {"current": "0.01 mA", "count": 1},
                },
            )
            ballast = design_of(text).circuit.kinds[0].ballast
            assert ballast.derated_w / ballast.rating_w == pytest.approx(share, abs=0.00011)


# -- tracks ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("current", "rise", "width"), table("track-width")["widths"])
def test_rail_widths_for_heat_follow_the_published_curve(
    current: float, rise: float, width: float
) -> None:
    # Fifty branches of 150 ohm at 3 V headroom carry 20 mA each; scaled by the drawer's value.
    branch = current / 50
    text = one_led(
        5.0, 2.0, count=50, current=branch * HAIR, tolerance="0 %", drawer=[f"{3.0 / branch}R"]
    )
    found = explained(merged(text, {"copper": {"rise": f"{rise} K"}}))
    assert found["board_current_highest_a"] == pytest.approx(current, rel=1e-6)
    assert found["rail_for_heat_mm"] == pytest.approx(width, abs=0.00006)


def test_the_capacity_of_a_drawn_rail_follows_the_published_curve() -> None:
    read = table("track-width")["read"]
    rail = design_of(
        merged(SMALLEST, {"copper": {"rail": f"{read['width_mm']} mm"}})
    ).operation.rails
    assert rail.width_mm == pytest.approx(read["width_mm"])
    assert rail.capacity_a == pytest.approx(read["current_a"], rel=1e-4)


def test_the_width_for_an_even_light_follows_the_worked_drop() -> None:
    drop = table("track-width")["copper"]["drop_v"]
    text = one_led(5.0, 2.0, count=24, current=0.06, tolerance="0 %", drawer=["50R"])
    # At 2 mm the rail loses `drop`; 2 % of 3 V headroom are allowed.
    wanted = 2.0 * drop / (0.02 * 3.0)
    assert explained(text)["rail_for_drop_mm"] == pytest.approx(wanted, rel=1.2e-5)


# -- lands -------------------------------------------------------------------------------------


def pattern(text: str, kind: PartKind) -> LandPattern:
    parts = design_of(text).board.parts
    return next(part.pattern for part in parts if part.kind is kind)


def chip(found: LandPattern) -> tuple[float, float, float]:
    """Measure overall length, gap and width of a chip's lands as they are on the board."""
    left, right = sorted(found.lands, key=lambda land: land.x_mm)
    overall = right.x_mm + right.width_mm / 2 - left.x_mm + left.width_mm / 2
    gap = right.x_mm - right.width_mm / 2 - left.x_mm - left.width_mm / 2
    return overall, gap, left.height_mm


def extent(box: Extent) -> tuple[float, float, float, float]:
    return (box.left_mm, box.bottom_mm, box.right_mm, box.top_mm)


SIZES = ["0402", "0603", "0805", "1206"]
FINE = {"order": {"house": "fine"}}
"""A house whose gap is below every calculated one, so that none gives way."""


@pytest.mark.parametrize("size_code", SIZES)
def test_resistor_lands_follow_the_published_equations(size_code: str) -> None:
    lands = table("lands")
    text = merged(SMALLEST, {"resistor": {"size": size_code}, **FINE})
    found = pattern(text, PartKind.RESISTOR)
    overall, gap, width = chip(found)
    wanted = lands["chip"][size_code]
    # Lands are rounded to a micrometre; the worked values to a tenth of one.
    assert (overall, gap, width) == pytest.approx(
        (wanted["overall"], wanted["gap"], wanted["width"]), abs=0.00106
    )
    relation = lands["relations"].get(size_code)
    if relation:
        assert overall >= relation["overall_at_least"]
        assert gap <= relation["gap_at_most"]
        assert width >= relation["width_at_least"]
    assert found.name == lands["names"][size_code]


@pytest.mark.parametrize("led", [f"red {size_code}" for size_code in SIZES])
def test_led_lands_are_our_own_calculation(led: str) -> None:
    wanted = table("own")["led"][led]
    found = pattern(merged(SMALLEST, {"light": {"led": led}, **FINE}), PartKind.LED)
    assert chip(found) == pytest.approx(
        (wanted["overall"], wanted["gap"], wanted["width"]), abs=0.00106
    )
    assert found.name == wanted["name"]
    half_l, half_w = wanted["body"][0] / 2, wanted["body"][1] / 2
    assert extent(found.body) == pytest.approx((-half_l, -half_w, half_l, half_w))


@pytest.mark.parametrize("size_code", SIZES)
def test_resistor_bodies_and_ratings_are_the_lower_of_the_sources(size_code: str) -> None:
    own = table("own")["resistor"]
    text = merged(SMALLEST, {"resistor": {"size": size_code}, **FINE})
    found = pattern(text, PartKind.RESISTOR)
    half_l, half_w = (side / 2 for side in own["body"][size_code])
    assert extent(found.body) == pytest.approx((-half_l, -half_w, half_l, half_w))
    assert found.height_mm == own["height"][size_code]
    assert parameters_of(text).parts.resistor.rating_w == pytest.approx(own["rating_w"][size_code])
    overall, _, width = chip(found)
    room = own["courtyard_room"][size_code]
    assert extent(found.courtyard)[2:] == pytest.approx(
        (overall / 2 + room, max(width / 2, half_w) + room), abs=0.001
    )


@pytest.mark.parametrize("size_code", ["2835", "3528"])
def test_moulded_leds_are_our_own_tables(size_code: str) -> None:
    own = table("own")[f"led_{size_code}"]
    found = pattern(merged(SMALLEST, {"light": {"led": f"white {size_code}"}}), PartKind.LED)
    for land in found.lands:
        assert [land.x_mm, land.y_mm, land.width_mm, land.height_mm] == pytest.approx(
            own[land.name]
        )
    reach = max(land.x_mm + land.width_mm / 2 for land in found.lands)
    half_l, half_w = (side / 2 for side in own["body"])
    assert extent(found.body) == pytest.approx((-half_l, -half_w, half_l, half_w))
    assert found.height_mm == own["height"]
    assert found.courtyard.right_mm == pytest.approx(reach + own["room"])
    assert [land.function for land in found.lands] == ["K", "A"]


@pytest.mark.parametrize("name", sorted(table("own")["connector"]))
def test_holes_and_lands_of_leads_follow_the_published_sums(name: str) -> None:
    lead, hole, land = table("lands")["through"][name]
    pitch, width, face, back, height, room, rating = table("own")["connector"][name]
    changes: dict[str, Any] = {"connector": {"kind": name}}
    if "coin" in name:
        changes |= {"supply": {"from": "lithium coin 20 mm"}, "light": {"current": "1 mA"}}
    design = design_of(merged(SMALLEST, changes))
    found = pattern(merged(SMALLEST, changes), PartKind.CONNECTOR)
    assert hole > lead
    for pin in found.lands:
        assert (pin.hole_mm, pin.width_mm, pin.height_mm) == pytest.approx((hole, land, land))
    drilled = {mm(h.diameter_nm) for h in design.artwork.holes if h.kind.value == "component"}
    assert [*drilled] == [pytest.approx(hole)]
    assert [pin.x_mm for pin in found.lands] == pytest.approx([-pitch / 2, pitch / 2])
    assert extent(found.body) == pytest.approx((-width / 2, -face, width / 2, back))
    assert found.height_mm == height
    assert found.courtyard.right_mm == pytest.approx(width / 2 + room)
    assert design.parameters.parts.connector.rating_a == rating


@pytest.mark.thorough
def test_screw_holes_heads_and_washers_are_the_standards() -> None:
    for thread, wanted in table("lands")["screw"].items():
        if not isinstance(wanted, dict):
            continue
        design = design_of(merged(SMALLEST, {"mounting": {"screw": thread}}))
        drilled = [h.diameter_nm for h in design.artwork.holes if not h.plated]
        assert drilled == [math.floor(wanted["hole"] * 1e6 + 0.5)] * 2
        over = table("own")["screw"]["room_over"]
        for under in ("washer", "head", "none"):
            text = merged(SMALLEST, {"mounting": {"screw": thread, "under": under}})
            covered = wanted["hole" if under == "none" else under]
            assert design_of(text).board.holes[0].room_mm == pytest.approx(covered + over)


def test_the_switch_and_the_strain_relief_are_our_own_tables() -> None:
    own = table("own")
    changes = {"connector": {"kind": "wire pads", "switch": "slide switch"}}
    design = design_of(merged(SMALLEST, changes))
    switch = design.board.part("S1").pattern
    lead, pitch, length, width, height = own["switch"]
    assert [land.x_mm for land in switch.lands] == pytest.approx([-pitch, 0, pitch])
    assert switch.lands[0].hole_mm == pytest.approx(lead + 0.20)  # as for every lead
    assert extent(switch.body) == pytest.approx((-length / 2, -width / 2, length / 2, width / 2))
    assert switch.height_mm == height
    pads = design.board.part("J1").pattern
    assert [(hole.hole_mm, hole.y_mm) for hole in pads.holes] == [tuple(own["strain"])] * 2


@pytest.mark.parametrize("code", sorted(table("resistor-marking")["codes"]))
def test_the_print_on_a_resistor_is_read_as_published(code: str) -> None:
    """The list of parts names it, in three and in four digits."""
    value = table("resistor-marking")["codes"][code]
    drawer = {"drawer": [f"{value:g} ohm"], "round": "nearest", "size": "1206"}
    files = export(design_of(merged(SMALLEST, {"resistor": drawer})), fabrication=False)
    (bought,) = [file.content.decode() for file in files if file.path == "assembly/bom.csv"]
    (row,) = [one for one in csv.DictReader(bought.splitlines()) if one["part"] == "resistor"]
    assert code in re.findall(r"[0-9R]+", row["marking"]), row["marking"]


def test_an_led_of_ones_own_takes_the_shape_of_its_colour_and_body() -> None:
    """Of no LED in the catalogue: a UV chip, and a body that the file describes."""
    text = (ROOT / "examples/own-led/own-led.toml").read_text(encoding="utf-8")
    shape = parameters_of(text.replace('"amber"', '"uv"', 1)).parts.emitters[0].led.shape
    own = table("own")["shape"]
    assert [shape.ideality, shape.series_ohm, shape.per_kelvin_v] == pytest.approx(own["uv"])
    assert [shape.thermal_k_per_w, shape.max_junction_degc] == pytest.approx(own["body"])

"""What could hurt or cost a board: kinds of supply, fuses, dark branches, lights too dim."""

import re
from typing import Any

import pytest

from boardgen.checks.table import check
from boardgen.electrical.cautions import cautions
from boardgen.errors import RefusalError
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.reading import catalogue
from tests.conftest import SHELF, Make, merged, parameters_of


def found(design: Design, code: str) -> list[Finding]:
    return [one for one in check(design) if one.code == code]


def volts(low: str, nominal: str, high: str, **more: object) -> dict[str, Any]:
    return {"from": None, "low": low, "nominal": nominal, "high": high, **more}


TWELVE = volts("11 V", "12.6 V", "14.4 V")
STRING = {"led": "white 2835", "count": 6, "in_series": 2, "use": None, "current": "5 mA"}


# Kinds of supply.


@pytest.mark.parametrize(
    ("low", "nominal", "high", "asked"),
    [
        ("11 V", "12.6 V", "14.4 V", True),
        ("22 V", "24 V", "28.8 V", True),
        ("10 V", "10 V", "10 V", False),
        ("10 V", "10.5 V", "10.6 V", True),
        ("15 V", "16 V", "17 V", False),
        ("4.5 V", "5 V", "5.5 V", False),
        ("30 V", "31 V", "32 V", False),
        ("9 V", "12 V", "40 V", True),
        ("42 V", "48 V", "57.6 V", True),
        ("39 V", "48 V", "54.6 V", True),
    ],
)
def test_where_a_lead_battery_may_be_meant_the_kind_is_asked_for(
    low: str, nominal: str, high: str, *, asked: bool
) -> None:
    """10 to 15, 20 to 30 and 40 to 60 V: six, twelve and 24 lead cells, with room (own choice)."""
    text = merged(SHELF, {"supply": volts(low, nominal, high)})
    if not asked:
        parameters_of(text)
        return
    with pytest.raises(RefusalError, match="adapter or a lead battery"):
        parameters_of(text)
    for kind in ("adapter", "battery", "cells", "bench"):
        parameters_of(merged(text, {"supply": {"kind": kind}}))


@pytest.mark.parametrize("name", ["car battery", "Truck 24 V", "motorbike"])
def test_a_vehicle_by_name_is_refused_with_the_reason(name: str) -> None:
    with pytest.raises(RefusalError, match=r"(?s)surge.*fuse.*beyond boardgen"):
        parameters_of(merged(SHELF, {"supply": {"from": name}}))


def test_a_vehicle_is_refused_with_the_reason() -> None:
    text = merged(SHELF, {"supply": {**TWELVE, "kind": "vehicle"}})
    with pytest.raises(RefusalError, match=r"(?s)surge.*fuse.*beyond boardgen"):
        parameters_of(text)


@pytest.mark.parametrize(
    ("kind", "words", "never"),
    [
        ("adapter", "bought, tested power supply", "Charge"),
        ("battery", "start fires", "bought, tested"),
        ("cells", "never short or heat", "bought, tested"),
        ("bench", "current limit", "start fires"),
    ],
)
def test_cautions_follow_the_kind(design: Make, kind: str, words: str, never: str) -> None:
    made = design(supply={**TWELVE, "kind": kind}, light=STRING)
    said = " ".join(
        one.text for one in cautions(catalogue.cautions(), made.parameters, made.circuit)
    )
    assert words in said
    assert never not in said


@pytest.mark.parametrize("kind", ["battery", "cells"])
def test_a_battery_in_plain_volts_counts_as_strong(design: Make, kind: str) -> None:
    made = design(supply={**TWELVE, "kind": kind}, light=STRING)
    (one,) = found(made, "supply.fuse")
    assert one.severity is Severity.ERROR
    told = design(supply={**TWELVE, "kind": kind, "delivers": "2 A"}, light=STRING)
    assert not found(told, "supply.fuse")


def test_what_a_cell_drives_into_a_short_agrees_with_its_own_figures() -> None:
    """Ohm's law: the highest volts over the inner resistance."""
    cells = [one for one in catalogue.supplies().values() if one.resistance_ohm]
    assert len(cells) > 7
    for one in cells:
        assert one.delivers_a == pytest.approx(one.high_v / one.resistance_ohm)


def test_every_supply_tells_its_short_or_that_it_is_unknown() -> None:
    for one in catalogue.supplies().values():
        assert one.delivers_a or "short: unknown" in one.source, one.name


def test_a_low_power_port_gives_a_hundred_milliamperes(design: Make) -> None:
    """USB 2.0, 7.2.1: one unit load of 100 mA; 4.40 V at a low-power port (from memory)."""
    plain, asked = catalogue.supplies()["usb 5 V"], catalogue.supplies()["usb 5 V 500 mA"]
    assert (plain.low_v, plain.max_current_a) == (4.40, 0.1)
    assert (asked.low_v, asked.max_current_a) == (4.75, 0.5)
    assert found(design(supply={"from": "usb 5 V"}), "current.supply")
    assert not found(design(), "current.supply")


# Fuses.


@pytest.mark.parametrize(
    ("delivers", "fuse", "never"),
    [
        ("3.9 A", "2 A resettable", True),
        ("4 A", "2 A resettable", False),
        ("0.9 A", "500 mA resettable", True),
        ("1 A", "500 mA resettable", False),
    ],
)
def test_a_fuse_that_can_never_open_is_an_error(
    design: Make, delivers: str, fuse: str, *, never: bool
) -> None:
    """A resettable fuse opens for certain at twice what it holds (its data sheet's figure)."""
    room = {"ambient_low": "23 degC"}
    made = design(board=room, supply={"delivers": delivers}, protection={"fuse": fuse})
    codes = found(made, "fuse.never")
    assert bool(codes) is never
    assert all(one.severity is Severity.ERROR for one in codes)


@pytest.mark.parametrize(
    ("coldest", "delivers", "never"),
    [("0 degC", "4.7 A", True), ("0 degC", "4.8 A", False), ("-20 degC", "5.3 A", True),
     ("-20 degC", "5.4 A", False)],
)  # fmt: skip
def test_in_the_cold_a_fuse_wants_more_before_it_opens(
    design: Make, coldest: str, delivers: str, *, never: bool
) -> None:
    """4 A at 23 degC and 0.78 % more for each kelvin below: 4.72 A at 0, 5.34 A at -20 degC.

    The share is typical of data sheets, from memory, shaky; the sums are ours.
    """
    made = design(
        board={"ambient_low": coldest},
        supply={"delivers": delivers},
        protection={"fuse": "2 A resettable"},
    )
    assert bool(found(made, "fuse.never")) is never


def test_a_fuse_above_what_the_source_gives_is_an_error_when_no_more_is_known(
    design: Make,
) -> None:
    """2 A on a source of 500 mA: it may drive more, so nothing is said of never."""
    (one,) = found(design(protection={"fuse": "2 A resettable"}), "fuse.never")
    assert one.message.startswith("the fuse may never open: it lets 2.00 A pass for ever")


def test_a_source_that_drives_more_than_the_fuse_breaks_is_a_warning(design: Make) -> None:
    """The fuse's greatest fault current is in footprints/protection.toml."""
    made = design(supply={"delivers": "1 A"}, protection={"fuse": "500 mA resettable"})
    most = made.parameters.parts.fuse.max_fault_a
    for amps, wanted in ((most, 0), (most + 0.001, 1)):
        codes = found(
            design(supply={"delivers": f"{amps} A"}, protection={"fuse": "500 mA resettable"}),
            "fuse.fault",
        )
        assert [one.severity for one in codes] == [Severity.WARNING] * wanted


# Dark branches.


def test_a_regulated_branch_without_headroom_is_an_error(design: Make) -> None:
    """Three whites of up to 3.5 V on 9 V: none left for the ballast."""
    made = design(
        supply=volts("9.0 V", "9.6 V", "9.9 V"),
        light={"led": "white 2835", "count": 3, "in_series": 3, "use": None, "current": "5 mA"},
    )
    (one,) = found(made, "headroom.branch")
    assert one.severity is Severity.ERROR
    assert "dark" in one.message


@pytest.mark.parametrize(
    ("led", "cells", "severity"),
    [("green 0805", 2, Severity.ERROR), ("white 2835", 3, Severity.WARNING)],
)
def test_on_cells_the_finding_tells_how_much_charge_is_lost(
    design: Make, led: str, cells: int, severity: Severity
) -> None:
    """More than half of it unused is an error (the issue's limit; own choice)."""
    made = design(
        supply={"from": "alkaline AA", "cells": cells},
        light={"led": led, "count": 2, "use": None, "current": "2 mA"},
    )
    (one,) = found(made, "headroom.branch")
    assert one.severity is severity
    assert "go dark" in one.message
    assert "% of the charge" in one.message


@pytest.mark.parametrize(("usual", "severity"), [("3.4 V", "warning"), ("3.2 V", "error")])
def test_a_battery_in_plain_volts_that_has_nothing_left_at_its_usual_volts_is_an_error(
    design: Make, usual: str, severity: str
) -> None:
    """A white LED of up to 3.3 V at 5 mA in the cold (its entry's point and kelvins)."""
    made = design(
        supply={**volts("2.7 V", usual, "3.6 V"), "kind": "battery"},
        light={"led": "white 2835", "count": 2, "use": None, "current": "5 mA"},
    )
    (one,) = found(made, "headroom.branch")
    assert one.severity.value == severity
    assert "with a flat battery (2.7 V)" in one.message


def test_a_branch_that_still_glows_is_not_called_dark(design: Make) -> None:
    """The message gives the current that the network of the circuit has at the lowest corner."""
    made = design(
        supply=volts("3.15 V", "3.3 V", "3.5 V"),
        light={"led": "white 2835", "count": 2, "use": None, "current": "5 mA"},
    )
    (kind,) = made.circuit.kinds
    assert kind.headroom_low_v <= 0
    assert kind.low.current_a > 0.1 * kind.nominal.current_a
    (one,) = found(made, "headroom.branch")
    assert one.severity is Severity.ERROR
    assert "dark" not in one.message
    assert f"{kind.low.current_a * 1e6:.0f} uA" in one.message


# Lights too dim, and slips of a decimal point.


def test_a_task_light_that_lights_nothing_is_told(design: Make) -> None:
    made = design(light={"count": 1, "current": "1 mA"})
    (one,) = found(made, "light.dim")
    assert "lx" in one.message


def test_the_shelf_lights_its_shelf(design: Make) -> None:
    assert not found(design(), "light.dim")


@pytest.mark.parametrize(
    ("current", "asked"), [("0.02 mA", "20.0 mA"), ("0.49 mA", "5.00 mA"), ("5 mA", "")]
)
def test_a_current_under_a_tenth_of_the_usual_is_asked_about(
    design: Make, current: str, asked: str
) -> None:
    made = design(light={"use": None, "current": current})
    codes = found(made, "light.faint")
    assert len(codes) == bool(asked)
    assert all(f"did you mean {asked}" in one.message for one in codes)


# What gives a current for long drives at least as much into a short.


@pytest.mark.parametrize(
    ("supply", "strong"),
    [
        ({"from": "adapter 12 V", "max_current": "50 A"}, True),
        ({"from": "adapter 12 V", "max_current": "1 A"}, False),
        (volts("11.4 V", "12 V", "12.6 V", kind="bench", max_current="30 A"), True),
    ],
)
def test_a_source_that_gives_much_for_long_is_strong(
    supply: dict[str, Any], *, strong: bool
) -> None:
    made = parameters_of(merged(SHELF, {"supply": supply, "light": STRING}))
    assert made.parts.supply.strong is strong


def test_a_short_that_draws_less_than_what_flows_for_long_is_refused() -> None:
    supply = volts("11.4 V", "12 V", "12.6 V", kind="battery", max_current="30 A", delivers="5 A")
    with pytest.raises(RefusalError, match="less than max_current"):
        parameters_of(merged(SHELF, {"supply": supply}))


def test_a_pack_of_lithium_cells_is_nothing_to_be_suggested() -> None:
    with pytest.raises(RefusalError, match="cells = 1"):
        parameters_of(merged(SHELF, {"supply": {"from": "li-ion protected"}}))


# Words that tell what is meant.


def test_parts_of_two_kinds_are_named_by_their_own_runs(design: Make) -> None:
    made = design(
        supply={"from": "adapter 24 V"},
        light={"led": "red 0402", "count": 40, "current": "18 mA", "use": None},
        form={"pitch": "3 mm", "rows": 2},
        resistor={"size": "0402"},
        connector={"kind": "pin header 2.54 mm"},
        mounting={"screw": "M2"},
    )
    named = [re.findall(r"V, (.*) each turn", f.message)[0] for f in found(made, "power.ballast")]
    assert named == ["R1…R2, R4…R5", "R3, R6"]


@pytest.mark.parametrize(
    ("degc", "printed"), [(82.72, "82.7"), (83.2, "83.2"), (84.9, "85"), (83.0004, "83.000")]
)
def test_a_temperature_reads_on_its_own_side_of_a_limit(degc: float, printed: str) -> None:
    from boardgen.checks.electrical import _unlike  # noqa: PLC0415 - of its own

    assert _unlike(degc, (70.0, 83.0)) == printed


def test_a_battery_that_is_at_its_end_leaves_no_charge_unused(design: Make) -> None:
    """The catalogue's curve of a lead battery has drawn everything at its lowest volts."""
    made = design(
        supply={"from": "battery 12 V"},
        light={"led": "red 0805", "count": 5, "in_series": 5, "current": "5 mA", "use": None},
        protection={"fuse": "200 mA resettable"},
    )
    for one in found(made, "headroom.branch"):
        assert "still unused" not in one.message
        assert "cells" not in one.message

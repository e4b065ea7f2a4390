"""Every change that boardgen suggests passes when applied literally; the next smaller one does not.

Changes are applied as a user would try them, by ``--set`` on the same file.
"""

import re
from typing import Any

import pytest

from boardgen.checks import electrical, supply
from boardgen.checks.table import RULES, check
from boardgen.electrical.operate import operate
from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.layout.bar import lay_out
from boardgen.model.artwork import Artwork
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.model.parameters import Parameters
from boardgen.reading.changes import settings
from boardgen.reading.family import parse_family
from boardgen.reading.guards import fuse_names
from boardgen.standards.preferred_values import between
from tests.conftest import SHELF, SMALLEST, Make, design_of, merged, parameters_of

SIZES = ("0402", "0603", "0805", "1206", "1210", "2010", "2512")


def tried(text: str, *changes: str) -> Parameters:
    family = parse_family(text, file="bar.toml", name="bar", changes=settings(changes))
    (member,) = family.members
    assert member.parameters
    return member.parameters


def found(parameters: Parameters) -> dict[str, Finding]:
    """Run the rules that look at circuit and supply only; nothing is drawn for them."""
    circuit = size(parameters)
    board = lay_out(parameters, circuit)
    design = Design(
        parameters=parameters,
        limits=parameters.limits,
        circuit=circuit,
        board=board,
        operation=operate(parameters, circuit, board),
        artwork=Artwork(layers=(), holes=()),
    )
    return {
        rule.code: finding
        for rule in RULES
        if rule.check.__module__ in (electrical.__name__, supply.__name__)
        for finding in rule.check(design, design.limits)
    }


def number(value: str) -> float:
    return float(re.findall(r"[\d.]+", value)[0])


def one_step_less(path: str, value: str) -> str:
    """Name the next smaller change of the same kind."""
    amount = number(value)
    step = 0.1 if len(value.partition(".")[2]) == len('0 mA"') else 0.01  # as many as are written
    fuses = sorted(fuse_names(), key=lambda name: number(name) / (1000 if "mA" in name else 1))
    named = {"resistor.size": SIZES, "protection.fuse": ("none", *fuses)}
    if path in named:
        return f'{path}="{named[path][named[path].index(value[1:-1]) - 1]}"'
    return {
        "light.current": f'{path}="{amount + step:.2f} mA"',
        "resistor.rating": f'{path}="{amount - 1:.0f} mW"',
        "resistor.per_branch": f"{path}={amount - 1:.0f}",
        "light.in_series": f"{path}={amount + 1:.0f}",
        "supply.low": f'{path}="{amount - 0.01:.2f} V"',
        "supply.nominal": f'{path}="{amount - 0.01:.2f} V"',
        "supply.cells": f"{path}={amount - 1:.0f}",
        "form.pitch": f'{path}="{amount + 0.1:.1f} mm"',
        "light.diffuser": f'{path}="{amount - 0.1:.1f} mm"',
    }[path]


HOT = merged(SHELF, {"supply": {"from": "adapter 12 V"}, "light": {"count": 8, "in_series": 2}})
STRONG = {"supply": {"from": "battery 12 V"}, "light": {"count": 12, "in_series": 2}}

CASES: dict[str, tuple[str, str]] = {
    "a hot ballast": ("power.ballast", HOT),
    "a hotter one of a stated rating": (
        "power.ballast",
        merged(HOT, {"resistor": {"rating": "80 mW"}}),
    ),
    "LEDs driven hard": (
        "current.led",
        merged(SHELF, {"light": {"led": "red 0805", "use": None, "current": "18 mA"}}),
    ),
    "LEDs driven hard by a string with little headroom": (
        "current.led",
        merged(
            SHELF,
            {
                "supply": {"from": None, "low": "9 V", "nominal": "12 V", "high": "16 V"},
                "light": {"led": "red 0805", "use": None, "current": "12 mA", "in_series": 5,
                          "count": 10},
            },
        ),
    ),
    "LEDs that should look like others": (
        "current.led",
        merged(
            SHELF,
            {
                "light": {"led": "white 3528", "as_bright_as": "white 2835", "use": None,
                          "current": "30 mA"},
                "resistor": {"size": "2512"},
            },
        ),
    ),
    "a rating where another arrangement would be chosen": (
        "power.ballast",
        merged(
            SHELF,
            {
                "supply": {"from": None, "low": "24 V", "nominal": "48 V", "high": "48 V"},
                "light": {"led": "blue 3528", "count": 7, "use": None, "current": "5 mA"},
                "resistor": {"per_branch": 2, "series": "E24", "tolerance": "5 %",
                             "rating": "125 mW"},
            },
        ),
    ),
    "a full connector": (
        "current.connector",
        merged(
            SHELF,
            {
                "supply": {"from": "lithium coin 20 mm"},
                "connector": {"kind": "coin cell holder 20 mm"},
                "light": {"led": "red 0805", "count": 12, "use": None, "current": "8 mA"},
            },
        ),
    ),
    "a full switch": (
        "current.switch",
        merged(
            SHELF,
            {
                "connector": {"switch": "slide switch"},
                "light": {"count": 20, "use": None, "current": "12 mA"},
                "form": {"pitch": "14 mm"},
            },
        ),
    ),
    "a drained coin cell": (
        "current.supply",
        merged(
            SMALLEST,
            {
                "supply": {"from": "lithium coin 20 mm"},
                "light": {"use": None, "current": "6 mA"},
            },
        ),
    ),
    "a full USB port": (
        "current.supply",
        merged(SHELF, {"light": {"count": 40}, "form": {"rows": 2}}),
    ),
    "little headroom on an own supply": (
        "headroom.branch",
        merged(SHELF, {"supply": {"from": None, "low": "7 V", "nominal": "9 V", "high": "9.5 V"},
                       "light": {"in_series": 2}}),
    ),
    "little headroom on cells": (
        "headroom.branch",
        merged(SHELF, {"supply": {"from": "alkaline AA", "cells": 4},
                       "light": {"count": 4, "use": None, "current": "5 mA"}}),
    ),
    "little headroom on a supply that stays": (
        "headroom.branch",
        merged(SHELF, {"light": {"led": "green 3528", "use": None, "current": "20 mA"}}),
    ),
    "a strong source without a fuse": ("supply.fuse", merged(SHELF, STRONG)),
    "a fuse that trips": (
        "fuse.trips",
        merged(SHELF, {**STRONG, "protection": {"fuse": "100 mA resettable"}}),
    ),
    "a fuse that takes much": (
        "fuse.drop",
        merged(
            SHELF,
            {
                "supply": {"from": "alkaline AA", "cells": 3},
                "light": {"led": "red 0805", "use": None, "current": "8 mA"},
                "protection": {"fuse": "100 mA resettable"},
            },
        ),
    ),
    "a full guard": (
        "current.guard",
        merged(
            SHELF,
            {
                "protection": {"reverse": "schottky"},
                "light": {"count": 60, "use": None, "current": "14 mA"},
                "form": {"pitch": "12 mm", "rows": 2},
            },
        ),
    ),
    "an uneven diffuser": (
        "light.uneven",
        merged(
            SHELF,
            {
                "light": {"led": "own", "diffuser": "15 mm", "evenness": "90 %"},
                "led": {
                    "own": {
                        "size": "2835", "colour": "white", "cathode": "notch", "source": "test",
                        "vf": {"at": "20 mA", "min": "2.8 V", "typical": "3 V", "max": "3.3 V"},
                        "max_current": "60 mA",
                        "output": {"at": "60 mA", "flux": "22 lm", "angle": "120 deg"},
                    }
                },
            },
        ),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_every_suggested_change_passes_and_the_next_smaller_does_not(name: str) -> None:
    code, text = CASES[name]
    finding = found(parameters_of(text))[code]
    assert finding.changes, "nothing is suggested"
    for change in finding.changes:
        assert code not in found(tried(text, f"{change.path}={change.value}")), str(change)
        less = one_step_less(change.path, change.value)
        try:
            after = found(tried(text, less))
        except RefusalError:
            continue  # no board at all is no passing either
        also = {"fuse.trips", "fuse.drop"} if change.path == "protection.fuse" else set()
        assert after.keys() & {code, *also}, f"{less} would have been enough"


def test_the_suggested_kinds_are_those_that_a_maker_would_think_of() -> None:
    paths = [change.path for change in found(parameters_of(HOT))["power.ballast"].changes]
    assert paths == ["resistor.size", "resistor.per_branch", "resistor.rating", "light.current"]


# -- refusals ----------------------------------------------------------------------------------

_WRITTEN = re.compile(r'write ([a-z_]+(?:\.[a-z_]+)+) = ("[^"]*"|\d+|false)')

OWN = {"from": None, "low": "4 V", "nominal": "5 V", "high": "6 V"}
REFUSED: dict[str, tuple[str, list[str]]] = {
    "too many in series": (merged(SHELF, {"light": {"in_series": 2}}), ["light.in_series"]),
    "too low an own supply": (
        merged(SHELF, {"supply": {**OWN, "low": "2 V", "nominal": "2.9 V", "high": "3 V"}}),
        ["supply.nominal"],
    ),
    "both": (
        merged(SHELF, {"supply": OWN, "light": {"in_series": 2}}),
        ["light.in_series", "supply.nominal"],
    ),
    "too few cells": (
        # Job page, R01: two NiMH cells, 2.4 V, cannot light a blue LED.
        merged(SHELF, {"supply": {"from": "NiMH AA", "cells": 2}, "light": {"led": "blue 3528"}}),
        ["supply.cells"],
    ),
    "a shared ballast": (merged(SHELF, {"resistor": {"shared": True}}), ["resistor.shared"]),
    "more in series than a row has": (
        merged(SHELF, {"supply": {"from": "adapter 24 V"}, "light": {"in_series": 5},
                       "form": {"rows": 2}}),
        ["light.in_series"],
    ),
}  # fmt: skip


def refusal_of(text: str, *changes: str) -> str:
    with pytest.raises(RefusalError) as caught:
        size(tried(text, *changes))
    return str(caught.value)


@pytest.mark.parametrize("name", REFUSED)
def test_every_refusal_names_a_change_that_passes(name: str) -> None:
    text, paths = REFUSED[name]
    written = _WRITTEN.findall(refusal_of(text))
    assert [path for path, _ in written] == paths
    for path, value in written:
        size(tried(text, f"{path}={value}"))
        if path not in ("resistor.shared", "light.in_series") or "row" not in name:
            less = "resistor.shared=true" if path == "resistor.shared" else None
            refusal_of(text, less or one_step_less(path, value))


def test_a_higher_own_supply_may_need_a_higher_high_too() -> None:
    text = merged(SHELF, {"supply": {**OWN, "low": "2 V", "nominal": "2.5 V", "high": "2.6 V"}})
    written = dict(_WRITTEN.findall(refusal_of(text).replace(" and supply", " write supply")))
    assert set(written) == {"supply.nominal", "supply.high"}
    size(tried(text, *(f"{path}={value}" for path, value in written.items())))


def test_a_drawer_that_ends_too_low_names_the_value_that_it_lacks() -> None:
    text = merged(SHELF, {"resistor": {"drawer": ["100R", "120R"]}})
    (value,) = re.findall(r"add a value such as (\S+)R", refusal_of(text))
    size(tried(text, f'resistor.drawer=["100R", "{value}R"]'))
    before = between(float(value) / 2, float(value) * 0.99, "E12")[-1]
    refusal_of(text, f'resistor.drawer=["100R", "{before:g}R"]')


def test_a_shared_ballast_is_refused_with_what_it_would_do_here() -> None:
    """Reference page 1.6: the lowest forward voltage takes nearly all."""
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
    assert "= 9.5 V of LEDs" in refusal_of(practice(count=5, in_series=5, supply="9.5 V"))
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


def test_a_milliwatt_of_rating_flips_the_ballast() -> None:
    text = merged(SHELF, {"supply": {"from": "adapter 12 V"}, "light": {"in_series": 2}})
    worst = size(parameters_of(text)).kinds[0].ballast.worst_w
    edge = worst / 0.5 * 1000  # half of the rating, the house's share, at 40 degC
    for milliwatts, hot in ((edge - 1, True), (edge + 1, False)):
        rated = merged(text, {"resistor": {"rating": f"{milliwatts:.3f} mW"}})
        assert ("power.ballast" in found(parameters_of(rated))) is hot
    for milliwatts, severity in ((edge / 2 - 1, Severity.ERROR), (edge / 2 + 1, Severity.WARNING)):
        rated = merged(text, {"resistor": {"rating": f"{milliwatts:.3f} mW"}})
        assert found(parameters_of(rated))["power.ballast"].severity is severity


def test_a_step_of_the_series_flips_the_leds_limit(parameters: Make) -> None:
    """With one value the LEDs pass, with the next one down they carry too much."""
    values = between(90, 400, "E24")
    verdicts = []
    for value in values:
        changes = {"led": "red 0805", "use": None, "current": "4 mA"}
        made = parameters(resistor={"drawer": [f"{value:g}R"], "round": "nearest"}, light=changes)
        (kind,) = size(made).kinds
        over = kind.high.current_a > 0.7 * kind.most_a
        assert ("current.led" in found(made)) is over
        verdicts.append(over)
    assert verdicts == sorted(verdicts, reverse=True)
    assert 0 < sum(verdicts) < len(verdicts)


@pytest.mark.parametrize(
    ("delivers", "volts", "strong"),
    [("8 A", 12, False), ("8.01 A", 12, True), ("4.16 A", 24, False), ("4.17 A", 24, True)],
)
def test_a_source_is_strong_from_eight_amperes_or_a_hundred_volt_amperes_on(
    parameters: Make, delivers: str, volts: int, strong: bool
) -> None:
    supply = {"from": None, "low": f"{volts} V", "nominal": f"{volts} V", "high": f"{volts} V",
              "delivers": delivers}  # fmt: skip
    made = parameters(supply=supply, light={"count": 12, "in_series": 3})
    assert made.supply.strong is strong
    assert ("supply.fuse" in found(made)) is strong


def test_a_lithium_cell_always_wants_a_fuse(design: Make) -> None:
    supply = {"from": "li-ion protected", "cells": 1}
    made = design(supply=supply, light={"led": "red 0805"})
    finding = {finding.code: finding for finding in check(made)}["supply.fuse"]
    assert finding.severity is Severity.ERROR


def test_cells_are_not_suggested_beyond_what_the_guard_bears(parameters: Make) -> None:
    changes = {"supply": {"from": "alkaline AA", "cells": 7},
               "light": {"count": 6, "in_series": 3, "use": None, "current": "10 mA"},
               "protection": {"reverse": "p-channel"}}  # fmt: skip
    finding = found(parameters(SHELF, **changes))["headroom.branch"]
    assert "supply.cells" not in [change.path for change in finding.changes]


def test_a_gate_starved_behind_a_fuse_is_told(parameters: Make) -> None:
    changes = {"supply": {"from": None, "low": "2.6 V", "nominal": "3.6 V", "high": "4 V"},
               "light": {"led": "red 0805", "count": 10, "use": None, "current": "8 mA"},
               "protection": {"reverse": "p-channel", "fuse": "100 mA resettable"}}  # fmt: skip
    assert "gate.low" in found(parameters(SHELF, **changes))


def test_a_weak_load_on_usb_is_told(design: Make) -> None:
    codes = {finding.code for finding in check(design(light={"count": 4}))}
    assert "supply.idle" in codes  # some 55 mA
    assert "supply.idle" not in {finding.code for finding in check(design_of(SHELF))}  # 111 mA


def test_leds_that_a_reversed_supply_may_break_are_told(design: Make) -> None:
    codes: Any = {finding.code for finding in check(design())}
    assert "reverse.led" in codes  # 5.5 V over one LED of 5 V
    guarded = design(protection={"reverse": "schottky"})
    assert "reverse.led" not in {finding.code for finding in check(guarded)}

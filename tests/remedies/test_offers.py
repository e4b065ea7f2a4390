"""Every offer passes when it is written into the file and the whole board is judged.

Offers are applied as a user would try them, by ``--set`` on the same file.
"""

import re
from collections.abc import Iterable
from functools import cache
from typing import Any

import pytest

from boardgen.checks.table import check
from boardgen.designing import design_board, judge_board
from boardgen.errors import Change, RefusalError
from boardgen.model.findings import Finding, Judgement, Severity
from boardgen.model.parameters import Parameters
from boardgen.reading.changes import settings
from boardgen.reading.family import parse_family
from boardgen.remedies import trials
from boardgen.remedies.trials import graded, worse
from tests.conftest import SHELF, SMALLEST, design_of, merged


def tried(text: str, *changes: str) -> Parameters:
    family = parse_family(text, file="bar.toml", name="bar", changes=settings(changes))
    (member,) = family.members
    assert member.parameters
    return member.parameters


@cache
def judged(text: str, *changes: str) -> Judgement:
    return judge_board(design_board(tried(text, *changes)))


def told(text: str, *changes: str) -> dict[str, Finding]:
    return {finding.code: finding for finding in reversed(judged(text, *changes).findings)}


def written(change: Change) -> list[str]:
    return [f"{one.path}={one.value}" for one in change.all]


HOT = merged(SHELF, {"supply": {"from": "adapter 12 V"}, "light": {"count": 8, "in_series": 2}})
STRONG: dict[str, dict[str, Any]] = {
    "supply": {"from": "battery 12 V"},
    "light": {"count": 12, "in_series": 2},
}

FADING = merged(
    SHELF,
    {
        "supply": {"from": "adapter 5 V"},
        "light": {"led": "green 3528", "count": 30, "use": None, "current": "12 mA"},
        "form": {"pitch": "11 mm", "width": "13 mm"},
        "copper": {"rail": "0.25 mm"},
    },
)

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
                "supply": {"from": None, "kind": "bench", "low": "9 V", "nominal": "12 V",
                           "high": "16 V"},
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
                "supply": {"from": None, "kind": "adapter", "low": "24 V", "nominal": "48 V",
                           "high": "48 V"},
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
        merged(SHELF, {"light": {"count": 40, "use": None, "current": "15 mA"},
                       "form": {"rows": 2}}),
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
        merged(SHELF, {"supply": {"from": None, "low": "4.2 V", "nominal": "5 V", "high": "5.5 V"},
                       "light": {"led": "green 3528", "use": None, "current": "10 mA"}}),
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
    "a rail that loses much": ("rail.drop", FADING),
    "a dim work light": (
        "light.dim",
        merged(SHELF, {"light": {"led": "white 1206", "count": 15, "use": "task",
                                 "current": "10 mA"}}),
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


LONG = {
    "a full connector", "a hot ballast", "a rating where another arrangement would be chosen",
    "a hotter one of a stated rating", "an uneven diffuser", "a fuse that takes much",
    "a full guard", "a fuse that trips", "LEDs driven hard by a string with little headroom",
    "a strong source without a fuse", "LEDs driven hard", "LEDs that should look like others",
    "little headroom on an own supply", "a full USB port", "too few cells", "a pitch too tight",
    "a drawer that ends too low", "a full switch", "a rail that loses much", "a dim work light",
    "a board too narrow", "more in series than a row has", "a gate astray",
    "a supply that comes in where parts stand",
}  # fmt: skip
"""Many boards are drawn for these; they are left to the full set."""


def listed(names: Iterable[str]) -> list[object]:
    return [
        pytest.param(name, marks=[pytest.mark.thorough] if name in LONG else []) for name in names
    ]


@pytest.mark.parametrize("name", listed(CASES))
def test_every_offer_frees_the_board_and_brings_no_other_fault(name: str) -> None:
    code, text = CASES[name]
    before = judged(text)
    findings = [finding for finding in before.findings if finding.code == code]
    assert findings[0].changes, findings[0].no_change
    for change in findings[0].changes:
        after = judged(text, *written(change))
        assert code not in graded(after.findings), str(change)
        assert code not in change.note
        fresh = {
            found: weight
            for found, weight in graded(after.findings).items()
            if not (found in change.note and weight is Severity.WARNING)
        }
        assert not worse(fresh, graded(before.findings)), str(change)


def offered(code: str, text: str) -> list[str]:
    return [change.path for change in told(text)[code].changes]


@pytest.mark.thorough
def test_offers_come_in_the_order_of_an_engineer() -> None:
    """Another part, another arrangement, then less current; never the supply's volts."""
    assert offered("power.ballast", HOT) == [
        "resistor.size", "resistor.per_branch", "resistor.rating",
    ]  # fmt: skip
    for name, (code, text) in CASES.items():
        paths = offered(code, text)
        assert not {"supply.low", "supply.nominal", "supply.high"} & set(paths), name
        # What lacks light is offered more of it first.
        assert code.startswith("light.") or "light.current" not in paths[:-1], name


@pytest.mark.thorough
def test_a_stated_rating_hides_neither_size_nor_number() -> None:
    """A tenth of the current was offered here once."""
    text = merged(HOT, {"resistor": {"rating": "20 mW", "size": "0402"}})
    assert {"resistor.size", "resistor.per_branch"} & set(offered("power.ballast", text))


@pytest.mark.thorough
def test_a_rail_that_fades_is_offered_wider_before_thicker() -> None:
    assert offered("rail.drop", FADING) == ["copper.rail", "copper.weight"]


@pytest.mark.thorough
def test_a_dim_light_is_offered_more_before_it_is_called_less() -> None:
    """The least more that does: once 23 LEDs were offered where 18 do, and another use first."""
    changes = told(CASES["a dim work light"][1])["light.dim"].changes
    assert [change.path for change in changes] == ["light.current", "light.count", "light.use"]
    assert int(changes[1].value) <= 18


@pytest.mark.thorough
def test_a_drawer_that_is_too_hot_is_offered_another_value() -> None:
    text = merged(
        SHELF,
        {"supply": {"from": "adapter 12 V"}, "light": {"in_series": 3, "count": 9},
         "resistor": {"drawer": ["82R"], "round": "nearest"}},
    )  # fmt: skip
    errors = [f for f in judged(text).findings if f.severity is Severity.ERROR]
    assert errors
    for finding in errors:
        assert finding.changes, finding


BENCH = {"from": None, "kind": "bench", "low": "3 V", "nominal": "5 V", "high": "5.5 V"}

EASED: dict[str, tuple[str, str, str, str]] = {
    "strings that go dark on a bench supply": (
        "headroom.branch",
        merged(SHELF, {"supply": BENCH, "light": {"led": "red 0805", "count": 4, "in_series": 2,
                                                  "use": None, "current": "5 mA"}}),
        "light.in_series = 1", "headroom.branch warns",
    ),
    "a fuse that can never open": (
        "fuse.never",
        merged(SHELF, {"supply": {**BENCH, "kind": "adapter", "low": "4.75 V", "high": "5.25 V",
                                  "max_current": "0.5 A", "delivers": "0.9 A"},
                       "light": {"count": 10, "use": None, "current": "10 mA"},
                       "protection": {"fuse": "1.1 A resettable"}}),
        'protection.fuse = "none"', "too weak to need one",
    ),
}  # fmt: skip


COIN: dict[str, dict[str, Any]] = {
    "supply": {"from": "lithium coin 20 mm"},
    "light": {"led": "red 0805", "count": 2, "use": None, "current": "2 mA"},
    "form": {"pitch": "16 mm"},
}


def test_a_fuse_that_a_weak_source_never_opens_may_be_left_out() -> None:
    text = merged(SHELF, {**COIN, "protection": {"fuse": "200 mA resettable"}})
    finding = told(text)["fuse.never"]
    assert 'protection.fuse = "none"' in str(finding.changes[-1])


@pytest.mark.thorough
def test_names_nearer_to_another_part_are_offered_a_pitch() -> None:
    text = merged(
        SHELF,
        {"supply": {"from": "adapter 12 V"}, "light": {"led": "blue 0805", "count": 6},
         "form": {"kind": "ring", "pitch": "8 mm"}, "mounting": {"screw": None}},
    )  # fmt: skip
    finding = told(text)["looks.references"]
    assert "form.pitch" in [change.path for change in finding.changes]


@pytest.mark.thorough
def test_a_refusal_offers_a_width_on_the_grid_too() -> None:
    text = merged(
        SHELF,
        {
            "supply": {"from": "alkaline AA", "cells": 3},
            "light": {"led": "red 0805", "count": 4, "use": None, "current": "5 mA"},
            "form": {"pitch": "8 mm", "width": "9 mm"},
            "connector": {"kind": "pin header 2.54 mm", "switch": "slide switch"},
            "protection": {"reverse": "schottky"},
            "mounting": {"at": "none"},
        },
    )
    (problem,) = refusal_of(text).problems
    assert problem.offers[0].path == "form.width"
    assert "looks.grid" not in graded(judged(text, *written(problem.offers[0])).findings)


@pytest.mark.parametrize("name", EASED)
@pytest.mark.thorough
def test_an_error_that_can_only_become_a_warning_is_offered_that(name: str) -> None:
    code, text, offer, note = EASED[name]
    finding = told(text)[code]
    assert finding.severity is Severity.ERROR
    assert finding.changes, finding.no_change
    change = finding.changes[0]
    assert offer in str(change)
    assert note in change.note
    after = graded(judged(text, *written(change)).findings)
    assert after.get(code) is not Severity.ERROR
    assert not [c for c, weight in after.items() if weight is Severity.ERROR]


@pytest.mark.thorough
def test_an_error_without_an_offer_says_why() -> None:
    text = merged(SHELF, {"light": {"count": 60, "use": None, "current": "60 mA"},
                          "form": {"pitch": "7 mm"}})  # fmt: skip
    for finding in judged(text).findings:
        if finding.severity is not Severity.INFORMATION:
            assert finding.changes or finding.no_change, finding


def test_no_more_boards_are_drawn_than_the_budget_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trials, "_MOST_BOARDS", 0)
    findings = judge_board(design_board(tried(HOT))).findings
    finding = next(finding for finding in findings if finding.code == "power.ballast")
    assert not finding.changes
    assert "as many changes as it may" in finding.no_change


# -- the drawing -------------------------------------------------------------------------------

BAR = """
[board]
title = "tries"
date = "2026-11-25"
[supply]
from = "usb 5 V"
[light]
led = "red 0805"
count = 6
[form]
kind = "bar"
pitch = "14 mm"
[connector]
kind = "pin header 2.54 mm"
at = "left"
[mounting]
screw = "M3"
"""

DRAWN: list[Any] = [
    ("heat.chip", {"copper": {"relief": "none"}}, 0),
    ("looks.grid", {"form": {"width": "25.5 mm"}}, 0.5),
    ("looks.grid", {"form": {"length": "130.3 mm"}, "mounting": {"at": "corners"}}, 0),
    ("looks.grid", {"light": {"count": 4}, "form": {"rows": 2, "row_pitch": "12.5 mm"},
                    "connector": {"side": "top"}}, 0),
    pytest.param("track.heat", {"light": {"count": 32, "current": "20 mA"},
                                "form": {"pitch": "8 mm"},
                                "copper": {"rail": "0.3 mm", "weight": "0.5 oz"}}, 0.1,
                 marks=pytest.mark.slow),
]  # fmt: skip


@pytest.mark.parametrize(("code", "changes", "step"), DRAWN)
@pytest.mark.thorough
def test_a_length_that_is_offered_passes_and_a_step_less_does_not(
    code: str, changes: dict[str, dict[str, Any]], step: float
) -> None:
    text = merged(BAR, changes)
    before = told(text)
    finding = before[code]
    assert finding.changes, finding.no_change
    offer = next(change for change in finding.changes if change.path == finding.path)
    assert code not in graded(judged(text, *written(offer)).findings)
    if step:
        alike = {other for other, each in before.items() if offer in each.changes}
        value = float(re.findall(r"[\d.]+", offer.value)[0])
        try:
            after = told(text, f'{offer.path} = "{value - step:g} mm"')
        except RefusalError:
            return  # what boardgen refuses is no smaller change
        assert alike & after.keys()


HEAVY: dict[str, dict[str, Any]] = {
    "supply": {"from": "alkaline AA", "cells": 3},
    "light": {"led": "red 0402", "count": 30, "current": "68 mA"},
    "form": {"pitch": "7 mm"},
    "order": {"house": "fine"},
    "copper": {"sides": 1, "weight": "0.5 oz", "relief": "none"},
}
"""Unrelieved lands: even heat would ask for spokes, and these for less current."""


@pytest.mark.thorough
def test_an_offer_that_brings_a_fault_of_another_rule_is_not_told() -> None:
    before, relieved = told(merged(BAR, HEAVY)), told(merged(BAR, HEAVY), 'copper.relief = "all"')
    assert "heat.chip" in before
    assert "heat.chip" not in relieved
    assert relieved.keys() - before.keys() >= {"relief.current"}
    assert 'copper.relief = "all"' not in map(str, before["heat.chip"].changes)


def test_what_is_waived_gets_no_offer_and_keeps_none_from_the_others() -> None:
    text = merged(BAR, {"copper": {"relief": "none"}})
    waiver = '\n[[waive]]\ncode = "heat.chip"\nplace = "D1"\nreason = "by hot air"\n'
    chips = [f for f in judged(text + waiver).findings if f.code == "heat.chip"]
    offers = {finding.waived: finding.changes for finding in chips}
    assert offers["by hot air"] == ()
    assert [str(change) for change in offers[""]] == ['copper.relief = "all"']


def test_members_of_a_family_get_offers_of_their_own() -> None:
    family = parse_family(
        BAR + '\n[family]\nfile_name = "bar-{relief}"\n[family.vary]\n'
        'copper.relief = ["none", "all"]\n',
        file="bar.toml",
        name="bar",
    )
    offers = {}
    for member in family.members:
        assert member.parameters
        found = judge_board(design_board(member.parameters)).findings
        offers[member.parameters.copper.relief] = {
            str(change) for finding in found for change in finding.changes
        }
    assert offers == {"none": {'copper.relief = "all"'}, "all": set()}


# -- refusals ----------------------------------------------------------------------------------

REFUSED: dict[str, tuple[str, str]] = {
    "too many in series": (merged(SHELF, {"light": {"in_series": 2}}), "light.in_series"),
    "too few cells": (
        # Own case: two NiMH cells, 2.4 V, cannot light a blue LED.
        merged(SHELF, {"supply": {"from": "NiMH AA", "cells": 2}, "light": {"led": "blue 3528"}}),
        "supply.cells",
    ),
    "a shared ballast": (merged(SHELF, {"resistor": {"shared": True}}), "resistor.shared"),
    "more in series than a row has": (
        merged(SHELF, {"supply": {"from": "adapter 24 V"}, "light": {"in_series": 5},
                       "form": {"rows": 2}}),
        "light.in_series",
    ),
    "a drawer that ends too low": (
        merged(SHELF, {"resistor": {"drawer": ["100R", "120R"]}}), "resistor.drawer",
    ),
    "a board too short": (merged(SHELF, {"form": {"length": "120 mm"}}), "form.length"),
    "a board too narrow": (merged(SHELF, {"form": {"width": "9 mm"}}), "form.width"),
    "a pitch too tight": (merged(SHELF, {"form": {"pitch": "4 mm"}}), "form.pitch"),
    "corners too large": (merged(SHELF, {"form": {"corner": "3 mm", "width": "11 mm"}}),
                          "form.corner"),
    "a rail too wide": (merged(SHELF, {"copper": {"rail": "9 mm"}}), "copper.rail"),
    "a gate astray": (
        merged(SHELF, {"protection": {"reverse": "p-channel"}, "connector": {"side": "bottom"}}),
        "protection.reverse",
    ),
    "a supply that comes in where parts stand": (
        merged(SMALLEST, {
            "supply": {"from": "lithium coin 20 mm"},
            "light": {"led": "red 0805", "count": 21, "current": "0.3 mA"},
            "form": {"kind": "word", "text": "IDA", "height": "30 mm", "pitch": "10 mm"},
            "connector": {"kind": "coin cell holder 20 mm", "at": "left", "switch": "slide switch"},
        }),
        "connector.at",
    ),
}  # fmt: skip


def refusal_of(text: str, *changes: str) -> RefusalError:
    with pytest.raises(RefusalError) as caught:
        design_board(tried(text, *changes))
    return caught.value


@pytest.mark.parametrize("name", listed(REFUSED))
def test_every_offer_of_a_refusal_makes_a_board_without_errors(name: str) -> None:
    text, path = REFUSED[name]
    problems = refusal_of(text).problems
    offers = [offer for problem in problems for offer in problem.offers]
    assert path in [one.path for offer in offers for one in offer.all]
    for offer in offers:
        assert str(offer) in str(RefusalError(*problems))
        after = graded(judged(text, *written(offer)).findings)
        assert Severity.ERROR not in after.values(), (str(offer), after)
        for code in after:
            assert code in offer.note, "a warning that stays is told"


def test_a_board_too_short_is_offered_the_count_that_fits_too() -> None:
    (problem,) = refusal_of(REFUSED["a board too short"][0]).problems
    assert {offer.path for offer in problem.offers} == {"form.length", "light.count"}


def test_a_refusal_names_no_volts_to_write() -> None:
    """What the supply gives is a fact of the world."""
    low = {"from": None, "low": "2 V", "nominal": "2.9 V", "high": "3 V"}
    text = str(refusal_of(merged(SHELF, {"supply": low})))
    assert "supply.nominal" not in text
    assert "take a supply" not in text
    assert "an LED with a lower forward voltage" in text


@pytest.mark.thorough
def test_a_first_step_names_what_stays_wrong_and_what_warns() -> None:
    """A pitch that fits, on a board whose supply was measured to be the wrong one."""
    text = merged(
        SHELF,
        {"form": {"pitch": "4 mm"}, "light": {"use": None, "current": "0.3 mA"},
         "built": {"date": "2026-11-28", "supply": "12 V", "current": "10 mA"}},
    )  # fmt: skip
    with pytest.raises(RefusalError) as caught:
        design_of(text)
    (problem,) = caught.value.problems
    (offer,) = problem.offers
    after = check(design_of(merged(text, {"form": {"pitch": str(offer.value).strip('"')}})))
    weighty = {f.code for f in after if f.severity is not Severity.INFORMATION}
    assert "a first step" in offer.note
    assert {f.severity for f in after} >= {Severity.WARNING, Severity.ERROR}
    assert not [code for code in weighty if code not in offer.note]


CROWDED = """\
[board]
title = "Form"
date = "2026-11-29"
[supply]
from = "usb 5 V"
[light]
led = "amber 0603"
count = 2
current = "0.5 mA"
[resistor]
per_branch = 1
[protection]
[form]
kind = "bar"
pitch = "10 mm"
[connector]
kind = "wire pads"
poles = 2
at = "left"
side = "bottom"
switch = "slide switch"
[copper]
sides = 1
[order]
house = "milled"
[joint]
boards = 2
[mounting]
at = "none"
"""


@pytest.mark.thorough
def test_where_no_offer_does_a_refusal_says_what_the_first_runs_into() -> None:
    """A board of two LEDs that is joined: at its least pitch signs and words find no room."""
    (problem,) = refusal_of(CROWDED).problems
    assert not problem.offers
    assert re.search(r'form\.pitch = "[\d.]+ mm" runs into: \S', problem.remedy)

"""What the drawing's rules offer passes when written into the file; a step less does not."""

import re
from dataclasses import replace
from typing import Any

import pytest

from boardgen.build import design_board, judge_board
from boardgen.checks import tries
from boardgen.checks.table import judge
from boardgen.errors import RefusalError
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.parameters import Parameters
from boardgen.pages.words import findings_lines
from boardgen.reading.changes import settings
from boardgen.reading.family import parse_family
from boardgen.reading.parameters import parse
from tests.conftest import merged

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


def found(text: str, *changes: str) -> dict[str, Finding]:
    """Judge a file with changes tried on it, as a user would."""
    family = parse_family(text, file="bar.toml", name="bar", changes=settings(changes))
    (member,) = family.members
    assert member.parameters
    judged = judge_board(design_board(member.parameters))
    return {finding.code: finding for finding in judged.findings}


CASES: list[tuple[str, dict[str, dict[str, Any]], float]] = [
    ("heat.chip", {"copper": {"relief": "none"}}, 0),
    ("looks.drops", {"copper": {"rail": "0.5 mm"}, "connector": {"switch": "slide switch"}}, 0.1),
    ("looks.grid", {"form": {"width": "25.5 mm"}}, 0.5),
    ("looks.grid", {"form": {"length": "130.3 mm"}, "mounting": {"at": "corners"}}, 0),
    ("looks.grid", {"light": {"count": 4}, "form": {"rows": 2, "row_pitch": "12.5 mm"},
                    "connector": {"side": "top"}}, 0),
    ("looks.middle", {"form": {"width": "30 mm"}, "connector": {"poles": 3},
                      "mounting": {"at": None, "places": [["43 mm", "5 mm"]]}}, 0.5),
    ("track.heat", {"light": {"count": 32, "current": "20 mA"}, "form": {"pitch": "8 mm"},
                    "copper": {"rail": "0.3 mm", "weight": "0.5 oz"}}, 0.1),
]  # fmt: skip


HEAVY: dict[str, dict[str, Any]] = {
    "supply": {"from": "alkaline AA", "cells": 3},
    "light": {"led": "red 0402", "count": 30, "current": "68 mA"},
    "form": {"pitch": "7 mm"},
    "order": {"house": "fine"},
    "copper": {"sides": 1, "weight": "0.5 oz", "relief": "none"},
}
"""Unrelieved lands: even heat would ask for spokes, and these for less current."""


def test_an_offer_brings_no_fault_of_another_rule() -> None:
    text = merged(BAR, HEAVY)
    before, relieved = found(text), found(text, 'copper.relief = "all"')
    assert "heat.chip" in before
    assert "heat.chip" not in relieved
    assert relieved.keys() - before.keys() >= {"relief.current"}
    assert not before["heat.chip"].changes


def test_rules_of_one_key_offer_one_value_for_all() -> None:
    code, changes, _ = CASES[-1]
    before = found(merged(BAR, changes))
    assert before["rail.drop"].changes == before[code].changes != ()


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
        judged = judge_board(design_board(member.parameters))
        offers[member.parameters.copper.relief] = {
            str(change) for finding in judged.findings for change in finding.changes
        }
    assert offers == {"none": {'copper.relief = "all"'}, "all": set()}


def test_what_is_waived_gets_no_offer() -> None:
    waiver = '\n[[waive]]\ncode = "heat.chip"\nreason = "soldered by hot air"\n'
    text = merged(BAR, {"copper": {"relief": "none"}}) + waiver
    assert found(text)["heat.chip"].waived
    assert not found(text)["heat.chip"].changes


def test_a_waiver_of_one_finding_keeps_no_offer_from_the_others() -> None:
    text = merged(BAR, {"copper": {"relief": "none"}})
    waiver = '\n[[waive]]\ncode = "heat.chip"\nplace = "D1"\nreason = "by hot air"\n'
    judged = judge_board(design_board(parse(text + waiver, file="bar.toml", name="bar")))
    offers = {f.waived: f.changes for f in judged.findings if f.code == "heat.chip"}
    assert offers["by hot air"] == ()
    assert [str(change) for change in offers[""]] == ['copper.relief = "all"']


def test_the_text_tells_an_offer_once_and_that_of_a_place_not_shown_too() -> None:
    text = merged(BAR, {"copper": {"relief": "none"}})
    design = design_board(parse(text, file="bar.toml", name="bar"))
    judged = judge_board(design)
    chips = [finding for finding in judged.findings if finding.code == "heat.chip"]
    only_last = [*(replace(chip, changes=()) for chip in chips[:-1]), chips[-1]]
    for findings in (chips, only_last):
        told = "\n".join(findings_lines(replace(judged, findings=tuple(findings)), design))
        assert told.count("would mend this") == 1
        assert "3 more of heat.chip: D4, D5, D6" in told


def refused_rails(monkeypatch: pytest.MonkeyPatch, most: int) -> list[float]:
    """List the rails that are tried where every board is refused."""
    monkeypatch.setattr(tries, "_MOST_BOARDS", most)
    code, changes, _ = CASES[-1]
    design = design_board(parse(merged(BAR, changes), file="bar.toml", name="bar"))
    asked = []

    def refuse(parameters: Parameters) -> Design:
        asked.append(parameters.copper.rail_mm)
        raise RefusalError

    judged = judge(design)
    found = [finding for finding in judged.findings if finding.code == code]
    tries.with_changes(replace(judged, findings=tuple(found)), design, refuse)
    return [rail for rail in asked if rail is not None]


def test_no_more_boards_are_drawn_than_the_budget_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    assert len(refused_rails(monkeypatch, 3)) == 3


def test_steps_double_up_to_thirty_two(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = [round((rail - 0.3) / 0.1) for rail in refused_rails(monkeypatch, 24)]
    assert steps == [1, 2, 4, 8, 16, 32]


@pytest.mark.parametrize(("code", "changes", "step"), CASES)
def test_an_offer_passes_and_a_step_less_does_not(
    code: str, changes: dict[str, dict[str, Any]], step: float
) -> None:
    text = merged(BAR, changes)
    before = found(text)
    finding = before[code]
    (offer,) = finding.changes
    alike = {other for other, each in before.items() if each.changes == finding.changes}
    assert offer.path == finding.path
    assert code not in found(text, str(offer))
    if step:
        value = float(re.findall(r"[\d.]+", offer.value)[0])
        try:
            assert alike & found(text, f'{offer.path} = "{value - step:g} mm"').keys()
        except RefusalError:
            return  # what boardgen refuses is no smaller change

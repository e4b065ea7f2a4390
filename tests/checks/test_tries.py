"""What the drawing's rules offer passes when written into the file; a step less does not."""

import re
from typing import Any

import pytest

from boardgen.build import design_board, judge_board
from boardgen.errors import RefusalError
from boardgen.model.findings import Finding
from boardgen.reading.changes import settings
from boardgen.reading.family import parse_family
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
    ("looks.middle", {"form": {"width": "30 mm"}, "connector": {"poles": 3},
                      "mounting": {"at": None, "places": [["43 mm", "5 mm"]]}}, 0.5),
    ("track.heat", {"light": {"count": 32, "current": "20 mA"}, "form": {"pitch": "8 mm"},
                    "copper": {"rail": "0.3 mm", "weight": "0.5 oz"}}, 0.1),
]  # fmt: skip


@pytest.mark.parametrize(("code", "changes", "step"), CASES)
def test_an_offer_passes_and_a_step_less_does_not(
    code: str, changes: dict[str, dict[str, Any]], step: float
) -> None:
    text = merged(BAR, changes)
    finding = found(text)[code]
    (offer,) = finding.changes
    assert offer.path == finding.path
    assert code not in found(text, str(offer))
    if step:
        value = float(re.findall(r"[\d.]+", offer.value)[0])
        try:
            assert code in found(text, f'{offer.path} = "{value - step:g} mm"')
        except RefusalError:
            return  # what boardgen refuses is no smaller change

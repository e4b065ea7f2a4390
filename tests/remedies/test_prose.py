"""What a refusal of the file tells in words is written into it, literally, and a board follows.

Offers that are found by trying have laws of their own; these are sentences, and held here. All
cases are our own.
"""

import re
import tomllib
from typing import Any

import pytest

from boardgen.designing import design_board, judge_board
from boardgen.errors import Problem, RefusalError
from boardgen.model.findings import Severity
from boardgen.reading.changes import settings
from boardgen.reading.family import parse_family
from tests.conftest import SHELF, every, merged, toml_text

RED = {"led": "red 0805", "use": "indicator"}

TOLD: dict[str, dict[str, Any]] = {
    "a holder of a coin cell on 24 V": {
        "supply": {"from": "adapter 24 V"}, "connector": {"kind": "coin cell holder 20 mm"},
        "resistor": {"size": "2512"},
    },
    "a holder of one cell for two": {
        "supply": {"from": "lithium coin 20 mm", "cells": 2}, "light": {**RED, "count": 2},
        "connector": {"kind": "coin cell holder 20 mm"},
    },
    "no number of cells": {"supply": {"from": "alkaline AA"}, "light": RED},
    "no number of lithium cells": {
        "supply": {"from": "li-ion protected"}, "light": RED,
        "protection": {"fuse": "500 mA resettable"},
    },
    "volts that may be a battery's": {
        "supply": {"from": None, "low": "11 V", "nominal": "12.6 V", "high": "14.4 V"},
        "light": {"led": "white 2835", "in_series": 2}, "resistor": {"size": "1210"},
        "protection": {"fuse": "300 mA resettable"},
    },
    "rows that do not divide the count": {"form": {"rows": 3}},
    "a row pitch of one row": {"form": {"row_pitch": "12 mm"}},
    "a key of another form": {"form": {"diameter": "60 mm"}},
    "a ring's ends": {"form": {"kind": "ring"}, "mounting": {"at": "corners"}},
    "a thickness that is not usual": {"order": {"thickness": "1.5 mm"}},
    "print without mask": {"order": {"mask": "none", "legend": "white"}},
    "print on its own colour": {"order": {"mask": "black", "legend": "black"}},
    "white on white": {"order": {"mask": "white", "legend": "white"}},
    "two sides etched at home": {
        "order": {"house": "home-etched"}, "copper": {"sides": 2}, "connector": {"side": "bottom"},
    },
    "leads on the bare side": {"copper": {"sides": 1}, "connector": {"side": "top"}},
    "more in series than there are": {"light": {"in_series": 9}},
    "evenness without a diffuser": {"light": {"evenness": "20 %"}},
    "amperes for milliamperes": {"light": {"current": "12 A", "use": None}},
    "no unit": {"light": {"current": "0.012", "use": None}},
    "a series beside a drawer": {"resistor": {"series": "E24", "drawer": ["150R"]}},
    "a name box where no print is": {
        "copper": {"sides": 1}, "connector": {"side": "bottom"}, "order": {"legend": "none"},
        "legend": {"name_box": True},
    },
    "a drill span of two sides": {"order": {"drill_span": "1,2"}},
}  # fmt: skip


def followed(text: str, problem: Problem) -> str:
    """Do what the problem says, as a person who reads it for the first time would."""
    section, _, key = problem.path.partition(".")
    said = f"{problem.what}; {problem.remedy}"
    line = re.search(r'(?:write|add|like:)[^"]*?\b([a-z_.]+) = ("[^"]*"|\d+)', said)
    if line:
        path = line[1] if "." in line[1] else f"{section}.{line[1]}"
        table, _, name = path.partition(".")
        return merged(text, {table: {name: tomllib.loads(f"x = {line[2]}")["x"]}})
    if value := re.search(r'write ("[^"]*")', said):
        return merged(text, {section: {key: value[1].strip('"')}})
    if count := re.search(r"take (\d+)", said):
        return merged(text, {"light": {"count": int(count[1])}})
    assert "drop" in said, said
    return merged(text, {section: {key: None}})


@pytest.mark.parametrize("name", every(TOLD, lambda at: at % 10 == 0))
def test_what_is_told_in_words_makes_a_board_without_errors(name: str) -> None:
    text = merged(SHELF, TOLD[name])
    with pytest.raises(RefusalError) as caught:
        parse_family(text, file="x.toml", name="x")
    (problem,) = caught.value.problems
    mended = followed(text, problem)
    assert tomllib.loads(mended) != tomllib.loads(text)
    family = parse_family(toml_text(tomllib.loads(mended)), file="x.toml", name="x",
                          changes=settings([]))  # fmt: skip
    (member,) = family.members
    assert member.parameters
    found = judge_board(design_board(member.parameters)).findings
    assert not [one.code for one in found if one.severity is Severity.ERROR]

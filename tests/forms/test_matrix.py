"""Every form with one and two copper sides, three supplies and three houses, from the zip alone.

No error finding, and the fabrication files, taken out of the zip again, say one thing.
"""

import io
import zipfile
from itertools import product
from typing import Any

import pytest

from boardgen.build import build_board
from boardgen.model.findings import Severity
from boardgen.readback.prove import prove
from tests.conftest import merged, parameters_of

BASE = """\
[board]
title = "Matrix"
date = "2026-11-29"
[supply]
from = "usb 5 V 500 mA"
[light]
led     = "white 2835"
count   = 12
current = "10 mA"
[form]
kind  = "bar"
pitch = "16 mm"
"""
FORMS: dict[str, dict[str, Any]] = {
    "bar": {}, "grid": {"kind": "grid", "rows": 3}, "ring": {"kind": "ring"},
    "disc": {"kind": "disc", "pitch": "20 mm"},
    "arc": {"kind": "arc", "from": "200 deg", "to": "-20 deg"},
    "path": {"kind": "path", "points": [["0 mm", "0 mm"], ["120 mm", "0 mm"],
                                        ["160 mm", "60 mm"], ["260 mm", "60 mm"]]},
    "polygon": {"kind": "polygon", "sides": 6},
    "word": {"kind": "word", "text": "HI", "pitch": "18 mm", "height": "45 mm"},
    "places": {"kind": "places", "pitch": None, "places": [
        [f"{22 * (n % 4)} mm", f"{22 * (n // 4) + 4 * (n % 2)} mm", f"{15 * n} deg"]
        for n in range(12)]},
}  # fmt: skip
SIDES: dict[int, dict[str, dict[str, Any]]] = {
    2: {}, 1: {"copper": {"sides": 1}, "connector": {"side": "bottom"}},
}  # fmt: skip
SUPPLIES: dict[str, dict[str, dict[str, Any]]] = {
    "usb": {},
    "12 V": {"supply": {"from": "adapter 12 V"}},
    "3 x AA": {"supply": {"from": "alkaline AA", "cells": 3},
               "light": {"led": "red 0805", "current": "5 mA"}},
}  # fmt: skip
HOUSES = ("ordinary", "first-time", "fine")
SOME = {("disc", 1, "12 V", "fine"), ("word", 2, "3 x AA", "first-time"),
        ("places", 1, "usb", "ordinary"), ("path", 2, "12 V", "fine")}  # fmt: skip
"""In every run; all of them, ten minutes, are marked."""


@pytest.mark.parametrize(("form", "sides", "supply", "house"), [
    pytest.param(*case, marks=pytest.mark.thorough if case in SOME else pytest.mark.slow)
    for case in product(FORMS, SIDES, SUPPLIES, HOUSES)
])  # fmt: skip
def test_every_form_is_built_and_its_zip_says_one_thing(
    form: str, sides: int, supply: str, house: str
) -> None:
    text = merged(merged(BASE, {"form": FORMS[form], "order": {"house": house}}), SIDES[sides])
    text = merged(text, SUPPLIES[supply])
    if form == "word":
        text = merged(text, {"light": {"count": 10}})
    built = build_board(parameters_of(text))
    findings = built.judgement.findings
    assert not [one for one in findings if one.severity is Severity.ERROR], findings
    assert built.proof
    assert built.proof.holds
    (file,) = [file for file in built.files if file.path.endswith(".zip")]
    with zipfile.ZipFile(io.BytesIO(file.content)) as pack:
        files = {info.filename.rpartition("/")[2]: pack.read(info) for info in pack.infolist()}
    assert prove(files).holds

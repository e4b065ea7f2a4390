"""Drill files: an outside reader sees the same holes.

Witness: the drill-file reader of gerbonara, a general reader of the open format, in tests only.
"""

import re
from collections import Counter
from pathlib import Path

import pytest
from gerbonara.excellon import ExcellonFile

from boardgen.units import mm
from tests.conftest import example_built


def drill_files(example: Path, part: str) -> list[str]:
    """Take the drill file of a sort; a board without such holes has none."""
    built = example_built(example)
    name = built.design.parameters.name
    found = [
        file.content.decode("ascii")
        for file in built.files
        if file.path == f"fabrication/{name}_{part}.drl"
    ]
    assert len(found) == ((part == "plated") in built.design.artwork.drilled)
    return found


@pytest.mark.parametrize("part", ["plated", "unplated"])
@pytest.mark.thorough
def test_an_outside_reader_sees_the_holes_of_the_design(example: Path, part: str) -> None:
    built = example_built(example)
    seen = Counter(
        (round(hole.x, 6), round(hole.y, 6), round(hole.tool.diameter, 6))
        for content in drill_files(example, part)
        for hole in ExcellonFile.from_string(content).objects
        if not hasattr(hole, "x1")  # a slot: tests/export/test_slots.py
    )
    wanted = Counter(
        (mm(hole.centre[0]), mm(hole.centre[1]), mm(hole.diameter_nm))
        for hole in built.design.artwork.holes
        if hole.plated is (part == "plated")
    )
    assert seen == wanted


@pytest.mark.parametrize("part", ["plated", "unplated"])
def test_the_form_is_the_exchange_subset(example: Path, part: str) -> None:
    """Grammar of formats.md 2, mostly from memory: marked so there."""
    for text in drill_files(example, part):
        sides = len(example_built(example).design.parameters.sides)
        judge_form(text, part, f"1,{sides}")


def judge_form(text: str, part: str, reach: str) -> None:
    lines = text.split("\n")
    assert lines[0] == "M48"
    assert lines[-2:] == ["M30", ""]
    assert lines.count("METRIC") == 1
    assert lines.count("%") == 1
    body = lines[lines.index("%") + 1 : -2]
    drilled = body[0] == "G05"
    routed = [line for line in body if line.startswith("G0") and line != "G05"]
    place = r"X-?\d+\.\d+Y-?\d+\.\d+"
    steps = rf"T\d\d|{place}|G00{place}|M15|G01{place}|M16" if routed else rf"T\d\d|{place}"
    assert all(re.fullmatch(steps, line) for line in body[drilled:])
    span = "Plated,1,2,PTH" if part == "plated" else f"NonPlated,{reach},NPTH"
    way = "" if not routed else ",Mixed" if drilled else ",Rout"
    assert drilled or routed
    assert f"; #@! TF.FileFunction,{span}{way}" in lines

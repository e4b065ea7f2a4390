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
    holes = [hole for hole in built.design.artwork.holes if hole.plated is (part == "plated")]
    assert len(found) == bool(holes)
    return found


@pytest.mark.parametrize("part", ["plated", "unplated"])
@pytest.mark.thorough
def test_an_outside_reader_sees_the_holes_of_the_design(example: Path, part: str) -> None:
    built = example_built(example)
    seen = Counter(
        (round(hole.x, 6), round(hole.y, 6), round(hole.tool.diameter, 6))
        for content in drill_files(example, part)
        for hole in ExcellonFile.from_string(content).objects
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
    assert body[0] == "G05"
    assert all(re.fullmatch(r"T\d\d|X-?\d+\.\d+Y-?\d+\.\d+", line) for line in body[1:])
    span = "Plated,1,2,PTH" if part == "plated" else f"NonPlated,{reach},NPTH"
    assert f"; #@! TF.FileFunction,{span}" in lines

"""Gerber files of every example, held against the specification's clauses.

A reader of its own, of regular expressions, so that neither the writer nor the proof is trusted.
"""

import hashlib
import math
import re
import tomllib
import uuid
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
import shapely

from tests.conftest import ROOT, example_built

SPEC_FILE = ROOT / "tests" / "published" / "gerber.toml"
SPEC: dict[str, Any] = tomllib.loads(SPEC_FILE.read_text(encoding="utf-8"))
ATTRIBUTE = re.compile(r"%TF(\.?\w+),?([^*]*)\*%")
COORDINATE = re.compile(r"X(-?\d+)Y(-?\d+)(?:I(-?\d+)J(-?\d+))?D0([123])\*")


@pytest.fixture(params=sorted(SPEC["layers"]))
def layer(request: pytest.FixtureRequest, example: Path) -> tuple[str, str]:
    built = example_built(example)
    files = {file.path: file.content for file in built.files}
    name = f"fabrication/{built.design.parameters.name}_{request.param}.gbr"
    if request.param not in {layer.name for layer in built.design.artwork.layers}:
        assert name not in files
        pytest.skip("this board has no such layer")
    return request.param, files[name].decode()


def test_the_frame_is_as_the_clauses_want_it(layer: tuple[str, str]) -> None:
    _, text = layer
    assert text.isascii()  # 3.1: UTF-8 only in values; ours need none
    assert text.count(SPEC["format"]) == 1
    assert text.count(SPEC["unit"]) == 1
    assert text.endswith("M02*\n")  # 4.13: nothing after it
    assert text.count("M02*") == 1
    for word in SPEC["forbidden"]:
        assert word not in text
    assert text.count("%AM") == text.count(SPEC["macro"]) <= 1
    # 3.3: one word or command a line, words end in a star
    for line in text.splitlines():
        assert re.fullmatch(r"%[^%]*\*%|[^%*]+\*", line), line


def test_attributes_are_complete_once_and_before_the_first_object(layer: tuple[str, str]) -> None:
    name, text = layer
    header = re.split(r"D0[123]\*", text)[0]
    found = dict(ATTRIBUTE.findall(header))
    assert set(SPEC["attributes"]) <= set(found)
    assert len(ATTRIBUTE.findall(text)) == len({n for n, _ in ATTRIBUTE.findall(text)})
    assert [found[".FileFunction"], found[".FilePolarity"]] == SPEC["layers"][name]
    assert datetime.fromisoformat(found[".CreationDate"]).tzinfo is not None  # 5.6.6
    assert len(found[".GenerationSoftware"].split(",")) == 3  # 5.6.7: version is mandatory
    identity = uuid.UUID(found[".ProjectId"].split(",")[1])
    assert identity.version in (1, 4)  # 5.6.8
    assert identity.variant == uuid.RFC_4122


def test_the_digest_is_over_all_bytes_before_it_without_line_ends(layer: tuple[str, str]) -> None:
    _, text = layer
    before, digest = re.fullmatch(
        r"(.*)%TF\.MD5,([0-9a-f]{32})\*%\nM02\*\n", text, re.DOTALL
    ).groups()  # type: ignore[union-attr]
    assert (
        hashlib.md5(before.replace("\n", "").encode(), usedforsecurity=False).hexdigest() == digest
    )


def test_apertures_are_defined_once_with_a_function_and_a_size(layer: tuple[str, str]) -> None:
    name, text = layer
    kind = name.partition("-")[0]
    numbers = []
    function = ""
    keys = set()
    for line in text.splitlines():
        if found := re.fullmatch(r"%TA\.AperFunction,([^*]*)\*%", line):
            function = found[1]
            assert function in SPEC["functions"][kind]
        if found := re.fullmatch(r"%ADD(\d+)(C|R|TURNED),([\d.X]+)\*%", line):
            numbers.append(int(found[1]))
            sizes = [float(size) for size in found[3].split("X")]
            assert min(sizes) > 0  # 4.4
            keys.add((function, found[2], found[3]))
        elif line.startswith("%AD"):
            pytest.fail(line)
    assert len(set(numbers)) == len(numbers) == len(keys)  # 5.6.10: one function, one aperture
    assert min(numbers, default=10) >= 10  # 4.3.1
    used = {int(n) for n in re.findall(r"^D(\d+)\*$", text, re.MULTILINE)}
    assert used == set(numbers)


def test_modes_are_set_before_they_are_used(layer: tuple[str, str]) -> None:
    _, text = layer
    first = re.search(r"D0[13]\*", text)
    if first:
        head = text[: first.start()]
        assert "G75*" in head  # 4.7.2: else arcs are invalid
        assert "G01*" in head
        assert "%LPD*%" in head


def test_coordinates_fit_and_no_piece_is_without_length(layer: tuple[str, str]) -> None:
    _, text = layer
    at = None
    for x, y, i, j, operation in COORDINATE.findall(text):
        here = (int(x), int(y))
        assert max(map(abs, here)) < 2**31  # 3.4.1
        assert "-0" not in (x, y, i, j)
        if operation == "1" and at is not None:
            assert math.dist(at, here) >= SPEC["arcs"]["shortest_nm"]
            if i:
                centre = (at[0] + int(i), at[1] + int(j))
                mismatch = math.dist(centre, at) - math.dist(centre, here)
                assert abs(mismatch) <= SPEC["arcs"]["radius_mismatch_nm"]
        at = here
    operations = len(re.findall(r"D0[123]\*", text))
    assert operations == len(COORDINATE.findall(text))


def test_regions_hold_closed_simple_contours_and_nothing_else(layer: tuple[str, str]) -> None:
    _, text = layer
    for region in re.findall(r"G36\*\n(.*?)G37\*", text, re.DOTALL):
        lines = region.splitlines()
        assert all(re.fullmatch(r"G0[123]\*|X.*D0[12]\*", line) for line in lines)  # 4.10.1
        assert lines[0].endswith("D02*")
        moves = COORDINATE.findall(region)
        assert sum(move[4] == "2" for move in moves) == 1
        points = [(int(x), int(y)) for x, y, *_ in moves]
        assert points[0] == points[-1]  # 4.10.3
        if not any(move[2] for move in moves):
            ring = shapely.LinearRing(points)
            assert ring.is_simple  # no crossing, no touching


@pytest.mark.parametrize("layer", ["copper-top", "copper-bottom"], indirect=True)
def test_flashes_on_copper_are_lands_and_lands_are_flashes(layer: tuple[str, str]) -> None:
    _, text = layer
    pin = function = ""
    functions = {
        number: function
        for function, number in re.findall(r"%TA\.AperFunction,([^*]*)\*%\n%ADD(\d+)", text)
    }
    net = None
    for line in text.splitlines():
        if found := re.fullmatch(r"%TO\.N,([^*]*)\*%", line):
            net = found[1]
        elif found := re.fullmatch(r"%TO\.P,([^*]*)\*%", line):
            pin = found[1]
        elif line.startswith("%TD"):
            net = None if line in ("%TD.N*%", "%TD*%") else net
            pin = "" if line in ("%TD.P*%", "%TD*%") else pin
        elif found := re.fullmatch(r"D(\d+)\*", line):
            function = functions[found[1]]
        elif line.endswith("D03*"):
            assert function in ("SMDPad,CuDef", "ComponentPad", "ViaPad", "TestPad")  # 6.4
            assert net  # 5.6.13
            assert bool(pin) == (function != "ViaPad")  # 5.6.14
            if pin.startswith("D"):
                assert pin.split(",")[2] in ("A", "K")  # 5.6.14: recommended for diodes

"""Differences drawn over what the package shows: layers as read, a numbered ring at each."""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from boardgen.cli import main
from boardgen.pages.overlay import overlay
from boardgen.readback.prove import prove
from tests.conftest import SMALLEST, built_of
from tests.readback.damage import damaged
from tests.readback.editing import items, points
from tests.readback.test_proof import files_of

SVG = "{http://www.w3.org/2000/svg}"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def moved_land() -> tuple[dict[str, bytes], tuple[float, float]]:
    from tests.readback.damage import objects  # noqa: PLC0415 - beside its use

    files = dict(files_of(built_of(SMALLEST)))
    text = files["bar_copper-top.gbr"].decode()
    found = next(f for f in objects(text) if f.function == "SMDPad,CuDef")
    files["bar_copper-top.gbr"] = damaged(text, found, "moved")
    item = next(item for item in items(files["bar_copper-top.gbr"].decode())
                if item.function == "SMDPad,CuDef")  # fmt: skip
    x, y = points(files["bar_copper-top.gbr"].decode(), item)[0]
    return files, (x / 1e6, y / 1e6)


def test_a_ring_stands_at_the_place_of_a_difference() -> None:
    files, (x, y) = moved_land()
    proof = prove(files, built_of(SMALLEST).design)
    root = ET.fromstring(overlay(proof, "bar"))  # noqa: S314 - our own bytes
    rings = [(float(ring.get("cx", "0")), float(ring.get("cy", "0")))
             for ring in root.iter(f"{SVG}circle")]  # fmt: skip
    width = built_of(SMALLEST).design.board.outline.width_mm
    assert any(ring == pytest.approx((x, width - y), abs=0.06) for ring in rings)
    assert len(rings) <= len(proof.differences)


def test_every_layer_that_was_read_is_drawn_and_every_difference_listed() -> None:
    files, _ = moved_land()
    proof = prove(files, built_of(SMALLEST).design)
    root = ET.fromstring(overlay(proof, "bar"))  # noqa: S314 - our own bytes
    titles = {title.text for title in root.iter(f"{SVG}title")}
    assert {"copper-top", "copper-bottom", "mask-top", "legend-top", "profile"} <= titles
    texts = [text.text or "" for text in root.iter(f"{SVG}text")]
    for found in proof.differences:
        assert any(str(found) in text for text in texts)


def test_the_terminal_writes_it_and_never_over_another_file(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    files, _ = moved_land()
    for name, content in files.items():
        (tmp_path / "in" / name).write_bytes(content)
    result = run("verify", tmp_path / "in", "--overlay", tmp_path / "o.svg")
    assert result.exit_code == 1
    before = (tmp_path / "o.svg").read_bytes()
    assert before.startswith(b"<svg")
    assert run("verify", tmp_path / "in", "--overlay", tmp_path / "o.svg").exit_code == 2
    assert (tmp_path / "o.svg").read_bytes() == before


def test_json_lists_kind_layer_subjects_place_and_size(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    files, place = moved_land()
    for name, content in files.items():
        (tmp_path / "in" / name).write_bytes(content)
    result = run("verify", tmp_path / "in", "--format", "json")
    assert result.exit_code == 1
    record = json.loads(result.stdout)
    assert record["schema"] == "boardgen.proof/1"
    assert record["holds"] is False
    found = [diff for item in record["comparisons"] for diff in item["differences"]]
    moved = next(
        diff for diff in found if diff["kind"] == "moved" and diff["layer"] == "copper-top"
    )
    assert moved["place_mm"] == pytest.approx(place)
    assert any("." in subject for subject in moved["subjects"])
    assert all(size > 0 for size in moved["size_mm"])


def test_a_package_of_nothing_is_drawn_too() -> None:
    assert overlay(prove({}), "none").startswith(b"<svg")

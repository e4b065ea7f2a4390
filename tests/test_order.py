"""The order sheet: every answer is read from the file that stands beside it."""

import re
from pathlib import Path

import pytest

from boardgen.build import Built
from boardgen.checks.minima import smallest_gap_mm
from boardgen.model.cautions import CLAIM
from boardgen.model.shapes import Stroke
from boardgen.units import mm
from tests.conftest import ROOT, SMALLEST, built_of, example_built, merged


def rows_of(built: Built) -> dict[str, tuple[str, str]]:
    """Take the sheet's tables apart: what is asked → answer, files."""
    (sheet,) = (file.content.decode() for file in built.files if file.path == "order.md")
    found = re.findall(r"^\| (?!asked|-)([^|]*) \| ([^|]*) \| ([^|]*) \|$", sheet, re.MULTILINE)
    return {asks: (answer, files) for asks, answer, files in found}


def test_every_answer_names_files_of_the_package(example: Path) -> None:
    built = example_built(example)
    files = {file.path.rpartition("/")[2] for file in built.files}
    for _, named in rows_of(built).values():
        assert set(re.findall(r"`([^`]*)`", named)) <= files
        assert named


def test_the_topics_are_those_of_an_order_form() -> None:
    """Grouped by the trade's topics (job.md S11: size, layers, thickness, copper, finish …)."""
    (sheet,) = (f.content.decode() for f in built_of(SMALLEST).files if f.path == "order.md")
    assert re.findall(r"^## (.*)$", sheet, re.MULTILINE) == [
        "What it is", "Material", "Surface", "Smallest features", "Cut and drilled", "Paperwork",
        "How many",
    ]  # fmt: skip
    assert CLAIM in sheet


def test_the_answers_are_those_of_the_design(example: Path) -> None:
    built = example_built(example)
    design, rows = built.design, rows_of(built)
    outline, order = design.board.outline, design.parameters.order
    size = [float(text) for text in re.findall(r"[\d.]+", rows["size"][0])]
    assert size == pytest.approx([outline.length_mm, outline.width_mm], abs=1e-2)  # chords
    assert rows["layers of copper"][0] == str(len(design.artwork.coppers()))
    assert rows["thickness"][0] == f"{order.thickness_mm:g} mm"
    assert rows["copper"][0].startswith(f"{design.parameters.copper.weight_um:g} um (")
    assert order.finish.partition(",")[0].split()[0] in rows["finish of the lands"][0]
    assert rows["colour of the mask"][0] == order.mask
    assert rows["designs in the file"][0] == "1"


def test_smallest_track_and_hole_are_those_of_the_artwork(example: Path) -> None:
    built = example_built(example)
    artwork, rows = built.design.artwork, rows_of(built)
    strokes = [2 * item.shape.radius_nm for layer in artwork.coppers() for item in layer.items
               if item.dark and isinstance(item.shape, Stroke)]  # fmt: skip
    assert float(rows["smallest track"][0].split()[0]) == pytest.approx(mm(min(strokes)), abs=1e-3)
    least = min(hole.diameter_nm for hole in artwork.holes)
    assert float(rows["smallest hole, finished"][0].split()[0]) == pytest.approx(
        mm(least), abs=1e-3
    )


def test_the_smallest_gap_on_the_image_is_the_rules_exact_one(example: Path) -> None:
    """Two computations, one on shapes and one on what was read: within what chords take (2 um)."""
    built = example_built(example)
    exact = smallest_gap_mm(built.judgement.minima)
    read = float(rows_of(built)["smallest gap"][0].split()[0])
    assert exact is not None
    assert read == pytest.approx(exact, abs=0.002)


def test_a_large_lot_is_advised_to_begin_with_few() -> None:
    (sheet,) = (
        file.content.decode()
        for file in built_of(merged(SMALLEST, {"order": {"quantity": 40}})).files
        if file.path == "order.md"
    )
    assert "40 boards are asked for" in sheet
    assert "build one, measure it" in sheet


def test_a_film_is_not_uploaded() -> None:
    etched = built_of(merged(SMALLEST, {"order": {"house": "home-etched"}}))
    (sheet,) = (file.content.decode() for file in etched.files if file.path == "order.md")
    assert "Print a film" in sheet
    assert rows_of(etched)["colour of the mask"][0] == "none"


def test_a_round_board_is_as_long_on_the_order_sheet_as_it_is() -> None:
    """Arcs reach as far as they bulge; their chords, of which areas are made, do not."""
    built = example_built(ROOT / "examples/lens-ring/lens-ring.toml")
    outline = built.design.board.outline
    assert built.proof
    (size,) = [one.answer for one in built.proof.measures if one.asks == "size"]
    assert size == f"{outline.length_mm:.3f} x {outline.width_mm:.3f} mm".replace(".000", "")

"""BOM and placement: the same parts as the design, as any spreadsheet reads them."""

import csv
import io
from pathlib import Path

import pytest

from boardgen.build import Built
from boardgen.export.lists import _guarded
from boardgen.model.board import PartKind
from tests.conftest import example_built


def rows(built: Built, path: str) -> list[dict[str, str]]:
    (content,) = [file.content for file in built.files if file.path == path]
    return list(csv.DictReader(io.StringIO(content.decode("utf-8"), newline="")))


def test_bom_placement_and_design_hold_the_same_parts(example: Path) -> None:
    built = example_built(example)
    bom, placement = rows(built, "assembly/bom.csv"), rows(built, "assembly/placement.csv")
    designed = [
        part.reference for part in built.design.board.parts if part.kind is not PartKind.TEST_POINT
    ]
    assert [row["reference"] for row in placement] == designed
    listed = [name for row in bom for name in row["references"].split()]
    assert sorted(listed) == sorted(designed)
    assert sum(int(row["quantity"]) for row in bom) == len(designed)


def test_columns_are_as_the_reference_page_has_them(example: Path) -> None:
    """Columns of formats.md 6: headers of our own."""
    built = example_built(example)
    assert list(rows(built, "assembly/placement.csv")[0]) == (
        [
            "reference",
            "part",
            "value",
            "side",
            "x_mm",
            "y_mm",
            "rotation_deg",
            "fitted",
            "mark",
            "mark_points",
        ]
    )
    assert list(rows(built, "assembly/bom.csv")[0]) == (
        [
            "quantity",
            "references",
            "part",
            "value",
            "tolerance",
            "rating_w",
            "size_inch",
            "size_metric",
            "land_pattern",
            "marking",
            "fitted",
            "remark",
            "own_text_unchecked",
        ]
    )


def test_placed_parts_lie_on_the_board_at_their_angle(example: Path) -> None:
    built = example_built(example)
    outline = built.design.board.outline
    for row in rows(built, "assembly/placement.csv"):
        part = built.design.board.part(row["reference"])
        assert 0 <= float(row["x_mm"]) <= outline.length_mm
        assert 0 <= float(row["y_mm"]) <= outline.width_mm
        assert float(row["x_mm"]) == round(part.x_mm, 3)
        assert 0 <= float(row["rotation_deg"]) < 360
        assert float(row["rotation_deg"]) == pytest.approx(part.pose.turn_deg, abs=1e-6)


def test_a_text_that_a_spreadsheet_would_compute_is_guarded() -> None:
    assert _guarded("=1+1") == "'=1+1"
    assert _guarded("150 ohm") == "150 ohm"

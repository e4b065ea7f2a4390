"""BOM and placement: the same parts as the design, as any spreadsheet reads them."""

import csv
import dataclasses
import io
import math
from pathlib import Path

import pytest

from boardgen.build import Built
from boardgen.export.lists import guarded, mark_points
from boardgen.model.board import PartKind
from boardgen.model.pose import Pose
from boardgen.readback.papers import _told
from tests.conftest import SHELF, design_of, example_built


def rows(built: Built, path: str) -> list[dict[str, str]]:
    (content,) = [file.content for file in built.files if file.path == path]
    return list(csv.DictReader(io.StringIO(content.decode("utf-8"), newline="")))


def test_bom_placement_and_design_hold_the_same_parts(example: Path) -> None:
    built = example_built(example)
    bom, placement = rows(built, "assembly/bom.csv"), rows(built, "assembly/placement.csv")
    bare = (PartKind.TEST_POINT, PartKind.JOINT)
    designed = [part.reference for part in built.design.board.parts if part.kind not in bare]
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


def test_a_text_that_a_spreadsheet_would_compute_isguarded() -> None:
    assert guarded("=1+1") == "'=1+1"
    assert guarded("150 ohm") == "150 ohm"


@pytest.mark.parametrize(
    ("turn_deg", "words"),
    [
        (0, "left"), (20, "left"), (25, "down left"), (45, "down left"), (65, "down left"),
        (70, "down"), (90, "down"), (135, "down right"), (180, "right"), (225, "up right"),
        (270, "up"), (315, "up left"), (337.4, "up left"), (337.6, "left"),
    ],
)  # fmt: skip
def test_where_a_mark_points_is_told_to_an_eighth_of_a_turn(turn_deg: float, words: str) -> None:
    """At 0 degrees an LED's cathode lies to the left; the compass rose has eight winds."""
    led = design_of(SHELF).board.part("D1")
    turned = dataclasses.replace(led, pose=Pose(x_mm=10.0, y_mm=10.0, turn_deg=turn_deg))
    assert mark_points(turned) == words


def test_another_way_than_the_marks_is_told() -> None:
    rows = {"right": 0, "up right": 45, "up": 90, "up left": 135, "left": 180, "down": 270}
    for words, angle in rows.items():
        for seen in range(0, 360, 45):
            way = (math.cos(math.radians(seen)), math.sin(math.radians(seen)))
            apart = abs((seen - angle + 180) % 360 - 180)
            # One word alone may stand for the ways beside it too, as it did before 0.9.
            assert _told(words, way) is (apart == 0 or (apart == 45 and " " not in words))
    for words in ("", "up down", "north", "up up right"):
        assert not _told(words, (0.0, 1.0))

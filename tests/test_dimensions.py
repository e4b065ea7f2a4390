"""The dimension drawing: measures stand apart, and on the paper. Our own choices."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from boardgen.designing import draw_board
from boardgen.model.design import Design
from boardgen.pages.dimensions import dimensions
from tests.conftest import ROOT, SHELF, design_of, every, merged, parameters_of
from tests.forms.test_free_sites import of

MANY = merged(of("arc", every=2), {"light": {"count": 10, "in_series": 1}})
RING = merged(of("ring", every=3), {"light": {"in_series": 2}})
LONG = merged(SHELF, {"light": {"count": 60}})
WIDE = 0.6
"""A digit's width as a share of its height, in letters without serifs: from memory."""


@pytest.mark.parametrize("text", every([MANY, SHELF, RING, LONG], lambda at: at in (1, 3)))
def test_no_measure_stands_on_another_or_off_the_paper(text: str) -> None:
    assert len(measures(draw_board(parameters_of(text)))) >= 4


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(3_000, 178_000), st.integers(3_000, 11_000)), max_size=8))
def test_measures_of_screws_anywhere_stand_apart(places_um: list[tuple[int, int]]) -> None:
    """The number of a screw near the far end once stood on its neighbour's."""
    design = design_of(SHELF)
    hole = design.board.holes[0]
    holes = tuple(
        replace(hole, reference=f"H{at}", x_mm=x / 1000, y_mm=y / 1000)
        for at, (x, y) in enumerate(places_um, 1)
    )
    measures(replace(design, board=replace(design.board, holes=holes)))


def measures(design: Design) -> list[tuple[float, float, float, float]]:
    """Take the boxes of all numbers around the drawing, and hold them apart."""
    (file,) = dimensions(design)
    root = ET.fromstring(file.content.decode())  # noqa: S314 - our own file
    boxes = []
    for label in root.iter("{http://www.w3.org/2000/svg}text"):
        words, size = label.text or "", float(label.attrib["font-size"])
        if not words.replace(".", "").isdigit():
            continue
        wide = WIDE * size * len(words)
        share = {"end": 1.0, "middle": 0.5}.get(label.attrib.get("text-anchor", ""), 0.0)
        x, y = float(label.attrib["x"]) - share * wide, float(label.attrib["y"])
        boxes.append((x, x + wide, y - size * 0.75, y))
    for one, other in combinations(boxes, 2):
        apart = max(one[0] - other[1], other[0] - one[1], one[2] - other[3], other[2] - one[3])
        assert apart > 0, (one, other)
    assert min(box[0] for box in boxes) > 0
    numbers = [shapely.box(left, low, right, high) for left, right, low, high in boxes]
    for path in root.iter("{http://www.w3.org/2000/svg}path"):
        for line in level_and_upright(path.attrib["d"]) if "id" not in path.attrib else ():
            assert not any(line.intersects(number) for number in numbers), line
    return boxes


def level_and_upright(data: str) -> Iterator[shapely.LineString]:
    """List the lines that lead to numbers and around the board."""
    for x, y, way, end in re.findall(r"M(-?[\d.]+) (-?[\d.]+)([HV])(-?[\d.]+)", data):
        to = (float(end), float(y)) if way == "H" else (float(x), float(end))
        yield shapely.LineString([(float(x), float(y)), to])


def test_openings_are_told_by_their_places() -> None:
    """The middle of a polygon's edge is that of its opening: our own."""
    design = design_of((ROOT / "examples/tea-hexagon/tea-hexagon.toml").read_text("utf-8"))
    (file,) = dimensions(design)
    outline = design.board.outline
    (found,) = re.findall(r"Opening: ([\d.]+) mm across, its middle at ([\d.]+), ([\d.]+)\.",
                          file.content.decode())  # fmt: skip
    middle = (outline.length_mm / 2, outline.width_mm / 2)
    hole = design.parameters.form.hole_mm
    assert tuple(map(float, found)) == pytest.approx((hole, *middle), abs=0.001)

"""The slanting view: wires enter from the viewer, + on the left, wherever the connector stands.

Pin 1 is + and left when wires come from below: our own convention, told in README.
"""

import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest

from boardgen.model.design import Design
from boardgen.pages.oblique import oblique
from tests.conftest import RING, ROOT, SHELF, design_of, every, merged

SVG = "{http://www.w3.org/2000/svg}"
PLACES: dict[str, dict[str, Any]] = {
    "left": {},
    "right": {"connector": {"at": "right"}},
    "in the middle": {"connector": {"at": "middle"}},
    "below": {"connector": {"side": "bottom"}},
    "below at the right": {"connector": {"side": "bottom", "at": "right"}},
}


def drawn(design: Design) -> list[dict[str, str]]:
    (file,) = oblique(design)
    root = ET.fromstring(file.content.decode())  # noqa: S314 - our own file
    return [dict(path.attrib) for path in root.iter(f"{SVG}path")]


def pieces(paths: list[dict[str, str]], colour: str) -> list[list[float]]:
    """Find a wire by its colour and width: from where to where each piece of it runs."""
    return [
        [float(text) for text in re.findall(r"-?[\d.]+", path["d"])]
        for path in paths
        if path.get("stroke") == colour and path["stroke-width"] == "1.2"
    ]


def wire(paths: list[dict[str, str]], colour: str) -> list[float]:
    """Find a wire in one piece: where it enters, and where it ends."""
    (piece,) = pieces(paths, colour)
    return piece


@pytest.mark.parametrize("name", every(PLACES, lambda at: at in (0, 4)))
def test_wires_come_from_the_viewer_plus_on_the_left(name: str) -> None:
    paths = drawn(design_of(merged(SHELF, PLACES[name])))
    plus, minus = wire(paths, "#d55e00"), wire(paths, "#161616")
    for x, y, end_x, end_y in (plus, minus):
        assert end_y > y + 5, "towards the viewer"
        assert end_x == pytest.approx(x, abs=0.01)
    assert plus[0] < minus[0]
    board = [float(text) for path in paths if path.get("fill") == "#8d8158"
             for text in re.findall(r"-?[\d.]+", path["d"])]  # fmt: skip
    assert plus[3] > max(board[1::2]), "ends before the board's near edge"


def test_wires_of_a_plug_come_from_above() -> None:
    board = merged(SHELF, {"connector": {"kind": HEADER}})
    x, y, end_x, end_y = wire(drawn(design_of(board)), "#d55e00")
    assert end_y < y - 5
    assert end_x == pytest.approx(x, abs=0.01)


def test_wires_of_pads_come_from_below_the_board_through_their_wide_holes() -> None:
    """As the guide has it: from the solder side, through the hole, back through the land."""
    design = design_of(RING)
    paths = drawn(design)
    (x, hole_y, end_x, end_y), (land_x, land_y, up_x, up_y) = pieces(paths, "#d55e00")
    assert [x, land_x, up_x] == pytest.approx([end_x] * 3, abs=0.01)
    below_mm = 0.78 * design.parameters.order.thickness_mm  # the slant's own measure
    assert hole_y == pytest.approx(up_y + below_mm, abs=0.01)
    assert land_y < up_y < end_y
    strokes = [path.get("stroke") for path in paths]
    board = next(at for at, path in enumerate(paths) if path.get("fill") == "#8d8158")
    first, last = (at for at, stroke in enumerate(strokes) if stroke == "#d55e00")
    assert first < board < last


HEADER = "pin header 2.54 mm"


def test_a_cell_has_no_wires() -> None:
    paths = drawn(design_of((ROOT / "examples/coin-badge/coin-badge.toml").read_text("utf-8")))
    assert not [path for path in paths if path.get("stroke-width") == "1.2"]

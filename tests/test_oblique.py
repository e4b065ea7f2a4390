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


def wire(paths: list[dict[str, str]], colour: str) -> list[float]:
    """Find a wire by its colour and width: where it enters, and where it ends."""
    (path,) = [one for one in paths if one.get("stroke") == colour and one["stroke-width"] == "1.2"]
    return [float(text) for text in re.findall(r"-?[\d.]+", path["d"])]


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


def test_wires_of_pads_come_over_the_edge_and_those_of_a_plug_from_above() -> None:
    for board, way in ((RING, 1), (merged(SHELF, {"connector": {"kind": HEADER}}), -1)):
        x, y, end_x, end_y = wire(drawn(design_of(board)), "#d55e00")
        assert way * (end_y - y) > 5
        assert end_x == pytest.approx(x, abs=0.01)


HEADER = "pin header 2.54 mm"


def test_a_cell_has_no_wires() -> None:
    paths = drawn(design_of((ROOT / "examples/coin-badge/coin-badge.toml").read_text("utf-8")))
    assert not [path for path in paths if path.get("stroke-width") == "1.2"]

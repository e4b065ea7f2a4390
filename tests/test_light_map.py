"""Light on a plane, held against closed forms of a single source and of a ring of them.

A cosine-power source: E = I h^(m+1) / (h^2 + r^2)^((m+3)/2), see `published/light.toml`; solved for
r it gives the circle of equal light, and n of them on a circle give n times that in its middle.
"""

import math
import re
import xml.etree.ElementTree as ET
from itertools import combinations

import pytest
import shapely

from boardgen.model.design import Design
from boardgen.pages.light_map import field, levels_of, light_maps
from tests.conftest import RING, SHELF, SMALLEST, design_of, merged

ONE = merged(SMALLEST, {"light": {"plane": "80 mm"}})
ROUND = merged(RING, {"light": {"plane": "80 mm"}})


def texts(design: Design) -> list[str]:
    (file,) = light_maps(design)
    root = ET.fromstring(file.content.decode())  # noqa: S314 - our own file
    return [element.text or "" for element in root.iter() if element.tag.endswith("text")]


def test_lines_of_equal_light_are_the_circles_of_the_closed_form() -> None:
    design = design_of(ONE)
    light = design.operation.illumination
    assert light
    ((x, y, candela, power),) = light.sources
    xs, _, lux = field(light, 80.0, design.board.outline)
    most = candela / 0.08**2
    assert lux.max() == pytest.approx(most, rel=0.01)
    (file,) = light_maps(design)
    drawn = re.findall(
        r'<path d="([^"]*)" fill="none"[^>]*stroke-width="0.2"', file.content.decode()
    )
    (path,) = drawn
    chains = [
        [float(number) for number in re.findall(r"-?[\d.]+", chain)]
        for chain in path.split("M")[1:]
    ]
    (sheet,) = re.findall(r'viewBox="0 0 ([\d.]+)', file.content.decode())
    scale = (float(sheet) - 24.0) / (xs[-1] - xs[0])
    seen = sorted((max(c[::2]) - min(c[::2])) / 2 / scale for c in chains)
    wanted = sorted(
        80.0 * math.sqrt((most / level) ** (2 / (power + 3)) - 1)
        for level in levels_of(float(lux.max()))
    )
    assert seen == pytest.approx(wanted, rel=0.02)
    assert (x, y) == (design.board.part("D1").x_mm, design.board.part("D1").y_mm)


def test_the_middle_of_a_ring_has_the_light_of_so_many_sources() -> None:
    design = design_of(ROUND)
    light = design.operation.illumination
    assert light
    assert light.middle_lx
    radius = 12 * 16.0 / math.tau / 1000
    (_, _, candela, power) = light.sources[0]
    height = 0.08
    wanted = 12 * candela * height ** (power + 1) / math.hypot(height, radius) ** (power + 3)
    assert light.middle_lx == pytest.approx(wanted, rel=1e-6)
    _, _, lux = field(light, 80.0, design.board.outline)
    assert lux[lux.shape[0] // 2, lux.shape[1] // 2] == pytest.approx(wanted, rel=1e-3)


def test_its_values_stand_at_its_lines_and_are_round() -> None:
    design = design_of(ROUND)
    light = design.operation.illumination
    assert light
    levels = levels_of(float(field(light, 80.0, design.board.outline)[2].max()))
    said = texts(design)
    assert len(levels) >= 3
    assert {f"{level:g}" for level in levels} <= set(said)
    assert any("80 mm away" in text for text in said)


def test_without_a_plane_there_is_no_picture() -> None:
    assert light_maps(design_of(SHELF)) == ()


def test_the_board_lies_within_the_picture_and_no_value_on_another() -> None:
    """A plane so near that light ends before the board does: 10 mm, own choice."""
    design = design_of(merged(RING, {"light": {"plane": "10 mm"}, "form": {"diameter": "120 mm"}}))
    light, outline = design.operation.illumination, design.board.outline
    assert light
    xs, ys, lux = field(light, 10.0, outline)
    assert xs[0] <= 0.0
    assert xs[-1] >= outline.length_mm
    assert ys[0] <= 0.0
    assert ys[-1] >= outline.width_mm
    (file,) = light_maps(design)
    root = ET.fromstring(file.content.decode())  # noqa: S314 - our own file
    levels = {f"{level:g}" for level in levels_of(float(lux.max()))}
    boxes = [
        shapely.box(x - 0.31 * size * len(text), y - 0.86 * size, x + 0.31 * size * len(text), y)
        for label in root.iter() if (text := label.text or "") in levels
        for x, y, size in [[float(label.attrib[key]) for key in ("x", "y", "font-size")]]
    ]  # fmt: skip
    assert len(boxes) >= 3
    assert not any(one.overlaps(other) for one, other in combinations(boxes, 2))

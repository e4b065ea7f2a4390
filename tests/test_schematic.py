"""The circuit diagram read again: who stands where from V+ down to 0 V, and if it can be read."""

import math
import re
import xml.etree.ElementTree as ET

import pytest

from boardgen.model.board import PartKind
from boardgen.model.design import Design
from boardgen.pages.schematic import schematics, shown_branches
from boardgen.readback.diagram import diagram_faults
from tests.conftest import RING, ROOT, SHELF, design_of, every, merged

SVG = "{http://www.w3.org/2000/svg}"
SHED = (ROOT / "examples/shed-lamp/shed-lamp.toml").read_text("utf-8")
MANY = merged(SHELF, {"light": {"count": 100, "current": "2 mA"}, "form": {"pitch": "9 mm"}})
UNEQUAL = merged(SHELF, {"supply": {"from": "adapter 12 V"},
                         "light": {"count": 8, "in_series": 3}})  # fmt: skip
GUARDED = merged(SHELF, {"protection": {"reverse": "p-channel"},
                         "connector": {"switch": "slide switch"},
                         "copper": {"test_points": True}})  # fmt: skip
BOARDS = {"shelf": SHELF, "two in series": SHED, "a ring": RING, "a hundred branches": MANY,
          "unequal branches": UNEQUAL, "guard, switch, test points": GUARDED}  # fmt: skip


def drawn(design: Design) -> ET.Element:
    (file,) = schematics(design)
    return ET.fromstring(file.content)  # noqa: S314 - our own file


def labels(root: ET.Element) -> dict[str, tuple[float, float, list[str]]]:
    """Find each part's name: where it stands, and what stands below it."""
    found = {}
    for text in root.iter(f"{SVG}text"):
        lines = list(text.itertext())
        if re.fullmatch(r"[A-Z]+\d+", lines[0]):
            found[lines[0]] = (float(text.get("x", "")), float(text.get("y", "")), lines[1:])
    return found


@pytest.mark.parametrize("name", every(BOARDS, lambda at: at in (0, 5)))
def test_parts_of_a_branch_stand_in_the_order_of_the_current(name: str) -> None:
    design = design_of(BOARDS[name])
    found = labels(drawn(design))
    columns = []
    for branch in shown_branches(design.circuit):
        heights = [found[reference][1] for reference in branch.parts]
        assert heights == sorted(heights)
        assert len(set(heights)) == len(heights)
        columns.append(min(found[reference][0] for reference in branch.parts))
    assert columns == sorted(columns)


@pytest.mark.parametrize("name", every(BOARDS, lambda at: at == 0))
def test_every_part_is_drawn_once_or_named_among_those_alike(name: str) -> None:
    design = design_of(BOARDS[name])
    (file,) = schematics(design)
    placed = [{"reference": part.reference, "value": part.value} for part in design.board.parts
              if part.kind.row.bought]  # fmt: skip
    assert not list(diagram_faults(file.content, placed))
    for reference, (_, _, value) in labels(drawn(design)).items():
        part = design.board.part(reference)
        if part.kind is PartKind.RESISTOR:
            assert value == [part.value.replace("ohm", "Ω")]


def test_guards_and_switch_stand_between_the_connector_and_the_rail_in_order() -> None:
    design = design_of(GUARDED)
    found = labels(drawn(design))
    first = design.circuit.branches[0].parts[0]
    line = [found[name][0] for name in (*design.circuit.inlet.parts, first)]
    assert line == sorted(line)
    assert {"TP1", "TP2"} <= set(found)


@pytest.mark.thorough
def test_a_hundred_branches_are_one_that_says_so() -> None:
    root = drawn(design_of(MANY))
    said = "".join(root.itertext())
    assert "× 100" in said
    assert "R2 to R100, D2 to D100" in said


@pytest.mark.parametrize("name", every(BOARDS, lambda at: at == 0))
def test_letters_are_read_on_paper(name: str) -> None:
    """2 mm at least, own choice: a letter's height is about seven tenths of its size."""
    root = drawn(design_of(BOARDS[name]))
    (inner,) = root.findall("svg") or root.findall(f"{SVG}svg")
    scale = float(inner.get("width", "")) / float(inner.get("viewBox", "").split()[2])
    sizes = {float(text.get("font-size", "")) for text in inner.iter(f"{SVG}text")}
    assert min(sizes) * scale >= 2.0
    assert float(root.get("width", "").removesuffix("mm")) <= 190


DAMAGES = {
    "another value": ("150 Ω", "15 Ω", "has 15 ohm in the diagram, 150 ohm in the list"),
    "a part twice": (">R2<", ">R1<", "R1 is in the diagram 2 times"),
    "a part that is not there": (">R2<", ">R99<", "R99 is in the diagram, but not in"),
    "a part missing": (">R2<", "><", "R2 is in the placement list, but not in the diagram"),
    "a script": ("<defs", "<script>x</script><defs", "holds a script"),
    "a style that loads": ('style="', 'style="fill:url(https://x.invalid)', "holds style of a"),
}


@pytest.mark.parametrize("name", DAMAGES)
def test_a_changed_diagram_is_named(name: str) -> None:
    old, new, words = DAMAGES[name]
    design = design_of(SHELF)
    text = schematics(design)[0].content.decode()
    assert old in text
    placed = [{"reference": part.reference, "value": part.value} for part in design.board.parts
              if part.kind.row.bought]  # fmt: skip
    found = list(diagram_faults(text.replace(old, new, 1).encode(), placed))
    assert any(words in fault for fault in found), found


@pytest.mark.parametrize("name", every(["two in series", "a ring"], lambda at: at == 0))
def test_every_diode_points_from_plus_to_minus(name: str) -> None:
    """IEC 60617, from memory: the triangle's tip is the cathode; y counts downwards.

    The tip lies opposite the longest side.
    """
    design = design_of(BOARDS[name])
    tips = []
    for triangle in drawn(design).iter(f"{SVG}polygon"):
        points = [tuple(map(float, pair.split(","))) for pair in triangle.get("points", "").split()]
        middle = [sum(axis) / 3 for axis in zip(*points, strict=True)]
        tip = max(points, key=lambda at: math.dist(*(one for one in points if one != at)))
        tips.append((tip[0] - middle[0], tip[1] - middle[1]))
    leds = [led for branch in shown_branches(design.circuit) for led in branch.leds]
    assert len([tip for tip in tips if tip[1] > 5 * abs(tip[0])]) == len(leds)
    guards = [ref for ref in design.circuit.inlet.guards if ref.startswith("D")]
    assert len([tip for tip in tips if tip[0] > 5 * abs(tip[1])]) == len(guards)
    assert len(tips) == len(leds) + len(guards)

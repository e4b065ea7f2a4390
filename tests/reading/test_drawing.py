"""Edges that were drawn elsewhere: the same shape by hand, as SVG and as DXF that ezdxf writes.

Areas by elementary geometry; arcs of SVG by the end points that W3C SVG 1.1, F.6.5, gives them (the
two circles of radius 10 through (0, 0) and (10, 0) have their middles at (5, +-sqrt(75))).
"""

import io
import math
from contextlib import suppress
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from ezdxf.filemanagement import new
from ezdxf.filemanagement import read as read_dxf
from hypothesis import given
from hypothesis import strategies as st

from boardgen.build import build_board
from boardgen.designing import draw_board
from boardgen.doors import read
from boardgen.errors import RefusalError
from boardgen.model.board import PartKind
from boardgen.model.outline import Bow, Outline, sweep_rad, walk
from boardgen.model.parameters import Parameters
from boardgen.pages.closing import expect_lines
from boardgen.standards.path_data import PathDataError, parse
from tests.conftest import every, merged

LAMP = """\
[board]
title = "Drawn"
date = "2026-11-29"
[supply]
from = "usb 5 V 500 mA"
[light]
led     = "white 2835"
count   = 3
current = "10 mA"
[form]
kind    = "places"
outline = "edge.svg"
places  = [["30 mm", "20 mm", "0 deg"], ["60 mm", "20 mm", "0 deg"], ["45 mm", "38 mm", "90 deg"]]
"""
SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="70mm" viewBox="0 0 90 70">
<path d="M 5 0 H 85 A 5 5 0 0 1 90 5 V 45 A 25 25 0 0 1 65 70 H 25 A 25 25 0 0 1 0 45 V 5
 A 5 5 0 0 1 5 0 Z"/>
<rect x="40" y="12" width="20" height="6" rx="3"/>
<circle cx="75" cy="55" r="3"/>
</svg>"""
AREA = 90 * 70 - (4 - math.pi) / 2 * (5**2 + 25**2) - (14 * 6 + math.pi * 9) - math.pi * 9
"""A rectangle less two corners of each radius, a slot and a hole."""


def dxf(unit: int = 4, scale: float = 1.0, *, below: bool = False) -> str:
    """Draw the same board: the edge of lines and arcs in any order, a slot as a polyline."""
    found = new()
    found.units = unit
    space = found.modelspace()

    def at(x: float, y: float) -> tuple[float, float]:
        return (x * scale, y * scale)

    space.add_line(at(90, 65), at(90, 25))
    space.add_line(at(5, 70), at(85, 70))
    space.add_line(at(25, 0), at(65, 0))
    space.add_line(at(0, 65), at(0, 25))
    for x, y, radius, first in (
        (85, 65, 5, 0),
        (5, 65, 5, 90),
        (25, 25, 25, 180),
        (65, 25, 25, 270),
    ):
        space.add_arc(at(x, y), radius * scale, first, first + 90)
    bulged = [(43, 52, 0), (57, 52, 1), (57, 58, 0), (43, 58, 1)]
    space.add_lwpolyline([(*at(x, y), bulge) for x, y, bulge in bulged], "xyb", close=True)
    side = {"extrusion": (0, 0, -1)} if below else {}
    space.add_circle(at(75, 15), 3 * scale, dxfattribs=side)
    stream = io.StringIO()
    found.write(stream)
    return stream.getvalue()


def drawn(folder: Path, name: str, content: str, **changes: Any) -> Parameters:
    (folder / name).write_text(content, encoding="utf-8")
    file = folder / "lamp.toml"
    file.write_text(merged(LAMP, {"form": {"outline": name}, **changes}), encoding="utf-8")
    (parameters,) = read(file)
    return parameters


DRAWINGS = {
    "edge.svg": SVG,
    "half.svg": SVG.replace("90mm", "45mm").replace("70mm", "35mm").replace("45mm", "90mm", 1)
    .replace("35mm", "70mm", 1),
    "edge.dxf": dxf(),
    "inch.dxf": dxf(unit=1, scale=1 / 25.4),
}  # fmt: skip


@pytest.mark.parametrize("name", DRAWINGS)
def test_the_same_board_is_read_from_any_drawing(name: str, tmp_path: Path) -> None:
    drawing = drawn(tmp_path, name, DRAWINGS[name]).drawing
    assert drawing
    outline = drawing.outline
    assert (outline.length_mm, outline.width_mm) == pytest.approx((90.0, 70.0), abs=1e-6)
    assert outline.area_mm2 == pytest.approx(AREA, rel=1e-6)
    assert len(outline.inner) == 2
    slot, hole = outline.inner
    assert max(bow.end[1] for bow in slot) == pytest.approx(58.0)
    assert min(bow.end[0] for bow in hole) == pytest.approx(72.0)
    turns = sum(sweep_rad(start, bow) for start, bow in walk(outline.outer))
    assert turns == pytest.approx(math.tau), "not counter-clockwise"


def test_a_drawing_of_lines_alone_that_names_no_unit_is_in_millimetres(tmp_path: Path) -> None:
    """Old files have no header; the library that reads them assumes metres."""
    corners = [(0, 0), (90, 0), (90, 70), (0, 70)]
    lines = "".join(
        f"0\nLINE\n8\n0\n10\n{x1}\n20\n{y1}\n11\n{x2}\n21\n{y2}\n"
        for (x1, y1), (x2, y2) in pairwise([*corners, corners[0]])
    )
    content = f"0\nSECTION\n2\nENTITIES\n{lines}0\nENDSEC\n0\nEOF\n"
    drawing = drawn(tmp_path, "bare.dxf", content).drawing
    assert drawing
    size = (drawing.outline.length_mm, drawing.outline.width_mm)
    assert size == pytest.approx((90.0, 70.0))


@pytest.mark.parametrize("name", every(["edge.svg", "edge.dxf"], lambda place: place == 0))
def test_the_board_that_was_drawn_is_built_and_proven(name: str, tmp_path: Path) -> None:
    built = build_board(drawn(tmp_path, name, DRAWINGS[name]))
    assert built.proof
    assert built.proof.holds
    led = built.design.board.part("D1")
    assert (led.x_mm, led.y_mm) == (30.0, 20.0), "places do not count as the drawing does"
    assert built.design.board.part("J1").x_mm < 10
    said = {measure.asks: measure.answer for measure in built.proof.measures}
    assert said["slots"] == "1 of 6 x 20 mm, routed, unplated"
    assert said["corners"] == "rounded, 5, 25 mm"
    assert said["cut-outs inside"] == "2"
    assert any("1 of 6 x 20 mm, routed" in line for line in expect_lines(built.design))


@pytest.mark.thorough
def test_of_many_radii_the_order_tells_the_least_and_the_greatest(tmp_path: Path) -> None:
    four = SVG.replace("H 85 A 5 5 0 0 1 90 5", "H 86 A 4 4 0 0 1 90 4")
    four = four.replace("H 25 A 25 25 0 0 1 0 45", "H 24 A 24 24 0 0 1 0 46")
    proof = build_board(drawn(tmp_path, "edge.svg", four)).proof
    assert proof
    said = {measure.asks: measure.answer for measure in proof.measures}
    assert said["corners"] == "rounded, 4 to 25 mm"


def test_rows_stand_in_the_middle_of_what_was_drawn(tmp_path: Path) -> None:
    rows = {"kind": "grid", "rows": 2, "pitch": "15 mm", "places": None}
    board = draw_board(
        drawn(tmp_path, "edge.svg", SVG, form={**rows, "outline": "edge.svg"}, light={"count": 6})
    ).board
    places = [(part.x_mm, part.y_mm) for part in board.parts if part.kind is PartKind.LED]
    across, up = (sum(axis) / len(places) for axis in zip(*places, strict=True))
    assert (across, up) == pytest.approx((45.0, 35.0))


def test_a_scaled_drawing_counts_in_its_millimetres(tmp_path: Path) -> None:
    twice = SVG.replace('"90mm"', '"180mm"').replace('"70mm"', '"140mm"')
    drawing = drawn(tmp_path, "edge.svg", twice).drawing
    assert drawing
    assert drawing.outline.area_mm2 == pytest.approx(4 * AREA)


def test_another_drawing_is_another_board(tmp_path: Path) -> None:
    first = drawn(tmp_path, "edge.svg", SVG).meaning_sha256
    assert drawn(tmp_path, "edge.svg", SVG).meaning_sha256 == first
    assert drawn(tmp_path, "edge.svg", SVG.replace('r="3"', 'r="4"')).meaning_sha256 != first


def test_a_part_that_meets_a_cut_out_is_named(tmp_path: Path) -> None:
    at = [["30 mm", "20 mm", "0 deg"], ["60 mm", "20 mm", "0 deg"], ["45 mm", "50 mm", "90 deg"]]
    parameters = drawn(tmp_path, "edge.svg", SVG)
    parameters = replace(parameters, form=replace(parameters.form, places=tuple(
        (float(x.split()[0]), float(y.split()[0]), float(turn.split()[0])) for x, y, turn in at
    )))  # fmt: skip
    with pytest.raises(RefusalError, match=r"(D3|R3) (and the edge|lies outside)"):
        draw_board(parameters)


@pytest.mark.parametrize(("name", "content", "words"), [
    ("edge.svg", "<svg", "is no SVG"),
    ("edge.svg", '<!DOCTYPE svg><svg viewBox="0 0 9 9"/>', "declares a document type"),
    ("edge.svg", '<svg viewBox="0 0 9 9"/>', "shows no closed line"),
    ("edge.svg", SVG.replace("<path", '<path transform="scale(2)"'), "without transform"),
    ("edge.svg", SVG.replace("A 25 25 0 0 1 65 70", "C 1 2 3 4 65 70"), "C is a curve"),
    ("edge.svg", SVG.replace("A 25 25 0 0 1 65 70", "A 25 20 0 0 1 65 70"), "an ellipse's"),
    ("edge.svg", SVG.replace('cx="75"', 'cx="175"'), "cut-out 2 crosses the edge or lies outside"),
    ("edge.svg", SVG.replace('cx="75"', 'cx="88"'), "cut-out 2 crosses the edge"),
    ("edge.svg", SVG.replace('cx="75" cy="55"', 'cx="60" cy="15"'), "cut-out 2 meets cut-out 1"),
    ("edge.svg", SVG.replace('r="3"/>', 'r="3"/><circle cx="75" cy="55" r="1"/>'), "meets cut-out"),
    ("edge.svg", SVG.replace("</svg>", '<ellipse rx="2" ry="2"/></svg>'), "is not read (ellipse)"),
    ("edge.svg", SVG.replace("</svg>", '<path d="M 9 9 H 12 V 12"/></svg>'), "ends in the open at"),
    ("edge.svg", SVG.replace('rx="3"', 'rx="3" ry="1"'), "parts of an ellipse"),
    ("edge.svg", SVG.replace('"0 0 90 70"', '"0 0 0 0"'), "no plain viewBox"),
    ("edge.svg", SVG.replace('"0 0 90 70"', '"0 0 a b"'), "no plain sizes"),
    ("edge.svg", SVG.replace('"70mm"', '"90mm"'), "not as high"),
    ("edge.svg", SVG.replace("H 85", "H 1e999"), "too far away"),
    ("edge.dxf", dxf(below=True), "is drawn from below"),
    ("edge.svg", SVG.replace("90mm", "90furlong"), "sized in furlong"),
    ("edge.dxf", "0\nSECTION", "is no DXF"),
    ("edge.dxf", dxf().replace("\nLINE\n", "\nRAY\n", 1), "is not read (ray)"),
    ("edge.dxf", dxf().replace("\nLINE\n", "\nFOOBAR\n", 1), "is not read (foobar)"),
    ("edge.svg", SVG.replace("<path", "<style>.a{display:none}</style><path"), "by a style sheet"),
    ("edge.svg", SVG.replace("<path", "<defs><style>.a{visibility:hidden}</style></defs><path"),
     "by a style sheet"),
    ("edge.svg", '<?xml-stylesheet href="a.css"?>' + SVG, "by a style sheet"),
])  # fmt: skip
def test_what_is_no_edge_is_refused_in_words(
    name: str, content: str, words: str, tmp_path: Path
) -> None:
    with pytest.raises(RefusalError) as caught:
        drawn(tmp_path, name, content)
    (problem,) = caught.value.problems
    assert problem.path == "form.outline"
    assert words in f"{problem.what}; {problem.remedy}"


def test_what_only_serves_others_is_no_edge(tmp_path: Path) -> None:
    clip = '<defs><clipPath><rect width="99" height="99"/></clipPath></defs>'
    drawing = drawn(tmp_path, "edge.svg", SVG.replace("<path", f"{clip}<path", 1)).drawing
    assert drawing
    assert drawing.outline.area_mm2 == pytest.approx(AREA, rel=1e-6)


HIDDEN = {
    "by an attribute": '<g display="none">{}</g>',
    "by its style": '<g style="fill:none; display: none">{}</g>',
    "by what it stands in": '<g display="none"><g display="inline" transform="scale(2)">{}</g></g>',
    "as invisible": '<g visibility="hidden"><g>{}</g></g>',
    "by style before attribute": '<g visibility="visible" style="visibility:collapse">{}</g>',
    "in whatever letters": '<g style="/*;*/ Display : NONE ">{}</g>',
    "as important": '<g style="display:none !important; display:inline">{}</g>',
}  # fmt: skip


@pytest.mark.parametrize("how", HIDDEN)
def test_what_a_drawing_hides_is_no_edge(how: str, tmp_path: Path) -> None:
    """SVG 1.1, 11.5 (display, visibility) and 6.4 (style before attribute): from memory."""
    notes = '<rect x="-9" y="-9" width="199" height="199"/><text>draft</text>'
    hidden = HIDDEN[how].format(notes)
    drawing = drawn(tmp_path, "edge.svg", SVG.replace("<path", f"{hidden}<path", 1)).drawing
    assert drawing
    assert drawing.outline.area_mm2 == pytest.approx(AREA, rel=1e-6)


def test_what_is_shown_within_the_invisible_is_seen(tmp_path: Path) -> None:
    """Unlike within what is not displayed: SVG 1.1, 11.5, from memory."""
    circle = '<circle cx="75" cy="55" r="3"/>'
    styled = circle.replace("/>", ' style="visibility:visible"/>')
    shown = f'<g visibility="hidden">{styled}</g>'
    drawing = drawn(tmp_path, "edge.svg", SVG.replace(circle, shown)).drawing
    assert drawing
    assert drawing.outline.area_mm2 == pytest.approx(AREA, rel=1e-6)


@pytest.mark.parametrize("shown", [
    'visibility="inherit"', 'visibility="unset"', 'display="inline"', 'style="/*display:none;*/"',
    'style="display:none; display:inline"', 'style="display:none-ish"',
])  # fmt: skip
def test_a_shape_that_is_not_hidden_stays(shown: str, tmp_path: Path) -> None:
    drawing = drawn(tmp_path, "edge.svg", SVG.replace("<circle", f"<circle {shown}")).drawing
    assert drawing
    assert len(drawing.outline.inner) == 2


def test_a_style_sheet_that_hides_nothing_is_taken(tmp_path: Path) -> None:
    sheet = "<style>/* display */ path { fill: none }</style>"
    assert drawn(tmp_path, "edge.svg", SVG.replace("<path", f"{sheet}<path")).drawing


def test_what_refers_to_a_shape_on_a_layer_that_is_seen_is_told(tmp_path: Path) -> None:
    """A layer that is off hides what lies on it, and not the parts of a block: from memory."""
    found = read_dxf(io.StringIO(dxf()))
    found.blocks.new("hole").add_circle((0, 0), 3)
    found.layers.add("notes").off()
    found.modelspace().add_blockref("hole", (45, 35), dxfattribs={"layer": "notes"})
    stream = io.StringIO()
    found.write(stream)
    with pytest.raises(RefusalError, match=r"not read \(insert\)"):
        drawn(tmp_path, "edge.dxf", stream.getvalue())


@pytest.mark.parametrize("how", ["invisible", "on a layer that is off", "on a frozen layer"])
def test_what_a_dxf_hides_is_no_edge(how: str, tmp_path: Path) -> None:
    """DXF reference, group code 60, and layers' colour and flags: from memory."""
    found = read_dxf(io.StringIO(dxf()))
    found.layers.add("edge")
    for shape in found.modelspace():
        shape.dxf.layer = "edge"
    notes = found.layers.add("notes")
    note = found.modelspace().add_text("draft", dxfattribs={"layer": "notes"})
    around = found.modelspace().add_circle((45, 35), 99, dxfattribs={"layer": "notes"})
    if how == "invisible":
        note.dxf.invisible = around.dxf.invisible = 1
    elif how == "on a frozen layer":
        notes.freeze()
    else:
        notes.off()
    stream = io.StringIO()
    found.write(stream)
    drawing = drawn(tmp_path, "edge.dxf", stream.getvalue()).drawing
    assert drawing
    assert drawing.outline.area_mm2 == pytest.approx(AREA, rel=1e-6)


def test_a_whole_arc_is_a_circle(tmp_path: Path) -> None:
    found = new()
    found.units = 4
    found.modelspace().add_arc((40, 40), 40, 0, 360)
    stream = io.StringIO()
    found.write(stream)
    drawing = drawn(
        tmp_path, "edge.dxf", stream.getvalue(), connector={"kind": "wire pads"}
    ).drawing
    assert drawing
    assert drawing.outline.area_mm2 == pytest.approx(math.pi * 1600)


def test_beyond_an_acute_corner_is_outside() -> None:
    """Both sides of the corner at the origin are as near, and tell unlike things (geometry)."""
    ring = tuple(Bow(at) for at in ((120.0, 0.0), (120.0, 70.0), (0.0, 0.0)))
    outline = Outline(length_mm=120.0, width_mm=70.0, outer=ring)
    for at in ((-2.5, -1.5), (-2.5, 0.5), (-1.0, -3.0)):
        assert outline.inwards_mm(at) < 0, at
    assert outline.inwards_mm((60.0, 10.0)) > 0


def test_a_line_that_is_left_open_is_told_where(tmp_path: Path) -> None:
    found = new()
    found.units = 4
    found.modelspace().add_line((0, 0), (50, 0))
    found.modelspace().add_line((50, 0), (50, 30))
    stream = io.StringIO()
    found.write(stream)
    with pytest.raises(RefusalError, match=r"ends in the open at \((50, 30|0, 0)\) mm"):
        drawn(tmp_path, "edge.dxf", stream.getvalue())


def test_a_drawing_that_is_not_there_is_told(tmp_path: Path) -> None:
    file = tmp_path / "lamp.toml"
    file.write_text(LAMP, encoding="utf-8")
    with pytest.raises(RefusalError, match="lay it beside this file"):
        read(file)


@pytest.mark.parametrize(("flags", "middle_y", "clockwise"), [
    ("0 1", math.sqrt(75), False), ("1 1", -math.sqrt(75), False),
    ("1 0", math.sqrt(75), True), ("0 0", -math.sqrt(75), True),
])  # fmt: skip
def test_arcs_turn_about_the_middle_that_their_flags_choose(
    flags: str, middle_y: float, clockwise: bool
) -> None:
    (line,) = parse(f"M 0 0 A 10 10 0 {flags} 10 0")
    (arc,) = line.pieces
    assert arc.centre == pytest.approx((5.0, middle_y))
    assert arc.clockwise is clockwise


@pytest.mark.parametrize(("one", "other"), [
    ("M1 2L3 4 5 6Z", "m1,2 2,2 2,2z"),
    ("M0 0H10V5H0Z", "M 0,0 10,0 10,5 0,5 0,0 Z"),
    ("M0 0a5 5 0 0110 0", "M0 0A5 5 0 0 1 10 0"),
    ("M.5.5L1e1-2", "M 0.5 0.5 L 10 -2"),
])  # fmt: skip
def test_path_data_is_read_however_it_is_written(one: str, other: str) -> None:
    assert parse(one) == parse(other)


def test_steps_that_come_back_but_for_rounding_close_a_line_without_another_leg() -> None:
    (line,) = parse("m 0 0 h 40.1 h 40.2 v 60 h -80.3 v -60 z")
    assert len(line.pieces) == 5
    assert line.pieces[-1].end == line.start


@given(st.text("MLHVAZmlhvazCQ0123456789.,- e+", max_size=40))
def test_any_text_is_path_data_or_told_what_is_wrong(text: str) -> None:
    lines = []
    with suppress(PathDataError):
        lines = parse(text)
    assert all(line.pieces for line in lines)

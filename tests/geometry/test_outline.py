"""Outlines: rings of lines and arcs, moved inwards; cut-outs all the way to the proof."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardgen.checks.table import check
from boardgen.geometry.contents import contour_fault
from boardgen.geometry.contours import inset
from boardgen.geometry.placing import contour
from boardgen.geometry.polygons import polygon
from boardgen.model.board import MountingHole, TextRole
from boardgen.model.design import Design
from boardgen.model.outline import Bow, Ring, circle, rectangle, signed_area_mm2, sweep_rad
from boardgen.model.outputs import OutputFiles
from boardgen.model.proof import Proof
from boardgen.model.shapes import Contour, Edge
from boardgen.outputs import export
from boardgen.readback.prove import prove
from boardgen.units import Nm, snap
from tests.checks.planting import base, redrawn
from tests.readback import editing

L_SHAPE: Ring = tuple(
    Bow(point)
    for point in ((40.0, 0.0), (40.0, 10.0), (15.0, 10.0), (15.0, 30.0), (0.0, 30.0), (0.0, 0.0))
)
"""One corner points into the board, five out of it."""


@given(length=st.floats(20.0, 200.0), width=st.floats(20.0, 200.0), corner=st.floats(0.0, 9.9))
def test_a_rectangles_area_is_that_of_the_formula(
    length: float, width: float, corner: float
) -> None:
    """Sides' product less what four rounded corners lack: (4 - pi) r^2, geometry."""
    wanted = length * width - (4 - math.pi) * corner**2
    assert rectangle(length, width, corner).area_mm2 == pytest.approx(wanted)


def test_a_circles_area_and_its_direction() -> None:
    assert signed_area_mm2(circle((5.0, 5.0), 4.0)) == pytest.approx(math.pi * 16)
    assert signed_area_mm2(circle((5.0, 5.0), 4.0, clockwise=True)) == pytest.approx(-math.pi * 16)
    assert sweep_rad((9.0, 5.0), circle((5.0, 5.0), 4.0)[0]) == pytest.approx(math.pi)


SHAPES = {
    "sharp rectangle": rectangle(40.0, 30.0, 0.0).outer,
    "rounded rectangle": rectangle(40.0, 30.0, 3.0).outer,
    "hardly rounded": rectangle(40.0, 30.0, 0.8).outer,
    "circle": circle((20.0, 20.0), 20.0),
    "L": L_SHAPE,
}


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("by_mm", [0.5, 1.0, 2.0])
def test_a_line_moved_inwards_is_what_another_library_makes_of_it(name: str, by_mm: float) -> None:
    """GEOS' own inset, opened by the least radius: the same area but for how arcs are cut."""
    ring = contour(SHAPES[name])
    least = 500_000
    moved = polygon(inset(ring, round(by_mm * 1e6), least), 50.0)
    other = polygon(ring, 50.0).buffer(-by_mm * 1e6, quad_segs=512)
    rounded = other.buffer(-least, quad_segs=512).buffer(least, quad_segs=512)
    assert moved.symmetric_difference(rounded).area < 2e-5 * rounded.area
    assert moved.is_valid


def test_around_a_cut_out_the_pour_keeps_its_distance() -> None:
    ring = contour(circle((20.0, 20.0), 5.0, clockwise=True))
    moved = polygon(inset(ring, 1_000_000, 500_000), 50.0)
    assert moved.area == pytest.approx(math.pi * 6e6**2, rel=1e-4)


# -- a board with a cut-out ------------------------------------------------------------------------


def with_cut_out(ring: Ring | None = None) -> Design:
    """Cut a slot out of a wide bar, where nothing else is."""
    design = base(form={"width": "40 mm"})
    outline = design.board.outline
    cut = ring or circle((outline.length_mm / 2, 9.0), 3.0, clockwise=True)
    texts = tuple(
        text for text in design.board.texts if text.role not in (TextRole.PAGE, TextRole.NOTE)
    )
    return redrawn(design, outline=replace(outline, inner=(cut,)), texts=texts)


def proof_of(files: OutputFiles, design: Design | None) -> Proof:
    return prove({file.path.rpartition("/")[2]: file.content for file in files}, design)


def test_a_cut_out_is_drawn_listed_kept_clear_and_measured() -> None:
    design = with_cut_out()
    proof = proof_of(export(design, fabrication=True), design)
    assert proof.holds, [str(found) for found in proof.differences]
    assert {m.answer for m in proof.measures if m.asks == "cut-outs inside"} == {"1"}
    assert not {f.code for f in check(design)} & {"edge.copper", "profile.whole", "profile.outside"}


def test_a_cut_out_that_is_missing_in_the_profile_is_found_from_the_zip_alone() -> None:
    design = with_cut_out()
    files = {
        file.path.rpartition("/")[2]: file.content for file in export(design, fabrication=True)
    }
    name = next(name for name in files if name.endswith("profile.gbr"))
    text = files[name].decode()
    item = editing.items(text)[1]
    lines = text.split("\n")
    del lines[item.first - 1 : item.last + 1]
    spoiled = editing.refreshed({**files, name: "\n".join(lines).encode()})
    told = [str(found) for found in prove(spoiled).differences]
    assert any("a cut-out that the netlist tells is not drawn" in text for text in told), told


@pytest.mark.parametrize("way", ["over the edge", "into another"])
def test_cut_outs_that_meet_are_found(way: str) -> None:
    design = with_cut_out()
    outline = design.board.outline
    middle = outline.length_mm / 2
    other = (middle, 1.0) if way == "over the edge" else (middle + 3.0, 9.0)
    rings = (*outline.inner, circle(other, 3.0, clockwise=True))
    spoiled = redrawn(design, outline=replace(outline, inner=rings))
    told = [str(found) for found in proof_of(export(spoiled, fabrication=True), None).differences]
    words = {"over the edge": "a cut-out reaches over", "into another": "two cut-outs meet"}
    assert any(words[way] in text for text in told), told


def test_what_lies_in_a_cut_out_is_found() -> None:
    design = with_cut_out()
    outline = design.board.outline
    hole = MountingHole(reference="MH9", x_mm=outline.length_mm / 2, y_mm=9.0, hole_mm=2.0,
                        covered_mm=2.0, room_mm=2.0)  # fmt: skip
    told = check(redrawn(design, holes=(*design.board.holes, hole)))
    assert "profile.outside" in {f.code for f in told}


def clockwise(*corners: tuple[float, float]) -> Ring:
    return tuple(Bow(corner) for corner in corners)


SHARP = {
    "a rectangle": (clockwise((48, 6), (48, 12), (54, 12), (54, 6)), 4),
    "an L": (clockwise((48, 6), (48, 12), (51, 12), (51, 9), (56, 9), (56, 6)), 5),
    "a round one finer than the cutter": (circle((50.0, 9.0), 0.5, clockwise=True), 2),
    "a round one": (circle((50.0, 9.0), 3.0, clockwise=True), 0),
}


@pytest.mark.parametrize("name", SHARP)
def test_corners_of_a_cut_out_are_those_that_a_cutter_inside_it_cannot_reach(name: str) -> None:
    """An L has six corners, one of which the board fills: the cutter passes around that one."""
    ring, corners = SHARP[name]
    told = [f for f in check(with_cut_out(ring)) if f.code == "profile.corner"]
    assert len(told) == corners, told


def test_a_part_over_a_cut_out_is_told() -> None:
    design = with_cut_out()
    led = design.board.part("D3")
    slot = clockwise((led.x_mm - 0.5, led.y_mm - 9), (led.x_mm - 0.5, led.y_mm),
                     (led.x_mm + 0.5, led.y_mm), (led.x_mm + 0.5, led.y_mm - 9))  # fmt: skip
    told = [f for f in check(with_cut_out(slot)) if f.code == "courtyard.edge"]
    assert [f.subjects for f in told] == [("D3", "cut-out")]
    assert "courtyard.edge" not in {f.code for f in check(design)}


def test_one_board_with_a_cut_out_is_one_design_and_its_corners_are_the_boards() -> None:
    design = with_cut_out()
    said = {m.asks: m.answer for m in proof_of(export(design, fabrication=True), design).measures}
    assert said["designs in the file"] == "1"
    assert said["cut-outs inside"] == "1"
    assert said["corners"] == "rounded, 2 mm"


@given(st.integers(-3, 3), st.integers(2_000_000, 60_000_000), st.sampled_from([200_000, 501_000]))
def test_a_side_that_bends_by_a_nanometre_gets_no_whole_circle(
    bend: int, middle: int, by: int
) -> None:
    """An arc from a point to itself is a full turn in the files (Gerber 2023.08, from memory)."""
    corners = [(0, 0), (middle, bend), (70_000_000, 0), (70_000_000, 9_000_000), (0, 9_000_000)]
    ring = Contour(tuple(Edge((Nm(x), Nm(y))) for x, y in [*corners[1:], corners[0]]))
    edges = inset(ring, by, 100_000).edges
    starts = [edges[-1].end, *(edge.end for edge in edges)]
    for start, edge in zip(starts, edges, strict=False):
        assert start != edge.end
    assert polygon(inset(ring, by, 100_000), 50.0).is_valid


def test_an_arc_whose_radius_comes_to_nothing_is_a_line() -> None:
    """An edge drawn beside a bend, just as far as the bend is round."""
    square = rectangle(10.0, 10.0, 0.0).outer
    last = square[-1]
    bent = (*square[:-1], Bow(last.end, (last.end[0] + 4e-7, last.end[1]), clockwise=True))
    drawn = contour(bent)
    assert all(edge.centre is None for edge in drawn.edges)
    assert contour_fault(inset(drawn, snap(1.0), snap(0.2))) is None

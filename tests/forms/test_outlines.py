"""Edges around given places, words and rows: circle, ring and polygon, measured with shapely."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from shapely import Point as Spot
from shapely import Polygon

from boardgen.electrical.explain import explain
from boardgen.errors import RefusalError
from boardgen.forms.table import plan
from boardgen.forms.word import sites as sites_of
from boardgen.geometry.placing import contour
from boardgen.geometry.polygons import polygon
from boardgen.model.parameters import Parameters
from boardgen.reading import catalogue
from boardgen.units import NM_PER_MM
from tests.conftest import built_of, design_of, every, merged, parameters_of

BASE = """\
[board]
title = "Six places"
date = "2026-11-29"
[supply]
from = "usb 5 V"
[light]
led     = "warm white 2835"
count   = 6
current = "8 mA"
[form]
kind   = "places"
places = [["0 mm", "0 mm", "0 deg"], ["30 mm", "0 mm", "60 deg"], ["45 mm", "26 mm", "120 deg"],
          ["30 mm", "52 mm", "180 deg"], ["0 mm", "52 mm", "240 deg"], ["-15 mm", "26 mm", "0 deg"]]
[connector]
kind = "pin header 2.54 mm"
at   = "bottom"
"""
ROUND: dict[str, dict[str, Any]] = {
    "circle": {"outline": "circle"},
    "ring": {"outline": "ring", "hole": "24 mm"},
    "polygon": {"outline": "polygon"},
    "triangle": {"outline": "polygon", "sides": 3},
}
A_GRID: dict[str, Any] = {"kind": "grid", "rows": 2, "places": None, "pitch": "30 mm"}
A_WORD: dict[str, Any] = {"kind": "word", "text": "O O", "places": None, "pitch": "20 mm"}


def asked(**changes: dict[str, Any]) -> Parameters:
    return parameters_of(merged(BASE, changes))


def drawn(parameters: Parameters, margin_mm: float) -> tuple[Polygon, list[Spot], float]:
    """Give edge and LEDs as a plan draws them, in mm, and which way the door looks."""
    sketch = plan(parameters).sketch
    assert sketch
    found = sketch(margin_mm)
    edge, *holes = (polygon(contour(ring)) for ring in found.outline.rings)
    shape = Polygon(edge.exterior, [hole.exterior for hole in holes])
    leds = [Spot(*(at * NM_PER_MM for at in found.spines[line].place(along)))
            for line, along in found.sites]  # fmt: skip
    return shape, leds, found.door.turn_deg


@settings(max_examples=30)
@given(st.integers(3, 12), st.integers(0, 359), st.floats(6, 40))
def test_a_polygon_leaves_the_outermost_led_its_margin(sides: int, at: int, margin: float) -> None:
    shape, leds, turn = drawn(
        asked(form={"outline": "polygon", "sides": sides}, connector={"at": f"{at} deg"}), margin
    )
    off = [led.distance(shape.exterior) / NM_PER_MM for led in leds]
    assert all(shape.covers(led) for led in leds)
    assert min(off) >= margin - 2e-3
    assert math.remainder(turn - at - 180.0, 360.0) == pytest.approx(0.0, abs=1e-6)


@settings(max_examples=30)
@given(st.integers(3, 12), st.floats(6, 40))
def test_sides_of_a_polygon_touch_the_circle_inside_it(sides: int, margin: float) -> None:
    """Area of a regular polygon around a circle of radius a: n a^2 tan(pi/n), less the roundings.

    Geometry of any handbook, from memory.
    """
    parameters = asked(form={"outline": "polygon", "sides": sides, "corner": "1 mm"})
    shape, *_ = drawn(parameters, margin)
    tangent = math.tan(math.pi / sides)
    low = shape.exterior.bounds[1]
    middle = Spot(shape.centroid)
    inner = (middle.y - low) / NM_PER_MM
    rounded = 1.0**2 * (sides * tangent - math.pi)
    assert shape.area / NM_PER_MM**2 == pytest.approx(
        sides * inner**2 * tangent - rounded, rel=1e-4
    )


@settings(max_examples=30)
@given(st.floats(6, 40), st.floats(5, 40))
def test_a_ring_has_its_opening_in_the_middle_of_its_circle(margin: float, hole: float) -> None:
    parameters = asked(form={"outline": "ring", "hole": f"{hole:g} mm"})
    shape, leds, _ = drawn(parameters, margin)
    (opening,) = shape.interiors
    across = opening.bounds[2] - opening.bounds[0]
    assert across / NM_PER_MM == pytest.approx(hole, rel=1e-5)
    assert Spot(Polygon(opening).centroid).distance(shape.exterior.centroid) < 10
    bare, *_ = drawn(asked(form={"outline": "circle"}), margin)
    assert shape.exterior.equals(bare.exterior)
    assert all(shape.covers(led) for led in leds)


CASES = [
    (name, kind, sides)
    for name in ROUND
    for kind, sides in (("places", 1), ("word", 2), ("grid", 1), ("bar", 2))
]


@pytest.mark.parametrize("case", every(CASES, lambda n: n in {8, 15}), ids=str)
def test_boards_within_them_are_built_and_proven(case: tuple[str, str, int]) -> None:
    name, kind, sides = case
    form, count = {**ROUND[name]}, 6
    if kind in {"grid", "bar"}:
        form = {**form, **A_GRID, "kind": kind}
    if kind == "word":
        hole = {"hole": "12 mm"} if name == "ring" else {}  # between the letters
        form = {**form, **A_WORD, **hole}
        count = len(sites_of("O O", 45.0, 20.0, catalogue.lettering()))
    built = built_of(merged(BASE, {
        "form": form, "copper": {"sides": sides}, "light": {"count": count}
    }))  # fmt: skip
    assert built.proof
    assert built.proof.holds


@pytest.mark.parametrize("kind", ["bar", "grid"])
@settings(max_examples=15)
@given(st.integers(1, 4), st.integers(1, 6), st.floats(5, 40), st.none() | st.floats(5, 40))
def test_rows_within_another_edge_stand_at_their_pitch(
    kind: str, rows: int, columns: int, pitch: float, between: float | None
) -> None:
    """Columns a pitch apart, rows too unless another distance is asked for; all face one way."""
    down = {"row_pitch": f"{between} mm"} if between and rows > 1 else {}
    form = {**A_GRID, "kind": kind, "outline": "circle", "rows": rows, "pitch": f"{pitch} mm"}
    planned = plan(asked(form={**form, **down}, light={"count": rows * columns}))
    assert planned.chains == (columns,) * rows
    assert planned.sketch
    sketch = planned.sketch(10.0)
    poses = [sketch.spines[line].pose(along) for line, along in sketch.sites]
    assert {pose.turn_deg for pose in poses} == {0.0}
    step = between if down and between else pitch
    (left, top) = (poses[0].x_mm, poses[0].y_mm)
    wanted = [(left + x * pitch, top - y * step) for y in range(rows) for x in range(columns)]
    found = [(pose.x_mm, pose.y_mm) for pose in poses]
    assert np.array(found) == pytest.approx(np.array(wanted), abs=1e-6)


@pytest.mark.thorough
def test_strings_along_rows_leave_none_of_them() -> None:
    text = merged(BASE, {
        "form": {**A_GRID, "outline": "circle", "rows": 2, "pitch": "15 mm"},
        "supply": {"from": "adapter 12 V"}, "light": {"count": 6},
    })  # fmt: skip
    design = design_of(text)
    assert {branch.kind.leds for branch in design.circuit.branches} == {3}
    for branch in design.circuit.branches:
        assert len({round(design.board.part(led).y_mm, 3) for led in branch.leds}) == 1


@pytest.mark.thorough
@pytest.mark.parametrize(("form", "key"), [
    ({**A_GRID, "pitch": "6 mm"}, "form.pitch"),
    ({**A_GRID, "row_pitch": "3 mm"}, "form.row_pitch"),
    ({"kind": "disc", "pitch": "4 mm"}, "form.pitch"),
    ({"kind": "ring", "circles": 2, "pitch": "16 mm", "circle_pitch": "4 mm"}, "form.circle_pitch"),
    ({"kind": "ring", "pitch": "4 mm", "facing": "inward"}, "form.pitch"),
])  # fmt: skip
def test_leds_too_near_to_one_another_are_offered_the_least_pitch(
    form: dict[str, Any], key: str
) -> None:
    """What is offered makes a board, half of it does not."""
    edge = {"outline": "circle"} if form["kind"] == "grid" else {}
    text = merged(BASE, {"form": {"places": None, **form, **edge}, "light": {"count": 12}})
    with pytest.raises(RefusalError) as caught:
        design_of(text)
    (problem,) = caught.value.problems
    (offer,) = problem.offers
    assert (problem.path, offer.path) == (key, key)
    wider = offer.value.strip('"')
    assert built_of(merged(text, {"form": {key.removeprefix("form."): wider}})).proof
    half = f"{float(wider.removesuffix(' mm')) / 2:g} mm"
    with pytest.raises(RefusalError):
        design_of(merged(text, {"form": {key.removeprefix("form."): half}}))


@pytest.mark.parametrize(("name", "at"), [("circle", (5.0, 7.0)), ("polygon", (45.0, -7.0))])
@pytest.mark.thorough
def test_screws_of_rows_within_another_edge_count_from_the_first_led(
    name: str, at: tuple[float, float]
) -> None:
    screws = {"screw": "M2", "places": [[f"{x} mm" for x in at]]}
    board = design_of(merged(BASE, {"form": {**ROUND[name], **A_GRID}, "mounting": screws})).board
    first, (hole,) = board.part("D1"), board.holes
    assert (hole.x_mm - first.x_mm, hole.y_mm - first.y_mm) == pytest.approx(at, abs=1e-6)


def test_rows_within_another_edge_are_told_as_rows() -> None:
    design = design_of(merged(BASE, {"form": {**A_GRID, "outline": "circle"}}))
    steps = explain(design.parameters, design.circuit)
    (told,) = [step.numbers for step in steps if step.key == "branches"]
    assert "6 LEDs in 2 lines" in told


def test_a_pitch_asked_by_light_does_not_ask_for_the_edge() -> None:
    light = {"diffuser": "20 mm", "evenness": "85 %"}
    pitches = {
        asked(form={**A_GRID, "pitch": "even", "outline": outline}, light=light,
              connector={"at": "left"}).form.pitch_mm
        for outline in ("rectangle", "circle", "polygon")
    }  # fmt: skip
    assert len(pitches) == 1


def test_a_bar_within_another_edge_joins_no_other() -> None:
    form = {**A_GRID, "kind": "bar", "rows": 1, "outline": "circle"}
    with pytest.raises(RefusalError, match='within outline = "circle" has no two ends'):
        asked(form=form, joint={"boards": 2})


REFUSED: list[tuple[dict[str, Any], str, str]] = [
    ({"outline": "circle", "hole": "10 mm"}, "form.hole", 'beside outline = "circle"'),
    ({"outline": "circle", "corner": "2 mm"}, "form.corner", 'beside outline = "circle"'),
    ({"hole": "10 mm"}, "form.hole", 'beside outline = "rectangle"'),
    ({"sides": 5}, "form.sides", 'beside outline = "rectangle"'),
    ({"outline": "ring"}, "form.hole", "a ring has an opening"),
    ({"outline": "ring", "hole": "24 mm", "sides": 5}, "form.sides", "does nothing"),
    ({"outline": "ring", "hole": "70 mm"}, "form.hole", "from the board's middle, in"),
    ({**A_GRID, "outline": "circle", "width": "60 mm"}, "form.width", 'beside outline = "circle"'),
    ({**A_GRID, "margin": "9 mm"}, "form.margin",
     'write outline = "circle" or "ring" or "polygon"'),
    ({**A_GRID, "outline": "ring", "hole": "9 mm", "corner": "2 mm"}, "form.corner",
     'write outline = "rectangle" or "polygon"'),
    ({"outline": "star"}, "form.outline", "circle, ring, polygon"),
    ({"outline": "polygon", "sides": 3, "margin": "2000 mm"}, "form.margin", "a smaller one"),
    ({"outline": "polygon", "margin": "3 mm"}, "form.margin", "too small for its parts"),
    ({"outline": "ring", "hole": "58 mm"}, "form.hole", "leaves the parts no room"),
    ({"outline": "ring", "hole": "57 mm", "margin": "4 mm"}, "form.hole",
     "too small for its parts, and the opening leaves"),
]  # fmt: skip


@pytest.mark.parametrize("case", every(REFUSED, lambda n: n < 12), ids=str)
def test_what_does_not_fit_an_edge_is_refused(case: tuple[dict[str, Any], str, str]) -> None:
    form, path, said = case
    with pytest.raises(RefusalError) as caught:
        design_of(merged(BASE, {"form": form}))
    told = {problem.path: f"{problem.what} {problem.remedy}" for problem in caught.value.problems}
    assert said in told[path], told


@pytest.mark.thorough
def test_a_terminal_lies_flush_at_the_side_that_was_asked_for() -> None:
    text = merged(BASE, {"form": {"outline": "polygon", "sides": 5},
                         "connector": {"kind": "terminal 3.5 mm", "at": "72 deg"}})  # fmt: skip
    board = design_of(text).board
    (connector,) = (part for part in board.parts if part.reference == "J1")
    edge = polygon(contour(board.outline.outer)).exterior
    body = connector.pattern.body
    wires = [connector.place(x, body.top_mm) for x in (body.left_mm, body.right_mm)]
    far = [connector.place(x, body.bottom_mm) for x in (body.left_mm, body.right_mm)]
    near = [Spot(x * NM_PER_MM, y * NM_PER_MM).distance(edge) / NM_PER_MM for x, y in wires]
    back = [Spot(x * NM_PER_MM, y * NM_PER_MM).distance(edge) / NM_PER_MM for x, y in far]
    flush = min(near, back)
    assert flush[0] == pytest.approx(flush[1], abs=2e-3)
    assert max(flush) < 0.6


def test_keys_of_the_edge_alone_stand_in_the_resolved_file() -> None:
    from boardgen.reading.resolved import resolved_lines  # noqa: PLC0415

    def told(**form: Any) -> str:
        return "\n".join(resolved_lines(replace(asked(form=form), name="x")))

    assert "form.sides = 6" in told(outline="polygon")
    assert "form.hole" not in told(outline="polygon")
    assert 'form.hole = "24 mm"' in told(**ROUND["ring"])
    assert "form.sides" not in told()
    assert "form.corner" not in told(outline="circle")


@settings(max_examples=30)
@given(
    st.lists(st.tuples(st.integers(-40, 40), st.integers(-40, 40)), min_size=1, max_size=8,
             unique=True),
    st.integers(3, 12),
    st.integers(0, 359),
)  # fmt: skip
def test_no_smaller_polygon_holds_the_places(
    places: list[tuple[int, int]], sides: int, at: int
) -> None:
    """The least of three unknowns, by scipy's linear programme."""
    rows = [[f"{x} mm", f"{y} mm", "0 deg"] for x, y in places]
    parameters = asked(
        form={"outline": "polygon", "sides": sides, "places": rows}, light={"count": len(places)},
        connector={"at": f"{at} deg"},
    )  # fmt: skip
    shape, *_ = drawn(parameters, 10.0)
    turns = [math.radians(at + 360.0 * side / sides) for side in range(sides)]
    far = [max(x * math.cos(t) + y * math.sin(t) for x, y in places) for t in turns]
    least = linprog([0, 0, 1], A_ub=[[-math.cos(t), -math.sin(t), -1] for t in turns],
                    b_ub=[-one for one in far], bounds=[(None, None)] * 3)  # fmt: skip
    inside = 2 * shapely.maximum_inscribed_circle(shape, tolerance=100).length / NM_PER_MM
    assert inside / 2 == pytest.approx(least.x[2] + 10.0, abs=2e-3)


def test_a_screw_in_the_opening_is_told_by_its_key() -> None:
    """Places of screws count as those of LEDs do."""
    screws = {"screw": "M3", "places": [["20 mm", "26 mm"]]}
    text = merged(BASE, {"form": ROUND["ring"], "mounting": screws})
    with pytest.raises(RefusalError) as caught:
        design_of(text)
    assert {problem.path for problem in caught.value.problems} == {"mounting.places"}
    assert all(problem.line for problem in caught.value.problems)


@pytest.mark.thorough
def test_what_a_refusal_of_an_opening_offers_does() -> None:
    text = merged(BASE, {"form": {"outline": "ring", "hole": "58 mm"}})
    with pytest.raises(RefusalError) as caught:
        design_of(text)
    ((offer,),) = (problem.offers for problem in caught.value.problems)
    assert offer.path == "form.hole"
    built = built_of(merged(text, {"form": {"hole": offer.value.strip('"')}}))
    assert built.proof

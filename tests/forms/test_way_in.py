"""Where the supply comes in: at an angle on a round edge, or in the middle of a ring."""

import math
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardgen.build import build_board
from boardgen.checks.looks_copper import looks_tracks
from boardgen.checks.looks_sites import current_faults
from boardgen.checks.parts import courtyard_edge
from boardgen.checks.table import check
from boardgen.designing import draw_board
from boardgen.doors import read
from boardgen.errors import RefusalError
from boardgen.forms.ring import edge
from boardgen.geometry.placing import point
from boardgen.layout.inlet import widest_feed_mm
from boardgen.model.artwork import Purpose
from boardgen.model.board import Part, PartKind, TextRole
from boardgen.model.design import Design
from boardgen.model.outline import extremes, walk
from boardgen.model.parameters import Parameters
from boardgen.model.shapes import Stroke
from boardgen.pages.oblique import oblique
from tests.conftest import every, merged, parameters_of
from tests.forms.test_lines import sound

RING = """\
[board]
title = "Way in"
date = "2026-11-29"
[supply]
from = "usb 5 V 500 mA"
[light]
led     = "white 2835"
count   = 12
current = "10 mA"
[form]
kind  = "ring"
pitch = "14 mm"
[connector]
kind = "pin header 2.54 mm"
[mounting]
at = "none"
"""
ROUND: dict[str, dict[str, Any]] = {
    "ring": {}, "polygon": {"kind": "polygon", "sides": 5}, "disc": {"kind": "disc"},
}  # fmt: skip


def of(form: dict[str, Any], **connector: str) -> str:
    return merged(RING, {"form": form, "connector": connector})


def connector(design: Design) -> Part:
    return next(part for part in design.board.parts if part.kind is PartKind.CONNECTOR)


def middle(design: Design) -> tuple[float, float]:
    """Of a ring's or polygon's line, or of the disc's LEDs."""
    spine = design.board.spines[0]
    if spine.closed:
        ways = [spine.place(spine.length_mm * n / 360) for n in range(360)]
    else:
        ways = [line.place(0.0) for line in design.board.spines]
    return tuple(math.fsum(at) / len(ways) for at in zip(*ways, strict=True))  # type: ignore[return-value]


@pytest.mark.parametrize("angle", every([17.3, 100.0, -50.0], lambda place: place == 2))
def test_spokes_of_a_lead_lie_along_its_part_and_across_it(angle: float) -> None:
    """As layout keeps room for them; upright ones left a pole of 0 V one (own case, milled)."""
    text = merged(of({"kind": "disc", "pitch": "13 mm"}, at=f"{angle} deg", side="bottom"), {
        "connector": {"poles": 4, "switch": "slide switch"}, "protection": {"reverse": "schottky"},
        "light": {"led": "green 1206", "count": 9}, "order": {"house": "milled"},
        "copper": {"sides": 1, "relief": "all"},
    })  # fmt: skip
    design = draw_board(parameters_of(text))
    (layer,) = design.artwork.coppers()
    turn, count = connector(design).pose.turn_deg, Counter[str]()
    for pole in ("3", "4"):
        at = point(connector(design).land_place(connector(design).pattern.land(pole)))
        for item in layer.items:
            if (
                isinstance(item.shape, Stroke)
                and item.purpose is Purpose.SPOKE
                and (item.shape.points[0] == at)
            ):
                (x1, y1), (x2, y2) = item.shape.points
                off = math.degrees(math.atan2(y2 - y1, x2 - x1)) - turn
                assert math.remainder(off, 90.0) == pytest.approx(0.0, abs=0.01)
                count[pole] += 1
    assert min(count.values()) >= design.limits.spokes
    assert not [found for found in check(design) if found.code == "relief.spokes"]


@pytest.mark.parametrize("name", every(("ring", "polygon"), lambda place: place == 0))
@pytest.mark.parametrize("angle", every([17.3, 100.0, 221.0, -30.0], lambda place: place == 0))
@pytest.mark.parametrize("kind", every(["pin header 2.54 mm", "terminal 3.5 mm"], lambda _: True))
def test_the_connector_lies_at_its_angle_and_faces_out(name: str, angle: float, kind: str) -> None:
    """By elementary geometry: seen from the middle, and wires come in from without."""
    design = draw_board(parameters_of(of(ROUND[name], at=f"{angle:g} deg", kind=kind)))
    part, (x, y) = connector(design), middle(design)
    seen = math.degrees(math.atan2(part.y_mm - y, part.x_mm - x))
    assert math.remainder(seen - angle, 360.0) == pytest.approx(0.0, abs=0.2)
    below, above = (part.place(0.0, way) for way in (-1.0, 1.0))
    assert math.dist(below, (x, y)) > math.dist(above, (x, y))


@pytest.mark.thorough
def test_quarter_turns_are_the_places_in_words() -> None:
    for word, angle in (("right", 0), ("middle", 90), ("left", 180), ("bottom", 270)):
        by_word, by_angle = (
            draw_board(parameters_of(of({}, at=at))).board for at in (word, f"{angle} deg")
        )
        assert by_word == by_angle


@pytest.mark.parametrize("name", every(("ring", "polygon"), lambda place: place == 0))
@pytest.mark.parametrize("side", every(["top", "bottom"], lambda place: place == 0))
def test_in_the_middle_the_pins_are_where_the_middle_is(name: str, side: str) -> None:
    design = draw_board(parameters_of(of(ROUND[name], at="centre", side=side)))
    part, (x, y) = connector(design), middle(design)
    lands = [part.land_place(land) for land in part.pattern.lands]
    assert math.fsum(at[0] for at in lands) / len(lands) == pytest.approx(x, abs=1e-3)
    assert math.fsum(at[1] for at in lands) / len(lands) == pytest.approx(y, abs=1e-3)
    assert not list(current_faults(design))


@pytest.mark.parametrize("sides", [
    pytest.param(1, marks=pytest.mark.slow), pytest.param(2, marks=pytest.mark.thorough),
])  # fmt: skip
@pytest.mark.parametrize(("name", "form", "way"), [
    *((name, {}, {"at": at, "kind": kind})
      for name in ROUND for at in ("33 deg", "250.5 deg")
      for kind in ("wire pads", "terminal 5.0 mm")),
    *((name, {"facing": facing}, {"at": "centre", "kind": kind})
      for name in ("ring", "polygon") for facing in ("along", "outward")
      for kind in ("pin header 2.54 mm",)),
    ("ring", {"circles": 2, "count": 24}, {"at": "centre"}),
    ("ring", {"hole": "20 mm"}, {"at": "75 deg", "kind": "pin header 2.54 mm"}),
])  # fmt: skip
def test_each_is_built_and_proven(
    name: str, form: dict[str, Any], way: dict[str, str], sides: int
) -> None:
    count = {"count": form.get("count", 12)}
    keys = {key: value for key, value in form.items() if key != "count"}
    side = "bottom" if sides == 1 else "top"
    text = merged(of({**ROUND[name], "pitch": "18 mm", **keys}, side=side, **way),
                  {"copper": {"sides": sides}, "light": count})  # fmt: skip
    sound(text)


@pytest.mark.parametrize(("form", "way", "why"), [
    ({"kind": "bar"}, {"at": "30 deg"}, "an angle is for a round edge"),
    ({"kind": "arc"}, {"at": "30 deg"}, "an angle is for a round edge"),
    ({"kind": "word", "text": "HI"}, {"at": "30 deg"}, "a rectangle has none"),
    ({"kind": "disc"}, {"at": "centre"}, "no free middle"),
    ({"hole": "12 mm"}, {"at": "centre"}, "the middle is an opening"),
    ({}, {"at": "centre", "kind": "terminal 3.5 mm"}, "along the board"),
    ({}, {"at": "centre", "kind": "wire pads"}, "along the board"),
    ({}, {"at": "400 deg"}, "outside -360 deg to 360 deg"),
    ({}, {"at": "30"}, "deg"),
])  # fmt: skip
def test_what_has_no_such_place_is_refused(
    form: dict[str, Any], way: dict[str, str], why: str
) -> None:
    with pytest.raises(RefusalError, match=why):
        parameters_of(of(form, **way))


@given(
    radius=st.floats(15.0, 80.0), share=st.floats(0.1, 0.6), at_deg=st.floats(0.0, 359.0),
    corner=st.floats(0.5, 3.0),
)  # fmt: skip
def test_an_edge_cut_straight_at_any_angle_begins_at_the_origin(
    radius: float, share: float, at_deg: float, corner: float
) -> None:
    """The box around its pieces, arcs included, is the one that it says; the flat lies square."""
    flat = share * radius
    outline, middle, door = edge(radius, flat, corner, at_deg)
    xs, ys = zip(*extremes(outline.outer), strict=True)
    assert min(xs) == pytest.approx(0.0, abs=1e-6)
    assert min(ys) == pytest.approx(0.0, abs=1e-6)
    assert (max(xs), max(ys)) == pytest.approx((outline.length_mm, outline.width_mm), abs=1e-6)
    (straight,) = [(start, bow.end) for start, bow in walk(outline.outer) if bow.centre is None]
    assert math.dist(*straight) == pytest.approx(flat)
    assert math.dist(straight[0], door) == pytest.approx(flat / 2)
    assert math.dist(straight[0], middle) == pytest.approx(math.dist(straight[1], middle))


@pytest.mark.thorough
def test_quarter_turns_are_the_places_in_words_where_letters_are_copper_too() -> None:
    etched: dict[str, dict[str, Any]] = {"order": {"house": "home-etched"}, "copper": {"sides": 1}}
    form = {"pitch": "22 mm"}
    for word, angle in (("right", 0), ("left", 180)):
        by_word, by_angle = (
            draw_board(parameters_of(merged(of(form, at=at, kind="terminal 5.0 mm", side="bottom"),
                                            etched))).board
            for at in (word, f"{angle} deg")
        )  # fmt: skip
        assert by_word == by_angle


def test_a_switch_in_the_middle_is_no_fault_of_the_layout() -> None:
    """Tracks within a ring follow no line of LEDs."""
    text = of({"pitch": "16 mm"}, at="centre", switch="slide switch")
    assert not list(looks_tracks(draw_board(parameters_of(text))))


def test_a_feed_from_the_middle_may_be_as_wide_as_its_pins_allow() -> None:
    """No edge is near: only the gap to the other pin narrows it."""
    central, edged = (
        widest_feed_mm(parameters_of(of({}, at=at)), 0.3) for at in ("centre", "left")
    )
    assert central >= edged
    pattern = parameters_of(of({}, at="centre")).parts.connector.pattern
    apart = abs(pattern.lands[1].x_mm - pattern.lands[0].x_mm)
    gap = parameters_of(RING).parts.limits.aims.pour_gap_mm
    assert central == pytest.approx(2 * (apart - pattern.lands[1].width_mm / 2 - gap))


@pytest.mark.thorough
def test_the_slanting_view_shows_a_connector_in_the_middle_of_a_large_ring() -> None:
    text = merged(of({"pitch": "24 mm"}, at="centre"), {"light": {"count": 36}})
    (file,) = oblique(draw_board(parameters_of(text)))
    picture = file.content.decode()
    view = re.search(r'viewBox="([^"]*)"', picture)
    assert view
    left, top, wide, high = map(float, view[1].split())
    (wire,) = re.findall(r'<path d="M([^"]*)"[^>]*stroke="#d55e00"', picture)
    x1, y1, x2, y2 = (float(number) for number in re.findall(r"-?[\d.]+", wire))
    assert left < min(x1, x2)
    assert max(x1, x2) < left + wide
    assert top < min(y1, y2)
    assert max(y1, y2) < top + high


def hexagon(digits: int) -> str:
    """Draw one of 40 mm, its sides facing 30, 90, 150 degrees and so on, in y down."""
    corners = [(50 + 40 * math.cos(math.tau * n / 6), 50 - 40 * math.sin(math.tau * n / 6))
               for n in range(6)]  # fmt: skip
    line = " L ".join(f"{x:.{digits}f} {y:.{digits}f}" for x, y in corners)
    return (f'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm"'
            f' viewBox="0 0 100 100"><path d="M {line} Z"/></svg>')  # fmt: skip


def drawn(folder: Path, at: str, kind: str, digits: int) -> Parameters:
    places = [["45 mm", "45 mm", "0 deg"], ["60 mm", "50 mm", "0 deg"], ["45 mm", "60 mm", "0 deg"]]
    text = merged(RING, {"form": {"kind": "places", "pitch": None, "outline": "e.svg",
                                  "places": places},
                         "light": {"count": 3}, "connector": {"at": at, "kind": kind}})  # fmt: skip
    (folder / "e.svg").write_text(hexagon(digits), encoding="utf-8")
    (folder / "lamp.toml").write_text(text, encoding="utf-8")
    (parameters,) = read(folder / "lamp.toml")
    return parameters


@pytest.mark.parametrize("at", every(["30 deg", "150 deg", "270 deg"], lambda place: place == 0))
@pytest.mark.parametrize("digits", every([2, 6], lambda place: place == 0))
@pytest.mark.thorough
def test_a_drawn_side_takes_a_connector_however_finely_it_is_drawn(
    tmp_path: Path, at: str, digits: int
) -> None:
    built = build_board(drawn(tmp_path, at, "terminal 3.5 mm", digits))
    assert built.proof
    assert built.proof.holds


def test_where_no_side_faces_the_nearest_that_does_is_offered(tmp_path: Path) -> None:
    with pytest.raises(RefusalError, match="no straight side of the drawing faces 20 deg") as told:
        draw_board(drawn(tmp_path, "20 deg", "terminal 3.5 mm", 6))
    (offer,) = told.value.problems[0].offers
    assert offer.value == '"30 deg"'
    assert draw_board(drawn(tmp_path, "20 deg", "pin header 2.54 mm", 6))


def test_a_turned_part_that_hangs_over_by_a_little_is_told() -> None:
    """Rounding is two nanometres; two hundredths of a millimetre are none."""
    design = draw_board(
        parameters_of(of({"pitch": "14 mm"}, at="17.3 deg", kind="terminal 3.5 mm"))
    )
    assert not list(courtyard_edge(design))
    out = math.radians(17.3)

    def moved(part: Part) -> Part:
        x, y = part.x_mm + 0.02 * math.cos(out), part.y_mm + 0.02 * math.sin(out)
        turned = replace(part.pose, x_mm=x, y_mm=y)
        return replace(part, pose=turned) if part.kind is PartKind.CONNECTOR else part

    board = replace(design.board, parts=tuple(map(moved, design.board.parts)))
    assert list(courtyard_edge(replace(design, board=board)))


@pytest.mark.thorough
def test_the_pour_does_not_pass_through_the_spokes_of_one_land() -> None:
    """A random file: on one side the ring's ballasts leave a passage at its cathodes alone."""
    text = merged(of({"kind": "polygon", "sides": 12, "pitch": "6 mm", "hole": "13 mm",
                      "fillet": "18.5 mm", "diameter": "99 mm"}, at="middle", side="bottom"), {
        "supply": {"from": "adapter 24 V"}, "light": {"led": "yellow-green 1206", "count": 20,
                                                       "current": "13.7 mA"},
        "resistor": {"per_branch": 3}, "copper": {"sides": 1}, "order": {"house": "milled"},
    })  # fmt: skip
    with pytest.raises(RefusalError, match="no room at this pitch"):
        draw_board(parameters_of(text))


def test_one_crowded_name_does_not_take_all_names_away() -> None:
    """D5 stands before the connector: its name is above it, or below; the others have theirs."""
    places = [[f"{x} mm", f"{y} mm", "0 deg"] for x, y in
              ((0, 0), (20, 0), (0, 20), (-20, 0), (0, -20))]  # fmt: skip
    text = merged(of({"kind": "places", "pitch": None, "outline": "circle", "places": places},
                     at="-100 deg", kind="terminal 3.5 mm"), {"light": {"count": 5}})  # fmt: skip
    texts = draw_board(parameters_of(text)).board.texts
    named = {text.owner for text in texts if text.role is TextRole.REFERENCE}
    assert {f"D{n}" for n in range(1, 6)} <= named
    assert {text.owner for text in texts if text.text == "K"} == {f"D{n}" for n in range(1, 6)}


def test_a_ring_fed_from_its_middle_grows_for_its_leds_names() -> None:
    texts = draw_board(parameters_of(of({}, at="centre"))).board.texts
    named = {text.owner for text in texts if text.role is TextRole.REFERENCE}
    assert {f"D{n}" for n in range(1, 13)} <= named

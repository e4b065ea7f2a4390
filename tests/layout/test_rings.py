"""A ring of LEDs and a grid: where things stand by the geometry of circles, and that it is proven.

The circle's size is own arithmetic: so many pitches make its circumference.
"""

import math
import re
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from boardgen.checks.table import check
from boardgen.designing import draw_board
from boardgen.electrical.strip import Strip
from boardgen.errors import RefusalError
from boardgen.forms.ring import circles as circles_of
from boardgen.model.board import Part, TextRole
from boardgen.model.design import Design
from boardgen.model.findings import Severity
from boardgen.model.outline import Outline, circle, rectangle, walk
from boardgen.model.part_kinds import PartKind
from tests.checks.planting import redrawn
from tests.conftest import RING, SHELF, built_of, design_of, every, merged, parameters_of
from tests.forms.test_lines import sound

COUNT, PITCH = 12, 16.0
RADIUS = COUNT * PITCH / math.tau


@pytest.fixture(scope="module")
def ring() -> Design:
    return design_of(RING)


def leds(design: Design) -> list[Part]:
    return [part for part in design.board.parts if part.kind is PartKind.LED]


def seen(design: Design, part: Part) -> tuple[float, float]:
    """Tell radius and angle of a part from the board's middle."""
    middle = design.board.outline.length_mm / 2
    dx, dy = part.x_mm - middle, part.y_mm - middle
    return math.hypot(dx, dy), math.degrees(math.atan2(dy, dx)) % 360.0


# -- the ring --------------------------------------------------------------------------------------


def test_leds_stand_at_equal_angles_on_the_circle_that_their_pitch_makes(ring: Design) -> None:
    """Clockwise from the connector at the left (180 degrees), which lies between last and first."""
    for place, led in enumerate(leds(ring)):
        radius, angle = seen(ring, led)
        assert radius == pytest.approx(RADIUS, abs=1e-5)
        assert angle == pytest.approx((180.0 - 15.0 - 30.0 * place) % 360.0, abs=1e-4)


def test_each_led_is_turned_with_the_circle_its_cathode_ahead(ring: Design) -> None:
    """Clockwise, the way at an angle of t leads to t - 90; the cathode is pin 1, left at 0."""
    for led in leds(ring):
        _, angle = seen(ring, led)
        ahead = math.radians(angle - 90.0)
        (ax, ay), (kx, ky) = (led.land_place(led.pattern.by_function(f)) for f in "AK")
        length = math.dist((ax, ay), (kx, ky))
        assert ((kx - ax) / length, (ky - ay) / length) == pytest.approx(
            (math.cos(ahead), math.sin(ahead)), abs=1e-5
        )


def test_it_says_which_way_round_the_current_flows(ring: Design) -> None:
    (words,) = [text.text for text in ring.board.texts if text.text.startswith("current")]
    assert words == "current clockwise"


@pytest.mark.thorough
@pytest.mark.parametrize("at", ["left", "right", "middle"])
@pytest.mark.parametrize("side", ["top", "bottom"])
def test_it_lights_and_is_proven_wherever_the_supply_comes_in(at: str, side: str) -> None:
    """A connector below turns the current round: + lies on the other side of it."""
    built = built_of(merged(RING, {"connector": {"at": at, "side": side}}))
    assert built.proof
    assert built.proof.holds
    assert not [f for f in check(built.design) if f.severity is not Severity.INFORMATION]
    (words,) = [t.text for t in built.design.board.texts if t.text.startswith("current")]
    assert words == f"current {'clockwise' if side == 'top' else 'counter-clockwise'}"


TERMINALS = [
    ("terminal 3.5 mm", "left"), ("terminal 3.5 mm", "right"), ("terminal 5.08 mm", "middle"),
    ("terminal 2.54 mm", "left"),
]  # fmt: skip


@pytest.mark.parametrize("terminal", every(TERMINALS, lambda at: at == 0))
@pytest.mark.thorough
def test_a_terminal_stands_at_a_flat_cut_for_it(terminal: tuple[str, str]) -> None:
    """Wires come in along the board: its face is flush with a straight edge as long as it is."""
    kind, at = terminal
    built = built_of(merged(RING, {"connector": {"kind": kind, "at": at}}))
    assert built.proof
    assert built.proof.holds
    assert not [f for f in check(built.design) if f.severity is not Severity.INFORMATION]
    board = built.design.board
    (flat,) = [(start, bow.end) for start, bow in walk(board.outline.outer) if bow.centre is None]
    connector = board.part("J1")
    body = connector.pattern.body
    face = [connector.place(x, body.bottom_mm) for x in (body.left_mm, body.right_mm)]
    for corner in face:
        assert board.outline.inwards_mm(corner) == pytest.approx(0.0, abs=1e-6)
    middle = ((flat[0][0] + flat[1][0]) / 2, (flat[0][1] + flat[1][1]) / 2)
    assert math.dist(*flat) >= body.right_mm - body.left_mm
    assert connector.place(0.0, body.bottom_mm) == pytest.approx(middle, abs=1e-6)


@pytest.mark.thorough
def test_the_edge_of_a_ring_has_no_kink_where_its_flat_begins() -> None:
    outline = design_of(merged(RING, {"connector": {"kind": "terminal 3.5 mm"}})).board.outline
    ways: list[tuple[float, float]] = []
    for start, bow in walk(outline.outer):
        for x, y in (start, bow.end):
            if bow.centre:
                dx, dy = bow.centre[1] - y, x - bow.centre[0]
            else:
                dx, dy = bow.end[0] - start[0], bow.end[1] - start[1]
            length = math.hypot(dx, dy)
            ways.append((dx / length, dy / length))
    for before, after in zip(ways[1::2], [*ways[2::2], ways[0]], strict=True):
        assert before == pytest.approx(after, abs=1e-6)


@pytest.mark.parametrize("kind", every(["terminal 3.5 mm", "wire pads"], lambda at: at == 0))
@pytest.mark.thorough
def test_the_tester_is_told_a_round_edge(kind: str) -> None:
    """The chain of points in the netlist encloses the board's area, by the shoelace formula."""
    built = built_of(merged(RING, {"connector": {"kind": kind}}))
    (netlist,) = [file for file in built.files if file.path.endswith(".ipc")]
    chains: list[list[tuple[float, float]]] = []
    for line in netlist.content.decode().splitlines():
        if line.startswith("389BOARD_EDGE"):
            chains.append([])
        if line.startswith(("389BOARD_EDGE", "089")):
            points = re.findall(r"X([+-]\d+)Y([+-]\d+)", line)
            chains[-1] += [(int(x) / 1000, int(y) / 1000) for x, y in points]
    areas = [
        sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise(chain)) / 2 for chain in chains
    ]
    assert areas[1] < 0 < areas[0]
    assert sum(areas) == pytest.approx(built.design.board.outline.area_mm2, rel=0.01)


KINDS: dict[str, dict[str, Any]] = {
    "three": {"light": {"count": 3}, "form": {"pitch": "14 mm", "hole": None}},
    "24 small ones": {
        "light": {"count": 24, "led": "red 0603"},
        "form": {"pitch": "9 mm", "hole": "30 mm"},
    },
    "one side": {"copper": {"sides": 1}, "connector": {"side": "bottom"}},
    "a switch": {"connector": {"kind": "pin header 2.54 mm", "switch": "slide switch"}},
    "guards": {"protection": {"fuse": "500 mA resettable", "reverse": "schottky"}},
    "etched at home": {
        "copper": {"sides": 1},
        "connector": {"side": "bottom"},
        "form": {"hole": None},
        "order": {"house": "home-etched"},
    },
    "not printed": {"order": {"legend": "none"}, "form": {"hole": "30 mm"}},
    "test points": {"copper": {"test_points": True}},
    "test points, each LED by itself": {
        "copper": {"test_points": True, "sides": 1},
        "connector": {"side": "bottom"},
        "light": {"in_series": 1},
        "order": {"house": "home-etched"},
        "form": {"hole": None},
    },
    "two resistors": {"resistor": {"per_branch": 2, "size": "0805"}},
    "a screw": {"mounting": {"places": [["40 mm", "5 mm"]]}, "form": {"diameter": "90 mm"}},
}


@pytest.mark.parametrize("name", every(KINDS, lambda at: at == 0))
def test_rings_of_many_kinds_are_proven_without_an_error(name: str) -> None:
    built = built_of(merged(RING, KINDS[name]))
    assert built.proof
    assert built.proof.holds
    assert not [f for f in check(built.design) if f.severity is Severity.ERROR]


ODD: dict[str, dict[str, Any]] = {
    "a rail that met the holes for wires": {
        "light": {"led": "red 0805", "count": 3, "current": "5 mA"},
        "form": {"pitch": "40 mm", "hole": None},
    },
    "a holder whose corners met the round edge": {
        "supply": {"from": "lithium coin 20 mm"},
        "connector": {"kind": "coin cell holder 20 mm"},
        "light": {"led": "red 0603", "count": 8, "current": "0.3 mA"},
        "form": {"pitch": "12 mm", "hole": None},
    },
    "a gate whose spokes met the rail": {
        "supply": {"from": "usb 5 V"},
        "protection": {"reverse": "p-channel"},
        "light": {"led": "red 1206", "count": 9, "current": "8 mA"},
        "form": {"pitch": "13 mm", "hole": None},
    },
    "a sliver of pour between small LEDs and the rail": {
        "light": {"led": "white 0402", "count": 24, "current": "5 mA"},
        "form": {"pitch": "16 mm", "hole": None},
    },
}


@pytest.mark.parametrize("name", every(ODD, lambda at: at == 0))
def test_odd_rings_are_drawn_as_well_as_plain_ones(name: str) -> None:
    design = draw_board(parameters_of(merged(RING, ODD[name])))
    drawn = ("hole.", "legend.", "profile.", "relief.", "looks.", "gap.", "courtyard.")
    assert not [found for found in check(design) if found.code.startswith(drawn)
                and found.severity is not Severity.INFORMATION]  # fmt: skip


@pytest.mark.thorough
def test_a_size_less_is_refused_and_the_one_that_is_chosen_is_offered(ring: Design) -> None:
    chosen = ring.board.outline.length_mm
    with pytest.raises(RefusalError) as caught:
        draw_board(parameters_of(merged(RING, {"form": {"diameter": f"{chosen - 1:g} mm"}})))
    (problem,) = caught.value.problems
    assert [str(offer) for offer in problem.offers] == [f'form.diameter = "{chosen:g} mm"']
    asked = design_of(merged(RING, {"form": {"diameter": f"{chosen:g} mm"}}))
    assert asked.board.outline == ring.board.outline


@pytest.mark.parametrize(
    ("form", "key"),
    [
        pytest.param({"pitch": "4 mm", "hole": None}, "form.pitch", marks=pytest.mark.thorough),
        ({"hole": "58 mm"}, "form.hole"),
        pytest.param(
            {"hole": "60 mm", "diameter": "60 mm"}, "form.hole", marks=pytest.mark.thorough
        ),
    ],
)
@pytest.mark.thorough
def test_what_is_offered_fits(form: dict[str, Any], key: str) -> None:
    with pytest.raises(RefusalError) as caught:
        draw_board(parameters_of(merged(RING, {"form": form})))
    (problem,) = caught.value.problems
    (offer,) = problem.offers
    assert offer.path == key
    values = {change.path[5:]: str(change.value).strip('"') for change in offer.all}
    assert draw_board(parameters_of(merged(RING, {"form": {**form, **values}})))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"form": {"rows": 2}}, "belongs to bar and grid"),
        ({"form": {"corner": "2 mm"}}, "belongs to bar, grid, places and word"),
        ({"mounting": {"at": "ends"}}, "neither ends nor corners"),
        ({"light": {"count": 2}}, "make no ring"),
    ],
)
def test_what_a_ring_cannot_have_is_refused_in_words(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(RefusalError, match=words):
        draw_board(parameters_of(merged(RING, changes)))


def test_a_bar_has_no_opening() -> None:
    with pytest.raises(RefusalError, match='does nothing beside outline = "rectangle"'):
        parameters_of(merged(SHELF, {"form": {"hole": "20 mm"}}))


def moved(design: Design, name: str, **change: float) -> Design:
    parts = tuple(
        replace(part, pose=replace(part.pose, **{key: getattr(part.pose, key) + by
                                                 for key, by in change.items()}))
        if part.reference == name else part
        for part in design.board.parts
    )  # fmt: skip
    return redrawn(design, parts=parts)


@pytest.mark.parametrize(
    ("name", "change", "code"),
    [
        ("D4", {"x_mm": 0.1}, "looks.grid"),
        ("D3", {"turn_deg": 0.1}, "looks.facing"),
        pytest.param("D3", {"y_mm": 0.1}, "looks.line", marks=pytest.mark.thorough),
        pytest.param("R2", {"x_mm": 0.1}, "looks.line", marks=pytest.mark.thorough),
        pytest.param("R2", {"turn_deg": 0.1}, "looks.line", marks=pytest.mark.thorough),
    ],
)
def test_a_part_off_its_place_on_the_ring_is_told(
    ring: Design, name: str, change: dict[str, float], code: str
) -> None:
    told = [f for f in check(moved(ring, name, **change)) if f.code == code]
    assert any(name in f.subjects for f in told)


def test_words_that_tell_the_wrong_way_round_are_told(ring: Design) -> None:
    texts = tuple(
        replace(text, text="current counter-clockwise") if text.text.startswith("current") else text
        for text in ring.board.texts
    )
    told = [f for f in check(redrawn(ring, texts=texts)) if f.code == "looks.polarity"]
    assert len(told) == 1


def test_a_track_askew_and_a_branch_unlike_the_others_are_told(ring: Design) -> None:
    first, *rest = [track for track in ring.board.tracks if track.net == "B02.2"]
    (x, y), end = first.points
    bent = replace(first, points=((x, y), (x + 2.0, y + 2.0), end))
    tracks = tuple(bent if track is first else track for track in ring.board.tracks)
    assert not rest
    said = [f.message for f in check(redrawn(ring, tracks=tracks)) if f.code == "looks.tracks"]
    assert any("to its line" in message for message in said)
    assert any("D4's branch are drawn otherwise" in message for message in said)


def test_a_name_away_from_its_part_is_told(ring: Design) -> None:
    texts = tuple(
        replace(text, x_mm=text.x_mm + 1.5)
        if (text.role, text.text) == (TextRole.REFERENCE, "D3") else text
        for text in ring.board.texts
    )  # fmt: skip
    told = [f for f in check(redrawn(ring, texts=texts)) if f.code == "looks.references"]
    assert any("D3" in f.subjects for f in told)


def test_the_rail_lies_beside_the_leds_at_one_distance(ring: Design) -> None:
    rail = max((t for t in ring.board.tracks if t.net == "V+"), key=lambda t: len(t.points))
    middle = ring.board.outline.length_mm / 2
    away = [math.dist(point, (middle, middle)) - RADIUS for point in rail.points]
    assert max(away) - min(away) < 1e-6
    assert min(away) > 0


@pytest.mark.parametrize("hole", every(["42 mm", None], lambda at: at == 0))
def test_a_ring_gives_off_heat_over_its_own_area(hole: str | None) -> None:
    """Unrolled it is as long as its circle, and so wide that the areas agree (circles' areas)."""
    board = design_of(merged(RING, {"form": {"hole": hole}})).board
    outer, inner = board.outline.length_mm / 2, float((hole or "0 mm")[:-3]) / 2
    strip = Strip(board)
    assert strip.length_mm == pytest.approx(COUNT * PITCH)
    area = math.pi * (outer**2 - inner**2)
    assert strip.length_mm * strip.mean_width_mm == pytest.approx(area)
    assert strip.width_mm == pytest.approx(outer - inner)


# -- the grid --------------------------------------------------------------------------------------

GRID = merged(
    SHELF,
    {
        "supply": {"from": "adapter 12 V"},
        "light": {"count": 24, "use": None, "current": "9 mA"},
        "form": {"kind": "grid", "pitch": "16 mm", "rows": 4},
    },
)


@pytest.mark.thorough
def test_rows_of_a_grid_are_as_far_apart_as_its_columns() -> None:
    built = built_of(GRID)
    stand = [(round(led.x_mm, 6), round(led.y_mm, 6)) for led in leds(built.design)]
    xs, ys = (sorted(set(places)) for places in zip(*stand, strict=True))
    for places, count in ((xs, 6), (ys, 4)):
        assert len(places) == count
        steps = {round(b - a, 6) for a, b in pairwise(places)}
        assert steps == {16.0}
    assert built.proof
    assert built.proof.holds
    assert not [f for f in check(built.design) if f.severity is not Severity.INFORMATION]


def test_a_grid_of_two_pitches_keeps_both() -> None:
    design = design_of(merged(GRID, {"form": {"row_pitch": "22 mm"}}))
    ys = sorted({round(part.y_mm, 6) for part in leds(design)})
    assert ys[1] - ys[0] == pytest.approx(22.0)


# -- edges -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("at", [(30, 10), (30, 27.5), (30, 24), (2, 20), (70, 35), (79.5, 1)])
def test_a_point_knows_how_far_in_it_lies(at: tuple[float, float]) -> None:
    """80 by 40 mm with an opening of 10 mm about (30, 20): the nearest of five distances."""
    board = replace(rectangle(80.0, 40.0, 0.0), inner=(circle((30.0, 20.0), 5.0, clockwise=True),))
    nearest = min(at[0], at[1], 80 - at[0], 40 - at[1], math.dist(at, (30, 20)) - 5.0)
    assert board.inwards_mm(at) == pytest.approx(nearest)


def test_a_round_board_is_no_rectangle() -> None:
    disc = Outline(length_mm=20.0, width_mm=20.0, outer=circle((10.0, 10.0), 10.0))
    assert not disc.boxed
    assert disc.inwards_mm((10.0, 12.0)) == pytest.approx(8.0)
    assert disc.inwards_mm((10.0, 21.0)) == pytest.approx(-1.0)
    assert rectangle(20.0, 10.0, 2.0).boxed


@pytest.mark.parametrize(
    ("count", "circles", "apart"), [(18, 2, 18.0), (40, 3, 25.0), (7, 1, 18.0)]
)
def test_circles_share_leds_out_by_their_lengths(count: int, circles: int, apart: float) -> None:
    """All circles together are as long as the LEDs at their pitch ask for (geometry)."""
    form = {"circles": circles, "circle_pitch": f"{apart:g} mm", "pitch": "18 mm", "hole": None}
    text = merged(RING, {"form": form, "light": {"count": count}})
    shares = circles_of(count, parameters_of(text).form)
    assert sum(own for own, _ in shares) == count
    assert sum(math.tau * radius for _, radius in shares) == pytest.approx(18.0 * count)
    radii = [radius for _, radius in shares]
    assert [a - b for a, b in pairwise(radii)] == [pytest.approx(apart)] * (circles - 1)
    for own, radius in shares:
        assert abs(math.tau * radius / own - 18.0) < 18.0 / own


@pytest.mark.parametrize("circles", [
    pytest.param(2, marks=pytest.mark.thorough), pytest.param(3, marks=pytest.mark.slow),
])  # fmt: skip
@pytest.mark.parametrize("sides", [1, 2])
def test_several_circles_are_built_and_proven(circles: int, sides: int) -> None:
    form = {"circles": circles, "circle_pitch": "22 mm", "pitch": "20 mm", "hole": None}
    side = "bottom" if sides == 1 else "top"
    text = merged(
        RING, {"form": form, "light": {"count": 12 * circles}, "copper": {"sides": sides}}
    )
    sound(merged(text, {"connector": {"side": side}}))


def test_circles_that_meet_in_the_middle_are_refused() -> None:
    form = {"circles": 4, "pitch": "18 mm", "hole": None}
    with pytest.raises(RefusalError, match="the innermost of 4 circles"):
        design_of(merged(RING, {"form": form, "light": {"count": 8}}))


THREE_POLES = """\
[board]
title = "Form"
date = "2026-11-29"
[supply]
low = "8 V"
nominal = "9 V"
high = "9.6 V"
[light]
led = "orange 0805"
count = 12
current = "17 mA"
[resistor]
per_branch = 3
[form]
kind = "ring"
pitch = "20 mm"
hole = "31.8 mm"
[connector]
kind = "pin header 2.54 mm"
poles = 3
at = "-294 deg"
side = "bottom"
[copper]
sides = 1
relief = "holes"
[order]
house = "milled"
"""


@pytest.mark.thorough
def test_the_edge_leaves_room_for_the_spokes_of_every_lead() -> None:
    """Between the edge and the rail a pole of three had one spoke once."""
    codes = {finding.code for finding in check(draw_board(parameters_of(THREE_POLES)))}
    assert "relief.spokes" not in codes

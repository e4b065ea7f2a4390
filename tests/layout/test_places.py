"""LEDs at given places: each stands where the list has it, and tracks find their ways.

Places and turns are own choices; where parts lie follows from them by turning and moving, own
arithmetic.
"""

import math
import random
from collections import Counter
from itertools import combinations, pairwise
from typing import Any

import pytest

import boardgen
from boardgen.build import Built, build_board
from boardgen.checks.table import check
from boardgen.designing import draw_board
from boardgen.errors import RefusalError
from boardgen.geometry.lettering import size_mm
from boardgen.layout.letter_room import around, meet
from boardgen.model.board import Board, Part
from boardgen.model.findings import Severity
from boardgen.model.parameters import Parameters
from boardgen.model.part_kinds import PartKind
from tests.conftest import ROOT, SHELF, built_of, every, merged

VILLAGE = ROOT / "examples/village-lights/village-lights.toml"
PLACES = (
    (0.0, 0.0, 0.0),
    (30.0, 12.0, 90.0),
    (24.0, -18.0, 17.3),
    (52.0, 4.0, 180.0),
)


def described(*changes: dict[str, Any], places: Any = PLACES) -> Parameters:
    tables: dict[str, Any] = {
        "supply": {"from": "usb 5 V"},
        "light": {"led": "white 2835", "count": len(places), "current": "5 mA"},
        "form": {"kind": "places", "places": [written(place) for place in places]},
    }
    for change in changes:
        for section, keys in change.items():
            tables[section] = {**tables.get(section, {}), **keys}
    return boardgen.board("Stars", name="stars", **tables)


def written(place: tuple[float, float, float]) -> list[str]:
    x, y, turn = place
    return [f"{x} mm", f"{y} mm", f"{turn} deg"]


def refused(*changes: dict[str, Any], places: Any = PLACES) -> str:
    with pytest.raises(RefusalError) as caught:
        draw_board(described(*changes, places=places))
    return str(caught.value)


def leds(board: Board) -> list[Part]:
    return [part for part in board.parts if part.kind is PartKind.LED]


def is_sound(built: Built) -> None:
    assert built.proof
    assert built.proof.holds
    found = check(built.design)
    assert not [one for one in found if one.severity is Severity.ERROR]
    assert not [one.code for one in found if one.code in ("pour.island", "looks.tracks")]


@pytest.fixture(scope="module")
def village() -> Built:
    (parameters,) = boardgen.read(VILLAGE)
    return build_board(parameters)


# -- where things lie ------------------------------------------------------------------------------


def test_leds_stand_where_the_list_has_them() -> None:
    """From the first to each other one as in the list, and turned as in it: cathode ahead."""
    first, *others = leds(draw_board(described()).board)
    for led, (x, y, turn) in zip(others, PLACES[1:], strict=True):
        assert (led.x_mm - first.x_mm, led.y_mm - first.y_mm) == pytest.approx((x, y), abs=1e-9)
        (ax, ay), (kx, ky) = (led.land_place(led.pattern.by_function(f)) for f in "AK")
        ahead = math.degrees(math.atan2(ky - ay, kx - ax))
        assert math.remainder(ahead - turn, 360.0) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.thorough
def test_a_list_from_another_point_is_the_same_board() -> None:
    moved = tuple((x - 113.0, y + 71.5, turn) for x, y, turn in PLACES)
    first, second = (draw_board(described(places=places)).board for places in (PLACES, moved))
    for one, other in zip(first.parts, second.parts, strict=True):
        assert (one.x_mm, one.y_mm) == pytest.approx((other.x_mm, other.y_mm), abs=1e-9)
    assert first.outline == second.outline


@pytest.mark.thorough
def test_the_margin_is_the_same_on_three_sides_and_larger_at_the_connector() -> None:
    board = draw_board(described({"form": {"margin": "14 mm"}})).board
    outline, xs, ys = (
        board.outline,
        *zip(*((led.x_mm, led.y_mm) for led in leds(board)), strict=True),
    )
    assert outline.length_mm - max(xs) == pytest.approx(14.0)
    assert min(ys) == pytest.approx(14.0)
    assert outline.width_mm - max(ys) == pytest.approx(14.0)
    assert min(xs) >= 14.0


@pytest.mark.thorough
def test_screws_lie_in_the_list_s_own_coordinates(village: Built) -> None:
    board = village.design.board
    first = leds(board)[0]
    found = [(hole.x_mm - first.x_mm, hole.y_mm - first.y_mm) for hole in board.holes]
    assert found == [pytest.approx((10.0, 20.0)), pytest.approx((74.0, -22.0))]


# -- tracks ----------------------------------------------------------------------------------------


def test_the_example_is_proven_and_has_nothing_to_warn_of(village: Built) -> None:
    is_sound(village)
    assert not [one for one in check(village.design) if one.severity is Severity.WARNING]


def test_every_last_cathode_has_a_via_near_it_on_a_track_of_its_own(village: Built) -> None:
    """Each begins where a spoke ends, within 2 mm of its cathode's middle: one to each LED."""
    board = village.design.board
    vias = {(via.x_mm, via.y_mm) for via in board.vias}
    stubs = [
        track.points for track in board.tracks if track.net == "0V" and track.points[1] in vias
    ]
    assert len(stubs) == len(vias) == len(leds(board))
    for led in leds(board):
        cathode = led.land_place(led.pattern.by_function("K"))
        assert len([1 for start, _ in stubs if math.dist(start, cathode) < 2.0]) == 1


@pytest.mark.parametrize("sides", every([1, 2], lambda at: at == 0))
def test_strings_go_from_place_to_place(sides: int) -> None:
    """Two branches of two: the second LED of each stands on another line than the first."""
    side = {"connector": {"side": "bottom"}, "copper": {"sides": sides}}
    pairs = {"supply": {"from": "adapter 12 V"}, "light": {"in_series": 2}}
    built = build_board(described(pairs, side))
    assert {branch.kind.leds for branch in built.design.circuit.branches} == {2}
    is_sound(built)
    assert len(built.design.board.vias) == (0 if sides == 1 else 2)


def test_tracks_and_parts_close_no_ring(village: Built) -> None:
    """A ring would cut the pour; a tree has one piece less than points that it joins. V+ alone."""
    pieces = {
        frozenset(ends)
        for track in village.design.board.tracks
        if track.net == "V+"
        for ends in pairwise(
            tuple(round(at, 6) for at in point) for point in track.points
        )
    }  # fmt: skip
    points = {point for piece in pieces for point in piece}
    assert len(pieces) == len(points) - 1


@pytest.mark.thorough
def test_the_test_point_of_0_v_has_a_via_of_its_own_too() -> None:
    """Found by a reader: V+ and a string closed a pocket around it, and the board fell in two."""
    board = draw_board(described({"copper": {"test_points": True}})).board
    probe = board.part("TP2")
    near = [via for via in board.vias if math.dist((via.x_mm, via.y_mm), probe.place(0, 0)) < 4.0]
    assert near
    assert len(board.vias) == len(PLACES) + 1


@pytest.mark.parametrize("corner", every(["3 mm", "1 mm"], lambda at: at == 0))
def test_a_single_led_and_round_corners_make_a_board(corner: str) -> None:
    is_sound(build_board(described({"form": {"corner": corner}}, places=PLACES[:1])))


@pytest.mark.thorough
def test_no_track_cuts_a_pour_where_a_slightly_larger_board_spares_it() -> None:
    """Found by a reader: a track ran along the edge, and a third of the side was bare."""
    three = ((27.0, 19.0, 270.0), (5.0, 48.0, 0.0), (39.0, 36.0, 0.0))
    string = {"supply": {"from": "adapter 12 V"}, "light": {"in_series": 3}}
    built = build_board(described(string, {"connector": {"at": "middle"}}, places=three))
    is_sound(built)
    assert not [one for one in check(built.design) if one.code in ("looks.pour", "looks.hand")]


@pytest.mark.thorough
def test_a_pour_stays_whole_where_tracks_meet_before_a_part() -> None:
    """Two long strings in each other's way: a random board whose pour once fell in two."""
    places = [["42 mm", "0 mm", "-30 deg"], ["0 mm", "14 mm", "-70 deg"],
              ["14 mm", "0 mm", "-90 deg"], ["0 mm", "0 mm", "-60 deg"]]  # fmt: skip
    text = merged(SHELF, {
        "supply": {"from": None, "low": "8 V", "nominal": "9 V", "high": "9.6 V"},
        "light": {"led": "red 0805", "count": 4, "current": "5.4 mA", "use": None},
        "resistor": {"per_branch": 3},
        "form": {"kind": "places", "pitch": None, "places": places},
        "connector": {"kind": "pin header 2.54 mm", "at": "middle", "side": "bottom"},
        "copper": {"sides": 1, "relief": "none"}, "order": {"house": "home-etched"},
    })  # fmt: skip
    built = built_of(text)
    assert "net.whole" not in {finding.code for finding in built.findings}
    assert built.proof


# -- refusals --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "places", "words"),
    [
        ({"light": {"count": 5}}, PLACES, "lists 4 places for 5 LEDs"),
        ({}, (*PLACES, (30.0, 12.0, 0.0)), "place 5 is where place 2 is already"),
        ({"form": {"pitch": "20 mm"}}, PLACES, "belongs to"),
        ({"form": {"rows": 2}}, PLACES, "belongs to"),
        ({"mounting": {"at": "corners"}}, PLACES, "has neither ends nor corners"),
        ({}, (*PLACES, (31.0, 14.0, 90.0)), "D2 and "),
        ({"form": {"places": []}}, PLACES, "is missing, or empty"),
        ({"mounting": {"places": [["30 mm", "12 mm"]]}}, PLACES, "screw at (30, 12) mm"),
        ({}, (*PLACES, (1900.0, 0.0, 0.0), (-900.0, 0.0, 0.0)), "files reach 2147 mm"),
        ({}, tuple((20.0 * n, 0.0, 0.0) for n in range(101)), "their ways among 100 LEDs"),
        ({"form": {"places": [["0 mm", "0 mm"]]}}, PLACES, 'like ["20 mm", "20 mm", "120 deg"]'),
    ],
)
def test_what_cannot_be_is_refused_in_words(
    changes: dict[str, Any], places: Any, words: str
) -> None:
    assert words in refused(changes, places=places)


@pytest.mark.thorough
def test_a_margin_that_is_too_small_is_told_the_one_that_does() -> None:
    small = {"form": {"margin": "4 mm"}}
    with pytest.raises(RefusalError) as caught:
        draw_board(described(small))
    (problem,) = caught.value.problems
    (offer,) = problem.offers
    assert (problem.path, offer.path) == ("form.margin", "form.margin")
    wider = float(offer.value.strip('"').removesuffix(" mm"))
    draw_board(described({"form": {"margin": f"{wider} mm"}}))
    assert "form.margin" in refused({"form": {"margin": f"{wider - 1} mm"}})


@pytest.mark.thorough
def test_strings_that_cross_go_around_one_another() -> None:
    """Two pairs on the diagonals of one square, on one side: one goes round, nothing is cut."""
    crossed = ((0.0, 0.0, 45.0), (30.0, 30.0, 45.0), (0.0, 30.0, -45.0), (30.0, 0.0, -45.0))
    one_side = {"light": {"in_series": 2}, "supply": {"from": "adapter 12 V"},
                "copper": {"sides": 1}, "connector": {"side": "bottom"}}  # fmt: skip
    is_sound(build_board(described(one_side, places=crossed)))


# -- many ------------------------------------------------------------------------------------------


def scattered(chance: random.Random) -> Parameters:
    """Draw places at random, no two nearer than parts want, and all else at random too."""
    apart = chance.choice((14.0, 18.0, 25.0))
    count = chance.randint(1, 9)
    places: list[tuple[float, float, float]] = []
    while len(places) < count:
        x, y = chance.uniform(0, apart * 4), chance.uniform(0, apart * 4)
        if all(math.dist((x, y), place[:2]) > apart for place in places):
            turn = chance.choice((0.0, 90.0, 180.0, 270.0, chance.uniform(0, 360)))
            places.append((round(x, 2), round(y, 2), round(turn, 1)))
    sides = chance.choice((1, 2))
    return described(
        {
            "light": {"led": chance.choice(("white 2835", "red 0805", "white 1206")),
                      "current": "4 mA"},
            "connector": {"kind": chance.choice(("terminal 3.5 mm", "wire pads")),
                          "at": chance.choice(("left", "right", "middle")),
                          "side": "bottom" if sides == 1 else chance.choice(("top", "bottom"))},
            "copper": {"sides": sides},
            "order": {"house": chance.choice(("ordinary", "first-time", "fine"))},
        },
        places=places,
    )  # fmt: skip


def run(seeds: range) -> Counter[str]:
    """Build boards of scattered places: each is proven and whole, or refused in words."""
    seen = Counter[str]()
    for seed in seeds:
        try:
            parameters = scattered(random.Random(seed))  # noqa: S311 - no secret
            built = build_board(parameters)
        except RefusalError:
            seen["refused"] += 1
            continue
        seen["built"] += 1
        whole = ("net.whole", "gap.copper", "relief.spokes", "edge.copper", "legend.land")
        assert not [one for one in check(built.design) if one.code in whole], seed
        if built.proof:
            assert built.proof.holds, seed
            seen["proven"] += 1
    return seen


@pytest.mark.thorough
def test_scattered_places_are_built_whole_or_refused() -> None:
    assert run(range(1))["built"]


@pytest.mark.thorough
def test_more_scattered_places_are_built_whole_or_refused() -> None:
    seen = run(range(1, 17))
    assert seen["built"] >= 0.5 * (seen["built"] + seen["refused"])


@pytest.mark.slow
def test_many_scattered_places_are_built_whole_or_refused() -> None:
    seen = run(range(1_000))
    print(seen)  # noqa: T201 - the marked run tells its table
    assert seen["built"] >= 0.5 * (seen["built"] + seen["refused"])


NEAR = (
    (19.0, 0.0, 40.0),
    (57.0, 0.0, -60.0),
    (38.0, 38.0, -70.0),
    (0.0, 57.0, 30.0),
    (0.0, 19.0, -60.0),
    (19.0, 19.0, -10.0),
    (57.0, 38.0, 90.0),
)


def test_no_letter_stands_so_near_to_a_name_that_both_read_as_one_word() -> None:
    """What a word space is, as a share of the letters' height: own. "D4K" stood there once."""
    parameters = described({"light": {"led": "green 0603"}}, places=NEAR)
    words = []
    for text in draw_board(parameters).board.texts:
        wide, tall = size_mm(text.text, text.height_mm, text.stroke_mm, parameters.parts.lettering)
        box = around(text.x_mm, text.y_mm, wide + 0.6 * text.height_mm, tall)
        words.append((text, box))
    assert {text.text for text, _ in words} >= {"K", "D1", "D7"}
    for (one, first), (other, second) in combinations(words, 2):
        assert one.side is not other.side or not meet(first, second), (one.owner, other.owner)

"""Forms that boardgen does not have are one function each: laid out, checked and proven.

A stadium: two straight sides and two half circles, lines and arcs in one closed spine, in its
outline too. An arch: a spine with two ends, an edge that turns inwards, its door below.
"""

import math
import tomllib
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

import boardgen
from boardgen.build import Built, build_board
from boardgen.checks.table import check
from boardgen.errors import Change, RefusalError
from boardgen.model.findings import Severity
from boardgen.model.outline import Bow, Outline, rectangle
from boardgen.model.parameters import Parameters
from boardgen.model.part_kinds import PartKind
from boardgen.model.plan import Keys, Plan, Sketch
from boardgen.model.pose import Pose
from boardgen.model.spine import Piece, Spine
from boardgen.reading.family import changed
from tests.conftest import RING, every, merged
from tests.layout.arch import LEG_MM, arch

KEYS = Keys(whole="form", pitch="form.pitch", along="form.diameter", across="form.diameter",
            between="form.pitch", corner="form.diameter")  # fmt: skip
BEND_MM = 18.0


def stadium(parameters: Parameters) -> Plan:
    """Plan a stadium: LEDs round it clockwise from the middle of its left bend."""
    count, pitch = parameters.light.count, parameters.form.pitch_mm
    half, side = math.pi * BEND_MM, count * pitch / 2 - math.pi * BEND_MM

    def sketch(across_mm: float) -> Sketch:
        radius = across_mm / 2
        left, right = radius, radius + side
        outer = (Bow((right, 0.0)), Bow((right, across_mm), (right, radius)),
                 Bow((left, across_mm)), Bow((left, 0.0), (left, radius)))  # fmt: skip
        bend, straight = Piece(length_mm=half, radius_mm=-BEND_MM), Piece(length_mm=side)
        quarter = Piece(length_mm=half / 2, radius_mm=-BEND_MM)
        return Sketch(
            outline=Outline(length_mm=across_mm + side, width_mm=across_mm, outer=outer),
            spines=(
                Spine(
                    start=Pose(x_mm=left - BEND_MM, y_mm=radius, turn_deg=90.0),
                    pieces=(quarter, straight, bend, straight, quarter),
                    closed=True,
                ),
            ),
            sites=tuple((0, (place + 0.5) * pitch) for place in range(count)),
            door=Pose(x_mm=0.0, y_mm=radius, turn_deg=0.0),
            rail_side=1,
        )

    return Plan(chains=(count,), pitch_mm=pitch, between_mm=None, keys=KEYS, inwards_deg=0.0,
                sketch=sketch,
                least_mm=2 * BEND_MM, current="clockwise")  # fmt: skip


def described(
    form: Callable[[Parameters], Plan], *changes: dict[str, dict[str, Any]]
) -> Parameters:
    """Describe a board of a form that a function plans, as a user does in Python."""
    text = merged(RING, {"form": {"hole": None}})
    for change in changes:
        text = merged(text, change)
    tables: dict[str, Any] = tomllib.loads(text)
    tables["form"]["kind"] = form
    return boardgen.board(tables["board"].pop("title"), name="bar", **tables)


def made(form: Callable[[Parameters], Plan], *changes: dict[str, dict[str, Any]]) -> Built:
    return build_board(described(form, *changes))


def is_sound(built: Built) -> None:
    assert built.proof
    assert built.proof.holds
    assert not [f for f in check(built.design) if f.severity is Severity.ERROR]
    assert not [f.code for f in check(built.design) if f.code.startswith("looks.")]


def turns_of(built: Built) -> set[float]:
    leds = [part for part in built.design.board.parts if part.kind is PartKind.LED]
    return {round(led.pose.turn_deg % 360.0, 3) for led in leds}


@pytest.mark.thorough
def test_a_stadium_is_laid_out_checked_and_proven_like_a_built_in_form() -> None:
    built = made(stadium, {"light": {"count": 18}, "form": {"pitch": "12 mm"}})
    is_sound(built)
    assert {0.0, 180.0} < turns_of(built)  # on its straight sides, level; elsewhere in between
    assert len(turns_of(built)) > 4


TEN: dict[str, dict[str, Any]] = {
    "light": {"count": 10, "current": "7 mA"},
    "form": {"pitch": "16 mm"},
}
ARCHES: dict[str, dict[str, dict[str, Any]]] = {
    "wire pads": {},
    "a terminal": {"connector": {"kind": "terminal 3.5 mm"}},
    "guards": {"protection": {"fuse": "500 mA resettable", "reverse": "schottky"}},
    "a switch": {"connector": {"kind": "pin header 2.54 mm", "switch": "slide switch"}},
    "one side": {"copper": {"sides": 1}, "connector": {"side": "bottom"}},
    "test points": {"copper": {"test_points": True}},
    "a wide band": {"form": {"diameter": "24 mm"}},
}


@pytest.mark.parametrize("name", every(ARCHES, lambda at: at == 0))
@pytest.mark.thorough
def test_an_arch_has_a_rail_with_two_ends_and_a_door_below(name: str) -> None:
    built = made(arch, TEN, ARCHES[name])
    is_sound(built)
    assert {90.0, 270.0} < turns_of(built)  # down its right leg, up its left one
    connector = built.design.board.part("J1")
    assert connector.pose.turn_deg == 0.0  # its wires come in from below
    assert connector.y_mm < LEG_MM / 2


@pytest.mark.thorough
def test_what_an_arch_cannot_be_is_offered_what_it_can() -> None:
    with pytest.raises(RefusalError, match=r"write form\.diameter = .40 mm."):
        made(arch, TEN, {"form": {"diameter": "78 mm"}})


@pytest.mark.thorough
def test_words_on_an_arch_say_which_way_round() -> None:
    built = made(arch, TEN)
    texts = tuple(
        replace(text, text=text.text.replace("clockwise", "counter-clockwise"))
        for text in built.design.board.texts
    )
    board = replace(built.design.board, texts=texts)
    assert "looks.polarity" in {f.code for f in check(replace(built.design, board=board))}


def test_a_family_of_a_form_of_ones_own_and_its_offers_keep_the_form() -> None:
    base = described(arch, TEN)
    members = boardgen.family(base, vary={"light.count": [8, 10]}).members
    for member in members:
        assert member.parameters
        assert member.parameters.own_form is arch
    again = changed(base, [Change(path="light.count", value="9")])
    assert again.own_form is arch
    assert again.light.count == 9


def test_the_same_keys_under_two_forms_are_two_boards() -> None:
    names = {described(form, TEN).meaning_sha256 for form in (arch, stadium)}
    assert len(names) == 2


def test_no_other_kind_varies_with_a_form_of_ones_own() -> None:
    base = described(arch, TEN)
    with pytest.raises(RefusalError, match="function's"):
        boardgen.family(base, vary={"form.kind": ["bar", "ring"]})


def fan(parameters: Parameters) -> Plan:
    """Plan two lines of LEDs that part from one another, in a rectangle around them."""
    count, pitch = parameters.light.count // 2, parameters.form.pitch_mm
    reach = (count - 1) * pitch

    def sketch(margin_mm: float) -> Sketch:
        length, high = reach + 2 * margin_mm, reach * math.sin(math.radians(20.0))
        width = 30.0 + high + 2 * margin_mm
        lines = ((margin_mm, 0.0), (margin_mm + 30.0, 20.0))
        return Sketch(
            outline=rectangle(length, width, 2.0),
            spines=tuple(
                Spine(start=Pose(x_mm=margin_mm, y_mm=y, turn_deg=turn),
                      pieces=(Piece(length_mm=reach),))
                for y, turn in lines
            ),
            sites=tuple((line, place * pitch) for line in (0, 1) for place in range(count)),
            door=Pose(x_mm=0.0, y_mm=width / 2, turn_deg=0.0),
            rail_side=1,
            size_mm=margin_mm,
        )  # fmt: skip

    return Plan(chains=(count, count), pitch_mm=pitch, between_mm=None, keys=KEYS, inwards_deg=0.0,
                sketch=sketch, least_mm=4.0, current="")  # fmt: skip


@pytest.mark.thorough
def test_lines_that_part_have_a_rail_each_and_a_track_between_them() -> None:
    """Of three branches on a slanting line the middle one taps the rail between its ends."""
    built = made(fan, {"light": {"count": 18}, "form": {"pitch": "12 mm"}})
    assert built.proof
    assert built.proof.holds
    found = check(built.design)
    assert not [one for one in found if one.severity is Severity.ERROR]
    board = built.design.board
    supply = [track.points for track in board.tracks if track.net == "V+"]
    starts = [board.spines[0].start.turn_deg, board.spines[1].start.turn_deg]
    ways = [math.degrees(math.atan2(y2 - y1, x2 - x1)) for (x1, y1), (x2, y2) in supply
            if math.dist((x1, y1), (x2, y2)) > 40.0]  # fmt: skip
    assert ways == pytest.approx(starts, abs=1e-6)

"""Boards that are joined: ends that fit, lands that meet, currents of the whole chain.

What tongue and notch leave one another is measured with shapely, on the edges as they are drawn.
"""

import math
from dataclasses import replace
from itertools import product
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from boardgen import units
from boardgen.build import build_board
from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.forms.keyed import NOTCH, PLAY_MM, TONGUE, around_joined
from boardgen.model.board import Part, PartKind, TextRole
from boardgen.model.chain import carried, closes, joined_poses
from boardgen.model.design import Design
from boardgen.model.findings import Severity
from boardgen.model.outline import Ring, sweep_rad, walk
from boardgen.model.pose import Pose
from boardgen.model.spine import Piece, Spine
from boardgen.readback.assembled import assembled_faults
from tests.conftest import built_of, design_of, every, merged, parameters_of

BASE = """\
[board]
title = "Joined"
date = "2026-11-29"
[supply]
from = "usb 5 V 500 mA"
[light]
led     = "warm white 2835"
count   = 6
current = "8 mA"
[form]
kind  = "bar"
pitch = "20 mm"
[connector]
kind = "joint lands"
[joint]
boards = 4
"""
FORMS: dict[str, dict[str, Any]] = {
    "bar": {},
    "arc": {"kind": "arc", "from": "180 deg", "to": "90 deg"},
    "path": {"kind": "path", "points": [["0 mm", "0 mm"], ["80 mm", "0 mm"], ["120 mm", "60 mm"],
                                        ["120 mm", "140 mm"]]},
}  # fmt: skip
HEAD: dict[str, dict[str, Any]] = {"connector": {"kind": "terminal 3.5 mm"}}


def joined(kind: str = "bar", /, **changes: dict[str, Any]) -> str:
    return merged(merged(BASE, {"form": FORMS[kind]}), changes)


def polygon(ring: Ring) -> Polygon:
    """Cut arcs into chords of half a degree."""
    points = []
    for start, bow in walk(ring):
        if bow.centre is not None:
            (x, y), sweep = bow.centre, sweep_rad(start, bow)
            radius, first = math.dist(start, bow.centre), math.atan2(start[1] - y, start[0] - x)
            steps = math.ceil(abs(sweep) / math.radians(0.5))
            angles = (first + sweep * step / steps for step in range(1, steps))
            points += [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles]
        points.append(bow.end)
    return Polygon(points)


def lands(design: Design, kind: PartKind) -> Part:
    return next(part for part in design.board.parts if part.kind is kind)


# -- how boards fit ----------------------------------------------------------------------------

LINES = st.tuples(st.floats(20.0, 120.0), st.floats(12.0, 40.0), st.floats(-1.0, 1.0))
"""Length, width, and how far it bends of what two boards can without lying on one another."""


@given(LINES)
@pytest.mark.thorough
def test_a_tongue_lies_in_the_next_notch_with_play_all_round(
    line: tuple[float, float, float],
) -> None:
    """No two boards share an area, and nowhere along the key more than the play lies between."""
    length, width, share = line
    turn = share * min(2.4, length / width)
    bend = length / turn if abs(share) > 0.05 else 0.0
    spine = Spine(start=Pose(x_mm=3.0, y_mm=40.0, turn_deg=30.0),
                  pieces=(Piece(length_mm=length, radius_mm=bend),))  # fmt: skip
    ring = around_joined(spine, width, notched=True)
    first, second = (polygon(carried(ring, pose)) for pose in joined_poses(spine, 2))
    assert first.intersection(second).area < 1e-3
    end = spine.pose(spine.length_mm)
    key = [end.place(x, y) for x in np.linspace(0.1, 2.8, 20) for y in np.linspace(-2.9, 2.9, 30)]
    tongue = [at for at in key if first.contains(shapely.Point(at))]
    assert len(tongue) > 50
    off = shapely.Polygon([end.place(x, y) for x, y in
                           ((0, -width / 3), (TONGUE.long_mm, -width / 3),
                            (TONGUE.long_mm, width / 3), (0, width / 3))])  # fmt: skip
    air = off.difference(first).difference(second).buffer(-PLAY_MM / 2 - 0.005)
    assert air.is_empty
    # Nor less: beyond its root the tongue, wider by all but a hair of the play, still goes in.
    tip = Polygon([end.place(x, y) for x, y in
                   ((TONGUE.root_mm, -width / 3), (9.0, -width / 3),
                    (9.0, width / 3), (TONGUE.root_mm, width / 3))])  # fmt: skip
    assert first.intersection(tip).buffer(PLAY_MM - 0.01).intersection(second).area < 1e-3


def test_a_mill_makes_both_ends() -> None:
    """Corners into the board: where a tongue begins and where a notch ends.

    2 mm cutters, radius 1 mm: usual for edges, from memory.
    """
    assert TONGUE.root_mm > 1.0
    assert NOTCH.tip_mm > 1.0
    # A milled edge lies within 0.2 mm: common practice, no source. Both may be off by half each.
    assert pytest.approx(0.2) == PLAY_MM


@given(st.integers(2, 24), st.floats(30.0, 200.0))
def test_equal_shares_of_a_ring_close(boards: int, radius: float) -> None:
    length = math.tau * radius / boards
    spine = Spine(start=Pose(x_mm=0.0, y_mm=0.0, turn_deg=90.0),
                  pieces=(Piece(length_mm=length, radius_mm=-radius),))  # fmt: skip
    assert closes(spine, boards)
    assert not closes(spine, boards - 1)


@pytest.mark.parametrize("form", FORMS)
def test_plus_meets_plus_and_minus_minus(form: str) -> None:
    design = design_of(joined(form))
    here, there = joined_poses(design.board.spines[0], 2)
    near, far = lands(design, PartKind.CONNECTOR), lands(design, PartKind.JOINT)
    for function, net in (("+", "V+"), ("-", "0V")):
        leaves, enters = (part.pattern.by_function(function) for part in (far, near))
        assert far.net(leaves.name) == near.net(enters.name) == net
        apart = math.dist(
            here.place(*far.land_place(leaves)), there.place(*near.land_place(enters))
        )
        # Each as near to its end as the house lets copper come: 0.5 mm, and half a land.
        assert apart == pytest.approx(2 * (0.5 + leaves.width_mm / 2), abs=0.11)
        other = far.pattern.by_function("-" if function == "+" else "+")
        crossed = math.dist(
            here.place(*far.land_place(other)), there.place(*near.land_place(enters))
        )
        assert crossed > 8.0


@pytest.mark.parametrize("form", every(["bar", "arc"], lambda place: place == 0))
def test_the_pitch_goes_on_across_a_joint(form: str) -> None:
    design = design_of(joined(form))
    (spine,), ways = design.board.spines, [along for _, along in design.board.sites]
    assert spine.length_mm - ways[-1] + ways[0] == pytest.approx(20.0)
    assert [finding.code for finding in built_of(joined(form)).findings].count("joint.pitch") == 0


def test_a_first_board_of_its_own_fits_those_behind_it() -> None:
    """Its far end is that of the others: the same tongue, lands, sides and distances."""
    ends = []
    for text in (joined(), joined(**HEAD)):
        design = design_of(text)
        far, (spine,) = lands(design, PartKind.JOINT), design.board.spines
        at = [far.land_place(far.pattern.by_function(f)) for f in "+-"]
        ends.append([
            (round(spine.length_mm - along, 6), round(across, 6))
            for along, across in map(spine.locate, at)
        ])  # fmt: skip
    assert ends[0] == ends[1]


def test_signs_stand_at_both_ends() -> None:
    design = design_of(joined())
    signs = {(text.owner, text.text, text.side.value) for text in design.board.texts
             if text.role is TextRole.SIGN}  # fmt: skip
    assert signs == set(product(("J1", "E1"), "+−", ("top", "bottom")))


# -- what flows --------------------------------------------------------------------------------


def test_the_whole_chain_is_what_the_supply_gives() -> None:
    one, four = (size(parameters_of(joined(joint={"boards": n}))) for n in (2, 4))
    assert four.nominal_a == pytest.approx(2 * one.nominal_a)
    assert four.worst_a == pytest.approx(2 * one.worst_a)
    assert four.through_a == pytest.approx(0.75 * four.worst_a)
    assert four.warmth.heat_w == pytest.approx(one.warmth.heat_w)
    assert four.rail.current_a == four.worst_a


def test_what_guards_take_counts_all_boards() -> None:
    """The fuse's resistance times the current of all boards, asked for: R * I."""
    guarded = {**HEAD, "protection": {"fuse": "500 mA resettable"}}
    one, three = (size(parameters_of(joined(joint={"boards": n}, **guarded))) for n in (2, 6))
    lost = [circuit.supply.nominal_v - circuit.feed.nominal_v for circuit in (one, three)]
    assert lost[1] == pytest.approx(3 * lost[0])


def test_power_adds_up_over_all_boards() -> None:
    power = design_of(joined()).operation.power
    parts = power.leds_w + power.ballasts_w + power.guards_w + power.rails_w
    assert parts == pytest.approx(power.supply_w, rel=1e-6)


@pytest.mark.thorough
def test_a_chain_loses_what_one_long_board_loses() -> None:
    """24 LEDs on four boards, on two, and on one path as long: rails and returns are as long.

    Four joints of 2 x 2 mohm come to it; a rail that is joined loses as one that is not.
    """
    narrow: dict[str, dict[str, Any]] = {"copper": {"rail": "0.5 mm"}, "form": {"width": "20 mm"}}
    spreads = [
        design_of(joined(light={"count": 24 // boards}, joint={"boards": boards}, **narrow))
        .operation.rails
        for boards in (4, 2)
    ]  # fmt: skip
    whole = merged(
        BASE,
        {
            "form": {"kind": "path", "width": "20 mm",
                     "points": [["0 mm", "0 mm"], ["480 mm", "0 mm"]]},
            "light": {"count": 24}, "joint": {"boards": None},
            "connector": {"kind": "wire pads"}, "mounting": {"at": "none"},
            "copper": {"rail": "0.5 mm"},
        },
    )  # fmt: skip
    long = design_of(whole).operation.rails
    assert spreads[0].spread == pytest.approx(long.spread, rel=0.06)
    assert spreads[1].spread == pytest.approx(long.spread, rel=0.04)
    assert sum(spreads[0].boards_a) == pytest.approx(sum(long.currents_a), rel=2e-3)
    assert list(spreads[0].boards_a) == sorted(spreads[0].boards_a, reverse=True)


def test_a_rail_is_wide_enough_for_all_boards() -> None:
    """IPC-2221 as curve fit gives heat; the drop's sum takes one long line: N of all boards."""
    one = size(parameters_of(joined(joint={"boards": 2}))).rail
    four = size(parameters_of(joined(joint={"boards": 8}))).rail
    assert four.sections == 4 * one.sections
    n, m = one.sections, four.sections
    assert four.drop_mm / one.drop_mm == pytest.approx(m * (m + 1) / (n * (n + 1)))
    assert four.heat_mm / one.heat_mm == pytest.approx(4 ** (1 / 0.725))


# -- what cannot be ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "path", "said"),
    [
        ({"form": {"kind": "ring"}}, "joint.boards", "no two ends"),
        ({"form": {"rows": 2}}, "joint.boards", "of several rows"),
        ({"form": {"kind": "path", "closed": True, "points": [
            ["0 mm", "0 mm"], ["80 mm", "0 mm"], ["40 mm", "60 mm"]]}}, "joint.boards",
         "a path that is closed"),
        ({"joint": {"boards": 1}}, "connector.kind", "write joint.boards = 2"),
        ({"connector": {"side": "bottom"}}, "connector.side", "the other way round"),
        ({"connector": {"switch": "slide switch"}}, "connector.switch", "on each of 4 boards"),
        ({"protection": {"fuse": "500 mA resettable"}}, "protection.fuse", "on each of 4 boards"),
        ({"form": {"length": "150 mm"}}, "form.length", "follows from the pitch"),
        ({"form": {"corner": "2 mm"}}, "form.corner", "where boards meet"),
        ({"connector": {"at": "middle"}}, "connector.at", "at an end"),
        ({"mounting": {"at": "ends"}}, "mounting.at", "no ends of its own"),
        ({**HEAD, "joint": {"first": "another"}}, "joint.first", "the one that is fed"),
        ({"joint": {"boards": 25}}, "joint.boards", "outside 1 to 24"),
        ({"form": {**FORMS["arc"], "facing": "inward"}}, "form.facing", "no rail from end to end"),
        ({"form": {**FORMS["path"], "facing": "one way"}}, "form.facing", 'facing = "along"'),
    ],
)  # fmt: skip
def test_what_has_no_ends_or_would_not_fit_is_refused(
    changes: dict[str, Any], path: str, said: str
) -> None:
    with pytest.raises(RefusalError) as error:
        design_of(joined(**changes))
    told = {problem.path: f"{problem.what} {problem.remedy}" for problem in error.value.problems}
    assert said in told[path], told


# -- on paper ----------------------------------------------------------------------------------


def paper(text: str, name: str) -> str:
    return next(file for file in built_of(text).files if file.path == name).content.decode()


@pytest.mark.thorough
def test_guide_and_order_sheet_tell_of_the_joint() -> None:
    text = joined("arc")
    guide, order = paper(text, "assembly/guide.html"), paper(text, "order.md")
    assert "Bend 6 staples" in guide
    assert "Only on the board that is fed" in guide
    assert "The last tongue goes into the first notch" in guide
    assert "4 of these make one light" in order
    assert "milled, not scored" in order
    assert "The last tongue" not in paper(joined(), "assembly/guide.html")
    head = joined(**HEAD)
    assert "1 of 4. Build it and the 3 behind it" in paper(head, "assembly/guide.html")
    assert "One of these and 3 of the boards behind it" in paper(head, "order.md")
    behind = joined(joint={"first": "another"})
    guide = paper(behind, "assembly/guide.html")
    assert "No wires here" in guide
    assert "Leave the lands of J1 free" in guide
    assert "Solder the wires" not in guide
    assert "Build it and 3 of these" in guide
    assert "3 of these and one of the board that is fed" in paper(behind, "order.md")
    assert "Board 1, which is fed, is another one" in paper(behind, "assembled.svg")


@pytest.mark.thorough
def test_the_chain_stands_on_the_test_sheet_and_its_current_on_the_board() -> None:
    design = design_of(joined())
    sheet = paper(joined(), "assembly/test-sheet.html")
    assert "Volts between + and − at the last board" in sheet
    assert "Joined boards" not in paper(
        merged(BASE, {"connector": {"kind": "wire pads"}, "joint": {"boards": 1}}),
        "assembly/test-sheet.html",
    )
    printed = [text.text for text in design.board.texts if "V DC" in text.text]
    assert printed
    assert all(units.at_most_amps(design.circuit.worst_a) in text for text in printed)


@pytest.mark.thorough
def test_boards_behind_a_guarded_one_need_no_fuse_of_their_own() -> None:
    """A 12 V battery drives more than a board bears; what guards it counts, and is not drawn."""
    strong: dict[str, dict[str, Any]] = {"supply": {"from": "battery 12 V"}}
    guards = {"fuse": "500 mA resettable", "reverse": "schottky"}
    assert "supply.fuse" in {one.code for one in built_of(joined(**strong)).findings}
    behind = built_of(joined(**strong, joint={"first": "another"}, protection=guards))
    assert behind.proof
    assert {part.reference[0] for part in behind.design.board.parts} == set("DRJE")
    head = design_of(joined(**strong, **HEAD, protection=guards)).circuit
    assert behind.design.circuit.feed == head.feed
    values = [one.kinds[0].ballast.value_ohm for one in (behind.design.circuit, head)]
    assert values[0] == values[1]


def test_the_picture_shows_each_board_and_the_proof_holds_it() -> None:
    design, drawn = design_of(joined("arc")), paper(joined("arc"), "assembled.svg")
    profile = [(design.artwork.profile, True)]
    proof = built_of(joined("arc")).proof
    assert proof

    def faults(picture: str) -> list[str]:
        return list(assembled_faults(picture.encode(), profile, proof.pins, 6))

    assert faults(drawn) == []
    rings = drawn.partition('id="boards"')[0].rpartition('d="')[2]
    first = rings[: rings.index("Z") + 1]
    damaged = {
        "draws 3 boards, and says 4": drawn.replace(first, "", 1),
        "draws 24 LEDs and says 25": drawn.replace("24 LEDs", "25 LEDs"),
        "board 4 is not as the profile": drawn.replace(first, first.replace("L", "L1", 1), 1),
        "does not say how many": drawn.replace("boards with", "boards and"),
        "says 9 staples": drawn.replace("6 staples", "9 staples"),
        "lie 1": drawn.replace(rings[: rings.rindex("Z") + 1], first * 4, 1),
        "a wire of + does not": drawn.replace('id="plus"', 'id="x"')
        .replace('id="minus"', 'id="plus"').replace('id="x"', 'id="minus"'),
        "draws 0 wires at +": drawn.replace('id="plus"', 'id="gone"'),
    }  # fmt: skip
    for said, other in damaged.items():
        assert other != drawn, said
        assert any(said in fault for fault in faults(other)), (said, faults(other))
    assert any("is not as the profile" in fault for fault in faults(replace_y(drawn)))


def replace_y(drawn: str) -> str:
    """See one board in a mirror: its heights counted the other way."""
    rings = drawn.partition('id="boards"')[0].rpartition('d="')[2]
    first = rings[: rings.index("Z") + 1]
    words = (
        first.replace("M", "M ").replace("L", " L ").replace("A", " A ").replace("Z", "").split()
    )
    found, place = [], 0
    while place < len(words):
        if words[place] == "A":
            *arc, y = words[place + 1 : place + 8]
            found.append(f"A{' '.join(arc)} {-float(y):g}")
            place += 8
        else:
            found.append(f"{words[place]}{words[place + 1]} {-float(words[place + 2]):g}")
            place += 3
    return drawn.replace(first, "".join(found) + "Z", 1)


@pytest.mark.thorough
def test_a_first_board_with_a_connector_draws_no_chain_of_its_like() -> None:
    assert all(file.path != "assembled.svg" for file in built_of(joined(**HEAD)).files)


@pytest.mark.thorough
def test_each_board_is_measured_by_itself() -> None:
    """The bench gives its volts to this board alone: neither others nor their guards take from it.

    Ohm's law and the diode's: a board that stands alone, without guards, shows the same.
    """
    guards = {"reverse": "schottky"}
    behind = design_of(joined(joint={"first": "another"}, protection=guards))
    alike = design_of(joined())
    value = behind.circuit.kinds[0].ballast.value_ohm
    assert value != alike.circuit.kinds[0].ballast.value_ohm
    alone = design_of(joined(resistor={"drawer": [f"{value:g}R"]}, light={"current": "10 mA"}))
    assert alone.circuit.kinds[0].ballast.value_ohm == value
    assert behind.operation.bench.ballasts_v == alone.operation.bench.ballasts_v
    head = [design_of(joined(**HEAD, protection=guards, joint={"boards": boards})).operation.bench
            for boards in (2, 4)]  # fmt: skip
    assert head[0].board_a == head[1].board_a


@pytest.mark.thorough
@pytest.mark.parametrize("width", ["50 mm", "80 mm"])
def test_wide_boards_keep_the_vias_of_their_strip_near(width: str) -> None:
    """The proof wants a via beside each branch's last LED."""
    text = joined(light={"count": 12}, form={"pitch": "10 mm", "width": width},
                  joint={"boards": 2})  # fmt: skip
    assert built_of(text).proof


# -- all of them -------------------------------------------------------------------------------

HOUSES = ("first-time", "fine", "home-etched")
SUPPLIES: dict[str, dict[str, dict[str, Any]]] = {
    "usb": {},
    "12 V": {"supply": {"from": "adapter 12 V"}},
    "3 x AA": {"supply": {"from": "alkaline AA", "cells": 3},
               "light": {"led": "red 0805", "current": "5 mA"}},
}  # fmt: skip
SOME = {("bar", 1, "usb", "home-etched", True), ("path", 2, "3 x AA", "fine", False)}


@pytest.mark.parametrize(("form", "sides", "supply", "house", "first"), [
    pytest.param(*case, marks=pytest.mark.thorough if case in SOME else pytest.mark.slow)
    for case in product(FORMS, (1, 2), SUPPLIES, HOUSES, (True, False))
    if case[1] == 1 or case[3] != "home-etched"
])  # fmt: skip
def test_joined_boards_are_built_and_proven(
    form: str, *, sides: int, supply: str, house: str, first: bool
) -> None:
    """``first``: a board like the others; else one with a terminal block and a fuse.

    Etched at home nothing is printed: letters in copper ask for room that bends do not have.
    """
    text = merged(joined(form, order={"house": house}), SUPPLIES[supply])
    if sides == 1:
        text = merged(text, {"copper": {"sides": 1}, "connector": {"side": "bottom"}})
    if not first:
        text = merged(text, {**HEAD, "protection": {"fuse": "500 mA resettable"}})
    try:
        built = build_board(parameters_of(text))
    except RefusalError:
        if house != "home-etched":
            raise
        return
    assert not [one for one in built.findings if one.severity is Severity.ERROR], built.findings
    assert built.proof
    assert built.proof.holds


@pytest.mark.thorough
def test_a_chain_that_bends_into_itself_is_told() -> None:
    text = joined("arc", joint={"boards": 5})
    found = {finding.code: finding for finding in built_of(text).findings}
    assert found["joint.overlap"].message.endswith("board 5 of the chain would lie on board 1")
    shorter = replace(parameters_of(text).joint, boards=4)
    assert "joint.overlap" not in {
        finding.code
        for finding in build_board(replace(parameters_of(text), joint=shorter)).findings
    }

"""The law of turns: at any angle all that is written of a part agrees, and a lie is found.

One LED with its ballast is turned as a whole about its middle, to whatever angle; its tap leaves
it outwards and runs around it to the rail. The files are read back and held against the board, and
so are lists and pictures; then one file alone is made of a board on which the LED, the ballast or
a mark is turned by a tenth of a degree more.
"""

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from boardgen.artwork.draw import draw
from boardgen.designing import design_board
from boardgen.export.lists import bom, placement
from boardgen.model.board import Board, Mark, MarkRole, Part
from boardgen.model.circuit import SUPPLY_NET
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFiles
from boardgen.model.pose import Point, Pose
from boardgen.model.proof import Proof
from boardgen.outputs import export
from boardgen.pages.placement import placements
from boardgen.readback.papers import paper_items
from boardgen.readback.prove import prove
from tests.conftest import SHELF, every, merged, parameters_of

AROUND_MM = 8.0
"""The tap runs around the group at this distance from its middle; vias and letters lie within."""
LIE_DEG = 0.1


@cache
def level() -> Design:
    return design_board(
        parameters_of(
            merged(
                SHELF,
                {
                    "light": {"count": 1, "use": None, "current": "5 mA"},
                    "form": {"length": "70 mm", "width": "44 mm"},
                    "connector": {"kind": "wire pads"},
                    "mounting": {"at": "none"},
                    "legend": {"name_box": False},
                },
            )
        )
    )


def turned_by(turn_deg: float) -> Design:
    """Turn LED and ballast, and what belongs to them, about their middle."""
    design = level()
    board = design.board
    led, ballast = board.part("D1"), board.part("R1")
    middle = ((led.x_mm + ballast.x_mm) / 2, led.y_mm)
    turn = _turn(middle, turn_deg)
    group = {"D1", "R1"}
    tap = led.net("2"), ballast.land_place(ballast.pattern.land("1"))
    tracks = [
        replace(track, points=tuple(map(turn, track.points))) if track.net == tap[0] else track
        for track in board.tracks
        if track.net != SUPPLY_NET or tap[1] not in track.points
    ]
    (old,) = [track for track in board.tracks if tap[1] in track.points and track.net == SUPPLY_NET]
    rail_y = old.points[0][1]
    tracks.append(replace(old, points=_around(middle, turn(tap[1]), rail_y)))
    # The rail has to reach the place where the tap meets it.
    tracks.append(replace(old, points=((old.points[0][0], rail_y), (middle[0], rail_y))))
    board = replace(
        board,
        parts=tuple(_posed(p, turn, turn_deg) if p.reference in group else p for p in board.parts),
        tracks=tuple(tracks),
        vias=tuple(
            replace(via, x_mm=x, y_mm=y)
            for via in board.vias
            for x, y in [turn((via.x_mm, via.y_mm))]
        ),
        texts=tuple(
            replace(text, x_mm=x, y_mm=y, turn_deg=turn_deg) if text.owner in group else text
            for text in board.texts
            for x, y in [turn((text.x_mm, text.y_mm))]
        ),
        marks=tuple(
            replace(mark, points=tuple(map(turn, mark.points))) if mark.owner in group else mark
            for mark in board.marks
            if mark.owner
        ),
    )
    return redrawn(design, board)


def redrawn(design: Design, board: Board) -> Design:
    return replace(design, board=board, artwork=draw(design.parameters, board))


def _turn(middle: Point, turn_deg: float) -> Callable[[Point], Point]:
    pose = Pose(x_mm=middle[0], y_mm=middle[1], turn_deg=turn_deg)
    return lambda at: pose.place(at[0] - middle[0], at[1] - middle[1])


def _posed(part: Part, turn: Callable[[Point], Point], turn_deg: float) -> Part:
    x, y = turn((part.x_mm, part.y_mm))
    return replace(part, pose=Pose(x_mm=x, y_mm=y, turn_deg=part.pose.turn_deg + turn_deg))


def _around(middle: Point, start: Point, rail_y: float) -> tuple[Point, ...]:
    """Lead a track outwards, the shorter way around the middle, and up to the rail."""
    angle = math.atan2(start[1] - middle[1], start[0] - middle[0])
    sweep = (math.pi / 2 - angle + math.pi) % math.tau - math.pi
    steps = max(1, math.ceil(abs(sweep) / 0.2))
    ring = [
        (middle[0] + AROUND_MM * math.cos(a), middle[1] + AROUND_MM * math.sin(a))
        for a in (angle + sweep * step / steps for step in range(steps + 1))
    ]
    return (start, *ring, (middle[0], rail_y))


def papers(design: Design) -> OutputFiles:
    return (*bom(design), *placement(design), *placements(design))


def proof_of(fabrication: OutputFiles, others: OutputFiles, design: Design) -> Proof:
    proof = prove({file.path.rpartition("/")[2]: file.content for file in fabrication}, design)
    items = paper_items(
        {file.path: file.content for file in others},
        proof,
        design.parameters.parts.lettering,
        design,
    )
    return replace(proof, items=(*proof.items, *items))


def hold(turn_deg: float) -> None:
    design = turned_by(turn_deg)
    proof = proof_of(export(design, fabrication=True), papers(design), design)
    assert proof.holds, (turn_deg, [str(found) for found in proof.differences])


@pytest.mark.parametrize("turn_deg", every([203.7, 0.0, 30.0, 90.0], lambda at: at == 0))
def test_a_turned_branch_is_proven(turn_deg: float) -> None:
    hold(turn_deg)


ANGLES = st.integers(0, 359_999_999).map(lambda millionths: millionths / 1e6)
QUIET = [HealthCheck.too_slow]


@pytest.mark.thorough
@settings(max_examples=40, deadline=None, derandomize=True, database=None, phases=[Phase.generate],
          suppress_health_check=QUIET)  # fmt: skip
@given(ANGLES)
def test_branches_at_random_angles_are_proven(turn_deg: float) -> None:
    hold(turn_deg)


@pytest.mark.slow
@seed(18)
@settings(max_examples=1_000, deadline=None, database=None, phases=[Phase.generate],
          suppress_health_check=QUIET)  # fmt: skip
@given(ANGLES)
def test_a_thousand_random_turns_are_proven(turn_deg: float) -> None:
    hold(turn_deg)


def part_lies(reference: str) -> Callable[[Board], Board]:
    """Turn one part by a little more than the rest of the board believes."""

    def lie(board: Board) -> Board:
        parts = tuple(
            replace(p, pose=replace(p.pose, turn_deg=p.pose.turn_deg + LIE_DEG))
            if p.reference == reference
            else p
            for p in board.parts
        )
        return replace(board, parts=parts)

    return lie


def mark_lies(board: Board) -> Board:
    """Turn the cathode's bar about its own middle."""

    def lie(mark: Mark) -> Mark:
        if mark.role is not MarkRole.CATHODE:
            return mark
        (x1, y1), (x2, y2) = mark.points
        turn = _turn(((x1 + x2) / 2, (y1 + y2) / 2), LIE_DEG)
        return replace(mark, points=(turn((x1, y1)), turn((x2, y2))))

    return replace(board, marks=tuple(map(lie, board.marks)))


def text_lies(board: Board) -> Board:
    return replace(
        board,
        texts=tuple(
            replace(text, turn_deg=text.turn_deg + LIE_DEG) if text.owner == "D1" else text
            for text in board.texts
        ),
    )


def only(name: str, lying: OutputFiles, true: OutputFiles) -> OutputFiles:
    """Take the files of one name from the board that lies, all others from the true one."""
    told = {file.path: file for file in lying if name in file.path}
    assert told
    return tuple(told.get(file.path, file) for file in true)


LIES = [
    ("copper-top", part_lies("D1")),
    ("copper-top", part_lies("R1")),
    ("mask-top", part_lies("D1")),
    ("paste-top", part_lies("R1")),
    ("netlist", part_lies("D1")),
    ("placement.csv", part_lies("D1")),
    ("placement.csv", part_lies("R1")),
    ("placement-top.svg", part_lies("D1")),
    ("placement-top.svg", part_lies("R1")),
    ("legend-top", mark_lies),
    ("legend-top", text_lies),
]


@pytest.mark.parametrize("turn_deg", every([41.3, 0.0], lambda at: at == 0))
@pytest.mark.parametrize(("name", "lie"), LIES)
def test_a_tenth_of_a_degree_is_found(
    name: str, lie: Callable[[Board], Board], turn_deg: float
) -> None:
    true = turned_by(turn_deg)
    lying = redrawn(true, lie(true.board))
    fabrication, others = export(true, fabrication=True), papers(true)
    if "." in name:
        others = only(name, papers(lying), others)
    else:
        fabrication = only(name, export(lying, fabrication=True), fabrication)
    assert not proof_of(fabrication, others, true).holds


@pytest.mark.parametrize("turn_deg", every([41.3, 0.0], lambda at: at == 0))
def test_a_mark_that_the_board_itself_has_askew_is_found(turn_deg: float) -> None:
    """Nothing designed says how a bar lies to its LED; it is held against the lands."""
    lying = redrawn(turned_by(turn_deg), mark_lies(turned_by(turn_deg).board))
    proof = proof_of(export(lying, fabrication=True), papers(lying), lying)
    assert [str(found) for found in proof.differences if "askew" in str(found)]

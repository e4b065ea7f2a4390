"""A form that boardgen does not have, a stadium, is one function: laid out, checked and proven.

Two straight sides and two half circles: lines and arcs in one closed spine, in its outline too.
"""

import math
from collections.abc import Iterator

import pytest

from boardgen.build import Built, build_board
from boardgen.checks.table import check
from boardgen.forms.table import FORMS
from boardgen.model.findings import Severity
from boardgen.model.outline import Bow, Outline
from boardgen.model.parameters import Parameters
from boardgen.model.part_kinds import PartKind
from boardgen.model.plan import Keys, Plan, Sketch
from boardgen.model.pose import Pose
from boardgen.model.spine import Piece, Spine
from tests.conftest import RING, merged, parameters_of

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

    return Plan(chains=(count,), pitch_mm=pitch, between_mm=None, keys=KEYS, sketch=sketch,
                least_mm=2 * BEND_MM, current="clockwise")  # fmt: skip


@pytest.fixture
def built() -> Iterator[Built]:
    ring = FORMS["ring"]
    FORMS["ring"] = stadium
    try:
        text = merged(RING, {"light": {"count": 18}, "form": {"pitch": "12 mm", "hole": None}})
        yield build_board(parameters_of.__wrapped__(text))
    finally:
        FORMS["ring"] = ring


@pytest.mark.thorough
def test_it_is_laid_out_checked_and_proven_like_a_built_in_one(built: Built) -> None:
    assert built.proof
    assert built.proof.holds
    assert not [f for f in check(built.design) if f.severity is Severity.ERROR]
    assert not [f.code for f in check(built.design) if f.code.startswith("looks.")]
    leds = [part for part in built.design.board.parts if part.kind is PartKind.LED]
    turns = {round(led.pose.turn_deg % 360.0, 3) for led in leds}
    assert {0.0, 180.0} < turns  # on its straight sides, level; elsewhere in between
    assert len(turns) > 4

"""Slots of a drawn edge: routed in the unplated drill file, held by rules and proof.

Witness: the drill-file reader of gerbonara, a general reader of the open format, in tests only. The
grammar is that of docs/sources.md, formats: M15, G01, M16, from memory and secondary texts.
"""

import math
from pathlib import Path

import pytest
from gerbonara.excellon import ExcellonFile

from boardgen.build import Built, build_board
from boardgen.export.xnc import drill_functions
from boardgen.model.outline import slot_ends, slot_mm
from boardgen.readback.drill import read_drill
from boardgen.readback.prove import prove
from tests.conftest import every
from tests.reading.test_drawing import drawn

SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="70mm" viewBox="0 0 90 70">
<rect width="90" height="70" rx="4"/>
<rect x="40" y="12" width="20" height="6" rx="3"/>
<path d="M 66 58 L 74 52 A 2 2 0 0 1 76.4 55.2 L 68.4 61.2 A 2 2 0 0 1 66 58 Z"/>
<circle cx="22" cy="60" r="3"/>
</svg>"""


@pytest.fixture(scope="module")
def slotted(tmp_path_factory: pytest.TempPathFactory) -> Built:
    return build_board(drawn(tmp_path_factory.mktemp("slots"), "edge.svg", SVG))


def files_of(built: Built) -> dict[str, bytes]:
    return {file.path.rpartition("/")[2]: file.content for file in built.files
            if file.path.startswith("fabrication/")}  # fmt: skip


def test_slots_are_routed_and_an_outside_reader_sees_them(slotted: Built) -> None:
    assert slotted.proof
    assert slotted.proof.holds
    text = files_of(slotted)["lamp_unplated.drl"].decode()
    lines = [one for one in ExcellonFile.from_string(text).objects if hasattr(one, "x1")]
    seen = sorted(
        (*sorted([(round(one.x1, 3), round(one.y1, 3)), (round(one.x2, 3), round(one.y2, 3))]),
         round(one.tool.diameter, 3))
        for one in lines
    )  # fmt: skip
    assert seen == [((43.0, 55.0), (57.0, 55.0), 6.0), ((67.2, 10.4), (75.2, 16.4), 4.0)]


def test_what_is_routed_is_not_milled_a_second_time(slotted: Built) -> None:
    """Edge and circle stand in the profile, the two slots do not."""
    profile = files_of(slotted)["lamp_profile.gbr"].decode()
    outlines = profile.count("D02*")
    assert outlines == 2
    assert drill_functions(slotted.design)["unplated"] == "NonPlated,1,2,NPTH,Rout"
    measures = {one.asks: one for one in slotted.proof.measures} if slotted.proof else {}
    assert measures["slots"].answer == "1 of 4 x 14 mm, 1 of 6 x 20 mm, routed, unplated".replace(
        "14 mm,", "14 mm, routed, unplated,"
    )
    assert measures["slots"].file == "lamp_unplated.drl"
    assert measures["cut-outs inside"].answer == "3"


def test_copper_and_parts_keep_off_a_slot_as_off_an_edge(slotted: Built) -> None:
    edges = slotted.design.artwork.edges
    assert len(edges) == 4
    assert not [finding for finding in slotted.findings if finding.code.startswith("edge.")]


DAMAGES = {
    "missing": ("G00X43.0Y55.0\nM15\nG01X57.0Y55.0\nM16\n", ""),
    "elsewhere": ("G01X57.0Y55.0", "G01X58.0Y55.0"),
    "another width": ("C6.0", "C5.0"),
    "not lifted": ("G01X57.0Y55.0\nM16", "G01X57.0Y55.0"),
    "no length": ("G01X57.0Y55.0", "G01X43.0Y55.0"),
    "a hole after it": ("M30", "X10.0Y10.0\nM30"),
}


@pytest.mark.parametrize("name", DAMAGES)
@pytest.mark.parametrize("alone", every([True, False], lambda place: place == 0))
def test_a_slot_that_is_not_as_meant_is_told(slotted: Built, name: str, *, alone: bool) -> None:
    """Held against the design, and against the netlist's edges without it."""
    files = files_of(slotted)
    before, after = DAMAGES[name]
    text = files["lamp_unplated.drl"].decode()
    assert before in text, text
    damaged = {**files, "lamp_unplated.drl": text.replace(before, after, 1).encode()}
    proof = prove(damaged, None if alone else slotted.design)
    assert not proof.holds


def test_a_slanting_slot_is_found_by_the_centres_of_its_ends(slotted: Built) -> None:
    rings = [ring for ring in slotted.design.board.outline.inner if slot_mm(ring)]
    sizes = sorted(size for ring in rings if (size := slot_mm(ring)))
    assert sizes == [pytest.approx((4.0, 14.0)), pytest.approx((6.0, 20.0))]
    ends = [slot_ends(ring) for ring in rings]
    lengths = sorted(math.dist(*pair) for pair in ends if pair)
    assert lengths == [pytest.approx(10.0), pytest.approx(14.0)]


def test_a_reader_takes_slots_with_holes_before_them() -> None:
    text = Path(__file__).with_name("slots.drl").read_bytes()
    reading = read_drill("x_unplated.drl", text)
    assert not reading.faults
    assert len(reading.holes) == 2
    assert [(slot.start, slot.end, slot.width_nm) for slot in reading.slots] == [
        ((48_000_000, 4_000_000), (52_000_000, 4_000_000), 2_000_000)
    ]

"""Test netlist: an outside reader sees every land, via and hole of the design.

Witness: the IPC-356 file reader of gerbonara, a general reader of the open format, in tests only.
"""

from pathlib import Path

import pytest
from gerbonara.ipc356 import Netlist, OutlineType, PadType, SoldermaskInfo

from boardgen.designing import design_board
from boardgen.export.netlist import netlist
from boardgen.model.artwork import Artwork
from boardgen.model.design import Design
from boardgen.readback.netlist import read_netlist
from boardgen.units import mm, snap
from tests.conftest import SHELF, SMALLEST, built_of, example_built, merged, parameters_of


def text_of(design: Design) -> str:
    (file,) = netlist(design)
    return file.content.decode("ascii")


def seen_by_the_witness(text: str) -> Netlist:
    return Netlist.from_string(text, "board.ipc")


def lands_of(design: Design) -> set[tuple[str, str, str, float, float]]:
    return {
        (part.net(land.name), part.reference, land.name, *_um(part.land_place(land)))
        for part in design.board.parts
        for land in part.pattern.lands
    }


def _um(place: tuple[float, float]) -> tuple[float, float]:
    """Round to whole micrometres from the grid: halves of mils stand between two."""
    return (round(snap(place[0]) / 1000) / 1000, round(snap(place[1]) / 1000) / 1000)


def test_an_outside_reader_sees_every_land_with_its_pin_and_net(example: Path) -> None:
    design = example_built(example).design
    records = seen_by_the_witness(text_of(design)).test_records
    seen = {
        (
            record.net_name or "N/C",
            record.ref_des,
            record.pin,
            round(record.x, 3),
            round(record.y, 3),
        )
        for record in records
        if record.pad_type in (PadType.SMD_PAD, PadType.THROUGH_HOLE) and not record.is_via
    }
    assert seen == lands_of(design)


def test_an_outside_reader_sees_every_hole_with_its_plating(example: Path) -> None:
    design = example_built(example).design
    records = seen_by_the_witness(text_of(design)).test_records
    seen = sorted(
        (round(record.x, 3), round(record.y, 3), round(record.hole_dia, 3), record.is_plated)
        for record in records
        if record.hole_dia
    )
    assert seen == sorted(holes_of(design.artwork))


def holes_of(artwork: Artwork) -> list[tuple[float, float, float, bool]]:
    return [
        (round(mm(hole.centre[0]), 3), round(mm(hole.centre[1]), 3),
         round(mm(hole.diameter_nm), 3), hole.plated)
        for hole in artwork.holes
    ]  # fmt: skip


def test_an_outside_reader_sees_the_boards_edge(example: Path) -> None:
    design = example_built(example).design
    outlines = seen_by_the_witness(text_of(design)).outlines
    assert len(outlines) == len(design.board.outline.rings)
    assert {outline.outline_type for outline in outlines} == {OutlineType.BOARD_EDGE}


def test_sides_are_told_by_access_and_by_mask() -> None:
    """formats.md 4: A00 both sides, A01 top; S0 no mask, S3 both (confirmed by a reader)."""
    records = seen_by_the_witness(text_of(built_of(SMALLEST).design)).test_records
    by_kind = {
        (record.pad_type, record.is_via): (record.access_layer, record.solder_mask)
        for record in records
    }
    assert by_kind == {
        (PadType.SMD_PAD, False): (1, SoldermaskInfo.NONE),
        (PadType.THROUGH_HOLE, False): (0, SoldermaskInfo.NONE),
        (PadType.THROUGH_HOLE, True): (0, SoldermaskInfo.BOTH),
        (PadType.NONPLATED_HOLE, False): (0, SoldermaskInfo.NONE),
    }


def test_columns_are_those_of_the_reference_page() -> None:
    """formats.md 4, worked record 7: read there; the columns were confirmed by a reader."""
    lines = text_of(built_of(SMALLEST).design).split("\n")
    worked = {
        "327VLED             D1    -1          A01X+010000Y+005000X1600Y0900R090 S0",
        "317GND              J1    -2    D1000PA00X+002540Y+002540X1800Y0000R000 S0",
        "317GND              VIA        MD0300PA00X+003000Y+008000X0600Y0000R000 S3",
        "367N/C              MH1   -     D3200UA00X+002500Y+002500X3200Y0000R000 S0",
    }
    patterns = {_shape(line) for line in worked}
    assert {_shape(line) for line in lines if line[:3] in ("317", "327", "367")} <= patterns
    assert lines[-2:] == ["999", ""]
    assert all(len(line) <= 80 for line in lines)


def _shape(line: str) -> str:
    """Keep a record's kind and where its marks stand; hide what differs from board to board."""
    fixed = {*range(3), 26, 31, 32, 37, *range(38, 42), 49, 57, 62, 67, 71, 72}
    shown = "".join(letter if at in fixed else "." for at, letter in enumerate(line))
    return shown if line[:3] == "317" else shown[:39] + ".." + shown[41:]


@pytest.mark.thorough
def test_a_board_longer_than_a_micrometre_field_is_written_in_tenths_of_a_mil() -> None:
    """Six digits of micrometres end at 999.999 mm; of 0.0001 inch at 2,540 mm (own sum)."""
    long = merged(SHELF, {"light": {"count": 52}, "form": {"pitch": "20 mm"}})
    design = design_board(parameters_of(long))
    assert design.board.outline.length_mm > 1000
    text = text_of(design)
    assert "P  UNITS CUST 0" in text
    reading = read_netlist("x", text.encode())
    assert not reading.faults
    assert max(x for x, _ in reading.edges[0]) == pytest.approx(
        design.board.outline.length_mm * 1e6, abs=1_270
    )


@pytest.mark.thorough
def test_ends_and_middles_of_nets_are_told_apart() -> None:
    """formats.md 4, practice 6: mid-points flagged. Between ballast and LED both lands are ends."""
    lines = text_of(built_of(SHELF).design).split("\n")
    middles = {line[20:31].strip() for line in lines if line[31:32] == "M"}
    assert not any(line.startswith("327B") and line[31] == "M" for line in lines)
    assert "VIA" in middles


@pytest.mark.thorough
def test_on_one_copper_side_every_land_is_reached_from_the_top() -> None:
    etched = merged(SMALLEST, {"order": {"house": "home-etched"}})
    records = seen_by_the_witness(text_of(built_of(etched).design)).test_records
    assert {record.access_layer for record in records if record.is_connected} == {1}
    assert not any(record.is_plated for record in records if record.hole_dia)

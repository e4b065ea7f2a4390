"""The rails as drawn, held against sums along the bar."""

import pytest

from boardgen.model.board import PartKind
from boardgen.model.design import Design
from tests.conftest import SHELF, Make, design_of, merged

SHEET_OHM = 0.017241 / 35
"""Resistance of a square of 35 µm copper: IEC 60028, from memory, confident (reference page 4)."""


def taps(design: Design) -> list[float]:
    """Distances of the ballasts' taps from the connector's pin, along the bar."""
    (connector,) = [p for p in design.board.parts if p.kind is PartKind.CONNECTOR]
    return sorted(
        abs(part.land_place(part.pattern.land("1"))[0] - connector.x_mm)
        for part in design.board.parts
        if part.kind is PartKind.RESISTOR
    )


@pytest.mark.parametrize("at", ["left", "right"])
def test_the_drop_of_one_row_is_the_sum_over_its_sections(design: Make, at: str) -> None:
    made = design(connector={"at": at})
    current = made.circuit.kinds[0].nominal.current_a
    feed = next(track for track in made.board.tracks if track.points[0][0] == track.points[1][0])
    upright = abs(feed.points[0][1] - feed.points[1][1])
    places = taps(made)
    level = sum(
        (after - before) * (len(places) - number)
        for number, (before, after) in enumerate(zip([0.0, *places], places, strict=False))
    )
    drop_track = abs(made.board.tracks[2].points[0][1] - made.board.tracks[2].points[1][1])
    rail = made.operation.rail_width_mm
    wanted = (
        current
        * SHEET_OHM
        * (upright * len(places) / feed.width_mm + level / rail + drop_track / 0.5)
    )
    assert made.operation.rail_drop_v == pytest.approx(wanted, rel=1e-9)


def test_the_outer_rail_carries_the_inner_rows_up_to_the_trunk() -> None:
    one = design_of(merged(SHELF, {"light": {"count": 8}}))
    two = design_of(merged(SHELF, {"light": {"count": 16}, "form": {"rows": 2}}))
    assert two.operation.rail_drop_v > one.operation.rail_drop_v


def test_a_rail_of_twice_the_width_loses_about_half() -> None:
    narrow, wide = (
        design_of(merged(SHELF, {"copper": {"rail": rail}, "form": {"width": "20 mm"}}))
        for rail in ("1 mm", "2 mm")
    )
    ratio = narrow.operation.rail_drop_v / wide.operation.rail_drop_v
    assert 1.7 < ratio < 2.0  # the drops to the ballasts do not widen


def test_power_is_supply_times_current(design: Make) -> None:
    made = design()
    assert made.operation.power_w == pytest.approx(5.0 * made.circuit.nominal_a)
    assert made.operation.worst_power_w == pytest.approx(5.5 * made.circuit.worst_a)

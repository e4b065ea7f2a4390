"""What the proof takes for arcs lies beside the true ones by next to nothing, however wide."""

import math

import pytest

from boardgen.build import build_board
from boardgen.model.shapes import Contour, Edge
from boardgen.readback.images import area
from boardgen.units import Nm, snap
from tests.laws.test_offers import read_with

MISSED_NM = 1_200.0
"""A value of our own, as `readback.images` states it."""


@pytest.mark.parametrize("radius_mm", [0.5, 4.0, 50.0, 500.0])
def test_a_ring_of_chords_lies_within_a_micrometre_or_so_of_its_circle(radius_mm: float) -> None:
    """Euclid: a chord lies inside its circle, deepest in its middle."""
    radius, centre = snap(radius_mm), (Nm(0), Nm(0))
    left, right = (Nm(-radius), Nm(0)), (radius, Nm(0))
    circle = Contour((Edge(left, centre), Edge(right, centre)))
    missed = math.pi * radius**2 - area(circle).area
    assert 0 < missed < math.tau * radius * MISSED_NM


@pytest.mark.thorough
def test_copper_that_ends_on_a_wide_arc_hides_no_slivers_and_shows_none() -> None:
    """Rail's moat and pour's edge, 1.5 mm each: found by share 501, refused by the proof once."""
    text = """
board = {title = "Arc", date = "2026-11-29"}
supply = {from = "alkaline AAA", cells = 4}
light = {led = "blue 1206", count = 4, current = "2.8 mA"}
form = {kind = "arc", pitch = "17.7 mm", from = "-10 deg", to = "90 deg"}
connector = {kind = "pin header 2.54 mm", at = "left"}
order.house = "fine"
"""
    built = build_board(read_with(text))
    assert built.proof
    assert built.proof.holds

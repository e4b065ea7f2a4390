"""Boards on which random files found a fault of boardgen's own, as they were drawn by lot."""

import pytest

from boardgen.checks.table import check
from boardgen.designing import draw_board
from boardgen.forms.disc import FILLINGS
from boardgen.model.artwork import Purpose
from boardgen.model.findings import Severity
from boardgen.model.shapes import Stroke
from boardgen.units import snap
from tests.conftest import parameters_of
from tests.laws.test_bars import proven

SHORT_RAIL = """\
[board]
title = "Form"
date = "2026-11-29"
[supply]
kind = "adapter"
low = "20.4 V"
nominal = "24 V"
high = "28.8 V"
[light]
led = "white 0805"
count = 6
current = "3.1 mA"
[resistor]
per_branch = 2
[protection]
[form]
kind = "ring"
pitch = "23.3 mm"
hole = "6.6 mm"
[connector]
kind = "terminal 5.08 mm"
poles = 2
at = "left"
side = "top"
[copper]
sides = 2
relief = "none"
[order]
house = "ordinary"
"""
TANGENT_ARCS = """\
[board]
title = "Form"
date = "2026-11-29"
[supply]
from = "adapter 12 V"
[light]
led = "green 3528"
count = 8
current = "12.1 mA"
[resistor]
per_branch = 1
[protection]
fuse = "500 mA resettable"
[form]
kind = "disc"
pitch = "13.7 mm"
filling = "concentric"
facing = "one way"
[connector]
kind = "terminal 5.08 mm"
poles = 3
at = "255 deg"
side = "top"
[copper]
sides = 2
relief = "all"
pour = "auto"
[order]
house = "fine"
"""
NEAR_A_MARK = """\
[board]
title = "Form"
date = "2026-11-29"
[supply]
from = "alkaline AA"
cells = 3
[light]
led = "green 0402"
count = 18
current = "1.9 mA"
[resistor]
per_branch = 1
[protection]
[form]
kind = "path"
pitch = "10 mm"
points = [["81.7 mm", "59.4 mm"], ["-125.2 mm", "55.7 mm"], ["-7.9 mm", "-75.6 mm"]]
closed = true
fillet = "12.1 mm"
[connector]
kind = "wire pads"
poles = 2
at = "right"
side = "bottom"
[copper]
sides = 1
relief = "all"
[order]
house = "home-etched"
"""
SHUT_IN = """\
[board]
title = "Form"
date = "2026-11-29"
[supply]
kind = "adapter"
low = "20.4 V"
nominal = "24 V"
high = "28.8 V"
[light]
led = "green 0603"
count = 9
current = "9.7 mA"
[resistor]
per_branch = 3
[protection]
fuse = "500 mA resettable"
[form]
kind = "disc"
pitch = "16.3 mm"
filling = "hexagonal"
[connector]
kind = "terminal 5.08 mm"
poles = 2
at = "bottom"
side = "top"
[copper]
sides = 2
relief = "all"
pour = "auto"
[order]
house = "fine"
"""


def test_a_rail_that_ends_within_a_hair_of_a_tap_feeds_it() -> None:
    """So short a piece is not drawn, for the copper meets; the network knew no node there."""
    design = draw_board(parameters_of(SHORT_RAIL))
    assert design.operation.rails.drop_v < 0.1
    assert not [one for one in check(design) if one.severity is Severity.ERROR]


@pytest.mark.thorough
def test_arcs_of_a_pour_that_meet_but_for_rounding_are_joined_by_no_line() -> None:
    """A line of one nanometre led back, and the contour touched itself."""
    proven(parameters_of(TANGENT_ARCS))


def _spokes(reference: str, text: str) -> list[Stroke]:
    """List the spokes of a part's land on 0 V, on a board that is proven."""
    design = proven(parameters_of(text))
    assert not [one for one in check(design) if one.severity is Severity.ERROR]
    part = design.board.part(reference)
    land = part.land_place(part.pattern.by_function("K"))
    middle = (snap(land[0]), snap(land[1]))
    return [
        item.shape
        for layer in design.artwork.coppers()
        for item in layer.items
        if item.purpose is Purpose.SPOKE
        and isinstance(item.shape, Stroke)
        and item.shape.points[0] == middle
    ]


@pytest.mark.thorough
def test_a_spoke_that_a_round_corner_all_but_reaches_is_not_drawn() -> None:
    """A K beside the land left half a micrometre too little of the pour at one spoke's end."""
    assert len(_spokes("D10", NEAR_A_MARK)) == 2


NINE = (
    (0.0, 28.2324281633727),
    (-8.15, 14.11621408168635),
    (8.15, 14.11621408168635),
    (24.45, 14.11621408168635),
    (-16.3, 0.0),
    (0.0, 0.0),
    (16.3, 0.0),
    (-8.15, -14.11621408168635),
    (8.15, -14.11621408168635),
)
"""How a disc of nine was filled when it was drawn."""


@pytest.mark.thorough
def test_a_cathode_that_tracks_shut_in_has_one_spoke_as_wide_as_two(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Two spokes across led to islands, and the pour at its via was opened away."""
    monkeypatch.setitem(FILLINGS, "hexagonal", lambda _count, _pitch: list(NINE))
    (lone,) = _spokes("D5", SHUT_IN)
    aims = parameters_of(SHUT_IN).parts.limits.aims
    assert 2 * lone.radius_nm == snap(2 * aims.chip_spoke_mm)

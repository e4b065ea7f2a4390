"""Boards on which random files found a fault of boardgen's own, as they were drawn by lot."""

import pytest

from boardgen.checks.table import check
from boardgen.designing import draw_board
from boardgen.model.findings import Severity
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


def test_a_rail_that_ends_within_a_hair_of_a_tap_feeds_it() -> None:
    """So short a piece is not drawn, for the copper meets; the network knew no node there."""
    design = draw_board(parameters_of(SHORT_RAIL))
    assert design.operation.rails.drop_v < 0.1
    assert not [one for one in check(design) if one.severity is Severity.ERROR]


@pytest.mark.thorough
def test_arcs_of_a_pour_that_meet_but_for_rounding_are_joined_by_no_line() -> None:
    """A line of one nanometre led back, and the contour touched itself."""
    proven(parameters_of(TANGENT_ARCS))

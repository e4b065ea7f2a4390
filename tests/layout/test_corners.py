"""Rounded corners keep off what lies near them."""

import pytest

from boardgen.build import design_board
from boardgen.checks.table import check
from boardgen.errors import RefusalError
from tests.conftest import merged, parameters_of

LONG = """\
[board]
title = "Far rail"
[supply]
low = "8 V"
nominal = "9 V"
high = "9.6 V"
[light]
led = "amber 0603"
count = 6
current = "0.5 mA"
[resistor]
size = "2512"
[protection]
fuse = "750 mA resettable"
reverse = "schottky"
[form]
kind = "bar"
pitch = "20 mm"
width = "34.7 mm"
[connector]
kind = "terminal 5.0 mm"
poles = 3
at = "right"
[mounting]
at = "none"
[copper]
weight = "2 oz"
relief = "none"
[order]
house = "first-time"
mask = "none"
"""
"""Found by the random run of the laws: the rail's round end lay 0.05 mm too near to a corner."""


def test_a_corner_that_comes_too_near_to_the_rails_end_is_refused_with_the_largest_that_fits() -> (
    None
):
    with pytest.raises(RefusalError) as caught:
        design_board(parameters_of(merged(LONG, {"form": {"corner": "2.8 mm"}})))
    assert 'the largest that fits: corner = "2.3 mm"' in str(caught.value)


def test_the_corner_that_is_offered_keeps_every_limit() -> None:
    design = design_board(parameters_of(merged(LONG, {"form": {"corner": "2.3 mm"}})))
    assert not [found for found in check(design) if found.code.startswith("edge.")]

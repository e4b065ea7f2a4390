"""Bounds as regular expressions: they admit what lies between, and nothing else."""

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardgen.reading.ranges import between

BOUNDS = st.decimals(-2000, 2000, places=3)
TEXTS = st.one_of(
    st.decimals(-3000, 3000, places=4).map(lambda number: f"{number:f}"),
    st.from_regex(r"[+-]?0{0,2}(\d{1,4}(\.\d{0,5})?|\.\d{1,5})", fullmatch=True).filter(
        str.isascii
    ),
)


@given(st.lists(BOUNDS, min_size=2, max_size=2), TEXTS)
@pytest.mark.thorough
def test_what_lies_between_is_admitted_and_nothing_else(bounds: list[Decimal], text: str) -> None:
    least, most = sorted(bounds)
    found = re.fullmatch(between(least, most), text)
    value = Decimal(text)
    if value == 0 and text.startswith("-") and least >= 0:
        return  # minus nothing is written by nobody
    assert bool(found) == (least <= value <= most), (least, most, text)


@given(BOUNDS, BOUNDS)
def test_the_bounds_themselves_are_admitted_and_a_last_digit_beyond_is_not(
    one: Decimal, other: Decimal
) -> None:
    least, most = sorted((one, other))
    admits = re.compile(between(least, most)).fullmatch
    step = Decimal("0.0001")
    assert admits(f"{least:f}")
    assert admits(f"{most:f}")
    assert not admits(f"{least - step:f}")
    assert not admits(f"{most + step:f}")

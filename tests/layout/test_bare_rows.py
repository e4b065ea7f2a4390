"""Rows of boards with one copper side: the pour passes between them, bars keep off large ballasts.

What random files found; the values are our own.
"""

import re

import pytest

from boardgen.build import design_board
from boardgen.checks.table import check
from boardgen.errors import RefusalError
from boardgen.reading.parameters import parse
from tests.conftest import SHELF, built_of, merged

ROWS = merged(
    SHELF,
    {
        "supply": {"from": None, "low": "20.4 V", "nominal": "24 V", "high": "28.8 V"},
        "light": {"led": "orange 0805", "count": 54, "use": "night-light"},
        "resistor": {"size": "0805"},
        "form": {"pitch": "309 mil", "rows": 3},
        "connector": {"kind": "terminal 2.54 mm", "poles": 4},
        "copper": {"sides": 1, "weight": "0.5 oz"},
    },
)


@pytest.mark.parametrize("house", ["home-etched", "milled"])
def test_the_closest_rows_that_are_offered_leave_the_pour_whole(house: str) -> None:
    """Rows four millimetres apart are refused with the least that would do."""
    close = {"order": {"house": house}, "form": {"row_pitch": "4 mm"}}
    with pytest.raises(RefusalError) as refused:
        design_board(parse(merged(ROWS, close), file="bar.toml", name="bar"))
    least = re.search(r'row_pitch = "([\d.]+ mm)"', str(refused.value))
    assert least
    fits = {"order": {"house": house}, "form": {"row_pitch": least[1]}}
    design = design_board(parse(merged(ROWS, fits), file="bar.toml", name="bar"))
    assert not {found.code for found in check(design)} & {"net.whole", "pour.thin"}


def test_a_copper_bar_beside_a_large_ballast_is_still_its_leds() -> None:
    text = merged(
        SHELF,
        {
            "light": {"led": "blue 0603", "count": 3},
            "resistor": {"size": "2512"},
            "copper": {"sides": 1, "weight": "2 oz"},
            "order": {"house": "home-etched"},
        },
    )
    proof = built_of(text).proof
    assert proof
    assert proof.holds

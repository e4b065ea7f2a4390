"""The spacing of conductors, row by row against figures from outside.

Source and standing: tests/published/spacing.toml (IPC-2221B table 6-1).
"""

import tomllib

import pytest

from boardgen.standards.spacing import Cover, spacing_mm
from tests.conftest import ROOT

ROWS = tomllib.loads((ROOT / "tests/published/spacing.toml").read_text(encoding="utf-8"))["rows"]
COLUMNS = (Cover.BARE, Cover.MASK, Cover.LANDS)


@pytest.mark.parametrize("volts", ROWS)
def test_a_row_holds_up_to_its_volts_and_not_beyond(volts: str) -> None:
    most_v = float(volts)
    for cover, wanted in zip(COLUMNS, ROWS[volts], strict=True):
        assert spacing_mm(most_v, cover) == wanted
    later = [row for row in ROWS if float(row) > most_v]
    for cover, wanted in zip(COLUMNS, ROWS[later[0]] if later else (), strict=False):
        assert spacing_mm(most_v + 0.001, cover) == wanted


def test_beyond_the_rows_kept_nothing_is_told() -> None:
    with pytest.raises(ValueError, match="beyond the rows"):
        spacing_mm(100.001, Cover.BARE)

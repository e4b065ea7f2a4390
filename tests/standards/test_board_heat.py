"""Heat of a board: figures as docs/sources.md has them, and sums redone by hand.

The figures are from memory (copper confident, the others of ordinary confidence), the share of a
side that is copper is our own choice; the sums are a pocket calculator's.
"""

import math

import pytest

from boardgen.standards import board_heat


def test_the_figures_are_those_of_the_sources() -> None:
    assert board_heat.FACE_W_PER_M2K == 10.0
    assert board_heat.FACE_BAND_W_PER_M2K == (8.0, 13.0)
    assert board_heat.COPPER_W_PER_MK == 390.0
    assert board_heat.BASE_W_PER_MK == 0.3


def test_a_sheet_of_two_ounces_and_base() -> None:
    """390 x 35 um x 2 x 0.8 + 0.3 x 1.6 mm = 21.84 + 0.48 mW/K."""
    assert board_heat.sheet_w_per_k(35.0, 2, 1.6) == pytest.approx(22.32e-3)
    assert board_heat.sheet_w_per_k(18.0, 1, 1.0) == pytest.approx(5.616e-3 + 0.3e-3)


def test_the_middle_of_a_stretch_between_plain_ends() -> None:
    """A = b = 25 mm, k t = 0.02 W/K: m = sqrt(20 / 0.02) = 31.62 / m, m a = 0.7906."""
    wanted = 1 - math.sinh(0.790569) / math.sinh(1.581139)
    assert board_heat.kept_share(50.0, 100.0, 0.02) == pytest.approx(wanted, rel=1e-5)


def test_a_long_thin_stretch_keeps_its_heat() -> None:
    """A kilometre of paper: no number overflows, and what lies far away takes nothing."""
    assert board_heat.kept_share(1e6, 2e6, 1e-6) == 1.0
    assert board_heat.kept_share(1.0, 1e6, 1e-3) == pytest.approx(1 - math.exp(-0.070711), rel=1e-4)


def test_what_a_watt_does_to_a_plain_square() -> None:
    """100 x 50 mm give off 2 x 10 x 0.005 = 0.1 W/K."""
    assert board_heat.rise_k_per_w((100.0, 50.0), (1.0, 1.0)) == pytest.approx(10.0)
    assert board_heat.rise_k_per_w((100.0, 50.0), (0.5, 0.4)) == pytest.approx(2.0)

"""How warm a board gets: the closed form against finite differences of the same sheet.

The differences are solved here with scipy's sparse solver (an outside witness); the equation, a
sheet that conducts along itself and gives heat off on both faces, is in any textbook of heat
transfer.
"""

from itertools import count
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import diags, eye, kron
from scipy.sparse.linalg import spsolve

from boardgen import settle
from boardgen.checks.table import check
from boardgen.electrical.cooling import HOTTEST_DEGC, balance_degc
from boardgen.electrical.explain import explain
from boardgen.electrical.size import size
from boardgen.model.circuit import Cooling
from boardgen.standards.board_heat import (
    FACE_BAND_W_PER_M2K,
    FACE_W_PER_M2K,
    kept_share,
    rise_k_per_w,
    sheet_w_per_k,
)
from tests.conftest import SHELF, Make, parameters_of

FACE = 10.0
"""W/(m² K) on either face, repeated on purpose: standards/board_heat.py says where it is from."""


def second_difference(count: int, step_m: float) -> Any:
    """Conduct between neighbours; nothing leaves at the ends."""
    middle = np.full(count, -2.0)
    middle[0] = middle[-1] = -1.0
    rows = diags([np.ones(count - 1), middle, np.ones(count - 1)], [-1, 0, 1])
    return rows / step_m**2


def hottest_k_per_w(
    heated_mm: tuple[float, float], whole_mm: tuple[float, float], sheet: float, cells: int = 120
) -> float:
    """Solve the whole sheet in cells and tell its hottest one, for one watt."""
    counts = tuple(max(12, round(cells * side / max(whole_mm))) | 1 for side in whole_mm)
    steps = tuple(side / 1e3 / count for side, count in zip(whole_mm, counts, strict=True))
    sides = [second_difference(n, step) for n, step in zip(counts, steps, strict=True)]
    flow = kron(sides[0], eye(counts[1])) + kron(eye(counts[0]), sides[1])
    inside = [
        np.abs((np.arange(n) + 0.5) * step - n * step / 2) <= heated / 2e3
        for n, step, heated in zip(counts, steps, heated_mm, strict=True)
    ]
    heat = np.outer(*inside).astype(float).ravel()
    heat /= heat.sum() * steps[0] * steps[1]
    return float(spsolve((2 * FACE * eye(flow.shape[0]) - sheet * flow).tocsc(), heat).max())


@pytest.mark.parametrize("sheet", [0.0005, 0.01, 0.03, 0.06])
@pytest.mark.parametrize("heated", [10.0, 60.0, 150.0])
def test_a_strip_is_as_warm_as_finite_differences_say(heated: float, sheet: float) -> None:
    """Along one way only the closed form is exact."""
    whole, width = 180.0, 18.0
    seen = hottest_k_per_w((heated, width), (whole, width), sheet, cells=721)
    told = rise_k_per_w((heated, width), (kept_share(heated, whole, sheet), 1.0))
    assert told == pytest.approx(seen, rel=0.03)


@pytest.mark.parametrize("whole", [(180.0, 18.0), (124.0, 38.0), (69.0, 32.0), (60.0, 60.0)])
@pytest.mark.parametrize("share", [0.3, 0.6, 1.0])
def test_a_sheet_is_as_warm_as_finite_differences_say_within_an_eighth(
    whole: tuple[float, float], share: float
) -> None:
    """The product of two factors is an estimate; the face's own band is wider (own choice)."""
    sheet = sheet_w_per_k(35.0, 2, 1.6)
    heated = (whole[0] * share, whole[1] * share)
    kept = (kept_share(heated[0], whole[0], sheet), kept_share(heated[1], whole[1], sheet))
    assert rise_k_per_w(heated, kept) == pytest.approx(
        hottest_k_per_w(heated, whole, sheet, cells=181), rel=0.125
    )


def test_four_watts_on_a_narrow_bar_warm_it_by_fifty_kelvin(design: Make) -> None:
    """Plain estimate with 10 to 13 W/(m² K) on both faces: 48 to 63 K (own arithmetic).

    4.1 W / (2 x 180 mm x 18 mm x 10…13) = 49…63 K for a board that is one temperature.
    """
    found = design(
        light={"count": 24, "current": "28 mA", "use": None},
        form={"pitch": "6 mm", "width": "18 mm"},
        connector={"at": "left"},
        supply={"from": "adapter 5 V"},
    )
    warmth, outline = found.circuit.warmth, found.board.outline
    plain = warmth.heat_w / (2 * FACE * outline.length_mm * outline.width_mm * 1e-6)
    rise = warmth.board_degc - warmth.air_degc
    assert warmth.heat_w > 4.0
    assert plain * 0.98 <= rise <= plain * 1.3  # what lies in the middle is warmer than the mean
    assert "heat.board" in {one.code for one in check(found)}


def test_the_board_warms_what_stands_on_it(design: Make) -> None:
    """Junctions, ratings and forward volts start from the board, not from the air."""
    close, wide = (
        design(
            light={"count": 24, "current": "20 mA", "use": None},
            form={"pitch": pitch},
            supply={"from": "adapter 5 V"},
        )
        for pitch in ("6 mm", "20 mm")
    )
    assert close.circuit.warmth.board_degc > wide.circuit.warmth.board_degc + 10
    assert close.circuit.worst_a > wide.circuit.worst_a


@given(heated=st.floats(1.0, 400.0), plain=st.floats(0.0, 400.0), sheet=st.floats(0.0003, 0.2))
def test_plain_ends_only_cool(heated: float, plain: float, sheet: float) -> None:
    """Between all of the heat kept and shared out evenly, and longer ends never warm."""
    kept = kept_share(heated, heated + plain, sheet)
    assert heated / (heated + plain) - 1e-9 <= kept <= 1.0
    assert kept_share(heated, heated + 2 * plain, sheet) <= kept + 1e-12


@given(heat_w=st.floats(0.0, 5.0), k_per_w=st.floats(0.0, 40.0))
def test_a_steady_heat_is_balanced_at_once(heat_w: float, k_per_w: float) -> None:
    assert balance_degc(40.0, k_per_w, lambda _: heat_w) == pytest.approx(
        min(40.0 + k_per_w * heat_w, HOTTEST_DEGC)
    )


def test_a_balance_that_runs_away_ends() -> None:
    assert balance_degc(25.0, 50.0, lambda degc: degc / 20) == HOTTEST_DEGC


def test_the_figure_lies_in_its_band() -> None:
    assert FACE_BAND_W_PER_M2K[0] <= FACE_W_PER_M2K <= FACE_BAND_W_PER_M2K[1]
    assert FACE_W_PER_M2K == FACE


def test_a_board_whose_warmth_does_not_come_to_rest_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Own check: a cooling that changes with every round stands for measures that swing."""
    parameters, rounds = parameters_of(SHELF), count(1)
    calm, board = settle.settle(parameters, size(parameters))
    assert calm.warmth.settled
    assert "last of four rounds" not in str(explain(parameters, calm))
    monkeypatch.setattr(
        settle, "cooling", lambda *_: Cooling(k_per_w=20.0 + next(rounds), kept=(1.0, 1.0))
    )
    circuit, _ = settle.settle(parameters, size(parameters))
    assert not circuit.warmth.settled
    assert "last of four rounds" in str(explain(parameters, circuit))
    assert board

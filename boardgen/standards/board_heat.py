"""How warm a board gets in still air: a sheet that spreads its heat and gives it off on both faces.

Estimates. Heat leaves by convection and radiation, together about 10 W/(m² K) on either face (8 to
13 for small warm boards; from memory, ordinary confidence). Copper and base carry it sideways: of a
heated stretch of half-length a with plain ends of length b beyond it, the fin equation (any
textbook of heat transfer) gives for the middle

    rise = q/(2 h) · (1 − sinh(m b) / sinh(m (a + b))),  m = √(2 h / (k t)),

with q the heat per area of the stretch and k t the sheet's conductance. With m → 0 the whole board
shares the heat, with m → ∞ the stretch keeps it. Along and across, the two factors are multiplied,
which is an estimate of its own.
"""

import math

FACE_W_PER_M2K = 10.0
FACE_BAND_W_PER_M2K = (8.0, 13.0)
COPPER_W_PER_MK = 390.0
"""Of copper as rolled or plated, from memory, confident."""

BASE_W_PER_MK = 0.3
"""Of glass fibre and epoxy, from memory, ordinary confidence."""

POURED_SHARE = 0.8
"""How much of a side its copper covers: own choice; tracks, gaps and reliefs take the rest."""

_MM_PER_M = 1_000.0
_UM_PER_M = 1_000_000.0
_STEEP = 300.0


def sheet_w_per_k(weight_um: float, sides: int, thickness_mm: float) -> float:
    """Find k·t of a board: what a square of it conducts from edge to edge, in W/K."""
    copper = COPPER_W_PER_MK * weight_um / _UM_PER_M * sides * POURED_SHARE
    return copper + BASE_W_PER_MK * thickness_mm / _MM_PER_M


def kept_share(heated_mm: float, whole_mm: float, sheet: float) -> float:
    """Tell what share of its own rise a heated stretch keeps, given the plain ends it has.

    Parameters
    ----------
    heated_mm, whole_mm : float
        Length of the stretch, which lies in the middle, and of the board.
    sheet : float
        k·t in W/K, see `sheet_w_per_k`.

    Examples
    --------
    >>> kept_share(100.0, 100.0, 0.03)
    1.0
    >>> round(kept_share(1.0, 10.0, 1e6), 6)
    0.1
    """
    fin = math.sqrt(2 * FACE_W_PER_M2K / sheet) / _MM_PER_M
    half, end = fin * heated_mm / 2, fin * max(0.0, whole_mm - heated_mm) / 2
    if half + end > _STEEP:
        return 1.0 - math.exp(-half) if end else 1.0
    return 1.0 - math.sinh(end) / math.sinh(half + end)


def rise_k_per_w(heated_mm: tuple[float, float], kept: tuple[float, float]) -> float:
    """Tell how much warmer than the air the middle gets for each watt on the board.

    Parameters
    ----------
    heated_mm : (float, float)
        Along and across: the stretch that holds the heat.
    kept : (float, float)
        What it keeps of its own rise each way, see `kept_share`.
    """
    area_m2 = heated_mm[0] * heated_mm[1] / _MM_PER_M**2
    return kept[0] * kept[1] / (2 * FACE_W_PER_M2K * area_m2)

"""How warm all heat of a board together makes it: by its measures as laid out."""

from collections.abc import Callable

from boardgen.electrical.strip import Strip
from boardgen.forms.table import plan
from boardgen.model.board import Board
from boardgen.model.circuit import Cooling
from boardgen.model.parameters import Parameters
from boardgen.standards.board_heat import kept_share, rise_k_per_w, sheet_w_per_k

_MOST_ROUNDS = 50
_SETTLED_K = 1e-6
HOTTEST_DEGC = 400.0
"""Nothing on a board outlives this: a balance that runs away ends here."""


def cooling(parameters: Parameters, board: Board) -> Cooling:
    """Tell how a board gets rid of its heat, from its measures.

    The heat lies where LEDs and ballasts are, half a pitch around them; a ring is unrolled.
    """
    strip, copper = Strip(board), parameters.copper
    whole = (strip.length_mm, strip.mean_width_mm)
    places = [strip.at((part.x_mm, part.y_mm)) for part in board.parts if part.kind.row.in_branch]
    pitch = plan(parameters).pitch_mm
    length, width = (
        min(most, max(at) - min(at) + pitch)
        for at, most in zip(zip(*places, strict=True), whole, strict=True)
    )
    sheet = sheet_w_per_k(copper.weight_um, copper.sides, parameters.order.thickness_mm)
    kept = (kept_share(length, whole[0], sheet), kept_share(width, whole[1], sheet))
    return Cooling(
        heated_mm=(length, width), kept=kept, k_per_w=rise_k_per_w((length, width), kept)
    )


def balance_degc(air_degc: float, k_per_w: float, heat_w: Callable[[float], float]) -> float:
    """Find the temperature at which a board gives off the heat that it makes at it.

    Parameters
    ----------
    air_degc : float
        The air around it.
    k_per_w : float
        How much warmer each watt makes it; 0 where nothing is known of the board yet.
    heat_w : callable
        The heat at a temperature of the board; warmer LEDs let a little more current through.
    """
    board = air_degc
    for _ in range(_MOST_ROUNDS if k_per_w else 0):
        before = board
        board = min(air_degc + k_per_w * heat_w(before), HOTTEST_DEGC)
        if abs(board - before) < _SETTLED_K:
            break
    return board

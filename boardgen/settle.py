"""Size and lay out until the warmth of the board agrees with what it was sized for."""

from dataclasses import replace

from boardgen.electrical.cooling import cooling
from boardgen.electrical.size import size
from boardgen.layout.any_form import lay_out, same_board
from boardgen.model.board import Board
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters

_MOST_ROUNDS = 4


def settle(parameters: Parameters, circuit: Circuit) -> tuple[Circuit, Board]:
    """Lay a circuit out, and size it anew for the warmth of the board that came of it.

    How warm a board gets depends on its measures, and these a little on the current. Two rounds
    usually do; the last is taken when measures do not come to rest, and its warmth says so.

    Raises
    ------
    RefusalError
        When no board follows.
    """
    board = lay_out(parameters, circuit)
    for _ in range(_MOST_ROUNDS):
        found = cooling(parameters, board)
        if found == circuit.warmth.cooling:
            return circuit, board
        before, circuit = circuit, size(parameters, found)
        if not same_board(parameters, before, circuit):
            board = lay_out(parameters, circuit)
    settled = cooling(parameters, board) == circuit.warmth.cooling
    return replace(circuit, warmth=replace(circuit.warmth, settled=settled)), board

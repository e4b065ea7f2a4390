"""The table of layouts: which one lays out each form."""

from collections.abc import Callable

from boardgen.layout import bar, chain
from boardgen.model.board import Board
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters

LAYOUTS: dict[str, Callable[[Parameters, Circuit], Board]] = {
    "bar": bar.lay_out,
    "grid": bar.lay_out,
    "ring": chain.lay_out,
}


def lay_out(parameters: Parameters, circuit: Circuit) -> Board:
    """Lay a board out in its form.

    Raises
    ------
    RefusalError
        When something does not fit, with the smallest change that would.
    """
    return LAYOUTS[parameters.form.kind](parameters, circuit)

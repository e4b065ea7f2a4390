"""A board of any form, laid out by what its plan gives."""

from boardgen.forms.table import plan
from boardgen.layout.rows import lay_out as rows
from boardgen.layout.scattered import lay_out as scattered
from boardgen.layout.spines import lay_out as spines
from boardgen.model.board import Board
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters


def lay_out(parameters: Parameters, circuit: Circuit) -> Board:
    """Lay a board out along the spines of its plan's sketch, or in rows where there is none.

    Raises
    ------
    RefusalError
        When something does not fit, with the smallest change that would.
    """
    planned = plan(parameters)
    if planned.scattered:
        return scattered.lay_out(parameters, circuit)
    if planned.sketch:
        return spines.lay_out(parameters, circuit)
    return rows.lay_out(parameters, circuit)

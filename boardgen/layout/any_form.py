"""A board of any form, laid out by what its plan gives."""

import math

from boardgen.errors import Change, RefusalError
from boardgen.forms.table import plan
from boardgen.layout.reads import measures_of
from boardgen.layout.rows import lay_out as rows
from boardgen.layout.scattered import lay_out as scattered
from boardgen.layout.spines import lay_out as spines
from boardgen.layout.words import supply_words
from boardgen.model.board import Board
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters
from boardgen.tolerances import HAIR_MM


def lay_out(parameters: Parameters, circuit: Circuit) -> Board:
    """Lay a board out along the spines of its plan's sketch, or in rows where there is none.

    Raises
    ------
    RefusalError
        When something does not fit, with the smallest change that would.
    """
    planned = plan(parameters)
    if planned.size_mm is not None and planned.size_mm > planned.most_mm:
        raise _sides_would_meet(parameters)
    if planned.scattered:
        return scattered.lay_out(parameters, circuit)
    if planned.sketch:
        return spines.lay_out(parameters, circuit)
    return rows.lay_out(parameters, circuit)


def _sides_would_meet(parameters: Parameters) -> RefusalError:
    """Refuse an edge further out than the line's bends and the house's cutter allow."""
    planned = plan(parameters)
    key = planned.measures[0].key if planned.measures else planned.keys.across
    most_mm = math.floor(10 * planned.most_mm + HAIR_MM) / 10
    most = Change(path=key, value=f'"{most_mm:g} mm"')
    return RefusalError(parameters.problem(key, "the board's sides would meet", offers=(most,)))


def same_board(parameters: Parameters, one: Circuit, other: Circuit) -> bool:
    """Tell whether two circuits of a board are laid out the same: a little more current may be."""
    words = {supply_words(parameters, circuit) for circuit in (one, other)}
    return len(words) == 1 and measures_of(parameters, one) == measures_of(parameters, other)

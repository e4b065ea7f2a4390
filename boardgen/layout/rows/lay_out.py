"""LEDs in equal rows, all facing one way, the rail along each row: measures, then the drawing."""

from dataclasses import replace

from boardgen.errors import Change, RefusalError
from boardgen.layout.drawing import finished
from boardgen.layout.inlet import guard_side
from boardgen.layout.rows.frame import frame
from boardgen.layout.writer import NoRoomError
from boardgen.model.board import Board
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters


def lay_out(parameters: Parameters, circuit: Circuit) -> Board:
    """Lay a bar out; where letters find no room and the width is free, as much wider as they need.

    Raises
    ------
    RefusalError
        When something does not fit, with the smallest change that would.
    """
    _refuse_gate_astray(parameters)
    free = not parameters.printed and parameters.form.width_mm is None
    if parameters.printed and parameters.form.width_mm is None:
        return _widened(parameters, circuit)
    for more_lines in range(_MOST_LINES if free else 0):
        try:
            return _lay_out(parameters, circuit, more_lines)
        except NoRoomError:
            continue
    return _lay_out(parameters, circuit, _MOST_LINES if free else 0)


_MOST_LINES = 4
_MOST_WIDER = 3


def _widened(parameters: Parameters, circuit: Circuit) -> Board:
    """Lay a printed bar out as wide as its parts ask for, or wider for words that have to stand."""
    form = parameters.form
    for _ in range(_MOST_WIDER):
        try:
            return _lay_out(replace(parameters, form=form), circuit, 0)
        except NoRoomError as error:
            form = replace(form, width_mm=error.width_mm)
    return _lay_out(replace(parameters, form=form), circuit, 0)


def _refuse_gate_astray(parameters: Parameters) -> None:
    """Refuse a transistor whose gate would lie between the + line and the edge, cut off."""
    guard = parameters.parts.reverse
    if guard and guard.kind == "transistor" and guard_side(parameters) < 0:
        raise RefusalError(
            parameters.problem(
                "protection.reverse",
                what=f"a {guard.name} transistor's gate finds no way to 0 V beside a connector that"
                " is mounted from below",
                offers=(Change(path="protection.reverse", value='"schottky"'),),
            )
        )


def _lay_out(parameters: Parameters, circuit: Circuit, more_lines: int) -> Board:
    return finished(parameters, circuit, frame(parameters, circuit, more_lines))

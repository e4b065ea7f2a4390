"""The line from parameters to the sums; no artwork, so that they are shown at once."""

from boardgen.electrical.explain import explain
from boardgen.electrical.operate import operate
from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.layout.bar import lay_out
from boardgen.model.explanation import Step
from boardgen.model.parameters import Parameters


def explain_board(parameters: Parameters) -> tuple[tuple[Step, ...], RefusalError | None]:
    """List the sums; when no board can be laid out, those of the circuit, and why.

    Raises
    ------
    RefusalError
        When no circuit follows from the parameters.
    """
    circuit = size(parameters)
    try:
        board = lay_out(parameters, circuit)
    except RefusalError as refusal:
        return explain(parameters, circuit), refusal
    return explain(parameters, circuit, operate(parameters, circuit, board)), None

"""The line from parameters to the sums; of the artwork only copper, in which current flows."""

from boardgen.artwork.draw import coppers
from boardgen.designing import with_offers
from boardgen.electrical.explain import explain
from boardgen.electrical.in_short import in_short
from boardgen.electrical.operate import operate
from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.model.explanation import Sums
from boardgen.model.parameters import Parameters
from boardgen.settle import settle


def explain_board(parameters: Parameters) -> Sums:
    """List the sums; when no board can be laid out, those of the circuit, and why.

    Raises
    ------
    RefusalError
        When no circuit follows from the parameters.
    """
    try:
        circuit = size(parameters)
    except RefusalError as refusal:
        raise with_offers(refusal, parameters) from None
    try:
        circuit, board = settle(parameters, circuit)
    except RefusalError as refusal:
        return Sums(
            parameters=parameters,
            short=in_short(parameters, circuit, None),
            steps=explain(parameters, circuit),
            refusal=with_offers(refusal, parameters),
        )
    operation = operate(parameters, circuit, board, coppers(parameters, board))
    return Sums(
        parameters=parameters,
        short=in_short(parameters, circuit, operation, board.outline),
        steps=explain(parameters, circuit, operation),
    )

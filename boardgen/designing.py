"""Parameters → a board drawn and judged, with offers that were tried."""

from boardgen.artwork.draw import draw
from boardgen.checks.table import judge
from boardgen.electrical.operate import operate
from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.model.design import Design
from boardgen.model.findings import Judgement
from boardgen.model.parameters import Parameters
from boardgen.reading.family import changed
from boardgen.remedies.offers import with_changes, with_tried_offers
from boardgen.settle import settle


def design_board(parameters: Parameters) -> Design:
    """Size, lay out, operate, draw.

    Raises
    ------
    RefusalError
        When no board follows from the parameters; what it offers was tried.
    """
    try:
        return draw_board(parameters)
    except RefusalError as refusal:
        raise with_offers(refusal, parameters) from None


def draw_board(parameters: Parameters) -> Design:
    """Design a board; what a refusal offers is untried, which is quicker."""
    circuit, board = settle(parameters, size(parameters))
    artwork = draw(parameters, board)
    return Design(
        parameters=parameters,
        limits=parameters.parts.limits,
        circuit=circuit,
        board=board,
        operation=operate(parameters, circuit, board, artwork.coppers()),
        artwork=artwork,
    )


def judge_board(design: Design) -> Judgement:
    """Run every rule, and look for changes that pass what they hold against the board."""
    return with_changes(judge(design), design, changed, draw_board)


def with_offers(refusal: RefusalError, parameters: Parameters) -> RefusalError:
    """Let a refusal of a board offer only what was tried."""
    return with_tried_offers(refusal, parameters, changed, draw_board)

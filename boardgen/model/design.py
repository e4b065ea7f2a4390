"""A design: everything that is known of a board before files are written."""

from dataclasses import dataclass

from boardgen.model.artwork import Artwork
from boardgen.model.board import Board
from boardgen.model.circuit import Circuit
from boardgen.model.limits import Limits
from boardgen.model.operation import Operation
from boardgen.model.parameters import Parameters


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """Parameters, limits and what every stage made of them."""

    parameters: Parameters
    limits: Limits
    circuit: Circuit
    board: Board
    operation: Operation
    artwork: Artwork

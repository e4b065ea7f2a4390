"""All layers of a board."""

from boardgen.artwork.copper import copper
from boardgen.artwork.holes import holes, profile
from boardgen.artwork.legend import legend
from boardgen.artwork.mask import mask, paste
from boardgen.model.artwork import Artwork
from boardgen.model.board import Board, Side
from boardgen.model.parameters import Parameters


def draw(parameters: Parameters, board: Board) -> Artwork:
    """Draw every layer and list every hole.

    Parameters
    ----------
    parameters : Parameters
        For limits, letters, mask colour and relief.
    board : Board
        What is to be drawn.

    Returns
    -------
    Artwork
        On the 1 nm grid.
    """
    limits = parameters.limits
    drilled = holes(board)
    masks = {side: mask(board, limits, parameters.order.mask, side) for side in Side}
    legends = {
        side: legend(board, limits, parameters.lettering, side, masks[side].items, drilled)
        for side in Side
    }
    layers = (
        *(copper(board, limits, parameters.copper.relief, side) for side in Side),
        *masks.values(),
        *(layer for layer, _ in legends.values()),
        paste(board, limits),
        profile(board, limits),
    )
    trimmed = tuple(name for _, cut in legends.values() for name in cut)
    return Artwork(layers=layers, holes=drilled, trimmed=trimmed)

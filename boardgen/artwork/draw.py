"""All layers of a board."""

from boardgen.artwork.copper import copper
from boardgen.artwork.holes import holes, profile, slots
from boardgen.artwork.legend import copper_letters, legend
from boardgen.artwork.mask import mask, paste
from boardgen.model.artwork import Artwork, Layer
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
    limits, order = parameters.parts.limits, parameters.order
    drilled = holes(board, plated=len(parameters.sides) > 1)
    masks = {
        side: mask(board, limits, order.mask, side)
        for side in parameters.sides
        if order.mask != "none"
    }
    legends = {
        side: legend(
            board,
            limits,
            parameters.parts.lettering,
            side,
            masks[side].items if side in masks else (),
            drilled,
        )
        for side in Side
        if parameters.printed
    }
    layers = (
        *coppers(parameters, board),
        *masks.values(),
        *(layer for layer, _ in legends.values()),
        paste(board, limits),
        profile(board, limits),
    )
    trimmed = tuple(name for _, cut in legends.values() for name in cut)
    return Artwork(layers=layers, holes=drilled, slots=slots(board, limits), trimmed=trimmed)


def coppers(parameters: Parameters, board: Board) -> tuple[Layer, ...]:
    """Draw the copper layers alone."""
    return tuple(_copper(parameters, board, side) for side in parameters.sides)


def _copper(parameters: Parameters, board: Board, side: Side) -> Layer:
    letters = () if parameters.printed else copper_letters(board, parameters.parts.lettering, side)
    return copper(board, parameters.parts.limits, parameters.copper.relief, side, letters)

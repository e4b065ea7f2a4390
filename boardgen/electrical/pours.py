"""The return through the pours, as a chain of strips along the line of the LEDs."""

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from boardgen.electrical.network import Tree
from boardgen.electrical.strip import Box, Strip
from boardgen.model.board import Board, Part, Side
from boardgen.model.circuit import RETURN_NET
from boardgen.model.parameters import Parameters
from boardgen.tolerances import JOINED_OHM

_STEP_MM = 0.25
_LEAST_WIDTH_MM = 0.25
SUM_IS_LOW = (0.15, 0.66)
"""So much less than finite differences on written copper: measured on boards of 0.5.2."""


def pour_resistances(
    parameters: Parameters, board: Board, connector: Part, lasts: list[Part], sheet_ohm: float
) -> tuple[Tree, list[int], int]:
    """Turn the pours into a chain from the connector's − along the LEDs, round a ring both ways.

    The current is taken to run along the LEDs, over all of the width that foreign copper leaves at
    each place; the second side counts where vias join it. Left out are the crowding at the pin and
    what the cathodes' spokes resist, so that the drop comes out some tenths too low; it is a small
    part of the whole.

    Returns
    -------
    Tree
        The chain, its root at the connector.
    list of int
        The node of each branch's last LED.
    int
        The node that is furthest from the connector.
    """
    strip = Strip(board)
    ohms_per_step = sheet_ohm * _STEP_MM / pour_widths_mm(parameters, board, strip)
    root_x = strip.at(connector.land_place(connector.pattern.by_function("-")))[0]
    places = [strip.at(part.land_place(part.pattern.by_function("K")))[0] for part in lasts]
    if strip.closed:
        # Seen from the connector each place lies ahead or behind, whichever way is shorter.
        ohms_per_step = np.tile(ohms_per_step, 3)
        root_x += strip.length_mm
        places = [root_x + math.remainder(x - root_x, strip.length_mm) for x in places]
    summed = np.concatenate([[0.0], np.cumsum(ohms_per_step)])

    def until(x_mm: float) -> float:
        return float(np.interp(x_mm, np.arange(len(summed)) * _STEP_MM, summed))

    parents, ohms, node_of = [-1], [0.0], {}
    for way in (1, -1):
        before, at = 0, root_x
        for x in sorted({x for x in places if (x - root_x) * way >= 0}, key=lambda x: x * way):
            if x not in node_of:
                parents.append(before)
                ohms.append(max(abs(until(x) - until(at)), JOINED_OHM))
                before, at = len(parents) - 1, x
                node_of[x] = before
    far = max(node_of, key=lambda x: abs(x - root_x))
    tree = Tree(parents=tuple(parents), ohms=tuple(ohms))
    return tree, [node_of[x] for x in places], node_of[far]


def pour_widths_mm(parameters: Parameters, board: Board, strip: Strip) -> npt.NDArray[np.float64]:
    """Measure how wide the pours are at each step along the strip, joined sides together."""
    width = np.zeros(_cells(strip.length_mm))
    # Without vias only the connector's pin joins the other side: it carries next to nothing.
    joined = board.pours if board.vias else board.pours[:1]
    for pour in joined:
        free = _free(parameters, board, strip, pour.side, pour.edge_mm)
        width += free.sum(axis=1) * _STEP_MM
    return np.maximum(width, _LEAST_WIDTH_MM)


def _cells(length_mm: float) -> int:
    return max(1, round(length_mm / _STEP_MM))


def _free(
    parameters: Parameters, board: Board, strip: Strip, side: Side, edge_mm: float
) -> npt.NDArray[np.bool_]:
    """Rasterise one side: where the pour is, after everything foreign has been cut out."""
    free = np.ones((_cells(strip.length_mm), _cells(strip.width_mm)), dtype=bool)
    rim = round(edge_mm / _STEP_MM)
    if rim:
        free[:, :rim] = free[:, -rim:] = False
        if not strip.closed:
            free[:rim] = free[-rim:] = False
    aims = parameters.limits.aims
    cut_out = (*_foreign(board, strip, side, aims.pour_gap_mm), *_holes(parameters, board, strip))
    for x, y, half_x, half_y in cut_out:
        low, high = (max(0, round((y + way * half_y) / _STEP_MM)) for way in (-1, 1))
        for shift in (-strip.length_mm, 0.0, strip.length_mm) if strip.closed else (0.0,):
            left, right = (max(0, round((x + shift + way * half_x) / _STEP_MM)) for way in (-1, 1))
            free[left:right, low:high] = False
    return free


def _foreign(board: Board, strip: Strip, side: Side, gap_mm: float) -> Iterator[Box]:
    for track in board.tracks:
        if track.side is side and track.net != RETURN_NET:
            for start, end in pairwise(track.points):
                yield strip.piece(start, end, track.width_mm / 2 + gap_mm)
    for part in board.parts:
        for land in part.pattern.lands:
            if (land.hole_mm or part.side is side) and part.net(land.name) != RETURN_NET:
                yield strip.area(part, land.extent, gap_mm)


def _holes(parameters: Parameters, board: Board, strip: Strip) -> Iterator[Box]:
    for part in board.parts:
        for plain in part.pattern.holes:
            half = plain.hole_mm / 2 + parameters.limits.aims.pour_hole_mm
            yield strip.disc(part.place(plain.x_mm, plain.y_mm), half)
    for hole in board.holes:
        yield strip.disc((hole.x_mm, hole.y_mm), hole.room_mm / 2)

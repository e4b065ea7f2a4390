"""The return through the pours, as a chain of strips along the bar."""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from boardgen.electrical.network import Tree
from boardgen.model.board import Board, Part, Side
from boardgen.model.circuit import RETURN_NET
from boardgen.model.land_pattern import half_size
from boardgen.model.parameters import Parameters
from boardgen.tolerances import JOINED_OHM

_STEP_MM = 0.25
_LEAST_WIDTH_MM = 0.25
SUM_IS_LOW = (0.15, 0.66)
"""So much less than finite differences on written copper: measured on boards of 0.5.2."""


def pour_resistances(
    parameters: Parameters, board: Board, connector: Part, lasts: list[Part], sheet_ohm: float
) -> tuple[Tree, list[int], int]:
    """Turn the pours into a chain from the connector's − along the bar.

    The current is taken to run along the bar, over all of the width that foreign copper leaves at
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
    ohms_per_step = sheet_ohm * _STEP_MM / pour_widths_mm(parameters, board)
    summed = np.concatenate([[0.0], np.cumsum(ohms_per_step)])
    root_x = connector.land_place(connector.pattern.by_function("-"))[0]
    places = [part.land_place(part.pattern.by_function("K"))[0] for part in lasts]

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


def pour_widths_mm(parameters: Parameters, board: Board) -> npt.NDArray[np.float64]:
    """Measure how wide the pours are at each step along the bar, joined sides together."""
    width = np.zeros(_cells(board.outline.length_mm))
    # Without vias only the connector's pin joins the other side: it carries next to nothing.
    joined = board.pours if board.vias else board.pours[:1]
    for pour in joined:
        free = _free(parameters, board, pour.side, pour.edge_mm)
        width += free.sum(axis=1) * _STEP_MM
    return np.maximum(width, _LEAST_WIDTH_MM)


def _cells(length_mm: float) -> int:
    return max(1, round(length_mm / _STEP_MM))


def _free(
    parameters: Parameters, board: Board, side: Side, edge_mm: float
) -> npt.NDArray[np.bool_]:
    """Rasterise one side: where the pour is, after everything foreign has been cut out."""
    outline, gap = board.outline, parameters.limits.aims.pour_gap_mm
    free = np.ones((_cells(outline.length_mm), _cells(outline.width_mm)), dtype=bool)
    rim = round(edge_mm / _STEP_MM)
    if rim:
        free[:rim] = free[-rim:] = False
        free[:, :rim] = free[:, -rim:] = False
    for x, y, half_x, half_y in (*_foreign(board, side, gap), *_holes(parameters, board)):
        left, right = (max(0, round((x + way * half_x) / _STEP_MM)) for way in (-1, 1))
        low, high = (max(0, round((y + way * half_y) / _STEP_MM)) for way in (-1, 1))
        free[left:right, low:high] = False
    return free


Boxes = Iterator[tuple[float, float, float, float]]
"""Middle and half sizes of what is cut out."""


def _foreign(board: Board, side: Side, gap_mm: float) -> Boxes:
    for track in board.tracks:
        if track.side is side and track.net != RETURN_NET:
            for (x1, y1), (x2, y2) in pairwise(track.points):
                reach = track.width_mm / 2 + gap_mm
                yield ((x1 + x2) / 2, (y1 + y2) / 2, abs(x1 - x2) / 2 + reach,
                       abs(y1 - y2) / 2 + reach)  # fmt: skip
    for part in board.parts:
        for land in part.pattern.lands:
            if (land.hole_mm or part.side is side) and part.net(land.name) != RETURN_NET:
                half_w, half_h = half_size(part.land_extent(land))
                yield (*part.land_place(land), half_w + gap_mm, half_h + gap_mm)


def _holes(parameters: Parameters, board: Board) -> Boxes:
    for part in board.parts:
        for plain in part.pattern.holes:
            half = plain.hole_mm / 2 + parameters.limits.aims.pour_hole_mm
            yield (*part.place(plain.x_mm, plain.y_mm), half, half)
    for hole in board.holes:
        yield hole.x_mm, hole.y_mm, hole.room_mm / 2, hole.room_mm / 2

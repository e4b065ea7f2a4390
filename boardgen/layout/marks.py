"""Drawn lines of the legend: bodies, cathode bars."""

from boardgen.model.board import Board, Mark, MarkRole, Part, PartKind, Point, Side
from boardgen.model.limits import Limits
from boardgen.model.parameters import Parameters


def marks(parameters: Parameters, board: Board) -> tuple[Mark, ...]:
    """Draw each part's body beside its lands and a bar at each LED's cathode."""
    limits = parameters.limits
    found: list[Mark] = []
    for part in board.parts:
        if part.kind is PartKind.CONNECTOR:
            found += _connector(part, limits)
            continue
        found += _body_lines(part, limits)
        if part.kind is PartKind.LED:
            found.append(_cathode_bar(part, limits))
    return tuple(found)


def body_line_y_mm(part: Part, limits: Limits) -> float:
    """Tell how far from a chip's middle its body lines run: outside body and openings."""
    lands = max(land.height_mm for land in part.pattern.lands) / 2
    open_edge = lands + limits.mask_expansion_mm + limits.aims.legend_land_mm
    return max(part.pattern.body.top_mm, open_edge) + limits.aims.legend_stroke_mm / 2


def _body_lines(part: Part, limits: Limits) -> list[Mark]:
    body, y = part.pattern.body, body_line_y_mm(part, limits)
    return [
        _mark(part, MarkRole.BODY, limits.aims.legend_stroke_mm,
              (body.left_mm, side * y), (body.right_mm, side * y))
        for side in (1, -1)
    ]  # fmt: skip


def cathode_bar_x_mm(part: Part, limits: Limits) -> float:
    """Tell where along an LED (unturned) its bar stands: outside body and opening, at pin K."""
    land = part.pattern.by_function("K")
    side = -1 if land.x_mm < 0 else 1
    lands = abs(land.x_mm) + land.width_mm / 2 + limits.mask_expansion_mm
    edge = max(lands, part.pattern.body.right_mm) + limits.aims.legend_land_mm
    return side * (edge + limits.aims.mark_stroke_mm / 2)


def _cathode_bar(part: Part, limits: Limits) -> Mark:
    x = cathode_bar_x_mm(part, limits)
    # As long as the body is wide at least; up to the body lines looks drawn.
    half = max(part.pattern.body.top_mm, body_line_y_mm(part, limits))
    return _mark(part, MarkRole.CATHODE, limits.aims.mark_stroke_mm, (x, -half), (x, half))


def _connector(part: Part, limits: Limits) -> list[Mark]:
    """Draw a terminal's body, open where it meets the edge and the wires enter."""
    if not part.pattern.height_mm:
        return []
    body, aims = part.pattern.body, limits.aims
    start = body.bottom_mm + aims.legend_edge_mm + aims.legend_stroke_mm / 2
    return [
        _mark(part, MarkRole.BODY, aims.legend_stroke_mm,
              (body.left_mm, start), (body.left_mm, body.top_mm),
              (body.right_mm, body.top_mm), (body.right_mm, start))
    ]  # fmt: skip


def _mark(part: Part, role: MarkRole, stroke_mm: float, *points: Point) -> Mark:
    return Mark(
        side=Side.TOP,
        role=role,
        points=tuple(part.place(*point) for point in points),
        stroke_mm=stroke_mm,
        owner=part.reference,
    )

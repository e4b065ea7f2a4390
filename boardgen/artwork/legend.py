"""The legend: marks and letters as strokes, kept off lands and holes."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from boardgen.geometry.contours import grown, polyline
from boardgen.geometry.lettering import chains
from boardgen.geometry.measuring import near_pairs, trimmed
from boardgen.geometry.placing import half, point
from boardgen.geometry.regions import union
from boardgen.model.artwork import Hole, Item, Layer, LayerKind, Owner, Purpose
from boardgen.model.board import Board, MarkRole, Side, Text, TextRole
from boardgen.model.lettering import Lettering
from boardgen.model.limits import Limits
from boardgen.model.pose import Pose
from boardgen.model.shapes import Disc, Stroke
from boardgen.units import Nm, snap


def legend(
    board: Board,
    limits: Limits,
    lettering: Lettering,
    side: Side,
    openings: Sequence[Item],
    holes: Sequence[Hole],
) -> tuple[Layer, tuple[str, ...]]:
    """Draw one side's legend and tell which marks had to be cut short.

    Layout places everything free; the cutting here is a safety net, and what it cuts is named.
    """
    gap = snap(limits.legend_land_mm)
    keep_off = [grown(item.shape, gap) for item in openings]
    keep_off += [Disc(hole.centre, Nm(hole.diameter_nm // 2 + gap)) for hole in holes]
    named = [*_marks(board, side), *_letters(board, lettering, side)]
    strokes = [stroke for stroke, _, _ in named]
    met = {place for place, _, gap in near_pairs(strokes, keep_off, 1) if gap < 0}
    forbidden = union(keep_off) if met else None
    items: list[Item] = []
    cut: list[str] = []
    for place, (stroke, item, name) in enumerate(named):
        if forbidden is None or place not in met:
            items.append(item)
            continue
        cut.append(name)
        items += [replace(item, shape=rest) for rest in trimmed(stroke, forbidden)]
    return Layer(kind=LayerKind.LEGEND, side=side, items=tuple(items)), tuple(cut)


def copper_letters(board: Board, lettering: Lettering, side: Side) -> tuple[Item, ...]:
    """Draw one side's marks and letters as copper of no net, for boards that are not printed."""
    named = (*_marks(board, side), *_letters(board, lettering, side))
    return tuple(item for _, item, _ in named)


def _marks(board: Board, side: Side) -> Iterator[tuple[Stroke, Item, str]]:
    for mark in board.marks:
        if mark.side is side:
            chain = tuple(point(at) for at in mark.points)
            stroke = polyline(chain, half(mark.stroke_mm))
            item = Item(
                shape=stroke,
                purpose=Purpose.CATHODE_MARK if mark.role is MarkRole.CATHODE else Purpose.MARK,
                owner=Owner(reference=mark.owner) if mark.owner else None,
            )
            yield stroke, item, f"{mark.role.value} of {mark.owner}"


def _letters(board: Board, lettering: Lettering, side: Side) -> Iterator[tuple[Stroke, Item, str]]:
    for text in board.texts:
        if text.side is side:
            owner = _text_owner(text)
            for chain in _chains(text, lettering):
                stroke = polyline(tuple(point(at) for at in chain), half(text.stroke_mm))
                item = Item(
                    shape=stroke,
                    purpose=Purpose.LETTER,
                    owner=owner,
                )
                yield stroke, item, f'{text.role.value} "{text.text}" of {text.owner}'


def _text_owner(text: Text) -> Owner | None:
    """Name what a text belongs to; a sign at the connector says which it is."""
    if not text.owner:
        return None
    sign = text.text if text.role is TextRole.SIGN else ""
    return Owner(reference=text.owner, function=sign)


def _chains(text: Text, lettering: Lettering) -> Iterator[tuple[tuple[float, float], ...]]:
    """Put a text's strokes in their place; on the bottom they are mirrored to read from there."""
    flip = -1 if text.side is Side.BOTTOM else 1
    pose = Pose(x_mm=text.x_mm, y_mm=text.y_mm, turn_deg=text.turn_deg * flip)
    for chain in chains(text.text, text.height_mm, lettering):
        yield tuple(pose.place(flip * x, y) for x, y in chain)

"""What every part, track and hole claims of the board, and whether two claims meet.

A claim is a shape that keeps a gap to what is not its own; all are held in one spatial index. They
are measured where things lie, at any angle, so that nothing has to be predicted. The pour claims
nothing: it fills what is left.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from boardgen.geometry.contents import contour_fault
from boardgen.geometry.contours import polyline
from boardgen.geometry.measuring import near_lines, near_pairs
from boardgen.geometry.placing import contour, half, land_shape, point
from boardgen.geometry.regions import Region, union
from boardgen.geometry.rooms import body_of, courtyard_of, rooms_of
from boardgen.layout.cell import MARGIN_MM
from boardgen.model.board import Board, Part, PartKind, Point
from boardgen.model.circuit import RETURN_NET
from boardgen.model.land_pattern import Entry, Land
from boardgen.model.limits import Limits
from boardgen.model.outline import Outline
from boardgen.model.shapes import Box, Contour, Disc, Shape
from boardgen.tolerances import HAIR_MM
from boardgen.units import Nm, snap

_TWO = 2
Owned = tuple[str, Shape]
"""A shape and whose it is: things of one owner may meet."""


def clear(board: Board, limits: Limits, edge_mm: float | None) -> bool:
    """Tell whether everything on a board has the room that it claims.

    Parameters
    ----------
    edge_mm : float, optional
        How far copper keeps from the board's edge and from its cut-outs; None: no edge is near.
    """
    return next(conflicts(board, limits, edge_mm), None) is None


def conflicts(board: Board, limits: Limits, edge_mm: float | None) -> Iterator[str]:
    """Name what stands in the way of what, the cheapest questions first."""
    if any(len(set(map(point, track.points))) < _TWO for track in board.tracks):
        yield "a track has no length: the way in reaches beyond the first branch"
        return
    rooms = [
        (part.reference, _less_a_hair(room)) for part in board.parts for room in rooms_of(part)
    ]
    yield from _meeting(rooms, HAIR_MM)
    screws = [
        (hole.reference, Disc(point((hole.x_mm, hole.y_mm)), half(hole.room_mm)))
        for hole in board.holes
    ]
    yield from _between(rooms, [*screws, *_vias(board)], HAIR_MM)
    bodies = [
        (part.reference, body_of(part) if part.kind.row.signed else courtyard_of(part))
        for part in board.parts
    ]
    metal = list(conductors(board))
    if edge_mm is not None:
        for fault in filter(None, map(contour_fault, _rings(board.outline))):
            yield f"the edge: {fault[0]}"
            return
        # An edge that turns is cut to whole nanometres: a face may lie on it.
        # Of lands alone nothing but the lands has to lie on the board: a notch may be between them.
        inner = [
            (name, _less_a_hair(body))
            for (name, body), part in zip(bodies, board.parts, strict=True)
            if not part.pattern.bodiless
        ]
        yield from _outside(board, [*inner, *metal])
    yield from _metal_meeting(board, metal, limits)
    yield from _between(metal, screws, MARGIN_MM)
    for part in board.parts:
        plain = [(part.reference, hole) for hole in _plain_holes(part)]
        yield from _between(list(_metal_beside(board, part)), plain, limits.hole_copper_mm)
    foreign = [owned for owned in metal if owned[0] != RETURN_NET]
    gates = [part for part in board.parts if part.kind.row.passes]
    yield from _between(foreign, list(spoke_ends(gates, limits)), limits.aims.pour_gap_mm)
    drilled = list(_drilled(board))
    yield from _meeting(drilled, limits.hole_hole_mm + MARGIN_MM)
    if edge_mm is None:
        return
    # A connector's lands may lie where its wires come in, but copper keeps off the edge.
    yield from _near_edge(board, metal, edge_mm)
    chips = [room for part, room in zip(board.parts, bodies, strict=True) if _apart(part)]
    yield from _near_edge(board, chips, limits.aims.part_edge_mm)
    yield from _near_edge(board, drilled, limits.hole_edge_mm + MARGIN_MM)


def _less_a_hair(room: Box) -> Box:
    """Take a nanometre off a room on every side: rooms that touch do not meet."""
    return replace(room, width_nm=Nm(room.width_nm - 2), height_nm=Nm(room.height_nm - 2))


def _apart(part: Part) -> bool:
    """Tell whether a part keeps off the edge: wires want it there, test points have no body."""
    if part.kind is PartKind.TEST_POINT:
        return False
    return not part.kind.row.signed or part.pattern.entry is Entry.TOP


def conductors(board: Board) -> Iterator[Owned]:
    """List tracks and lands by their nets, and marks in copper."""
    for mark in board.marks:
        yield (
            f"mark of {mark.owner}",
            polyline(tuple(map(point, mark.points)), half(mark.stroke_mm)),
        )
    for track in board.tracks:
        yield track.net, polyline(tuple(map(point, track.points)), half(track.width_mm))
    for part in board.parts:
        yield from _lands(part)
    yield from _vias(board)


def _lands(part: Part) -> Iterator[Owned]:
    for land in part.pattern.lands:
        yield part.net(land.name), land_shape(part, land)


def spoke_ends(parts: Iterable[Part], limits: Limits) -> Iterator[Owned]:
    """List where spokes of lands on 0 V end in the pour, as room that they claim.

    Beside a rail, which keeps its distance, LEDs' cathodes need not claim theirs.
    """
    radius = max(limits.aims.pour_corner_mm, limits.pour_width_mm / 2)
    for part in parts:
        for land in part.pattern.lands:
            if part.net(land.name) == RETURN_NET:
                for end in spoke_places(part, land, limits):
                    yield RETURN_NET, Disc(point(end), half(2 * radius))


def spoke_places(part: Part, land: Land, limits: Limits) -> tuple[Point, Point]:
    """Tell where a land's spokes end in the pour: outwards along its part, and across it."""
    aims = limits.aims
    gap = aims.hole_relief_gap_mm if land.hole_mm else aims.chip_relief_gap_mm
    reach = gap + max(aims.pour_corner_mm, limits.pour_width_mm / 2)
    x = land.x_mm + math.copysign(land.width_mm / 2 + reach, land.x_mm)
    y = land.y_mm + math.copysign(land.height_mm / 2 + reach, land.y_mm)
    return (part.place(x, land.y_mm), part.place(land.x_mm, y))


def _metal_beside(board: Board, part: Part) -> Iterator[Owned]:
    """List all metal but a part's own lands, which lie to its holes as its maker wants them."""
    if part.pattern.holes:
        others = tuple(other for other in board.parts if other is not part)
        yield from conductors(replace(board, parts=others))


def _vias(board: Board) -> Iterator[Owned]:
    for via in board.vias:
        yield via.net, Disc(point((via.x_mm, via.y_mm)), half(via.land_mm))


def _drilled(board: Board) -> Iterator[Owned]:
    """List all holes: those of one part stand as its maker wants them."""
    for number, via in enumerate(board.vias):
        yield f"via {number}", Disc(point((via.x_mm, via.y_mm)), half(via.hole_mm))
    for hole in board.holes:
        yield hole.reference, Disc(point((hole.x_mm, hole.y_mm)), half(hole.hole_mm))
    for part in board.parts:
        for land in part.pattern.lands:
            if land.hole_mm:
                yield part.reference, Disc(point(part.land_place(land)), half(land.hole_mm))
        for disc in _plain_holes(part):
            yield part.reference, disc


def _plain_holes(part: Part) -> Iterator[Disc]:
    for plain in part.pattern.holes:
        yield Disc(point(part.place(plain.x_mm, plain.y_mm)), half(plain.hole_mm))


def _metal_meeting(board: Board, metal: Sequence[Owned], limits: Limits) -> Iterator[str]:
    """Find metal of two nets that is too near; lands of one part lie as its maker wants them.

    They may lie nearer than what pours keep clear, and just at the house's limit.
    """
    parts: dict[Shape, str] = {
        land_shape(part, land): part.reference
        for part in board.parts
        for land in part.pattern.lands
    }
    shapes = [shape for _, shape in metal]
    for one, other, gap in near_pairs(shapes, shapes, snap(limits.gap_mm + MARGIN_MM)):
        owner = parts.get(shapes[one])
        own = owner is not None and owner == parts.get(shapes[other])
        if metal[one][0] != metal[other][0] and not (own and gap >= snap(limits.gap_mm)):
            yield f"{metal[one][0]} and {metal[other][0]}: {gap:.0f} nm"


def _meeting(owned: Sequence[Owned], gap_mm: float) -> Iterator[str]:
    shapes = [shape for _, shape in owned]
    for one, other, gap in near_pairs(shapes, shapes, snap(gap_mm)):
        if owned[one][0] != owned[other][0]:
            yield f"{owned[one][0]} and {owned[other][0]}: {gap:.0f} nm"


def _between(first: Sequence[Owned], second: Sequence[Owned], gap_mm: float) -> Iterator[str]:
    ones, others = ([shape for _, shape in owned] for owned in (first, second))
    for one, other, gap in near_pairs(ones, others, snap(gap_mm)):
        yield f"{first[one][0]} and {second[other][0]}: {gap:.0f} nm"


def _near_edge(board: Board, owned: Sequence[Owned], gap_mm: float) -> Iterator[str]:
    shapes = [shape for _, shape in owned]
    for _, place, gap in near_lines(_rings(board.outline), shapes, snap(gap_mm)):
        yield f"{owned[place][0]} and the edge: {gap} nm"


def _outside(board: Board, owned: Sequence[Owned]) -> Iterator[str]:
    """Find what lies beyond the edge; how far it keeps off it is asked for itself."""
    where = "outside, or over a cut-out" if board.outline.inner else "outside"
    for place in _inside(board.outline).beyond([shape for _, shape in owned]):
        yield f"{owned[place][0]} lies {where}"


@lru_cache(maxsize=4)
def _rings(outline: Outline) -> tuple[Contour, ...]:
    return tuple(contour(ring) for ring in outline.rings)


@lru_cache(maxsize=4)
def _inside(outline: Outline) -> Region:
    edge, *cut_outs = _rings(outline)
    return union([edge]) - union(cut_outs) if cut_outs else union([edge])

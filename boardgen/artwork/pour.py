"""A pour: dark contour, clear shapes, clear patches, dark spokes, in this order.

Only the patches come from polygon operations; everything else keeps its true lines and arcs.
"""

import math
from collections.abc import Iterator, Mapping, Sequence

from boardgen.geometry.contents import necks, slits
from boardgen.geometry.contours import grown, inset, outline
from boardgen.geometry.measuring import near_pairs
from boardgen.geometry.placing import contour, half, point
from boardgen.geometry.regions import Region, gathered, opened, patches, union
from boardgen.geometry.tracing import touching
from boardgen.model.artwork import Item, Purpose
from boardgen.model.board import Board, Part, Pour
from boardgen.model.limits import Limits
from boardgen.model.pose import direction
from boardgen.model.shapes import Box, Contour, Disc, Point, Shape, Stroke
from boardgen.units import NM_PER_UM, Nm, snap

_CHIP_SPOKES = 2
_Way = tuple[float, float]


def pour_items(
    board: Board, limits: Limits, relief: str, pour: Pour, metal: Sequence[Item]
) -> list[Item]:
    """Draw a pour around the metal of its side.

    Parameters
    ----------
    relief : str
        Which lands get spokes: "all", "holes" or "none".
    metal : sequence of Item
        Tracks and lands of this side; those of the pour's net are joined, the others cleared.

    Returns
    -------
    list of Item
        In drawing order.
    """
    aims = limits.aims
    edge, *cut_outs = pour_contours(board, pour, limits)
    parts = {part.reference: part for part in board.parts}
    foreign: list[Shape] = [
        *cut_outs,
        *(_clear(item, aims.pour_gap_mm) for item in metal if item.net != pour.net),
    ]
    foreign += [Disc(point((hole.x_mm, hole.y_mm)), half(hole.room_mm)) for hole in board.holes]
    foreign += [
        Disc(point(part.place(plain.x_mm, plain.y_mm)), half(plain.hole_mm + 2 * aims.pour_hole_mm))
        for part in board.parts
        for plain in part.pattern.holes
    ]
    relieved = [item for item in metal if item.net == pour.net and _has_relief(item, relief)]
    solid = [item.shape for item in metal if item.net == pour.net and not _has_relief(item, relief)]
    clears = foreign + [
        _clear(
            item,
            aims.hole_relief_gap_mm
            if item.purpose is Purpose.THROUGH_LAND
            else aims.chip_relief_gap_mm,
        )
        for item in relieved
    ]
    whole = union([edge]) - union(clears)
    core = makeable(whole, limits)
    inwards = {item.shape: _inwards(item, parts) for item in relieved}
    drawn = _all_spokes(relieved, limits, parts, pour, core, foreign)
    spokes = _balanced(relieved, drawn, inwards)
    kept = _joined(core, [_tip(spoke) for spoke in spokes] + solid)
    return [
        Item(shape=edge, purpose=Purpose.POUR, net=pour.net),
        *(Item(shape=_drawn(shape), purpose=Purpose.CLEARANCE, dark=False) for shape in clears),
        *(Item(shape=patch, purpose=Purpose.PATCH, dark=False) for patch in patches(whole, kept)),
        *(Item(shape=spoke, purpose=Purpose.SPOKE, net=pour.net) for spoke in spokes),
    ]


def makeable(whole: Region, limits: Limits) -> Region:
    """Leave of a pour what the house can make, with round corners.

    What hangs together by less than the narrowest piece is cut apart. Round corners may all but
    touch there: they are moved apart until the gap is one that the house can hold.
    """
    radius = max(half(limits.pour_width_mm), snap(limits.aims.pour_corner_mm))
    core, width, gap = opened(whole, radius), snap(limits.pour_width_mm), snap(limits.gap_mm)
    while cuts := [
        *(Disc(_rounded(place), Nm(width)) for place, _ in necks(core, width)),
        *(Disc(_rounded(place), Nm(gap)) for place in slits(core, gap)),
    ]:
        core = opened(core - union(cuts), radius)
    return core


def _rounded(place: tuple[float, float]) -> Point:
    return (Nm(round(place[0])), Nm(round(place[1])))


def pour_contours(board: Board, pour: Pour, limits: Limits) -> tuple[Contour, ...]:
    """Draw the pour's edge, and those around cut-outs: the board's, moved inwards."""
    by, least = snap(pour.edge_mm), snap(limits.aims.pour_corner_mm)
    return tuple(inset(contour(ring), by, least) for ring in board.outline.rings)


def _clear(item: Item, gap_mm: float) -> Shape:
    return grown(item.shape, snap(gap_mm))


def _drawn(shape: Shape) -> Shape:
    """Clear lands as contours: in a copper file every flash is a land (Gerber 6.4)."""
    return outline(shape) if isinstance(shape, Disc | Box) else shape


def _has_relief(item: Item, relief: str) -> bool:
    if item.purpose is Purpose.THROUGH_LAND:
        return relief in ("all", "holes")
    return item.purpose is Purpose.SURFACE_LAND and relief == "all"


def _all_spokes(
    relieved: Sequence[Item],
    limits: Limits,
    parts: Mapping[str, Part],
    pour: Pour,
    core: Region,
    foreign: Sequence[Shape],
) -> list[Stroke]:
    """Draw the spokes that end in the pour and touch nothing else, land by land.

    Where wide ones leave a lead too few, it gets narrower ones, which find more room.
    """

    def drawn(items: Sequence[Item], lead_spoke_mm: float) -> list[list[Stroke]]:
        reaching = [
            (place, spoke)
            for place, item in enumerate(items)
            for spoke in _spokes(item, limits, parts, lead_spoke_mm)
            if _reaches(core, spoke)
        ]
        pairs = near_pairs([spoke for _, spoke in reaching], foreign, 1)
        barred = {number for number, _, gap in pairs if gap < 0}
        found: list[list[Stroke]] = [[] for _ in items]
        for number, (place, spoke) in enumerate(reaching):
            if number not in barred:
                found[place].append(spoke)
        return found

    wide = drawn(relieved, pour.lead_spoke_mm)
    few = [
        place
        for place, item in enumerate(relieved)
        if item.purpose is Purpose.THROUGH_LAND and len(wide[place]) < limits.spokes
    ]
    if pour.lead_spoke_mm > limits.aims.hole_spoke_mm:
        narrow = drawn([relieved[place] for place in few], limits.aims.hole_spoke_mm)
        for place, spokes in zip(few, narrow, strict=True):
            wide[place] = spokes
    return [spoke for spokes in wide for spoke in spokes]


def _spokes(
    item: Item, limits: Limits, parts: Mapping[str, Part], lead_spoke_mm: float
) -> Iterator[Stroke]:
    """Draw spokes from a land's centre: all ways from a hole, all but inwards from a chip.

    They lie along the part and across it, as layout keeps room for them.
    """
    aims, shape = limits.aims, item.shape
    lead = item.purpose is Purpose.THROUGH_LAND
    gap, width = aims.hole_relief_gap_mm, lead_spoke_mm if lead else aims.hole_spoke_mm
    if isinstance(shape, Disc):
        half_w = half_h = shape.radius_nm
        part = parts.get(item.owner.reference) if item.owner else None
        cos, sin = direction(part.pose.turn_deg % 90.0 if part else 0.0)
    elif isinstance(shape, Box):
        half_w, half_h = Nm(shape.width_nm // 2), Nm(shape.height_nm // 2)
        cos, sin = shape.axes
        if not lead:
            gap, width = aims.chip_relief_gap_mm, aims.chip_spoke_mm
    else:  # pragma: no cover - lands are discs or boxes
        return
    x, y = shape.centre
    reach = snap(gap) + half(width)
    for along, across in ((1, 0), (0, 1), (-1, 0), (0, -1)):
        way = (along * cos - across * sin, along * sin + across * cos)
        if not lead and isinstance(shape, Box) and _along(_inwards(item, parts), way) > _HARDLY:
            continue
        length = reach + (half_w if along else half_h)
        end = (Nm(x + round(way[0] * length)), Nm(y + round(way[1] * length)))
        yield Stroke(((x, y), end), half(width))


def _balanced(
    relieved: Sequence[Item], spokes: Sequence[Stroke], inwards: Mapping[Shape, _Way]
) -> list[Stroke]:
    """Leave a chip's land two spokes, so that both its ends lose heat through equal copper.

    Those across the chip come first, for they leave the land as alike as the track does the other.
    """
    chips = {
        item.shape.centre: inwards[item.shape] for item in relieved
        if isinstance(item.shape, Box) and item.purpose is Purpose.SURFACE_LAND
    }  # fmt: skip

    def along(spoke: Stroke) -> bool:
        (x1, y1), (x2, y2) = spoke.points[0], spoke.points[-1]
        return abs(_along(chips.get((x1, y1), (1.0, 0.0)), (x2 - x1, y2 - y1))) > _HALF

    kept: list[Stroke] = []
    count: dict[Point, int] = {}
    for spoke in sorted(spokes, key=along):
        start = spoke.points[0]
        if start not in chips or count.get(start, 0) < _CHIP_SPOKES:
            kept.append(spoke)
            count[start] = count.get(start, 0) + 1
    places = {spoke: place for place, spoke in enumerate(spokes)}
    return sorted(kept, key=lambda spoke: places[spoke])


def _inwards(item: Item, parts: Mapping[str, Part]) -> _Way:
    """Tell the way from a land to its part's middle; none without a part, or in the middle."""
    if item.owner is None:
        return (0.0, 0.0)
    part = parts[item.owner.reference]
    x, y = part.land_place(part.pattern.land(item.owner.pin))
    return (part.x_mm - x, part.y_mm - y)


def _along(inwards: _Way, way: _Way) -> float:
    """Give the cosine between two ways; 0 when one of them has no length."""
    lengths = math.hypot(*inwards) * math.hypot(*way)
    return (inwards[0] * way[0] + inwards[1] * way[1]) / lengths if lengths else 0.0


_HARDLY, _HALF = 1e-6, 0.5
"""Cosines: of an angle that is square but for rounding, and of one that is neither."""


def _tip(spoke: Stroke) -> Disc:
    end: Point = spoke.points[-1]
    return Disc(end, Nm(spoke.radius_nm - NM_PER_UM))


def _reaches(core: Region, spoke: Stroke) -> bool:
    """Tell whether a spoke's end lies in the pour in its whole width."""
    return core.covers(_tip(spoke))


def _joined(core: Region, anchors: Sequence[Shape]) -> Region:
    """Keep the pieces that something holds; the others are islands."""
    pieces = core.pieces()
    held = sorted({piece for piece, _ in touching(pieces, anchors)})
    return gathered(pieces[place] for place in held)

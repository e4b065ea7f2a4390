"""A pour: dark contour, clear shapes, clear patches, dark spokes, in this order.

Only the patches come from polygon operations; everything else keeps its true lines and arcs.
"""

from collections.abc import Sequence

from boardgen.artwork.spokes import Surroundings, spokes_of, tip
from boardgen.geometry.contents import necks, slits
from boardgen.geometry.contours import grown, inset, outline
from boardgen.geometry.placing import contour, half, point
from boardgen.geometry.regions import Region, gathered, opened, patches, union
from boardgen.geometry.tracing import touching
from boardgen.model.artwork import Item, Purpose
from boardgen.model.board import Board, Pour
from boardgen.model.limits import Limits
from boardgen.model.shapes import Box, Contour, Disc, Point, Shape
from boardgen.units import Nm, snap


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
    spokes = spokes_of(
        relieved,
        Surroundings(
            limits=limits,
            parts={part.reference: part for part in board.parts},
            lead_spoke_mm=pour.lead_spoke_mm,
            core=core,
            foreign=foreign,
            solid=solid,
        ),
    )
    kept = _joined(core, [tip(spoke) for spoke in spokes] + solid)
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


def _joined(core: Region, anchors: Sequence[Shape]) -> Region:
    """Keep the pieces that something holds; the others are islands."""
    pieces = core.pieces()
    held = sorted({piece for piece, _ in touching(pieces, anchors)})
    return gathered(pieces[place] for place in held)

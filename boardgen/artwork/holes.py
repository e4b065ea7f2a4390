"""Holes and the profile: what is cut."""

import math
from dataclasses import replace

from boardgen.geometry.placing import contour, half, owner, point
from boardgen.model.artwork import Hole, HoleKind, Item, Layer, LayerKind, Owner, Purpose, Slot
from boardgen.model.board import Board
from boardgen.model.limits import Limits
from boardgen.model.outline import slot_ends, slot_mm
from boardgen.model.shapes import Contour, Edge, Point
from boardgen.units import Nm


def holes(board: Board, *, plated: bool) -> tuple[Hole, ...]:
    """List every hole: leads, vias, strain relief, screws.

    Parameters
    ----------
    plated : bool
        Whether the barrels of leads carry copper: with one copper side they do not.
    """
    found = [
        Hole(
            centre=point(part.land_place(land)),
            diameter_nm=Nm(2 * half(land.hole_mm)),
            kind=HoleKind.COMPONENT,
            plated=plated,
            net=part.net(land.name),
            owner=owner(part, land),
        )
        for part in board.parts
        for land in part.pattern.lands
        if land.hole_mm
    ]
    found += [
        Hole(
            centre=point((via.x_mm, via.y_mm)),
            diameter_nm=Nm(2 * half(via.hole_mm)),
            kind=HoleKind.VIA,
            plated=True,
            net=via.net,
        )
        for via in board.vias
    ]
    found += [
        Hole(
            centre=point(part.place(plain.x_mm, plain.y_mm)),
            diameter_nm=Nm(2 * half(plain.hole_mm)),
            kind=HoleKind.PLAIN,
            plated=False,
            owner=Owner(reference=part.reference),
        )
        for part in board.parts
        for plain in part.pattern.holes
    ]
    found += [
        Hole(
            centre=point((hole.x_mm, hole.y_mm)),
            diameter_nm=Nm(2 * half(hole.hole_mm)),
            kind=HoleKind.SCREW,
            plated=False,
            owner=Owner(reference=hole.reference),
        )
        for hole in board.holes
    ]
    return tuple(found)


def slots(board: Board, limits: Limits) -> tuple[Slot, ...]:
    """List the cut-outs that are slots, the narrowest first: a line and a width tell each."""
    pen = half(limits.aims.profile_pen_mm)
    found = []
    for ring in board.outline.inner:
        ends, size = slot_ends(ring), slot_mm(ring)
        if ends and size:
            (start, end), radius = map(point, ends), half(size[0])
            edge = _around(start, end, radius, pen)
            found.append(Slot(start=start, end=end, width_nm=Nm(2 * radius), edge=edge))
    return tuple(sorted(found, key=lambda slot: (slot.width_nm, slot.start, slot.end)))


def _around(start: Point, end: Point, radius: Nm, pen: Nm) -> Contour:
    """Draw the edge of a slot, clockwise as those of all cut-outs: two sides, two half circles."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    share = radius / math.hypot(dx, dy)
    aside = (round(-dy * share), round(dx * share))

    def beside(at: Point, side: int) -> Point:
        return (Nm(at[0] + side * aside[0]), Nm(at[1] + side * aside[1]))

    return Contour(
        (
            Edge(beside(end, 1)),
            Edge(beside(end, -1), end, clockwise=True),
            Edge(beside(start, -1)),
            Edge(beside(start, 1), start, clockwise=True),
        ),
        pen,
    )


def profile(board: Board, limits: Limits) -> Layer:
    """Draw the board's edge and those of its cut-outs, but of slots: they are routed."""
    pen = half(limits.aims.profile_pen_mm)
    cut_outs = (ring for ring in board.outline.inner if slot_mm(ring) is None)
    items = tuple(
        Item(shape=replace(contour(ring), radius_nm=pen), purpose=Purpose.PROFILE)
        for ring in (board.outline.outer, *cut_outs)
    )
    return Layer(kind=LayerKind.PROFILE, side=None, items=items)

"""Holes and the profile: what is cut."""

from dataclasses import replace

from boardgen.geometry.placing import contour, half, owner, point
from boardgen.model.artwork import Hole, HoleKind, Item, Layer, LayerKind, Owner, Purpose
from boardgen.model.board import Board
from boardgen.model.limits import Limits
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


def profile(board: Board, limits: Limits) -> Layer:
    """Draw the board's edge and those of its cut-outs."""
    pen = half(limits.aims.profile_pen_mm)
    items = tuple(
        Item(shape=replace(contour(ring), radius_nm=pen), purpose=Purpose.PROFILE)
        for ring in board.outline.rings
    )
    return Layer(kind=LayerKind.PROFILE, side=None, items=items)

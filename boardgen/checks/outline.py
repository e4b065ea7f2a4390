"""Rules on the outline: one closed line, the right size, corners that a cutter reaches."""

from collections.abc import Iterable

from boardgen import units
from boardgen.checks.areas import pour_of
from boardgen.checks.finding import at_mm, place_of, report
from boardgen.forms.table import plan
from boardgen.geometry.contents import beyond, contour_fault, inner_corners, inside
from boardgen.geometry.measuring import box_nm
from boardgen.geometry.regions import board_of
from boardgen.model.artwork import LayerKind, Purpose
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.limits import SIZE_TOLERANCE_MM
from boardgen.model.shapes import Contour, Disc, Shape
from boardgen.units import NM_PER_MM, Nm, mm, snap


def profile_whole(design: Design) -> Iterable[Finding]:
    """The outline is not one closed line.

    Why it matters
        The house guesses what to cut, or holds the order.
    How it is measured
        The profile holds one contour, and one for each cut-out but slots, which are routed; their
        arcs meet their ends, and none touches itself.
    How to mend it
        This is a fault of the drawing: please report the parameter file.
    """
    items = design.artwork.layer(LayerKind.PROFILE).items
    wanted = len(design.board.outline.rings) - len(design.artwork.slots)
    if len(items) != wanted:
        yield report(
            message=f"the profile holds {len(items)} lines",
            actual=str(len(items)),
            limit=f"{wanted}",
            subjects=("profile",),
        )
    for item in items:
        if not isinstance(item.shape, Contour):
            yield report(
                message="a line of the profile is not closed",
                place_mm=place_of(item.shape),
                subjects=("profile",),
            )
        elif fault := contour_fault(item.shape):
            words, place = fault
            yield report(
                message=f"the profile's line is faulty: {words}",
                place_mm=place_of(Disc(place, Nm(0))),
                subjects=("profile",),
            )


def profile_size(design: Design) -> Iterable[Finding]:
    """The outline has not the size that the board is meant to have.

    Why it matters
        The board does not fit, and price and order form are for another one.
    How it is measured
        The profile's box against the board's length and width.
    How to mend it
        This is a fault of the drawing: please report the parameter file.
    """
    outline = design.board.outline
    left, bottom, right, top = box_nm(design.artwork.profile)
    for name, actual, wanted in (
        ("long", right - left, outline.length_mm),
        ("wide", top - bottom, outline.width_mm),
    ):
        if abs(actual - snap(wanted)) > snap(SIZE_TOLERANCE_MM):
            yield report(
                message=f"the profile is {units.length(actual / NM_PER_MM)} {name}",
                actual=units.length(actual / NM_PER_MM),
                limit=f"{units.length(wanted)} within {units.length(SIZE_TOLERANCE_MM)}",
                subjects=("profile", name),
                path=plan(design.parameters).keys.whole,
            )


def profile_corner(design: Design) -> Iterable[Finding]:
    """A corner into the board is sharper than the cutter is round.

    Why it matters
        The cutter leaves material there, and what should fit does not.
    How it is measured
        Radius of every bend of the profile towards the board, against half the cutter.
    How to mend it
        A rounder corner, or a house with a finer cutter.
    """
    limits = design.limits
    least = limits.router_mm / 2
    outer, *cut_outs = design.artwork.edges
    corners = [*inner_corners(outer)]
    corners += [corner for ring in cut_outs for corner in inner_corners(ring, cut_out=True)]
    for corner in corners:
        if round(corner.radius_nm) < snap(least):
            yield report(
                message="a corner of the outline is too sharp to be milled",
                actual=units.length(corner.radius_nm / NM_PER_MM),
                limit=f"radius at least {units.length(least)}",
                place_mm=place_of(Disc(corner.place, Nm(0))),
                subjects=("profile",),
                path=plan(design.parameters).keys.whole,
            )


def profile_outside(design: Design) -> Iterable[Finding]:
    """Something lies outside the board.

    Why it matters
        Frames and strays in a layer change its size, and houses ask or guess.
    How it is measured
        Every object of copper, mask, paste and legend and every hole against the profile's line.
    How to mend it
        This is a fault of the drawing: please report the parameter file.
    """
    artwork = design.artwork
    wanted = len(design.board.outline.rings)
    if len(artwork.edges) != wanted or any(map(contour_fault, artwork.edges)):
        return  # without a sound outline there is no inside; ``profile.whole`` tells of it
    listed: list[tuple[str, Shape]] = [
        (layer.name, item.shape)
        for layer in artwork.layers
        if layer.kind is not LayerKind.PROFILE
        for item in layer.items
        if item.dark and item.purpose is not Purpose.POUR
    ]
    listed += [("holes", Disc(hole.centre, Nm(hole.diameter_nm // 2))) for hole in artwork.holes]
    shapes = [shape for _, shape in listed]
    away = [*beyond(artwork.profile, shapes)]
    away += [cut for edge in artwork.edges[1:] for cut in inside(edge, shapes)]
    for place, reach in away:
        name, shape = listed[place]
        yield report(
            message=f"something of {name} lies outside the board",
            actual=f"{units.length(mm(round(reach)))} outside",
            limit="inside",
            place_mm=place_of(shape),
            subjects=(name,),
        )
    board = board_of(artwork)
    for layer in artwork.coppers():
        for piece in (pour_of(layer) - board).pieces():
            if not piece.hair:
                yield report(
                    message=f"the pour of {layer.name} reaches outside the board",
                    place_mm=at_mm(piece.middle_nm),
                    subjects=(layer.name, "pour"),
                )

"""A copper layer: the pour first, then tracks, lands and vias on it."""

from collections.abc import Iterator

from boardgen.artwork.pour import pour_items
from boardgen.geometry.contours import polyline
from boardgen.geometry.placing import half, land_shape, owner, point
from boardgen.model.artwork import Item, Layer, LayerKind, Purpose
from boardgen.model.board import Board, Side
from boardgen.model.limits import Limits
from boardgen.model.shapes import Disc


def copper(
    board: Board, limits: Limits, relief: str, side: Side, letters: tuple[Item, ...] = ()
) -> Layer:
    """Draw one copper side; letters, where nothing is printed, are copper of no net."""
    metal = (*_tracks(board, side), *_lands(board, side), *_vias(board), *letters)
    pours = [
        item
        for pour in board.pours
        if pour.side is side
        for item in pour_items(board, limits, relief, pour, metal)
    ]
    return Layer(kind=LayerKind.COPPER, side=side, items=(*pours, *metal))


def _tracks(board: Board, side: Side) -> Iterator[Item]:
    for track in board.tracks:
        if track.side is side:
            chain = tuple(point(at) for at in track.points)
            yield Item(
                shape=polyline(chain, half(track.width_mm)), purpose=Purpose.TRACK, net=track.net
            )


def _lands(board: Board, side: Side) -> Iterator[Item]:
    for part in board.parts:
        for land in part.pattern.lands:
            if land.hole_mm or part.side is side:
                yield Item(
                    shape=land_shape(part, land),
                    purpose=Purpose.THROUGH_LAND if land.hole_mm else Purpose.SURFACE_LAND,
                    net=part.net(land.name),
                    owner=owner(part, land),
                )


def _vias(board: Board) -> Iterator[Item]:
    for via in board.vias:
        yield Item(
            shape=Disc(point((via.x_mm, via.y_mm)), half(via.land_mm)),
            purpose=Purpose.VIA_LAND,
            net=via.net,
        )

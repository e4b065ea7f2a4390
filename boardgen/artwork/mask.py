"""Mask and paste: openings on lands."""

import math
from collections.abc import Iterator

from boardgen.geometry.placing import land_shape, owner
from boardgen.geometry.regions import closings, union
from boardgen.model.artwork import Item, Layer, LayerKind, Purpose
from boardgen.model.board import Board, Side
from boardgen.model.limits import Limits


def mask(board: Board, limits: Limits, colour: str, side: Side) -> Layer:
    """Open the mask over every land but vias; webs that would not hold are opened too."""
    openings = tuple(_openings(board, limits, side))
    web_nm = round(limits.mask_web_mm(colour) * 1e6)
    merged = closings(union(item.shape for item in openings), web_nm)
    joined = tuple(Item(shape=contour, purpose=Purpose.OPENING) for contour in merged)
    return Layer(kind=LayerKind.MASK, side=side, items=(*openings, *joined))


def _openings(board: Board, limits: Limits, side: Side) -> Iterator[Item]:
    for part in board.parts:
        for land in part.pattern.lands:
            if land.hole_mm or part.side is side:
                yield Item(
                    shape=land_shape(part, land, limits.mask_expansion_mm),
                    purpose=Purpose.OPENING,
                    owner=owner(part, land),
                )


def paste(board: Board, limits: Limits) -> Layer:
    """Open the stencil over surface lands of fitted parts, a little smaller than they are."""
    scale = math.sqrt(limits.aims.paste_share)
    items = []
    for part in board.parts:
        for land in part.pattern.lands:
            if land.hole_mm or part.side is not Side.TOP or not part.kind.row.bought:
                continue
            # The same margin all round; so the share is that of the shorter side's square.
            margin = min(land.width_mm, land.height_mm) * (1 - scale) / 2
            items.append(
                Item(
                    shape=land_shape(part, land, -round(margin, 3)),
                    purpose=Purpose.PASTE,
                    owner=owner(part, land),
                )
            )
    return Layer(kind=LayerKind.PASTE, side=Side.TOP, items=tuple(items))

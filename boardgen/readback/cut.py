"""What is drilled and cut, held against the copper, whatever lists and designs say."""

from collections import Counter
from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from boardgen.model.proof import Difference, Kind
from boardgen.model.shapes import Box, Disc
from boardgen.readback.images import barrel, box_mm, inside, pieces, point_mm
from boardgen.readback.matching import differing
from boardgen.readback.nets import Shown
from boardgen.readback.objects import Seen, SeenHole

_DRILLED_LANDS = ("ComponentPad", "ViaPad")
_LEAST_RING_NM = 50_000
"""IPC-2221 external ring (docs/sources.md, holes of leads): 0.05 mm; no house asks for less."""


def cut_faults(
    sides: Sequence[Shown], holes: Sequence[SeenHole], profile: Sequence[Seen]
) -> Iterator[Difference]:
    """Tell lands without holes, holes without lands or rings, and what reaches the edge."""
    two_sides = len(sides) > 1
    drilled: Counter[tuple[int, int]] = Counter(hole.place for hole in holes if hole.plated)
    if not two_sides:
        yield from (
            differing(Kind.PLATING, f"{hole}, but there is one copper side", hole.file, hole)
            for hole in holes
            if hole.plated
        )
        # Leads of one copper side go through unplated holes: those that a land surrounds.
        rings = {seen.place for seen in _rings(sides[0].objects)}
        drilled.update(hole.place for hole in holes if not hole.plated and hole.place in rings)
    for side in sides:
        yield from _lands(side, holes, drilled)
    board = inside(profile)
    shapely.prepare(board)
    yield from _beyond(sides, holes, drilled, board)


def _rings(objects: Sequence[Seen]) -> list[Seen]:
    return [seen for seen in objects
            if seen.function in _DRILLED_LANDS and isinstance(seen.shape, Disc | Box)]  # fmt: skip


def _lands(
    side: Shown, holes: Sequence[SeenHole], drilled: Counter[tuple[int, int]]
) -> Iterator[Difference]:
    rings = _rings(side.objects)
    lands: Counter[tuple[int, int]] = Counter(seen.place for seen in rings)
    for seen in rings:
        if lands[seen.place] > drilled[seen.place]:
            yield differing(Kind.HOLE, f"no hole in {seen}", side.layer, seen)
    sizes = {hole.place: hole for hole in holes}
    for hole in holes:
        if drilled[hole.place] > lands[hole.place]:
            text = f"no land around the {hole}"
            yield differing(Kind.HOLE, text, side.layer, hole)
    for seen in rings:
        found = sizes.get(seen.place)
        if found and found.diameter_nm > 2 * (seen.reach_nm - _LEAST_RING_NM):
            yield differing(Kind.HOLE, f"{found} leaves no ring of {seen}", side.layer, seen)


def _beyond(
    sides: Sequence[Shown],
    holes: Sequence[SeenHole],
    drilled: Counter[tuple[int, int]],
    board: BaseGeometry,
) -> Iterator[Difference]:
    for hole in holes:
        shape = barrel(hole)
        if not board.contains(shape):
            yield differing(Kind.EDGE, f"{hole} lies over the edge", hole.file, hole)
        if hole.plated or hole.place in drilled:
            continue
        if any(side.image.intersects(shape) for side in sides):
            yield differing(Kind.HOLE, f"{hole} cuts into copper", hole.file, hole)
    for side in sides:
        for piece in pieces(side.image.difference(board)):
            yield Difference(
                kind=Kind.EDGE,
                text="copper reaches the edge or beyond",
                layer=side.layer,
                place_mm=point_mm(piece),
                size_mm=box_mm(piece),
            )

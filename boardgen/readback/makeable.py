"""What no house makes and nobody can solder, judged on the files alone: absolute bounds, our own.

Far below every house's limits: a package that breaks one was damaged or made by a fault.
"""

from collections.abc import Iterator, Mapping, Sequence

import shapely

from boardgen.model.artwork import LayerKind
from boardgen.model.proof import Difference, Kind
from boardgen.model.shapes import Box, Disc, Stroke
from boardgen.model.side import Side
from boardgen.readback.expected import FILES
from boardgen.readback.images import Pieces, area, box_mm, inside, pieces, point_mm
from boardgen.readback.matching import differing
from boardgen.readback.nets import Shown, net_of
from boardgen.readback.objects import Reading, Seen
from boardgen.tolerances import READ_NM
from boardgen.units import NM_PER_MM

LEAST_NM = 50_000
"""Track, gap, copper to edge: 0.05 mm, own bound."""

PRINT_NM = 80_000
"""Print finer than 0.08 mm does not show: own bound."""

_CHORD_NM = 4_000
"""Chords stand for arcs in images."""

_PASTE = (0.5, 1.1)
"""Openings of a stencil as shares of their lands: own bounds."""


def unmakeable(readings: Mapping[str, Reading], sides: Sequence[Shown]) -> Iterator[Difference]:
    """Tell copper too fine, nets and edge too near, openings too small."""
    for where in Side:
        name = FILES[LayerKind.LEGEND, where][0]
        if name in readings:
            yield from _faint(name.rpartition(".")[0], readings[name])
    board = shapely.buffer(inside(readings["profile.gbr"].objects), -(LEAST_NM - _CHORD_NM))
    for side in sides:
        yield from _fine(side)
        yield from _necks(side)
        yield from _near(side)
        rest = side.image.difference(board)
        if not rest.is_empty:
            text = "copper lies within 0.05 mm of the edge"
            yield Difference(kind=Kind.EDGE, text=text, layer=side.layer,
                             place_mm=point_mm(rest), size_mm=box_mm(rest))  # fmt: skip
        where = Side(side.layer.removeprefix("copper-"))
        for kind, bounds in ((LayerKind.MASK, (1.0, None)), (LayerKind.PASTE, _PASTE)):
            name = FILES.get((kind, where), ("",))[0]
            if name in readings:
                yield from _openings(name.rpartition(".")[0], readings[name], side, bounds)


def _faint(layer: str, legend: Reading) -> Iterator[Difference]:
    """Find print that no house shows: polarity would be missing on the board."""
    for seen in legend.objects:
        if seen.dark and isinstance(seen.shape, Stroke) and 2 * seen.shape.radius_nm < PRINT_NM:
            yield differing(Kind.RESIZED, f"{seen} is finer than 0.08 mm", layer, seen)


def _fine(side: Shown) -> Iterator[Difference]:
    for seen in side.objects:
        if seen.dark and isinstance(seen.shape, Stroke) and 2 * seen.shape.radius_nm < LEAST_NM:
            yield differing(Kind.RESIZED, f"{seen} is finer than 0.05 mm", side.layer, seen)


def _necks(side: Shown) -> Iterator[Difference]:
    """Find copper that hangs together by less than the least track: thinned, it falls apart."""
    for piece in pieces(side.image):
        thin = piece.buffer(-(LEAST_NM - _CHORD_NM) / 2, quad_segs=2)
        apart = [part for part in pieces(thin) if part.area > LEAST_NM**2]
        if len(apart) > 1:
            small = min(apart, key=lambda part: part.area)
            text = "copper hangs together by less than 0.05 mm"
            yield Difference(kind=Kind.RESIZED, text=text, layer=side.layer,
                             place_mm=point_mm(small), size_mm=box_mm(small))  # fmt: skip


def _near(side: Shown) -> Iterator[Difference]:
    parts = Pieces(pieces(side.image))
    named = {place: net_of(seen) for seen in side.objects if seen.dark
             for place in parts.under(area(seen.shape))}  # fmt: skip
    for one, other in parts.pairs_within(LEAST_NM - _CHORD_NM):
        if named.get(one) != named.get(other):
            line = shapely.shortest_line(parts.parts[one], parts.parts[other])
            text = f"{named.get(one)} and {named.get(other)} are nearer than 0.05 mm"
            yield Difference(kind=Kind.JOINED, text=text, layer=side.layer,
                             place_mm=point_mm(line), size_mm=box_mm(line))  # fmt: skip


def _openings(
    layer: str, reading: Reading, side: Shown, bounds: tuple[float, float | None]
) -> Iterator[Difference]:
    """Hold openings against the lands at their places: a mask's cover them, a stencil's nearly."""
    at_place = {seen.place: seen for seen in reading.objects if isinstance(seen.shape, Disc | Box)}
    for land in side.objects:
        opening = at_place.get(land.place)
        if land.pin is None or opening is None or not isinstance(land.shape, Disc | Box):
            continue
        least, most = bounds
        share = _surface(opening) / _surface(land)
        closed = most is None and not _covers(opening, land)
        if closed or (most is not None and not least <= share <= most):
            text = f"{land.pin.name}: its opening is {share:.0%} of the land"
            yield Difference(kind=Kind.RESIZED, text=text, layer=layer, subjects=land.subjects,
                             place_mm=opening.place_mm, size_mm=opening.size_mm)  # fmt: skip


def _surface(seen: Seen) -> float:
    return float(area(seen.shape).area) / NM_PER_MM**2


def _covers(opening: Seen, land: Seen) -> bool:
    return bool(area(opening.shape).buffer(READ_NM + _CHORD_NM).covers(area(land.shape)))

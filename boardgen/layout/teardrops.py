"""Teardrops: tracks leave large round lands as wide as these want, and narrow only beyond."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from boardgen.model import looks
from boardgen.model.board import Part, Point, Track
from boardgen.model.land_pattern import LandShape
from boardgen.units import up_to_step

_STEP_MM = 0.1
_SHORTEST_MM = 0.5
"""A narrow rest shorter than this is drawn wide as well."""


def with_teardrops(
    tracks: Iterable[Track], parts: Sequence[Part], most_mm: float, gap_mm: float
) -> tuple[Track, ...]:
    """Widen tracks where they leave round lands, as far as ``most_mm`` and other lands allow it."""
    lands: _Lands = {
        _key(part.land_place(land)): (land.width_mm, part.net(land.name))
        for part in parts
        for land in part.pattern.lands
        if land.hole_mm and land.shape is LandShape.ROUND
    }
    return tuple(piece for track in tracks for piece in _dropped(track, lands, most_mm, gap_mm))


_Lands = dict[tuple[float, float], tuple[float, str]]
"""Width and net of the round lands, by their places."""


def _key(point: Point) -> tuple[float, float]:
    return (round(point[0], 6), round(point[1], 6))


def _dropped(track: Track, lands: _Lands, most: float, gap: float) -> Iterator[Track]:
    """Split a track into a wide piece at each end that needs one, and the rest."""
    rest: Track | None = track
    for backwards in (False, True):
        if rest is None:
            return
        points = rest.points[::-1] if backwards else rest.points
        land, net = lands.get(_key(points[0]), (0.0, ""))
        wide = up_to_step(looks.DROP_SHARE * land, _STEP_MM)
        if rest.width_mm >= looks.DROP_SHARE * land or wide > most:
            continue
        head, tail = _split(points, looks.DROP_LENGTH * land + land / 2 - wide / 2)
        # Its round end may come nearer to the next pole than the land that it leaves.
        others = [(at, size) for at, (size, other) in lands.items() if other != net]
        if any(math.dist(head[-1], at) < (wide + size) / 2 + gap for at, size in others):
            continue
        yield replace(rest, width_mm=wide, points=head[::-1] if backwards else head)
        rest = replace(rest, points=tail[::-1] if backwards else tail) if tail else None
    if rest is not None:
        yield rest


def _split(points: tuple[Point, ...], reach: float) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    """Cut a chain after a length of its first piece; a short rest stays with the head."""
    (x1, y1), (x2, y2) = points[:2]
    length = math.dist(points[0], points[1])
    if length <= reach + _SHORTEST_MM:
        return points[:2], points[1:] if len(points) > 2 else ()  # noqa: PLR2004 - a chain's two ends
    cut = (x1 + (x2 - x1) * reach / length, y1 + (y2 - y1) * reach / length)
    return (points[0], cut), (cut, *points[1:])

"""Bounds on what is drawn, so that no file keeps the judge busy for ever."""

from collections.abc import Iterator, Mapping
from itertools import pairwise

import numpy as np
import shapely
from shapely import STRtree

from boardgen.model.proof import Difference, Kind
from boardgen.model.shapes import Box, Contour, Disc
from boardgen.readback.seen import Reading, Seen

MOST_SEGMENTS = 500_000
MOST_MEETINGS = 5_000_000
"""Pieces of one layer, and pairs of them whose boxes meet: they bound what judging costs.

The largest board that was tried, 1,000 LEDs, has 60 thousand pieces and 700 thousand meetings.
"""

_AT_ONCE = 500


def tangled(readings: Mapping[str, Reading]) -> Iterator[Difference]:
    """Tell layers of too many pieces, or of pieces that lie too much across another."""
    for part, reading in readings.items():
        boxes = _boxes(reading.objects)
        if len(boxes) > MOST_SEGMENTS or _meetings(boxes) > MOST_MEETINGS:
            yield Difference(
                kind=Kind.FORM,
                text=f"{reading.name} holds more pieces, or more entangled ones, than are read",
                layer=part.rpartition(".")[0],
            )


def _boxes(objects: tuple[Seen, ...]) -> "np.ndarray[tuple[int], np.dtype[np.object_]]":
    """Give the box of every piece: of flashes, and of each edge of strokes and contours."""
    corners = []
    for seen in objects:
        shape = seen.shape
        if isinstance(shape, Disc | Box):
            (x, y), (width, height) = shape.centre, seen.size_mm
            reach = (width * 5e5, height * 5e5)
            corners.append((x - reach[0], y - reach[1], x + reach[0], y + reach[1]))
            continue
        points = shape.points if not isinstance(shape, Contour) else \
            (shape.start, *(edge.end for edge in shape.edges))  # fmt: skip
        radius = shape.radius_nm
        corners += [
            (min(a[0], b[0]) - radius, min(a[1], b[1]) - radius,
             max(a[0], b[0]) + radius, max(a[1], b[1]) + radius)
            for a, b in pairwise(points)
        ]  # fmt: skip
    array = np.array(corners, dtype=float).reshape(-1, 4)
    return np.asarray(shapely.box(array[:, 0], array[:, 1], array[:, 2], array[:, 3]))


def _meetings(boxes: "np.ndarray[tuple[int], np.dtype[np.object_]]") -> int:
    """Count pairs of boxes that meet; stop as soon as there are too many."""
    tree = STRtree(boxes)
    count = 0
    for first in range(0, len(boxes), _AT_ONCE):
        count += tree.query(boxes[first : first + _AT_ONCE]).shape[1]
        if count > MOST_MEETINGS:
            break
    return count

"""Bounds on what is drawn, so that no file keeps the judge busy for ever."""

from collections.abc import Iterator, Mapping
from itertools import pairwise

import numpy as np
import shapely
from shapely import STRtree

from boardgen.model.proof import Difference, Kind
from boardgen.model.shapes import Box, Contour, Disc
from boardgen.readback.objects import Probe, Reading, SeenHole

MOST_PIECES = 1_500_000
MOST_MEETINGS_EACH = 40
MOST_RUNS = 50
"""Pieces of a layer, changes of polarity, and how many boxes the box of one meets on average.

They bound what judging costs. Boards of ours have up to 7 (12 boards measured), however large.
"""

_AT_ONCE = 500
_FEW = 1_000


def tangled(readings: Mapping[str, Reading]) -> Iterator[Difference]:
    """Tell layers of too many pieces, or of pieces that lie too much across another."""
    for part, reading in readings.items():
        boxes = _boxes(reading)
        runs = sum(one.dark != other.dark for one, other in pairwise(reading.objects))
        if len(boxes) > MOST_PIECES or runs > MOST_RUNS or _entangled(boxes):
            yield Difference(
                kind=Kind.FORM,
                text=f"{reading.name} holds more pieces, or more entangled ones, than are read",
                layer=part.rpartition(".")[0],
            )


def _boxes(reading: Reading) -> "np.ndarray[tuple[int], np.dtype[np.object_]]":
    """Give the box of every piece: of flashes, and of each edge of strokes and contours."""
    corners = []
    listed: list[SeenHole | Probe] = [*reading.holes, *reading.probes]
    for one in listed:
        (x, y), (width, height) = one.place, one.size_mm
        corners.append((x - width * 5e5, y - height * 5e5, x + width * 5e5, y + height * 5e5))
    for seen in reading.objects:
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
    return np.array(shapely.box(array[:, 0], array[:, 1], array[:, 2], array[:, 3]), dtype=object)


def _entangled(boxes: "np.ndarray[tuple[int], np.dtype[np.object_]]") -> bool:
    """Count pairs of boxes that meet; stop as soon as there are too many."""
    most = MOST_MEETINGS_EACH * max(len(boxes), _FEW)
    tree = STRtree(boxes)
    count = 0
    for first in range(0, len(boxes), _AT_ONCE):
        count += tree.query(boxes[first : first + _AT_ONCE]).shape[1]
        if count > most:
            return True
    return False

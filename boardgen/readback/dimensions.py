"""The dimension drawing held against profile and holes: a carpenter drills by it."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence

from boardgen.model.shapes import Contour, Disc, Shape
from boardgen.readback.edges import box_nm
from boardgen.units import NM_PER_MM

_NEAR_MM = 0.002
_SIZE = re.compile(r"([\d.]+) x ([\d.]+) mm over all, [\d.]+ mm thick\.")
_HOLE = re.compile(r"(\w+): ([\d.]+) mm for \S+, at ([\d.]+), ([\d.]+);")
_ROUND = re.compile(r"Opening: ([\d.]+) mm across, its middle at ([\d.]+), ([\d.]+)\.")
_BOX = re.compile(r"Opening: from ([\d.]+), ([\d.]+) to ([\d.]+), ([\d.]+)")
_CIRCLE = re.compile(r"M(-?[\d.]+) (-?[\d.]+)a([\d.]+) ")


def dimension_faults(
    content: bytes, profile: Sequence[tuple[Shape, bool]], drilled: Sequence[tuple[Shape, bool]]
) -> Iterator[str]:
    """Hold sizes and holes, in words and as drawn, against what the files have."""
    root = ET.fromstring(content)  # noqa: S314 - its form was judged before
    texts = [element.text or "" for element in root.iter() if element.tag.endswith("text")]
    said = " ".join(texts)
    edges = [box_nm(shape) for shape, _ in profile if isinstance(shape, Contour)]
    if not edges:
        return
    left, low, right, top = (nm / NM_PER_MM for nm in edges[0])
    sizes = [(float(a), float(b)) for a, b in _SIZE.findall(said)]
    if len(sizes) != 1 or not _near(sizes[0], (right - left, top - low)):
        yield "does not say how long and wide the board is"
    yield from _openings(said, edges[1:])
    holes = [
        (shape.centre[0] / NM_PER_MM, shape.centre[1] / NM_PER_MM, 2 * shape.radius_nm / NM_PER_MM)
        for shape, _ in drilled
        if isinstance(shape, Disc)
    ]
    told = [(float(x), float(y), float(size)) for _, size, x, y in _HOLE.findall(said)]
    data = next((e.get("d", "") for e in root.iter() if e.get("id") == "holes"), "")
    drawn = [
        (float(x) + float(r), top - low - float(y), 2 * float(r))
        for x, y, r in _CIRCLE.findall(data)
    ]
    for what, found in (("says", told), ("draws", drawn)):
        for one in found:
            if not any(_near(one, hole) for hole in holes):
                at = f"({one[0]:g}, {one[1]:g})"
                yield f"{what} a hole of {one[2]:g} mm at {at} that is not drilled"
    if len(told) != len(drawn):
        yield "does not draw as many holes as it says"


def _openings(said: str, edges_nm: Sequence[tuple[float, float, float, float]]) -> Iterator[str]:
    """Hold the boxes around openings, as told, against those of the profile's inner edges."""
    told = [tuple(map(float, found)) for found in _BOX.findall(said)]
    for found in _ROUND.findall(said):
        across, x, y = map(float, found)
        told.append((x - across / 2, y - across / 2, x + across / 2, y + across / 2))
    there = [tuple(nm / NM_PER_MM for nm in edge) for edge in edges_nm]
    alike = all(any(_near(one, other) for other in there) for one in told)
    if len(told) != len(there) or not alike:
        yield "does not tell the openings as they are cut"


def _near(one: Sequence[float], other: Sequence[float]) -> bool:
    return all(abs(a - b) <= _NEAR_MM for a, b in zip(one, other, strict=True))

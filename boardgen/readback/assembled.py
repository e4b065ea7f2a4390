"""The picture of joined boards held against profile and lists: each is this board, and so many."""

import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence

from boardgen.model.shapes import Contour, Shape
from boardgen.units import NM_PER_MM

_NEAR_MM = 0.005
"""Corners are written to a micrometre, and turned."""
_SAID = re.compile(r"(\d+) boards with (\d+) LEDs")
_STEP = re.compile(r"[ML](-?[\d.]+) (-?[\d.]+)|A\S+ \S+ 0 [01] [01] (-?[\d.]+) (-?[\d.]+)")
_CORNERS = 4


def assembled_faults(
    content: bytes, profile: Sequence[tuple[Shape, bool]], leds: int
) -> Iterator[str]:
    """Hold edges against the profile, and the LEDs' number against that of the placement list."""
    root = ET.fromstring(content)  # noqa: S314 - its form was judged before
    texts = " ".join(e.text or "" for e in root.iter() if e.tag.endswith("text"))
    said = _SAID.search(texts)
    if said is None:
        yield "does not say how many boards and LEDs there are"
        return
    boards, lit = int(said[1]), int(said[2])
    drawn = {e.get("id"): e.get("d", "") for e in root.iter() if e.get("id")}
    edges = [_ends(ring) for ring in drawn.get("boards", "").split("Z") if ring]
    if len(edges) != boards:
        yield f"draws {len(edges)} boards, and says {boards}"
    own = next((shape for shape, _ in profile if isinstance(shape, Contour)), None)
    ends = [] if own is None else [
        (edge.end[0] / NM_PER_MM, edge.end[1] / NM_PER_MM) for edge in own.edges
    ]  # fmt: skip
    for place, edge in enumerate(edges, start=1):
        if not _same(edge, ends):
            yield f"board {len(edges) + 1 - place} is not as the profile has it"
    bodies = drawn.get("leds", "").count("Z")
    if not bodies == lit == boards * leds:
        yield f"draws {bodies} LEDs and says {lit}; {boards} boards have {boards * leds}"


def _ends(data: str) -> list[tuple[float, float]]:
    """Read where the pieces of an edge end; y counts upwards again, from wherever."""
    found = [
        (float(step[0] or step[2]), -float(step[1] or step[3])) for step in _STEP.findall(data)
    ]
    return found[1:]  # it begins where it ends


def _same(one: Sequence[tuple[float, float]], other: Sequence[tuple[float, float]]) -> bool:
    """Tell whether two edges are alike but for how they lie: all distances from corner to corner.

    From each corner to the three before it, whichever is the first; an edge that is seen in a
    mirror turns the other way.
    """
    if len(one) != len(other) or len(one) < _CORNERS:
        return False
    if not math.isclose(_area(one), _area(other), rel_tol=_ALIKE):
        return False
    wanted = _steps(other)
    return any(
        all(
            abs(a - b) <= _NEAR_MM
            for mine, own in zip(_steps([*one[start:], *one[:start]]), wanted, strict=True)
            for a, b in zip(mine, own, strict=True)
        )
        for start in range(len(one))
    )


_ALIKE = 1e-3


def _steps(ring: Sequence[tuple[float, float]]) -> list[list[float]]:
    """Measure from each corner to those before it."""
    return [
        [math.dist(ring[n - back], ring[n]) for back in range(1, _CORNERS)]
        for n in range(len(ring))
    ]


def _area(ring: Sequence[tuple[float, float]]) -> float:
    """Measure what corners enclose: positive counter-clockwise."""
    return sum(
        x1 * y2 - x2 * y1
        for (x1, y1), (x2, y2) in zip(ring, [*ring[1:], ring[0]], strict=True)
    ) / 2  # fmt: skip

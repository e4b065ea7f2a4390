"""The picture of joined boards held against profile and lists: each is this board, and so many."""

import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from boardgen.model.proof import SeenPin
from boardgen.model.shapes import Contour, Shape
from boardgen.units import NM_PER_MM

_NEAR_MM = 0.005
"""Corners are written to a micrometre, and turned."""
_SAID = re.compile(r"(\d+) boards with (\d+) LEDs")
_STAPLES = re.compile(r"(\d+) staples")
_STAPLE_MM, _DRAWN_MM = 6.0, 0.02
"""No staple is longer: own bound; and how near wires are drawn."""
_STEP = re.compile(r"[ML](-?[\d.]+) (-?[\d.]+)|A\S+ \S+ 0 [01] [01] (-?[\d.]+) (-?[\d.]+)")
_CORNERS = 4
_Ring = Sequence[tuple[float, float]]


def assembled_faults(
    content: bytes, profile: Sequence[tuple[Shape, bool]], pins: Sequence[SeenPin], leds: int
) -> Iterator[str]:
    """Hold edges against the profile, staples against the lands, LEDs against the placement list.

    Each board has to begin where the one before it ends; staples lead from the far lands of a pole
    to the next board's first ones, and a wire to the first of all.
    """
    root = ET.fromstring(content)  # noqa: S314 - its form was judged before
    texts = " ".join(e.text or "" for e in root.iter() if e.tag.endswith("text"))
    said, stapled = _SAID.search(texts), _STAPLES.search(texts)
    if said is None or stapled is None:
        yield "does not say how many boards, LEDs and staples there are"
        return
    boards, lit = int(said[1]), int(said[2])
    drawn = {e.get("id"): e.get("d", "") for e in root.iter() if e.get("id")}
    edges = [_ends(ring) for ring in drawn.get("boards", "").split("Z") if ring][::-1]
    own = next((shape for shape, _ in profile if isinstance(shape, Contour)), None)
    ends = [] if own is None else [
        (edge.end[0] / NM_PER_MM, edge.end[1] / NM_PER_MM) for edge in own.edges
    ]  # fmt: skip
    lying = [_laid(ends, edge) for edge in edges]
    if len(edges) != boards:
        yield f"draws {len(edges)} boards, and says {boards}"
    yield from (f"board {n} is not as the profile has it"
                for n, pose in enumerate(lying, start=1) if pose is None)  # fmt: skip
    bodies = drawn.get("leds", "").count("Z")
    if not bodies == lit == boards * leds:
        yield f"draws {bodies} LEDs and says {lit}; {boards} boards have {boards * leds}"
    if int(stapled[1]) not in (2 * (boards - 1), 2 * boards):
        yield f"says {stapled[1]} staples for {boards} boards"
    if None not in lying and lying:
        poses = [pose for pose in lying if pose]
        for name, function in (("plus", "+"), ("minus", "-")):
            yield from _wired(drawn.get(name, ""), function, poses, pins)


_Pose = Callable[[tuple[float, float]], tuple[float, float]]


def _laid(own: _Ring, there: _Ring) -> _Pose | None:
    """Find how a board lies in the picture; None when it is another board."""
    start = _same(there, own)
    if start is None:
        return None
    (x1, y1), (x2, y2) = own[0], max(own, key=lambda at: math.dist(at, own[0]))
    other = own.index((x2, y2))
    turned = [*there[start:], *there[:start]]
    (u1, v1), (u2, v2) = turned[0], turned[other]
    turn = math.atan2(v2 - v1, u2 - u1) - math.atan2(y2 - y1, x2 - x1)
    cos, sin = math.cos(turn), math.sin(turn)

    def pose(at: tuple[float, float]) -> tuple[float, float]:
        dx, dy = at[0] - x1, at[1] - y1
        return (u1 + dx * cos - dy * sin, v1 + dx * sin + dy * cos)

    return pose


def _wired(
    data: str, function: str, poses: Sequence[_Pose], pins: Sequence[SeenPin]
) -> Iterator[str]:
    """Hold the wires of a pole against the lands that they lead from and to."""
    lands = {pin.reference[0]: (pin.x_mm, pin.y_mm) for pin in pins
             if pin.function == function}  # fmt: skip
    wires = [_points(wire) for wire in data.split("M") if wire]
    if "J" not in lands or "E" not in lands or len(wires) != len(poses):
        yield f"draws {len(wires)} wires at {function} for {len(poses)} boards"
        return
    wanted = [poses[0](lands["J"])]
    for here, there in pairwise(poses):
        apart = math.dist(here(lands["E"]), there(lands["J"]))
        if apart > _STAPLE_MM:
            yield f"lands of {function} lie {apart:.3g} mm apart across a joint"
        wanted += [here(lands["E"]), there(lands["J"])]
    seen = [wires[0][-1], *(at for wire in wires[1:] for at in (wire[0], wire[-1]))]
    if any(math.dist(one, other) > _DRAWN_MM for one, other in zip(seen, wanted, strict=True)):
        yield f"a wire of {function} does not lie at its lands"


def _points(data: str) -> list[tuple[float, float]]:
    return [(float(x), -float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", data)]


def _ends(data: str) -> list[tuple[float, float]]:
    """Read where the pieces of an edge end; y counts upwards again, from wherever."""
    found = [
        (float(step[0] or step[2]), -float(step[1] or step[3])) for step in _STEP.findall(data)
    ]
    return found[1:]  # it begins where it ends


def _same(one: _Ring, other: _Ring) -> int | None:
    """Tell at which corner an edge begins as another does, alike but for how they lie.

    All distances from each corner to the three before it are held, whichever is the first; an edge
    that is seen in a mirror turns the other way.
    """
    if len(one) != len(other) or len(one) < _CORNERS:
        return None
    if not math.isclose(_area(one), _area(other), rel_tol=_ALIKE):
        return None
    wanted = _steps(other)
    starts = (
        start
        for start in range(len(one))
        if all(
            abs(a - b) <= _NEAR_MM
            for mine, own in zip(_steps([*one[start:], *one[:start]]), wanted, strict=True)
            for a, b in zip(mine, own, strict=True)
        )
    )
    return next(starts, None)


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

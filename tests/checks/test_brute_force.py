"""Measured minima against a second, dumb measurement: outlines sampled densely in numpy.

It shares no geometry with boardgen: shapes are read as what they are (points, lines, rectangles,
lines and arcs, each thickened), sampled every 10 um, and whether a point shows copper is found by
drawing the objects over it one after the other. Half a step off along an edge, a gap of 0.15 mm is
0.1 um too long at most; a micrometre is asked.
"""

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from scipy.spatial import cKDTree

from boardgen.checks.minima import measured_minima
from boardgen.designing import design_board
from boardgen.errors import RefusalError
from boardgen.model.artwork import HoleKind, Item, Layer, Purpose
from boardgen.model.design import Design
from boardgen.model.shapes import Box, Contour, Disc, Shape, Stroke
from boardgen.reading.parameters import parse
from tests.checks.planting import base
from tests.laws.strategies import parameter_files

STEP_NM = 10_000.0
AGREE_MM = 0.001
POUR = (Purpose.POUR, Purpose.CLEARANCE, Purpose.PATCH, Purpose.SPOKE)

Points = np.ndarray[Any, np.dtype[np.float64]]


def arc(centre: Sequence[float], radius: float, start: float, sweep: float) -> Points:
    count = max(2, math.ceil(abs(sweep) * max(radius, 1.0) / STEP_NM) + 1)
    angles = start + sweep * np.linspace(0.0, 1.0, count)
    return np.stack([centre[0] + radius * np.cos(angles), centre[1] + radius * np.sin(angles)], 1)


def straight(start: Sequence[float], end: Sequence[float]) -> Points:
    count = max(2, math.ceil(math.dist(start, end) / STEP_NM) + 1)
    along = np.linspace(0.0, 1.0, count)[:, None]
    return np.asarray(start, float) * (1 - along) + np.asarray(end, float) * along


def ring(shape: Box | Contour) -> Points:
    """Sample the skeleton of a rectangle or of a contour, once around."""
    if isinstance(shape, Box):
        (x, y), w, h = shape.centre, shape.width_nm / 2, shape.height_nm / 2
        corners = [(x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h)]
        pairs = zip(corners, (*corners[1:], corners[0]), strict=True)
        return np.concatenate([straight(a, b) for a, b in pairs])
    at, parts = shape.edges[-1].end, []
    for edge in shape.edges:
        if edge.centre is None:
            parts.append(straight(at, edge.end))
        else:
            first, last = (
                math.atan2(p[1] - edge.centre[1], p[0] - edge.centre[0]) for p in (at, edge.end)
            )
            sweep = (last - first) % math.tau
            sweep = sweep - math.tau if edge.clockwise else sweep
            parts.append(arc(edge.centre, math.dist(at, edge.centre), first, sweep))
        at = edge.end
    return np.concatenate(parts)


def outline(shape: Shape) -> Points:
    """Sample the outline of a shape: of a thick line, its flanks and round ends."""
    radius = float(shape.radius_nm)
    if isinstance(shape, Disc):
        return arc(shape.centre, radius, 0.0, math.tau)
    if isinstance(shape, Stroke):
        parts = [arc(point, radius, 0.0, math.tau) for point in shape.points]
        for a, b in zip(shape.points, shape.points[1:], strict=False):
            length = math.dist(a, b)
            normal = np.array([-(b[1] - a[1]), b[0] - a[0]]) / length * radius
            parts += [straight(tuple(a + one), tuple(b + one)) for one in (normal, -normal)]
        return np.concatenate(parts)
    assert radius == 0.0, "no land, clearing or pour is a thickened rectangle or contour"
    return ring(shape)


def inside(shape: Shape, points: Points) -> Any:
    """Tell which points a shape covers."""
    if isinstance(shape, Disc):
        return np.hypot(*(points - shape.centre).T) < shape.radius_nm
    if isinstance(shape, Stroke):
        near = np.zeros(len(points), bool)
        for a, b in zip(shape.points, shape.points[1:], strict=False):
            start, way = np.asarray(a, float), np.subtract(b, a).astype(float)
            along = np.clip((points - start) @ way / (way @ way), 0.0, 1.0)[:, None]
            near |= np.hypot(*(points - start - along * way).T) < shape.radius_nm
        return near
    if isinstance(shape, Box):
        apart = np.abs(points - shape.centre)
        return (apart[:, 0] < shape.width_nm / 2) & (apart[:, 1] < shape.height_nm / 2)
    if isinstance(shape, Contour) and len(shape.edges) == 2 and shape.edges[0].centre:
        centre = shape.edges[0].centre
        return np.hypot(*(points - centre).T) < math.dist(centre, shape.edges[0].end)
    corners = ring(shape)
    order = np.argsort(points[:, 1])
    x, y = points[order].T
    odd = np.zeros(len(points), bool)
    thin = corners if len(corners) < 400 else _corners_only(corners)
    for (x1, y1), (x2, y2) in zip(thin, np.roll(thin, -1, 0), strict=True):
        if y1 != y2:
            level = slice(*np.searchsorted(y, (min(y1, y2), max(y1, y2))))
            crossed = x[level] < (x2 - x1) * (y[level] - y1) / (y2 - y1) + x1
            odd[order[level]] ^= crossed
    return odd


def _corners_only(points: Points) -> Points:
    """Leave out samples in the middle of straight pieces."""
    before, after = np.roll(points, 1, 0), np.roll(points, -1, 0)
    one, two = points - before, after - points
    bends = np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]) > 1.0
    return points[bends]


def pour_shore(layer: Layer) -> Points:
    """Sample where a side's pour ends: outlines with copper on one side of them only."""
    items = [item for item in layer.items if item.purpose in POUR]
    lines = [outline(item.shape) for item in items]
    if not lines:
        return np.empty((0, 2))
    points = np.concatenate(lines)
    directions = np.concatenate([np.gradient(line, axis=0) for line in lines])
    lengths = np.hypot(*directions.T)
    keep = lengths > 0
    points, directions = points[keep], directions[keep] / lengths[keep, None]
    normal = np.stack([-directions[:, 1], directions[:, 0]], 1) * 500.0
    left, right = (shows(items, points + side * normal) for side in (1, -1))
    edge: Points = points[left != right]
    return edge


def shows(items: Iterable[Item], points: Points) -> Any:
    """Draw the objects over the points in turn, each over those within its own box only."""
    order = np.argsort(points[:, 0])
    xs, dark = points[order, 0], np.zeros(len(points), bool)
    for item in items:
        line = outline(item.shape)
        (left, low), (right, high) = line.min(0) - STEP_NM, line.max(0) + STEP_NM
        band = order[np.searchsorted(xs, left) : np.searchsorted(xs, right)]
        near = band[(points[band, 1] > low) & (points[band, 1] < high)]
        dark[near[inside(item.shape, points[near])]] = item.dark
    return dark


def least_gap(design: Design) -> float:
    least = math.inf
    for layer in design.artwork.coppers():
        by_net: dict[str, list[Points]] = {}
        for item in layer.items:
            if item.dark and item.purpose is not Purpose.POUR:
                by_net.setdefault(item.net, []).append(outline(item.shape))
        shore = pour_shore(layer)
        if len(shore):
            net = next(item.net for item in layer.items if item.purpose is Purpose.POUR)
            by_net.setdefault(net, []).append(shore)
        clouds = {net: np.concatenate(parts) for net, parts in by_net.items()}
        everything = np.concatenate(list(clouds.values()))
        owner = np.concatenate(
            [np.full(len(points), place) for place, points in enumerate(clouds.values())]
        )
        for place, points in enumerate(clouds.values()):
            others = everything[owner != place]
            if len(others):
                least = min(least, float(cKDTree(others).query(points)[0].min()))
    return least / 1e6


def least_ring(design: Design) -> float:
    least = math.inf
    for layer in design.artwork.coppers():
        lands = [
            item.shape for item in layer.items
            if item.purpose in (Purpose.THROUGH_LAND, Purpose.VIA_LAND)
        ]  # fmt: skip
        for hole in design.artwork.holes:
            if not hole.plated and hole.kind is not HoleKind.COMPONENT:
                continue
            edge = arc(hole.centre, hole.diameter_nm / 2, 0.0, math.tau)
            own = [land for land in lands if inside(land, np.array([hole.centre], float))[0]]
            rings = [float(cKDTree(outline(land)).query(edge)[0].min()) for land in own]
            least = min(least, max(rings))
    return least / 1e6


def least_wall(design: Design) -> float:
    edges = [arc(h.centre, h.diameter_nm / 2, 0.0, math.tau) for h in design.artwork.holes]
    trees = [cKDTree(edge) for edge in edges]
    return min(
        (float(tree.query(edges[other])[0].min()) / 1e6
         for place, tree in enumerate(trees) for other in range(place)),
        default=math.inf,
    )  # fmt: skip


def agree(design: Design, seen: Counter[str]) -> None:
    minima = {least.key: least.value_mm for least in measured_minima(design)}
    for key, second in (
        ("gap", least_gap(design)),
        ("ring", least_ring(design)),
        ("hole-hole", least_wall(design)),
    ):
        if key in minima:
            assert minima[key] == pytest.approx(second, abs=AGREE_MM), key
            seen[key] += 1
        elif key == "hole-hole":
            assert second > 10.0  # further than boardgen looks
        else:
            assert math.isinf(second)


def run(boards: int) -> Counter[str]:
    seen: Counter[str] = Counter()

    @settings(max_examples=3 * boards, derandomize=True, deadline=None, database=None,
              suppress_health_check=list(HealthCheck), phases=[Phase.generate])  # fmt: skip
    @given(parameter_files())
    def law(text: str) -> None:
        if seen["boards"] >= boards:
            return
        try:
            design = design_board(parse(text, file="bar.toml", name="bar"))
        except RefusalError:
            return
        seen["boards"] += 1
        agree(design, seen)

    law()
    return seen


@pytest.mark.parametrize("sides", [1, 2])
def test_minima_agree_with_dense_sampling(sides: int) -> None:
    seen: Counter[str] = Counter()
    agree(base("pitch 15", light={"count": 1}, copper={"sides": sides}), seen)
    assert set(seen) == {"gap", "ring", "hole-hole"}


@pytest.mark.slow
def test_minima_of_a_hundred_boards_agree_with_dense_sampling() -> None:
    seen = run(100)
    print(dict(seen))  # noqa: T201 - the marked run tells what it compared
    assert seen["boards"] == 100

"""The smallest measures that are really there: how much, where, between what, and what is left."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from boardgen.checks.areas import least_pour_gap, metal_of, pour_net, pour_of
from boardgen.checks.finding import at_mm, place_of
from boardgen.checks.holes import rings_nm
from boardgen.geometry.contents import webs
from boardgen.geometry.measuring import (
    area_to_line,
    between,
    between_area,
    between_line,
    near_pairs,
    nearest_to_line,
)
from boardgen.model.artwork import Hole, HoleKind, Item, Layer, LayerKind
from boardgen.model.board import Side
from boardgen.model.design import Design
from boardgen.model.findings import Minimum
from boardgen.model.shapes import Disc, Shape, Stroke
from boardgen.units import NM_PER_MM, Nm, mm, snap

_NEAREST_NM, _LOOKS = 100_000, 8
"""Where looking for the smallest begins, and how often at twice the reach: beyond a centimetre."""


@dataclass(frozen=True, slots=True)
class _Measure:
    """One distance that was found."""

    value_nm: float
    place_nm: Callable[[], tuple[float, float]]
    subjects: tuple[str, ...]


_Look = Callable[[int], Iterable[_Measure]]


def measured_minima(design: Design) -> tuple[Minimum, ...]:
    """Measure the smallest of each kind on a board; a kind that there is not is left out.

    Exact on shapes: distance of skeletons less the radii.
    """
    limits = design.limits
    web_mm = limits.mask_web_mm(design.parameters.order.mask)
    plated = any(hole.plated for hole in design.artwork.holes)
    ring_mm = limits.ring_mm if plated else limits.ring_unplated_mm
    looks: tuple[tuple[str, str, float, _Look], ...] = (
        ("gap", "gap between nets", limits.gap_mm, lambda n: _gaps(design, n)),
        ("width", "track or spoke", limits.track_mm, lambda _: _widths(design)),
        ("ring", "ring", ring_mm, lambda _: _rings(design)),
        ("web", "web of mask", web_mm, lambda n: _webs(design, n)),
        ("hole", "hole", limits.hole_mm, lambda _: _sizes(design)),
        ("hole-hole", "hole to hole", limits.hole_hole_mm, lambda n: _holes(design, n)),
        (
            "hole-copper", "unplated hole to copper", limits.hole_copper_mm,
            lambda n: _hole_copper(design, n),
        ),
        ("edge-copper", "copper to edge", limits.copper_edge_mm, lambda n: _edges(design, n)),
        ("edge-hole", "hole to edge", limits.hole_edge_mm, lambda n: _hole_edges(design, n)),
        ("legend", "legend to land", limits.legend_land_mm, lambda n: _legend(design, n)),
    )  # fmt: skip
    found = []
    for key, title, limit_mm, look in looks:
        least = _least(look, snap(limit_mm))
        if least is not None:
            found.append(
                Minimum(
                    key=key,
                    title=title,
                    value_mm=round(least.value_nm / NM_PER_MM, 6),
                    limit_mm=limit_mm,
                    place_mm=at_mm(least.place_nm()),
                    subjects=tuple(dict.fromkeys(least.subjects)),
                )
            )
    return tuple(found)


def smallest_gap_mm(minima: Sequence[Minimum]) -> float | None:
    """Take the smallest gap between copper of two nets; None when there is none."""
    return {least.key: least.value_mm for least in minima}.get("gap")


def _least(look: _Look, limit_nm: int) -> _Measure | None:
    """Look ever further until something is found, so that most boards are done after one look."""
    reach = max(2 * limit_nm, _NEAREST_NM)
    for times in range(_LOOKS):
        found = min(look(reach << times), key=lambda measure: measure.value_nm, default=None)
        if found is not None:
            return found
    return None


def _gaps(design: Design, within: int) -> Iterator[_Measure]:
    for layer in design.artwork.coppers():
        metal = metal_of(layer)
        shapes = [item.shape for item in metal]
        for one, other, gap in near_pairs(shapes, shapes, within):
            if metal[one].net != metal[other].net:
                yield _measure(
                    gap, shapes[one], shapes[other], metal[one].net, metal[other].net, layer.name
                )
        strange = [item for item in metal if item.net != pour_net(layer)]
        named = [(item.shape, item.net) for item in strange]
        yield from _to_pour(layer, within, named)


def _to_pour(layer: Layer, within: int, named: Sequence[tuple[Shape, str]]) -> Iterator[_Measure]:
    nearest = least_pour_gap(layer, [shape for shape, _ in named], within)
    if nearest is not None:
        place, gap = nearest
        shape, name = named[place]
        yield _Measure(
            gap,
            lambda: between_area(shape, pour_of(layer)),
            (name, pour_net(layer), layer.name),
        )


def _measure(gap: float, first: Shape, second: Shape, *subjects: str) -> _Measure:
    return _Measure(gap, lambda: between(first, second), subjects)


def _widths(design: Design) -> Iterator[_Measure]:
    for layer in design.artwork.coppers():
        for item in layer.items:
            if item.dark and isinstance(item.shape, Stroke):
                name = item.net or "a letter"
                yield _at(2 * item.shape.radius_nm, item.shape, name, layer.name)


def _at(value: float, shape: Shape, *subjects: str) -> _Measure:
    x, y = place_of(shape)
    return _Measure(value, lambda: (x * NM_PER_MM, y * NM_PER_MM), subjects)


def _rings(design: Design) -> Iterator[_Measure]:
    holes = [
        hole for hole in design.artwork.holes if hole.plated or hole.kind is HoleKind.COMPONENT
    ]
    for layer in design.artwork.coppers():
        for hole, ring in zip(holes, rings_nm(holes, layer), strict=True):
            kind = "plated" if hole.plated else "not plated"
            yield _at(ring, _disc(hole), _name(hole), layer.name, kind)


def _webs(design: Design, within: int) -> Iterator[_Measure]:
    for side in Side:
        items = design.artwork.items(LayerKind.MASK, side)
        shapes = [item.shape for item in items]
        for one, other, gap in webs(shapes, within):
            names = (_owner(items[one]), _owner(items[other]), f"mask-{side.value}")
            yield _measure(gap, shapes[one], shapes[other], *names)


def _owner(item: Item) -> str:
    if item.owner is None:
        return item.purpose.value
    return f"{item.owner.reference}.{item.owner.pin}".rstrip(".")


def _disc(hole: Hole) -> Disc:
    return Disc(hole.centre, Nm(hole.diameter_nm // 2))


def _name(hole: Hole) -> str:
    if hole.owner is None:
        return f"{hole.kind.value} at ({mm(hole.centre[0]):g}, {mm(hole.centre[1]):g})"
    return f"{hole.owner.reference}.{hole.owner.pin}".rstrip(".")


def _sizes(design: Design) -> Iterator[_Measure]:
    for hole in design.artwork.holes:
        yield _at(hole.diameter_nm, _disc(hole), _name(hole))


def _holes(design: Design, within: int) -> Iterator[_Measure]:
    holes = design.artwork.holes
    discs = [_disc(hole) for hole in holes]
    for one, other, gap in near_pairs(discs, discs, within):
        yield _measure(gap, discs[one], discs[other], _name(holes[one]), _name(holes[other]))


def _hole_copper(design: Design, within: int) -> Iterator[_Measure]:
    holes = [h for h in design.artwork.holes if not h.plated and h.kind is not HoleKind.COMPONENT]
    discs = [_disc(hole) for hole in holes]
    for layer in design.artwork.coppers():
        metal = metal_of(layer)
        for one, other, gap in near_pairs(discs, [item.shape for item in metal], within):
            net = metal[other].net
            yield _measure(gap, discs[one], metal[other].shape, _name(holes[one]), net, layer.name)
        named = [(disc, _name(hole)) for disc, hole in zip(discs, holes, strict=True)]
        yield from _to_pour(layer, within, named)


def _to_edge(
    design: Design, within: int, named: Sequence[tuple[Shape, tuple[str, ...]]]
) -> Iterator[_Measure]:
    for edge in design.artwork.edges:
        nearest = nearest_to_line(edge, [shape for shape, _ in named], within)
        if nearest is not None:
            place, gap = nearest
            shape, subjects = named[place]
            yield _Measure(gap, partial(between_line, shape, edge), subjects)


def _edges(design: Design, within: int) -> Iterator[_Measure]:
    for layer in design.artwork.coppers():
        named = [(item.shape, (item.net, layer.name)) for item in metal_of(layer)]
        yield from _to_edge(design, within, named)
        for edge in design.artwork.edges:
            if poured := area_to_line(pour_of(layer), edge, within):
                gap, place = poured
                yield _Measure(gap, lambda place=place: place, (pour_net(layer), layer.name))  # type: ignore[misc]


def _hole_edges(design: Design, within: int) -> Iterator[_Measure]:
    yield from _to_edge(
        design, within, [(_disc(hole), (_name(hole),)) for hole in design.artwork.holes]
    )


def _legend(design: Design, within: int) -> Iterator[_Measure]:
    for side in Side:
        legend = design.artwork.items(LayerKind.LEGEND, side)
        openings = design.artwork.items(LayerKind.MASK, side)
        shapes, others = [i.shape for i in legend], [i.shape for i in openings]
        for one, other, gap in near_pairs(shapes, others, within):
            yield _measure(
                gap, shapes[one], others[other], _owner(legend[one]), _owner(openings[other]),
                f"legend-{side.value}",
            )  # fmt: skip

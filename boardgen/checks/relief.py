"""Rules on thermal relief: spokes that meet the pour and carry the current, even heat."""

from collections import defaultdict
from collections.abc import Iterable, Iterator

from boardgen import units
from boardgen.checks.areas import pour_net
from boardgen.checks.finding import place_of, report
from boardgen.geometry.pours import filled_of
from boardgen.geometry.regions import Region
from boardgen.model.artwork import Item, Layer, Purpose
from boardgen.model.board import Part, PartKind
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.shapes import Box, Disc, Stroke
from boardgen.standards import track_width
from boardgen.units import snap

_SMALL_CHIP_MM = 2.3
"""Bodies up to 0805 (metric 2012) with its tolerance: common practice, no source."""


def heat_chip(design: Design) -> Iterable[Finding]:
    """A small chip's two lands lose their heat through unequal copper.

    Why it matters
        The end that melts first pulls the chip upright or askew.
    How it is measured
        Widths of tracks and spokes that leave each land, or its outline where the pour joins it
        without relief, for bodies up to 0805.
    How to mend it
        ``copper.relief = "all"``, or larger parts.
    """
    limits = design.limits
    for layer in design.artwork.coppers():
        leaving: dict[tuple[int, int], float] = defaultdict(float)
        for item in layer.items:
            if item.dark and isinstance(item.shape, Stroke) and item.net:
                for end in {item.shape.points[0], item.shape.points[-1]}:
                    leaving[end] += 2 * item.shape.radius_nm
        for part in design.board.parts:
            body = part.pattern.body
            small = body.right_mm - body.left_mm <= _SMALL_CHIP_MM
            if part.side is not layer.side or not small or not part.kind.row.in_branch:
                continue
            widths = []
            for land in part.pattern.lands:
                x, y = part.land_place(land)
                solid = part.net(land.name) == pour_net(layer) and (
                    design.parameters.copper.relief != "all"
                )
                outline = 2e6 * (land.width_mm + land.height_mm)
                widths.append(outline if solid else leaving[snap(x), snap(y)])
            if max(widths) - min(widths) > limits.heat_share * max(widths):
                yield report(
                    message=f"{part.reference}: {units.length(widths[0] / 1e6)} of copper leave one"
                    f" land, {units.length(widths[1] / 1e6)} the other",
                    actual=f"{1 - min(widths) / max(widths):.0%} apart",
                    limit=f"{100 * limits.heat_share:g}% at most",
                    place_mm=(part.x_mm, part.y_mm),
                    subjects=(part.reference,),
                    path="copper.relief",
                )


_RELIEVED = {
    "all": (Purpose.THROUGH_LAND, Purpose.SURFACE_LAND),
    "holes": (Purpose.THROUGH_LAND,),
    "none": (),
}
_ROUNDING_NM = 500
"""Arcs are cut within a quarter of a micrometre; half a one is neither inside nor outside."""


def relief_spokes(design: Design) -> Iterable[Finding]:
    """A relieved land keeps too few spokes that reach the pour.

    Why it matters
        One spoke carries the current and the pull of the wire alone; a spoke that ends short of
        the pour carries nothing.
    How it is measured
        Spokes that leave the land's centre and end in the pour with their whole width, and tracks
        of its net, for lands with a relief gap. On the land of an LED or resistor, which nothing
        pulls, one counts as several when it is as wide as they would be.
    How to mend it
        More room around the land, or ``copper.relief = "none"``.
    """
    limits = design.limits
    chips = {part.reference for part in design.board.parts if part.kind.row.in_branch}
    for layer in design.artwork.coppers():
        for item, ways in _ways_out(design, layer):
            of_chip = item.owner is not None and item.owner.reference in chips
            wide_mm = limits.spokes * limits.aims.chip_spoke_mm * of_chip
            widest_nm = max((2 * way.radius_nm for way in ways), default=0)
            if len(ways) < limits.spokes and not 0 < snap(wide_mm) <= widest_nm:
                yield report(
                    message=f"{_named(item)} has {_counted(len(ways), 'spoke')} into the pour on"
                    f" {layer.name}",
                    actual=str(len(ways)),
                    limit=f"at least {limits.spokes}"
                    + (f", or one of {units.length(wide_mm)}" if wide_mm else ""),
                    place_mm=place_of(item.shape),
                    subjects=(_named(item), layer.name),
                    path="copper.relief",
                )


def relief_current(design: Design) -> Iterable[Finding]:
    """The spokes of a land are too narrow for its current.

    Why it matters
        They warm more than the rail may, just where a joint holds a wire or an LED.
    How it is measured
        Widths of all spokes that reach a pour, both sides together, against the width that the
        land's highest current needs (IPC-2221).
    How to mend it
        ``copper.relief = "none"``, thicker copper, or less current.
    """
    widths: dict[str, float] = defaultdict(float)
    lands: dict[str, Item] = {}
    for layer in design.artwork.coppers():
        for item, ways in _ways_out(design, layer):
            widths[_named(item)] += sum(2 * way.radius_nm for way in ways)
            lands[_named(item)] = item
    copper, parts = design.parameters.copper, {p.reference: p for p in design.board.parts}
    for name, width_nm in widths.items():
        owner = lands[name].owner
        current_a = _current_a(design, parts.get(owner.reference)) if owner else 0.0
        needed = track_width.width_mm(current_a, copper.rise_k, copper.weight_um)
        if width_nm < snap(needed):
            yield report(
                message=f"the spokes of {name} are too narrow together for"
                f" {units.engineering(current_a, 'A')}",
                actual=units.length(width_nm / units.NM_PER_MM),
                limit=f"at least {units.length(needed)}",
                place_mm=place_of(lands[name].shape),
                subjects=(name,),
                path="copper.relief",
            )


def _ways_out(design: Design, layer: Layer) -> Iterator[tuple[Item, list[Stroke]]]:
    """List a side's relieved lands, each with what leads its current away."""
    net, filled = pour_net(layer), filled_of(layer)
    leaving: dict[tuple[int, int], list[Stroke]] = defaultdict(list)
    for item in layer.items:
        if isinstance(item.shape, Stroke) and item.dark and item.net == net:
            chain = item.shape.points
            for start, end in ((chain[0], chain[-1]), (chain[-1], chain[0])):
                if item.purpose is not Purpose.SPOKE or _meets(filled, end, item.shape):
                    leaving[start].append(item.shape)
                    if item.purpose is Purpose.SPOKE:
                        break
    for item in layer.items:
        relieved = item.purpose in _RELIEVED[design.parameters.copper.relief]
        if relieved and item.net == net and isinstance(item.shape, Disc | Box):
            yield item, leaving[item.shape.centre]


def _meets(filled: Region, end: tuple[int, int], spoke: Stroke) -> bool:
    """Tell whether a spoke's round end lies in the pour in its whole width."""
    return filled.covers(Disc(end, units.Nm(spoke.radius_nm - _ROUNDING_NM)))  # type: ignore[arg-type]


def _current_a(design: Design, part: Part | None) -> float:
    """Tell the most that a land of 0 V carries: its share of the whole, or its branch's."""
    if part is None or not (part.kind.row.signed or part.kind is PartKind.LED):
        return 0.0
    if part.kind is PartKind.JOINT:
        return design.circuit.through_a
    if part.kind is PartKind.LED:
        return max(kind.high.current_a for kind in design.circuit.kinds)
    poles = sum(land.function == "-" for land in part.pattern.lands)
    return design.circuit.worst_a / poles


def _named(item: Item) -> str:
    return f"{item.owner.reference}.{item.owner.pin}" if item.owner else item.net


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"

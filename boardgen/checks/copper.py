"""Rules on copper: gaps, widths, nets."""

from collections import defaultdict
from collections.abc import Iterable
from functools import lru_cache

from boardgen import units
from boardgen.checks.finding import place_of, report
from boardgen.geometry.measuring import near_line, near_pairs, near_region
from boardgen.geometry.regions import Region, image
from boardgen.geometry.tracing import Groups, touching
from boardgen.model.artwork import Hole, HoleKind, Item, Layer, Purpose
from boardgen.model.board import PartKind
from boardgen.model.circuit import SUPPLY_NET
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.limits import Limits
from boardgen.model.shapes import Disc, Shape, Stroke
from boardgen.units import snap

_POUR = (Purpose.POUR, Purpose.CLEARANCE, Purpose.PATCH, Purpose.SPOKE)


def metal_of(layer: Layer) -> list[Item]:
    """Tracks, lands and spokes: everything but the pour itself."""
    return [item for item in layer.items if item.dark and item.purpose is not Purpose.POUR]


@lru_cache(maxsize=4)
def pour_of(layer: Layer) -> Region:
    """Compute what a side's pour shows; several rules ask, one after the other."""
    return image([item for item in layer.items if item.purpose in _POUR])


def pour_net(layer: Layer) -> str:
    """Name the net of a side's pour."""
    return next((item.net for item in layer.items if item.purpose is Purpose.POUR), "")


def gap_copper(design: Design, limits: Limits) -> Iterable[Finding]:
    """Copper of two nets stands too close.

    Why it matters
        Etching joins what is too close, and then current goes where it must not.
    How it is measured
        Between outlines of tracks, lands, spokes and pour of different nets on one side: distance
        of the skeletons less both radii.
    How to mend it
        Give the parts more room: a larger pitch, width or row pitch.
    """
    limit = snap(limits.gap_mm)
    for layer in design.artwork.coppers():
        metal = metal_of(layer)
        shapes = [item.shape for item in metal]
        for one, other, gap in near_pairs(shapes, shapes, limit):
            if metal[one].net != metal[other].net:
                yield _gap(layer, metal[one], metal[other].net, gap, limits)
        foreign = [item for item in metal if item.net != pour_net(layer)]
        for place, gap in near_region(pour_of(layer), [item.shape for item in foreign], limit):
            yield _gap(layer, foreign[place], pour_net(layer), gap, limits)


def _gap(layer: Layer, item: Item, other: str, gap_nm: float, limits: Limits) -> Finding:
    return report(
        message=f"{item.net} and {other} are too close on {layer.name}",
        actual=units.length(gap_nm / units.NM_PER_MM),
        limit=f"at least {units.length(limits.gap_mm)}",
        place_mm=place_of(item.shape),
        subjects=(item.net, other, layer.name),
    )


def track_width(design: Design, limits: Limits) -> Iterable[Finding]:
    """A track or spoke is narrower than the house etches.

    Why it matters
        Narrow copper is etched through in places.
    How it is measured
        Width of each stroke on copper.
    How to mend it
        Ask for a wider rail, or take a finer house.
    """
    limit = snap(limits.track_mm)
    for layer in design.artwork.coppers():
        for item in layer.items:
            if item.dark and isinstance(item.shape, Stroke) and 2 * item.shape.radius_nm < limit:
                yield report(
                    message=f"a {item.purpose.value} of {item.net} is too narrow on {layer.name}",
                    actual=units.length(2 * item.shape.radius_nm / units.NM_PER_MM),
                    limit=f"at least {units.length(limits.track_mm)}",
                    place_mm=place_of(item.shape),
                    subjects=(item.net, layer.name),
                    path="copper.rail",
                )


def track_heat(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001 - rule's form
    """The supply rail would warm by more than was asked for.

    Why it matters
        A hot rail ages board and LEDs, and at last lifts off.
    How it is measured
        Width of the drawn rails against the width that the highest current needs (IPC-2221).
    How to mend it
        A wider board, thicker copper, or less current.
    """
    needed = design.circuit.rail.heat_mm
    if design.operation.rails.width_mm < needed:
        yield report(
            message=f"the rail carries {units.engineering(design.circuit.worst_a, 'A')} at worst",
            actual=units.length(design.operation.rails.width_mm),
            limit=f"at least {units.length(needed)}",
            subjects=(SUPPLY_NET,),
            path="copper.rail",
        )


def edge_copper(design: Design, limits: Limits) -> Iterable[Finding]:
    """Copper comes too near to the board's edge.

    Why it matters
        The router tears copper at the edge, and bare copper there shorts on a metal frame.
    How it is measured
        From every copper outline to the profile's centre line.
    How to mend it
        A larger outline, or parts further from the edge.
    """
    limit = snap(limits.copper_edge_mm)
    profile = design.artwork.profile
    for layer in design.artwork.coppers():
        items = [item for item in layer.items if item.dark]
        for place, gap in near_line(profile, [item.shape for item in items], limit):
            yield report(
                message=f"{items[place].net} is too near to the edge on {layer.name}",
                actual=units.length(gap / units.NM_PER_MM),
                limit=f"at least {units.length(limits.copper_edge_mm)}",
                place_mm=place_of(items[place].shape),
                subjects=(items[place].net, layer.name),
                path="form.width",
            )


def screw_room(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001
    """Copper lies under a screw's head or washer.

    Why it matters
        A turning screw scrapes the mask away and joins nets to the metal below.
    How it is measured
        From all copper to the circle of head, washer and play around the hole.
    How to mend it
        A smaller screw, or a wider or longer board.
    """
    for layer in design.artwork.coppers():
        items = metal_of(layer)
        shapes = [item.shape for item in items]
        for hole in design.board.holes:
            room = Disc((snap(hole.x_mm), snap(hole.y_mm)), snap(hole.room_mm / 2))
            near = [(items[p].net, gap) for p, _, gap in near_pairs(shapes, [room], 1) if gap < 0]
            near += [
                (pour_net(layer), gap) for _, gap in near_region(pour_of(layer), [room], 1)
                if gap < -units.NM_PER_UM
            ]  # fmt: skip
            for net, gap in near:
                yield report(
                    message=f"{net} reaches under the head of {hole.reference} on {layer.name}",
                    actual=f"{units.length(-gap / units.NM_PER_MM)} inside",
                    limit=f"outside a circle of {units.length(hole.room_mm)}",
                    place_mm=(hole.x_mm, hole.y_mm),
                    subjects=(hole.reference, net, layer.name),
                    path="mounting.screw",
                )


def hole_copper(design: Design, limits: Limits) -> Iterable[Finding]:
    """Copper comes too near to an unplated hole.

    Why it matters
        The drill tears copper, and a screw or wire in the hole touches it.
    How it is measured
        From the edge of screw and strain-relief holes to all copper.
    How to mend it
        Move what is near, or take a smaller screw.
    """
    limit = snap(limits.hole_copper_mm)
    holes = [h for h in design.artwork.holes if not h.plated and h.kind is not HoleKind.COMPONENT]
    discs = [Disc(hole.centre, units.Nm(hole.diameter_nm // 2)) for hole in holes]
    for layer in design.artwork.coppers():
        items = metal_of(layer)
        near = [
            (holes[two], items[one].net, gap)
            for one, two, gap in near_pairs([item.shape for item in items], discs, limit)
        ]
        net = pour_net(layer)
        near += [
            (holes[place], net, gap) for place, gap in near_region(pour_of(layer), discs, limit)
        ]
        for hole, who, gap in near:
            yield _near_hole(hole, who, gap, layer, limits)


def _near_hole(hole: Hole, net: str, gap_nm: float, layer: Layer, limits: Limits) -> Finding:
    name = hole.owner.reference if hole.owner else "a hole"
    return report(
        message=f"{net or 'a letter'} is too near to the hole of {name} on {layer.name}",
        actual=units.length(gap_nm / units.NM_PER_MM),
        limit=f"at least {units.length(limits.hole_copper_mm)}",
        place_mm=place_of(Disc(hole.centre, units.Nm(0))),
        subjects=(name, net, layer.name),
        path="mounting.screw",
    )


_SMALL_CHIP_MM = 2.3
"""Bodies up to 0805 (metric 2012) with its tolerance: common practice, no source."""


def heat_chip(design: Design, limits: Limits) -> Iterable[Finding]:
    """A small chip's two lands lose their heat through unequal copper.

    Why it matters
        The end that melts first pulls the chip upright or askew.
    How it is measured
        Widths of tracks and spokes that leave each land, or its outline where the pour joins it
        without relief, for bodies up to 0805.
    How to mend it
        ``copper.relief = "all"``, or larger parts.
    """
    for layer in design.artwork.coppers():
        leaving: dict[tuple[int, int], float] = defaultdict(float)
        for item in layer.items:
            if item.dark and isinstance(item.shape, Stroke) and item.net:
                for end in {item.shape.points[0], item.shape.points[-1]}:
                    leaving[end] += 2 * item.shape.radius_nm
        for part in design.board.parts:
            body = part.pattern.body
            small = body.right_mm - body.left_mm <= _SMALL_CHIP_MM
            if part.side is not layer.side or not small or part.kind not in _CHIPS:
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
                    limit=f"{limits.heat_share:.0%} at most",
                    place_mm=(part.x_mm, part.y_mm),
                    subjects=(part.reference,),
                    path="copper.relief",
                )


_CHIPS = (PartKind.LED, PartKind.RESISTOR)


def relief_spokes(design: Design, limits: Limits) -> Iterable[Finding]:
    """A relieved land keeps too few of its spokes.

    Why it matters
        One spoke carries the current and the pull of the wire alone.
    How it is measured
        Spokes and tracks of its net that leave the land's centre, for lands with a relief gap.
    How to mend it
        More room around the land, or ``copper.relief = "none"``.
    """
    relief = design.parameters.copper.relief
    relieved = {
        "all": (Purpose.THROUGH_LAND, Purpose.SURFACE_LAND),
        "holes": (Purpose.THROUGH_LAND,),
        "none": (),
    }[relief]
    for layer in design.artwork.coppers():
        starts = [
            end
            for item in layer.items
            if isinstance(item.shape, Stroke) and item.dark and item.net == pour_net(layer)
            for end in {item.shape.points[0], item.shape.points[-1]}
        ]
        for item in layer.items:
            if item.purpose not in relieved or item.net != pour_net(layer) or not item.owner:
                continue
            if isinstance(item.shape, Stroke) or not hasattr(item.shape, "centre"):
                continue
            count = starts.count(item.shape.centre)
            if count < limits.spokes:
                yield report(
                    message=f"{item.owner.reference}.{item.owner.pin} has {count} spokes on"
                    f" {layer.name}",
                    actual=str(count),
                    limit=f"at least {limits.spokes}",
                    place_mm=place_of(item.shape),
                    subjects=(f"{item.owner.reference}.{item.owner.pin}", layer.name),
                    path="copper.relief",
                )


def _conducting(design: Design) -> tuple[list[str], Groups]:
    """Gather all copper into groups that conduct: names of nets, and the groups."""
    areas: list[tuple[str, Shape | Region]] = []
    groups_pairs: list[tuple[int, int]] = []
    for layer in design.artwork.coppers():
        start = len(areas)
        metal = [item for item in metal_of(layer) if item.purpose is not Purpose.SPOKE]
        pieces = pour_of(layer).pieces()
        areas += [(item.net, item.shape) for item in metal]
        areas += [(pour_net(layer), piece) for piece in pieces]
        here = [area for _, area in areas[start:]]
        groups_pairs += [(start + one, start + other) for one, other in touching(here, here)]
    groups = Groups(len(areas))
    for one, other in groups_pairs:
        groups.join(one, other)
    barrels = [
        Disc(hole.centre, units.Nm(hole.diameter_nm // 2))
        for hole in design.artwork.holes
        if hole.plated
    ]
    first: dict[int, int] = {}
    for barrel, member in touching(barrels, [area for _, area in areas]):
        groups.join(first.setdefault(barrel, member), member)
    return [net for net, _ in areas], groups


def net_whole(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001
    """A net falls apart, or two nets are joined.

    Why it matters
        LEDs stay dark, or the supply is shorted.
    How it is measured
        Copper that meets on a side, and plated holes between the sides, make groups; each net
        must be one group and each group one net.
    How to mend it
        This is a fault of the layout: please report the parameter file.
    """
    nets, groups = _conducting(design)
    by_net, by_group = defaultdict(set), defaultdict(set)
    for member, net in enumerate(nets):
        if not net:
            continue  # letters in copper belong to no net; the gap rule keeps them apart
        by_net[net].add(groups.find(member))
        by_group[groups.find(member)].add(net)
    for net, members in sorted(by_net.items()):
        if len(members) > 1:
            yield report(
                message=f"{net} is in {len(members)} pieces", actual=str(len(members)), limit="1",
                subjects=(net,),
            )  # fmt: skip
    for joined in sorted(tuple(sorted(nets)) for nets in by_group.values() if len(nets) > 1):
        yield report(message=f"{' and '.join(joined)} are joined", subjects=joined)

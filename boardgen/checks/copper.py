"""Rules on copper: gaps and widths."""

import math
from collections.abc import Iterable, Iterator

from boardgen import units
from boardgen.checks.areas import metal_of, pour_gaps, pour_net, pour_of
from boardgen.checks.finding import at_mm, place_of, report
from boardgen.forms.table import plan
from boardgen.geometry.measuring import (
    area_to_line,
    between,
    between_area,
    between_line,
    near_lines,
    near_pairs,
)
from boardgen.model.artwork import Hole, HoleKind, Item, Layer, Purpose
from boardgen.model.bounds import below
from boardgen.model.circuit import SUPPLY_NET
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.limits import Limits
from boardgen.model.shapes import Disc, Point, Stroke
from boardgen.standards.spacing import Cover, spacing_mm
from boardgen.units import snap


def gap_copper(design: Design) -> Iterable[Finding]:
    """Copper of two nets stands too close.

    Why it matters
        Etching joins what is too close, and then current goes where it must not.
    How it is measured
        Between outlines of tracks, lands, spokes and pour of different nets on one side: distance
        of the skeletons less both radii.
    How to mend it
        Give the parts more room: a larger pitch, width or row pitch.
    """
    limits = design.limits
    limit = snap(limits.gap_mm)
    for layer in design.artwork.coppers():
        metal = metal_of(layer)
        shapes = [item.shape for item in metal]
        for one, other, gap in near_pairs(shapes, shapes, limit):
            if metal[one].net != metal[other].net:
                where = at_mm(between(shapes[one], shapes[other]))
                yield _gap(layer, (metal[one].net, metal[other].net), gap, where, limits)
        foreign = [item for item in metal if item.net != pour_net(layer)]
        for place, gap in pour_gaps(layer, [item.shape for item in foreign], limit):
            where = at_mm(between_area(foreign[place].shape, pour_of(layer)))
            yield _gap(layer, (foreign[place].net, pour_net(layer)), gap, where, limits)


def _gap(
    layer: Layer,
    nets: tuple[str, str],
    gap_nm: float,
    place_mm: tuple[float, float],
    limits: Limits,
) -> Finding:
    first, second = (net or "a letter" for net in nets)
    return report(
        message=f"{first} and {second} are too close on {layer.name}",
        actual=units.length(gap_nm / units.NM_PER_MM),
        limit=f"at least {units.length(limits.gap_mm)}",
        place_mm=place_mm,
        subjects=(*nets, layer.name),
    )


_LANDS = (Purpose.SURFACE_LAND, Purpose.THROUGH_LAND)


def gap_voltage(design: Design) -> Iterable[Finding]:
    """Bare lands of two nets stand closer than the supply's voltage asks for.

    Why it matters
        Flux, dust and damp make a path between bare lands, and the current chars it.
    How it is measured
        Between lands of different nets and parts that the mask leaves bare, at the highest supply:
        a branch that is open somewhere has all of it at one place. Lands of one part are left to
        its data; other copper is held by ``gap.copper``, whose limit includes the voltage's.
    How to mend it
        A larger pitch or row pitch, or a lower supply.
    """
    limit_mm = spacing_mm(design.parameters.parts.supply.high_v, Cover.LANDS)
    for layer in design.artwork.coppers():
        lands = [item for item in layer.items if item.purpose in _LANDS]
        shapes = [item.shape for item in lands]
        for one, other, gap in near_pairs(shapes, shapes, snap(limit_mm)):
            pair = (lands[one], lands[other])
            if pair[0].net != pair[1].net and _part(pair[0]) != _part(pair[1]):
                names = tuple(map(_land, pair))
                yield report(
                    message=f"{' and '.join(names)} are too close for"
                    f" {design.parameters.parts.supply.high_v:g} V on {layer.name}",
                    actual=units.length(gap / units.NM_PER_MM),
                    limit=f"at least {units.length(limit_mm)}",
                    place_mm=at_mm(between(pair[0].shape, pair[1].shape)),
                    subjects=(*names, layer.name),
                    path=plan(design.parameters).keys.pitch,
                )


def _part(item: Item) -> str:
    return item.owner.reference if item.owner else ""


def _land(item: Item) -> str:
    return f"{item.owner.reference}.{item.owner.pin}" if item.owner else item.net


def track_acute(design: Design) -> Iterable[Finding]:
    """A track bends back sharply.

    Why it matters
        Etchant stays in the wedge and eats into the track; it also looks thrown together.
    How it is measured
        The angle inside each bend of a track.
    How to mend it
        This is a fault of the layout: please report the parameter file.
    """
    limits = design.limits
    for layer in design.artwork.coppers():
        for item in layer.items:
            if item.purpose is not Purpose.TRACK or not isinstance(item.shape, Stroke):
                continue
            for corner, bend_deg in _bends(item.shape):
                if below(bend_deg, limits.acute_deg, _ANGLE_NOISE_DEG):
                    yield report(
                        message=f"a track of {item.net} bends back on {layer.name}",
                        actual=f"{bend_deg:.2f} deg",
                        limit=f"at least {limits.acute_deg:g} deg",
                        place_mm=place_of(Disc(corner, units.Nm(0))),
                        subjects=(item.net, layer.name),
                    )


_ANGLE_NOISE_DEG = 1e-4
"""What the grid of 1 nm leaves of an angle between arms of a millimetre."""


def _bends(stroke: Stroke) -> Iterator[tuple[Point, float]]:
    """List the corners of a chain with the angle between their arms."""
    chain = stroke.points
    for before, corner, after in zip(chain, chain[1:], chain[2:], strict=False):
        arms = [math.atan2(at[1] - corner[1], at[0] - corner[0]) for at in (before, after)]
        turn = abs(arms[0] - arms[1]) % math.tau
        yield corner, math.degrees(min(turn, math.tau - turn))


def track_width(design: Design) -> Iterable[Finding]:
    """A track or spoke is narrower than the house etches.

    Why it matters
        Narrow copper is etched through in places.
    How it is measured
        Width of each stroke on copper.
    How to mend it
        Ask for a wider rail, or take a finer house.
    """
    limits = design.limits
    limit = snap(limits.track_mm)
    for layer in design.artwork.coppers():
        for item in layer.items:
            if item.dark and isinstance(item.shape, Stroke) and 2 * item.shape.radius_nm < limit:
                what = f"a {item.purpose.value} of {item.net}" if item.net else "a letter"
                yield report(
                    message=f"{what} is too narrow on {layer.name}",
                    actual=units.length(2 * item.shape.radius_nm / units.NM_PER_MM),
                    limit=f"at least {units.length(limits.track_mm)}",
                    place_mm=place_of(item.shape),
                    subjects=(item.net, layer.name),
                    path="copper.rail",
                )


def track_heat(design: Design) -> Iterable[Finding]:
    """The supply rail would warm by more than was asked for.

    Why it matters
        A hot rail ages board and LEDs, and at last lifts off.
    How it is measured
        Width of the drawn rails against the width that the highest current needs (IPC-2221).
    How to mend it
        A wider board, thicker copper, or less current.
    """
    needed, rails = design.circuit.rail.heat_mm, design.operation.rails
    if not rails.poured and rails.width_mm < needed:
        yield report(
            message=f"the rail carries {units.engineering(design.circuit.worst_a, 'A')} at worst",
            actual=units.length(design.operation.rails.width_mm),
            limit=f"at least {units.length(needed)}",
            subjects=(SUPPLY_NET,),
            path="copper.rail",
        )


def edge_copper(design: Design) -> Iterable[Finding]:
    """Copper comes too near to the board's edge.

    Why it matters
        The router tears copper at the edge, and bare copper there shorts on a metal frame.
    How it is measured
        From every copper outline to the profile's centre line.
    How to mend it
        A larger outline, or parts further from the edge.
    """
    limits = design.limits
    limit = snap(limits.copper_edge_mm)
    edges = design.artwork.edges
    for layer in design.artwork.coppers():
        metal = metal_of(layer)
        near = [
            (metal[place].net, gap, between_line(metal[place].shape, edge))
            for edge, place, gap in near_lines(edges, [item.shape for item in metal], limit)
        ]
        poured = (area_to_line(pour_of(layer), edge, limit) for edge in edges)
        near += [(pour_net(layer), *found) for found in poured if found]
        for net, gap, place in near:
            yield report(
                message=f"{net or 'a letter'} is too near to the edge on {layer.name}",
                actual=units.length(gap / units.NM_PER_MM),
                limit=f"at least {units.length(limits.copper_edge_mm)}",
                place_mm=at_mm(place),
                subjects=(net, layer.name),
                path=plan(design.parameters).keys.across,
            )


def screw_room(design: Design) -> Iterable[Finding]:
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
            near = [(items[p].net, gap) for p, _, gap in near_pairs(shapes, [room], 0)]
            near += [(pour_net(layer), gap) for _, gap in pour_gaps(layer, [room], 0)]
            for net, gap in near:
                yield report(
                    message=f"{net or 'a letter'} reaches under the head of {hole.reference} on"
                    f" {layer.name}",
                    actual=f"{units.length(-gap / units.NM_PER_MM)} inside",
                    limit=f"outside a circle of {units.length(hole.room_mm)}",
                    place_mm=(hole.x_mm, hole.y_mm),
                    subjects=(hole.reference, net, layer.name),
                    path="mounting.screw",
                )


def hole_copper(design: Design) -> Iterable[Finding]:
    """Copper comes too near to an unplated hole.

    Why it matters
        The drill tears copper, and a screw or wire in the hole touches it.
    How it is measured
        From the edge of screw and strain-relief holes to all copper.
    How to mend it
        Move what is near, or take a smaller screw.
    """
    limits = design.limits
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
        near += [(holes[place], net, gap) for place, gap in pour_gaps(layer, discs, limit)]
        for hole, who, gap in near:
            yield _near_hole(hole, who, gap, layer, limits)


def _near_hole(hole: Hole, net: str, gap_nm: float, layer: Layer, limits: Limits) -> Finding:
    name, of = (hole.owner.reference, "the hole of ") if hole.owner else ("a hole", "")
    return report(
        message=f"{net or 'a letter'} is too near to {of}{name} on {layer.name}",
        actual=units.length(gap_nm / units.NM_PER_MM),
        limit=f"at least {units.length(limits.hole_copper_mm)}",
        place_mm=place_of(Disc(hole.centre, units.Nm(0))),
        subjects=(name, net, layer.name),
        path="mounting.screw",
    )

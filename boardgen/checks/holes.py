"""Rules on holes: size, ring, distances."""

from collections.abc import Iterable, Iterator, Sequence

from boardgen import units
from boardgen.checks.areas import metal_of, pour_gaps, pour_net
from boardgen.checks.finding import report
from boardgen.forms.table import plan
from boardgen.geometry.contents import margin_nm
from boardgen.geometry.measuring import near_lines, near_pairs
from boardgen.model.artwork import Hole, HoleKind, Layer
from boardgen.model.bounds import below
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.shapes import Box, Disc
from boardgen.units import Nm, mm, snap


def _disc(hole: Hole) -> Disc:
    return Disc(hole.centre, Nm(hole.diameter_nm // 2))


def _name(hole: Hole) -> str:
    if hole.owner:
        return f"{hole.owner.reference}.{hole.owner.pin}".rstrip(".")
    return f"{hole.kind.value} at ({mm(hole.centre[0]):g}, {mm(hole.centre[1]):g})"


def _the(hole: Hole) -> str:
    return _name(hole) if hole.owner else f"the {_name(hole)}"


def _place(hole: Hole) -> tuple[float, float]:
    return (mm(hole.centre[0]), mm(hole.centre[1]))


def hole_size(design: Design) -> Iterable[Finding]:
    """A hole is smaller than the house drills.

    Why it matters
        The house holds the order, or the hole closes when it is plated.
    How it is measured
        Finished diameter of each hole.
    How to mend it
        Another part, or a finer house.
    """
    limits = design.limits
    for hole in design.artwork.holes:
        if hole.diameter_nm < snap(limits.hole_mm):
            yield report(
                message=f"the hole of {_the(hole)} is too small",
                actual=units.length(mm(hole.diameter_nm)),
                limit=f"at least {units.length(limits.hole_mm)}",
                place_mm=_place(hole),
                subjects=(_name(hole),),
            )


def ring_plated(design: Design) -> Iterable[Finding]:
    """The ring of copper around a plated hole is too narrow.

    Why it matters
        A drill that wanders breaks out of the land, and the joint has nothing to hold.
    How it is measured
        From the hole's edge outwards to the land's edge, in the worst direction, on both sides.
    How to mend it
        A larger land, or a smaller lead.
    """
    limits = design.limits
    holes = [hole for hole in design.artwork.holes if hole.plated]
    yield from _rings(design, holes, limits.ring_mm)


def ring_unplated(design: Design) -> Iterable[Finding]:
    """The ring around a hole that is soldered without plating is too narrow.

    Why it matters
        Without a barrel the ring alone holds the lead, and it peels off the board.
    How it is measured
        Like the ring of a plated hole, for the holes of leads on boards with one copper side.
    How to mend it
        A larger land, or a smaller lead.
    """
    limits = design.limits
    holes = [
        hole for hole in design.artwork.holes if not hole.plated and hole.kind is HoleKind.COMPONENT
    ]
    yield from _rings(design, holes, limits.ring_unplated_mm)


def _rings(design: Design, holes: list[Hole], limit_mm: float) -> Iterator[Finding]:
    for layer in design.artwork.coppers():
        for hole, ring in zip(holes, rings_nm(holes, layer), strict=True):
            if below(ring, snap(limit_mm), _ROUNDING_NM):
                yield report(
                    message=f"the ring of {_name(hole)} is too narrow on {layer.name}",
                    actual=units.length(ring / units.NM_PER_MM),
                    limit=f"at least {units.length(limit_mm)}",
                    place_mm=_place(hole),
                    subjects=(_name(hole), layer.side.value if layer.side else ""),
                )


_ROUNDING_NM = 1
"""Holes and lands are each halved onto the grid."""


def rings_nm(holes: Sequence[Hole], layer: Layer) -> list[float]:
    """Measure each hole's ring in the worst direction; below nothing where there is no land."""
    middles = [Disc(hole.centre, Nm(0)) for hole in holes]
    lands = [item.shape for item in layer.items if item.dark and isinstance(item.shape, Disc | Box)]
    rings = [-hole.diameter_nm / 2 for hole in holes]
    for one, land, _ in near_pairs(middles, lands, 1):
        hole = Disc(holes[one].centre, Nm(holes[one].diameter_nm // 2))
        rings[one] = max(rings[one], margin_nm(hole, lands[land]))
    return rings


def hole_spacing(design: Design) -> Iterable[Finding]:
    """Two holes are too close to one another.

    Why it matters
        The wall between them breaks, and so may the drill.
    How it is measured
        From edge to edge of finished holes.
    How to mend it
        Move what they belong to apart.
    """
    limits = design.limits
    discs = [_disc(hole) for hole in design.artwork.holes]
    for one, other, gap in near_pairs(discs, discs, snap(limits.hole_hole_mm)):
        first, second = design.artwork.holes[one], design.artwork.holes[other]
        yield report(
            message=f"the holes of {_the(first)} and {_the(second)} are too close",
            actual=units.length(gap / units.NM_PER_MM),
            limit=f"at least {units.length(limits.hole_hole_mm)}",
            place_mm=_place(first),
            subjects=(_name(first), _name(second)),
        )


def edge_hole(design: Design) -> Iterable[Finding]:
    """A hole is too near to the board's edge.

    Why it matters
        The strip outside it breaks off.
    How it is measured
        From the hole's edge to the profile's centre line.
    How to mend it
        A larger outline.
    """
    limits = design.limits
    holes = design.artwork.holes
    limit = snap(limits.hole_edge_mm)
    for _, place, gap in near_lines(design.artwork.edges, list(map(_disc, holes)), limit):
        yield report(
            message=f"the hole of {_the(holes[place])} is too near to the edge",
            actual=units.length(gap / units.NM_PER_MM),
            limit=f"at least {units.length(limits.hole_edge_mm)}",
            place_mm=_place(holes[place]),
            subjects=(_name(holes[place]),),
            path=plan(design.parameters).keys.whole,
        )


def hole_overlap(design: Design) -> Iterable[Finding]:
    """Two holes overlap, or one is drilled twice.

    Why it matters
        The second hit breaks the drill, or leaves a ragged slot that nobody asked for.
    How it is measured
        From edge to edge of finished holes: below nothing they overlap.
    How to mend it
        Move what they belong to apart.
    """
    discs = [_disc(hole) for hole in design.artwork.holes]
    for one, other, gap in near_pairs(discs, discs, 0):
        first, second = design.artwork.holes[one], design.artwork.holes[other]
        yield report(
            message=f"the holes of {_the(first)} and {_the(second)} overlap",
            actual=f"{units.length(-gap / units.NM_PER_MM)} deep",
            limit="apart",
            place_mm=_place(first),
            subjects=(_name(first), _name(second)),
        )


def hole_large(design: Design) -> Iterable[Finding]:
    """A hole is larger than drills are.

    Why it matters
        The house mills it, asks whether it is meant, and may price it as a cut-out.
    How it is measured
        Finished diameter of each hole.
    How to mend it
        A smaller screw or another part.
    """
    limits = design.limits
    for hole in design.artwork.holes:
        if hole.diameter_nm > snap(limits.hole_most_mm):
            yield report(
                message=f"the hole of {_the(hole)} is too large to be drilled",
                actual=units.length(mm(hole.diameter_nm)),
                limit=f"at most {units.length(limits.hole_most_mm)}",
                place_mm=_place(hole),
                subjects=(_name(hole),),
            )


def hole_aspect(design: Design) -> Iterable[Finding]:
    """A plated hole is too narrow for the board's thickness.

    Why it matters
        The bath does not reach its middle, and the barrel stays thin or open.
    How it is measured
        Thickness of the board over the finished diameter of each plated hole.
    How to mend it
        A thinner board, or a house that plates deeper holes.
    """
    limits = design.limits
    thickness_mm = design.parameters.order.thickness_mm
    for hole in design.artwork.holes:
        if hole.plated and snap(thickness_mm) > limits.hole_aspect * hole.diameter_nm:
            yield report(
                message=f"the hole of {_the(hole)} is too narrow to be plated through"
                f" {units.length(thickness_mm)}",
                actual=f"{thickness_mm / mm(hole.diameter_nm):.2f} to 1",
                limit=f"at most {limits.hole_aspect} to 1",
                place_mm=_place(hole),
                subjects=(_name(hole),),
                path="order.thickness",
            )


def hole_foreign(design: Design) -> Iterable[Finding]:
    """A plated hole comes too near to copper of another net.

    Why it matters
        A drill that wanders joins its barrel to what it meets.
    How it is measured
        From the edge of the finished hole to copper of other nets, on each side.
    How to mend it
        Give the part more room.
    """
    limits = design.limits
    limit = snap(limits.hole_copper_mm)
    holes = [hole for hole in design.artwork.holes if hole.plated]
    discs = [_disc(hole) for hole in holes]
    for layer in design.artwork.coppers():
        metal = metal_of(layer)
        near = [
            (holes[one], metal[two].net, gap)
            for one, two, gap in near_pairs(discs, [item.shape for item in metal], limit)
        ]
        net = pour_net(layer)
        strange = [place for place, hole in enumerate(holes) if hole.net != net]
        near += [
            (holes[strange[one]], net, gap)
            for one, gap in pour_gaps(layer, [discs[place] for place in strange], limit)
        ]
        for hole, net, gap in near:
            if net != hole.net:
                yield report(
                    message=f"the hole of {_the(hole)} is too near to {net or 'a letter'} on"
                    f" {layer.name}",
                    actual=units.length(gap / units.NM_PER_MM),
                    limit=f"at least {units.length(limits.hole_copper_mm)}",
                    place_mm=_place(hole),
                    subjects=(_name(hole), net, layer.name),
                )

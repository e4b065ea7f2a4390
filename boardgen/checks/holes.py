"""Rules on holes: size, ring, distances."""

from collections.abc import Iterable, Iterator

from boardgen import units
from boardgen.checks.finding import report
from boardgen.geometry.measuring import distance_nm, near_line, near_pairs
from boardgen.model.artwork import Hole, HoleKind, Layer
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.limits import Limits
from boardgen.model.shapes import Disc
from boardgen.units import Nm, mm, snap


def _disc(hole: Hole) -> Disc:
    return Disc(hole.centre, Nm(hole.diameter_nm // 2))


def _name(hole: Hole) -> str:
    if hole.owner:
        return f"{hole.owner.reference}.{hole.owner.pin}".rstrip(".")
    return f"{hole.kind.value} at ({mm(hole.centre[0]):g}, {mm(hole.centre[1]):g})"


def _place(hole: Hole) -> tuple[float, float]:
    return (mm(hole.centre[0]), mm(hole.centre[1]))


def hole_size(design: Design, limits: Limits) -> Iterable[Finding]:
    """A hole is smaller than the house drills.

    Why it matters
        The house holds the order, or the hole closes when it is plated.
    How it is measured
        Finished diameter of each hole.
    How to mend it
        Another part, or a finer house.
    """
    for hole in design.artwork.holes:
        if hole.diameter_nm < snap(limits.hole_mm):
            yield report(
                message=f"the hole of {_name(hole)} is too small",
                actual=units.length(mm(hole.diameter_nm)),
                limit=f"at least {units.length(limits.hole_mm)}",
                place_mm=_place(hole),
                subjects=(_name(hole),),
            )


def ring_plated(design: Design, limits: Limits) -> Iterable[Finding]:
    """The ring of copper around a plated hole is too narrow.

    Why it matters
        A drill that wanders breaks out of the land, and the joint has nothing to hold.
    How it is measured
        From the hole's edge outwards to the land's edge, in the worst direction, on both sides.
    How to mend it
        A larger land, or a smaller lead.
    """
    holes = [hole for hole in design.artwork.holes if hole.plated]
    yield from _rings(design, holes, limits.ring_mm)


def ring_unplated(design: Design, limits: Limits) -> Iterable[Finding]:
    """The ring around a hole that is soldered without plating is too narrow.

    Why it matters
        Without a barrel the ring alone holds the lead, and it peels off the board.
    How it is measured
        Like the ring of a plated hole, for the holes of leads on boards with one copper side.
    How to mend it
        A larger land, or a smaller lead.
    """
    holes = [
        hole for hole in design.artwork.holes if not hole.plated and hole.kind is HoleKind.COMPONENT
    ]
    yield from _rings(design, holes, limits.ring_unplated_mm)


def _rings(design: Design, holes: list[Hole], limit_mm: float) -> Iterator[Finding]:
    for layer in design.artwork.coppers():
        lands = [item.shape for item in layer.items if item.dark and isinstance(item.shape, Disc)]
        for hole in holes:
            yield from _ring(hole, lands, layer, limit_mm)


def _ring(hole: Hole, lands: list[Disc], layer: Layer, limit_mm: float) -> Iterator[Finding]:
    rings = [
        land.radius_nm - distance_nm(Disc(land.centre, Nm(0)), Disc(hole.centre, Nm(0)))
        - hole.diameter_nm / 2
        for land in lands
        if abs(land.centre[0] - hole.centre[0]) <= land.radius_nm
    ]  # fmt: skip
    ring = max(rings, default=-hole.diameter_nm / 2)
    if ring < snap(limit_mm) - 1:
        yield report(
            message=f"the ring of {_name(hole)} is too narrow on {layer.name}",
            actual=units.length(ring / units.NM_PER_MM),
            limit=f"at least {units.length(limit_mm)}",
            place_mm=_place(hole),
            subjects=(_name(hole), layer.side.value if layer.side else ""),
        )


def hole_spacing(design: Design, limits: Limits) -> Iterable[Finding]:
    """Two holes are too close to one another.

    Why it matters
        The wall between them breaks, and so may the drill.
    How it is measured
        From edge to edge of finished holes.
    How to mend it
        Move what they belong to apart.
    """
    discs = [_disc(hole) for hole in design.artwork.holes]
    for one, other, gap in near_pairs(discs, discs, snap(limits.hole_hole_mm)):
        first, second = design.artwork.holes[one], design.artwork.holes[other]
        yield report(
            message=f"the holes of {_name(first)} and {_name(second)} are too close",
            actual=units.length(gap / units.NM_PER_MM),
            limit=f"at least {units.length(limits.hole_hole_mm)}",
            place_mm=_place(first),
            subjects=(_name(first), _name(second)),
        )


def edge_hole(design: Design, limits: Limits) -> Iterable[Finding]:
    """A hole is too near to the board's edge.

    Why it matters
        The strip outside it breaks off.
    How it is measured
        From the hole's edge to the profile's centre line.
    How to mend it
        A larger outline.
    """
    profile = design.artwork.profile
    holes = design.artwork.holes
    limit = snap(limits.hole_edge_mm)
    for place, gap in near_line(profile, [_disc(hole) for hole in holes], limit):
        yield report(
            message=f"the hole of {_name(holes[place])} is too near to the edge",
            actual=units.length(gap / units.NM_PER_MM),
            limit=f"at least {units.length(limits.hole_edge_mm)}",
            place_mm=_place(holes[place]),
            subjects=(_name(holes[place]),),
            path="form",
        )

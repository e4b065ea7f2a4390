"""Rules on parts: room, reach of their lands, the connector's way in."""

import math
from collections.abc import Iterable
from dataclasses import replace

from boardgen import units
from boardgen.checks.finding import place_of, report
from boardgen.forms.table import plan
from boardgen.geometry.measuring import distance_nm, near_lines, near_pairs
from boardgen.geometry.placing import contour
from boardgen.geometry.regions import Region, union
from boardgen.geometry.rooms import body_of, courtyard_of, placed, rooms_of
from boardgen.model.board import Part, PartKind, Side
from boardgen.model.bounds import above
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.model.land_pattern import Entry, Extent
from boardgen.model.shapes import Box, Contour, Disc, Shape
from boardgen.tolerances import ROUNDING_NM
from boardgen.units import Nm, mm, snap


def courtyard_overlap(design: Design) -> Iterable[Finding]:
    """Two parts, or a part and a screw, claim the same room.

    Why it matters
        They do not fit, or tweezers, nozzle and driver do not reach them.
    How it is measured
        Courtyards as rectangles, screws as circles of head, washer and play; sharing an edge is
        allowed.
    How to mend it
        A larger pitch or a larger outline.
    """
    parts, holes = design.board.parts, design.board.holes
    claimed = [(part.reference, room) for part in parts for room in rooms_of(part)]
    rooms: list[Shape] = [room for _, room in claimed]
    rooms += [Disc((snap(h.x_mm), snap(h.y_mm)), snap(h.room_mm / 2)) for h in holes]
    names = [name for name, _ in claimed] + [hole.reference for hole in holes]
    for one, other, _ in near_pairs(rooms, rooms, 1):
        if names[one] != names[other] and _shared_nm(rooms[one], rooms[other]) > 0:
            yield report(
                message=f"{names[one]} and {names[other]} claim the same room",
                actual=f"{units.length(_shared_nm(rooms[one], rooms[other]) / 1e6)} shared",
                limit="none",
                place_mm=place_of(rooms[one]),
                subjects=(names[one], names[other]),
                path=plan(design.parameters).keys.pitch,
            )


def _shared_nm(first: Shape, second: Shape) -> float:
    """How deep two rooms overlap; boxes exactly, a circle by its distance.

    Of two rectangles it is the least way that parts them, along a side of either of them.
    """
    if isinstance(first, Box) and isinstance(second, Box):
        ways = {first.axes, second.axes}
        ways |= {(-sin, cos) for cos, sin in ways}
        # A nanometre comes from halving odd sums.
        return max(0.0, min(_shared_along(first, second, way) for way in ways) - 2)
    if isinstance(first, Box) and isinstance(second, Contour):
        # What two areas share, as deep as it is on the mean of the way's width.
        shared = union([first]) & union([second]).inset(snap(_OVER_MM))
        return shared.area_nm2 / first.width_nm
    return max(0.0, -distance_nm(first, second))


def _shared_along(first: Box, second: Box, way: tuple[float, float]) -> float:
    """How much two rectangles share, seen along a direction."""
    apart = abs(sum(w * (b - a) for w, a, b in zip(way, first.centre, second.centre, strict=True)))
    return _half_seen(first, way) + _half_seen(second, way) - apart


def _half_seen(box: Box, way: tuple[float, float]) -> float:
    cos, sin = box.axes
    along, across = abs(cos * way[0] + sin * way[1]), abs(cos * way[1] - sin * way[0])
    return (box.width_nm * along + box.height_nm * across) / 2


def courtyard_edge(design: Design) -> Iterable[Finding]:
    """A part hangs over the board's edge.

    Why it matters
        It is in the way of the router and of whatever holds the board.
    How it is measured
        Courtyards against the outline and against cut-outs; a connector may reach the edge
        that its wires leave.
    How to mend it
        A larger outline.
    """
    parts = [part for part in design.board.parts if not part.pattern.bodiless]
    rooms = [body_of(part) if part.kind.row.signed else courtyard_of(part) for part in parts]
    boxed = replace(design.board.outline, inner=()).boxed
    edge = union([replace(design.artwork.edges[0], radius_nm=Nm(0))])
    for part, room in zip(parts, rooms, strict=True):
        over = _over_mm(part, design) if boxed else 0.0
        if above(over, 0.0) or not (boxed or _covers(edge, room)):
            yield report(
                message=f"{part.reference} hangs over the edge",
                actual=f"{units.length(over)} outside" if boxed else "outside",
                limit="inside",
                place_mm=(part.x_mm, part.y_mm),
                subjects=(part.reference,),
                path=plan(design.parameters).keys.whole,
            )
    cut_outs = design.artwork.edges[1 : 1 + len(design.board.outline.inner)]
    for _, place, _ in near_lines(cut_outs, rooms, 1):
        part = parts[place]
        yield report(
            message=f"{part.reference} hangs over a cut-out",
            place_mm=(part.x_mm, part.y_mm),
            subjects=(part.reference, "cut-out"),
            path=plan(design.parameters).keys.whole,
        )


def _covers(board: Region, room: Shape) -> bool:
    """Tell whether a room lies on the board, but for what rounding leaves of one that is turned."""
    return board.covers(room) or not (union([room]).inset(ROUNDING_NM) - board).area_nm2


def _over_mm(part: Part, design: Design) -> float:
    """Tell how far a part reaches over a rectangle's edge."""
    outline = design.board.outline
    box = part.extent(
        part.pattern.body if part.kind is PartKind.CONNECTOR else part.pattern.courtyard
    )
    return max(
        -box.left_mm,
        -box.bottom_mm,
        box.right_mm - outline.length_mm,
        box.top_mm - outline.width_mm,
    )


def lands_reach(design: Design) -> Iterable[Finding]:
    """A land lies where the part's end does not come.

    Why it matters
        The part falls between its lands, or covers them so that no solder shows.
    How it is measured
        Along the part: each land of a chip must begin inside the body and end beyond it or at
        least reach its outer half.
    How to mend it
        Correct own lands, or give the body that they belong to.
    """
    for part in design.board.parts:
        if not part.kind.row.in_branch:
            continue
        half = (part.pattern.body.right_mm - part.pattern.body.left_mm) / 2
        for land in part.pattern.lands:
            inner = abs(land.x_mm) - land.width_mm / 2
            outer = abs(land.x_mm) + land.width_mm / 2
            if inner >= half or outer <= half / 2:
                yield report(
                    message=f"land {land.name} of {part.reference} runs from {inner:.2f} to"
                    f" {outer:.2f} mm, the body ends at {half:.2f} mm",
                    actual=f"{units.length(max(inner - half, half / 2 - outer))} off",
                    limit="under the part's end",
                    place_mm=part.land_place(land),
                    subjects=(part.reference, land.name),
                    path="lands",
                )


def screw_edge(design: Design) -> Iterable[Finding]:
    """A screw's head or washer hangs over the edge.

    Why it matters
        It tilts, presses on the edge and splits the board.
    How it is measured
        The circle that head or washer covers against the profile's line.
    How to mend it
        A smaller screw, or a wider or longer board.
    """
    holes = design.board.holes
    discs = [Disc((snap(h.x_mm), snap(h.y_mm)), snap(h.covered_mm / 2)) for h in holes]
    for _, place, gap in near_lines(design.artwork.edges, discs, 0):
        yield report(
            message=f"what lies under {holes[place].reference} hangs over the edge",
            actual=f"{units.length(-gap / units.NM_PER_MM)} outside",
            limit="inside",
            place_mm=(holes[place].x_mm, holes[place].y_mm),
            subjects=(holes[place].reference,),
            path="mounting.screw",
        )


def connector_entry(design: Design) -> Iterable[Finding]:
    """A wire or plug cannot get into the connector.

    Why it matters
        The board is fed through it; what blocks the way is found when the wire is in the hand.
    How it is measured
        In front of a side entry a way as wide as the body and as long as the house's file says
        must be free of the board, of parts and of screw heads; above an entry from the top no
        part of the same side may reach over the body.
    How to mend it
        ``connector.at``: a place where nothing stands in the way; a larger pitch.
    """
    limits = design.limits
    for part in design.board.parts:
        if part.kind is not PartKind.CONNECTOR:
            continue
        body, way = part.pattern.body, limits.entry_mm
        box = body if part.pattern.entry is Entry.TOP else Extent(
            left_mm=body.left_mm, right_mm=body.right_mm,
            bottom_mm=body.bottom_mm - way, top_mm=body.bottom_mm,
        )  # fmt: skip
        corridor = placed(part, box)
        for name, shape in _in_the_way(design, part):
            deep = _shared_nm(corridor, shape)
            if deep > 0:
                yield report(
                    message=f"{name} stands in the way of {part.reference}'s wires",
                    actual=f"{units.length(deep / units.NM_PER_MM)} inside",
                    limit=f"free for {units.length(way)}",
                    place_mm=place_of(shape),
                    subjects=(part.reference, name),
                    path="connector.at",
                )


def _in_the_way(design: Design, connector: Part) -> list[tuple[str, Shape]]:
    """List what may block a connector: the board, when wires come along it, heads, parts."""
    board, top = design.board, connector.pattern.entry is Entry.TOP
    found: list[tuple[str, Shape]] = [
        (part.reference, body_of(part))
        for part in board.parts
        if part is not connector and part.side is connector.side and part.pattern.height_mm
    ]
    found += [
        (hole.reference, Disc((snap(hole.x_mm), snap(hole.y_mm)), snap(hole.covered_mm / 2)))
        for hole in board.holes
    ]
    if not top and connector.pattern.height_mm and not board.outline.boxed:
        found.append(("the board", contour(board.outline.outer)))
    elif not top and connector.pattern.height_mm:
        length, width = snap(board.outline.length_mm), snap(board.outline.width_mm)
        inset = snap(_OVER_MM)
        middle = (Nm(length // 2), Nm(width // 2))
        found.append(("the board", Box(middle, Nm(length - 2 * inset), Nm(width - 2 * inset))))
    return found


_OVER_MM = 0.5
"""So much of the board may lie in front of a face: no wire minds. Own choice."""


def connector_shade(design: Design) -> Iterable[Finding]:
    """The connector shades an LED, or stands higher than the diffuser.

    Why it matters
        The light looks darker there, or the diffuser does not lie flat.
    How it is measured
        Height of the body over its distance to the nearest LED, on the LEDs' side; its height
        against ``light.diffuser``.
    How to mend it
        ``connector.side = "bottom"``, or a lower connector.
    """
    limits = design.limits
    leds = [part for part in design.board.parts if part.kind is PartKind.LED]
    for part in design.board.parts:
        height = part.pattern.height_mm
        if part.kind is not PartKind.CONNECTOR or part.side is not Side.TOP or not height:
            continue
        box = body_of(part)
        near = min(leds, key=lambda led: distance_nm(body_of(led), box))
        gap = distance_nm(body_of(near), box)
        rise = height - near.pattern.height_mm
        if above(snap(rise), limits.shade_share * gap, 1):
            angle = math.degrees(math.atan2(snap(rise), gap))
            yield report(
                message=f"{part.reference}, {units.length(height)} high, takes the lowest"
                f" {angle:.0f} deg of {near.reference}'s light towards it",
                actual=f"{units.length(rise)} higher at {units.length(mm(round(gap)))}",
                limit=f"{limits.shade_share:g} of the distance",
                place_mm=(near.x_mm, near.y_mm),
                subjects=(part.reference, near.reference),
                path="connector.side",
            )
        diffuser = design.parameters.light.diffuser_mm
        if diffuser is not None and height > diffuser:
            yield report(
                message=f"{part.reference} is {units.length(height)} high and lifts the diffuser",
                actual=units.length(height),
                limit=f"at most {units.length(diffuser)}",
                place_mm=(part.x_mm, part.y_mm),
                subjects=(part.reference, "diffuser"),
                path="light.diffuser",
                severity=Severity.WARNING,
            )

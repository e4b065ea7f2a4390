"""Rules of looks: where parts, holes and edges lie. Every number is an own choice."""

import math
from collections import defaultdict
from collections.abc import Iterable

from boardgen import units
from boardgen.checks import looks_sites
from boardgen.checks.finding import place_of, report
from boardgen.forms.table import plan
from boardgen.geometry.measuring import distance_nm, near_lines
from boardgen.geometry.rooms import body_of
from boardgen.model import looks
from boardgen.model.artwork import Purpose
from boardgen.model.board import MountingHole, Part, PartKind, Side, TextRole
from boardgen.model.bounds import above, below, outside
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.land_pattern import Entry
from boardgen.model.shapes import Disc
from boardgen.units import mm, snap


def leds_of(design: Design) -> list[Part]:
    """List the LEDs in the order of their references."""
    return [part for part in design.board.parts if part.kind is PartKind.LED]


def rows_of(parts: Iterable[Part]) -> list[list[Part]]:
    """Group parts by their height on the board, from the top."""
    rows: dict[float, list[Part]] = defaultdict(list)
    for part in parts:
        rows[round(part.y_mm, 6)].append(part)
    return [rows[level] for level in sorted(rows, reverse=True)]


def looks_grid(design: Design) -> Iterable[Finding]:
    """Parts lie off the grid, or LEDs at unequal distances.

    Why it matters
        One odd step in a row is seen from across the room.
    How it is measured
        Centres of LEDs, ballasts and screws modulo the grid (along the row that of inches for a
        pitch in inches; a pitch that no grid divides, heights on the board at a row pitch that it
        does not divide, and given places of screws, are yours to choose); distances of neighbours
        in a row. Where LEDs stand along a ring, their distances along it.
    How to mend it
        Give measures that the grid divides.
    """
    yield from looks_sites.pitch_faults(design)
    planned, aims = plan(design.parameters), design.limits.aims
    if planned.sketch:
        return
    pitch, across, between = planned.pitch_mm, aims.grid_mm, planned.between_mm
    free = between is not None and _off(between, across)
    # Rows on the grid with screws in the middle ask for an even number of steps between them.
    odd = between is not None and _off(between * (len(planned.chains) - 1) / 2, across)
    keys = planned.keys
    upright = keys.between if odd else keys.across
    grids = [grid for grid in (aims.grid_mm, aims.inch_grid_mm) if not _off(pitch, grid)]
    chips = [p for p in design.board.parts if p.kind.row.in_branch]
    asked = design.parameters.mounting.chosen
    named: list[Part | MountingHole] = [*chips, *(() if asked else design.board.holes)]
    for part in named if grids else ():
        along = keys.along if isinstance(part, MountingHole) else keys.pitch
        off, grid, path = max(
            (_off(part.x_mm, grids[0]), grids[0], along),
            (0.0 if free else _off(part.y_mm, across), across, upright),
        )
        if off:
            yield report(
                message=f"{part.reference} lies beside the grid",
                actual=f"{units.length(off)} beside",
                limit=f"on {units.length(grid)}",
                place_mm=(part.x_mm, part.y_mm),
                subjects=(part.reference,),
                path=path,
            )


def _off(value: float, grid: float) -> float:
    """Measure how far a value lies beside a grid; noise is none."""
    off = abs(value / grid - round(value / grid)) * grid
    return off if above(off, looks.GRID_NOISE_MM) else 0.0


def looks_line(design: Design) -> Iterable[Finding]:
    """A part leaves its line, or a ballast its place beside its branch.

    Why it matters
        A row reads as one thing only when it is one line.
    How it is measured
        How far LEDs stand across their line; the way from each branch's first LED to its first
        ballast, and that one's angle to the line, the same for all.
    How to mend it
        This is a fault of the layout: please report the parameter file.
    """
    yield from looks_sites.line_faults(design)


def looks_middle(design: Design) -> Iterable[Finding]:
    """The light does not lie in the middle of the board.

    Why it matters
        In a housing the light comes out askew.
    How it is measured
        Middle of the rows against the board's, along and across; along, equal distances from the
        outer screws to the outer LEDs will do as well, and without screws a connector at an end may
        push the row along.
    How to mend it
        Leave length and width out, or make them larger.
    """
    board, leds, keys = design.board, leds_of(design), plan(design.parameters).keys
    first, last = min(led.x_mm for led in leds), max(led.x_mm for led in leds)
    along = (first + last) / 2 - board.outline.length_mm / 2
    levels = [row[0].y_mm for row in rows_of(leds)]
    across = (levels[0] + levels[-1]) / 2 - board.outline.width_mm / 2
    for way, off in (("along", along), ("across", across)):
        excused = way == "along" and _excused(design, first, last)
        if above(abs(off), looks.MIDDLE_MM) and not excused:
            yield report(
                message=f"the light lies beside the board's middle, {way}",
                actual=f"{units.length(abs(off))} beside",
                limit=f"{units.length(looks.MIDDLE_MM)} at most",
                place_mm=((first + last) / 2, (levels[0] + levels[-1]) / 2),
                subjects=("light", way),
                path=keys.along if way == "along" else keys.across,
            )


def _excused(design: Design, first: float, last: float) -> bool:
    holes = [hole.x_mm for hole in design.board.holes]
    connector = next(p for p in design.board.parts if p.kind is PartKind.CONNECTOR)
    if not holes:
        body = connector.extent(connector.pattern.body)
        return above(first, body.right_mm) or below(last, body.left_mm)
    return not above(abs((first - min(holes)) - (max(holes) - last)), looks.PITCH_NOISE_MM)


def looks_holes(design: Design) -> Iterable[Finding]:
    """A screw has no counterpart, or is of another size.

    Why it matters
        The board fits only one way round, and the drilling plan is twice as long.
    How it is measured
        The set of screws, mirrored about the middle of the LEDs or of the board or turned by half
        about it, must be itself; all of one size.
    How to mend it
        ``mounting.at = "ends"`` or ``"corners"``; given places are yours to choose.
    """
    holes, leds = design.board.holes, leds_of(design)
    if design.parameters.mounting.chosen or not holes:
        return
    middle_x = (min(led.x_mm for led in leds) + max(led.x_mm for led in leds)) / 2
    outline = design.board.outline
    places = [(hole.x_mm, hole.y_mm) for hole in holes]
    odd = [
        {
            hole
            for hole, (x, y) in zip(holes, places, strict=True)
            if not _near((2 * axis - x, outline.width_mm - y if turned else y), places)
        }
        for axis in (middle_x, outline.length_mm / 2)
        for turned in (False, True)
    ]
    named = [sorted(holes, key=lambda hole: hole.reference) for holes in odd]
    for hole in min(named, key=len):
        yield report(
            message=f"{hole.reference} has no counterpart",
            limit="mirrored, or turned by half",
            place_mm=(hole.x_mm, hole.y_mm),
            subjects=(hole.reference,),
            path="mounting.at",
        )
    for hole in holes:
        if hole.hole_mm != holes[0].hole_mm:
            yield report(
                message=f"{hole.reference} is of another size than {holes[0].reference}",
                actual=units.length(hole.hole_mm),
                limit=units.length(holes[0].hole_mm),
                place_mm=(hole.x_mm, hole.y_mm),
                subjects=(hole.reference, "size"),
                path="mounting.screw",
            )


def _near(at: tuple[float, float], places: list[tuple[float, float]]) -> bool:
    return any(not above(math.dist(at, other), looks.PITCH_NOISE_MM) for other in places)


def looks_corners(design: Design) -> Iterable[Finding]:
    """A corner of the board is sharp, or unlike the others, or a side is very short.

    Why it matters
        Sharp corners scratch; unequal ones look like a mistake.
    How it is measured
        Arcs and straight pieces of a rectangle's profile: one radius of 1 to 3 mm, a quarter of the
        width at most; no corner without an arc; no straight piece shorter than 2 mm.
    How to mend it
        Another radius of the corners, or a larger outline.
    """
    if not design.board.outline.boxed or plan(design.parameters).bent:
        return  # an edge that follows a line has the line's bends
    profile, corner = design.artwork.profile, plan(design.parameters).keys.corner
    at, before_arc = profile.start, profile.edges[-1].centre is not None
    radii: list[int] = []
    width = min(design.board.outline.width_mm, design.board.outline.length_mm)
    low, high = looks.CORNER_MM
    for edge in profile.edges:
        words, limit = "", ""
        if edge.centre is None:
            if not before_arc:
                words, limit = "is sharp", f"a radius of {low:g} to {high:g} mm"
            elif below(math.dist(at, edge.end), snap(looks.SIDE_MM), _ROUNDING_NM):
                words, limit = "begins a very short side", f"{looks.SIDE_MM:g} mm"
        else:
            radius = round(math.dist(at, edge.centre))
            radii.append(radius)
            most = min(snap(high), snap(width * looks.CORNER_SHARE))
            unlike = above(abs(radius - radii[0]), 0, _ROUNDING_NM)
            if unlike or outside(radius, (snap(low), most), _ROUNDING_NM):
                words = f"has a radius of {units.length(mm(radius))}"
                limit = f"{low:g} to {mm(most):g} mm, all alike"
        if words:
            place = place_of(Disc(at, units.Nm(0)))
            yield report(
                message=f"the corner at ({place[0]:g}, {place[1]:g}) mm {words}",
                limit=limit, place_mm=place, subjects=("profile",), path=corner,
            )  # fmt: skip
        before_arc = edge.centre is not None
        at = edge.end


_ROUNDING_NM = 2
"""What the grid leaves of a radius."""


def looks_facing(design: Design) -> Iterable[Finding]:
    """An LED is turned another way than its line.

    Why it matters
        Whoever places twenty LEDs alike places the odd one alike too, and it stays dark.
    How it is measured
        Angles of LEDs against the direction of their line where they stand.
    How to mend it
        This is a fault of the layout: please report the parameter file.
    """
    yield from looks_sites.facing_faults(design)


def looks_entry(design: Design) -> Iterable[Finding]:
    """A connector does not stand square to the edge, flush with it.

    Why it matters
        Wires rub on the board, or the block sticks out and is torn off.
    How it is measured
        The face where wires enter against the nearest edge: flush, or over it by half a
        millimetre at most.
    How to mend it
        This is a fault of the layout: please report the parameter file.
    """
    outline = design.board.outline
    for part in design.board.parts:
        pattern = part.pattern
        if part.kind is not PartKind.CONNECTOR or pattern.entry is Entry.TOP:
            continue
        if not pattern.height_mm:
            continue
        face = part.place((pattern.body.left_mm + pattern.body.right_mm) / 2,
                          pattern.body.bottom_mm)  # fmt: skip
        inner = part.place((pattern.body.left_mm + pattern.body.right_mm) / 2,
                           pattern.body.bottom_mm + 1.0)  # fmt: skip
        ways = {(1, 0): -face[0], (-1, 0): face[0] - outline.length_mm,
                (0, 1): -face[1], (0, -1): face[1] - outline.width_mm}  # fmt: skip
        inward = (round(inner[0] - face[0]), round(inner[1] - face[1]))
        over = ways[inward] if outline.boxed else -outline.inwards_mm(face)
        behind = below(over, 0.0, looks.GRID_NOISE_MM)
        if behind or above(over, looks.FACE_MM, looks.GRID_NOISE_MM):
            yield report(
                message=f"{part.reference}'s face is not flush with the edge",
                actual=f"{units.length(abs(over))} {'behind' if behind else 'over'}",
                limit=f"0 to {units.length(looks.FACE_MM)} over",
                place_mm=(round(face[0], 3), round(face[1], 3)),
                subjects=(part.reference,),
            )


_BARE = (Purpose.SURFACE_LAND, Purpose.THROUGH_LAND, Purpose.VIA_LAND)


def looks_hand(design: Design) -> Iterable[Finding]:
    """Bare copper lies where fingers hold the board.

    Why it matters
        Damp fingers on lands and vias make them dull, and feel the supply.
    How it is measured
        From lands and vias to the outline; a connector's lands may lie where its wires come in.
    How to mend it
        A wider or longer board.
    """
    excused = {part.reference for part in design.board.parts if part.kind.row.signed}
    for layer in design.artwork.coppers():
        lands = [
            item for item in layer.items
            if item.purpose in _BARE and not (item.owner and item.owner.reference in excused)
        ]  # fmt: skip
        shapes = [item.shape for item in lands]
        for _, place, gap in near_lines(design.artwork.edges, shapes, snap(looks.HAND_MM)):
            owner = lands[place].owner
            name = f"{owner.reference}.{owner.pin}" if owner else "a via"
            yield report(
                message=f"{name} lies where fingers hold the board, on {layer.name}",
                actual=units.length(gap / units.NM_PER_MM),
                limit=f"{units.length(looks.HAND_MM)} from the edge",
                place_mm=place_of(shapes[place]),
                subjects=(name, layer.name),
                path=plan(design.parameters).keys.across,
            )


def looks_lit(design: Design) -> Iterable[Finding]:
    """Something beside an LED takes up or tints its light.

    Why it matters
        Large parts cast shadows, dark words near an LED give the light their tint.
    How it is measured
        Around each LED's body: other parts than LEDs and ballasts, words that are not its own.
    How to mend it
        A larger pitch or a longer board.
    """
    board = design.board
    small = (PartKind.LED, PartKind.RESISTOR, PartKind.TEST_POINT)
    tall = [
        part
        for part in board.parts
        if part.kind not in small and part.side is Side.TOP and part.pattern.height_mm
    ]
    foreign = [
        text
        for text in board.texts
        if text.side is Side.TOP and not text.owner and text.role is not TextRole.PAGE
    ]
    for led in leds_of(design):
        body = body_of(led)
        for part in tall:
            gap = distance_nm(body_of(part), body)
            if below(gap, snap(looks.LIT_MM), _ROUNDING_NM):
                yield _beside(design, led, part.reference, gap)
        for text in foreign:
            gap = snap(math.dist((text.x_mm, text.y_mm), (led.x_mm, led.y_mm)))
            if below(gap, snap(looks.LIT_MM), _ROUNDING_NM):
                yield _beside(design, led, f'"{text.text}"', gap)


def _beside(design: Design, led: Part, name: str, gap_nm: float) -> Finding:
    return report(
        message=f"{name} stands beside {led.reference} and takes up its light",
        actual=units.length(gap_nm / units.NM_PER_MM),
        limit=f"at least {units.length(looks.LIT_MM)}",
        place_mm=(led.x_mm, led.y_mm),
        subjects=(led.reference, name),
        path=plan(design.parameters).keys.pitch,
    )

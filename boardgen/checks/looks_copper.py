"""Rules of looks: tracks, drops, pours. Every number is an own choice."""

import math
from collections import defaultdict
from collections.abc import Iterable
from itertools import pairwise

from boardgen import units
from boardgen.checks import looks_sites
from boardgen.checks.areas import fingers_of, shown_of
from boardgen.checks.finding import at_mm, place_of, report
from boardgen.forms.table import plan
from boardgen.geometry.measuring import insets_nm
from boardgen.geometry.regions import board_of
from boardgen.model import looks
from boardgen.model.artwork import Purpose
from boardgen.model.board import Track
from boardgen.model.bounds import above, below
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.shapes import Contour, Disc, Edge, Point, Stroke
from boardgen.tolerances import ROUNDING_NM
from boardgen.units import mm, snap


def looks_tracks(design: Design) -> Iterable[Finding]:
    """Tracks run at odd angles, bend sharply or often, or are of too many widths.

    Why it matters
        Tracks that look drawn can be followed with the eye; and each branch is checked by one look.
    How it is measured
        Angles of pieces in steps of 45 deg, beside a ring within 10 deg of its line or of square to
        it; no bend below 90 deg; two bends at most in a branch's track; three widths on the board;
        each branch's tracks a translate of the first's, turned with its place on a ring.
    How to mend it
        This is a fault of the layout: please report the parameter file.
    """
    tracks, planned = design.board.tracks, plan(design.parameters)
    spine = None if planned.scattered else design.board.spines[0]
    central = design.parameters.connector.central
    supply = {net.name for net in design.circuit.inlet.nets}
    widths = sorted({track.width_mm for track in tracks})
    if len(widths) > looks.WIDTHS:
        yield report(
            message=f"tracks come in {len(widths)} widths",
            actual=", ".join(units.length(width) for width in widths),
            limit=f"{looks.WIDTHS} widths",
            subjects=("tracks", "widths"),
        )
    for track in tracks:
        # Within a ring no line of LEDs leads from the middle out.
        line = None if central and track.net in supply else spine
        fault = looks_sites.track_fault(track, line) if planned.sketch else _track_fault(track)
        if fault:
            yield report(
                message=f"a track of {track.net} {fault}",
                place_mm=track.points[0],
                subjects=(track.net,),
            )
    yield from looks_sites.branch_faults(design)


def _track_fault(track: Track) -> str:
    ways = []
    for (x1, y1), (x2, y2) in pairwise(track.points):
        angle = math.degrees(math.atan2(y2 - y1, x2 - x1))
        off = math.remainder(angle, looks.TRACK_STEP_DEG)
        beside = abs(math.sin(math.radians(off))) * math.dist((x1, y1), (x2, y2))
        if above(beside, looks.PITCH_NOISE_MM / 2):
            return f"runs at {angle:.2f} deg"
        ways.append((x2 - x1, y2 - y1))
    for (x1, y1), (x2, y2) in pairwise(ways):
        if below(x1 * x2 + y1 * y2, 0.0):
            return "bends back"
    if len(track.points) - 2 > looks.BENDS:
        return f"has {len(track.points) - 2} bends"
    return ""


def looks_detour(design: Design) -> Iterable[Finding]:
    """A track goes a long way round.

    Why it matters
        It loses voltage, cuts the pour and is hard to follow with the eye.
    How it is measured
        Lengths of tracks over 10 mm against the straight lines between their ends: twice is the
        most. Along a ring tracks follow their line, and nothing is asked.
    How to mend it
        List the places in the order in which the current shall pass them, or turn an LED.
    """
    for track in design.board.tracks:
        straight = math.dist(track.points[0], track.points[-1])
        length = sum(math.dist(*ends) for ends in pairwise(track.points))
        if above(length, looks.DETOUR_MM) and above(length, looks.DETOUR_RATIO * straight):
            yield report(
                message=f"a track of {track.net} goes a long way round",
                actual=units.length(length),
                limit=f"{looks.DETOUR_RATIO:g} x {units.length(straight)} at most",
                place_mm=track.points[0],
                subjects=(track.net, "detour"),
                path=plan(design.parameters).keys.pitch,
            )


def looks_drops(design: Design) -> Iterable[Finding]:
    """A narrow track meets a large round land without widening.

    Why it matters
        The track cracks where it leaves the land when the wire is bent, and a drill that wanders
        cuts it off.
    How it is measured
        Along each track from a round land's middle: as far as half the land's diameter beyond the
        land it must be 0.7 of the land wide, or to where it bends or ends.
    How to mend it
        A wider rail, or a connector whose pins leave more room.
    """
    for layer in design.artwork.coppers():
        ways: dict[_Start, list[_Way]] = defaultdict(list)
        for item in layer.items:
            if item.purpose is Purpose.TRACK and isinstance(item.shape, Stroke):
                for ends in (item.shape.points, item.shape.points[::-1]):
                    ways[item.net, ends[0]].append((item.shape, ends[1]))
        for land in layer.items:
            if land.purpose is not Purpose.THROUGH_LAND or not isinstance(land.shape, Disc):
                continue
            narrow = [
                width
                for stroke, end in ways[land.net, land.shape.centre]
                if (width := _narrowest(land.net, land.shape, (stroke, end), ways)) is not None
            ]
            for width in narrow:
                owner = land.owner
                name = f"{owner.reference}.{owner.pin}" if owner else land.net
                yield report(
                    message=f"a track meets the land of {name} without widening on {layer.name}",
                    actual=units.length(mm(round(width))),
                    limit=f"at least {looks.DROP_SHARE:g} x"
                    f" {units.length(2 * mm(land.shape.radius_nm))}",
                    place_mm=place_of(land.shape),
                    subjects=(name, layer.name),
                    path="copper.rail",
                )


_Start = tuple[str, Point]
_Way = tuple[Stroke, Point]


def _narrowest(net: str, land: Disc, way: _Way, ways: dict[_Start, list[_Way]]) -> float | None:
    """Follow a track from a land; tell its width where it is too narrow too near."""
    start, (stroke, end), first = land.centre, way, way[1]
    reach = land.radius_nm * (1 + 2 * looks.DROP_LENGTH)
    while True:
        if below(stroke.radius_nm, looks.DROP_SHARE * land.radius_nm, ROUNDING_NM):
            return 2.0 * stroke.radius_nm
        near = below(math.dist(start, end) + stroke.radius_nm, reach, ROUNDING_NM)
        if not near or end not in (stroke.points[0], stroke.points[-1]):
            return None
        onward = [
            (other, far)
            for other, far in ways[net, end]
            if other is not stroke and _straight(start, first, far)
        ]
        if not onward:
            return None
        stroke, end = onward[0]


def _straight(start: Point, first: Point, far: Point) -> bool:
    """Tell whether a point lies on the ray from a start through another."""
    (x1, y1), (x2, y2) = ((at[0] - start[0], at[1] - start[1]) for at in (first, far))
    length = math.hypot(x1, y1)
    across, along = abs(x1 * y2 - y1 * x2) / length, (x1 * x2 + y1 * y2) / length
    return not above(across, 0, ROUNDING_NM) and above(along, length, ROUNDING_NM)


def _heading(start: Point, edge: Edge) -> tuple[float, float]:
    """Tell the angles at which a piece of a line begins and ends."""
    (x1, y1), (x2, y2), centre = start, edge.end, edge.centre
    if centre is None:
        way = math.atan2(y2 - y1, x2 - x1)
        return way, way
    quarter = -math.pi / 2 if edge.clockwise else math.pi / 2
    first, last = (math.atan2(y - centre[1], x - centre[0]) for x, y in (start, edge.end))
    return first + quarter, last + quarter


def _rounded_off_nm(profile: Contour, radius_nm: int) -> float:
    """Tell how much further off the edge a pour's rounded corners lie, at its sharpest corner.

    A circle in a corner of a turn t leaves r * (1 - cos(t / 2)) more to each side (geometry).
    """
    starts = [profile.edges[-1].end, *(edge.end for edge in profile.edges)]
    ways = [_heading(start, edge) for start, edge in zip(starts, profile.edges, strict=False)]
    turns = (
        math.remainder(after[0] - before[1], math.tau)
        for before, after in zip(ways, [*ways[1:], ways[0]], strict=True)
    )
    return radius_nm * (1 - math.cos(max((0.0, *turns)) / 2))


def looks_pour(design: Design) -> Iterable[Finding]:
    """A pour does not follow the outline, or the copper is thin or unlike on the two sides.

    Why it matters
        Unequal copper bows the board; a pour that wanders from the edge looks like a patch.
    How it is measured
        Distance from the pour's contour to the profile, the same all round but for what the pour's
        own corners round off a sharp one; share of each side that is copper, and the difference of
        the sides.
    How to mend it
        Smaller parts. On one copper side what the supply's rail cuts off the pour stays bare: a
        larger board then has more of it.
    """
    profile = design.artwork.profile
    area = board_of(design.artwork).area_nm2
    if not area:
        return  # its edge is drawn twice; ``profile.whole`` tells of it
    shares: list[float] = []
    for layer in design.artwork.coppers():
        pour = next((item.shape for item in layer.items if item.purpose is Purpose.POUR), None)
        if isinstance(pour, Contour):
            near, far = insets_nm(pour, profile)
            off = _rounded_off_nm(profile, snap(design.limits.aims.pour_corner_mm))
            if above(far - near, snap(looks.POUR_NOISE_MM) + off):
                yield report(
                    message=f"the pour does not follow the outline on {layer.name}",
                    actual=f"{units.length(near / 1e6)} to {units.length(far / 1e6)}",
                    limit="one distance",
                    subjects=(layer.name, "outline"),
                )
        shares.append(shown_of(layer).area_nm2 / area)
        if below(shares[-1], looks.FILLED_SHARE):
            yield report(
                message=f"little of {layer.name} is copper",
                actual=f"{shares[-1]:.1%}",
                limit=f"at least {looks.FILLED_SHARE:.0%}",
                subjects=(layer.name, "filled"),
            )
    if shares and above(max(shares) - min(shares), looks.FILLED_APART):
        yield report(
            message="the two sides hold unlike shares of copper",
            actual=f"{max(shares) - min(shares):.1%} apart",
            limit=f"{looks.FILLED_APART:.0%} at most",
            subjects=("sides", "filled"),
        )


def looks_finger(design: Design) -> Iterable[Finding]:
    """A finger of the pour is long and thin.

    Why it matters
        It carries nothing, warms nothing, and lifts off first.
    How it is measured
        Pieces of a pour narrower than a millimetre that hang on it at one end: three times that is
        the longest.
    How to mend it
        Another width of the board or of the rail.
    """
    width, most = snap(looks.FINGER_MM), looks.FINGER_RATIO * looks.FINGER_MM
    for layer in design.artwork.coppers():
        for place, length in fingers_of(layer, width):
            if above(length, snap(most), ROUNDING_NM):
                yield report(
                    message=f"a finger of the pour is long and thin on {layer.name}",
                    actual=f"{units.length(length / units.NM_PER_MM)} long",
                    limit=f"at most {units.length(most)}",
                    place_mm=at_mm(place),
                    subjects=(layer.name,),
                )

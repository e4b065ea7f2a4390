"""Rules of looks at LEDs on their sites: each stands on its line, is turned with it, all alike."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import pairwise

from boardgen import units
from boardgen.checks.finding import report
from boardgen.forms.table import plan
from boardgen.geometry.measuring import distance_nm
from boardgen.geometry.rooms import body_of
from boardgen.model import looks
from boardgen.model.board import Part, PartKind, Point, Text, Track
from boardgen.model.bounds import above, outside
from boardgen.model.circuit import Branch
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.pose import Pose
from boardgen.model.shapes import Box
from boardgen.model.spine import Spine
from boardgen.units import mm


def _placed(design: Design) -> Iterator[tuple[Part, Spine, int]]:
    """Give each LED in the order of sites, with its line and that one's number."""
    board = design.board
    named = {part.reference: part for part in board.parts}
    for branch in design.circuit.branches:
        for place, reference in enumerate(branch.leds):
            line, _ = board.sites[branch.first_site + place]
            yield named[reference], board.spines[line], line


def pitch_faults(design: Design) -> Iterator[Finding]:
    """Find LEDs that do not follow one another at the pitch, measured along their line."""
    planned = plan(design.parameters)
    on_line = Counter(line for line, _ in design.board.sites)
    for (before, spine, line), (after, _, other) in pairwise(_placed(design)):
        if line != other:
            continue
        # Circles of a ring share their LEDs out, each at a pitch of its own.
        own = spine.closed and not planned.spared
        pitch = spine.length_mm / on_line[line] if own else planned.pitch_mm
        step = along_mm(spine, after) - along_mm(spine, before)
        step = step % spine.length_mm if spine.closed else step
        if planned.spared and above(step, _OVER_A_SCREW * pitch):
            step -= pitch
        if above(abs(step - pitch), looks.PITCH_NOISE_MM):
            yield report(
                message=f"{after.reference} breaks the pitch",
                actual=units.length(step),
                limit=units.length(pitch),
                place_mm=(after.x_mm, after.y_mm),
                subjects=(after.reference, "pitch"),
                path=planned.keys.pitch,
            )


_OVER_A_SCREW = 1.5
"""So many pitches and more are a step over a free site."""


def along_mm(spine: Spine, part: Part) -> float:
    """Tell how far along a line a part stands."""
    return spine.locate((part.x_mm, part.y_mm))[0]


def line_faults(design: Design) -> Iterator[Finding]:
    """Find LEDs beside their line, and ballasts that stand to their branch unlike the others."""
    for led, spine, _ in _placed(design):
        if above(abs(spine.locate((led.x_mm, led.y_mm))[1]), looks.PITCH_NOISE_MM):
            yield report(
                message=f"{led.reference} leaves its line",
                place_mm=(led.x_mm, led.y_mm),
                subjects=(led.reference,),
            )
    named = {part.reference: part for part in design.board.parts}
    usual: dict[int, tuple[Point, float]] = {}
    every = [
        (branch, place, reference)
        for branch in design.circuit.branches
        for place, reference in enumerate(branch.ballasts)
    ]
    for branch, place, reference in every:
        ballast, led = named[reference], named[branch.leds[0]]
        spine = spine_of(design, branch)
        seen = (_from_head(spine, led, (ballast.x_mm, ballast.y_mm)),
                ballast.pose.turn_deg - spine.pose(along_mm(spine, ballast)).turn_deg)  # fmt: skip
        first = usual.setdefault(place, seen)
        askew = above(abs(math.remainder(seen[1] - first[1], 360.0)), _NOISE_DEG)
        if askew or above(math.dist(seen[0], first[0]), looks.PITCH_NOISE_MM / 2):
            yield report(
                message=f"{ballast.reference} stands elsewhere than other ballasts do",
                actual=f"{_from_words(seen)} of {led.reference}",
                limit=_from_words(first),
                place_mm=(ballast.x_mm, ballast.y_mm),
                subjects=(ballast.reference, "place"),
            )


def _from_words(seen: tuple[Point, float]) -> str:
    (along, across), turn = seen
    at = f"{units.length(along)} along, {units.length(across)} across"
    return f"{at}, turned by {math.remainder(turn, 360.0):.2f} deg"


_NOISE_DEG = 1e-4


def spine_of(design: Design, branch: Branch) -> Spine:
    """Give the line that a branch stands on."""
    line, _ = design.board.sites[branch.first_site]
    return design.board.spines[line]


def facing_faults(design: Design) -> Iterator[Finding]:
    """Find LEDs that the current does not pass along their line."""
    for led, spine, _ in _placed(design):
        along = spine.pose(along_mm(spine, led))
        off = math.remainder(led.pose.turn_deg - along.turn_deg - 180.0, 360.0)
        if above(abs(off), _NOISE_DEG):
            yield report(
                message=f"{led.reference} is turned another way than its line",
                actual=f"{led.pose.turn_deg:.2f} deg",
                limit=f"{(along.turn_deg + 180.0) % 360.0:.2f} deg",
                place_mm=(led.x_mm, led.y_mm),
                subjects=(led.reference,),
            )


def current_faults(design: Design) -> Iterator[Finding]:
    """Hold the words that tell which way the current flows against the LEDs themselves."""
    leds = _leds(design)
    x, y = (sum(place) / len(leds) for place in zip(*((p.x_mm, p.y_mm) for p in leds), strict=True))
    turned = outwards = 0.0
    for led in leds:
        (ax, ay), (kx, ky) = _poles(led)
        turned += (ax - x) * (ky - ay) - (ay - y) * (kx - ax)
        outwards += (ax - x) * (kx - ax) + (ay - y) * (ky - ay)
    around = "clockwise" if turned < 0 else "counter-clockwise"
    across = "outward" if outwards > 0 else "inward"
    flows = f"current {across if abs(outwards) > abs(turned) else around}"
    for text in design.board.texts:
        if text.text == ARROW:
            near = min(
                leds, key=lambda led: math.dist((led.x_mm, led.y_mm), (text.x_mm, text.y_mm))
            )
            (ax, _), (kx, _) = _poles(near)
            wrong = kx <= ax
        else:
            wrong = text.text.startswith("current ") and text.text != flows
        if wrong:
            yield report(
                message=f'"{text.text}" is printed, but it flows another way',
                place_mm=(text.x_mm, text.y_mm),
                subjects=(text.text,),
            )


ARROW = "current →"


def _poles(led: Part) -> tuple[Point, Point]:
    """Tell where an LED's anode and cathode lie."""
    anode, cathode = (led.land_place(led.pattern.by_function(f)) for f in "AK")
    return anode, cathode


def track_fault(track: Track, spine: Spine | None) -> str:
    """Tell what is wrong with a track: it runs along the spine or square to it.

    Where none leads, tracks find their ways at any angle, and around what is in their way.
    """
    ways = []
    for (x1, y1), (x2, y2) in pairwise(track.points):
        ways.append((x2 - x1, y2 - y1))
        if spine is None:
            continue
        along = spine.pose(spine.locate(((x1 + x2) / 2, (y1 + y2) / 2))[0]).turn_deg
        angle = math.degrees(math.atan2(y2 - y1, x2 - x1))
        if above(abs(math.remainder(angle - along, 90.0)), looks.SPINE_DEG):
            return f"runs at {math.remainder(angle - along, 180.0):.2f} deg to its line"
    bends = 0
    for (x1, y1), (x2, y2) in pairwise(ways):
        cosine = (x1 * x2 + y1 * y2) / math.hypot(x1, y1) / math.hypot(x2, y2)
        if cosine < -math.sin(math.radians(looks.SPINE_DEG)):
            return "bends back"
        bends += cosine < math.cos(math.radians(looks.TRACK_STEP_DEG))
    return f"has {bends} bends" if bends > looks.BENDS and spine is not None else ""


def branch_faults(design: Design) -> Iterator[Finding]:
    """Find branches whose tracks, seen from their first LED, are not those of the first branch.

    Parts are straight: in a bend their lands lie elsewhere than on a straight piece. So branches
    are held against those on bends like their own, and where a bend begins amid one, it is not.
    """
    within = looks.PITCH_NOISE_MM / 2
    named = {part.reference: part for part in design.board.parts}
    tracks: dict[str, list[Track]] = defaultdict(list)
    for track in design.board.tracks:
        tracks[track.net].append(track)
    usual: dict[tuple[str, float], tuple[str, list[float]]] = {}
    for branch in design.circuit.branches:
        head, spine = named[branch.leds[0]], spine_of(design, branch)
        ends = [spine.locate(at)[0] for reference in branch.parts
                for at in named[reference].corners(named[reference].pattern.courtyard)]  # fmt: skip
        bends = spine.bends(min(ends), max(ends))
        if len(bends) > 1:
            continue
        lines = {line for line, _ in design.board.sites[branch.first_site :][: branch.kind.leds]}
        # From line to line tracks find ways of their own: only the first LED's is like the others'.
        first_net = len(branch.inner_nets) - branch.kind.leds
        own = branch.inner_nets[first_net:][: 1 if len(lines) > 1 else None]
        shape = [
            number
            for net in own
            for track in tracks[net]
            for at in track.points
            for number in (track.width_mm, *_from_head(spine, head, at))
        ]
        name, first = usual.setdefault((branch.kind.of, bends[0]), (head.reference, shape))
        alike = len(shape) == len(first) and not any(
            above(abs(one - other), within) for one, other in zip(shape, first, strict=True)
        )
        if not alike:
            yield report(
                message=f"the tracks of {head.reference}'s branch are drawn otherwise than"
                f" {name}'s",
                place_mm=(head.x_mm, head.y_mm),
                subjects=(head.reference, "branch"),
            )


def name_fault(part: Part, text: Text, box: Box) -> str:
    """Tell what is wrong with the place of a name: beside the middle, too near or too far."""
    along, _ = _seen_from(part.pose, (text.x_mm, text.y_mm))
    if above(abs(along), looks.BESIDE_MM):
        return f"stands {units.length(abs(along))} beside its middle"
    gap = mm(round(distance_nm(box, body_of(part))))
    low, high = looks.NAME_GAP_MM
    if outside(gap, (low, high + looks.NAME_ASKEW_MM)):
        return f"stands {units.length(gap)} from its body, not {low:g} to {high:g} mm"
    return ""


def _leds(design: Design) -> list[Part]:
    return [part for part in design.board.parts if part.kind is PartKind.LED]


def _from_head(spine: Spine, head: Part, at: Point) -> Point:
    """Tell how far along and across a point lies from a branch's first LED."""
    (start, _), (along, across) = spine.locate((head.x_mm, head.y_mm)), spine.locate(at)
    ahead = along - start
    return (math.remainder(ahead, spine.length_mm) if spine.closed else ahead, across)


def _seen_from(pose: Pose, at: Point) -> Point:
    """Tell where a point lies as seen from a pose: ahead of it, and to its left."""
    turn = math.radians(pose.turn_deg)
    dx, dy = at[0] - pose.x_mm, at[1] - pose.y_mm
    return (dx * math.cos(turn) + dy * math.sin(turn), dy * math.cos(turn) - dx * math.sin(turn))

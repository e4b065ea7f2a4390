"""Ways to draw a board of several lines: an edge, a way in for the supply, ways for all tracks.

Without tracks the edge is grown until its claims are clear, first around the branches, then at the
door until the connector has its room: that is cheap. Then ways are looked for, a little further out
where there are none; so a margin is the smallest that does, or at most a step more.
"""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from boardgen.forms.table import plan
from boardgen.layout.cell import BallastPlace, ballast_places, edge_mm
from boardgen.layout.course import Course
from boardgen.layout.drawing import cells, populated, screws, vias
from boardgen.layout.rails import rail_widths
from boardgen.layout.scattered.routes import routes
from boardgen.layout.scattered.through import AROUND, with_joints, with_risers
from boardgen.layout.spines.claims import clear, conflicts
from boardgen.layout.spines.door import set_in
from boardgen.layout.spines.growth import nearest, smallest
from boardgen.layout.spines.near_rail import near_rail, sketch_at, tightest
from boardgen.model.board import Point
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters
from boardgen.model.sections import SPLIT

STEP_MM = 1.0
_MOST_STEPS = 256
_FURTHER_MM = (0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0)
"""So much further out edge or door are tried where tracks find no way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Search:
    """How far beyond what parts ask for the edge is tried, and whether tracks may cut a pour."""

    further_mm: tuple[float, ...]
    cuts: bool


def ways(
    parameters: Parameters, circuit: Circuit, *, narrow: bool = False
) -> Iterator[Course | str]:
    """Give the ways to place ballasts and rail whose tracks all find theirs, or what is wrong."""
    widths, (tracks, split) = rail_widths(parameters, circuit), _manners(parameters)
    if tracks:
        yield from _tracked(parameters, circuit, widths, narrow=narrow)
    if split:
        yield from _poured(parameters, circuit, widths)
    if not tracks and not split:
        # Of files this is told as they are read; forms of one's own may ask for it too.
        yield "the supply has no pour of its own where LEDs stand along lines"


def _tracked(
    parameters: Parameters, circuit: Circuit, widths: Sequence[float], *, narrow: bool
) -> Iterator[Course | str]:
    """Give the ways on which the supply comes by tracks, or what is wrong.

    Tracks that leave every pour whole come first; where none do, and the other side has a pour
    that is whole, they may cut this side's. Of widths for the rail the wanted one comes first, then
    the narrowest; ``narrow`` asks for that only, which finds its way wherever one does. So the
    most favourable case is tried before all others.
    """
    for place in dict.fromkeys(ballast_places(parameters)):
        least = near_rail(parameters, circuit, place, widths[-1])
        if least is None:
            yield meeting(parameters, circuit, place)
            continue
        found = False
        for cuts in (False, True)[: len(parameters.sides)]:
            easiest = _Search(further_mm=_FURTHER_MM[-1:], cuts=cuts)
            furthest = _with_edge(parameters, circuit, least, easiest)
            if furthest is None:
                continue
            search = _Search(further_mm=_FURTHER_MM, cuts=cuts)
            wider = () if narrow else widths[:1]
            for rail in dict.fromkeys((*wider, widths[-1])):
                course = near_rail(parameters, circuit, place, rail)
                known = furthest if course == least else None
                drawn = course and _with_edge(parameters, circuit, course, search, known)
                if drawn:
                    found = True
                    yield drawn
        if not found:
            yield _stuck(parameters, circuit, least)


def _poured(
    parameters: Parameters, circuit: Circuit, widths: Sequence[float]
) -> Iterator[Course | str]:
    """Give the ways to place ballasts with vias up from a pour; the way in is as wide as a rail."""
    for place in dict.fromkeys(ballast_places(parameters)):
        near = (near_rail(parameters, circuit, place, rail) for rail in (widths[0], widths[-1]))
        course = next(filter(None, near), None)
        if course is None:
            yield meeting(parameters, circuit, place)
            continue
        search = _Search(further_mm=_FURTHER_MM, cuts=False)
        drawn = _with_edge(parameters, circuit, replace(course, split=True), search)
        yield drawn or "tracks find no way, and beside LEDs vias of the supply no place"


def _manners(parameters: Parameters) -> tuple[bool, bool]:
    """Tell whether the supply may come by tracks, and by the pour of the other side.

    From there it comes up beside each LED, so each has to have a place of its own; and it has to
    get there by a pin that goes through the board.
    """
    asked = parameters.copper.pour
    pinned = parameters.parts.switch is not None or not parameters.parts.guards
    lone = all(count == 1 for count in Counter(line for line, _ in _sites(parameters)).values())
    could = len(parameters.sides) > 1 and pinned and lone
    return asked != SPLIT, could and asked != "both"


def _sites(parameters: Parameters) -> tuple[tuple[int, float], ...]:
    planned = plan(parameters)
    return sketch_at(parameters, planned.size_mm or planned.least_mm).sites


def _stuck(parameters: Parameters, circuit: Circuit, course: Course) -> str:
    """Tell which track finds no way, on a board with room all round if none was asked for."""
    planned, further = plan(parameters), _FURTHER_MM[-1]
    size = planned.size_mm or planned.least_mm + 2 * further
    sized = _at(parameters, circuit, course, (size, course.inlet.depth_mm + further))
    board = None if sized is None else populated(parameters, circuit, sized)
    if board is not None and planned.size_mm is not None:
        met = next(conflicts(board, parameters.parts.limits, edge_mm(parameters)), "")
        if met:
            return met.partition(":")[0] + (": there is no room" if " and " in met else "")
    found = (
        routes(parameters, circuit, sized, board, cuts=len(parameters.sides) > 1)
        if sized and board
        else ""
    )
    return found if isinstance(found, str) and found else "tracks find no way between the places"


def _with_edge(
    parameters: Parameters,
    circuit: Circuit,
    course: Course,
    search: _Search,
    furthest: Course | None = None,
) -> Course | None:
    """Draw the edge as asked for, or as near around the branches as they and their tracks allow.

    ``furthest`` is what came of the furthest out, where that is known.
    """
    planned, limits = plan(parameters), parameters.parts.limits

    def holds(size_mm: float) -> bool:
        if planned.deeper is None:
            sized = _at(parameters, circuit, course, (size_mm, 0.0))
            return sized is not None and _has_room(parameters, circuit, sized)
        around = replace(course, sketch=sketch_at(parameters, size_mm))
        edge = max(edge_mm(parameters), limits.aims.part_edge_mm)
        return clear(cells(parameters, circuit, around), limits, edge)

    size = planned.size_mm
    if size is not None:
        if not holds(size):
            return None
        # Where the door's side cannot move out a size that was asked for is all there is.
        further_mm = search.further_mm if planned.deeper else (0.0,)
        tried = [(size, further) for further in further_mm]
    else:
        size = smallest(holds, planned.least_mm, STEP_MM, _MOST_STEPS)
        if size is None or size > planned.most_mm:
            return None
        tried = [(min(size + more, planned.most_mm), more) for more in search.further_mm]
    return nearest(
        tried, lambda sizes: around(parameters, circuit, course, sizes, search.cuts), furthest
    )


def around(
    parameters: Parameters,
    circuit: Circuit,
    course: Course,
    sizes_mm: tuple[float, float],
    cuts: bool,
) -> Course | None:
    """Draw the edge at a size; the door's side out until the connector has room, and further."""
    size_mm, further_mm = sizes_mm

    def holds(deeper_mm: float) -> bool:
        sized = _at(parameters, circuit, course, (size_mm, deeper_mm))
        return sized is not None and _has_room(parameters, circuit, sized)

    moves = plan(parameters).deeper is not None
    most = math.ceil(course.inlet.depth_mm / STEP_MM) if moves else 0
    deeper = smallest(holds, 0.0, STEP_MM, most)
    if deeper is None:
        return None
    sized = _at(parameters, circuit, course, (size_mm, deeper + (further_mm if moves else 0.0)))
    return sized and _routed(parameters, circuit, sized, cuts=cuts)


def _at(
    parameters: Parameters, circuit: Circuit, course: Course, size_mm: tuple[float, float]
) -> Course | None:
    """Draw the edge at a size, its side at the door so much further out."""
    deeper = plan(parameters).deeper
    sketch = deeper(*size_mm) if deeper else sketch_at(parameters, size_mm[0])
    bare = replace(course, sketch=sketch, routes=(), joints=(), risers=())
    return set_in(parameters, circuit, bare)


def _has_room(parameters: Parameters, circuit: Circuit, course: Course) -> bool:
    board = populated(parameters, circuit, course)
    board = replace(board, holes=screws(parameters, course), vias=vias(parameters, circuit, course))
    return clear(board, parameters.parts.limits, edge_mm(parameters))


def _routed(
    parameters: Parameters, circuit: Circuit, course: Course, *, cuts: bool
) -> Course | None:
    """Find places for test points, ways for all tracks and places for vias; None: there is none."""
    if parameters.copper.test_points:
        probed = _with_probes(parameters, circuit, course)
        if probed is None:
            return None
        course = probed
    joined: Course | None = course
    if course.split:
        joined = with_risers(parameters, circuit, course)
    elif len(parameters.sides) > 1:
        joined = with_joints(parameters, circuit, course)
    if joined is None:
        return None
    board = populated(parameters, circuit, joined)
    board = replace(board, holes=screws(parameters, joined), vias=vias(parameters, circuit, joined))
    tracks = routes(parameters, circuit, joined, board, cuts=cuts)
    if isinstance(tracks, str):
        return None
    course = replace(joined, routes=(*(joined.routes or ()), *tracks))
    return course if _has_room(parameters, circuit, course) else None


def _with_probes(parameters: Parameters, circuit: Circuit, course: Course) -> Course | None:
    """Place both test points around the branch that is furthest from the door."""
    door = (course.sketch.door.x_mm, course.sketch.door.y_mm)
    firsts = [course.led_pose(branch.first_site) for branch in circuit.branches]
    last = max(firsts, key=lambda pose: math.dist((pose.x_mm, pose.y_mm), door))
    found: tuple[Point, ...] = ()
    for _ in range(2):
        spots = (last.place(*away) for away in AROUND)
        tried = (replace(course, probes=(*found, spot)) for spot in spots)
        placed = next((one for one in tried if _has_room(parameters, circuit, one)), None)
        if placed is None:
            return None
        found = placed.probes
    return replace(course, probes=found)


def meeting(parameters: Parameters, circuit: Circuit, place: BallastPlace) -> str:
    """Tell what stands in the way of what, when branches lie as tight as they may."""
    course = tightest(parameters, place, rail_widths(parameters, circuit)[-1])
    met = next(conflicts(cells(parameters, circuit, course), parameters.parts.limits, None), "")
    return f"{met.partition(':')[0]}{BESIDE}" if met else ""


BESIDE = " have no room beside one another"

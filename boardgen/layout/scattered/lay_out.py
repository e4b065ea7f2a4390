"""LEDs on several lines: an edge around them, a way in for the supply, and ways for all tracks.

Without tracks the edge is grown until its claims are clear, first around the branches, then at the
door until the connector has its room: that is cheap. Then ways are looked for, a little further out
where there are none; so a margin is the smallest that does, or at most a step more.
"""

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from boardgen.errors import Change, Problem, RefusalError
from boardgen.forms.table import plan
from boardgen.layout.cell import (
    BallastPlace,
    ballast_places,
    edge_mm,
)
from boardgen.layout.course import Course
from boardgen.layout.drawing import cells, finished, populated, screws, vias
from boardgen.layout.rails import rail_widths
from boardgen.layout.scattered.routes import routes
from boardgen.layout.scattered.through import AROUND, with_joints, with_risers
from boardgen.layout.screws import refuse_screws_in_the_way
from boardgen.layout.spines.claims import clear, conflicts
from boardgen.layout.spines.door import set_in
from boardgen.layout.spines.growth import nearest, smallest
from boardgen.layout.spines.near_rail import near_rail, sketch_at, tightest
from boardgen.layout.writer import NoRoomError
from boardgen.model.board import Board, Point
from boardgen.model.circuit import Circuit
from boardgen.model.fields import LONGEST_MM
from boardgen.model.form_section import LEAST_HOLE_MM, FormSection
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Measure
from boardgen.model.sections import SPLIT

_STEP_MM = 1.0
_MOST_STEPS = 256
_FURTHER_MM = (0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0)
"""So much further out edge or door are tried where tracks find no way."""
_MOST_WIDER = 6


def lay_out(parameters: Parameters, circuit: Circuit) -> Board:
    """Lay a board out whose LEDs stand on several lines.

    Raises
    ------
    RefusalError
        When parts meet, or a track finds no way.
    """
    _refuse_too_large(parameters)
    why = ""
    for found in _ways(parameters, circuit):
        if isinstance(found, Course):
            break
        why = why or found
    else:
        _refuse_screws_on_parts(parameters, circuit)
        raise _refusal(parameters, circuit, why)
    if plan(parameters).size_mm is not None:
        return _as_asked(parameters, circuit, found)
    size, course = found.sketch.size_mm, found
    for wider in range(_MOST_WIDER):
        try:
            return finished(parameters, circuit, course)
        except NoRoomError:
            sizes = (min(size + 2.0 * (wider + 1), plan(parameters).most_mm), 0.0)
            cuts = len(parameters.sides) > 1
            course = _around(parameters, circuit, found, sizes, cuts) or course
    return _as_asked(parameters, circuit, course)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Search:
    """How far beyond what parts ask for the edge is tried, and whether tracks may cut a pour."""

    further_mm: tuple[float, ...]
    cuts: bool


def _ways(
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
            yield _meeting(parameters, circuit, place)
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
            yield _meeting(parameters, circuit, place)
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
        size = smallest(holds, planned.least_mm, _STEP_MM, _MOST_STEPS)
        if size is None or size > planned.most_mm:
            return None
        tried = [(min(size + more, planned.most_mm), more) for more in search.further_mm]
    return nearest(
        tried, lambda sizes: _around(parameters, circuit, course, sizes, search.cuts), furthest
    )


def _around(
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
    most = math.ceil(course.inlet.depth_mm / _STEP_MM) if moves else 0
    deeper = smallest(holds, 0.0, _STEP_MM, most)
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


def _meeting(parameters: Parameters, circuit: Circuit, place: BallastPlace) -> str:
    """Tell what stands in the way of what, when branches lie as tight as they may."""
    course = tightest(parameters, place, rail_widths(parameters, circuit)[-1])
    met = next(conflicts(cells(parameters, circuit, course), parameters.parts.limits, None), "")
    return f"{met.partition(':')[0]}{_BESIDE}" if met else ""


_BESIDE = " have no room beside one another"


def _refuse_too_large(parameters: Parameters) -> None:
    """Refuse what no file can hold, before anything is searched for."""
    planned = plan(parameters)
    outline = sketch_at(parameters, planned.size_mm or planned.least_mm).outline
    longest = max(outline.length_mm, outline.width_mm)
    if longest > LONGEST_MM - _SPARE_MM:
        asked = planned.size_mm is not None
        key, remedy = (
            (planned.keys.along, "write a smaller one, or leave it out")
            if asked
            else (planned.keys.pitch, "bring the places nearer together")
        )
        what = f"the board would be {longest:g} mm long; files reach {LONGEST_MM:g} mm"
        raise RefusalError(parameters.problem(key, what, remedy=remedy))


_SPARE_MM = 100.0
"""So much connector, switch and letters may add."""


def _refuse_screws_on_parts(parameters: Parameters, circuit: Circuit) -> None:
    """Where nothing fits, say so of screws that lie on parts, whatever the edge."""
    roomy = plan(parameters).least_mm + _SPARE_MM
    for place in ballast_places(parameters)[:1]:
        tight = tightest(parameters, place, rail_widths(parameters, circuit)[-1])
        course = replace(tight, sketch=sketch_at(parameters, roomy))
        board = replace(cells(parameters, circuit, course), holes=screws(parameters, course))
        refuse_screws_in_the_way(parameters, board, course.sketch.turned_deg)


def _as_asked(parameters: Parameters, circuit: Circuit, course: Course) -> Board:
    """Draw a board at its size; for words that have to stand a larger one is offered."""
    measures, outline = plan(parameters).measures, course.sketch.outline
    try:
        return finished(parameters, circuit, course)
    except RefusalError as error:
        offered = {one.path for problem in error.problems for one in problem.offers}
        if not measures or measures[0].key not in offered:
            raise
        (problem,), key = error.problems, measures[0].key
        # Letters tell the width or length that they want of the board; half of it is the margin's.
        wide = error.width_mm if isinstance(error, NoRoomError) else None
        lack = wide - outline.width_mm if wide else _number(problem) - outline.length_mm
        size = course.sketch.size_mm + math.ceil(lack / 2)
        larger = (Change(path=key, value=_size(size)),) if size <= plan(parameters).most_mm else ()
        raise RefusalError(replace(problem, offers=larger)) from None


def _number(problem: Problem) -> float:
    return float(problem.offers[0].value.strip('"').removesuffix(" mm"))


_REMEDIES = {
    True: "write a larger pitch, take smaller parts, or let the supply come in elsewhere",
    False: "leave more room between the places, list them in the order of their branches, turn"
    " some, or take smaller parts",
}
"""What helps where LEDs have a pitch, and where they have places."""


def _size(size_mm: float) -> str:
    return f'"{size_mm:g} mm"'


def _refusal(parameters: Parameters, circuit: Circuit, why: str) -> RefusalError:
    """Say what has no room, and how large the board or how small its opening has to be."""
    planned, form = plan(parameters), parameters.form
    given = [one for one in planned.measures if getattr(form, one.field) is not None]

    def fits(**changes: float | None) -> Course | None:
        other = replace(parameters, form=replace(form, **changes))  # type: ignore[arg-type]
        ways = (way for way in _ways(other, circuit, narrow=True) if isinstance(way, Course))
        return min(ways, key=lambda course: course.sketch.size_mm, default=None)

    for one in given:
        found = fits(**{one.field: None})
        if found:
            size = found.sketch.size_mm if one.grows else _opening(one, form, fits)
            offers = () if size is None else (Change(path=one.key, value=_size(size)),)
            remedy = "" if offers else _smaller(form)
            return RefusalError(
                parameters.problem(one.key, one.tight, remedy=remedy, offers=offers)
            )
    if len(given) > 1 and fits(**{one.field: None for one in given}):
        what = ", and ".join(one.tight for one in given)
        remedy = f"leave {given[0].key} out, and {_smaller(form)}"
        return RefusalError(parameters.problem(given[-1].key, what, remedy=remedy))
    wider = _wider(parameters, circuit, fits) if why.endswith(_BESIDE) else None
    if wider:
        return RefusalError(parameters.problem(wider.path, why, offers=(wider,)))
    drawn = parameters.drawing is not None and planned.keys.paced
    remedy = _DRAW_LARGER if drawn else _REMEDIES[planned.keys.paced]
    return RefusalError(parameters.problem(planned.keys.pitch, why, remedy=remedy))


def _wider(
    parameters: Parameters, circuit: Circuit, fits: Callable[..., Course | None]
) -> Change | None:
    """Find about the least pitch that leaves the parts their room, where LEDs have one.

    First the least at which branches have theirs, then that or a little more for their tracks; of
    rows or circles that have a distance of their own that first, where it is what they lack.
    """
    form, planned = parameters.form, plan(parameters)
    if not planned.keys.paced or planned.keys.between == _OF_WORDS:
        return None
    step = parameters.parts.limits.aims.grid_mm
    for field, key in (*_BETWEEN.items(), ("pitch_mm", planned.keys.pitch)):

        def apart(mm: float, field: str = field) -> bool:
            other = replace(parameters, form=replace(form, **{field: mm}))  # type: ignore[arg-type]
            return not all(_meeting(other, circuit, place) for place in ballast_places(other))

        given = getattr(form, field)
        least = given and smallest(apart, given + step, step, _MOST_PITCHES)
        tried = (least + more * step for more in _MORE) if least else ()
        if found := next((mm for mm in tried if fits(**{field: mm})), None):
            return Change(path=key, value=_size(found))
    return None


_BETWEEN = {"row_pitch_mm": "form.row_pitch", "circle_pitch_mm": "form.circle_pitch"}
_OF_WORDS = "form.height"
"""A word takes another number of LEDs at another pitch."""
_MOST_PITCHES, _MORE = 64, (0, 2, 6)
_DRAW_LARGER = "draw a larger edge, write a smaller pitch, or let the supply come in elsewhere"


def _opening(
    measure: Measure, form: FormSection, fits: Callable[..., Course | None]
) -> float | None:
    """Find the largest opening that leaves the parts their room, in steps."""
    asked = getattr(form, measure.field)
    most = int(asked - LEAST_HOLE_MM)
    less = smallest(lambda mm: bool(fits(**{measure.field: asked - mm})), 1.0, _STEP_MM, most)
    return None if less is None or less > most else asked - less


def _smaller(form: FormSection) -> str:
    without = 'outline = "circle" without it' if form.outline == "ring" else "leave it out"
    return f"write a smaller opening, or {without}"

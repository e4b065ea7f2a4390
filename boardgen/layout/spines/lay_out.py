"""LEDs along one spine: a layout in the spine's own coordinates, along and across.

Branches are cells on the spine, the rail is its offset, taps lead from the rail square to the
ballasts; the return stays pour. Nothing is predicted: a size is tried, its claims are measured, and
what may grow grows until they are clear.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import combinations, takewhile

from boardgen.errors import Change, RefusalError
from boardgen.forms.table import plan
from boardgen.geometry.contents import contour_fault
from boardgen.geometry.lettering import size_mm
from boardgen.geometry.placing import contour
from boardgen.layout.cell import (
    MARGIN_MM,
    Cell,
    ballast_places,
    edge_mm,
)
from boardgen.layout.course import Course
from boardgen.layout.drawing import finished, populated, screws, vias
from boardgen.layout.passage import spoked, whole
from boardgen.layout.rails import rail_widths
from boardgen.layout.spines.claims import clear
from boardgen.layout.spines.door import set_in
from boardgen.layout.spines.growth import nearest, smallest
from boardgen.layout.spines.near_rail import near_rail, sketch_at
from boardgen.layout.writer import NoRoomError
from boardgen.model.board import Board, Point, TextRole
from boardgen.model.circuit import Circuit
from boardgen.model.form_section import FormSection
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Measure, Sketch
from boardgen.units import up_to_step

_STEP_MM, _FINE_STEP_MM = 1.0, 0.25
_MOST_STEPS = 256
"""After so many steps of growth nothing more is to be hoped for."""
_MOST_WIDER = 12
_ROOMY_MM = 60.0
"""On a band so wide nothing but its length is tight: own choice."""


def lay_out(parameters: Parameters, circuit: Circuit) -> Board:
    """Lay a board out along the spine of its plan, as small as its claims and letters allow.

    Raises
    ------
    RefusalError
        When something does not fit, with the smallest change that would.
    """
    planned, course = plan(parameters), _fitted(parameters, circuit)
    if course is None:
        raise _refusal(parameters, circuit)
    if planned.size_mm is not None:
        return _as_asked(parameters, circuit, course)
    sizes = (course.sketch.size_mm + 2.0 * step for step in range(_MOST_WIDER))
    wider = [_sized(parameters, circuit, course, min(one, planned.most_mm)) for one in sizes]
    if parameters.printed:
        return _printed(parameters, circuit, [one or course for one in wider])
    # Beyond a width that has no place for the way in the board is not larger at all.
    ways = [one for one in takewhile(bool, wider) if one]
    return _unprinted(parameters, circuit, ways or [course])


def _printed(parameters: Parameters, circuit: Circuit, wider: Sequence[Course]) -> Board:
    """Take the first width on which all names are printed, or else the first that has letters."""
    unnamed: Board | None = None
    for course in wider:
        drawn = _with_vias(parameters, circuit, course)
        board = _lettered(parameters, circuit, drawn)
        if board is None:
            continue
        named = not plan(parameters).named or _named(board)
        if named and not _cut_off(parameters, drawn):
            return board
        unnamed = unnamed or board
    return unnamed or _told(parameters, circuit, wider[0])


def _unprinted(parameters: Parameters, circuit: Circuit, wider: Sequence[Course]) -> Board:
    """Take the least width that has its letters; else tell what finds no room on the widest."""

    def made(course: Course) -> Board | None:
        drawn = _with_vias(parameters, circuit, course)
        board = _lettered(parameters, circuit, drawn)
        return None if _cut_off(parameters, drawn) else board

    return nearest(wider, made) or _told(parameters, circuit, wider[-1])


def _lettered(parameters: Parameters, circuit: Circuit, drawn: Course) -> Board | None:
    """Draw the board; None where letters find no room on it."""
    try:
        return finished(parameters, circuit, drawn)
    except NoRoomError:
        return None
    except RefusalError:
        if plan(parameters).deeper is None:
            raise
        return None


def _told(parameters: Parameters, circuit: Circuit, course: Course) -> Board:
    """Draw the board all the same, or tell what finds no room on it."""
    try:
        return finished(parameters, circuit, _with_vias(parameters, circuit, course))
    except RefusalError as error:
        if plan(parameters).deeper is None:
            raise
        # A band that is no longer than its line finds no room by width alone.
        raise RefusalError(*(replace(one, offers=()) for one in error.problems)) from None


def _as_asked(parameters: Parameters, circuit: Circuit, course: Course) -> Board:
    """Draw a board at its size; where letters find no room on a band, offer one that has it."""
    planned = plan(parameters)
    try:
        return finished(parameters, circuit, _with_vias(parameters, circuit, course))
    except RefusalError as error:
        if planned.deeper is None:
            raise
        (problem, *_), measure = error.problems, planned.measures[0]

        def lettered(size_mm: float) -> bool:
            form = replace(parameters.form, **{measure.field: size_mm})  # type: ignore[arg-type]
            other = replace(parameters, form=form)
            found = _fitted(other, circuit)
            try:
                return found is not None and bool(finished(other, circuit, found))
            except RefusalError:
                return False

        size = smallest(lettered, course.sketch.size_mm + _STEP_MM, _STEP_MM, _MOST_WIDER)
        offers = () if size is None else (Change(path=measure.key, value=f'"{size:g} mm"'),)
        raise RefusalError(replace(problem, offers=offers)) from None


def _cut_off(parameters: Parameters, course: Course) -> bool:
    """Tell whether a rail from end to end leaves a strip of the pour that no via joins."""
    return bool(course.sketch.far_door) and len(parameters.sides) > 1 and not course.strip_from_mm


def _named(board: Board) -> bool:
    """Tell whether every LED and every ballast has its name printed."""
    named = {text.owner for text in board.texts if text.role is TextRole.REFERENCE}
    return {part.reference for part in board.parts if part.kind.row.in_branch} <= named


def _fitted(parameters: Parameters, circuit: Circuit, *, narrow: bool = False) -> Course | None:
    """Find the first way to place ballasts and rail that fits, and the smallest edge around it.

    Of widths for the rail the wanted one comes first; ``narrow`` asks for the narrowest only, which
    fits wherever one does.
    """
    widths = rail_widths(parameters, circuit)
    for place in ballast_places(parameters):
        narrowest = near_rail(parameters, circuit, place, widths[-1])
        if narrowest is None:
            continue
        for rail in widths[-1:] if narrow else widths:
            known = narrowest if rail == widths[-1] else None
            course = known or near_rail(parameters, circuit, place, rail)
            found = course and _with_edge(parameters, circuit, course)
            found = found and _passed(parameters, circuit, found)
            if found:
                return _with_spokes(parameters, circuit, found)
    return None


def _passed(parameters: Parameters, circuit: Circuit, course: Course) -> Course | None:
    """Draw the edge so much further out that the pour passes beside screws among the LEDs."""
    planned, size = plan(parameters), course.sketch.size_mm
    if _leads_back(parameters, circuit, course):
        return course
    if planned.size_mm is not None or not course.sketch.free_sites:
        return None

    def passes(more_mm: float) -> bool:
        wider = _sized(parameters, circuit, course, size + more_mm)
        return wider is not None and _leads_back(parameters, circuit, wider)

    more = smallest(passes, _STEP_MM, _STEP_MM, _MOST_WIDER)
    fits = more is not None and size + more <= planned.most_mm
    return _sized(parameters, circuit, course, size + more) if fits and more else None


def _with_spokes(parameters: Parameters, circuit: Circuit, course: Course) -> Course:
    """Draw the edge so much further out that leads on 0 V have spokes enough, where that helps."""
    planned, size = plan(parameters), course.sketch.size_mm

    def enough(more_mm: float) -> bool:
        wider = _sized(parameters, circuit, course, size + more_mm)
        return wider is not None and spoked(parameters, populated(parameters, circuit, wider))

    if planned.size_mm is not None or len(parameters.sides) > 1 or enough(0.0):
        return course
    more = smallest(enough, _STEP_MM, _STEP_MM, _MOST_WIDER)
    fits = more is not None and size + more <= planned.most_mm
    return (fits and more and _sized(parameters, circuit, course, size + more)) or course


def _leads_back(parameters: Parameters, circuit: Circuit, course: Course) -> bool:
    """Tell whether the pour stays whole; of two, the other one joins what tracks alone cut off."""
    if len(parameters.sides) > 1 and not course.sketch.free_sites:
        return True
    board = populated(parameters, circuit, course)
    return whole(parameters, replace(board, holes=screws(parameters, course)))


def _with_edge(parameters: Parameters, circuit: Circuit, course: Course) -> Course | None:
    """Draw the edge as asked for, or as near around a course as its claims allow."""
    planned, edge = plan(parameters), edge_mm(parameters)
    if planned.deeper:
        led = _led_in(parameters, circuit, course)
        if led is None:
            return None
        course = led

    def fits(size_mm: float) -> bool:
        if size_mm > planned.most_mm:
            return True
        sized = _sized(parameters, circuit, course, size_mm)
        return sized is not None and _clear(parameters, circuit, sized, edge)

    size = planned.size_mm
    if size is None:
        least = max(2 * course.rail_from_mm, planned.least_mm)
        size = smallest(fits, least, _STEP_MM, _MOST_STEPS)
        found = size is not None and size <= planned.most_mm
        return _sized(parameters, circuit, course, size) if found and size is not None else None
    fitting = size <= planned.most_mm and fits(size)
    return _sized(parameters, circuit, course, size) if fitting else None


def _led_in(parameters: Parameters, circuit: Circuit, course: Course) -> Course | None:
    """Move the door out until the way in has its room, on a board as wide as it may be."""
    planned, edge = plan(parameters), edge_mm(parameters)
    wide = min(planned.size_mm or math.inf, planned.most_mm, planned.least_mm + _ROOMY_MM)

    def fits(lead_mm: float) -> bool:
        sized = _sized(parameters, circuit, replace(course, lead_mm=lead_mm), wide)
        return sized is not None and _clear(parameters, circuit, sized, edge)

    step = _FINE_STEP_MM if parameters.joint.joined else _STEP_MM
    lead = smallest(fits, 0.0, step, _MOST_STEPS)
    return None if lead is None else replace(course, lead_mm=lead)


def _clear(parameters: Parameters, circuit: Circuit, course: Course, edge_mm: float) -> bool:
    """Tell whether all has its room; screws at places that were chosen are judged at the end."""
    board = populated(parameters, circuit, course)
    if course.sketch.free_sites:
        board = replace(board, holes=screws(parameters, course))
    return clear(board, parameters.parts.limits, edge_mm)


def _sized(
    parameters: Parameters, circuit: Circuit, course: Course, size_mm: float
) -> Course | None:
    """Draw the edge at a size, and set the connector as far in as a round edge asks for."""
    deeper = plan(parameters).deeper
    sketch = deeper(size_mm, course.lead_mm) if deeper else sketch_at(parameters, size_mm)
    sized = replace(course, sketch=sketch)
    sized = replace(sized, probes=_probes(parameters, circuit, sized))

    return set_in(parameters, circuit, sized)


def _probes(parameters: Parameters, circuit: Circuit, course: Course) -> tuple[Point, ...]:
    """Place test points beside the last branch: V+ at the rail's far edge, 0 V across the LEDs."""
    if not parameters.copper.test_points:
        return ()
    cell = Cell(parameters, course.ballast)
    box, side, last = (
        parameters.parts.probe.courtyard,
        course.sketch.rail_side,
        circuit.branches[-1],
    )
    line, first = course.sketch.sites[last.first_site]
    half = plan(parameters).pitch_mm / 2
    along = first + (half if last.kind.leds > 1 else -half)
    width = parameters.parts.probe.lands[0].height_mm
    plus = course.rail_from_mm + (width - course.rail_mm) / 2
    zero = cell.parts_below + cell.aims.pour_gap_mm + box.top_mm
    spine = course.sketch.spines[line]
    return (spine.place(along, side * plus), spine.place(along, -side * zero))


def _with_vias(parameters: Parameters, circuit: Circuit, course: Course) -> Course:
    """Join the two return pours beside the last LED of each branch, where there is room for all."""
    if course.sketch.far_door:
        course = _with_strip(parameters, circuit, course)
    aims = parameters.parts.limits.aims
    cell = Cell(parameters, course.ballast)
    # Names stand upright: beside parts that stand upright too they reach as far as they are long.
    longest = circuit.branches[-1].leds[-1]
    wide, _ = size_mm(longest, aims.text_mm, aims.legend_stroke_mm, parameters.parts.lettering)
    away = cell.parts_below + 3 * aims.legend_part_mm + wide + aims.via_land_mm / 2
    with_vias = replace(course, via_from_mm=away)
    edge = max(edge_mm(parameters), aims.part_edge_mm)
    return with_vias if _roomy(parameters, circuit, with_vias, edge) else course


def _with_strip(parameters: Parameters, circuit: Circuit, course: Course) -> Course:
    """Join what the rail cuts off the pour on its far side, where the strip is as wide as a via."""
    aims = parameters.parts.limits.aims
    edge = max(edge_mm(parameters), aims.part_edge_mm)
    inner = course.rail_from_mm + course.rail_mm / 2 + aims.pour_gap_mm
    outer = course.sketch.size_mm / 2 - edge
    wide = outer - inner >= aims.via_land_mm + 2 * MARGIN_MM
    # Near the rail: on a wide board the middle of the strip is far from what the via is for.
    across = min((inner + outer) / 2, inner + aims.via_land_mm)
    joined = replace(course, strip_from_mm=across)
    roomy = wide and _roomy(parameters, circuit, joined, edge_mm(parameters))
    return joined if roomy else course


def _roomy(parameters: Parameters, circuit: Circuit, course: Course, edge_mm: float) -> bool:
    """Tell whether vias have their room among all that is drawn."""
    board = populated(parameters, circuit, course)
    holes, drilled = screws(parameters, course), vias(parameters, circuit, course)
    return clear(replace(board, holes=holes, vias=drilled), parameters.parts.limits, edge_mm)


def _refusal(parameters: Parameters, circuit: Circuit) -> RefusalError:
    """Say what is too small, with the smallest change of the plan's measures that fits, if any."""
    planned = plan(parameters)
    edge = contour(sketch_at(parameters, planned.size_mm or planned.least_mm).outline.outer)
    if planned.named and contour_fault(edge):
        return RefusalError(
            parameters.problem(
                planned.keys.whole,
                what="the board's edge crosses itself: its line does, or runs too near to itself",
                remedy="move its points further apart, or make it narrower",
            )
        )
    key, what, offer = _tight(parameters, circuit)
    return RefusalError(
        parameters.problem(
            key,
            what=what,
            offers=() if offer is None else (offer,),
            remedy="" if offer else "take fewer LEDs, smaller parts, or a house that etches finer",
        )
    )


def _tight(parameters: Parameters, circuit: Circuit) -> tuple[str, str, Change | None]:
    """Find the measure that leaves the parts no room: its key, what is wrong, what would do.

    First one measure by itself, then two together: the second is changed on a board whose first is
    as it likes, then the first around it. Where neither helps it is the pitch.
    """
    form, planned = parameters.form, plan(parameters)

    def fitted(**changes: float | None) -> bool:
        other = replace(parameters, form=replace(form, **changes))  # type: ignore[arg-type]
        return _fitted(other, circuit, narrow=True) is not None

    def least(measure: Measure, others: dict[str, float | None]) -> float | None:
        """Find the nearest value of a measure that fits, others being as told."""
        asked = getattr(form, measure.field)
        start = up_to_step(asked, _STEP_MM) if measure.grows else asked

        def at(by_mm: float) -> float:
            return float(start + by_mm if measure.grows else max(start - by_mm, 0.0))

        by_mm = smallest(
            lambda mm: fitted(**{measure.field: at(mm)}, **others), 0.0, _STEP_MM, _MOST_STEPS
        )
        return None if by_mm is None else at(by_mm)

    asked = [one for one in planned.measures if getattr(form, one.field) is not None]
    for one in asked:
        if fitted(**{one.field: None}):
            return one.key, one.tight, _to(one, least(one, {}))
    for first, second in combinations(asked, 2):
        if fitted(**{first.field: None, second.field: None}):
            inner = least(second, {first.field: None})
            outer = None if inner is None else least(first, {second.field: inner})
            return second.key, f"{first.tight}, and {second.tight}", _both(
                form, (first, outer), (second, inner)
            )  # fmt: skip
    if bend := _rounder(parameters, lambda mm: fitted(fillet_mm=mm)):
        return bend.path, "the parts find no room in the line's bends", bend
    step = parameters.parts.limits.aims.grid_mm
    pitch = smallest(lambda mm: fitted(pitch_mm=mm), planned.pitch_mm, step, _MOST_STEPS)
    key = planned.keys.pitch
    wider = Change(path=key, value=f'"{pitch:g} mm"') if pitch else None
    return key, "the parts find no room at this pitch", wider


_ROUNDER = 32


def _rounder(parameters: Parameters, fits: Callable[[float], bool]) -> Change | None:
    """Find the least radius of a line's bends in which parts find room, where it has bends."""
    planned = plan(parameters)
    if planned.keys.corner != _FILLET:
        return None
    start = _sharpest_mm(sketch_at(parameters, planned.least_mm))
    # Step by step: a rounder bend moves LEDs, so that what fits at one radius may not at the next.
    radii = (start + step * _STEP_MM for step in range(1, _ROUNDER))
    drawable = takewhile(lambda mm: _drawable(parameters, mm), radii)
    found = next(filter(fits, drawable), None)
    return None if found is None else Change(path=_FILLET, value=f'"{found:g} mm"')


_FILLET = "form.fillet"


def _sharpest_mm(sketch: Sketch) -> float:
    """Tell the radius of the sharpest bend of a sketch's lines."""
    bends = [abs(p.radius_mm) for line in sketch.spines for p in line.pieces if p.radius_mm]
    return min(bends, default=1.0)


def _drawable(parameters: Parameters, fillet_mm: float) -> bool:
    """Tell whether a line's bends of a radius leave something of its sides, and the pitch."""
    other = replace(parameters, form=replace(parameters.form, fillet_mm=fillet_mm))
    sketch = sketch_at(other, plan(other).least_mm)
    if plan(other).pitch_mm < parameters.form.pitch_mm:
        return False
    return all(piece.length_mm > 0 for line in sketch.spines for piece in line.pieces)


def _to(measure: Measure, value_mm: float | None) -> Change | None:
    return None if value_mm is None else Change(path=measure.key, value=f'"{value_mm:g} mm"')


def _both(
    form: FormSection,
    first: tuple[Measure, float | None],
    second: tuple[Measure, float | None],
) -> Change | None:
    """Change two measures together, or the first alone where the second may stay."""
    outer, inner = _to(*first), _to(*second)
    if outer is None or inner is None or second[1] == getattr(form, second[0].field):
        return outer if inner else None
    return replace(inner, also=(outer,))

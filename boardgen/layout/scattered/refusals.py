"""What is said where LEDs on several lines find no board, and what is offered."""

from collections.abc import Callable
from dataclasses import replace

from boardgen.errors import Change, RefusalError
from boardgen.forms.table import plan
from boardgen.layout.cell import ballast_places
from boardgen.layout.course import Course
from boardgen.layout.drawing import cells, screws
from boardgen.layout.rails import rail_widths
from boardgen.layout.scattered.courses import BESIDE, STEP_MM, meeting, ways
from boardgen.layout.screws import refuse_screws_in_the_way
from boardgen.layout.spines.growth import smallest
from boardgen.layout.spines.near_rail import sketch_at, tightest
from boardgen.model.circuit import Circuit
from boardgen.model.fields import LONGEST_MM
from boardgen.model.form_section import LEAST_HOLE_MM, FormSection
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Measure

_REMEDIES = {
    True: "write a larger pitch, take smaller parts, or let the supply come in elsewhere",
    False: "leave more room between the places, list them in the order of their branches, turn"
    " some, or take smaller parts",
}
"""What helps where LEDs have a pitch, and where they have places."""
_BETWEEN = {"row_pitch_mm": "form.row_pitch", "circle_pitch_mm": "form.circle_pitch"}
_OF_WORDS = "form.height"
"""A word takes another number of LEDs at another pitch."""
_MOST_PITCHES, _MORE = 64, (0, 2, 6)
_DRAW_LARGER = "draw a larger edge, write a smaller pitch, or let the supply come in elsewhere"
_MOVE = "move it, or draw its edge or cut-out elsewhere"
_SPARE_MM = 100.0
"""So much connector, switch and letters may add."""


def refuse_too_large(parameters: Parameters) -> None:
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


def refuse_screws_on_parts(parameters: Parameters, circuit: Circuit) -> None:
    """Where nothing fits, say so of screws that lie on parts, whatever the edge."""
    roomy = plan(parameters).least_mm + _SPARE_MM
    for place in ballast_places(parameters)[:1]:
        tight = tightest(parameters, place, rail_widths(parameters, circuit)[-1])
        course = replace(tight, sketch=sketch_at(parameters, roomy))
        board = replace(cells(parameters, circuit, course), holes=screws(parameters, course))
        refuse_screws_in_the_way(parameters, board, course.sketch.turned_deg)


def refusal(parameters: Parameters, circuit: Circuit, why: str) -> RefusalError:
    """Say what has no room, and how large the board or how small its opening has to be."""
    planned, form = plan(parameters), parameters.form
    given = [one for one in planned.measures if getattr(form, one.field) is not None]

    def fits(**changes: float | None) -> Course | None:
        other = replace(parameters, form=replace(form, **changes))  # type: ignore[arg-type]
        found = (way for way in ways(other, circuit, narrow=True) if isinstance(way, Course))
        return min(found, key=lambda course: course.sketch.size_mm, default=None)

    for one in given:
        found = fits(**{one.field: None})
        if found:
            size = found.sketch.size_mm if one.grows else _opening(one, form, fits)
            offers = () if size is None else (Change(path=one.key, value=size_text(size)),)
            remedy = "" if offers else _smaller(form)
            return RefusalError(
                parameters.problem(one.key, one.tight, remedy=remedy, offers=offers)
            )
    if len(given) > 1 and fits(**{one.field: None for one in given}):
        what = ", and ".join(one.tight for one in given)
        remedy = f"leave {given[0].key} out, and {_smaller(form)}"
        return RefusalError(parameters.problem(given[-1].key, what, remedy=remedy))
    wider = _wider(parameters, circuit, fits) if why.endswith(BESIDE) else None
    if wider:
        return RefusalError(parameters.problem(wider.path, why, offers=(wider,)))
    drawn = parameters.drawing is not None and planned.keys.paced
    remedy = _DRAW_LARGER if drawn else _REMEDIES[planned.keys.paced]
    if " lies " in why and not planned.keys.paced:
        remedy = _MOVE
    ways_in = [Change(path="connector.at", value=f'"{at}"') for at in _elsewhere(parameters)]
    return RefusalError(
        parameters.problem(planned.keys.pitch, why, remedy=remedy, offers=tuple(ways_in))
    )


def _elsewhere(parameters: Parameters) -> tuple[str, ...]:
    """Name two other ways in for the supply: the other end first."""
    at = parameters.connector.at
    return tuple(way for way in ("right", "left", "bottom") if way != at)[:2]


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
            return not all(meeting(other, circuit, place) for place in ballast_places(other))

        given = getattr(form, field)
        least = given and smallest(apart, given + step, step, _MOST_PITCHES)
        tried = (least + more * step for more in _MORE) if least else ()
        if found := next((mm for mm in tried if fits(**{field: mm})), None):
            return Change(path=key, value=size_text(found))
    return None


def _opening(
    measure: Measure, form: FormSection, fits: Callable[..., Course | None]
) -> float | None:
    """Find the largest opening that leaves the parts their room, in steps."""
    asked = getattr(form, measure.field)
    most = int(asked - LEAST_HOLE_MM)
    less = smallest(lambda mm: bool(fits(**{measure.field: asked - mm})), 1.0, STEP_MM, most)
    return None if less is None or less > most else asked - less


def _smaller(form: FormSection) -> str:
    without = 'outline = "circle" without it' if form.outline == "ring" else "leave it out"
    return f"write a smaller opening, or {without}"


def size_text(size_mm: float) -> str:
    """Write a length as parameter files have it."""
    return f'"{size_mm:g} mm"'

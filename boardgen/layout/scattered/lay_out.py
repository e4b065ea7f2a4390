"""LEDs on several lines: the first of their ways whose letters find room too is drawn."""

import math
from dataclasses import dataclass, field, replace
from functools import lru_cache

from boardgen.errors import Change, Problem, RefusalError
from boardgen.forms.table import plan
from boardgen.layout.course import Course
from boardgen.layout.drawing import finished
from boardgen.layout.reads import measures_of
from boardgen.layout.scattered.courses import around, ways
from boardgen.layout.scattered.refusals import (
    refusal,
    refuse_screws_on_parts,
    refuse_too_large,
    size_text,
)
from boardgen.layout.writer import NoRoomError
from boardgen.model.board import Board
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters

_MOST_WIDER = 6


def lay_out(parameters: Parameters, circuit: Circuit) -> Board:
    """Lay a board out whose LEDs stand on several lines.

    Raises
    ------
    RefusalError
        When parts meet, or a track finds no way.
    """
    refuse_too_large(parameters)
    found = _first(_Asked(parameters, measures_of(parameters, circuit), circuit))
    if plan(parameters).size_mm is not None:
        return _as_asked(parameters, circuit, found)
    size, course = found.sketch.size_mm, found
    for wider in range(_MOST_WIDER):
        try:
            return finished(parameters, circuit, course)
        except NoRoomError:
            sizes = (min(size + 2.0 * (wider + 1), plan(parameters).most_mm), 0.0)
            cuts = len(parameters.sides) > 1
            course = around(parameters, circuit, found, sizes, cuts) or course
    return _as_asked(parameters, circuit, course)


@dataclass(frozen=True, slots=True)
class _Asked:
    """A board that is asked for; of its circuit only what layouts take counts."""

    parameters: Parameters
    measures: tuple[object, ...]
    circuit: Circuit = field(compare=False)

    def __hash__(self) -> int:
        return hash(self.parameters.name)  # parameters hold tables, which have no hash


@lru_cache(maxsize=1)
def _first(asked: _Asked) -> Course:
    """Find the first way, which takes long, once for a board: its warmth changes words alone."""
    parameters, circuit, why = asked.parameters, asked.circuit, ""
    for found in ways(parameters, circuit):
        if isinstance(found, Course):
            return found
        why = why or found
    refuse_screws_on_parts(parameters, circuit)
    raise refusal(parameters, circuit, why)


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
        larger = (
            (Change(path=key, value=size_text(size)),) if size <= plan(parameters).most_mm else ()
        )
        raise RefusalError(replace(problem, offers=larger)) from None


def _number(problem: Problem) -> float:
    return float(problem.offers[0].value.strip('"').removesuffix(" mm"))

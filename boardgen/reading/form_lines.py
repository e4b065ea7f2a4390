"""Lines along which LEDs are to stand: what makes none, each with what would."""

import math
from collections.abc import Iterator
from itertools import pairwise

from boardgen.forms.path import area_mm2, closed_way, fillet_mm, pieces
from boardgen.model.pose import Point
from boardgen.model.sections import FormSection
from boardgen.reading.reader import Reader
from boardgen.reading.sections import ParameterFile
from boardgen.tolerances import HAIR_MM

_MOST_SWEEP_DEG, _LEAST_SWEEP_DEG = 330.0, 10.0
"""Beyond, an arc is a ring, or so flat that it is a bar: own bounds."""
_OPEN_POINTS, _CLOSED_POINTS = 2, 3
_BACK_DEG = 170.0
"""A line that turns back so far runs over itself."""


def check_line(reader: Reader, sections: ParameterFile) -> None:
    """Refuse an arc or a path that is no line, or too short for its LEDs."""
    form = sections.form
    if sections.connector.at == "middle" and not form.closed:
        reader.refuse(
            ("connector", "at"),
            f"the supply of {_A[form.kind]} comes in at an end of its line",
            'write at = "left" for the first end, "right" for the last one',
        )
    if form.kind == "arc":
        _check_arc(reader, form)
    else:
        _check_path(reader, sections)


_A = {"arc": "an arc", "path": "a path"}


def check_polygon(reader: Reader, sections: ParameterFile) -> None:
    """Refuse corners rounder than the circle that they would make."""
    form, count = sections.form, sections.light.count
    most = form.pitch_mm * count / math.tau
    if form.fillet_mm is not None and form.fillet_mm > most:
        reader.refuse(
            ("form", "fillet"),
            f"{count} LEDs at this pitch make a circle of {most:.4g} mm, and no corner is rounder",
            f'write fillet = "{math.floor(most * 10) / 10:g} mm" or less, or make it a ring',
        )


def _check_arc(reader: Reader, form: FormSection) -> None:
    sweep = abs(form.to_deg - form.from_deg)
    other = 360.0 - sweep
    if sweep > _MOST_SWEEP_DEG and other >= _LEAST_SWEEP_DEG:
        first = form.from_deg - math.copysign(360.0, form.from_deg - form.to_deg)
        reader.refuse(
            ("form", "from"),
            f"from {form.from_deg:g} deg to {form.to_deg:g} deg it is almost a ring, {sweep:g} deg",
            f'for the {other:g} deg that are left write from = "{first:g} deg"',
        )
    elif not _LEAST_SWEEP_DEG <= sweep <= _MOST_SWEEP_DEG:
        reader.refuse(
            ("form", "to"),
            f"from {form.from_deg:g} deg to {form.to_deg:g} deg is an arc of {sweep:g} deg",
            f"write {_LEAST_SWEEP_DEG:g} to {_MOST_SWEEP_DEG:g} deg of it, or take a ring or a bar",
        )


def _check_path(reader: Reader, sections: ParameterFile) -> None:
    form, count = sections.form, sections.light.count
    least = _CLOSED_POINTS if form.closed else _OPEN_POINTS
    if len(form.points) < least:
        reader.refuse(
            ("form", "points"),
            f"lists {len(form.points)} of the {least} points that"
            f" {'a closed' if form.closed else 'an open'} path has at least",
            'write points = [["0 mm", "0 mm"], ["80 mm", "0 mm"], ["80 mm", "60 mm"]]',
        )
        return
    key = "margin" if not form.closed else "width"
    if ("form", key) in reader.lines:
        reader.refuse(
            ("form", key),
            f"belongs to {'an open' if form.closed else 'a closed'} path",
            f"drop it, or write {'width' if key == 'margin' else 'margin'}",
        )
    faults = list(_faults(form))
    for number, what, remedy in faults:
        reader.refuse(("form", "points"), f"point {number} {what}", remedy)
    if faults:
        return
    length = _length_mm(form)
    need = count * form.pitch_mm
    if need > length:
        fit = math.floor(length / form.pitch_mm)
        reader.refuse(
            ("form", "points"),
            f"the path is {length:.4g} mm long; {count} LEDs at this pitch ask for {need:g} mm",
            f"write count = {fit}, or lengthen the path" if fit else "lengthen the path",
        )


def _faults(form: FormSection) -> Iterator[tuple[int, str, str]]:
    """Find points where no line goes on: too near, turning back, or with no room for its bend."""
    points: tuple[Point, ...] = form.points
    around = (*points, points[0], points[1]) if form.closed else points
    for number, (one, other) in enumerate(pairwise(around[: len(points) + form.closed]), start=1):
        if math.dist(one, other) < HAIR_MM:
            yield number, "is where the next one is", "drop one of them"
            return
    if form.closed and abs(area_mm2(points)) < 1.0:
        yield 1, "and the others enclose nothing: they lie on one line, or cross", "move one"
        return
    radius = fillet_mm(form)
    cuts = [0.0] * len(around)
    for place in range(1, len(around) - 1):
        turn = abs(_turn_deg(*around[place - 1 : place + 2]))
        if turn > _BACK_DEG:
            yield place % len(points) + 1, "turns the line back over itself", "move it"
            return
        cuts[place] = radius * math.tan(math.radians(turn) / 2)
    if form.closed:
        cuts[0] = cuts[len(points)]
        cuts[-1] = cuts[1]
    for place, (one, other) in enumerate(pairwise(around)):
        if place >= len(points) - (not form.closed):
            break
        room = math.dist(one, other)
        if cuts[place] + cuts[place + 1] > room - _STRAIGHT_MM:
            yield (
                place + 1,
                (
                    f"and the next lie {room:.4g} mm apart, their bends ask for"
                    f" {cuts[place] + cuts[place + 1] + _STRAIGHT_MM:.4g} mm"
                ),
                "take a smaller fillet, or leave out a point",
            )


_STRAIGHT_MM = 1.0
"""So much stays straight between two bends."""


def _turn_deg(before: Point, at: Point, after: Point) -> float:
    first = math.atan2(at[1] - before[1], at[0] - before[0])
    second = math.atan2(after[1] - at[1], after[0] - at[0])
    return math.degrees(math.remainder(second - first, math.tau))


def _length_mm(form: FormSection) -> float:
    points = closed_way(form.points) if form.closed else form.points
    return sum(piece.length_mm for piece in pieces(points, fillet_mm(form)))

"""Lines along which LEDs are to stand: what makes none, each with what would."""

import math
from collections.abc import Iterator

from boardgen.forms.free_sites import sites_in_all
from boardgen.forms.line import STRAIGHT_MM, Line, cuts_mm, fillet_mm, line_of, pieces
from boardgen.model.form_section import FormSection
from boardgen.model.sections import SITES
from boardgen.reading.reader import Reader
from boardgen.reading.sections import ParameterFile
from boardgen.standards.path_data import PathDataError, parse
from boardgen.tolerances import HAIR_MM
from boardgen.units import down_to_step

_MOST_SWEEP_DEG, _LEAST_SWEEP_DEG = 330.0, 10.0
"""Beyond, an arc is a ring, or so flat that it is a bar: own bounds."""
_OPEN_POINTS, _CLOSED_POINTS = 2, 3
_BACK_DEG = 170.0
"""A line that turns back so far runs over itself."""


def check_line(reader: Reader, sections: ParameterFile) -> None:
    """Refuse an arc or a path that is no line, or too short for its LEDs."""
    form = sections.form
    if sections.connector.amid and not form.closed:
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
    form, count = sections.form, _sites(sections, sections.light.count)
    most = form.pitch_mm * count / math.tau
    if form.fillet_mm is not None and form.fillet_mm > most:
        reader.refuse(
            ("form", "fillet"),
            f"{count} {_STAND[sections.mounting.at == SITES]} at this pitch make a circle of"
            f" {most:.4g} mm, and no corner is rounder",
            f'write fillet = "{math.floor(most * 10) / 10:g} mm" or less, or make it a ring',
        )


_STAND = {False: "LEDs", True: "LEDs and screws"}


def _sites(sections: ParameterFile, count: int) -> int:
    """Tell how many sites a line of so many LEDs has: those for screws count too."""
    mounting, form = sections.mounting, sections.form
    if mounting.at != SITES:
        return count
    return sites_in_all(count, mounting.every, closed=form.goes_round)


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


_NEAR_PITCH = 0.7
"""Where LEDs would have to stand much nearer a shorter pitch is no remedy: own choice."""


def _check_path(reader: Reader, sections: ParameterFile) -> None:
    form, count = sections.form, _sites(sections, sections.light.count)
    key = "line" if form.line else "points"
    line = _line(reader, form)
    if line is None:
        return
    other = "margin" if not line.closed else "width"
    if ("form", other) in reader.lines:
        reader.refuse(
            ("form", other),
            f"belongs to {'an open' if line.closed else 'a closed'} path",
            f"drop it, or write {'width' if other == 'margin' else 'margin'}",
        )
    faults = list(_faults(form, line))
    for number, what, remedy in faults:
        reader.refuse(("form", key), f"{key.removesuffix('s')} {number} {what}", remedy)
    if faults:
        return
    around = line.amid_its_first_leg() if line.closed else line
    length = sum(piece.length_mm for piece in pieces(around, fillet_mm(form, line)))
    need = count * form.pitch_mm
    if need > length:
        room = math.floor(length / form.pitch_mm)
        fits = (leds for leds in range(room, 0, -1) if _sites(sections, leds) <= room)
        fit, pitch = next(fits, 0), down_to_step(length / count, 0.1)
        ways = [f"light.count = {fit}"] if fit else []
        if pitch >= _NEAR_PITCH * form.pitch_mm:
            ways.append(f'form.pitch = "{pitch:g} mm"')
        reader.refuse(
            ("form", key),
            f"the path is {length:.4g} mm long; {count} {_STAND[sections.mounting.at == SITES]} at"
            f" this pitch ask for {need:g} mm",
            f"{'write ' if ways else ''}{', or '.join((*ways, 'lengthen the path'))}",
        )


def _line(reader: Reader, form: FormSection) -> Line | None:
    """Take the file's line, from path data or points; None, and a fault noted, where it is none."""
    if not form.line:
        least = _CLOSED_POINTS if form.closed else _OPEN_POINTS
        if len(form.points) >= least:
            return line_of(form)
        reader.refuse(
            ("form", "points"),
            f"lists {len(form.points)} of the {least} points that"
            f" {'a closed' if form.closed else 'an open'} path has at least",
            'write points = [["0 mm", "0 mm"], ["80 mm", "0 mm"], ["80 mm", "60 mm"]]',
        )
        return None
    for key in ("points", "closed"):
        if ("form", key) in reader.lines:
            instead = "Z at its end closes it" if key == "closed" else "keep one of them"
            reader.refuse(("form", key), "belongs to a path of points, not to line", instead)
    try:
        found = parse(form.line)
    except PathDataError as error:
        reader.refuse(("form", "line"), str(error), f'write line = "{_SHOWN}"')
        return None
    if len(found) != 1:
        what = f"draws {len(found)} lines" if found else "draws no line"
        reader.refuse(("form", "line"), what, f'draw one, such as "{_SHOWN}"')
        return None
    return line_of(form)


_SHOWN = "M 0 0 H 60 A 20 20 0 0 1 80 20 V 90"


def _faults(form: FormSection, line: Line) -> Iterator[tuple[int, str, str]]:
    """Find legs where no line goes on: too near, turning back, or with no room for their bends."""
    legs = list(line.walk())
    for number, (start, leg) in enumerate(legs, start=1):
        if math.dist(start, leg.end) < HAIR_MM:
            yield number, "is where the next one is", "drop one of them"
            return
    if line.closed and legs[0][1].centre is not None:
        yield 1, "is an arc, and the supply comes in amid the first one", "begin on a straight one"
        return
    if line.closed and abs(line.area_mm2()) < 1.0:
        yield 1, "and the others enclose nothing: they lie on one line, or cross", "move one"
        return
    for place, (turn, (_, leg)) in enumerate(zip(line.turns_rad(), legs, strict=True)):
        after = legs[(place + 1) % len(legs)][1]
        turned, number = abs(math.degrees(turn)), (place + 1) % len(legs) + 1
        if turned > _BACK_DEG:
            yield number, "turns the line back over itself", "move it"
            return
        if turned > _SMOOTH_DEG and (leg.centre or after.centre):
            what = f"meets an arc at {turned:.3g} deg"
            yield number, what, "let arcs go on as their neighbours do; straight lines are rounded"
            return
    cuts = cuts_mm(line, fillet_mm(form, line))
    for number, ((start, leg), both) in enumerate(zip(legs, cuts, strict=True), start=1):
        room = math.dist(start, leg.end)
        if leg.centre is None and sum(both) > room - STRAIGHT_MM:
            yield (
                number,
                (
                    f"and the next lie {room:.4g} mm apart, their bends ask for"
                    f" {sum(both) + STRAIGHT_MM:.4g} mm"
                ),
                "take a smaller fillet, or leave out a point",
            )


_SMOOTH_DEG = 0.02
"""Arcs that were drawn to go on hardly turn more than by rounding."""

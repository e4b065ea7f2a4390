"""What only several values together can get wrong."""

import dataclasses
import re
from collections.abc import Mapping
from datetime import date

from boardgen import units
from boardgen.model.form_section import (
    FORM_KEYS,
    LINES,
    OF_EDGES,
    OF_ROWS,
    OUTLINES,
    ROWS,
    FormSection,
)
from boardgen.model.parts import ConnectorPart, LedPart, SupplyRange
from boardgen.model.sections import THICKNESSES_MM, ResistorSection
from boardgen.reading import catalogue, footprints, form_lines, joints, screws, ways_in
from boardgen.reading.reader import Reader
from boardgen.reading.sections import ParameterFile
from boardgen.standards.photometry import candela_per_ampere

DEFAULT_DATE = "1980-01-01"
LONGEST_LINE = 80
_FORBIDDEN = ("%", "*", "<", ">", "/", "\\", "..")


def check_sections(reader: Reader, sections: ParameterFile) -> None:
    """Hold the sections against one another."""
    _check_printable(reader, ("board", "title"), sections.board.title)
    _check_date(reader, ("board", "date"), sections.board.date)
    if sections.built:
        _check_date(reader, ("built", "date"), sections.built.date)
    _check_ambient(reader, sections)
    _check_light(reader, sections)
    _check_form(reader, sections)
    _check_resistor(reader, sections.resistor)
    screws.check_mounting(reader, sections)
    _check_order(reader, sections)


def _check_printable(reader: Reader, location: tuple[str, str], text: str) -> None:
    """Refuse what the legend cannot print or the files cannot carry plainly."""
    words = location[1]
    bad = [mark for mark in _FORBIDDEN if mark in text]
    if bad:
        reader.refuse(
            location,
            f"the {words} holds {' '.join(bad)}, which boardgen prints on no board",
            "say it in words",
        )
    glyphs = catalogue.lettering().glyphs
    missing = sorted(
        {letter for letter in text if letter not in glyphs and letter not in " %*<>/\\"}
    )
    if missing:
        reader.refuse(
            location,
            f"the legend's letters lack {' '.join(missing)}",
            "spell it with other letters; most of those of Latin alphabets in Europe are there",
        )


_PATTERN = re.compile(r"\{([^{}]*)\}|([{}])")


def filled(
    reader: Reader, location: tuple[str, ...], pattern: str, values: Mapping[str, str]
) -> str:
    """Fill a pattern such as ``{title} {colour}``; other things in braces are refused."""
    unknown = [
        found.group()
        for found in _PATTERN.finditer(pattern)
        if found[2] is not None or found[1] not in values
    ]
    if not unknown:
        return _PATTERN.sub(lambda found: values[found[1]], pattern)
    reader.refuse(
        location,
        f"{unknown[0]} cannot be filled in",
        "known: " + ", ".join(f"{{{name}}}" for name in values),
    )
    return ""


def check_legend(reader: Reader, text: str) -> None:
    """Hold the filled-in line against its length and the letters that there are."""
    if len(text) > LONGEST_LINE:
        reader.refuse(
            ("legend", "text"),
            f"has {len(text)} letters when filled in; at most {LONGEST_LINE} fit",
            "shorten it",
        )
    if not text.strip():
        reader.refuse(("legend", "text"), "is empty when filled in", 'write text = "{title}"')
    _check_printable(reader, ("legend", "text"), text)


def check_cell(reader: Reader, part: ConnectorPart, supply: SupplyRange) -> None:
    """Hold a cell's holder against the supply: it takes its own cell and no other."""
    if part.cell and part.cell not in supply.name:
        reader.refuse(
            ("connector", "kind"),
            f"{part.name} holds one {part.cell}, but the supply is {supply.name}",
            'write kind = "wire pads", or another connector that is no holder',
        )
    elif part.cell and supply.name != f"1 x {part.cell}":
        reader.refuse(
            ("supply", "cells"), f"{part.name} holds one cell only", "write cells = 1, or drop it"
        )


def check_light(reader: Reader, sections: ParameterFile, led: LedPart) -> None:
    """Ask of an LED no more than it may say or bear."""
    light, most_a = sections.light, led.data.max_current_a
    if light.current_a is not None and light.current_a > _SLIP * most_a:
        asked = units.engineering(light.current_a, "A")
        reader.refuse(
            ("light", "current"),
            f'{asked} is far beyond what "{led.name}" bears,'
            f" {units.engineering(most_a, 'A')} at most",
            f'write current = "{light.current_a:g} mA"' if light.current_a <= most_a * _MILLI
            else "write the current of one branch, such as 10 mA",
        )  # fmt: skip
    if light.evenness is not None and light.diffuser_mm is None:
        reader.refuse(
            ("light", "evenness"),
            "needs to know how far the diffuser is",
            'add light.diffuser = "15 mm"',
        )
    if light.evenness is not None and light.count == 1 and not sections.joint.joined:
        reader.refuse(
            ("light", "evenness"),
            "one LED has no neighbour, and between them nothing to be even",
            "leave evenness out, or take more LEDs",
        )
    for key, value in (("plane", light.plane_mm), ("diffuser", light.diffuser_mm)):
        if value is not None and not candela_per_ampere(led.data):
            reader.refuse(
                ("light", key), f'"{led.name}" does not say how bright it is', _SAY_HOW_BRIGHT
            )


_SLIP, _MILLI = 10.0, 1_000.0
"""So many times its most is a slip of a unit, A for mA: own choice."""

_SAY_HOW_BRIGHT = (
    'add output = { at = "20 mA", intensity = "200 mcd" } to its [led] table, from its data sheet;'
    " a flux needs an angle beside it"
)


def check_alike(reader: Reader, led: LedPart, other: LedPart) -> None:
    """Both LEDs must say how bright they are, or their currents cannot be compared."""
    for part in (led, other):
        if not candela_per_ampere(part.data):
            reader.refuse(
                ("light", "as_bright_as"),
                f'"{part.name}" does not say how bright it is',
                _SAY_HOW_BRIGHT,
            )


def _check_date(reader: Reader, location: tuple[str, str], day: str | None) -> None:
    try:
        date.fromisoformat(day or DEFAULT_DATE)
    except ValueError:
        reader.refuse(location, f"{day} is not in the calendar", "write a real day")


def _check_ambient(reader: Reader, sections: ParameterFile) -> None:
    coldest, warmest = sections.board.ambient_low_degc, sections.board.ambient_degc
    if coldest > warmest:
        reader.refuse(
            ("board", "ambient"),
            f"the warmest air, ambient = {warmest:g} degC, is colder than the coldest, ambient_low"
            f" = {coldest:g} degC",
            "write both, the colder one as board.ambient_low",
        )


def _check_light(reader: Reader, sections: ParameterFile) -> None:
    light, form = sections.light, sections.form
    if light.in_series is not None and light.in_series > light.count:
        reader.refuse(
            ("light", "in_series"),
            f"{light.in_series} in series, but only {light.count} LEDs",
            'write in_series = "auto", and boardgen chooses',
        )
    if light.count % form.rows:
        reader.refuse(
            ("form", "rows"),
            f"{light.count} LEDs do not make {form.rows} equal rows",
            f"take {_near_multiple(light.count, form.rows)} LEDs",
        )
    if form.row_pitch_mm is not None and form.rows == 1:
        reader.refuse(("form", "row_pitch"), "one row has no row pitch", "drop it, or add rows")


def _check_form(reader: Reader, sections: ParameterFile) -> None:
    """Refuse what belongs to another form, and what a round board has no place for yet."""
    form = sections.form
    for key in dict.fromkeys(key for keys in FORM_KEYS.values() for key in keys):
        if key not in FORM_KEYS[form.kind] and ("form", key) in reader.lines:
            *others, last = _owners(key)
            owners, choice = (
                f"{', '.join(others)} {word} {last}" if others else last for word in ("and", "or")
            )
            reader.refuse(("form", key), f"belongs to {owners}, not to {form.kind}",
                          f"drop it, or make it a {choice}")  # fmt: skip
    _check_outline(reader, form)
    ways_in.check_way_in(reader, sections)
    ways_in.check_pour(reader, sections)
    if form.kind == "ring" and sections.light.count < _LEAST_RING:
        reader.refuse(("light", "count"), f"fewer than {_LEAST_RING} LEDs make no ring")
    turned = form.facing not in {None, "along"} and ("form", "facing") in reader.lines
    if form.scattered or turned or form.circles > 1:
        _check_scattered(reader, sections)
    if form.kind == "places":
        _check_places(reader, sections)
    if form.kind in LINES:
        form_lines.check_line(reader, sections)
    if form.kind == "polygon":
        form_lines.check_polygon(reader, sections)
    screws.check_screws(reader, sections)
    joints.check_joint(reader, sections)


def _check_outline(reader: Reader, form: FormSection) -> None:
    """Refuse measures of one edge beside another, and a ring without an opening."""
    if "outline" not in FORM_KEYS[form.kind]:
        return
    for key in OF_EDGES:
        given = key in FORM_KEYS[form.kind] and ("form", key) in reader.lines
        if given and key not in form.of_edge:
            told = f'does nothing beside outline = "{form.outline}"'
            reader.refuse(("form", key), told, _without(form, key))
    if form.outline == "ring" and form.hole_mm is None:
        reader.refuse(
            ("form", "hole"), "is missing: a ring has an opening", 'write hole = "20 mm" or so'
        )


def _without(form: FormSection, key: str) -> str:
    """Say what else to do with a measure: of which edges it is one."""
    edges = [f'"{name}"' for name, keys in OUTLINES.items() if key in keys]
    if form.kind in ROWS:
        own = key in OF_ROWS
        edges = ['"rectangle"'] * own + [name for name in edges if name != '"rectangle"']
    return f"drop it, or write outline = {' or '.join(edges)}" if edges else "drop it"


MOST_SCATTERED = 100
"""Own bound: more take minutes."""


def _check_scattered(reader: Reader, sections: ParameterFile) -> None:
    """Refuse more LEDs than ways are looked for."""
    count, form = sections.light.count, sections.form
    kind = form.named if form.scattered else f"{form.kind} with LEDs facing {form.facing}"
    if count > MOST_SCATTERED:
        reader.refuse(
            ("light", "count"),
            f"is {count}; on a board of the form {kind} tracks look for their ways among"
            f" {MOST_SCATTERED} LEDs",
            "make several boards of it",
        )
    sides = form.facing in {"inward", "outward"}
    if sides and (form.kind == "word" or (form.kind == "path" and not form.closed)):
        reader.refuse(
            ("form", "facing"),
            f"a {form.kind} has no inside to face {form.facing} from",
            'write facing = "one way" or "along"',
        )


def _check_places(reader: Reader, sections: ParameterFile) -> None:
    """Hold the list of places against the number of LEDs, and no two on one spot."""
    places, count = sections.form.places, sections.light.count
    if not places:
        reader.refuse(
            ("form", "places"),
            "is missing, or empty",
            'write a line for each LED: places = [["0 mm", "0 mm", "0 deg"], …]',
        )
    elif len(places) != count:
        reader.refuse(
            ("form", "places"),
            f"lists {len(places)} places for {count} LED{'s' if count > 1 else ''}",
            f"list {count}, or write count = {len(places)}",
        )
    seen: dict[tuple[float, float], int] = {}
    for number, (x, y, _) in enumerate(places, start=1):
        if (x, y) in seen:
            reader.refuse(
                ("form", "places"),
                f"place {number} is where place {seen[x, y]} is already",
                "move one of them",
            )
        seen.setdefault((x, y), number)


def _owners(key: str) -> list[str]:
    """List forms that take a key as they stand, without another edge than their own."""
    own = {name: keys for name, keys in FORM_KEYS.items() if key in keys}
    return [name for name in own if name not in ROWS or key in (*OF_ROWS, "outline")
            or key not in OF_EDGES]  # fmt: skip


_LEAST_RING = 3


def _check_resistor(reader: Reader, resistor: ResistorSection) -> None:
    if resistor.drawer and resistor != dataclasses.replace(resistor, series="E12"):
        reader.refuse(("resistor", "series"), "goes unused beside a drawer", "drop one of them")


def _check_order(reader: Reader, sections: ParameterFile) -> None:
    order, copper = sections.order, sections.copper
    if order.thickness_mm not in THICKNESSES_MM:
        usual = ", ".join(f"{value:g}" for value in THICKNESSES_MM)
        near = min(THICKNESSES_MM, key=lambda value: abs(value - order.thickness_mm))
        reader.refuse(
            ("order", "thickness"),
            "is not a usual thickness",
            f'write thickness = "{near:g} mm"; usual are {usual} mm',
        )
    if order.mask == "none" and order.legend not in (None, "none"):
        reader.refuse(
            ("order", "legend"),
            "print needs a mask below it",
            'write legend = "none", or choose a mask',
        )
    if order.legend is not None and order.legend == order.mask != "none":
        reader.refuse(
            ("order", "legend"), f"{order.legend} print cannot be read on {order.mask} mask",
            f'write legend = "{"black" if order.mask == "white" else "white"}"',
        )  # fmt: skip
    if order.drill_span != "1,1" and copper.sides != 1:
        reader.refuse(
            ("order", "drill_span"), "is asked for boards with one copper side only", "drop it"
        )
    if sections.legend.name_box and copper.sides == 1 and order.legend == "none":
        reader.refuse(
            ("legend", "name_box"), "needs print on the back", "drop it, or choose a legend"
        )


def check_plating(reader: Reader, sections: ParameterFile, *, plated: bool, house: str) -> None:
    """No net may rely on a barrel that is not there."""
    connector, sides = sections.connector, sections.copper.sides
    if sides > 1 and not plated:
        reader.refuse(
            ("copper", "sides"),
            f'the house "{house}" plates no holes, so two copper sides would not be joined',
            "write sides = 1, or choose another house",
        )
    known = [name for name in footprints.connector_names()
             if catalogue.plain(name) == catalogue.plain(connector.kind)]  # fmt: skip
    if sides == 1 and connector.side == "top" and known:
        reader.refuse(
            ("connector", "side"),
            "leads cannot be soldered on the side that has no copper",
            'write side = "bottom": the body goes to the bare side, its leads are soldered on the'
            " copper side",
        )


def _near_multiple(count: int, rows: int) -> str:
    below, above = count // rows * rows, (count // rows + 1) * rows
    return f"{below} or {above}" if below else f"{above}"

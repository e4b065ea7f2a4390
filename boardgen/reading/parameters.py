"""The parameter file → Parameters, or every reason why not, at once."""

import dataclasses
import hashlib
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from boardgen.errors import Problem, RefusalError
from boardgen.model.parameters import (
    EXTRA_LOW_VOLTAGE_V,
    THICKNESSES_MM,
    BoardSection,
    LedPart,
    LedSection,
    Parameters,
    Screw,
    SupplyRange,
    SupplySection,
)
from boardgen.reading import catalogue, footprints, positions, slips, validation
from boardgen.reading.files import read_user_file
from boardgen.reading.provenance import origins
from boardgen.reading.sections import ParameterFile
from boardgen.standards.screws import ROOM_OVER_WASHER_MM, SCREWS

LATER_SECTIONS = {
    "protection": "protection against reversal and overload",
    "lands": "own lands",
    "limits": "own limits",
    "stock": "the buyer's own texts",
    "built": "measured values",
    "family": "families of boards",
    "waive": "waivers",
    "panel": "panels",
    "aim": "aims",
    "choices": "choices",
}
"""Reserved from the first day, so that a file written today never collides."""

DEFAULT_DATE = "1980-01-01"
_STEM = re.compile(r"[a-z0-9-]{1,40}")


@dataclass
class _Reader:
    """What is known of one file while it is read, and the problems gathered so far."""

    file: str
    lines: dict[positions.Path, int]
    problems: list[Problem] = field(default_factory=list)

    def refuse(self, location: positions.Path, what: str, remedy: str = "") -> None:
        self.problems.append(
            Problem(
                what=what,
                remedy=remedy,
                file=self.file,
                line=self.line(location),
                path=validation.dotted(location),
            )
        )

    def line(self, location: positions.Path) -> int:
        while location and location not in self.lines:
            location = location[:-1]
        return self.lines.get(location, 0)

    def raise_all(self) -> None:
        if self.problems:
            self.problems.sort(key=lambda problem: problem.line)
            raise RefusalError(*self.problems)


def read(path: Path | str, source_date: str | None = None) -> tuple[Parameters, ...]:
    """Read a parameter file.

    Parameters
    ----------
    path : Path or str
        The TOML file; its stem names the board's files.
    source_date : str, optional
        The day to take when the file names none (from SOURCE_DATE_EPOCH), as YYYY-MM-DD.

    Returns
    -------
    tuple of Parameters
        One for each board that the file describes; today always one.

    Raises
    ------
    RefusalError
        With all that is wrong in the file.
    """
    path = Path(path)
    raw = read_user_file(path)
    name = path.stem
    if not _STEM.fullmatch(name):
        better = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40] or "board"
        raise RefusalError(
            Problem(
                what="the board's files are named after this one; it may hold a-z, 0-9 and hyphens,"
                " at most 40",
                remedy=f"rename it to {better}{path.suffix}",
                file=path.name,
            )
        )
    text = slips.decode(raw, path.name)
    if isinstance(text, Problem):
        raise RefusalError(text)
    return (parse(text, file=path.name, name=name, source_date=source_date),)


def parse(text: str, *, file: str, name: str, source_date: str | None = None) -> Parameters:
    """Turn the text of a parameter file into Parameters; see `read`."""
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RefusalError(*slips.explain(text, error, file)) from None
    except ValueError:
        # tomllib hands whole numbers to int(), which refuses thousands of digits.
        raise RefusalError(
            Problem(
                what="holds a number of thousands of digits", remedy="write a usual one", file=file
            )
        ) from None
    except RecursionError:
        raise RefusalError(Problem(what="is nested too deeply", file=file)) from None
    reader = _Reader(file, positions.key_lines(text))
    _refuse_later_sections(reader, raw)
    sections = _validated(reader, raw)
    _check_text(reader, sections.board)
    supply = _supply(reader, sections.supply)
    led = _led(reader, sections)
    connector = _named(reader, ("connector", "kind"), sections.connector.kind,
                       footprints.connectors())  # fmt: skip
    screw = _named(reader, ("mounting", "screw"), sections.mounting.screw, SCREWS)
    house = _named(reader, ("order", "house"), sections.order.house,
                   {known: known for known in catalogue.house_names()})  # fmt: skip
    _check_sections(reader, sections)
    reader.raise_all()
    if supply is None or led is None or connector is None or screw is None or house is None:
        raise AssertionError("a missing part is a problem")  # pragma: no cover - raised above
    used = sections.light.current_a
    return Parameters(
        name=name,
        file=file,
        board=sections.board,
        light=sections.light,
        resistor=sections.resistor,
        form=sections.form,
        connector=sections.connector,
        mounting=sections.mounting,
        copper=sections.copper,
        legend=sections.legend,
        order=sections.order,
        supply=supply,
        current_a=used or catalogue.current_by_use(sections.light.use, led.data.size),
        led=led,
        resistor_part=footprints.resistor_part(sections.resistor.size),
        connector_part=connector,
        screw=Screw(
            thread=sections.mounting.screw,
            hole_mm=screw.hole_mm,
            head_mm=screw.head_mm,
            washer_mm=screw.washer_mm,
            room_mm=screw.washer_mm + ROOM_OVER_WASHER_MM,
            source="ISO 273 medium, ISO 7045, ISO 7089",
        ),
        limits=catalogue.house(house),
        lettering=catalogue.lettering(),
        cautions=catalogue.cautions(),
        date=sections.board.date or source_date or DEFAULT_DATE,
        date_given=bool(sections.board.date or source_date),
        text_sha256=hashlib.sha256(text.encode()).hexdigest(),
        origins=origins(reader.file, reader.lines, sections, led),
    )


def _refuse_later_sections(reader: _Reader, raw: dict[str, Any]) -> None:
    for section in [name for name in raw if name in LATER_SECTIONS]:
        del raw[section]
        reader.refuse(
            (section,),
            f"this section, for {LATER_SECTIONS[section]}, is reserved for a later version of"
            " boardgen",
            "take this section out for now",
        )


def _validated(reader: _Reader, raw: dict[str, Any]) -> ParameterFile:
    result = validation.validate(ParameterFile, raw)
    if isinstance(result, ValidationError):
        for location, problem in validation.sentences(ParameterFile, result):
            reader.refuse(location, problem.what, problem.remedy)
        _check_names(reader, raw)
        reader.raise_all()
        raise AssertionError("a validation error is a problem")  # noqa: TRY004 - never reached
    return result


def _check_names(reader: _Reader, raw: dict[str, Any]) -> None:
    """Check the catalogue names of a file whose sections did not validate: all errors at once."""
    own = raw.get("led")
    catalogues: dict[positions.Path, Iterable[str]] = {
        ("supply", "from"): catalogue.supplies(),
        ("light", "led"): [*catalogue.leds(), *(own if isinstance(own, dict) else ())],
        ("connector", "kind"): footprints.connectors(),
        ("mounting", "screw"): SCREWS,
        ("order", "house"): catalogue.house_names(),
    }
    for (section, key), names in catalogues.items():
        table = raw.get(str(section))
        name = table.get(key) if isinstance(table, dict) else None
        if isinstance(name, str) and name != validation.AUTO:
            _named(reader, (section, key), name, {known: known for known in names})


_FORBIDDEN = ("%", "*", "<", ">", "/", "\\", "..")


def _check_text(reader: _Reader, board: BoardSection) -> None:
    """Refuse what the legend cannot print or the files cannot carry plainly."""
    location = ("board", "title")
    bad = [mark for mark in _FORBIDDEN if mark in board.title]
    if bad:
        reader.refuse(
            location,
            f"the title holds {' '.join(bad)}, which boardgen prints on no board",
            "say it in words",
        )
    glyphs = catalogue.lettering().glyphs
    missing = sorted(
        {letter for letter in board.title if letter not in glyphs and letter not in " %*<>/\\"}
    )
    if missing:
        reader.refuse(
            location,
            f"the legend's letters lack {' '.join(missing)}",
            "spell it with other letters; most of those of Latin alphabets in Europe are there",
        )


def _named(reader: _Reader, location: positions.Path, name: str, known: Mapping[str, Any]) -> Any:  # noqa: ANN401 - each catalogue has its own class
    """Find a catalogue entry, without regard to case, spaces and hyphens."""
    for entry, value in known.items():
        if catalogue.plain(entry) == catalogue.plain(name):
            return value
    reader.refuse(location, f'"{name}" is not known here', validation.nearest(name, known))
    return None


def _supply(reader: _Reader, section: SupplySection) -> SupplyRange | None:
    volts = {"low": section.low_v, "nominal": section.nominal_v, "high": section.high_v}
    given = [name for name, value in volts.items() if value is not None]
    if section.from_ and given:
        reader.refuse(
            ("supply",), f"says both from and {', '.join(given)}", "keep one of the two ways"
        )
        return None
    found = _catalogue_supply(reader, section) if section.from_ else _own_supply(reader, volts)
    if section.cells is not None and not section.from_:
        reader.refuse(("supply", "cells"), "goes with from, not with low, nominal and high")
    if found and found.high_v > EXTRA_LOW_VOLTAGE_V:
        reader.refuse(
            ("supply",),
            f"reaches {found.high_v:g} V; boardgen stops at {EXTRA_LOW_VOLTAGE_V:g} V DC",
            "take an extra-low voltage supply, or let a qualified person design this board",
        )
    return found


def _catalogue_supply(reader: _Reader, section: SupplySection) -> SupplyRange | None:
    name = section.from_ or ""
    if re.search(r"(?i)\bac\b|~|mains", name):
        reader.refuse(
            ("supply", "from"),
            f'"{name}" is alternating current or mains; only direct current up to '
            f"{EXTRA_LOW_VOLTAGE_V:g} V is built",
            "take a DC supply",
        )
        return None
    found: SupplyRange | None = _named(reader, ("supply", "from"), name, catalogue.supplies())
    if found is None:
        return None
    is_cell = found.kind.endswith("cell")
    if is_cell and section.cells is None:
        reader.refuse(("supply",), "needs the number of cells", "add a line like: cells = 3")
        return None
    if not is_cell and section.cells is not None:
        reader.refuse(("supply", "cells"), f'"{found.name}" has no cells to count', "drop it")
        return None
    cells = section.cells or 1
    return dataclasses.replace(
        found,
        name=f"{cells} x {found.name}" if is_cell else found.name,
        low_v=found.low_v * cells,
        nominal_v=found.nominal_v * cells,
        high_v=found.high_v * cells,
    )


def _own_supply(reader: _Reader, volts: dict[str, float | None]) -> SupplyRange | None:
    low, nominal, high = volts["low"], volts["nominal"], volts["high"]
    if low is None or nominal is None or high is None:
        missing = ", ".join(name for name, value in volts.items() if value is None)
        reader.refuse(
            ("supply",),
            f"lacks {missing}",
            'write from = "usb 5 V", or all of low, nominal and high',
        )
        return None
    if not low <= nominal <= high:
        reader.refuse(
            ("supply",),
            f"low {low:g} V, nominal {nominal:g} V and high {high:g} V are not in this order",
        )
        return None
    return SupplyRange(
        name=f"{nominal:g} V DC", kind="own", low_v=low, nominal_v=nominal, high_v=high,
        source="parameter file",
    )  # fmt: skip


def _led(reader: _Reader, sections: ParameterFile) -> LedPart | None:
    for name, data in sections.led.items():
        vf = data.vf
        if not vf.min_v <= vf.typical_v <= vf.max_v:
            reader.refuse(
                ("led", name, "vf"),
                f"min {vf.min_v:g} V, typical {vf.typical_v:g} V and max {vf.max_v:g} V are not in"
                " this order",
            )
    _refuse_twins(reader, sections.led)
    # Own tables first: they may carry a catalogue name, however it is spelt.
    known = {**sections.led, **catalogue.leds()} | sections.led
    wanted = catalogue.plain(sections.light.led)
    for name, data in known.items():
        if catalogue.plain(name) == wanted:
            return LedPart(name=name, data=data, pattern=footprints.led_pattern(data.size))
    reader.refuse(
        ("light", "led"),
        f'"{sections.light.led}" is neither in the catalogue nor a [led] table of this file',
        validation.nearest(sections.light.led, known),
    )
    return None


def _refuse_twins(reader: _Reader, own: Mapping[str, LedSection]) -> None:
    """Refuse names that differ only in what is not compared."""
    seen: dict[str, str] = {}
    for name in own:
        twin = seen.setdefault(catalogue.plain(name), name)
        if twin != name:
            reader.refuse(("led", name), f'"{name}" and "{twin}" count as one name', "rename one")


def _check_date(reader: _Reader, day: str | None) -> None:
    try:
        date.fromisoformat(day or DEFAULT_DATE)
    except ValueError:
        reader.refuse(("board", "date"), f"{day} is not in the calendar", "write a real day")


def _check_sections(reader: _Reader, sections: ParameterFile) -> None:
    _check_date(reader, sections.board.date)
    light, form, resistor = sections.light, sections.form, sections.resistor
    if light.use is not None and light.current_a is not None:
        reader.refuse(("light",), "says both use and current", "keep one of them")
    if light.in_series is not None and light.in_series > light.count:
        reader.refuse(
            ("light", "in_series"), f"{light.in_series} in series, but only {light.count} LEDs"
        )
    if light.count % form.rows:
        reader.refuse(
            ("form", "rows"),
            f"{light.count} LEDs do not make {form.rows} equal rows",
            f"take {_near_multiple(light.count, form.rows)} LEDs",
        )
    if form.row_pitch_mm is not None and form.rows == 1:
        reader.refuse(("form", "row_pitch"), "one row has no row pitch", "drop it, or add rows")
    if resistor.drawer and resistor != dataclasses.replace(resistor, series="E12"):
        reader.refuse(("resistor", "series"), "goes unused beside a drawer", "drop one of them")
    if sections.order.thickness_mm not in THICKNESSES_MM:
        usual = ", ".join(f"{value:g}" for value in THICKNESSES_MM)
        reader.refuse(("order", "thickness"), "is not a usual thickness", f"usual: {usual} mm")


def _near_multiple(count: int, rows: int) -> str:
    below, above = count // rows * rows, (count // rows + 1) * rows
    return f"{below} or {above}" if below else f"{above}"

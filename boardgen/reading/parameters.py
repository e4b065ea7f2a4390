"""The parameter file → Parameters, or every reason why not, at once."""

import copy
import dataclasses
import hashlib
import json
import math
import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from boardgen.errors import Problem, RefusalError
from boardgen.model.form_section import FormSection
from boardgen.model.led_data import LedSection
from boardgen.model.outline import Drawing
from boardgen.model.parameters import Parameters, Written
from boardgen.model.sections import IN_THE_ROUND, SITES, SupplySection
from boardgen.reading import (
    catalogue,
    cross_checks,
    footprints,
    guards,
    houses,
    parts,
    positions,
    sentences,
    slips,
    supplies,
    validation,
)
from boardgen.reading.bounds import refuse_endless, told
from boardgen.reading.drawing import drawing
from boardgen.reading.even_pitch import STAND_IN, asks_for_even, even_pitch_mm
from boardgen.reading.files import read_user_file
from boardgen.reading.found import found
from boardgen.reading.place_list import with_listed_places
from boardgen.reading.provenance import origins
from boardgen.reading.reader import Reader, table_of
from boardgen.reading.sections import ParameterFile
from boardgen.standards.screws import SCREWS

LATER_SECTIONS = {
    "panel": "panels",
    "aim": "aims",
    "choices": "choices",
}
"""Reserved from the first day, so that a file written today never collides."""


def read_text(path: Path) -> str:
    """Read a parameter file's text.

    Raises
    ------
    RefusalError
        When it cannot be read.
    """
    text = slips.decode(read_user_file(path), path.name)
    if isinstance(text, Problem):
        raise RefusalError(text)
    return text


def load(text: str, file: str) -> dict[str, Any]:
    """Turn the text into plain tables; RefusalError tells every slip in plain sentences."""
    refuse_endless(text, file)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RefusalError(*told(tuple(slips.explain(text, error, file)))) from None
    except ValueError:
        # tomllib hands whole numbers to int(), which refuses thousands of digits.
        raise RefusalError(
            Problem(
                what="holds a number of thousands of digits", remedy="write a usual one", file=file
            )
        ) from None
    except RecursionError:
        raise RefusalError(Problem(what="is nested too deeply", file=file)) from None


def parse(
    text: str,
    *,
    file: str,
    name: str,
    source_date: str | None = None,
    folder: Path | None = None,
) -> Parameters:
    """Turn the text of a parameter file of one board into Parameters; see `family.read`."""
    raw = load(text, file)
    reader = Reader(file, positions.key_lines(text), folder)
    if "family" in raw:
        reader.refuse(("family",), "describes many boards; one is wanted here", "name one member")
        reader.raise_all()
    return resolve(raw, reader, text=text, name=name, source_date=source_date)


def resolve(
    raw: dict[str, Any], reader: Reader, *, text: str, name: str, source_date: str | None
) -> Parameters:
    """Turn the plain tables of one board into Parameters.

    Raises
    ------
    RefusalError
        With all that is wrong in the file.
    """
    raw = with_listed_places(reader, raw)
    written = Written(
        tables=copy.deepcopy(raw), lines=reader.lines, folder=reader.folder, text=text,
        source_date=source_date,
    )  # fmt: skip
    sections, preset = _asked(reader, raw)
    here, drawn = found(reader, sections), _drawing(reader, sections.form)
    led = here.parts.emitters[0].led
    return Parameters(
        name=name,
        file=reader.file,
        board=sections.board,
        light=sections.light,
        resistor=sections.resistor,
        protection=sections.protection,
        form=sections.form,
        connector=sections.connector,
        joint=sections.joint,
        mounting=sections.mounting,
        copper=sections.copper,
        legend=sections.legend,
        legend_text=here.legend,
        order=sections.order,
        parts=here.parts,
        stock=sections.stock,
        built=sections.built,
        waivers=sections.waive,
        date=sections.board.date or source_date or cross_checks.DEFAULT_DATE,
        date_given=bool(sections.board.date or source_date),
        text_sha256=sha256(text),
        bare_sha256=sha256(without_measurements(text)),
        meaning_sha256=sha256(meaning(written.tables, drawn)),
        drawing=drawn,
        origins=origins(reader.file, reader.lines, sections, led, preset),
        written=written,
    )


def _asked(reader: Reader, raw: dict[str, Any]) -> tuple[ParameterFile, tuple[str, ...]]:
    """Read what is asked for, section by section; also tell what the house presets."""
    _refuse_later_sections(reader, raw)
    raw, preset = houses.with_house_defaults(raw, reader.folder)
    even = asks_for_even(raw)
    _stand_in(raw, even=even)
    sections = _validated(reader, raw)
    if even:
        form = dataclasses.replace(sections.form, pitch_mm=even_pitch_mm(reader, sections))
        sections = dataclasses.replace(sections, form=form)
    if sections.form.line.rstrip().endswith(("Z", "z")):
        form = dataclasses.replace(sections.form, closed=True)
        sections = dataclasses.replace(sections, form=form)
    cross_checks.check_sections(reader, sections)
    return _as_its_form(sections), preset


def _stand_in(raw: dict[str, Any], *, even: bool) -> None:
    """Let given places, and LEDs placed by light, have a pitch until theirs is known."""
    form = table_of(raw, "form")
    if form.get("kind") == "places":
        form.setdefault("pitch", f"{_ALONE_MM:g} mm")
    if even:
        form["pitch"] = STAND_IN


def _as_its_form(sections: ParameterFile) -> ParameterFile:
    """Settle what a form leaves no choice of: only rows have ends and corners for screws."""
    form = sections.form
    if form.in_rows and not sections.joint.joined:
        return sections
    mounting = sections.mounting
    if mounting.at not in (*IN_THE_ROUND, SITES):
        mounting = dataclasses.replace(mounting, at="none")
    if form.places:
        form = dataclasses.replace(form, pitch_mm=_nearest_mm(form.places))
    return dataclasses.replace(sections, mounting=mounting, form=form)


def _nearest_mm(places: Sequence[tuple[float, float, float]]) -> float:
    """Tell how far apart the two nearest places lie; of a single one any distance will do."""
    pairs = combinations(places, 2)
    return min((math.dist(one[:2], other[:2]) for one, other in pairs), default=_ALONE_MM)


_ALONE_MM = 20.0


def _drawing(reader: Reader, form: FormSection) -> Drawing | None:
    if "." not in form.outline:
        return None
    drawn = drawing(reader, form.outline)
    reader.raise_all()
    return drawn


def meaning(tables: Mapping[str, Any], drawn: Drawing | None = None) -> str:
    """Write keys and values down in one way, but for what was measured: no other board of them.

    Examples
    --------
    >>> meaning({"light": {"led": "white 2835", "count": 8}, "built": {"supply": "5 V"}})
    '{"light": {"count": 8, "led": "white 2835"}}'
    """
    described = {key: value for key, value in tables.items() if key != "built"}
    described |= {"drawing": drawn.digest} if drawn else {}
    return json.dumps(described, sort_keys=True, ensure_ascii=False, default=str)


def sha256(text: str) -> str:
    """Tell the digest of a text."""
    return hashlib.sha256(text.encode()).hexdigest()


_MEASURED = re.compile(r"(?m)^[ \t]*\[[ \t]*built[ \t]*\][^\n]*\n?(?:(?![ \t]*\[)[^\n]*(?:\n|\Z))*")


def without_measurements(text: str) -> str:
    r"""Cut ``[built]`` out of a file's text: what was measured makes no other board of it.

    Examples
    --------
    >>> without_measurements("[form]\nx = 1\n\n[built]\ny = 2\n")
    '[form]\nx = 1\n'
    """
    rest = _MEASURED.sub("", text)
    return text if rest == text else rest.rstrip("\n") + "\n"


def _refuse_later_sections(reader: Reader, raw: dict[str, Any]) -> None:
    for section in [name for name in raw if name in LATER_SECTIONS]:
        del raw[section]
        reader.refuse(
            (section,),
            f"this section, for {LATER_SECTIONS[section]}, is reserved for a later version of"
            " boardgen",
            "take this section out for now",
        )


def _validated(reader: Reader, raw: dict[str, Any]) -> ParameterFile:
    result = validation.validate(ParameterFile, raw)
    if isinstance(result, ValidationError):
        for location, problem in sentences.sentences(ParameterFile, result):
            remedy = problem.remedy
            if location[-1:] == ("size",):
                value = _at(raw, location)
                remedy = parts.size_remedy(value) or remedy
            reader.refuse(location, problem.what, remedy)
        _check_names(reader, raw)
        _check_apart(reader, raw)
        reader.raise_all()
        raise AssertionError("a validation error is a problem")  # noqa: TRY004 - never reached
    return result


def _at(raw: Any, location: positions.Path) -> object:  # noqa: ANN401 - a raw file
    for key in location:
        raw = raw.get(str(key)) if isinstance(raw, dict) else None
    return raw


def _check_apart(reader: Reader, raw: dict[str, Any]) -> None:
    """Check sections that are sound in themselves although others are not: all errors at once."""
    supply = validation.validate(SupplySection, table_of(raw, "supply"))
    known = not isinstance(supply, ValidationError) and (
        supply.from_ is None
        or catalogue.plain(supply.from_) in map(catalogue.plain, catalogue.supplies())
    )
    if known and not isinstance(supply, ValidationError):
        supplies.supply(reader, supply, "dry")
    for name, table in table_of(raw, "led").items():
        data = validation.validate(LedSection, table) if isinstance(table, dict) else None
        if isinstance(data, LedSection):
            parts.check_led(reader, name, data)


def _check_names(reader: Reader, raw: dict[str, Any]) -> None:
    """Check the catalogue names of a file whose sections did not validate: all errors at once."""
    own = table_of(raw, "led")
    catalogues: dict[positions.Path, Iterable[str]] = {
        ("supply", "from"): catalogue.supplies(),
        ("light", "led"): [*catalogue.leds(), *own],
        ("light", "as_bright_as"): [*catalogue.leds(), *own],
        ("protection", "fuse"): (*guards.fuse_names(), "none"),
        ("connector", "kind"): footprints.connector_names(),
        ("connector", "switch"): (*footprints.switch_names(), "none"),
        ("mounting", "screw"): SCREWS,
    }
    for (section, key), names in catalogues.items():
        name = table_of(raw, str(section)).get(str(key))
        if isinstance(name, str) and name != validation.AUTO:
            reader.one_of((section, key), name, names)
    house = table_of(raw, "order").get("house")
    if isinstance(house, str) and house != validation.AUTO and not house.endswith(".toml"):
        reader.one_of(("order", "house"), house, catalogue.house_names())

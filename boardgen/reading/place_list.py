"""Places of LEDs from a list beside the parameter file, as spreadsheets write it."""

import csv
import io
import tomllib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from boardgen.errors import RefusalError
from boardgen.model.parameters import Parameters
from boardgen.reading.files import read_user_file
from boardgen.reading.reader import Reader, table_of

_LOCATION = ("form", "places")
_HEADER = ("x_mm", "y_mm", "turn_deg")
_UNITS = ("mm", "mm", "deg")
_SHOWN = 'a first line "x_mm,y_mm,turn_deg", then a line such as "25,12.5,90" for each LED'


def with_listed_places(reader: Reader, raw: dict[str, Any]) -> dict[str, Any]:
    """Put the rows of a named list in the place of its name; faults are noted at the key."""
    form = table_of(raw, "form")
    name = form.get("places")
    if not isinstance(name, str):
        return raw
    return {**raw, "form": {**form, "places": list(_rows(reader, name))}}


def files_named(boards: Sequence[Parameters]) -> list[str]:
    """List the files beside theirs that boards of one file name: lists, houses, drawings."""
    listed = table_of(tomllib.loads(boards[0].written.text), "form").get("places")
    named = [name for one in boards for name in (one.order.house, one.form.outline)]
    found = dict.fromkeys([*([listed] if isinstance(listed, str) else []), *named])
    return [name for name in found if name.endswith((".csv", ".toml", ".svg", ".dxf"))]


def _rows(reader: Reader, name: str) -> Iterator[list[str]]:
    text = _text(reader, name)
    lines = list(csv.reader(io.StringIO(text))) if text is not None else []
    if text is None or not lines:
        return
    header = tuple(cell.strip() for cell in lines[0])
    if header not in (_HEADER, _HEADER[:2]):
        reader.refuse(_LOCATION, f"{name} begins with {', '.join(header)!r}", f"write {_SHOWN}")
        return
    for number, line in enumerate(lines[1:], start=2):
        cells = [cell.strip() for cell in line]
        if not any(cells):
            continue
        if len(cells) != len(header) or not all(map(_is_number, cells)):
            reader.refuse(
                _LOCATION,
                f"{name}, line {number}: {','.join(line)!r} is no place",
                f"write {_SHOWN}",
            )
            return
        yield [f"{cell} {unit}" for cell, unit in zip([*cells, "0"], _UNITS, strict=False)]


def _text(reader: Reader, name: str) -> str | None:
    """Read the list, which lies beside the parameter file; None where it cannot be read."""
    if not name.endswith(".csv") or Path(name).name != name or reader.folder is None:
        reader.refuse(
            _LOCATION,
            f'"{name}" is no list beside this file',
            'write places = "places.csv", or the list itself: [["0 mm", "0 mm", "0 deg"], …]',
        )
        return None
    try:
        return read_user_file(reader.folder / name).decode("utf-8-sig")
    except UnicodeDecodeError:
        reader.refuse(_LOCATION, f"{name} is not UTF-8", "save it as CSV, UTF-8")
    except RefusalError as refusal:
        reader.refuse(_LOCATION, f"{name} {refusal.problems[0].what}", "lay it beside this file")
    return None


def _is_number(text: str) -> bool:
    try:
        return abs(float(text)) < float("inf")
    except ValueError:
        return False

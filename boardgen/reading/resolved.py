"""A board's values as lines of a parameter file, each with its origin: they can be pasted."""

import dataclasses
from collections.abc import Iterator, Mapping
from typing import Any

from boardgen import units
from boardgen.model.fields import Quantity, Rows, key_of
from boardgen.model.form_section import FORM_KEYS, OF_EDGES
from boardgen.model.parameters import Parameters
from boardgen.model.sections import SITES
from boardgen.reading import validation

_SECTIONS = ("board", "light", "resistor", "protection", "form", "connector", "joint", "mounting",
             "copper", "legend", "order", "built")  # fmt: skip
_AS_WRITTEN = ("supply", "led", "lands", "limits", "stock", "waive")
"""Sections that are taken from the file: what they resolve to is told by `explain` and `parts`."""


def resolved_lines(parameters: Parameters) -> list[str]:
    """Write every value, as asked for or by default, with where it came from.

    What boardgen chooses itself stands as a remark.
    """
    lines = [
        (
            f"# {parameters.name}: a file of its own, to be kept whole; below a section its keys"
            " would be others"
        ),
        "format = 1",
    ]
    for name in _AS_WRITTEN:
        if name in parameters.written.tables:
            lines += _written((name,), parameters.written.tables[name], parameters)
    for name in _SECTIONS:
        section = getattr(parameters, name)
        if section is not None:
            lines += _lines((name,), section, parameters)
    return lines


def _written(path: tuple[str, ...], value: Any, parameters: Parameters) -> Iterator[str]:  # noqa: ANN401 - plain tables
    if isinstance(value, Mapping):
        for key, part in value.items():
            yield from _written((*path, key), part, parameters)
        return
    dotted = validation.dotted(path)
    yield f"{dotted} = {_toml(value)}   # {parameters.origin(dotted)}"


def _lines(path: tuple[str, ...], section: object, parameters: Parameters) -> Iterator[str]:
    chosen = _chosen(parameters)
    for field, _, notes in validation.noted_fields(type(section)):
        value = getattr(section, field.name)
        where = (*path, key_of(field.name, notes))
        dotted = validation.dotted(where)
        if dotted in _idle(parameters):
            continue
        if dataclasses.is_dataclass(value) and not isinstance(value, type):
            yield from _lines(where, value, parameters)
            continue
        origin = parameters.origin(dotted)
        if value is None or value in {(), ""}:
            found = chosen.get(dotted)
            yield f"# {dotted} is {found}   # {origin}" if found else f"# {dotted} is not given"
        else:
            yield f"{dotted} = {_text(value, notes)}   # {origin}"


def _idle(parameters: Parameters) -> set[str]:
    """List keys that mean nothing here: of other forms, and a rule for screws that have places."""
    other = {key for keys in FORM_KEYS.values() for key in keys}
    form = parameters.form
    idle = {f"form.{key}" for key in other - set(FORM_KEYS[form.kind])}
    if "outline" in FORM_KEYS[form.kind]:
        idle |= {f"form.{key}" for key in set(OF_EDGES) - set(form.of_edge)}
    if form.line:
        idle |= {"form.points", "form.closed"}
    if parameters.mounting.at != "circle":
        idle |= {f"mounting.{key}" for key in ("circle", "count", "from")}
    if parameters.mounting.at != SITES:
        idle.add("mounting.every")
    return idle | ({"mounting.at"} if parameters.mounting.places else set())


def _chosen(parameters: Parameters) -> dict[str, str]:
    """Tell what stands for keys that the file leaves open."""
    rating = parameters.parts.resistor.rating_w
    return {
        "light.current": f"{parameters.parts.emitters[0].current_a * 1000:.6g} mA",
        "resistor.rating": f"{rating * 1000:g} mW",
        "board.date": parameters.date,
        "order.legend": parameters.legend_colour,
    }


def _text(value: object, notes: tuple[object, ...]) -> str:
    for note in notes:
        if isinstance(note, Quantity):
            if isinstance(value, tuple):
                return "[" + ", ".join(f'"{_quantity(part, note)}"' for part in value) + "]"
            if isinstance(value, float | int):
                return f'"{_quantity(value, note)}"'
        if isinstance(note, Rows) and isinstance(value, tuple):
            pairs = (
                ", ".join(
                    f'"{_quantity(part, each)}"' for part, each in zip(pair, note.each, strict=True)
                )
                for pair in value
            )
            return "[" + ", ".join(f"[{pair}]" for pair in pairs) + "]"
    return _toml(value)


def _quantity(value: float, note: Quantity) -> str:
    """Write a value so that reading gives the very same number again."""
    if note.dimension is units.RATIO:
        return f"{round(value * 100, 12):.15g} %"
    return f"{value:.15g} {note.dimension.base}"


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_toml, value)) + "]"
    if isinstance(value, Mapping):
        inside = ", ".join(f"{validation.dotted((key,))} = {_toml(part)}"
                           for key, part in value.items())  # fmt: skip
        return "{ " + inside + " }"
    return str(value)

"""The parameter file's JSON Schema, made from the same records that validate it."""

import dataclasses
from collections.abc import Callable, Iterable
from decimal import Decimal
from typing import Any, get_args, get_origin

from boardgen import units
from boardgen.model.fields import (
    Choice,
    Name,
    PartOf,
    Quantity,
    Rows,
    Switch,
    Whole,
    Words,
    bound,
    key_of,
)
from boardgen.model.form_section import FormSection
from boardgen.model.sections import FamilySection
from boardgen.reading import catalogue, footprints, guards
from boardgen.reading.ranges import between
from boardgen.reading.sections import ParameterFile
from boardgen.reading.validation import AUTO, inner_dataclass, listed_dataclass, noted_fields
from boardgen.standards.screws import SCREWS

Schema = dict[str, Any]

_DRAFT = "https://json-schema.org/draft/2020-12/schema"


def parameter_schema() -> Schema:
    """Describe the parameter file.

    Returns
    -------
    dict
        A JSON Schema (draft 2020-12). Editors complete keys and words from it; what depends on
        several keys together is checked by boardgen only.
    """
    schema = _table(ParameterFile)
    schema["properties"]["family"] = _family()
    return {
        "$schema": _DRAFT,
        "title": "boardgen parameter file, format 1",
        **schema,
    }


def catalogue_names() -> dict[tuple[str, str], Iterable[str]]:
    """List the catalogue's names by the section and key that take them."""
    return {
        ("SupplySection", "from"): catalogue.supplies(),
        ("LightSection", "led"): catalogue.leds(),
        ("LightSection", "as_bright_as"): catalogue.leds(),
        ("ProtectionSection", "fuse"): guards.fuse_names(),
        ("ConnectorSection", "kind"): footprints.connector_names(),
        ("ConnectorSection", "switch"): footprints.switch_names(),
        ("MountingSection", "screw"): SCREWS,
        ("OrderSection", "house"): catalogue.house_names(),
    }


def _table(cls: type, *, partly: bool = False) -> Schema:
    properties: Schema = {}
    required = []
    for field, annotation, notes in noted_fields(cls):
        if partly and not notes:
            continue
        key = key_of(field.name, notes)
        properties[key] = _value(cls, key, annotation, notes)
        optional = partly or (
            field.default is not dataclasses.MISSING
            or field.default_factory is not dataclasses.MISSING
        )
        if not optional:
            required.append(key)
        elif _shown_default(field.default, notes) is not None:
            properties[key]["default"] = _shown_default(field.default, notes)
    schema: Schema = {
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
    }
    if cls.__doc__ and not partly:
        schema["description"] = cls.__doc__.partition("\n")[0].replace("``", "")
    if required:
        schema["required"] = required
    return _by_form(schema) if cls is FormSection else schema


def _by_form(schema: Schema) -> Schema:
    """Ask for places where they are given, and for a pitch everywhere else."""
    spelled = dict(schema["properties"]["places"])
    listed = {"type": "string", "pattern": r"\.csv$"}
    places = {"description": spelled.pop("description"), "anyOf": [spelled, listed]}
    given = {"properties": {"kind": {"const": "places"}}, "required": ["kind"]}
    return {
        **schema,
        "properties": {**schema["properties"], "places": places},
        "required": [key for key in schema["required"] if key != "pitch"],
        "if": given,
        "then": {"required": ["places"]},
        "else": {"required": ["pitch"]},
    }


def _value(cls: type, key: str, annotation: Any, notes: tuple[Any, ...]) -> Schema:  # noqa: ANN401 - typing forms
    if notes:
        return _noted(cls, key, annotation, notes[0])
    if get_origin(annotation) is dict:
        inside = get_args(annotation)[1]
        if get_args(inside):
            return {"type": "object", "additionalProperties": _WRITERS[Words](get_args(inside)[1])}
        return {"type": "object", "additionalProperties": _table(inside)}
    listed = listed_dataclass(annotation)
    if listed:
        return {"type": "array", "items": _table(listed)}
    inner = inner_dataclass(annotation)
    if inner is None:
        raise TypeError(f"{cls.__name__}.{key} carries no record")
    return _table(inner)


def _noted(cls: type, key: str, annotation: Any, note: Any) -> Schema:  # noqa: ANN401 - typing forms
    if isinstance(note, PartOf):
        return {**_table(note.cls, partly=True), "description": note.help}
    if isinstance(note, Name):
        return _named(note, catalogue_names().get((cls.__name__, key), ()))
    one = _WRITERS[type(note)](note)
    if get_origin(annotation) is tuple:
        return {"type": "array", "items": one, "description": note.help}
    said = "; ".join(filter(None, (note.help, one.get("description", ""))))
    return {**one, "description": said}


def _shown_default(default: object, notes: tuple[Any, ...]) -> object:
    if default is None or default is dataclasses.MISSING or default == ():
        return None
    for note in notes:
        if isinstance(note, Quantity) and isinstance(default, float):
            return bound(default, note.dimension)
    return default


def _quantity(note: Quantity) -> Schema:
    """Bound a number for each size of unit: the text has both, and boardgen reads them alike."""
    least, most = Decimal(repr(note.minimum)), Decimal(repr(note.maximum))
    ways = []
    for factor in dict.fromkeys(note.dimension.units.values()):
        units_ = [unit for unit, size in note.dimension.units.items() if size == factor]
        written = "|".join(sorted(map(_escaped, units_), key=len, reverse=True))
        ways.append(rf"{between(least / factor, most / factor)}\s*(?:{written})")
    if note.dimension is units.RESISTANCE:
        ways.append(r"\d+[RkKM]\d+")
    first, last = bound(note.minimum, note.dimension), bound(note.maximum, note.dimension)
    return {
        "type": "string",
        "pattern": rf"^\s*(?:{'|'.join(ways)})\s*$|^{AUTO}$"
        + (f"|^{note.word}$" if note.word else ""),
        "examples": [note.dimension.example],
        "description": f"{first} to {last}",
    }


def _escaped(unit: str) -> str:
    return unit.replace("°", "\\u00b0") if "°" in unit else unit


def _whole(note: Whole) -> Schema:
    number = {"type": "integer", "minimum": note.minimum, "maximum": note.maximum}
    return {"anyOf": [number, {"const": AUTO}]}


def _choice(note: Choice) -> Schema:
    words = {"enum": [*note.words, AUTO]}
    return {"anyOf": [words, _quantity(note.quantity)]} if note.quantity else words


def _words(note: Words) -> Schema:
    found: Schema = {"type": "string", "minLength": 1, "maxLength": note.longest}
    if note.pattern:
        found["pattern"] = f"^({note.pattern}|{AUTO})$"
    return found


def _named(note: Name, names: Iterable[str]) -> Schema:
    """Offer the catalogue's names, but take others: case and blanks do not matter."""
    known = [*names, AUTO]
    return {"anyOf": [{"enum": known}, {"type": "string"}], "description": note.help}


def _switch(_: Switch) -> Schema:
    return {"enum": [True, False, AUTO]}


def _row(note: Rows) -> Schema:
    return {
        "type": "array",
        "prefixItems": [_quantity(each) for each in note.each],
        "minItems": len(note.each),
        "maxItems": len(note.each),
    }


_WRITERS: dict[type, Callable[[Any], Schema]] = {
    Quantity: _quantity,
    Whole: _whole,
    Choice: _choice,
    Words: _words,
    Switch: _switch,
    Rows: _row,
}


def _family() -> Schema:
    schema = _table(FamilySection)
    open_table: Schema = {"type": "object"}
    rule: Schema = {"type": "object", "required": ["where"], "properties": {"where": open_table}}
    schema["properties"] |= {
        "vary": {**open_table, "description": "dotted keys, each with a list of values"},
        "change": {"type": "array", "items": rule, "description": "other values where …"},
        "skip": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["where", "reason"],
                "properties": {"where": open_table, "reason": {"type": "string"}},
                "additionalProperties": False,
            },
            "description": "members that are not wanted, with the reason",
        },
    }
    return schema

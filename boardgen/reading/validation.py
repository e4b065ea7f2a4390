"""Turns the model's field records into validators, and pydantic's errors into sentences."""

import dataclasses
import math
import re
import types
from collections.abc import Callable
from datetime import date
from functools import cache
from typing import (
    Annotated,
    Any,
    NotRequired,
    Required,
    TypeVar,
    Union,
    get_args,
    get_origin,
)
from typing import get_type_hints as type_hints

from pydantic import BeforeValidator, ConfigDict, TypeAdapter, ValidationError
from pydantic_core import PydanticCustomError
from typing_extensions import TypedDict

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
from boardgen.reading.meant import nearest, number_of

AUTO = "auto"

T = TypeVar("T")

_FAR = 1e9
"""Beyond this many times a bound a number is not worth repeating."""

Location = tuple[str | int, ...]


def _refuse(sentence: str) -> PydanticCustomError:
    return PydanticCustomError("boardgen", "{sentence}", {"sentence": sentence})


def _quantity(note: Quantity) -> Callable[[object], float]:
    def validate(value: object) -> float:
        if isinstance(value, float) and not math.isfinite(value):
            raise _refuse(f'wants {note.dimension.name}, like "{note.dimension.example}"')
        if isinstance(value, int | float) and not isinstance(value, bool):
            if abs(value) > note.maximum * _FAR:
                raise _refuse(f'wants {note.dimension.name}, like "{note.dimension.example}"')
            raise _refuse(
                units.bare_number(float(value), note.dimension, note.minimum, note.maximum)
            )
        if not isinstance(value, str):
            raise _refuse(f'wants {note.dimension.name}, like "{note.dimension.example}"')
        try:
            number = units.parse(value, note.dimension)
        except ValueError as error:
            raise _refuse(str(error)) from None
        low, high = (bound(side, note.dimension) for side in (note.minimum, note.maximum))
        if number > note.maximum and note.beyond:
            raise _refuse(f"{value} is too much: {note.beyond}")
        if not note.minimum <= number <= note.maximum:
            raise _refuse(f"{value} is outside {low} to {high}")
        return number

    return validate


def _whole(note: Whole) -> Callable[[object], int]:
    def validate(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            meant = number_of(value) if isinstance(value, str) else None
            if meant is None and isinstance(value, float) and value.is_integer():
                meant = int(value)
            raise _refuse(
                f"wants a whole number without quotes, not {value!r}"
                + ("" if meant is None else f"; write {meant}")
            )
        if not note.minimum <= value <= note.maximum:
            if note.minimum == note.maximum:
                raise _refuse(f"{value} is not known; only {note.minimum} is")
            shown = value if abs(value) <= note.maximum * _FAR else "this number"
            raise _refuse(f"{shown} is outside {note.minimum} to {note.maximum}")
        return value

    return validate


def _choice(note: Choice) -> Callable[[object], str]:
    def validate(value: object) -> str:
        if not isinstance(value, str):
            raise _refuse(f"wants a word in quotes: {' or '.join(note.words)}")
        if note.quantity and re.match(r"[+-]?[\d.]", value.strip()):
            number = _quantity(note.quantity)(value)
            return f"{number:g} {note.quantity.dimension.base}"
        if value.strip().lower() not in note.words_lower:
            raise _refuse(f"{value!r} is not one of them; {nearest(str(value), note.words)}")
        return note.words[note.words_lower.index(value.strip().lower())]

    return validate


def _words(note: Words) -> Callable[[object], str]:
    def validate(value: object) -> str:
        if not isinstance(value, str):
            raise _refuse(f'wants text in quotes, like "{value}"')
        text = value.strip()
        if not text:
            raise _refuse("is empty")
        if any(not letter.isprintable() for letter in text):
            raise _refuse("holds a line break or another control character; write one plain line")
        if len(text) > note.longest:
            raise _refuse(f"has {len(text)} letters; at most {note.longest} fit")
        if note.pattern and not re.fullmatch(note.pattern, text):
            day = iso_day(text)
            meant = f'; write "{day}"' if day else ""
            raise _refuse(f"{text!r} is not {note.pattern_words}{meant}")
        return text

    return validate


def _name(note: Name) -> Callable[[object], str]:
    words = _words(Words(help=""))

    def validate(value: object) -> str:
        if not isinstance(value, str):
            if value is False and note.none:
                raise _refuse('wants a name in quotes; write "none", or leave the line out')
            if isinstance(value, list):
                raise _refuse("takes one name, not a list")
            like = f', such as "{note.example}"' if note.example else ""
            raise _refuse(f"wants a name in quotes{like}: {note.help}; boardgen parts lists them")
        return words(value)

    return validate


def _switch(_: Switch) -> Callable[[object], bool]:
    def validate(value: object) -> bool:
        if not isinstance(value, bool):
            raise _refuse(f"wants true or false without quotes, not {value!r}")
        return value

    return validate


def _row(note: Rows) -> Callable[[object], tuple[float, ...]]:
    readers = [_quantity(quantity) for quantity in note.each]
    like = ", ".join(f'"{quantity.dimension.example}"' for quantity in note.each)
    many = {2: "two", 3: "three"}[len(readers)]

    def validate(value: object) -> tuple[float, ...]:
        if not isinstance(value, list) or len(value) != len(readers):
            raise _refuse(f"wants {many} values, like [{like}]")
        return tuple(read(part) for read, part in zip(readers, value, strict=True))

    return validate


_VALIDATORS: dict[type, Callable[[Any], Callable[[object], object]]] = {
    Quantity: _quantity,
    Whole: _whole,
    Choice: _choice,
    Words: _words,
    Name: _name,
    Switch: _switch,
    Rows: _row,
}


def _table(value: object) -> object:
    """Drop what says "auto": the same as leaving the key out."""
    if isinstance(value, str) and re.fullmatch(r"[\d.]+ ?m?V", value):
        raise _refuse(
            'wants a table; write: { at = "20 mA", min = "…", typical = "'
            + value
            + '", max = "…" }, from the data sheet'
        )
    if not isinstance(value, dict):
        raise _refuse("wants a table: a [section], or { key = value, … }")
    return {key: part for key, part in value.items() if part != AUTO}


def inner_dataclass(annotation: Any) -> type | None:  # noqa: ANN401 - any annotation may come
    """Find the dataclass that an annotation stands for, optional or not."""
    if get_origin(annotation) in (Union, types.UnionType):
        annotation = next(part for part in get_args(annotation) if part is not type(None))
    if isinstance(annotation, type) and dataclasses.is_dataclass(annotation):
        return annotation
    return None


def listed_dataclass(annotation: Any) -> type | None:  # noqa: ANN401 - any annotation may come
    """Find the dataclass of which an annotation wants any number: an array of tables."""
    if get_origin(annotation) is tuple:
        return inner_dataclass(get_args(annotation)[0])
    return None


def noted_fields(cls: type) -> list[tuple["dataclasses.Field[Any]", Any, tuple[Any, ...]]]:
    """List a class's fields with their bare annotation and the records that stand beside it."""
    hints = type_hints(cls, include_extras=True)
    found: list[tuple[dataclasses.Field[Any], Any, tuple[Any, ...]]] = []
    for field in dataclasses.fields(cls):
        annotation, notes = hints[field.name], ()
        if get_origin(annotation) is Annotated:
            annotation, *rest = get_args(annotation)
            notes = tuple(rest)
        found.append((field, annotation, notes))
    return found


@cache
def _schema(cls: type, *, partly: bool = False) -> Any:  # noqa: ANN401 - a TypedDict built at run time has no static type
    """Build the validating type of a section from its dataclass."""
    keys: dict[str, Any] = {}
    for field, annotation, notes in noted_fields(cls):
        if partly and not notes:
            continue
        needed = NotRequired if partly else _needed(field)
        keys[key_of(field.name, notes)] = needed[_value_type(annotation, notes)]
    table = TypedDict(cls.__name__, keys)  # type: ignore[misc] # keys are known only here
    table.__pydantic_config__ = ConfigDict(extra="forbid")  # type: ignore[attr-defined]
    return Annotated[table, BeforeValidator(_table)]


def _needed(field: "dataclasses.Field[Any]") -> Any:  # noqa: ANN401 - a typing form
    optional = (
        field.default is not dataclasses.MISSING or field.default_factory is not dataclasses.MISSING
    )
    return NotRequired if optional else Required


def _value_type(annotation: Any, notes: tuple[Any, ...]) -> Any:  # noqa: ANN401 - typing forms
    for note in notes:
        if isinstance(note, PartOf):
            return _schema(note.cls, partly=True)
        validator = BeforeValidator(_VALIDATORS[type(note)](note))
        if get_origin(annotation) is tuple:
            return list[Annotated[Any, validator]]
        return Annotated[Any, validator]
    if get_origin(annotation) is dict:
        inside = get_args(annotation)[1]
        if get_origin(inside) is Annotated:
            inside, *rest = get_args(inside)
            return dict[str, _value_type(inside, tuple(rest))]  # type: ignore[misc]
        return dict[str, _schema(inside)]  # type: ignore[misc]
    listed = listed_dataclass(annotation)
    inner = listed or inner_dataclass(annotation)
    plain = _schema(inner) if inner else annotation
    return list[plain] if listed else plain  # type: ignore[valid-type]


@cache
def _adapter(cls: type, *, partly: bool = False) -> TypeAdapter[Any]:
    """Keep the adapter: building it costs far more than one validation."""
    return TypeAdapter(_schema(cls, partly=partly))


def validate(cls: type[T], raw: dict[str, Any]) -> T | ValidationError:
    """Check a raw table against a dataclass's fields.

    Parameters
    ----------
    cls : type
        A frozen dataclass whose fields carry records of ``model.fields``.
    raw : dict
        What ``tomllib`` read.

    Returns
    -------
    instance of cls, or ValidationError
        The error holds everything that is wrong, not only the first.
    """
    try:
        return _build(cls, _adapter(cls).validate_python(raw))  # type: ignore[arg-type] # classes are hashable
    except ValidationError as error:
        return error


def validate_part(cls: type, raw: dict[str, Any]) -> dict[str, Any] | ValidationError:
    """Check a table that gives some of a class's fields; return them by their field names."""
    try:
        return _part(cls, _adapter(cls, partly=True).validate_python(raw))
    except ValidationError as error:
        return error


def _part(cls: type, values: dict[str, Any]) -> dict[str, Any]:
    names = {key_of(field.name, notes): field.name for field, _, notes in noted_fields(cls)}
    return {names[key]: value for key, value in values.items()}


def _build(cls: type[T], values: dict[str, Any]) -> T:
    ready: dict[str, Any] = {}
    for field, annotation, notes in noted_fields(cls):
        key = key_of(field.name, notes)
        if key in values:
            ready[field.name] = _value(annotation, notes, values[key])
    return cls(**ready)


def _value(annotation: Any, notes: tuple[Any, ...], value: Any) -> Any:  # noqa: ANN401 - typing forms
    if notes and isinstance(notes[0], PartOf):
        return _part(notes[0].cls, value)
    inner, listed = inner_dataclass(annotation), listed_dataclass(annotation)
    if inner:
        return _build(inner, value)
    if listed:
        return tuple(_build(listed, part) for part in value)
    if get_origin(annotation) is dict:
        inside = get_args(annotation)[1]
        if get_origin(inside) is Annotated:
            return dict(value)
        return {name: _build(inside, part) for name, part in value.items()}
    return tuple(value) if isinstance(value, list) else value


def keys_of(cls: type) -> tuple[str, ...]:
    """List the keys that a section may hold."""
    return tuple(key_of(field.name, notes) for field, _, notes in noted_fields(cls))


def wants_text(cls: type, path: Location) -> bool:
    """Tell whether the value at a path is one text."""
    for name in path:
        for field, annotation, notes in noted_fields(cls):
            if key_of(field.name, notes) == name:
                if notes:
                    plain = get_origin(annotation) is not tuple
                    return plain and isinstance(notes[0], Choice | Name | Words | Quantity)
                cls = inner_dataclass(annotation) or cls
                break
    return False


def iso_day(text: str) -> str:
    """Turn a day such as 27.11.2026 or 27/11/2026 into 2026-11-27; empty when it is none."""
    found = re.fullmatch(r"(\d{1,2})[./](\d{1,2})[./](\d{4})", text)
    if not found:
        return ""
    try:
        return date(int(found[3]), int(found[2]), int(found[1])).isoformat()
    except ValueError:
        return ""


def dotted(location: Location) -> str:
    """Write a location as TOML would: names with blanks in quotes.

    Examples
    --------
    >>> dotted(("led", "my white", "vf", "min"))
    'led."my white".vf.min'
    """
    plain = re.compile(r"[A-Za-z0-9_-]+")
    return ".".join(str(part) if plain.fullmatch(str(part)) else f'"{part}"' for part in location)

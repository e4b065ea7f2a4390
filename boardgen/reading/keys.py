"""Every key of the parameter file for people, made from the records that validate it."""

import dataclasses
from collections.abc import Iterator
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
from boardgen.model.key import Key
from boardgen.model.sections import FamilySection
from boardgen.reading.schema import catalogue_names
from boardgen.reading.sections import ParameterFile
from boardgen.reading.validation import inner_dataclass, listed_dataclass, noted_fields

_FIRST = "0.1"
_SINCE = {
    "0.3": (
        "board.ambient_low", "board.place", "supply.max_current", "supply.delivers",
        "light.as_bright_as", "light.plane", "light.diffuser", "light.evenness", "led.NAME.points",
        "led.NAME.per_kelvin", "led.NAME.thermal", "led.NAME.max_junction", "resistor.per_branch",
        "resistor.shared", "protection.reverse", "protection.fuse", "limits.hole_most",
        "limits.hole_aspect", "limits.router", "limits.legend_edge", "limits.stencil",
        "limits.paste_area", "limits.paste_aspect", "limits.acute", "limits.entry",
        "limits.shade_share", "limits.fuse_drop", "waive.code", "waive.reason", "waive.place",
    ),
    "0.14": ("form.from", "form.to", "form.sides", "form.fillet", "form.points", "form.closed",
             "form.filling", "form.text", "form.height"),
    "0.15": ("form.circles", "form.circle_pitch", "form.facing", "form.line", "form.outline",
             "mounting.circle", "mounting.count", "mounting.from"),
    "0.16": ("mounting.every",),
    "0.17": ("joint.boards", "joint.first"),
    "0.12": ("form.places", "form.margin"),
    "0.8": ("form.diameter", "form.hole"),
    "0.7": ("built.resistors",),
    "0.6": ("supply.kind", "built.ballasts", "limits.hold", "limits.board_warm",
            "limits.board_most"),
}  # fmt: skip
"""Keys that came after the first version."""


def keys() -> tuple[Key, ...]:
    """List every key, section by section, in the order in which it is declared."""
    since = {path: version for version, paths in _SINCE.items() for path in paths}
    return tuple(
        dataclasses.replace(key, since=since.get(key.path, _FIRST))
        for key in (*_of(ParameterFile, ""), *_of(FamilySection, "family."))
    )


def _of(cls: type, before: str, *, partly: bool = False) -> Iterator[Key]:
    for field, annotation, notes in noted_fields(cls):
        if partly and not notes:
            continue
        path = before + key_of(field.name, notes)
        if notes and isinstance(notes[0], PartOf):
            yield from _of(notes[0].cls, f"{path}.", partly=True)
        elif notes:
            yield _key(cls, field, annotation, path, notes[0], partly=partly)
        elif get_origin(annotation) is dict:
            inside = get_args(annotation)[1]
            if get_args(inside):
                yield _key(cls, field, annotation, f"{path}.NAME", get_args(inside)[1])
            else:
                yield from _of(inside, f"{path}.NAME.")
        else:
            inner = listed_dataclass(annotation) or inner_dataclass(annotation)
            if inner:
                yield from _of(inner, f"{path}.")


def _key(
    cls: type, field: "dataclasses.Field[Any]", annotation: Any, path: str, note: Any,  # noqa: ANN401
    *, partly: bool = False,
) -> Key:  # fmt: skip
    many = get_origin(annotation) is tuple
    example = _example(note, _names(cls, path), str(field.default))
    return Key(
        path=path,
        meaning=note.help,
        unit=_unit(note),
        default="the house's" if partly else _default(field, note),
        allowed=_allowed(note, many=many),
        example=f"[{example}]" if many and not isinstance(note, Rows) else example,
        since=_FIRST,
    )


def _names(cls: type, path: str) -> tuple[str, ...]:
    return tuple(catalogue_names().get((cls.__name__, path.rpartition(".")[2]), ()))


def _unit(note: object) -> str:
    if isinstance(note, Quantity):
        return ", ".join(note.dimension.units)
    if isinstance(note, Rows):
        return ", ".join(dict.fromkeys(u for each in note.each for u in each.dimension.units))
    return ""


def _default(field: "dataclasses.Field[Any]", note: object) -> str:
    if field.default is dataclasses.MISSING:
        return "" if field.default_factory is not dataclasses.MISSING else "needed"
    if field.default is None or field.default == ():
        return ""
    if isinstance(note, Quantity) and isinstance(field.default, float):
        return bound(field.default, note.dimension)
    if isinstance(field.default, bool):
        return str(field.default).lower()
    return str(field.default)


def _allowed(note: object, *, many: bool) -> str:
    if isinstance(note, Quantity):
        low, high = (bound(side, note.dimension) for side in (note.minimum, note.maximum))
        return f"{'each ' if many else ''}{low} to {high}" + (
            f", or {note.word}" if note.word else ""
        )
    if isinstance(note, Words):
        return note.pattern_words or f"text of at most {note.longest} letters"
    if isinstance(note, Whole):
        return f"{note.minimum} to {note.maximum}"
    if isinstance(note, Name):
        return f"a name{', or none' if note.none else ''}; boardgen parts lists them"
    if isinstance(note, Rows):
        return {2: "a list of pairs", 3: "a list of threes"}[len(note.each)]
    return _words_of(note) if isinstance(note, Choice) else "true | false"


def _words_of(note: Choice) -> str:
    return " | ".join(note.words) + (", or an angle" if note.quantity else "")


def _example(note: object, names: tuple[str, ...], default: str) -> str:
    if isinstance(note, Rows):
        each = ", ".join(f'"{part.dimension.example}"' for part in note.each)
        return f"[[{each}]]"
    if isinstance(note, Whole):
        return str(min(note.maximum, max(note.minimum, 2)))
    if isinstance(note, Switch):
        return str(note.example).lower()
    if isinstance(note, Quantity):
        return f'"{_middle(note)}"'
    return f'"{_word(note, names, default)}"'


def _word(note: object, names: tuple[str, ...], default: str) -> str:
    """Take a word that is not the default, which needs no line."""
    if isinstance(note, Choice):
        return next((word for word in note.words if word != default), note.words[0])
    if isinstance(note, Words):
        return note.example
    return names[0] if names else getattr(note, "example", "")


def _middle(note: Quantity) -> str:
    """Take the dimension's usual example where it is allowed, else the lower bound."""
    if note.minimum <= units.parse(note.dimension.example, note.dimension) <= note.maximum:
        return note.dimension.example
    return bound(note.minimum, note.dimension)

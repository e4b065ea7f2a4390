"""Errors of a validation told as sentences: what is wrong, and what to write instead."""

import json
import re
from typing import get_args, get_origin

from pydantic import ValidationError

from boardgen.errors import Problem
from boardgen.model.fields import PartOf, key_of
from boardgen.reading.meant import key_meant, nearest
from boardgen.reading.validation import (
    Location,
    dotted,
    inner_dataclass,
    keys_of,
    listed_dataclass,
    noted_fields,
)


def _known_keys(cls: type, location: Location) -> tuple[str, ...]:
    for name in location:
        for field, annotation, notes in noted_fields(cls):
            if key_of(field.name, notes) != name:
                continue
            if notes and isinstance(notes[0], PartOf):
                return tuple(
                    key_of(part.name, own) for part, _, own in noted_fields(notes[0].cls) if own
                )
            inside = get_args(annotation)[1] if get_origin(annotation) is dict else annotation
            cls = inner_dataclass(inside) or listed_dataclass(inside) or cls
            break
    return keys_of(cls)


def known_keys(cls: type, location: Location) -> tuple[str, ...]:
    """List the keys that may follow a location; none where a name is free or a value stands."""
    free = False
    for name in location:
        found = next(
            (
                (annotation, notes)
                for field, annotation, notes in noted_fields(cls)
                if not free and key_of(field.name, notes) == name
            ),
            None,
        )
        if free:
            free = False
            continue
        if found is None:
            return ()
        annotation, notes = found
        if notes and isinstance(notes[0], PartOf):
            return _known_keys(cls, (name,))
        if get_origin(annotation) is dict:
            inside = inner_dataclass(get_args(annotation)[1])
            free = True
        elif listed_dataclass(annotation):
            inside, free = listed_dataclass(annotation), True
        else:
            inside = inner_dataclass(annotation)
        if inside is None:
            return ()
        cls = inside
    return () if free else keys_of(cls)


def _listed(location: Location, value: object) -> str:
    """Tell where a list of plain values belongs that stands where one value is wanted."""
    inside_a_list = isinstance(location[-1], int) if location else False
    if not isinstance(value, list) or not value or len(value) > _MOST_LISTED or inside_a_list:
        return ""
    if not all(isinstance(one, str | int | float) for one in value):
        return ""
    shown = ", ".join(json.dumps(one, ensure_ascii=False) for one in value)
    return f"for a board for each, write under [family.vary]: {dotted(location)} = [{shown}]"


_MOST_LISTED = 20


def _to_write(location: Location) -> str:
    """Tell what to write where something is missing: a line by its example, or a section."""
    from boardgen.reading.keys import keys  # noqa: PLC0415 - made of this module's own records

    words = [str(part) for part in location]
    for key in keys():
        parts = key.path.split(".")
        pairs = zip(parts, words, strict=False)
        if len(parts) == len(words) and all(part in (word, "NAME") for part, word in pairs):
            return f"write a line like: {words[-1]} = {key.example}"
    return f"add a section [{dotted(location)}]"


def _another_key(location: Location) -> str:
    """Name the keys that an everyday word means, or that stand in another section."""
    from boardgen.reading.keys import keys  # noqa: PLC0415 - made of this module's own records

    meaning = {key.path: key.meaning for key in keys()}
    paths = key_meant([str(part) for part in location], meaning)
    told = " or ".join(f"{path} ({meaning[path].partition(';')[0]})" for path in paths)
    return f"did you mean {told}?" if told else ""


def sentences(
    cls: type, error: ValidationError, before: Location = ()
) -> list[tuple[Location, Problem]]:
    """Tell every error of a validation as a problem with its location, below that of its table."""
    found = []
    for entry in error.errors():
        location = tuple(entry["loc"])
        what, remedy = entry["msg"], ""
        if entry["type"] == "boardgen":
            remedy = _listed((*before, *location), entry["input"])
        if entry["type"] == "missing":
            what, remedy = "is missing", _to_write((*before, *location))
        elif entry["type"] == "extra_forbidden":
            known = _known_keys(cls, location[:-1])
            what = "is not a known key"
            remedy = _another_key((*before, *location)) or nearest(str(location[-1]), known)
            if _listed(location, entry["input"]):
                remedy += "; " + _listed(("board", "title"), entry["input"])
        elif entry["type"] == "list_type":
            what, remedy = "wants a list", "write its values in square brackets, with commas"
            if isinstance(entry["input"], str) and re.search(r"\d", entry["input"]):
                values = [part.strip() for part in re.split(r"[,;]", entry["input"])]
                listed = ", ".join(f'"{value}"' for value in values if value)
                remedy = f"write: {location[-1]} = [{listed}]"
        elif entry["type"] == "dict_type":
            what, remedy = "wants a table", "write a [section] with keys and values"
        found.append((location, Problem(what=what, remedy=remedy, path=dotted(location))))
    return found

"""Changes of a parameter file that are tried without writing it: ``light.count=12``."""

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from boardgen.errors import Problem, RefusalError
from boardgen.reading import catalogue, validation
from boardgen.reading.sections import ParameterFile

_EITHER = (
    (("supply", "from"), (("supply", "low"), ("supply", "nominal"), ("supply", "high"))),
    (("resistor", "drawer"), (("resistor", "series"),)),
    (("mounting", "at"), (("mounting", "places"),)),
)
"""Keys of which a file holds the one or the others: setting one drops what it replaces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """A key and the value that it is to have."""

    path: tuple[str, ...]
    value: object

    def __str__(self) -> str:
        return f"{'.'.join(self.path)} = {self.value}"


def settings(texts: Iterable[str]) -> tuple[Setting, ...]:
    """Read texts such as ``supply.from=usb 5 V``; quotes around the value may be left out.

    Raises
    ------
    RefusalError
        When a text is no key and value.
    """
    found = []
    for text in texts:
        key, equals, value = text.partition("=")
        path = tuple(part.strip() for part in key.split("."))
        if not equals or len(path) < 2 or not all(path):  # noqa: PLR2004 - section and key
            raise RefusalError(
                Problem(
                    what=f'"{text}" is no dotted key and value',
                    remedy="write it like --set light.count=12",
                    file="--set",
                )
            )
        found.append(Setting(path=path, value=_value(path, value.strip())))
    return tuple(found)


def _value(path: tuple[str, ...], text: str) -> object:
    """Read a value as the file would; what a shell took the quotes from is text where text goes."""
    if validation.wants_text(ParameterFile, path) and not text.startswith(('"', "'")):
        return text
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        return text


def apply(tables: dict[str, Any], changes: Sequence[Setting]) -> None:
    """Put changes into a board's plain tables."""
    given = {change.path for change in changes}
    for change in changes:
        for path in _replaced(change):
            if path not in given:
                tables.get(path[0], {}).pop(path[1], None)
        inner = tables
        for key in change.path[:-1]:
            below = inner.setdefault(key, {})
            if not isinstance(below, dict):
                raise RefusalError(
                    Problem(what=f"{change} points below a plain value", file="--set")
                )
            inner = below
        inner[change.path[-1]] = change.value


def _replaced(change: Setting) -> Iterable[tuple[str, str]]:
    """List the keys that a change takes the place of."""
    for one, others in _EITHER:
        if change.path == one:
            yield from others
        elif change.path in others:
            yield one
    if change.path == ("light", "use"):
        yield "light", "current"
    if change.path == ("supply", "from"):
        yield "supply", "kind"
        kinds = [
            supply.kind for name, supply in catalogue.supplies().items()
            if catalogue.plain(name) == catalogue.plain(str(change.value))
        ]  # fmt: skip
        if kinds and not kinds[0].counted:
            yield "supply", "cells"
    elif change.path in _EITHER[0][1]:
        yield "supply", "cells"


def as_tried(refusal: RefusalError, changes: Sequence[Setting]) -> RefusalError:
    """Let what was tried stand for the file in the problems that it made."""
    paths = {".".join(change.path) for change in changes}
    return RefusalError(
        *(
            replace(problem, file="--set", line=0) if problem.path in paths else problem
            for problem in refusal.problems
        )
    )

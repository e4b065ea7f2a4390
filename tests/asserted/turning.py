"""What an assertion of a copied test asks instead: whether it holds, and whether it does turned."""

import operator
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import Any

TURNED: dict[str, Callable[[Any, Any], Any]] = {
    "Eq": operator.eq,
    "Is": operator.is_,
    "In": lambda left, right: left in right,
}
"""Comparisons that name the value they expect."""
_seen: set[tuple[str, str]] = set()


def _note(what: str, place: str) -> None:
    if (what, place) not in _seen:
        _seen.add((what, place))
        path = Path(__file__).parent / f"{os.getpid()}-{what}.txt"
        with path.open("a", encoding="utf-8") as file:
            file.write(f"{place}\n")


def reached(place: str) -> None:
    """Note that an assertion held."""
    _note("reached", place)


def held(place: str, op: str, left: object, right: object) -> object:
    """Ask a comparison as it stands, then with its expected value turned."""
    result = TURNED[op](left, right)
    if result:
        reached(place)
        if _holds_turned(op, left, right):
            _note("still", place)
    return result


def _holds_turned(op: str, left: object, right: object) -> bool:
    try:
        if op == "In":
            return bool(TURNED[op](left + "¬" if isinstance(left, str) else _ANOTHER, right))
        return bool(TURNED[op](left, turned(right)))
    except (TypeError, ValueError, AttributeError):
        return False


@dataclass(frozen=True)
class _Another:
    """A value that no test expects."""


_ANOTHER = _Another()


_TURNS: tuple[tuple[tuple[type, ...], Callable[[Any], Any]], ...] = (
    ((bool,), operator.not_),
    ((int, float), lambda value: 2 * value + 1),
    ((str,), lambda value: value + "¬"),
    ((bytes,), lambda value: value + b"!"),
    ((list, tuple), lambda value: type(value)([*value, _ANOTHER])),
    ((set, frozenset), lambda value: value | {_ANOTHER}),
    ((dict,), lambda value: {**value, _ANOTHER: _ANOTHER}),
    ((PurePath,), lambda value: value / "another"),
)


def turned(value: Any) -> Any:
    """Make another value of the same kind."""
    if type(value).__name__ == "ApproxScalar":
        return type(value)(2 * value.expected + 1, rel=value.rel, abs=value.abs)
    turns = (turn for types, turn in _TURNS if isinstance(value, types))
    return next(turns, lambda _: _ANOTHER)(value)

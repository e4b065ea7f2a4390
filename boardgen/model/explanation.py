"""The sums, step by step, as data."""

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from boardgen.errors import RefusalError
from boardgen.model.parameters import Parameters


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One quantity: how it follows, what came out, what it must keep.

    ``key`` names the quantity with its unit (``ballast_wanted_ohm``), ``subject`` whose it is when
    there are several; ``value`` is the number as used, unrounded; the texts are for people, and
    ``numbers`` is what the formula becomes with numbers put in. ``points`` are pairs for a curve.
    """

    key: str
    title: str
    formula: str
    numbers: str
    value: float
    result: str
    limit: str = ""
    margin: str = ""
    source: str = ""
    subject: str = ""
    points: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sums:
    """A board's sums: in six lines (pairs of a word and a sentence), and step by step.

    ``refusal`` says why no board could be laid out; the sums then end with the circuit.
    """

    parameters: Parameters
    short: tuple[tuple[str, str], ...]
    steps: tuple[Step, ...]
    refusal: RefusalError | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """What a change of the file does to one result; "-" where there is none."""

    title: str
    before: str
    after: str


Key = TypeVar("Key", bound=Hashable)
Entry = TypeVar("Entry")

_ABSENT = "-"


def differences(
    before: Mapping[Key, Entry],
    after: Mapping[Key, Entry],
    shown: Callable[[Entry], tuple[str, str]],
) -> list[Difference]:
    """List entries that are shown otherwise, in the order of the first mapping."""
    found = []
    for key in dict.fromkeys((*before, *after)):
        old = shown(before[key]) if key in before else None
        new = shown(after[key]) if key in after else None
        title = (old or new or ("", ""))[0]
        texts = (old[1] if old else _ABSENT, new[1] if new else _ABSENT)
        if texts[0] != texts[1]:
            found.append(Difference(title=title, before=texts[0], after=texts[1]))
    return found

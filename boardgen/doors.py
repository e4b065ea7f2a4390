"""The two doors: a parameter file, and Python with its keys and values, checks and words.

Examples
--------
>>> shelf = board(
...     title="Shelf bar 8",
...     supply="usb 5 V 500 mA",
...     light={"led": "white 2835", "count": 8, "use": "task"},
...     form={"kind": "bar", "pitch": "20 mm"},
... )
>>> shelf
<Parameters shelf-bar-8: 8 x white 2835, bar, usb 5 V 500 mA>
>>> [member.name for member in family(shelf, vary={"light.count": [4, 12]}).members]
['shelf-bar-8-4', 'shelf-bar-8-12']
"""

import copy
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from boardgen.electrical.same_parts import with_same_parts
from boardgen.errors import Problem, RefusalError
from boardgen.model.family import Family
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Plan
from boardgen.reading.changes import Setting
from boardgen.reading.family import members
from boardgen.reading.family import read_family as read_members
from boardgen.reading.file_names import LONGEST, is_name, slug
from boardgen.reading.parameters import meaning, sha256
from boardgen.reading.reader import Reader

Form = Callable[[Parameters], Plan]

_SHORT = {"supply": "from", "connector": "kind"}
"""Sections for which a text stands for the key that names a part of the catalogue."""
_PLAIN = (str, bool, int, float, date)


def read(path: Path | str, source_date: str | None = None) -> tuple[Parameters, ...]:
    """Read a parameter file.

    Parameters
    ----------
    path : Path or str
        The TOML file; its stem names the board's files, or a family's pattern does.
    source_date : str, optional
        The day to take when the file names none (from SOURCE_DATE_EPOCH), as YYYY-MM-DD.

    Returns
    -------
    tuple of Parameters
        One for each board that the file describes, skipped members left out; as the command line
        reads them.

    Raises
    ------
    RefusalError
        With all that is wrong in the file; for a family, of the first member that is refused.
    """
    members = read_family(path, source_date).members
    for member in members:
        if member.refusal:
            raise member.refusal
    return tuple(member.parameters for member in members if member.parameters)


def read_family(
    path: Path | str, source_date: str | None = None, changes: Sequence[Setting] = ()
) -> Family:
    """Read a file's members, with shared resistor values where the family asks for them.

    ``changes`` are tried on every member; the file stays as it is.

    Raises
    ------
    RefusalError
        When the file itself is wrong, or the only board in it.
    """
    family = read_members(path, source_date, changes)
    return with_same_parts(family) if family.same_parts else family


def board(
    title: str,
    *,
    name: str = "",
    folder: Path | str | None = None,
    source_date: str | None = None,
    **sections: object,
) -> Parameters:
    """Describe one board.

    Parameters
    ----------
    title : str
        Key ``title`` of section ``board``.
    name : str
        What its files are named after; made of the title when left out.
    folder : Path or str, optional
        Where files are that the values name, such as a house's.
    source_date : str, optional
        The day to take when section ``board`` names none, as YYYY-MM-DD.
    sections
        Each section of a parameter file with its keys and values: ``light={"count": 8, ...}``.
        A text stands for what is taken from the catalogue: ``supply="usb 5 V"``. The ``kind`` of
        a form may be a function that takes the parameters and returns a `Plan`; its measures are
        those of a ring, ``pitch``, ``diameter`` and ``hole``.

    Returns
    -------
    made : Parameters
        The same that a file with these keys and values gives; `build_board` goes on with it.

    Raises
    ------
    RefusalError
        With all that is wrong, each with its dotted key.
    """
    own_form = _own_form(sections)
    tables, problems = _tables(title, sections if own_form is None else _as_ring(sections))
    own = name or slug(title)[:LONGEST].strip("-") or "board"
    if not is_name(own):
        problems.append(
            Problem(
                what=f'"{own}" names no files; names hold a-z, 0-9 and hyphens, at most {LONGEST}',
                remedy=f"write it like {slug(own)[:LONGEST].strip('-') or 'board'}",
                path="name",
            )
        )
    if problems:
        raise RefusalError(*problems)
    made = _read(tables, own, folder, source_date)
    (member,) = made.members
    assert member.parameters is not None  # noqa: S101 - one board is made or refused
    return _of_own_form(member.parameters, own_form)


def family(
    base: Parameters,
    *,
    vary: Mapping[str, Sequence[object]],
    file_name: str | None = None,
    same_parts: bool = False,
    change: Sequence[Mapping[str, object]] = (),
    skip: Sequence[Mapping[str, object]] = (),
) -> Family:
    """Describe a family of boards: one for each choice of what varies.

    Parameters
    ----------
    base : Parameters
        The board that the others are made of.
    vary : mapping
        Dotted keys with the values that each takes: ``{"light.count": [4, 8]}``.
    file_name : str, optional
        Pattern of the members' names, such as ``stick-{colour}-{count}``; made of the board's
        name and what varies when left out.
    same_parts, change, skip
        As in section ``family`` of a file.

    Returns
    -------
    Family
        Members in the order of the choices; one that is refused says why and hides no other.

    Raises
    ------
    RefusalError
        When the family itself is wrong, or all members are, alike.
    """
    varied = "".join(f"-{{{key.rpartition('.')[2]}}}" for key in vary)
    section: dict[str, object] = {
        "file_name": file_name or f"{base.name}{varied}",
        "same_parts": same_parts,
        "vary": {key: list(values) for key, values in vary.items()},
        "change": [dict(one) for one in change],
        "skip": [dict(one) for one in skip],
    }
    written = base.written
    tables = {**copy.deepcopy(dict(written.tables)), "family": section}
    made = _read(tables, base.name, written.folder, written.source_date)
    made = replace(
        made,
        members=tuple(
            replace(member, parameters=_of_own_form(member.parameters, base.own_form))
            if member.parameters
            else member
            for member in made.members
        ),
    )
    return with_same_parts(made) if made.same_parts else made


def _own_form(sections: Mapping[str, object]) -> Form | None:
    form = sections.get("form")
    kind = form.get("kind") if isinstance(form, Mapping) else None
    return kind if callable(kind) else None


def _as_ring(sections: Mapping[str, object]) -> dict[str, object]:
    """Read a form of one's own by the keys of the one that takes any sketch."""
    form = sections["form"]
    assert isinstance(form, Mapping)  # noqa: S101 - a function stands in it
    return {**sections, "form": {**form, "kind": "ring"}}


def _of_own_form(made: Parameters, own_form: Form | None) -> Parameters:
    """Let a function plan a board; its name tells the board from a ring's."""
    if own_form is None:
        return made
    said = f"{own_form.__module__}.{own_form.__qualname__}\n{made.meaning_sha256}"
    return replace(made, own_form=own_form, meaning_sha256=sha256(said))


def _read(
    tables: dict[str, Any], name: str, folder: Path | str | None, source_date: str | None
) -> Family:
    return members(
        copy.deepcopy(tables),
        Reader("", dict(_keys(tables)), Path(folder) if folder else None),
        text=meaning(tables),
        name=name,
        source_date=source_date,
    )


def _keys(tables: Mapping[str, Any], above: tuple[str, ...] = ()) -> Iterator[tuple[Any, int]]:
    """List every key that was given; they stand on no line."""
    for key, value in tables.items():
        yield (*above, key), 0
        if isinstance(value, Mapping):
            yield from _keys(value, (*above, key))


def _tables(title: str, sections: Mapping[str, object]) -> tuple[dict[str, Any], list[Problem]]:
    """Make the tables of a file, and tell what no file could hold."""
    problems: list[Problem] = []
    tables: dict[str, Any] = {"board": {"title": title}}
    for section, given in sections.items():
        short = _SHORT.get(section)
        value = {short: given} if short and isinstance(given, str) else given
        plain = _plain(value, section, problems)
        if section == "board" and isinstance(plain, dict):
            plain = {"title": title, **plain}
        tables[section] = plain
    return tables, problems


def _plain(value: object, path: str, problems: list[Problem]) -> object:
    """Copy a value as a file would hold it: text, numbers, switches, dates, lists, tables."""
    if isinstance(value, Mapping):
        return {str(key): _plain(inner, f"{path}.{key}", problems) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner, path, problems) for inner in value]
    if not isinstance(value, _PLAIN):
        problems.append(
            Problem(
                what=f"is a {type(value).__name__}, which no parameter file holds",
                remedy="write text, a number, True or False, a list, or a dict",
                path=path,
            )
        )
    return value

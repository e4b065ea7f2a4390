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

import numpy as np

from boardgen.electrical.same_parts import with_same_parts
from boardgen.errors import Problem, RefusalError
from boardgen.model.family import Family, Member
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
_MOST = 10**18
"""No number of a board is as large."""
_ANY_SIZE_MM = 100.0


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
    problems += _about(source_date, folder)
    own = str(name or slug(title)[:LONGEST].strip("-") or "board")
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


def _is_board(given: object) -> bool:
    return isinstance(given, Parameters)


def _about(source_date: object, folder: object) -> Iterator[Problem]:
    """Tell what is wrong with what stands in no section."""
    if source_date is not None:
        try:
            date.fromisoformat(str(source_date))
        except ValueError:
            yield Problem(
                what=f"is not a day: {source_date!r}", remedy='write it like "2026-11-28"',
                path="source_date",
            )  # fmt: skip
    if folder is not None and not isinstance(folder, str | Path):
        yield Problem(what=f"is no folder: {folder!r}", remedy="give a path", path="folder")


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
    problems: list[Problem] = []
    if not _is_board(base):
        problems.append(Problem(what="is no board", remedy="give what boardgen.board gave"))
    section = {
        "same_parts": same_parts,
        "vary": _varied(vary, problems),
        "change": _rules("change", change, problems),
        "skip": _rules("skip", skip, problems),
    }
    if not problems and base.own_form and "form.kind" in vary:
        problems.append(
            Problem(what="the form is a function's: no other kind can vary with it",
                    remedy="make a family for each form", path="vary.form.kind")
        )  # fmt: skip
    if problems:
        raise RefusalError(*problems)
    varied = "".join(f"-{{{key.rpartition('.')[2]}}}" for key in vary)
    section["file_name"] = file_name or f"{base.name}{varied}"
    written = base.written
    tables = {**copy.deepcopy(dict(written.tables)), "family": section}
    made = _read(tables, base.name, written.folder, written.source_date)
    made = replace(made, members=tuple(_formed(member, base.own_form) for member in made.members))
    return with_same_parts(made) if made.same_parts else made


def _formed(member: Member, own_form: Form | None) -> Member:
    if member.parameters is None:
        return member
    return replace(member, parameters=_of_own_form(member.parameters, own_form))


def _varied(vary: object, problems: list[Problem]) -> dict[str, object]:
    """Copy what varies: dotted keys, each with a list of plain values."""
    if not isinstance(vary, Mapping) or not vary:
        problems.append(
            Problem(what="wants dotted keys with lists of values",
                    remedy='write vary={"light.count": [4, 8]}', path="vary")
        )  # fmt: skip
        return {}
    found = {}
    for key, values in vary.items():
        plain = _plain(values, f"vary.{key}", problems)
        if not isinstance(key, str) or not isinstance(plain, list):
            problems.append(
                Problem(what="wants a list of values", remedy="write them like [4, 8, 12]",
                        path=f"vary.{key}")
            )  # fmt: skip
        found[str(key)] = plain
    return found


def _rules(name: str, given: object, problems: list[Problem]) -> object:
    plain = _plain(given, name, problems)
    if not isinstance(plain, list) or not all(isinstance(one, dict) for one in plain):
        problems.append(
            Problem(what="wants a list of dicts", remedy=f"write {name}=[{{...}}]", path=name)
        )
    return plain


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
    """Let a function plan a board."""
    if own_form is None:
        return made
    planned = own_form(made)
    if not isinstance(planned, Plan):
        raise RefusalError(
            Problem(
                what=f"gives a {type(planned).__name__}, not a plan",
                remedy="let the function return a boardgen.model.plan.Plan",
                path="form.kind",
            )
        )
    # What is drawn at one size tells forms apart, whatever their functions are called.
    drawn = (
        planned.sketch(max(planned.least_mm, _ANY_SIZE_MM)) if planned.sketch else planned.chains
    )
    return replace(made, own_form=own_form, meaning_sha256=sha256(f"{drawn}{made.meaning_sha256}"))


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
        if section == "family":
            problems.append(
                Problem(what="is no section of one board", path=section,
                        remedy="give the board to boardgen.family(board, vary={...})")
            )  # fmt: skip
        try:
            plain = _plain(value, section, problems)
        except RecursionError:
            plain = {}
            problems.append(Problem(what="is nested too deeply", path=section))
        if section == "board" and isinstance(plain, dict):
            if plain.get("title", title) != title:
                problems.append(
                    Problem(what="is said twice, and not alike", remedy="keep one of them",
                            path="board.title")
                )  # fmt: skip
            plain = {"title": title, **plain}
        tables[section] = plain
    return tables, problems


def _plain(value: object, path: str, problems: list[Problem]) -> object:
    """Copy a value as a file would hold it: text, numbers, switches, dates, lists, tables.

    Numbers and arrays of numpy come as plain ones.
    """
    if isinstance(value, np.generic | np.ndarray):
        value = value.tolist()
    if isinstance(value, Mapping):
        return {str(key): _plain(inner, f"{path}.{key}", problems) for key, inner in value.items()}
    if isinstance(value, list | tuple | range):
        return [_plain(inner, path, problems) for inner in value]
    if not isinstance(value, _PLAIN):
        problems.append(
            Problem(
                what=f"is of type {type(value).__name__}, which no parameter file holds",
                remedy="write text, a number, True or False, a list, or a dict",
                path=path,
            )
        )
    elif isinstance(value, int) and abs(value) >= _MOST:
        problems.append(Problem(what="is far too large a number", path=path))
        return 0
    return value

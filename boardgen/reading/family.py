"""A parameter file → its boards: one, or every member of a family."""

import copy
import itertools
import math
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from boardgen.errors import Change, RefusalError
from boardgen.model.family import Family, Member
from boardgen.model.parameters import Origin, OriginKind, Parameters
from boardgen.model.sections import FamilySection
from boardgen.reading import catalogue, cross_checks, positions, sentences, validation
from boardgen.reading.changes import Setting, apply, as_tried, settings
from boardgen.reading.file_names import board_name, is_name, slug
from boardgen.reading.meant import nearest
from boardgen.reading.parameters import load, read_text, resolve
from boardgen.reading.reader import Reader, table_of
from boardgen.reading.sections import ParameterFile

MOST_MEMBERS = 1_000
_APART = ("vary", "change", "skip")
_KEY_PART = re.compile(r'"([^"]*)"|([^."]+)')

KeyPath = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rule:
    """One ``change`` or ``skip``: where it holds, what it sets, where it stands in the file."""

    where: Mapping[KeyPath, object]
    sets: tuple[tuple[KeyPath, object, positions.Path], ...]
    reason: str
    location: positions.Path


def read_family(
    path: Path | str, source_date: str | None = None, changes: Sequence[Setting] = ()
) -> Family:
    """Read a parameter file member by member, so that a bad one does not hide the others.

    ``changes`` are put into every member before it is read; the file stays as it is.

    Raises
    ------
    RefusalError
        When the file itself is wrong, or the only board in it is, or all members are alike.
    """
    path = Path(path)
    text = read_text(path)

    def parsed(name: str) -> Family:
        return parse_family(
            text,
            file=path.name,
            name=name,
            source_date=source_date,
            folder=path.parent,
            changes=changes,
        )

    try:
        name = board_name(path)
    except RefusalError as bad_name:
        try:
            parsed("board")
        except RefusalError as others:
            raise RefusalError(*bad_name.problems, *others.problems) from None
        raise
    return parsed(name)


def parse_family(
    text: str,
    *,
    file: str,
    name: str,
    source_date: str | None = None,
    folder: Path | None = None,
    changes: Sequence[Setting] = (),
) -> Family:
    """Turn the text of a parameter file into its boards; see `read_family`."""
    return members(
        load(text, file),
        Reader(file, positions.key_lines(text), folder),
        text=text,
        name=name,
        source_date=source_date,
        changes=changes,
    )


def members(
    raw: dict[str, Any],
    asked: Reader,
    *,
    text: str,
    name: str,
    source_date: str | None = None,
    changes: Sequence[Setting] = (),
) -> Family:
    """Turn plain tables into boards, member by member.

    Parameters
    ----------
    asked : Reader
        What they came from: the file, and on which lines its keys stand.
    text : str
        All of it, as it was written.
    """

    def board(tables: dict[str, Any], where: Mapping[positions.Path, int], name: str) -> Parameters:
        reader = Reader(asked.file, where, asked.folder)
        apply(tables, changes)
        try:
            made = resolve(tables, reader, text=text, name=name, source_date=source_date)
        except RefusalError as refusal:
            raise as_tried(refusal, changes) from None
        tried = {".".join(change.path): Origin(kind=OriginKind.TRIED) for change in changes}
        return replace(made, origins={**made.origins, **tried}) if tried else made

    if "family" not in raw:
        return Family(members=(Member(name=name, parameters=board(raw, dict(asked.lines), name)),))
    section, expanded = _expanded(asked, raw, name)
    found = []
    for member, tables, own_lines in expanded:
        if member.skipped:
            found.append(member)
            continue
        try:
            made = board(tables, own_lines, member.name)
            found.append(Member(name=member.name, values=member.values, parameters=made))
        except RefusalError as refusal:
            found.append(Member(name=member.name, values=member.values, refusal=refusal))
    refusals = [member.refusal for member in found]
    if refusals[0] and all(other and other.problems == refusals[0].problems for other in refusals):
        raise refusals[0]
    return Family(members=tuple(found), many=True, same_parts=section.same_parts)


def changed(parameters: Parameters, changes: Sequence[Change]) -> Parameters:
    """Read a board again with changes put into its file, which stays as it is.

    What no file can describe yet is kept: several channels, a form given in Python.

    Raises
    ------
    RefusalError
        With all that is wrong in the changed file.
    """
    written = parameters.written
    tables = copy.deepcopy(dict(written.tables))
    apply(tables, settings(f"{change.path}={change.value}" for change in changes))
    read = resolve(
        tables,
        Reader(parameters.file, written.lines, written.folder),
        text=written.text,
        name=parameters.name,
        source_date=written.source_date,
    )
    several = len(parameters.parts.emitters) > 1
    emitters = parameters.parts.emitters if several else read.parts.emitters
    return replace(read.with_parts(emitters=emitters), own_form=parameters.own_form)


_Expanded = tuple[Member, dict[str, Any], dict[positions.Path, int]]


def _expanded(
    reader: Reader, raw: dict[str, Any], stem: str
) -> tuple[FamilySection, list[_Expanded]]:
    """Make the tables of every member: vary first, then each change that applies."""
    family = table_of(raw, "family")
    section = _section(reader, family)
    axes = list(_axes(reader, family.get("vary")))
    rules = {kind: list(_rules(reader, family, kind)) for kind in ("change", "skip")}
    _check_count(reader, axes)
    reader.raise_all()
    base = {key: value for key, value in raw.items() if key != "family"}
    found, used = list[_Expanded](), set[positions.Path]()
    choices = itertools.product(*(options for _, options, _ in axes))
    for number, choice in enumerate(choices, start=1):
        tables, lines = copy.deepcopy(base), dict(reader.lines)
        chosen = [(path, value, at) for (path, _, at), value in zip(axes, choice, strict=True)]
        _apply(reader, tables, lines, chosen)
        for rule in rules["change"]:
            if _applies(rule, tables):
                used.add(rule.location)
                _apply(reader, tables, lines, rule.sets)
        skips = [rule for rule in rules["skip"] if _applies(rule, tables)]
        used.update(rule.location for rule in skips)
        values = {".".join(path): value for path, value, _ in chosen}
        name = _name(reader, section.file_name, tables, values, stem, number)
        skipped = skips[0].reason if skips else ""
        found.append((Member(name=name, values=values, skipped=skipped), tables, lines))
    _check_rules_used(reader, (*rules["change"], *rules["skip"]), used)
    _check_names(reader, [member for member, _, _ in found])
    reader.raise_all()
    return section, found


def _check_count(reader: Reader, axes: Sequence[tuple[KeyPath, list[object], Any]]) -> None:
    count = math.prod(len(options) for _, options, _ in axes)
    if count > MOST_MEMBERS:
        reader.refuse(
            ("family", "vary"), f"makes {count} members; at most {MOST_MEMBERS}", "vary less"
        )


def _apply(
    reader: Reader,
    tables: dict[str, Any],
    lines: dict[positions.Path, int],
    values: Iterable[tuple[KeyPath, object, positions.Path]],
) -> None:
    """Put values into a member's tables, and note where each stands in the file."""
    for path, value, location in values:
        if not _set(tables, path, copy.deepcopy(value)):
            reader.refuse(location, "points below a plain value", "correct the key")
        lines[path] = reader.line(location)


def _section(reader: Reader, family: dict[str, Any]) -> FamilySection:
    plain = {key: value for key, value in family.items() if key not in _APART}
    found = validation.validate(FamilySection, plain)
    if isinstance(found, ValidationError):
        for location, problem in sentences.sentences(FamilySection, found, ("family",)):
            reader.refuse(("family", *location), problem.what, problem.remedy)
        return FamilySection(file_name="{stem}")
    return found


def _axes(reader: Reader, vary: object) -> Iterator[tuple[KeyPath, list[object], positions.Path]]:
    """List what varies: dotted keys with or without quotes; a list always means "vary"."""
    if not isinstance(vary, dict) or not vary:
        reader.refuse(
            ("family",),
            "varies nothing",
            "add [family.vary] with light.count = [4, 8], or the like",
        )
        return
    for path, value, location in _leaves(vary, (), ("family", "vary")):
        if _refuse_key(reader, path, location):
            continue
        if isinstance(value, list) and value:
            if len({repr(option) for option in value}) < len(value):
                reader.refuse(location, "names one value twice", "drop one of them")
            yield path, value, location
        else:
            reader.refuse(location, "wants a list of values", "write them like [4, 8, 12]")


def _refuse_key(reader: Reader, path: KeyPath, location: positions.Path) -> bool:
    """Refuse what is no key of the parameter file, at the place where the family names it."""
    if not all(path):
        reader.refuse(location, "is not a dotted key", "write it like light.count")
        return True
    for depth in range(len(path)):
        known = sentences.known_keys(ParameterFile, path[:depth])
        if known and path[depth] not in known:
            dotted = ".".join(path[: depth + 1])
            reader.refuse(location, f"{dotted} is not a known key", nearest(path[depth], known))
            return True
    return False


def _leaves(
    table: Mapping[str, Any], path: KeyPath, location: positions.Path
) -> Iterator[tuple[KeyPath, Any, positions.Path]]:
    for key, value in table.items():
        # A quoted key holds its dots: "light.led" is one key of the table, but means two.
        parts: KeyPath = tuple(key.split("."))
        if '"' in key:
            parts = tuple(quoted or bare for quoted, bare in _KEY_PART.findall(key))
        here = (*path, *parts)
        if isinstance(value, dict):
            yield from _leaves(value, here, (*location, key))
        else:
            yield here, value, (*location, key)


def _rules(reader: Reader, family: dict[str, Any], kind: str) -> Iterator[_Rule]:
    tables = family.get(kind, [])
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        reader.refuse(("family", kind), "wants tables", f"write each as [[family.{kind}]]")
        return
    for place, table in enumerate(tables):
        rule = _rule(reader, kind, ("family", kind, place), table)
        if rule is not None:
            yield rule


def _rule(
    reader: Reader, kind: str, location: positions.Path, table: dict[str, Any]
) -> _Rule | None:
    where, reason = table.get("where"), table.get("reason", "")
    rest = {key: value for key, value in table.items() if key not in ("where", "reason")}
    if not isinstance(where, dict) or not where:
        reader.refuse(location, "does not say where", "add where = { light.count = 16 }")
        return None
    if kind == "skip" and (rest or not isinstance(reason, str) or not reason.strip()):
        reader.refuse(location, "wants where and a reason", 'add reason = "not wanted"')
        return None
    if kind == "change" and (not rest or reason):
        reader.refuse(
            location, "wants where and what to change", 'add a line like copper.rail = "2 mm"'
        )
        return None
    conditions = tuple(_leaves(where, (), (*location, "where")))
    if not conditions:
        reader.refuse(location, "does not say where", "add where = { light.count = 16 }")
        return None
    sets = tuple(_leaves(rest, (), location))
    wrong = [_refuse_key(reader, path, at) for path, _, at in (*conditions, *sets)]
    if any(wrong):
        return None
    return _Rule(
        where={path: value for path, value, _ in conditions},
        sets=sets,
        reason=str(reason).strip(),
        location=location,
    )


def _set(tables: dict[str, Any], path: KeyPath, value: object) -> bool:
    for key in path[:-1]:
        inner = tables.setdefault(key, {})
        if not isinstance(inner, dict):
            return False
        tables = inner
    tables[path[-1]] = value
    return True


def _get(tables: Mapping[str, Any], path: KeyPath) -> object:
    value: Any = tables
    for key in path:
        value = value.get(key) if isinstance(value, dict) else None
    return value


def _same(first: object, second: object) -> bool:
    if isinstance(first, str) and isinstance(second, str):
        return "".join(first.split()).casefold() == "".join(second.split()).casefold()
    return first == second and isinstance(first, bool) is isinstance(second, bool)


def _applies(rule: _Rule, tables: Mapping[str, Any]) -> bool:
    return all(
        any(
            _same(_get(tables, path), option)
            for option in (value if isinstance(value, list) else [value])
        )
        for path, value in rule.where.items()
    )


def _name(
    reader: Reader,
    pattern: str,
    tables: Mapping[str, Any],
    values: Mapping[str, object],
    stem: str,
    number: int,
) -> str:
    led = _get(tables, ("light", "led"))
    colours = {
        **{catalogue.plain(name): data.colour for name, data in catalogue.leds().items()},
        **{
            catalogue.plain(name): own.get("colour")
            for name, own in table_of(tables, "led").items()
            if isinstance(own, dict)
        },
    }
    colour = colours.get(catalogue.plain(led), led) if isinstance(led, str) else led
    fill = {
        "stem": stem,
        "number": str(number),
        "title": slug(_get(tables, ("board", "title"))),
        "revision": slug(_get(tables, ("board", "revision")) or "A"),
        "colour": slug(colour),
        "led": slug(led),
        "count": slug(_get(tables, ("light", "count"))),
        **{key.rpartition(".")[2]: slug(_get(tables, tuple(key.split(".")))) for key in values},
    }
    return cross_checks.filled(reader, ("family", "file_name"), pattern, fill)


def _check_rules_used(
    reader: Reader, rules: Iterable[_Rule], used: Collection[positions.Path]
) -> None:
    for rule in rules:
        if rule.location not in used:
            reader.refuse(
                rule.location, "matches no member of the family", "correct its where, or drop it"
            )


def _check_names(reader: Reader, members: Sequence[Member]) -> None:
    location = ("family", "file_name")
    names = [member.name for member in members]
    for name in sorted({name for name in names if name and not is_name(name)})[:3]:
        reader.refuse(
            location,
            f'makes the name "{name}"; names hold a-z, 0-9 and hyphens, 1 to 40',
            "write it like stick-{colour}-{count}",
        )
    twins = sorted({name for name in names if name and names.count(name) > 1})
    if twins:
        both = [member for member in members if member.name == twins[0]][:2]
        said = " and ".join(
            ", ".join(f"{path} = {value}" for path, value in member.values.items())
            for member in both
        )
        reader.refuse(
            location,
            f'gives several members one name: "{twins[0]}" would be {said}',
            "put into it whatever varies, or {number}",
        )

"""What commands share: options, members of a file, what is told as JSON."""

import sys
from collections.abc import Callable, Iterable, Sequence
from fnmatch import fnmatch
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from boardgen import errors
from boardgen.terminal import each, echo, guarded

if TYPE_CHECKING:
    from boardgen.model.design import Design
    from boardgen.model.family import Family, Member
    from boardgen.model.parameters import Parameters
    from boardgen.outcomes import Outcome
    from boardgen.reading.changes import Setting


files_argument = click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))


only_option = click.option(
    "--only", metavar="GLOB", help="Only members of a family whose names match, e.g. 'stick-red-*'."
)


format_option = click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)


output_option = click.option(
    "-o",
    "output",
    type=click.Path(path_type=Path),
    default=Path("boards"),
    show_default=True,
    help="Folder that gets a folder for each board.",
)


strict_option = click.option("--strict", is_flag=True, help="Warnings fail too.")


def read(path: Path, changes: "Sequence[Setting]" = ()) -> "Family":
    """Read a file's members; the day is that of the environment where the file names none."""
    from boardgen.doors import read_family
    from boardgen.reading.source_date import source_date

    return read_family(path, source_date(), changes)


def chosen_of(
    path: Path, only: str | None, changes: "Sequence[Setting]" = ()
) -> "tuple[Family, tuple[Member, ...]]":
    """Read a file and choose its members by a pattern of names."""
    family = read(path, changes)
    chosen = tuple(
        member for member in family.members if only is None or fnmatch(member.name, only)
    )
    if not chosen:
        shown = family.members[:8]
        names = ", ".join(member.name for member in shown)
        more = f" and {len(family.members) - len(shown)} more" * (family.members != shown)
        raise errors.RefusalError(
            errors.Problem(
                what=f'no member is called "{only}"',
                remedy=f"there are: {names}{more}",
                file=path.name,
            )
        )
    return family, chosen


def each_member(
    members: "Iterable[Member]",
    work: "Callable[[Parameters], tuple[int, Outcome]]",
    noted: "Callable[[str, errors.BoardgenError], None] | None" = None,
    *,
    quiet: bool = False,
) -> "tuple[int, list[Outcome]]":
    """Do the work for every member, whatever happens to the others; gather what became of each."""
    from boardgen.outcomes import Outcome

    status, outcomes = errors.CLEAN, list[Outcome]()

    def one(member: "Member") -> int:
        if member.skipped:
            echo(f"{member.name}: skipped: {member.skipped}", to_stderr=quiet)
            outcomes.append(Outcome(name=member.name, verdict="skipped", status=errors.CLEAN))
            return errors.CLEAN
        if member.refusal:
            raise member.refusal
        if member.parameters is None:
            raise AssertionError("a member is read, refused or skipped")
        found, outcome = work(member.parameters)
        outcomes.append(outcome)
        return found

    for member in members:
        found = guarded(one, member, member.name, noted)
        if not outcomes or outcomes[-1].name != member.name:
            verdict = "refused" if found == errors.REFUSED else "failed"
            outcomes.append(Outcome(name=member.name, verdict=verdict, status=found))
        status = max(status, found)
    return status, outcomes


def sound_designs(members: "Iterable[Member]") -> "tuple[Design, ...] | None":
    """Design boards; None, and the findings told, when one of them has errors."""
    from boardgen.designing import design_board, judge_board
    from boardgen.pages import findings_text
    from boardgen.terminal import say

    designs = tuple(design_board(parameters) for parameters in boards_of(members))
    judged = [(judge_board(design), design) for design in designs]
    if any(judgement.fails() for judgement, _ in judged):
        say(findings_text.findings_of(judged), to_stderr=True)
        echo("the rules find errors, so nothing is written")
        return None
    return designs


def boards_of(members: "Iterable[Member]") -> "tuple[Parameters, ...]":
    """Take the boards of members; the first refusal among them is raised."""
    for member in members:
        if member.refusal:
            raise member.refusal
    return tuple(member.parameters for member in members if member.parameters)


def leave(files: Iterable[Path], work: Callable[[Path], int], form: str = "text") -> None:
    """Do the work and exit; what is refused is told as JSON too where that was asked for."""

    def noted(name: str, error: errors.BoardgenError) -> None:
        if form == "json":
            say_json(refusal(name, error))

    sys.exit(each(files, work, noted))


def refusal(name: str, error: errors.BoardgenError) -> dict[str, Any]:
    """Turn what was refused into plain data."""
    from boardgen.export.records import refusal_record

    return refusal_record(name, error)


def say_json(record: "dict[str, Any]") -> None:
    """Print a record as JSON."""
    from boardgen.export.json_text import json_bytes

    echo(json_bytes(record).decode(), nl=False)

"""``boardgen check``: designs judged by the rules, in four formats."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from boardgen import errors
from boardgen.commands.shared import (
    chosen_of,
    each_member,
    files_argument,
    only_option,
    refusal,
    say_json,
    strict_option,
)
from boardgen.terminal import each, echo, guarded, patience, say

if TYPE_CHECKING:
    from boardgen.model.design import Design
    from boardgen.model.findings import Judgement
    from boardgen.model.parameters import Parameters
    from boardgen.outcomes import Outcome


_FORMS = ("text", "json", "sarif", "markdown")


@click.command()
@files_argument
@click.option(
    "--format", "form", type=click.Choice(_FORMS), default="text", show_default=True,
    help="text for people, json and sarif for machines, markdown for a summary in CI.",
)  # fmt: skip
@strict_option
@only_option
def check(files: tuple[Path, ...], form: str, strict: bool, only: str | None) -> None:
    """Check designs by the rules; write nothing."""
    log = _Log()

    def work(path: Path) -> int:
        return guarded(
            lambda path: _check(path, form, only, log, strict=strict), path, str(path),
            log.refuser(path),
        )  # fmt: skip

    status = each(files, work)
    if form == "sarif":
        say_json(log.sarif())
    elif form == "markdown":
        echo(log.markdown(), nl=False)
    elif form == "json":
        log.say_json(alone=len(files) == 1)
    elif strict and status == errors.FOUND:
        echo("--strict: errors and warnings that are not waived fail")
    sys.exit(status)


class _Log:
    """What was checked and refused over all files, for formats that want one document."""

    def __init__(self) -> None:
        self.checked: list[tuple[Path, Design, Judgement]] = []
        self.refused: list[tuple[Path, str, errors.BoardgenError]] = []
        self.outcomes: list[Outcome] = []
        self.many = False

    def refuser(self, path: Path) -> "Callable[[str, errors.BoardgenError], None]":
        return lambda name, error: self.refused.append((path, name, error))

    def sarif(self) -> "dict[str, Any]":
        from boardgen.checks.table import rule_texts
        from boardgen.export.sarif import Checked, Refused, sarif_log

        checked = [
            Checked(design=design, judgement=judged, uri=_uri(path))
            for path, design, judged in self.checked
        ]
        refused = [
            Refused(uri=_uri(path), line=problem.line, message=f"{problem.what}. {problem.remedy}")
            for path, _, error in self.refused
            for problem in getattr(error, "problems", (errors.Problem(what=str(error)),))
        ]
        return sarif_log(rule_texts(), checked, refused)

    def say_json(self, *, alone: bool) -> None:
        """Print one document: of the only board, or of all that there are."""
        from boardgen.export.records import family_record, findings_record

        records = [findings_record(judged, design) for _, design, judged in self.checked]
        refused = [refusal(name, error) for _, name, error in self.refused]
        if alone and not self.many:
            for record in records or refused:
                say_json(record)
        else:
            say_json({**family_record(records, self.outcomes), "refused": refused})

    def markdown(self) -> str:
        from boardgen.pages.rules_page import summary

        return summary(
            [(design, judged) for _, design, judged in self.checked],
            [(name, str(error)) for _, name, error in self.refused],
        )


def _uri(path: Path) -> str:
    """Address a file as CI front ends do: relative to where the command runs, where it can be."""
    from urllib.parse import quote

    try:
        path = path.resolve().relative_to(Path.cwd().resolve())
    except ValueError:
        return path.resolve().as_uri()
    return quote(path.as_posix())


def _check(path: Path, form: str, only: str | None, log: _Log, *, strict: bool) -> int:
    from boardgen.designing import design_board, judge_board
    from boardgen.outcomes import checked
    from boardgen.pages import closing, findings_text

    family, chosen = chosen_of(path, only)
    log.many = log.many or family.many

    told: list[tuple[Judgement, Design]] = []

    def work(parameters: "Parameters") -> "tuple[int, Outcome]":
        with patience(parameters.name):
            made = design_board(parameters)
            judged = judge_board(made)
        log.checked.append((path, made, judged))
        told.append((judged, made))
        found = checked(made, judged, strict=strict)
        return found.status, found

    status, outcomes = each_member(chosen, work, log.refuser(path), quiet=form in ("json", "sarif"))
    log.outcomes += outcomes
    if form == "text":
        if family.many:
            say(closing.family_lines(outcomes))
        for judged, made in () if family.many else told:
            echo(f"{made.parameters.name}: {findings_text.verdict(judged)}")
        say(findings_text.findings_of(told))
        for judged, _ in () if family.many else told:
            say(findings_text.minima_lines(judged))
    return status

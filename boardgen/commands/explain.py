"""``boardgen explain``: the sums, and what a change would do to them."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from boardgen import errors
from boardgen.commands.shared import (
    boards_of,
    chosen_of,
    format_option,
    leave,
    only_option,
    read,
    say_json,
)
from boardgen.terminal import echo, say

if TYPE_CHECKING:
    from boardgen.model.explanation import Sums
    from boardgen.model.family import Member
    from boardgen.model.parameters import Parameters
    from boardgen.reading.changes import Setting


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@format_option
@click.option(
    "--resolved", is_flag=True, help="List every value instead, as lines that a file may hold."
)
@click.option(
    "--set",
    "tried",
    multiple=True,
    metavar="KEY=VALUE",
    help="Try a value, e.g. supply.from='usb 5 V': what changes, before and after. Repeatable.",
)
@click.option("--all", "everything", is_flag=True, help="With --set: every row, not only the six.")
@only_option
def explain(
    file: Path,
    form: str,
    resolved: bool,
    tried: tuple[str, ...],
    everything: bool,
    only: str | None,
) -> None:
    """Show what a board does, and the sums step by step. Writes nothing."""

    def work(path: Path) -> int:
        from boardgen.reading.changes import settings

        changes = settings(tried)
        family, chosen = chosen_of(path, only)
        if changes:
            return _try(path, chosen, changes, form, everything=everything)
        boards = boards_of(chosen)
        if form == "json" and family.many:
            from boardgen.export.explanations import explanations_record

            say_json(explanations_record([_sums(parameters) for parameters in boards]))
            return errors.CLEAN
        for parameters in boards:
            _explain(parameters, form, resolved=resolved)
        return errors.CLEAN

    leave([file], work, form)


def _try(
    path: Path,
    chosen: "tuple[Member, ...]",
    changes: "Sequence[Setting]",
    form: str,
    *,
    everything: bool,
) -> int:
    """Show what changes do to each member; names may change with them: places do not."""
    places = [member.name for member in read(path).members]
    after = read(path, changes).members
    for member in chosen:
        changed = after[places.index(member.name)]
        if not member.skipped:
            (before,), (other,) = boards_of([member]), boards_of([changed])
            _compare(before, other, changes, form, everything=everything)
    return errors.CLEAN


def _compare(
    before: "Parameters",
    after: "Parameters",
    changes: "Sequence[Setting]",
    form: str,
    *,
    everything: bool,
) -> None:
    from boardgen.build import compare_boards
    from boardgen.export.explanations import change_record
    from boardgen.model.cautions import CLAIM
    from boardgen.pages import sums_text

    tried = [str(change) for change in changes]
    try:
        matters, rows = compare_boards(before, after)
    except errors.RefusalError as refusal:
        raise errors.RefusalError(
            *(
                replace(problem, what=f"with {', '.join(tried)}: {problem.what}")
                for problem in refusal.problems
            )
        ) from None
    if form == "json":
        say_json(change_record(before, tried, rows))
    else:
        say(sums_text.change_lines(before, tried, matters, rows if everything else None))
        echo(CLAIM)


def _sums(parameters: "Parameters") -> "Sums":
    from boardgen.sums import explain_board

    sums = explain_board(parameters)
    if sums.refusal:
        echo(
            f"no board follows from it; these are the sums of its circuit:\n{sums.refusal}",
            to_stderr=True,
        )
    return sums


def _explain(parameters: "Parameters", form: str, *, resolved: bool) -> None:
    from boardgen.export.explanations import explanation_record
    from boardgen.model.cautions import CLAIM
    from boardgen.pages import sums_text
    from boardgen.reading.resolved import resolved_lines

    if resolved:
        say(resolved_lines(parameters))
        return
    sums = _sums(parameters)
    if form == "json":
        say_json(explanation_record(sums))
    else:
        say(sums_text.explain_lines(sums))
        echo(CLAIM)

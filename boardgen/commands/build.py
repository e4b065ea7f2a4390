"""``boardgen build``: boards made, written, told."""

import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from boardgen import errors
from boardgen.commands.shared import (
    chosen_of,
    each_member,
    files_argument,
    format_option,
    only_option,
    output_option,
    refusal,
    say_json,
    strict_option,
)
from boardgen.terminal import each, echo, patience, say

if TYPE_CHECKING:
    from boardgen.build import Built
    from boardgen.model.family import Family, Member
    from boardgen.model.parameters import Parameters
    from boardgen.outcomes import Outcome


@click.command()
@files_argument
@output_option
@strict_option
@only_option
@format_option
def build(files: tuple[Path, ...], output: Path, strict: bool, only: str | None, form: str) -> None:
    """Build boards: files for the board house, lists, pictures, proof."""
    made = _Made(output, strict=strict, form=form)

    def work(path: Path) -> int:
        family, chosen = chosen_of(path, only)
        made.claim(path, chosen)
        return made.build(family, chosen)

    status = each(files, work, made.refused, made.standing)
    made.say_json()
    sys.exit(status)


class _Made:
    """The boards that one command builds: each written when it is made, then told."""

    def __init__(self, output: Path, *, strict: bool, form: str) -> None:
        self.output, self.strict, self.form = output, strict, form
        self._names: dict[str, Path] = {}
        self._done: list[str] = []
        self._warned: set[str] = set()
        self._records: list[dict[str, Any]] = []
        self._refusals: list[dict[str, Any]] = []

    def claim(self, path: Path, members: "Iterable[Member]") -> None:
        """Keep the names of a file's boards, of which none may be another's."""
        for member in members:
            if member.name in self._names:
                raise errors.OutputError(
                    f"a board of {self._names[member.name]} is called {member.name} too, and both"
                    f" would go into {self.output / member.name}; rename one, or build it with"
                    " another -o"
                )
            self._names[member.name] = path

    def build(self, family: "Family", chosen: "tuple[Member, ...]") -> int:
        """Build a file's boards, write them, tell them."""
        from boardgen.build import build_board
        from boardgen.outcomes import outcome
        from boardgen.writing import write_folder

        boards: list[Built] = []

        def work(parameters: "Parameters") -> "tuple[int, Outcome]":
            with patience(parameters.name):
                built = build_board(parameters, strict=self.strict)
            write_folder(self.output / parameters.name, built.files)
            self._done.append(parameters.name)
            boards.append(built)
            self._note(built)
            found = outcome(built)
            return found.status, found

        quiet = self.form == "json"
        status, outcomes = each_member(chosen, work, self.refused, quiet=quiet)
        if not quiet:
            self._tell(family, boards, outcomes)
        return status

    def _note(self, built: "Built") -> None:
        from boardgen.export.records import built_record

        record = built_record(built.design, built.judgement, built.proof)
        folder = str(self.output / built.design.parameters.name)
        self._records.append({"folder": folder, **record})

    def _tell(
        self, family: "Family", boards: "Sequence[Built]", outcomes: "Sequence[Outcome]"
    ) -> None:
        from boardgen.model.cautions import CLAIM
        from boardgen.pages import closing, findings_text

        judged = [(built.judgement, built.design) for built in boards]
        say(findings_text.findings_of(judged), to_stderr=True)
        if not boards:
            say(closing.family_lines(outcomes) if family.many else ())
            return
        every = {caution.id: caution for built in boards for caution in built.cautions}
        say(closing.caution_lines(c for name, c in every.items() if name not in self._warned))
        if not self._warned:
            echo(CLAIM)
        self._warned.update(every)
        echo()
        if family.many:
            say(closing.family_lines(outcomes))
            echo(closing.family_next(str(self.output)))
            return
        (built,) = boards
        say(closing.made_lines(built.judgement, built.design, built.proof, str(self.output)))

    def refused(self, name: str, error: errors.BoardgenError) -> None:
        """Note what was refused."""
        self._refusals.append(refusal(name, error))

    def say_json(self) -> None:
        """Print all boards as one document."""
        if self.form == "json":
            say_json({"schema": "boardgen.made/1", "boards": self._records,
                       "refused": self._refusals})  # fmt: skip

    def standing(self) -> str:
        """Say which boards are new when the work is stopped."""
        new = ", ".join(self._done) or "no board"
        return f"new in {self.output}: {new}; all others are as they were"

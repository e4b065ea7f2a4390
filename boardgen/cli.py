"""The command line: parse, call, print, exit; heavy imports live inside the commands."""

import sys
from collections.abc import Callable, Iterable, Sequence
from difflib import get_close_matches
from fnmatch import fnmatch
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from boardgen import errors
from boardgen.terminal import each, echo, guarded, patience, say, tell

if TYPE_CHECKING:
    from boardgen.build import Built
    from boardgen.model.design import Design
    from boardgen.model.explanation import Sums
    from boardgen.model.family import Family, Member
    from boardgen.model.findings import Judgement
    from boardgen.model.parameters import Parameters
    from boardgen.model.proof import Proof
    from boardgen.outcomes import Outcome
    from boardgen.reading.changes import Setting

_EPILOG = (
    "Exit status: 0 clean; 1 an error finding, or a package that is wrong; 2 refused: the file"
    " cannot be read or no board follows from it, nothing is written; 3 a fault of boardgen's own."
)


class _Told(click.Group):
    """Says in words that the output took no more, whatever the command was."""

    def invoke(self, ctx: click.Context) -> object:
        """Run a command."""
        try:
            return super().invoke(ctx)
        except errors.OutputError as error:
            tell(f"boardgen: {error}")
            ctx.exit(error.exit_status)


@click.group(cls=_Told, epilog=_EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="boardgen")
def main() -> None:
    """LED light boards from one parameter file: circuit, layout, checks, files, proof."""


_files = click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))


def _read(path: Path, changes: "Sequence[Setting]" = ()) -> "Family":
    from boardgen.doors import read_family
    from boardgen.reading.source_date import source_date

    return read_family(path, source_date(), changes)


def _chosen(
    path: Path, only: str | None, changes: "Sequence[Setting]" = ()
) -> "tuple[Family, tuple[Member, ...]]":
    """Read a file and choose its members by a pattern of names."""
    family = _read(path, changes)
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


def _members(
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


_only = click.option(
    "--only", metavar="GLOB", help="Only members of a family whose names match, e.g. 'stick-red-*'."
)


_text_or_json = click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)


def _exit(files: Iterable[Path], work: Callable[[Path], int], form: str = "text") -> None:
    """Do the work and exit; what is refused is told as JSON too where that was asked for."""

    def noted(name: str, error: errors.BoardgenError) -> None:
        if form == "json":
            _say_json(_refusal(name, error))

    sys.exit(each(files, work, noted))


_strict = click.option("--strict", is_flag=True, help="Warnings fail too.")


@main.command()
@_files
@click.option(
    "-o",
    "output",
    type=click.Path(path_type=Path, file_okay=True),
    default=Path("boards"),
    show_default=True,
    help="Folder that gets a folder for each board.",
)
@_strict
@_only
@_text_or_json
def build(files: tuple[Path, ...], output: Path, strict: bool, only: str | None, form: str) -> None:
    """Build boards: files for the board house, lists, pictures, proof."""
    made = _Made(output, strict=strict, form=form)

    def work(path: Path) -> int:
        family, chosen = _chosen(path, only)
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
        status, outcomes = _members(chosen, work, self.refused, quiet=quiet)
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
        self._refusals.append(_refusal(name, error))

    def say_json(self) -> None:
        """Print all boards as one document."""
        if self.form == "json":
            _say_json({"schema": "boardgen.made/1", "boards": self._records,
                       "refused": self._refusals})  # fmt: skip

    def standing(self) -> str:
        """Say which boards are new when the work is stopped."""
        new = ", ".join(self._done) or "no board"
        return f"new in {self.output}: {new}; all others are as they were"


def _refusal(name: str, error: errors.BoardgenError) -> dict[str, Any]:
    from boardgen.export.records import refusal_record

    return refusal_record(name, error)


_FORMS = ("text", "json", "sarif", "markdown")


@main.command()
@_files
@click.option(
    "--format", "form", type=click.Choice(_FORMS), default="text", show_default=True,
    help="text for people, json and sarif for machines, markdown for a summary in CI.",
)  # fmt: skip
@_strict
@_only
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
        _say_json(log.sarif())
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
        refused = [_refusal(name, error) for _, name, error in self.refused]
        if alone and not self.many:
            for record in records or refused:
                _say_json(record)
        else:
            _say_json({**family_record(records, self.outcomes), "refused": refused})

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


def _say_json(record: "dict[str, Any]") -> None:
    from boardgen.export.json_text import json_bytes

    echo(json_bytes(record).decode(), nl=False)


def _check(path: Path, form: str, only: str | None, log: _Log, *, strict: bool) -> int:
    from boardgen.designing import design_board, judge_board
    from boardgen.outcomes import checked
    from boardgen.pages import closing, findings_text

    family, chosen = _chosen(path, only)
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

    status, outcomes = _members(chosen, work, log.refuser(path), quiet=form in ("json", "sarif"))
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


@main.command()
@click.argument("package", type=click.Path(path_type=Path))
@click.option(
    "--against",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="The parameter file that the package should have been built from.",
)
@click.option(
    "--reproduce",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Build this parameter file anew and compare every file of the package with it.",
)
@click.option(
    "--overlay",
    metavar="SVG",
    type=click.Path(path_type=Path),
    help="Draw the differences over what the package shows, into a new file.",
)
@_text_or_json
def verify(
    package: Path, against: Path | None, reproduce: Path | None, overlay: Path | None, form: str
) -> None:
    """Read a written package (folder or zip) back and judge it."""
    if reproduce and (against or overlay):
        raise click.UsageError(
            "--reproduce compares bytes; it goes without --against and --overlay"
        )

    def work(path: Path) -> int:
        if reproduce:
            return _reproduce(path, reproduce, form)
        return _verify(path, against, overlay, form)

    _exit([package], work, form)


def _verify(path: Path, against: Path | None, overlay: Path | None, form: str) -> int:
    from boardgen.pages import proof_text
    from boardgen.pages.overlay import overlay as picture
    from boardgen.verifying import verify_package
    from boardgen.writing import write_new

    designs = _parameters(_read(against).members) if against else ()
    if overlay and overlay.suffix != ".svg":
        raise errors.OutputError(f"{overlay}: --overlay writes an SVG; name a file ending in .svg")
    proof = verify_package(path, designs)
    if form == "json":
        _say_proof(proof)
    else:
        say(proof_text.proof_lines(proof))
        say(proof_text.proof_verdict(proof, against.name if against else "", drawn=bool(overlay)))
    if overlay:
        write_new(overlay, picture(proof, path.name).decode())
        echo(f"wrote {overlay}", to_stderr=form == "json")
    return errors.CLEAN if proof.holds else errors.FOUND


def _reproduce(path: Path, file: Path, form: str) -> int:
    from boardgen.reproduce import reproduce

    proof = reproduce(path, _parameters(_read(file).members))
    if form == "json":
        _say_proof(proof)
        return errors.CLEAN if proof.holds else errors.FOUND
    apart = [item for item in proof.items if not item.holds]
    for item in apart:
        echo(f"{item.title} differs")
        say(f"    {found}" for found in item.differences)
    if apart:
        echo(f"{len(apart)} of {len(proof.items)} files are not those that {file.name} makes")
        return errors.FOUND
    echo(f"identical: {file.name} makes the same {len(proof.items)} files, byte for byte")
    return errors.CLEAN


def _say_proof(proof: "Proof") -> None:
    from boardgen.export.records import proof_record

    _say_json(proof_record(proof))


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@_text_or_json
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
@_only
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
        family, chosen = _chosen(path, only)
        if changes:
            return _try(path, chosen, changes, form, everything=everything)
        boards = _parameters(chosen)
        if form == "json" and family.many:
            from boardgen.export.explanations import explanations_record

            _say_json(explanations_record([_sums(parameters) for parameters in boards]))
            return errors.CLEAN
        for parameters in boards:
            _explain(parameters, form, resolved=resolved)
        return errors.CLEAN

    _exit([file], work, form)


def _try(
    path: Path,
    chosen: "tuple[Member, ...]",
    changes: "Sequence[Setting]",
    form: str,
    *,
    everything: bool,
) -> int:
    """Show what changes do to each member; names may change with them: places do not."""
    places = [member.name for member in _read(path).members]
    after = _read(path, changes).members
    for member in chosen:
        changed = after[places.index(member.name)]
        if not member.skipped:
            (before,), (other,) = _parameters([member]), _parameters([changed])
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

    matters, rows = compare_boards(before, after)
    tried = [str(change) for change in changes]
    if form == "json":
        _say_json(change_record(before, tried, rows))
    else:
        say(sums_text.change_lines(before, tried, matters, rows if everything else None))
        echo(CLAIM)


def _parameters(members: "Iterable[Member]") -> "tuple[Parameters, ...]":
    """Take the boards of members; the first refusal among them is raised."""
    for member in members:
        if member.refusal:
            raise member.refusal
    return tuple(member.parameters for member in members if member.parameters)


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
        _say_json(explanation_record(sums))
    else:
        say(sums_text.explain_lines(sums))
        echo(CLAIM)


@main.command()
@click.argument("of", type=click.Choice(["parameters", "findings"]), default="parameters")
def schema(of: str) -> None:
    """Print a JSON Schema: of the parameter file, from which editors complete, or of findings."""
    if of == "findings":
        from boardgen.export.findings_schema import findings_schema

        _say_json(findings_schema())
    else:
        from boardgen.reading.schema import parameter_schema

        _say_json(parameter_schema())


@main.command()
@click.argument("code", default="*")
@click.option(
    "--format", "form", type=click.Choice(["text", "markdown"]), default="text", show_default=True
)
def rules(code: str, form: str) -> None:
    """List the design rules, or those of a family (gap, looks …), or tell one in full."""
    from boardgen.checks.table import rule_texts
    from boardgen.pages import rules_text
    from boardgen.pages.rules_page import rules_page

    texts, code = rule_texts(), code.lower().rstrip(".")
    found = [rule for rule in texts if fnmatch(rule.code, code) or fnmatch(rule.code, f"{code}.*")]
    if not found:
        near = get_close_matches(code, [rule.code for rule in texts], n=1)
        hint = f'did you mean "{near[0]}"?' if near else "boardgen rules lists all"
        echo(f'there is no rule "{code}"; {hint}', to_stderr=True)
        sys.exit(errors.REFUSED)
    if form == "markdown":
        echo(rules_page(found), nl=False)
    else:
        say(rules_text.rule_lines(found[0]) if len(found) == 1 else rules_text.rules_lines(found))


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--use",
    type=click.Choice(["night-light", "ambience", "task", "indicator"]),
    default="ambience",
    show_default=True,
    help="What the light is for; it sets the current.",
)
def new(file: Path, use: str) -> None:
    """Write a commented parameter file that builds as it stands."""
    sys.exit(each([file], lambda path: _new(path, use)))


def _new(path: Path, use: str) -> int:
    from boardgen.pages.starter import starter
    from boardgen.reading.file_names import board_name
    from boardgen.writing import write_new

    name = board_name(path)
    write_new(path, starter(use, path.name, name.replace("-", " ")[:24].strip() or "Light"))
    echo(f"wrote {path}; build it with: boardgen build {path}")
    return errors.CLEAN


@main.command()
@click.argument("pattern", default="*")
@click.option("--sources", is_flag=True, help="Tell where each figure comes from, too.")
def parts(pattern: str, sources: bool) -> None:
    """List what the catalogue and the land patterns hold."""
    from boardgen.pages.lists_text import parts_lines
    from boardgen.reading.listing import listed

    found = listed(pattern)
    say(parts_lines(found, sources=sources))
    if not found:
        echo(f'nothing is called like "{pattern}"; boardgen parts lists all', to_stderr=True)
        sys.exit(errors.FOUND)


@main.command()
@click.argument("pattern", default="*")
@click.option(
    "--format", "form", type=click.Choice(["text", "markdown"]), default="text", show_default=True
)
def keys(pattern: str, form: str) -> None:
    """List the keys of the parameter file: meaning, unit, default, allowed values, example."""
    from boardgen.pages.lists_text import keys_lines, keys_page
    from boardgen.reading.keys import keys as all_keys

    found = [key for key in all_keys() if key.named(pattern)]
    if not found:
        echo(f'no key is called like "{pattern}"; boardgen keys lists all', to_stderr=True)
        sys.exit(errors.REFUSED)
    if form == "markdown":
        echo(keys_page(found), nl=False)
    else:
        say(keys_lines(found))

"""The command line: parse, call, print, exit; heavy imports live inside the commands."""

import io
import sys
from collections.abc import Callable, Iterable, Sequence
from difflib import get_close_matches
from fnmatch import fnmatch
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from boardgen import errors

if TYPE_CHECKING:
    from boardgen.model.cautions import Caution
    from boardgen.model.design import Design
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


@click.group(epilog=_EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="boardgen")
def main() -> None:
    """LED light boards from one parameter file: circuit, layout, checks, files, proof."""


_files = click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))


def _say(lines: Iterable[str], *, to_stderr: bool = False) -> None:
    for line in lines:
        click.echo(line, err=to_stderr)


def _read(path: Path, changes: "Sequence[Setting]" = ()) -> "Family":
    from boardgen.family import read_family
    from boardgen.reading.source_date import source_date

    return read_family(path, source_date(), changes)


def _each(files: Iterable[Path], work: Callable[[Path], int]) -> None:
    """Do the work for every file, whatever happens to the others; exit with the worst status."""
    sys.exit(max(_guarded(work, path, str(path)) for path in files))


Subject = TypeVar("Subject")


def _guarded(
    work: Callable[[Subject], int],
    subject: Subject,
    name: str,
    noted: "Callable[[str, errors.BoardgenError], None] | None" = None,
) -> int:
    """Do the work and tell its trouble; ``noted`` takes what was refused along."""
    try:
        return work(subject)
    except errors.BoardgenError as error:
        if noted:
            noted(name, error)
        refused = error.exit_status == errors.REFUSED
        click.echo(f"{name}: {'refused' if refused else 'failed'}", err=True)
        click.echo(str(error), err=True)
        return error.exit_status
    except BrokenPipeError:
        # Whoever read the output has seen enough; nothing more is to be said to nobody.
        sys.stdout = io.StringIO()
        return errors.CLEAN
    except Exception as error:  # noqa: BLE001 - whatever it is, it is ours to mend
        if noted:
            noted(name, errors.BoardgenError(f"{type(error).__name__}: a fault of boardgen"))
        click.echo(
            f"{name}: failed: {type(error).__name__}: {str(error)[:200]}\n"
            "    this is a fault of boardgen: please report it with the parameter file",
            err=True,
        )
        return errors.OUR_FAULT


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
            click.echo(f"{member.name}: skipped: {member.skipped}", err=quiet)
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
        found = _guarded(one, member, member.name, noted)
        if not outcomes or outcomes[-1].name != member.name:
            verdict = "refused" if found == errors.REFUSED else "failed"
            outcomes.append(Outcome(name=member.name, verdict=verdict, status=found))
        status = max(status, found)
    return status, outcomes


_only = click.option(
    "--only", metavar="GLOB", help="Only members of a family whose names match, e.g. 'stick-red-*'."
)


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
def build(files: tuple[Path, ...], output: Path, strict: bool, only: str | None) -> None:
    """Build boards: files for the board house, lists, pictures, proof."""
    seen: dict[str, Path] = {}

    def work(path: Path) -> int:
        family, chosen = _chosen(path, only)
        for member in chosen:
            if member.name in seen:
                raise errors.OutputError(
                    f"a board of {seen[member.name]} is called {member.name} too, and both would go"
                    f" into {output / member.name}; rename one, or build it with another -o"
                )
            seen[member.name] = path
        if family.many:
            return _build_family(chosen, output, strict=strict)
        return _members(chosen, lambda parameters: _build(parameters, output, strict=strict))[0]

    _each(files, work)


def _build(parameters: "Parameters", output: Path, *, strict: bool) -> "tuple[int, Outcome]":
    from boardgen.build import build_board
    from boardgen.model.cautions import CLAIM
    from boardgen.outcomes import outcome
    from boardgen.pages import words
    from boardgen.writing import write_folder

    built = build_board(parameters, strict=strict)
    target = output / parameters.name
    write_folder(target, built.files)
    _say(words.findings_lines(built.judgement, built.design), to_stderr=True)
    click.echo(f"{parameters.name}: {words.verdict(built.judgement)}")
    if built.proof is None:
        click.echo(f"no fabrication data was written; pictures and findings are in {target}")
        return errors.FOUND, outcome(built)
    compared = sum(item.compared for item in built.proof.items)
    click.echo(f"proof: {len(built.proof.items)} comparisons of {compared} objects, all equal")
    _say(words.caution_lines(built.cautions))
    click.echo(CLAIM)
    _say(words.next_lines(built.design, str(target)))
    return errors.CLEAN, outcome(built)


def _build_family(chosen: "Iterable[Member]", output: Path, *, strict: bool) -> int:
    """Build members with a line each, then say once what holds for all of them."""
    from boardgen.build import build_board
    from boardgen.model.cautions import CLAIM
    from boardgen.outcomes import outcome
    from boardgen.pages import words
    from boardgen.writing import write_folder

    cautions: dict[str, Caution] = {}

    def work(parameters: "Parameters") -> "tuple[int, Outcome]":
        built = build_board(parameters, strict=strict)
        write_folder(output / parameters.name, built.files)
        _say(words.findings_lines(built.judgement, built.design), to_stderr=True)
        click.echo(words.member_line(parameters.name, built.judgement, built.proof))
        cautions.update({caution.id: caution for caution in built.cautions})
        found = outcome(built)
        return found.status, found

    status, outcomes = _members(chosen, work)
    _say(words.caution_lines(cautions.values()))
    click.echo(CLAIM)
    _say(words.family_lines(outcomes))
    return status


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
    status = max(_checked(path, form, only, log, strict=strict) for path in files)
    if form == "sarif":
        _say_json(log.sarif())
    elif form == "markdown":
        click.echo(log.markdown(), nl=False)
    elif form == "json":
        log.say_json(alone=len(files) == 1)
    elif strict and status == errors.FOUND:
        click.echo("--strict: errors and warnings that are not waived fail")
    sys.exit(status)


def _checked(path: Path, form: str, only: str | None, log: "_Log", *, strict: bool) -> int:
    def work(path: Path) -> int:
        return _check(path, form, only, log, strict=strict)

    return _guarded(work, path, str(path), log.refuser(path))


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
        if alone and not self.many:
            for record in records:
                _say_json(record)
        else:
            _say_json(family_record(records, self.outcomes))

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

    click.echo(json_bytes(record).decode(), nl=False)


def _check(path: Path, form: str, only: str | None, log: _Log, *, strict: bool) -> int:
    from boardgen.build import design_board, judge_board
    from boardgen.outcomes import checked
    from boardgen.pages import words

    family, chosen = _chosen(path, only)
    log.many = log.many or family.many

    def work(parameters: "Parameters") -> "tuple[int, Outcome]":
        made = design_board(parameters)
        judged = judge_board(made)
        log.checked.append((path, made, judged))
        if form == "text":
            _say(words.findings_lines(judged, made))
            if not family.many:
                _say(words.minima_lines(judged))
            click.echo(f"{parameters.name}: {words.verdict(judged)}")
        found = checked(made, judged, strict=strict)
        return found.status, found

    status, outcomes = _members(chosen, work, log.refuser(path), quiet=form in ("json", "sarif"))
    log.outcomes += outcomes
    if form == "text" and family.many:
        _say(words.family_lines(outcomes))
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
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
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

    _each([package], work)


def _verify(path: Path, against: Path | None, overlay: Path | None, form: str) -> int:
    from boardgen.build import verify_package
    from boardgen.pages import words
    from boardgen.pages.overlay import overlay as picture
    from boardgen.writing import write_new

    designs = _parameters(_read(against).members) if against else ()
    if overlay and overlay.suffix != ".svg":
        raise errors.OutputError(f"{overlay}: --overlay writes an SVG; name a file ending in .svg")
    proof = verify_package(path, designs)
    if form == "json":
        _say_proof(proof)
    else:
        _say(words.proof_lines(proof))
        _say(words.proof_verdict(proof, against.name if against else "", drawn=bool(overlay)))
    if overlay:
        write_new(overlay, picture(proof, path.name).decode())
        click.echo(f"wrote {overlay}", err=form == "json")
    return errors.CLEAN if proof.holds else errors.FOUND


def _reproduce(path: Path, file: Path, form: str) -> int:
    from boardgen.reproduce import reproduce

    proof = reproduce(path, _parameters(_read(file).members))
    if form == "json":
        _say_proof(proof)
        return errors.CLEAN if proof.holds else errors.FOUND
    apart = [item for item in proof.items if not item.holds]
    for item in apart:
        click.echo(f"{item.title} differs")
        _say(f"    {found}" for found in item.differences)
    if apart:
        click.echo(f"{len(apart)} of {len(proof.items)} files are not those that {file.name} makes")
        return errors.FOUND
    click.echo(f"identical: {file.name} makes the same {len(proof.items)} files, byte for byte")
    return errors.CLEAN


def _say_proof(proof: "Proof") -> None:
    from boardgen.export.records import proof_record

    _say_json(proof_record(proof))


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@click.option("--resolved", is_flag=True, help="List every value with its origin instead.")
@click.option(
    "--set",
    "tried",
    multiple=True,
    metavar="KEY=VALUE",
    help="Try a value, e.g. supply.from='usb 5 V': what changes, before and after. Repeatable.",
)
@_only
def explain(
    file: Path, form: str, resolved: bool, tried: tuple[str, ...], only: str | None
) -> None:
    """Show the sums step by step: formula, numbers, limit, margin, source. Writes nothing."""

    def work(path: Path) -> int:
        from boardgen.reading.changes import settings

        changes = settings(tried)
        _, chosen = _chosen(path, only)
        if not changes:
            for parameters in _parameters(chosen):
                _explain(parameters, form, resolved=resolved)
            return errors.CLEAN
        # Names of members may follow from what is changed: members are matched by their place.
        places = [member.name for member in _read(path).members]
        after = _read(path, changes).members
        for member in chosen:
            changed = after[places.index(member.name)]
            if not member.skipped:
                (before,), (other,) = _parameters([member]), _parameters([changed])
                _compare(before, other, changes, form)
        return errors.CLEAN

    _each([file], work)


def _compare(
    before: "Parameters", after: "Parameters", changes: "Sequence[Setting]", form: str
) -> None:
    from boardgen.build import compare_boards
    from boardgen.export.explanations import change_record
    from boardgen.model.cautions import CLAIM
    from boardgen.pages import words

    rows = compare_boards(before, after)
    tried = [str(change) for change in changes]
    if form == "json":
        _say_json(change_record(before, tried, rows))
    else:
        _say(words.change_lines(before, tried, rows))
        click.echo(CLAIM)


def _parameters(members: "Iterable[Member]") -> "tuple[Parameters, ...]":
    """Take the boards of members; the first refusal among them is raised."""
    for member in members:
        if member.refusal:
            raise member.refusal
    return tuple(member.parameters for member in members if member.parameters)


def _explain(parameters: "Parameters", form: str, *, resolved: bool) -> None:
    from boardgen.export.explanations import explanation_record
    from boardgen.model.cautions import CLAIM
    from boardgen.pages import words
    from boardgen.reading.provenance import values
    from boardgen.sums import explain_board

    if resolved:
        _say(words.resolved_lines(parameters, values(parameters)))
        return
    steps, refusal = explain_board(parameters)
    if refusal:
        click.echo(
            f"no board follows from it; these are the sums of its circuit:\n{refusal}", err=True
        )
    if form == "json":
        _say_json(explanation_record(parameters, steps))
    else:
        _say(words.explain_lines(parameters, steps))
        click.echo(CLAIM)


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
    from boardgen.pages import words
    from boardgen.pages.rules_page import rules_page

    texts, code = rule_texts(), code.lower().rstrip(".")
    found = [rule for rule in texts if fnmatch(rule.code, code) or fnmatch(rule.code, f"{code}.*")]
    if not found:
        near = get_close_matches(code, [rule.code for rule in texts], n=1)
        hint = f'did you mean "{near[0]}"?' if near else "boardgen rules lists all"
        click.echo(f'there is no rule "{code}"; {hint}', err=True)
        sys.exit(errors.REFUSED)
    if form == "markdown":
        click.echo(rules_page(found), nl=False)
    else:
        _say(words.rule_lines(found[0]) if len(found) == 1 else words.rules_lines(found))


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
    _each([file], lambda path: _new(path, use))


def _new(path: Path, use: str) -> int:
    from boardgen.pages.starter import starter
    from boardgen.reading.parameters import board_name
    from boardgen.writing import write_new

    name = board_name(path)
    write_new(path, starter(use, path.name, name.replace("-", " ")[:24].strip() or "Light"))
    click.echo(f"wrote {path}; build it with: boardgen build {path}")
    return errors.CLEAN


@main.command()
@click.argument("pattern", default="*")
def parts(pattern: str) -> None:
    """List what the catalogue and the land patterns hold: sizes, source, standing."""
    from boardgen.pages import words
    from boardgen.reading.listing import listed

    found = listed(pattern)
    _say(words.parts_lines([(part.key, part.name, part.facts, part.source) for part in found]))
    if not found:
        click.echo(f'nothing is called like "{pattern}"; boardgen parts lists all', err=True)
        sys.exit(errors.FOUND)

"""The command line: parse, call, print, exit; heavy imports live inside the commands."""

import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from boardgen import errors

if TYPE_CHECKING:
    from boardgen.model.parameters import Parameters

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


def _read(path: Path) -> "Parameters":
    from boardgen.reading.parameters import read
    from boardgen.reading.source_date import source_date

    (parameters,) = read(path, source_date())
    return parameters


def _each(files: Iterable[Path], work: Callable[[Path], int]) -> None:
    """Do the work for every file, whatever happens to the others; exit with the worst status."""
    sys.exit(max(_guarded(work, path) for path in files))


def _guarded(work: Callable[[Path], int], path: Path) -> int:
    try:
        return work(path)
    except errors.BoardgenError as error:
        refused = error.exit_status == errors.REFUSED
        click.echo(f"{path}: {'refused' if refused else 'failed'}", err=True)
        click.echo(str(error), err=True)
        return error.exit_status
    except Exception as error:  # noqa: BLE001 - whatever it is, it is ours to mend
        click.echo(
            f"{path}: failed: {type(error).__name__}: {str(error)[:200]}\n"
            "    this is a fault of boardgen: please report it with the parameter file",
            err=True,
        )
        return errors.OUR_FAULT


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
def build(files: tuple[Path, ...], output: Path) -> None:
    """Build boards: files for the board house, lists, pictures, proof."""
    seen: set[str] = set()

    def work(path: Path) -> int:
        if path.stem in seen:
            raise errors.OutputError(
                f"another file of this run is called {path.stem} too, and both boards would go into"
                f" {output / path.stem}; rename one, or build it with another -o"
            )
        seen.add(path.stem)
        return _build(path, output)

    _each(files, work)


def _build(path: Path, output: Path) -> int:
    from boardgen.build import build_board
    from boardgen.export.records import CLAIM
    from boardgen.pages import words
    from boardgen.writing import write_folder

    parameters = _read(path)
    built = build_board(parameters)
    target = output / parameters.name
    write_folder(target, built.files)
    _say(words.findings_lines(built.findings, built.design), to_stderr=True)
    click.echo(f"{parameters.name}: {words.verdict(built.findings)}")
    if built.proof is None:
        click.echo(f"no fabrication data was written; pictures and findings are in {target}")
        return errors.FOUND
    compared = sum(item.compared for item in built.proof.items)
    click.echo(f"proof: {len(built.proof.items)} comparisons of {compared} objects, all equal")
    _say(words.caution_lines(built.cautions))
    click.echo(CLAIM)
    click.echo(f"upload {target / (parameters.name + '-fabrication.zip')}")
    click.echo("The board house's preview should show:")
    _say(words.expect_lines(built.design))
    return errors.CLEAN


@main.command()
@_files
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
def check(files: tuple[Path, ...], form: str) -> None:
    """Check designs by the rules; write nothing."""
    _each(files, lambda path: _check(path, form))


def _check(path: Path, form: str) -> int:
    from boardgen.build import design_board
    from boardgen.checks.table import check as run_rules
    from boardgen.export.records import findings_record, json_bytes
    from boardgen.model.findings import Severity
    from boardgen.pages import words

    made = design_board(_read(path))
    findings = run_rules(made)
    if form == "json":
        click.echo(json_bytes(findings_record(findings, made)).decode(), nl=False)
    else:
        _say(words.findings_lines(findings, made))
        click.echo(f"{made.parameters.name}: {words.verdict(findings)}")
    bad = any(finding.severity is Severity.ERROR for finding in findings)
    return errors.FOUND if bad else errors.CLEAN


@main.command()
@click.argument("package", type=click.Path(path_type=Path))
@click.option(
    "--against",
    type=click.Path(path_type=Path),
    help="The parameter file that the package should have been built from.",
)
def verify(package: Path, against: Path | None) -> None:
    """Read a written package (folder or zip) back and judge it."""
    _each([package], lambda path: _verify(path, against))


def _verify(path: Path, against: Path | None) -> int:
    from boardgen.build import verify_package
    from boardgen.pages import words

    proof = verify_package(path, _read(against) if against else None)
    _say(words.proof_lines(proof))
    wrong = sum(not item.holds for item in proof.items)
    if not proof.holds:
        click.echo(f"the package is wrong, in {wrong} of {len(proof.items)} comparisons")
    elif against:
        click.echo(f"the package holds, and is what {against.name} describes")
    else:
        click.echo("the package holds in itself; --against FILE compares it with its design")
    return errors.CLEAN if proof.holds else errors.FOUND


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@click.option("--resolved", is_flag=True, help="List every value with its origin instead.")
def explain(file: Path, form: str, resolved: bool) -> None:
    """Show the sums step by step: formula, numbers, limit, margin, source."""
    _each([file], lambda path: _explain(path, form, resolved=resolved))


def _explain(path: Path, form: str, *, resolved: bool) -> int:
    from boardgen.electrical.explain import explain as explain_steps
    from boardgen.electrical.size import size
    from boardgen.export.records import CLAIM, explanation_record, json_bytes
    from boardgen.pages import words
    from boardgen.reading.provenance import values

    parameters = _read(path)
    if resolved:
        _say(words.resolved_lines(parameters, values(parameters)))
        return errors.CLEAN
    steps = explain_steps(parameters, size(parameters))
    if form == "json":
        click.echo(json_bytes(explanation_record(parameters, steps)).decode(), nl=False)
    else:
        _say(words.explain_lines(parameters, steps))
        click.echo(CLAIM)
    return errors.CLEAN

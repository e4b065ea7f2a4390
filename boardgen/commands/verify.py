"""``boardgen verify``: a written package read back."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from boardgen import errors
from boardgen.commands.shared import boards_of, format_option, leave, read, say_json
from boardgen.terminal import echo, say

if TYPE_CHECKING:
    from boardgen.model.proof import Proof


@click.command()
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
@format_option
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

    leave([package], work, form)


def _verify(path: Path, against: Path | None, overlay: Path | None, form: str) -> int:
    from boardgen.pages import proof_text
    from boardgen.pages.overlay import overlay as picture
    from boardgen.verifying import verify_package
    from boardgen.writing import write_new

    designs = boards_of(read(against).members) if against else ()
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

    proof = reproduce(path, boards_of(read(file).members))
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

    say_json(proof_record(proof))

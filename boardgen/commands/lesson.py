"""``boardgen lesson``: worksheet and answers for a class, with a fault to find."""

from pathlib import Path

import click

from boardgen import errors
from boardgen.commands.shared import chosen_of, leave, only_option, output_option, sound_designs
from boardgen.terminal import echo


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--fault",
    "told",
    multiple=True,
    metavar="PART=FAULT",
    help="A fault to find: D3=turned, D3=open, D3=bridged, R2=open, R2=bridged, R2=1k. Repeatable."
    "  [default: one LED is turned round]",
)
@output_option
@only_option
def lesson(file: Path, told: tuple[str, ...], output: Path, only: str | None) -> None:
    """Write a class's worksheet, with a fault to find, and its answers."""

    def work(path: Path) -> int:
        from boardgen.electrical import faults
        from boardgen.export.records import list_of_files
        from boardgen.pages.schematic import schematics
        from boardgen.papers.lesson import lesson_pages
        from boardgen.reading.faults import faults_of
        from boardgen.writing import write_folder

        _, chosen = chosen_of(path, only)
        designs = sound_designs(chosen)
        if designs is None:
            return errors.FOUND
        for design in designs:
            parameters = design.parameters
            found = faults.lesson(design.circuit, faults_of(told, design.circuit))
            (diagram,) = schematics(design)
            files = lesson_pages(design, found, diagram.content.decode())
            target = output / f"{parameters.name}-class"
            record = list_of_files("lesson", files, board=parameters.name, faults=list(told))
            write_folder(target, (*files, record))
            echo(f"{parameters.name}: {target}/worksheet.html for the class,")
            echo(f"{' ' * len(parameters.name)}  {target}/answers.html for you")
        return errors.CLEAN

    leave([file], work)

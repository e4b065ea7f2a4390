"""``boardgen kit``: what a number of sets needs."""

from pathlib import Path

import click

from boardgen import errors
from boardgen.commands.shared import chosen_of, leave, only_option, output_option, sound_designs
from boardgen.terminal import echo

_MOST_SETS = 10_000


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--sets",
    type=click.IntRange(1, _MOST_SETS),
    required=True,
    help="How many sets; of a family a set holds one of each member.",
)
@output_option
@only_option
def kit(file: Path, sets: int, output: Path, only: str | None) -> None:
    """Write the purchase list of a number of sets, bag labels and a log to fill in."""

    def work(path: Path) -> int:
        from boardgen.electrical.cautions import cautions
        from boardgen.export.records import list_of_files
        from boardgen.papers.kit import kit_files
        from boardgen.reading import catalogue
        from boardgen.writing import write_folder

        _, chosen = chosen_of(path, only)
        designs = sound_designs(chosen)
        if designs is None:
            return errors.FOUND
        known = catalogue.cautions()
        every = {one.id: one for design in designs
                 for one in cautions(known, design.parameters, design.circuit)}  # fmt: skip
        files = kit_files(designs, sets, tuple(every.values()))
        target = output / f"{path.stem}-kit"
        names = [design.parameters.name for design in designs]
        record = list_of_files("kit", files, boards=names, sets=sets)
        write_folder(target, (*files, record))
        echo(f"{sets} sets of {', '.join(names)}: {target}/purchase.csv for the shop,")
        echo(f"{target}/kit.html with labels for bags, a log and the repairs to expect")
        return errors.CLEAN

    leave([file], work)

"""``boardgen solid``: the board as a solid, for a viewer of three dimensions."""

from importlib.util import find_spec
from pathlib import Path

import click

from boardgen import errors
from boardgen.commands.shared import chosen_of, leave, only_option, output_option, sound_designs
from boardgen.terminal import echo


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@output_option
@only_option
def solid(file: Path, output: Path, only: str | None) -> None:
    """Write a board as a solid (board.glb), to turn it on the screen or to fit a case."""

    def work(path: Path) -> int:
        from boardgen.export.records import list_of_files
        from boardgen.pages.solid import solid_file
        from boardgen.writing import write_folder

        if find_spec("trimesh") is None:
            raise errors.RefusalError(
                errors.Problem(
                    what="solids need a library that is not installed here",
                    remedy="install it with: pip install 'boardgen[3d]'",
                )
            )
        _, chosen = chosen_of(path, only)
        designs = sound_designs(chosen)
        if designs is None:
            return errors.FOUND
        for design in designs:
            name = design.parameters.name
            files = (solid_file(design),)
            target = output / f"{name}-solid"
            write_folder(target, (*files, list_of_files("solid", files, board=name)))
            echo(f"{name}: {target}/board.glb, a board of true size with its parts")
        return errors.CLEAN

    leave([file], work)

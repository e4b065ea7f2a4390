"""Texts of licences that ship with boardgen, for those who publish under them."""

from dataclasses import astuple

from boardgen.model.outputs import OutputFile
from boardgen.model.sections import Licence
from boardgen.reading.files import catalogue_folder


def licence_texts(licence: Licence | None) -> tuple[OutputFile, ...]:
    """Give the texts of the licences chosen, as far as they are shipped, each once."""
    folder = catalogue_folder() / "licences"
    names = sorted({name for name in astuple(licence) if name} if licence else ())
    return tuple(
        OutputFile(path=f"licences/{name}.txt", content=found.read_bytes())
        for name in names
        if (found := folder / f"{name}.txt").is_file()
    )

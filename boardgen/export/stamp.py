"""What every file says of its making: program, date, project; the same on every machine."""

import hashlib
import uuid
from dataclasses import dataclass
from importlib.metadata import version

from boardgen.model.design import Design


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """Program version, ISO date, the project's name, identity and revision, and its files."""

    program_version: str
    created: str
    project: str
    identity: str
    revision: str
    files: tuple[str, ...]


def stamp(design: Design) -> Stamp:
    """Make the stamp from the design alone: no clock, no path, no chance.

    The identity is a digest of keys and values, but for what was measured, in the form of a
    random UUID (RFC 4122 version 4), because the Gerber specification (2023.08, 5.6.8) admits
    versions 1 and 4 only.
    """
    parameters = design.parameters
    digest = hashlib.sha256(f"{parameters.name}\n{parameters.meaning_sha256}".encode()).digest()
    return Stamp(
        program_version=version("boardgen"),
        created=f"{parameters.date}T00:00:00+00:00",
        project=parameters.name,
        identity=str(uuid.UUID(bytes=digest[:16], version=4)),
        revision=parameters.board.revision,
        files=fabrication_files(design),
    )


def fabrication_files(design: Design) -> tuple[str, ...]:
    """List the files of the package by what follows the board's name: layers, drills, lists.

    Each Gerber file carries this list, so that a package tells by itself when one is missing.
    """
    plated = design.artwork.drilled
    drills = [name for name, way in (("plated", True), ("unplated", False)) if way in plated]
    return (*(layer.name for layer in design.artwork.layers), *drills, "netlist", "job")

"""What every file says of its making: program, date, project; the same on every machine."""

import hashlib
import uuid
from dataclasses import dataclass
from importlib.metadata import version

from boardgen.model.parameters import Parameters


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """Program version, ISO date and the project's name, identity and revision."""

    program_version: str
    created: str
    project: str
    identity: str
    revision: str


def stamp(parameters: Parameters) -> Stamp:
    """Make the stamp from the parameters alone: no clock, no path, no chance.

    The identity is a digest of the parameter file in the form of a random UUID (RFC 4122 version
    4), because the Gerber specification (2023.08, 5.6.8) admits versions 1 and 4 only.
    """
    digest = hashlib.sha256(f"{parameters.name}\n{parameters.text_sha256}".encode()).digest()
    return Stamp(
        program_version=version("boardgen"),
        created=f"{parameters.date}T00:00:00+00:00",
        project=parameters.name,
        identity=str(uuid.UUID(bytes=digest[:16], version=4)),
        revision=parameters.board.revision,
    )

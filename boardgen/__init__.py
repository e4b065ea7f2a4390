"""LED light boards from one parameter file: circuit, layout, checks, fabrication files and proof.

Every name below is loaded when it is first used, so that ``boardgen --help`` stays quick.

Examples
--------
>>> from pathlib import Path
>>> import boardgen
>>> (parameters,) = boardgen.read(Path("examples/usb-shelf/usb-shelf.toml"))  # doctest: +SKIP
>>> built = boardgen.build_board(parameters)  # doctest: +SKIP
>>> built.findings, built.proof  # doctest: +SKIP
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from boardgen.build import Built as Built
    from boardgen.build import build_board as build_board
    from boardgen.designing import design_board as design_board
    from boardgen.doors import board as board
    from boardgen.doors import family as family
    from boardgen.doors import read as read
    from boardgen.doors import read_family as read_family
    from boardgen.errors import BoardgenError as BoardgenError
    from boardgen.errors import OutputError as OutputError
    from boardgen.errors import PackageError as PackageError
    from boardgen.errors import ProofError as ProofError
    from boardgen.errors import RefusalError as RefusalError
    from boardgen.model.design import Design as Design
    from boardgen.model.family import Family as Family
    from boardgen.model.family import Member as Member
    from boardgen.model.findings import Finding as Finding
    from boardgen.model.parameters import Parameters as Parameters
    from boardgen.model.proof import Proof as Proof
    from boardgen.verifying import verify_package as verify_package
    from boardgen.writing import write_folder as write_folder

_HOMES = {
    "Built": "boardgen.build",
    "build_board": "boardgen.build",
    "board": "boardgen.doors",
    "design_board": "boardgen.designing",
    "verify_package": "boardgen.verifying",
    "BoardgenError": "boardgen.errors",
    "OutputError": "boardgen.errors",
    "PackageError": "boardgen.errors",
    "ProofError": "boardgen.errors",
    "RefusalError": "boardgen.errors",
    "Design": "boardgen.model.design",
    "Family": "boardgen.model.family",
    "Member": "boardgen.model.family",
    "family": "boardgen.doors",
    "read_family": "boardgen.doors",
    "Finding": "boardgen.model.findings",
    "Parameters": "boardgen.model.parameters",
    "Proof": "boardgen.model.proof",
    "read": "boardgen.doors",
    "write_folder": "boardgen.writing",
}


def __getattr__(name: str) -> object:
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"boardgen has no {name}")


def __dir__() -> list[str]:
    return sorted(_HOMES)

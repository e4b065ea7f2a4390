"""The table of exporters: one row each, in the order in which files are listed."""

from collections.abc import Callable
from dataclasses import dataclass

from boardgen.export.gerber import gerber
from boardgen.export.job import job
from boardgen.export.lists import bom, placement
from boardgen.export.netlist import netlist
from boardgen.export.xnc import drills
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFiles


@dataclass(frozen=True, slots=True, kw_only=True)
class Exporter:
    """A format: its name, the document that it follows, whether it is for fabrication."""

    name: str
    follows: str
    fabrication: bool
    write: Callable[[Design], OutputFiles]


EXPORTERS = (
    Exporter(
        name="Gerber layers",
        follows="Gerber Layer Format Specification 2023.08, read",
        fabrication=True,
        write=gerber,
    ),
    Exporter(
        name="drill files",
        follows="XNC, from secondary texts",
        fabrication=True,
        write=drills,
    ),
    Exporter(
        name="test netlist",
        follows="IPC-D-356A, columns from a reader and secondary texts",
        fabrication=True,
        write=netlist,
    ),
    Exporter(
        name="job file",
        follows="Gerber job file, structure from public samples",
        fabrication=True,
        write=job,
    ),
    Exporter(name="bill of materials", follows="RFC 4180", fabrication=False, write=bom),
    Exporter(name="placement list", follows="RFC 4180", fabrication=False, write=placement),
)


def export(design: Design, *, fabrication: bool) -> OutputFiles:
    """Write all formats of one sort: for the board house, or for the bench."""
    return tuple(
        file
        for exporter in EXPORTERS
        if exporter.fabrication is fabrication
        for file in exporter.write(design)
    )

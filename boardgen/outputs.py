"""The table of what a build writes: one row for each sort of file, in the order of the list."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum

from boardgen.export import lists
from boardgen.export.gerber import gerber
from boardgen.export.job import job
from boardgen.export.netlist import netlist
from boardgen.export.package import package
from boardgen.export.records import findings_file, manifest
from boardgen.export.xnc import drills
from boardgen.model.cautions import Caution
from boardgen.model.design import Design
from boardgen.model.explanation import Sums
from boardgen.model.findings import Judgement
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.proof import Proof
from boardgen.pages.assembled import assembled
from boardgen.pages.dimensions import dimensions
from boardgen.pages.film import films
from boardgen.pages.light_map import light_maps
from boardgen.pages.oblique import oblique
from boardgen.pages.order import order_sheet
from boardgen.pages.placement import placements
from boardgen.pages.preview import previews
from boardgen.pages.schematic import schematics
from boardgen.papers.bench_sheet import bench_sheet
from boardgen.papers.guide import guide
from boardgen.papers.order_page import order_page
from boardgen.papers.report import report_page


class Role(Enum):
    """What files are for, and with that what they need and when they are written."""

    PICTURE = "of every board: of its design alone"
    FINDINGS = "of every board: of what the rules say"
    FABRICATION = "of sound boards, proven: of the design alone"
    UPLOAD = "of sound boards: of the fabrication files"
    LIST = "of sound boards, for the bench: of the design alone"
    SHEET = "of sound boards: of what the proof measured"
    BENCH = "of sound boards, for the bench: of the design and its cautions"
    REPORT = "of every board, nearly last: of all that is known"
    MANIFEST = "of every board, last: of all that was written"


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """All that is known of a board while its files are written, one role after the other.

    ``judgement`` stands from the findings on, ``proof`` from the fabrication files on where the
    rules let them be made; ``sums`` are needed by the report.
    """

    design: Design
    judgement: Judgement
    sums: Sums | None = None
    cautions: tuple[Caution, ...] = ()
    proof: Proof | None = None
    files: OutputFiles = ()

    def adding(self, *roles: Role) -> "Report":
        """Write the files of roles, one after the other."""
        report = self
        for role in roles:
            report = replace(report, files=(*report.files, *written(report, role)))
        return report


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """A sort of file: its name, what it is for, the document that it follows, who writes it."""

    name: str
    role: Role
    write: Callable[[Report], OutputFiles]
    follows: str = ""


def _designed(write: Callable[[Design], OutputFiles]) -> Callable[[Report], OutputFiles]:
    return lambda report: write(report.design)


def _order_sheet(report: Report) -> OutputFiles:
    if report.proof is None:
        raise AssertionError("an order sheet tells what the proof measured")
    return (order_sheet(report.design, report.proof),)


def _report(report: Report) -> OutputFiles:
    if report.sums is None:
        raise AssertionError("a report tells the sums")
    made: OutputFile = report_page(
        report.design, report.judgement, report.sums, report.cautions, report.proof, report.files
    )
    return (made,)


def _bench(
    write: Callable[[Design, tuple[Caution, ...]], OutputFile],
) -> Callable[[Report], OutputFiles]:
    return lambda report: (write(report.design, report.cautions),)


def _guide(report: Report) -> OutputFiles:
    return (guide(report.design, report.cautions, report.files),)


def _order_page(report: Report) -> OutputFiles:
    if report.proof is None:
        raise AssertionError("an order page tells what the proof measured")
    return (order_page(report.design, report.cautions, report.proof),)


def _package(report: Report) -> OutputFiles:
    return (package(report.design.parameters.name, report.files),)


def _findings(report: Report) -> OutputFiles:
    return (findings_file(report.judgement, report.design),)


def _manifest(report: Report) -> OutputFiles:
    made: OutputFile = manifest(
        report.design, report.judgement, report.cautions, report.files, report.proof
    )
    return (made,)


OUTPUTS = (
    Output(name="previews", role=Role.PICTURE, write=_designed(previews)),
    Output(name="slanting view", role=Role.PICTURE, write=_designed(oblique)),
    Output(name="dimension drawing", role=Role.PICTURE, write=_designed(dimensions)),
    Output(name="placement pictures", role=Role.PICTURE, write=_designed(placements)),
    Output(name="circuit diagram", role=Role.PICTURE, write=_designed(schematics)),
    Output(name="light on a plane", role=Role.PICTURE, write=_designed(light_maps)),
    Output(name="boards joined", role=Role.PICTURE, write=_designed(assembled)),
    Output(name="films", role=Role.PICTURE, write=_designed(films)),
    Output(name="findings", role=Role.FINDINGS, write=_findings),
    Output(
        name="Gerber layers",
        role=Role.FABRICATION,
        write=_designed(gerber),
        follows="Gerber Layer Format Specification 2023.08, read",
    ),
    Output(
        name="drill files",
        role=Role.FABRICATION,
        write=_designed(drills),
        follows="XNC, from secondary texts",
    ),
    Output(
        name="test netlist",
        role=Role.FABRICATION,
        write=_designed(netlist),
        follows="IPC-D-356A, columns from a reader and secondary texts",
    ),
    Output(
        name="job file",
        role=Role.FABRICATION,
        write=_designed(job),
        follows="Gerber job file, structure from public samples",
    ),
    Output(name="package", role=Role.UPLOAD, write=_package, follows="ZIP, stored only"),
    Output(
        name="bill of materials", role=Role.LIST, write=_designed(lists.bom), follows="RFC 4180"
    ),
    Output(
        name="placement list", role=Role.LIST, write=_designed(lists.placement), follows="RFC 4180"
    ),
    Output(name="order sheet", role=Role.SHEET, write=_order_sheet),
    Output(name="order page", role=Role.SHEET, write=_order_page, follows="HTML, WHATWG"),
    Output(name="assembly guide", role=Role.BENCH, write=_guide, follows="HTML, WHATWG"),
    Output(name="test sheet", role=Role.BENCH, write=_bench(bench_sheet), follows="HTML, WHATWG"),
    Output(name="report", role=Role.REPORT, write=_report, follows="HTML, WHATWG"),
    Output(name="manifest", role=Role.MANIFEST, write=_manifest),
)


_UNJUDGED = Judgement(findings=(), minima=(), skipped=())


def export(design: Design, *, fabrication: bool) -> OutputFiles:
    """Write what a design alone decides: files for the board house, or lists for the bench."""
    role = Role.FABRICATION if fabrication else Role.LIST
    return written(Report(design=design, judgement=_UNJUDGED), role)


def written(report: Report, role: Role) -> OutputFiles:
    """Write the files of one role."""
    return tuple(file for output in OUTPUTS if output.role is role for file in output.write(report))

"""The report: one page with what is known of a board, for designer, teacher and reviewer."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict

from boardgen.export.explanations import explanation_record
from boardgen.export.records import findings_record, proof_record
from boardgen.model.cautions import Caution
from boardgen.model.circuit import BranchKind, Circuit, Corner
from boardgen.model.design import Design
from boardgen.model.explanation import Sums
from boardgen.model.findings import Judgement
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.parameters import Parameters
from boardgen.model.proof import Proof
from boardgen.pages.findings_text import verdict
from boardgen.pages.layers import layer_names, layer_picture
from boardgen.papers.facts import Facts, board_facts, caution_facts, parts_facts
from boardgen.papers.render import page
from boardgen.reading.resolved import resolved_lines

_LOOKS = ("finished-top", "finished-bottom", "oblique", "preview-top", "preview-bottom", "light",
          "assembled")  # fmt: skip


def report_page(
    design: Design,
    judgement: Judgement,
    sums: Sums,
    cautions: Sequence[Caution],
    proof: Proof | None,
    files: OutputFiles,
) -> OutputFile:
    """Write ``report.html``; ``files`` are all that were written before it."""
    facts = report_facts(design, judgement, sums, cautions, proof, files)
    return OutputFile(
        path="report.html", content=page("report.html", facts, report_pictures(design, files))
    )


def report_pictures(design: Design, files: OutputFiles) -> dict[str, str]:
    """Take the pictures that were written, and draw the layers."""
    shown = {f"{name}.svg": name for name in (*_LOOKS, "schematic")}
    made = {shown[file.path]: file.content.decode() for file in files if file.path in shown}
    return made | {"layers": layer_picture(design)}


def report_facts(
    design: Design,
    judgement: Judgement,
    sums: Sums,
    cautions: Sequence[Caution],
    proof: Proof | None,
    files: OutputFiles,
) -> Facts:
    """Tell what the page says, of the same records that machines get."""
    return {
        "board": board_facts(design),
        "layers": layer_names(design),
        "looks": [name for name in _LOOKS if any(f"{name}.svg" == file.path for file in files)],
        "sound": proof is not None,
        "verdict": verdict(judgement),
        "explanation": explanation_record(sums),
        "findings": findings_record(judgement, design),
        "proof": proof_record(proof) if proof else None,
        "files": [{"path": file.path, "sha256": file.sha256} for file in files],
        "corners": [_kind_facts(kind, design) for kind in design.circuit.kinds],
        "loads": list(_loads(design.circuit, design.parameters)),
        "parts": parts_facts(design),
        "cautions": caution_facts(cautions),
        "parameters": [_told(line) for line in resolved_lines(design.parameters)],
    }


def _kind_facts(kind: BranchKind, design: Design) -> Facts:
    return {
        "of": kind.of,
        "count": len(design.circuit.places(kind)),
        "corners": [_corner(corner, kind.leds) for corner in (kind.low, kind.nominal, kind.high)],
    }


def _corner(corner: Corner, leds: int) -> Facts:
    return {**asdict(corner), "ballast_w": corner.ballast_w, "led_w": corner.led_w(leds)}


def _loads(circuit: Circuit, parameters: Parameters) -> Iterator[Facts]:
    """Tell how much of what it bears each kind of part carries at worst."""
    limits, parts = parameters.parts.limits, parameters.parts
    for kind in circuit.kinds:
        yield _load(f"LED, branches of {kind.of}", kind.led_load, limits.led_share)
        share = kind.ballast.worst_w / kind.ballast.derated_w if kind.ballast.derated_w else 0.0
        yield _load(f"resistor, branches of {kind.of}", share, limits.resistor_share)
    rated = {parts.connector.name: parts.connector.rating_a}
    rated |= {parts.switch.name: parts.switch.rating_a} if parts.switch else {}
    rated |= {parts.reverse.name: parts.reverse.rating_a} if parts.reverse else {}
    for name, rating in rated.items():
        yield _load(name, circuit.worst_a / rating, limits.connector_share)


def _load(what: str, share: float, allowed: float) -> Facts:
    return {"what": what, "share": share, "allowed": allowed}


def _told(line: str) -> Facts:
    value, _, origin = line.rpartition("   # ")
    return {"line": value or line, "origin": origin if value else ""}

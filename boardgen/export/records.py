"""Records for machines: findings and the manifest, as JSON that says its schema."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from importlib.metadata import version
from typing import Any

from boardgen.errors import BoardgenError, Problem, RefusalError
from boardgen.export.json_text import json_bytes
from boardgen.export.stamp import stamp
from boardgen.geometry.regions import geos_version
from boardgen.model.cautions import CLAIM, Caution
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Judgement, Severity
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.proof import Proof

FINDINGS_SCHEMA = "boardgen.findings/3"
FAMILY_SCHEMA = "boardgen.family/3"
MANIFEST_SCHEMA = "boardgen.build/1"
REFUSAL_SCHEMA = "boardgen.refusal/1"
PROOF_SCHEMA = "boardgen.proof/1"
_LIBRARIES = ("jinja2", "numpy", "pygerber", "schemdraw", "shapely", "svgwrite")


def finding_record(finding: Finding, design: Design) -> dict[str, Any]:
    """Turn a finding into plain data, with the line of the parameter file it points at."""
    origin = design.parameters.origin(finding.path) if finding.path else None
    return {
        "id": finding.id,
        "code": finding.code,
        "severity": finding.severity.value,
        "message": finding.message,
        "actual": finding.actual,
        "limit": finding.limit,
        "place_mm": finding.place_mm,
        "subjects": finding.subjects,
        "path": finding.path,
        "changes": [asdict(change) for change in finding.changes],
        "no_change": finding.no_change,
        "file": design.parameters.file,
        "line": origin.line if origin else 0,
        "waived": finding.waived,
    }


def findings_record(judged: Judgement, design: Design) -> dict[str, Any]:
    """Turn all that the rules say of a board into plain data; waived findings do not count."""
    return {
        "schema": FINDINGS_SCHEMA,
        "board": design.parameters.name,
        "counts": _counts(judged),
        "findings": [finding_record(finding, design) for finding in judged.findings],
        "minima": [
            {**asdict(least), "margin_mm": round(least.margin_mm, 6)} for least in judged.minima
        ],
        "not_applicable": [asdict(rule) for rule in judged.skipped],
    }


def _counts(judged: Judgement) -> dict[str, int]:
    waived = sum(bool(finding.waived) for finding in judged.findings)
    return {severity.value: judged.count(severity) for severity in Severity} | {"waived": waived}


def refusal_record(name: str, error: BoardgenError) -> dict[str, Any]:
    """Turn what was refused or failed into plain data, problem by problem."""
    problems = error.problems if isinstance(error, RefusalError) else (Problem(what=str(error)),)
    return {
        "schema": REFUSAL_SCHEMA,
        "name": name,
        "exit_status": error.exit_status,
        "problems": [asdict(problem) for problem in problems],
    }


def built_record(design: Design, judged: Judgement, proof: Proof | None) -> dict[str, Any]:
    """Turn what became of a built board into plain data."""
    return {
        "board": design.parameters.name,
        "made": proof is not None,
        "counts": _counts(judged),
        "compared": sum(item.compared for item in proof.items) if proof else 0,
    }


def family_record(boards: Sequence[dict[str, Any]], members: Sequence[Any]) -> dict[str, Any]:
    """Gather the findings of all members; ``members`` are the rows of the closing table."""
    return {
        "schema": FAMILY_SCHEMA,
        "members": [asdict(member) for member in members],
        "boards": list(boards),
    }


def findings_file(judged: Judgement, design: Design) -> OutputFile:
    """Write ``findings.json``."""
    return OutputFile(path="findings.json", content=json_bytes(findings_record(judged, design)))


def proof_record(proof: Proof) -> dict[str, Any]:
    """Turn a proof into plain data: every comparison, every difference, what was measured."""
    return {
        "schema": PROOF_SCHEMA,
        "holds": proof.holds,
        "comparisons": [
            {
                "title": item.title,
                "compared": item.compared,
                "differences": [asdict(found) for found in item.differences],
            }
            for item in proof.items
        ],
        "measures": [asdict(measure) for measure in proof.measures],
    }


def list_of_files(
    kind: str, files: OutputFiles, *, editable: Mapping[str, str] | None = None, **told: object
) -> OutputFile:
    """Write ``build.json`` for a folder that is no board's package: what it is, and digests.

    ``editable`` gives what stands for a digest where people go on writing.
    """
    record = {
        "schema": MANIFEST_SCHEMA,
        "kind": kind,
        **told,
        "files": {file.path: file.sha256 for file in sorted(files, key=lambda file: file.path)}
        | dict(editable or {}),
    }
    return OutputFile(path="build.json", content=json_bytes(record))


def versions(design: Design) -> dict[str, str]:
    """Tell which versions make a board's files; GEOS, the geometry library's own, may matter."""
    return {
        "boardgen": stamp(design).program_version,
        **{name: version(name) for name in _LIBRARIES},
        "geos": geos_version(),
    }


def manifest(
    design: Design,
    judged: Judgement,
    cautions: Sequence[Caution],
    files: OutputFiles,
    proof: Proof | None,
) -> OutputFile:
    """Write ``build.json``: inputs, versions, digests of every file, proof, cautions."""
    parameters = design.parameters
    record = {
        "schema": MANIFEST_SCHEMA,
        "board": parameters.name,
        "title": parameters.board.title,
        "revision": parameters.board.revision,
        "author": parameters.board.author,
        "licence": asdict(parameters.board.licence) if parameters.board.licence else None,
        "date": parameters.date,
        "program": versions(design),
        "parameters": {"file": parameters.file, "sha256": parameters.text_sha256},
        "built": asdict(parameters.built) if parameters.built else None,
        "house": {"name": design.limits.house, "source": design.limits.source},
        "claim": CLAIM,
        "cautions": [
            {"id": caution.id, "signal": caution.signal, "text": caution.text}
            for caution in cautions
            if "manifest" in caution.shown
        ],
        "findings": _counts(judged),
        "waived": {f.id: f.waived for f in judged.findings if f.waived},
        "proof": None
        if proof is None
        else [
            {"title": item.title, "compared": item.compared, "holds": item.holds}
            for item in proof.items
        ],
        "files": {file.path: file.sha256 for file in sorted(files, key=lambda file: file.path)},
    }
    return OutputFile(path="build.json", content=json_bytes(record))

"""SARIF 2.1.0: findings as CI front ends show them, at the parameter file's line."""

import hashlib
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from importlib.metadata import version
from typing import Any

from boardgen.model.design import Design
from boardgen.model.findings import Finding, Judgement, RuleText, Severity, Skipped

_SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
_LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.INFORMATION: "note"}
_FINGERPRINT = "boardgen/v1"

Record = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """A design that was judged, and the address of its parameter file, relative, with ``/``."""

    design: Design
    judgement: Judgement
    uri: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A file, or a member of a family, from which no board follows: in words, with the line."""

    uri: str
    line: int
    message: str


def sarif_log(
    rules: Sequence[RuleText], checked: Sequence[Checked], refused: Sequence[Refused] = ()
) -> Record:
    """Write one run with the findings of any number of boards.

    Waived findings are suppressed results with their reason; rules that do not apply are results
    of that kind; refusals are notifications of a run that did not succeed.
    """
    places = {rule.code: place for place, rule in enumerate(rules)}
    results = [
        result
        for one in checked
        for result in (
            *(_result(finding, one, places) for finding in one.judgement.findings),
            *(_not_applicable(rule, one, places) for rule in one.judgement.skipped),
        )
    ]
    run: Record = {
        "tool": {
            "driver": {
                "name": "boardgen",
                "version": version("boardgen"),
                "rules": [_rule(rule) for rule in rules],
            }
        },
        "invocations": [
            {
                "executionSuccessful": not refused,
                "toolExecutionNotifications": [_notification(refusal) for refusal in refused],
            }
        ],
        "columnKind": "unicodeCodePoints",
        "results": results,
    }
    return {"$schema": _SCHEMA, "version": "2.1.0", "runs": [run]}


def _rule(rule: RuleText) -> Record:
    help_text = f"Why it matters: {rule.why}\nHow it is measured: {rule.how}\nHow to mend it: "
    return {
        "id": rule.code,
        "shortDescription": {"text": rule.title},
        "fullDescription": {"text": rule.why},
        "help": {"text": help_text + rule.mend},
        "defaultConfiguration": {"level": _LEVELS[rule.severity]},
        "properties": {"source": rule.source, "implied": list(rule.implied)},
    }


def _result(finding: Finding, one: Checked, places: dict[str, int]) -> Record:
    told = [f"{finding.message}."]
    if finding.actual or finding.limit:
        told.append(f"Is {finding.actual or '?'}, limit {finding.limit or 'none'}.")
    told += [f"Would mend this: {change}." for change in finding.changes]
    result: Record = {
        "ruleId": finding.code,
        "ruleIndex": places[finding.code],
        "level": _LEVELS[finding.severity],
        "message": {"text": " ".join(told)},
        "locations": [_location(one, finding.path, finding.subjects)],
        "partialFingerprints": {_FINGERPRINT: _fingerprint(one, finding.id)},
        "properties": {
            "board": one.design.parameters.name,
            "place_mm": list(finding.place_mm) if finding.place_mm else None,
            "actual": finding.actual,
            "limit": finding.limit,
            "changes": [asdict(change) for change in finding.changes],
        },
    }
    if finding.waived:
        result["suppressions"] = [{"kind": "inSource", "justification": finding.waived}]
    return result


def _not_applicable(rule: Skipped, one: Checked, places: dict[str, int]) -> Record:
    return {
        "ruleId": rule.code,
        "ruleIndex": places[rule.code],
        "kind": "notApplicable",
        "level": "none",
        "message": {"text": f"{one.design.parameters.name}: {rule.why}"},
        "locations": [_location(one, "", ())],
        "partialFingerprints": {_FINGERPRINT: _fingerprint(one, f"{rule.code}:none")},
    }


def _location(one: Checked, path: str, subjects: Sequence[str]) -> Record:
    board = one.design.parameters.name
    line = one.design.parameters.origin(path).line if path else 0
    location: Record = {"physicalLocation": {"artifactLocation": {"uri": one.uri}}}
    if line:  # a default stands on no line
        location["physicalLocation"]["region"] = {"startLine": line}
    kinds = _kinds(one.design)
    named = [
        {
            "name": subject,
            "fullyQualifiedName": f"{board}/{subject}",
            "kind": kinds.get(subject.partition(".")[0], kinds.get(subject, "object")),
        }
        for subject in subjects
        if subject
    ]
    if named:
        location["logicalLocations"] = named
    return location


def _kinds(design: Design) -> dict[str, str]:
    """Tell what the names on a board are: parts and their lands, nets, layers."""
    layers = dict.fromkeys((layer.name for layer in design.artwork.layers), "layer")
    nets = {item.net: "net" for layer in design.artwork.coppers() for item in layer.items}
    parts = dict.fromkeys((part.reference for part in design.board.parts), "part")
    holes = dict.fromkeys((hole.reference for hole in design.board.holes), "hole")
    return layers | nets | parts | holes


def _fingerprint(one: Checked, identity: str) -> str:
    """Make a name that stays when lines, places or other findings change."""
    text = f"{one.design.parameters.name}\n{identity}"
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def _notification(refusal: Refused) -> Record:
    return {
        "level": "error",
        "message": {"text": refusal.message},
        "locations": [
            {
                "physicalLocation": {
                    "artifactLocation": {"uri": refusal.uri},
                    "region": {"startLine": max(refusal.line, 1)},
                }
            }
        ],
    }

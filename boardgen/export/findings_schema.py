"""The JSON Schema of what ``boardgen check --format json`` and ``findings.json`` say."""

from typing import Any

from boardgen.export.records import FAMILY_SCHEMA, FINDINGS_SCHEMA
from boardgen.model.findings import Severity

_TEXT = {"type": "string"}
_NUMBER = {"type": "number"}
_WHOLE = {"type": "integer", "minimum": 0}
_PLACE = {"type": "array", "items": _NUMBER, "minItems": 2, "maxItems": 2}
_TEXTS = {"type": "array", "items": _TEXT}


def findings_schema() -> dict[str, Any]:
    """Describe the findings of one board, and of a family's members.

    Returns
    -------
    dict
        A JSON Schema (draft 2020-12).
    """
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"{FINDINGS_SCHEMA}, {FAMILY_SCHEMA}",
        "oneOf": [{"$ref": "#/$defs/board"}, {"$ref": "#/$defs/family"}],
        "$defs": {"board": _board(), "family": _family(), "finding": _finding()},
    }


def _closed(**properties: object) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _board() -> dict[str, Any]:
    counted = dict.fromkeys((*(severity.value for severity in Severity), "waived"), _WHOLE)
    return _closed(
        schema={"const": FINDINGS_SCHEMA},
        board={**_TEXT, "description": "the board's name; its files begin with it"},
        counts={**_closed(**counted), "description": "waived findings count under waived only"},
        findings={"type": "array", "items": {"$ref": "#/$defs/finding"}},
        minima={
            "type": "array",
            "description": "the smallest measure of each kind",
            "items": _closed(
                key=_TEXT,
                title=_TEXT,
                value_mm=_NUMBER,
                limit_mm=_NUMBER,
                place_mm=_PLACE,
                subjects=_TEXTS,
                margin_mm=_NUMBER,
            ),
        },
        not_applicable={
            "type": "array",
            "description": "rules that have nothing to look at on this board, and why",
            "items": _closed(code=_TEXT, why=_TEXT),
        },
    )


def _finding() -> dict[str, Any]:
    return _closed(
        id={**_TEXT, "description": "code and subjects; stays when places or order change"},
        code={**_TEXT, "pattern": r"^[a-z]+\.[a-z-]+$"},
        severity={"enum": [severity.value for severity in Severity]},
        message=_TEXT,
        actual={**_TEXT, "description": "what it is, with its unit"},
        limit={**_TEXT, "description": "what it should be"},
        place_mm={"anyOf": [_PLACE, {"type": "null"}]},
        subjects={**_TEXTS, "description": "references, nets, layers"},
        path={**_TEXT, "description": "key of the parameter file to look at"},
        changes={
            "type": "array",
            "description": "each of these would pass",
            "items": _change(),
        },
        no_change={**_TEXT, "description": "why there is no change to offer"},
        file=_TEXT,
        line={**_WHOLE, "description": "0: the value is a default"},
        waived={**_TEXT, "description": "the reason why it is accepted; empty: it counts"},
    )


def _change() -> dict[str, Any]:
    """Describe a change; those of other keys that belong to it stand in ``also``."""
    alone = {"path": _TEXT, "value": _TEXT, "note": _TEXT}
    return _closed(**alone, also={"type": "array", "items": {"type": "object"}})


def _family() -> dict[str, Any]:
    return _closed(
        schema={"const": FAMILY_SCHEMA},
        members={"type": "array", "items": {"type": "object"}},
        boards={"type": "array", "items": {"$ref": "#/$defs/board"}},
        refused={
            "type": "array",
            "description": "files and members from which no board followed, and why",
            "items": {"type": "object"},
        },
    )

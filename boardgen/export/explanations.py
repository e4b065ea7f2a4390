"""The sums, and what a change does to them, as plain data that says its schema."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from boardgen.model.cautions import CLAIM
from boardgen.model.explanation import Difference, Sums
from boardgen.model.parameters import Parameters

EXPLANATION_SCHEMA = "boardgen.explain/3"
EXPLANATIONS_SCHEMA = "boardgen.explanations/1"
CHANGE_SCHEMA = "boardgen.change/1"


def explanation_record(sums: Sums) -> dict[str, Any]:
    """Turn the sums into plain data; keys end in the unit of their value."""
    return {
        "schema": EXPLANATION_SCHEMA,
        "board": sums.parameters.name,
        "claim": CLAIM,
        "short": dict(sums.short),
        "steps": [asdict(step) for step in sums.steps],
    }


def explanations_record(boards: Sequence[Sums]) -> dict[str, Any]:
    """Gather the sums of a family's members in one document."""
    return {
        "schema": EXPLANATIONS_SCHEMA,
        "boards": [explanation_record(sums) for sums in boards],
    }


def change_record(
    parameters: Parameters, tried: Sequence[str], rows: Sequence[Difference]
) -> dict[str, Any]:
    """Turn what a tried change does into plain data."""
    return {
        "schema": CHANGE_SCHEMA,
        "board": parameters.name,
        "claim": CLAIM,
        "tried": list(tried),
        "differences": [asdict(row) for row in rows],
    }

"""What became of each board of a family, for the closing table."""

from dataclasses import dataclass, replace

from boardgen.build import Built
from boardgen.checks.minima import smallest_gap_mm
from boardgen.errors import CLEAN, FOUND
from boardgen.model.design import Design
from boardgen.model.findings import Judgement, Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of a member, for the closing table; numbers are None when there is no board."""

    name: str
    verdict: str
    status: int
    nominal_a: float | None = None
    worst_a: float | None = None
    gap_mm: float | None = None
    length_mm: float | None = None
    width_mm: float | None = None


def outcome(built: Built) -> Outcome:
    """Sum a built board up."""
    return replace(
        checked(built.design, built.judgement),
        status=CLEAN if built.proof else FOUND,
    )


def checked(design: Design, judged: Judgement, *, strict: bool = False) -> Outcome:
    """Sum a checked design up; when strict, warnings fail too."""
    errors, warnings = judged.count(Severity.ERROR), judged.count(Severity.WARNING)
    verdict = _counted(errors, "error") or _counted(warnings, "warning") or "clean"
    outline = design.board.outline
    return Outcome(
        name=design.parameters.name,
        verdict=verdict,
        status=FOUND if judged.fails(strict=strict) else CLEAN,
        nominal_a=design.circuit.nominal_a,
        worst_a=design.circuit.worst_a,
        gap_mm=smallest_gap_mm(judged.minima),
        length_mm=outline.length_mm,
        width_mm=outline.width_mm,
    )


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'s' if count > 1 else ''}" if count else ""

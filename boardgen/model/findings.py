"""Findings: a board exists, but something about it breaks a limit or should be known."""

import hashlib
from dataclasses import dataclass
from enum import StrEnum

from boardgen.errors import Change


class Severity(StrEnum):
    """How much a finding weighs."""

    ERROR = "error"
    WARNING = "warning"
    INFORMATION = "information"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that a rule found.

    ``actual`` and ``limit`` are texts with units; ``place_mm`` is where on the board; ``subjects``
    are references, nets or layers; ``path`` is the key of the parameter file to look at; each of
    ``changes`` would pass; ``no_change`` says why there is none. ``waived`` is the reason why it is
    accepted; then it does not count.
    """

    code: str
    severity: Severity
    message: str
    actual: str = ""
    limit: str = ""
    place_mm: tuple[float, float] | None = None
    subjects: tuple[str, ...] = ()
    path: str = ""
    changes: tuple[Change, ...] = ()
    no_change: str = ""
    waived: str = ""

    @property
    def id(self) -> str:
        """A name made of code and sorted subjects, never of coordinates or order."""
        digest = hashlib.sha256("\n".join(sorted(self.subjects)).encode()).hexdigest()[:8]
        return f"{self.code}:{digest}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Minimum:
    """The smallest measure of a kind on a board: how much, where, between what, and its limit."""

    key: str
    title: str
    value_mm: float
    limit_mm: float
    place_mm: tuple[float, float]
    subjects: tuple[str, ...]

    @property
    def margin_mm(self) -> float:
        """What is left to the limit."""
        return self.value_mm - self.limit_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Skipped:
    """A rule that has nothing to look at on this board, and why."""

    code: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleText:
    """A rule in words: what it finds, why it matters, how it is measured, how to mend it.

    ``implied`` lists the codes that the same fault may bring along.
    """

    code: str
    severity: Severity
    title: str
    why: str
    how: str
    mend: str
    source: str
    implied: tuple[str, ...]
    waivable: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """What the rules found on a board, the smallest measures, and what did not apply."""

    findings: tuple[Finding, ...]
    minima: tuple[Minimum, ...]
    skipped: tuple[Skipped, ...]

    def count(self, severity: Severity) -> int:
        """Count the findings of a severity that are not waived."""
        return sum(f.severity is severity and not f.waived for f in self.findings)

    def fails(self, *, strict: bool = False) -> bool:
        """Tell whether the board is not to be made: an error, or when strict a warning."""
        return bool(self.count(Severity.ERROR) or (strict and self.count(Severity.WARNING)))

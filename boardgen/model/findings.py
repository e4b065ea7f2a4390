"""Findings: a board exists, but something about it breaks a limit or should be known."""

import hashlib
from dataclasses import dataclass
from enum import StrEnum

from boardgen.model.operation import Change


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
    ``changes`` would pass.
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

    @property
    def id(self) -> str:
        """A name made of code and sorted subjects, never of coordinates or order."""
        digest = hashlib.sha256("\n".join(sorted(self.subjects)).encode()).hexdigest()[:8]
        return f"{self.code}:{digest}"

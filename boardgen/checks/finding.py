"""How rules word what they find; the table adds code and severity."""

from boardgen.errors import Change
from boardgen.geometry.measuring import centre
from boardgen.model.findings import Finding, Severity
from boardgen.model.shapes import Shape
from boardgen.units import NM_PER_MM


def report(
    *,
    message: str,
    actual: str = "",
    limit: str = "",
    place_mm: tuple[float, float] | None = None,
    subjects: tuple[str, ...] = (),
    path: str = "",
    severity: Severity | None = None,
    changes: tuple[Change, ...] = (),
) -> Finding:
    """Make a finding; without a severity of its own it gets the rule's."""
    return Finding(
        code="",
        severity=severity or Severity.INFORMATION,
        message=message,
        actual=actual,
        limit=limit,
        place_mm=place_mm,
        subjects=subjects,
        path=path,
        changes=changes,
    )


def place_of(shape: Shape) -> tuple[float, float]:
    """Name a shape's middle in mm, to a micrometre."""
    x, y = centre(shape)
    return (round(x / NM_PER_MM, 3), round(y / NM_PER_MM, 3))


def at_mm(place_nm: tuple[float, float]) -> tuple[float, float]:
    """Turn a place in nanometres into mm, to a micrometre."""
    return (round(place_nm[0] / NM_PER_MM, 3), round(place_nm[1] / NM_PER_MM, 3))

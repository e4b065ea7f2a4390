"""Families of boards: fewest resistor values for all members, and what became of each."""

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from boardgen.build import Built
from boardgen.checks.minima import smallest_gap_mm
from boardgen.electrical.size import size
from boardgen.errors import CLEAN, FOUND, RefusalError
from boardgen.model.design import Design
from boardgen.model.family import Family, Member
from boardgen.model.findings import Finding, Severity
from boardgen.model.parameters import Origin, OriginKind, Parameters
from boardgen.reading.family import read_family as read_members
from boardgen.standards.preferred_values import between

_LEAST, _MOST = 0.9, 1.25
"""How far a shared value may lie from the wanted one: own choice."""

_DIGEST_LETTERS = 12


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
    digest: str = ""


def read_family(path: Path | str, source_date: str | None = None) -> Family:
    """Read a file's members, with shared resistor values where the family asks for them.

    Raises
    ------
    RefusalError
        When the file itself is wrong, or the only board in it.
    """
    family = read_members(path, source_date)
    return with_same_parts(family) if family.same_parts else family


def with_same_parts(family: Family) -> Family:
    """Give all members without a drawer of their own one drawer: the fewest values that serve them.

    Wanted values come from `electrical.size`; the values from each member's series. Of all smallest
    sets, the one nearest to what was wanted (by ratio) is taken.
    """
    sharing = [
        member.parameters
        for member in family.members
        if member.parameters and not member.parameters.resistor.drawer
    ]
    wanted = sorted({value for parameters in sharing for value in _wanted(parameters)})
    if not wanted:
        return family
    series = {parameters.resistor.series for parameters in sharing}
    offered = sorted(
        {
            value
            for name in series
            for value in between(wanted[0] * _LEAST, wanted[-1] * _MOST, name)
        }
    )
    values = _fewest(wanted, offered)
    members = tuple(_sharing(member, values) for member in family.members)
    return replace(family, members=members)


def _wanted(parameters: Parameters) -> list[float]:
    try:
        return [kind.ballast.wanted_ohm for kind in size(parameters).kinds]
    except RefusalError:
        return []


def _fewest(wanted: Sequence[float], offered: Sequence[float]) -> tuple[float, ...]:
    """Cover sorted wanted values with the fewest offered ones, each serving neighbours."""
    best: list[tuple[int, float, tuple[float, ...]]] = [(0, 0.0, ())]
    for end in range(1, len(wanted) + 1):
        choices = []
        for start in range(end):
            count, off, values = best[start]
            for value in offered:
                group = wanted[start:end]
                if all(_LEAST * want <= value <= _MOST * want for want in group):
                    apart = sum(abs(math.log(value / want)) for want in group)
                    choices.append((count + 1, off + apart, (*values, value)))
        # No offered value near enough: the wanted one itself then stays without a partner.
        best.append(min(choices, default=(best[-1][0] + 1, math.inf, best[-1][2])))
    return best[-1][2]


def _sharing(member: Member, values: tuple[float, ...]) -> Member:
    parameters = member.parameters
    if parameters is None or parameters.resistor.drawer or not values:
        return member
    origin = Origin(kind=OriginKind.CHOSEN, place="same_parts of the family")
    shared = replace(
        parameters,
        resistor=replace(parameters.resistor, drawer=values, round="nearest"),
        origins={**parameters.origins, "resistor.drawer": origin, "resistor.round": origin},
    )
    return replace(member, parameters=shared)


def outcome(built: Built) -> Outcome:
    """Sum a built board up."""
    return replace(
        checked(built.design, built.findings),
        status=CLEAN if built.proof else FOUND,
        digest=_digest(built),
    )


def checked(design: Design, findings: Sequence[Finding]) -> Outcome:
    """Sum a checked design up."""
    counts = dict.fromkeys(Severity, 0)
    for finding in findings:
        counts[finding.severity] += 1
    errors, warnings = counts[Severity.ERROR], counts[Severity.WARNING]
    verdict = f"{errors} errors" if errors else f"{warnings} warnings" if warnings else "clean"
    outline = design.board.outline
    return Outcome(
        name=design.parameters.name,
        verdict=verdict,
        status=FOUND if errors else CLEAN,
        nominal_a=design.circuit.nominal_a,
        worst_a=design.circuit.worst_a,
        gap_mm=smallest_gap_mm(design),
        length_mm=outline.length_mm,
        width_mm=outline.width_mm,
    )


def _digest(built: Built) -> str:
    """Shorten the digest of what is uploaded."""
    for file in built.files:
        if file.path.endswith("-fabrication.zip"):
            return hashlib.sha256(file.content).hexdigest()[:_DIGEST_LETTERS]
    return ""

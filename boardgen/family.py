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

_HAIR = 1e-9
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
    """Give the members of each series one drawer: the fewest values that serve them.

    Members with a drawer of their own keep it, and so does a member that no shared value serves:
    one further off than is allowed, or that would overload an LED or a resistor. Of all smallest
    sets, the one nearest to what was wanted (by ratio) is taken; ``round = "up"`` written in the
    file keeps every branch from being brighter than asked.
    """
    drawers = {
        series: _fewest(
            sorted({value for board in boards for value in _wanted(board)}), series, _least(boards)
        )
        for series, boards in _by_series(family).items()
    }
    return replace(family, members=tuple(_sharing(member, drawers) for member in family.members))


def _by_series(family: Family) -> dict[str, list[Parameters]]:
    found: dict[str, list[Parameters]] = {}
    for member in family.members:
        if member.parameters and not member.parameters.resistor.drawer:
            found.setdefault(member.parameters.resistor.series, []).append(member.parameters)
    return found


def _least(boards: Sequence[Parameters]) -> float:
    """Tell the least share of a wanted value that may be taken."""
    strict = any(
        board.resistor.round == "up" and board.origin("resistor.round").kind is OriginKind.FILE
        for board in boards
    )
    return 1.0 if strict else _LEAST


def _wanted(parameters: Parameters) -> list[float]:
    """List the values that a board wants; none when no board follows from it."""
    try:
        return [kind.ballast.wanted_ohm for kind in size(parameters).kinds]
    except RefusalError:
        return []


def _fewest(wanted: Sequence[float], series: str, least: float = _LEAST) -> tuple[float, ...]:
    """Cover sorted wanted values with the fewest of a series, each serving neighbours.

    A value that nothing near enough serves is left out.
    """
    if not wanted:
        return ()
    offered = between(wanted[0] * least, wanted[-1] * _MOST, series)
    served = [want for want in wanted if any(_serves(value, want, least) for value in offered)]
    best: list[tuple[int, float, tuple[float, ...]]] = [(0, 0.0, ())]
    for end in range(1, len(served) + 1):
        choices = []
        for start in range(end):
            count, off, values = best[start]
            group = served[start:end]
            for value in offered:
                if all(_serves(value, want, least) for want in group):
                    apart = sum(abs(math.log(value / want)) for want in group)
                    choices.append((count + 1, off + apart, (*values, value)))
        best.append(min(choices))
    return best[-1][2]


def _serves(value: float, want: float, least: float) -> bool:
    return least * want * (1 - _HAIR) <= value <= _MOST * want


def _sharing(member: Member, drawers: dict[str, tuple[float, ...]]) -> Member:
    parameters = member.parameters
    if parameters is None or parameters.resistor.drawer:
        return member
    wanted, least = _wanted(parameters), _least([parameters])
    values = tuple(
        value
        for value in drawers[parameters.resistor.series]
        if any(_serves(value, want, least) for want in wanted)
    )
    served = all(any(_serves(value, want, least) for value in values) for want in wanted)
    if not wanted or not served:
        return member
    origin = Origin(kind=OriginKind.CHOSEN, place="same_parts of the family")
    shared = replace(
        parameters,
        resistor=replace(parameters.resistor, drawer=values, round="nearest"),
        origins={**parameters.origins, "resistor.drawer": origin, "resistor.round": origin},
    )
    return member if _overloaded(shared) else replace(member, parameters=shared)


def _overloaded(parameters: Parameters) -> bool:
    """Tell whether an LED or a ballast would carry more than it may."""
    most = parameters.led.data.max_current_a
    return any(
        kind.high.current_a > most or kind.ballast.worst_w > kind.ballast.derated_w
        for kind in size(parameters).kinds
    )


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
    verdict = _counted(errors, "error") or _counted(warnings, "warning") or "clean"
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


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'s' if count > 1 else ''}" if count else ""


def _digest(built: Built) -> str:
    """Shorten the digest of what is uploaded."""
    for file in built.files:
        if file.path.endswith("-fabrication.zip"):
            return hashlib.sha256(file.content).hexdigest()[:_DIGEST_LETTERS]
    return ""

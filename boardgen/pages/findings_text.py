"""What the terminal says of findings: the verdict, what is wrong, what mends it, what to know."""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from boardgen import units
from boardgen.errors import Change
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Judgement, Severity
from boardgen.pages.tables import table_lines

_SHOWN = 3
"""So many places of one rule are told one by one; the rest are named in a line."""
_NAMED = 12
_USUAL = {
    "lands.typical": "compare lands and holes with your data sheets",
    "date.unset": "no date is given, so the files say 1980-01-01",
    "reverse.led": "the supply the wrong way round may break LEDs",
    "supply.idle": "a power bank may switch off, because the board draws so little",
    "legend.names": "not all names and arrows found room",
    "side.unread": "one side cannot be read",
}
"""Notes that stand on nearly every board: one line has them all."""


def verdict(judged: Judgement) -> str:
    """Count findings by severity, and the waived ones."""
    parts = [
        f"{judged.count(severity)} {severity.value}{'s' if judged.count(severity) != 1 else ''}"
        if severity is not Severity.INFORMATION
        else f"{judged.count(severity)} to know"
        for severity in Severity
    ]
    waived = sum(bool(finding.waived) for finding in judged.findings)
    return ", ".join(parts) + f", {waived} waived" * bool(waived)


def findings_of(boards: Sequence[tuple[Judgement, Design]]) -> list[str]:
    """Tell the findings of one board or of a family: errors and warnings, waived ones, notes.

    In a family the same finding of several members is told once, with their names.
    """
    lines = list[str]()
    for severity in (Severity.ERROR, Severity.WARNING):
        for same in _alike(boards, severity):
            lines += _told(same, many=len(boards) > 1)
    lines += [line for judged, design in boards for line in _waived_lines(judged, design)]
    return lines + _note_lines(boards)


_Placed = tuple[Finding, Design]


def _alike(
    boards: Sequence[tuple[Judgement, Design]], severity: Severity
) -> Iterable[list[_Placed]]:
    """Gather findings by rule, over all boards."""
    found: dict[str, list[_Placed]] = defaultdict(list)
    for judged, design in boards:
        for finding in judged.findings:
            if finding.severity is severity and not finding.waived:
                found[finding.code].append((finding, design))
    return found.values()


def _told(same: Sequence[_Placed], *, many: bool) -> list[str]:
    """Tell what one rule found: some places of the first board, what mends it, which boards."""
    (first, board), lines = same[0], list[str]()
    own = [finding for finding, design in same if design is board]
    offered: set[tuple[Change, ...]] = {()}
    for place, finding in enumerate(own):
        if place < _SHOWN:
            lines += _finding_lines(finding, board)
        elif place == _SHOWN:
            lines.append(
                f"    and {len(own) - _SHOWN} more of {first.code}: {_names(own[_SHOWN:])}"
            )
        if finding.changes not in offered:
            offered.add(finding.changes)
            ways = "; or ".join(map(str, finding.changes))
            lines.append(f"    would mend this: {ways}")
        elif finding.no_change and place == 0:
            lines.append(f"    {finding.no_change}")
    members = list(dict.fromkeys(design.parameters.name for _, design in same))
    if many:
        more = " (numbers of the first)" if len(members) > 1 else ""
        lines.append(f"    in {', '.join(members)}{more}")
    return lines


def _finding_lines(finding: Finding, design: Design) -> list[str]:
    head = f"{finding.severity.value} {finding.code}: {finding.message}"
    lines = [f"{_where(finding, design)}: {head}"]
    details = [
        f"it is {finding.actual}" if finding.actual else "",
        f"the limit {finding.limit}" if finding.limit else "",
        "at ({:g}, {:g}) mm".format(*finding.place_mm) if finding.place_mm else "",
        f"see {finding.path}" if finding.path else "",
    ]
    shown = ", ".join(detail for detail in details if detail)
    if shown:
        lines.append(f"    {shown}")
    return lines


def _waived_lines(judged: Judgement, design: Design) -> Iterable[str]:
    for finding in judged.findings:
        if finding.waived:
            head = f"waived {finding.severity.value} {finding.code}"
            yield f"{_where(finding, design)}: {head}: {finding.message}"
            yield f"    because {finding.waived}"


def _note_lines(boards: Sequence[tuple[Judgement, Design]]) -> list[str]:
    """Tell notes, a line each; those that stand on every board in one."""
    usual: dict[str, list[str]] = defaultdict(list)
    own: dict[str, list[str]] = defaultdict(list)
    for judged, design in boards:
        for finding in judged.findings:
            if finding.severity is not Severity.INFORMATION or finding.waived:
                continue
            if finding.code in _USUAL:
                usual[finding.code] += finding.subjects if finding.code == "lands.typical" else ()
            else:
                ways = "; or ".join(map(str, finding.changes))
                offer = f" (other ways: {ways})" if ways else ""
                own[f"{finding.code}: {finding.message}{offer}"].append(design.parameters.name)
    lines = [
        f"to know, {text}" + (f" [{', '.join(names)}]" if len(boards) > 1 else "")
        for text, names in own.items()
    ]
    if usual:
        told = (
            _USUAL[code] + (f" ({', '.join(dict.fromkeys(names))})" if names else "")
            for code, names in usual.items()
        )
        lines.append(f"as on most boards: {'; '.join(told)}")
    return lines


def _where(finding: Finding, design: Design) -> str:
    line = design.parameters.origin(finding.path).line if finding.path else 0
    return f"{design.parameters.file}:{line}" if line else design.parameters.file


def _names(findings: Sequence[Finding]) -> str:
    """Name what findings are about, shortened to what a line holds."""
    names = list(dict.fromkeys(finding.subjects[0] for finding in findings if finding.subjects))
    more = f" and {len(names) - _NAMED} others" * (len(names) > _NAMED)
    return ", ".join(names[:_NAMED]) + more


def minima_lines(judged: Judgement) -> list[str]:
    """Tell the smallest measures, and which rules do not apply, and why."""
    rows = [
        (
            f"  {least.title}",
            units.length(least.value_mm),
            f"limit {units.length(least.limit_mm)}" if least.limit_mm else "",
            f"{'left' if least.margin_mm >= 0 else 'LACKS'} {units.length(abs(least.margin_mm))}",
            "at ({:g}, {:g}) mm".format(*least.place_mm),
            ", ".join(filter(None, least.subjects)),
        )
        for least in judged.minima
    ]
    lines = ["smallest:", *table_lines(rows)] if rows else []
    if judged.skipped:
        codes = ", ".join(rule.code for rule in judged.skipped)
        lines.append(f"not applicable (--format json says why): {codes}")
    return lines

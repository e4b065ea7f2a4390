"""What the terminal says: results, findings, sums, proof."""

import textwrap
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Protocol

from boardgen import units
from boardgen.model.artwork import Artwork
from boardgen.model.cautions import Caution
from boardgen.model.design import Design
from boardgen.model.explanation import Difference, Step
from boardgen.model.findings import Finding, Judgement, RuleText, Severity
from boardgen.model.operation import Change
from boardgen.model.parameters import Parameters
from boardgen.model.proof import Proof
from boardgen.units import mm

_SHOWN = 3
"""So many places of one rule are told one by one; the rest are named in a line."""


def findings_lines(judged: Judgement, design: Design) -> list[str]:
    """Tell findings, worst first, those of a rule together, with limit, place and what mends it."""
    lines: list[str] = []
    told = [finding for finding in judged.findings if not finding.waived]
    for code in dict.fromkeys(finding.code for finding in told):
        for severity in Severity:
            same = [f for f in told if f.code == code and f.severity is severity]
            offered: set[tuple[Change, ...]] = {()}
            for place, finding in enumerate(same):
                if place < _SHOWN:
                    lines += _finding_lines(finding, design)
                elif place == _SHOWN:
                    more = f"{len(same) - _SHOWN} more of {code}: {_names(same[_SHOWN:])}"
                    lines.append(f"    and {more}")
                if finding.changes not in offered:
                    offered.add(finding.changes)
                    ways = "; or ".join(map(str, finding.changes))
                    lines.append(f"    would mend this: {ways}")
    for finding in judged.findings:
        if finding.waived:
            head = f"waived {finding.severity.value} {finding.code}"
            lines.append(f"{_where(finding, design)}: {head}: {finding.message}")
            lines.append(f"    because {finding.waived}")
    return lines


def _finding_lines(finding: Finding, design: Design) -> list[str]:
    head = f"{finding.severity.value} {finding.code}: {finding.message}"
    lines = [f"{_where(finding, design)}: {head}"]
    details = [
        f"is {finding.actual}" if finding.actual else "",
        f"limit {finding.limit}" if finding.limit else "",
        "at ({:g}, {:g}) mm".format(*finding.place_mm) if finding.place_mm else "",
        f"see {finding.path}" if finding.path else "",
    ]
    shown = ", ".join(detail for detail in details if detail)
    if shown:
        lines.append(f"    {shown}")
    return lines


def _where(finding: Finding, design: Design) -> str:
    line = design.parameters.origin(finding.path).line if finding.path else 0
    return f"{design.parameters.file}:{line}" if line else design.parameters.file


def _names(findings: Sequence[Finding]) -> str:
    """Name what findings are about, shortened to what a line holds."""
    names = list(dict.fromkeys(finding.subjects[0] for finding in findings if finding.subjects))
    more = f" and {len(names) - _NAMED} others" * (len(names) > _NAMED)
    return ", ".join(names[:_NAMED]) + more


_NAMED = 12


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


def rules_lines(rules: Sequence[RuleText]) -> list[str]:
    """List rules by their families: code, weight, what each finds."""
    lines: list[str] = []
    before = ""
    width = max(len(rule.code) for rule in rules)
    for rule in rules:
        family = rule.code.partition(".")[0]
        if lines and family != before:
            lines.append("")
        before = family
        lines.append(f"{rule.code.ljust(width)}  {rule.severity.value.ljust(11)}  {rule.title}")
    return lines


def rule_lines(rule: RuleText) -> list[str]:
    """Tell a rule in full."""
    rows = [
        ("weight", rule.severity.value),
        ("why it matters", rule.why),
        ("how it is measured", rule.how),
        ("how to mend it", rule.mend),
        ("source of the limit", rule.source),
        ("may bring along", ", ".join(rule.implied)),
        ("may be waived", "yes, with a reason" if rule.waivable else "no"),
    ]
    lines = [f"{rule.code}: {rule.title}"]
    for name, text in rows:
        if text:
            lines += textwrap.wrap(f"{name}: {text}", 96, initial_indent="    ",
                                   subsequent_indent="        ")  # fmt: skip
    return lines


def expect_lines(design: Design) -> list[str]:
    """Say what the board house's preview should show, from the artwork that was exported."""
    outline, order = design.board.outline, design.parameters.order
    layers = Counter(layer.kind.value for layer in design.artwork.layers)
    shown = ", ".join(f"{count} {kind}" for kind, count in layers.items())
    size = f"{outline.length_mm:g} x {outline.width_mm:g} mm, corners {outline.corner_mm:g} mm"
    choices = (
        f"{order.quantity} boards",
        f"{order.thickness_mm:g} mm",
        f"{design.parameters.copper.weight_um:g} um copper",
        "no mask" if order.mask == "none" else f"{order.mask} mask",
        order.finish,
    )
    rows = (
        ("size", size),
        ("layers", shown),
        ("plated holes", _holes(design.artwork, plated=True)),
        ("unplated holes", _holes(design.artwork, plated=False)),
        ("slots", "none"),
        ("to choose", ", ".join(choices) + "; order.md has all of it"),
    )
    return [f"  {name:<15} {value}" for name, value in rows]


def next_lines(design: Design, folder: str) -> list[str]:
    """Say what to do with a built board: upload and compare, or print the film."""
    name = design.parameters.name
    if not design.limits.plated and not design.parameters.printed:
        upload = f"{folder}/{name}-fabrication.zip"
        film = f"print {folder}/film-positive.svg or film-mirrored.svg at 100 %"
        head = [f"{film}, or give a workshop {upload}", "The board is:"]
    else:
        head = [
            f"upload {folder}/{name}-fabrication.zip",
            "The board house's preview should show:",
        ]
    return [*head, *expect_lines(design)]


def _holes(artwork: Artwork, *, plated: bool) -> str:
    sizes = Counter(hole.diameter_nm for hole in artwork.holes if hole.plated is plated)
    listed = (f"{count} of {mm(size):g} mm" for size, count in sorted(sizes.items()))
    return ", ".join(listed) or "none"


def caution_lines(cautions: Iterable[Caution]) -> list[str]:
    """Tell the cautions that belong on the terminal."""
    return [
        f"{caution.signal} {caution.text}" for caution in cautions if "terminal" in caution.shown
    ]


def proof_lines(proof: Proof) -> list[str]:
    """Tell every comparison, and every difference under it."""
    lines = []
    for item in proof.items:
        word = "equal" if item.holds else "DIFFERS"
        lines.append(f"{item.title:<32} {item.compared:>6}  {word}")
        lines += [f"    {found.kind.value}: {found}" for found in item.differences[:_MOST_TOLD]]
        if len(item.differences) > _MOST_TOLD:
            lines.append(f"    and {len(item.differences) - _MOST_TOLD} more")
    return lines


def proof_verdict(proof: Proof, against: str, *, drawn: bool) -> list[str]:
    """Sum a proof up, and say what else can be asked."""
    wrong = sum(not item.holds for item in proof.items)
    if wrong:
        lines = [f"the package is wrong, in {wrong} of {len(proof.items)} comparisons"]
        if not drawn and any(found.place_mm for found in proof.differences):
            lines.append("--overlay FILE.svg draws where")
        return lines
    if against:
        said = f"the package holds, and its fabrication files are what {against} describes"
        return [f"{said}; --reproduce compares the lists for buying and placing too"]
    return ["the package holds in itself; --against FILE compares it with its design"]


_MOST_TOLD = 20
"""Differences of one comparison that the terminal tells; JSON and the picture have more."""


def explain_lines(parameters: Parameters, steps: Sequence[Step]) -> list[str]:
    """Tell the sums, a paragraph for each quantity."""
    lines = [f"{_named(parameters)}: the sums", ""]
    for step in steps:
        of = f", {step.subject}" if step.subject else ""
        lines.append(f"{step.title}{of}: {step.result}")
        for name, text in (
            ("formula", step.formula),
            ("with", step.numbers),
            ("limit", step.limit),
            ("margin", step.margin),
            ("source", step.source),
        ):
            if text:
                lines.append(f"    {name:<8} {text}")
    return lines


def change_lines(
    parameters: Parameters, tried: Sequence[str], rows: Sequence[Difference]
) -> list[str]:
    """Tell what a tried change does, before and after."""
    head = [f"{_named(parameters)}: tried {', '.join(tried)}; nothing was written", ""]
    if not rows:
        return [*head, "nothing that boardgen knows of changes"]
    short = [row for row in rows if max(len(row.before), len(row.after)) <= _WIDEST]
    table = [("before", "after", ""), *((row.before, row.after, row.title) for row in short)]
    lines = [*head, *(table_lines(table) if short else ())]
    for row in rows:
        if row not in short:
            lines += ["", row.title, f"    before  {row.before}", f"    after   {row.after}"]
    return lines


_WIDEST = 30
"""Longer results go below the table, which would else not fit a terminal."""


def _named(parameters: Parameters) -> str:
    """Name a board by title and name, since members of a family share their title."""
    return f"{parameters.board.title} ({parameters.name})"


def resolved_lines(parameters: Parameters, values: Iterable[tuple[str, object]]) -> list[str]:
    """Tell every value of the file, written or defaulted, with its origin."""
    return [f"{path} = {_shown(value)}   # {parameters.origin(path)}" for path, value in values]


def _shown(value: object) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, tuple):
        return ", ".join(units.resistance(part) for part in value) or "none"
    return "none" if value is None else str(value)


def member_line(name: str, judged: Judgement, proof: Proof | None) -> str:
    """Tell in a line what became of a family's member."""
    if proof is None:
        return f"{name}: {verdict(judged)}; no fabrication data was written"
    compared = sum(item.compared for item in proof.items)
    return f"{name}: {verdict(judged)}; {compared} objects proven"


class Row(Protocol):
    """A row of a family's closing table."""

    @property
    def name(self) -> str:
        """The member."""

    @property
    def verdict(self) -> str:
        """What became of it."""

    @property
    def nominal_a(self) -> float | None:
        """Its current at the nominal supply."""

    @property
    def worst_a(self) -> float | None:
        """Its current at the highest corner."""

    @property
    def gap_mm(self) -> float | None:
        """Its smallest gap between nets."""

    @property
    def length_mm(self) -> float | None:
        """Its length."""

    @property
    def width_mm(self) -> float | None:
        """Its width."""

    @property
    def digest(self) -> str:
        """The first letters of its package's SHA-256."""


def family_lines(outcomes: Sequence[Row]) -> list[str]:
    """Tell what became of every member, as a table."""
    head = ("member", "verdict", "nominal", "worst", "smallest gap", "size", "digest")
    return table_lines([head, *map(_family_row, outcomes)])


def _family_row(row: Row) -> tuple[str, ...]:
    size = "-"
    if row.length_mm is not None and row.width_mm is not None:
        size = f"{row.length_mm:g} x {row.width_mm:g} mm"
    return (
        row.name,
        row.verdict,
        "-" if row.nominal_a is None else units.engineering(row.nominal_a, "A"),
        "-" if row.worst_a is None else units.engineering(row.worst_a, "A"),
        "-" if row.gap_mm is None else units.length(row.gap_mm),
        size,
        row.digest or "-",
    )


def parts_lines(rows: Sequence[tuple[str, str, str, str]]) -> list[str]:
    """Tell names by the key that takes them: facts, then source and standing."""
    lines: list[str] = []
    before = ""
    for key, name, facts, source in rows:
        if key != before:
            lines += ["", f"{key} ="] if lines else [f"{key} ="]
            before = key
        lines += [f'  "{name}"', f"      {facts}", f"      {source}"]
    return lines


def table_lines(rows: Sequence[tuple[str, ...]]) -> list[str]:
    """Set rows into columns, two blanks apart."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]

"""The rules as a page of Markdown, and a summary of checked boards for CI."""

from collections.abc import Iterable, Sequence

from boardgen import units
from boardgen.model.design import Design
from boardgen.model.findings import Judgement, RuleText, Severity

_PREAMBLE = (
    "Written by `boardgen rules --format markdown`; do not edit. Limits are those of the house that"
    " the parameter file names, single ones can be replaced under `[limits]`. An **error** keeps"
    " fabrication data from being written, a **warning** does so with `--strict`, **information**"
    " is for you to know. What is found may be accepted in the parameter file: `[[waive]]` with"
    " `code`, `reason` and, for one place only, `place`."
)


def rules_page(rules: Sequence[RuleText]) -> str:
    """Write all rules, a section for each, with a table of contents."""
    lines = [
        "# The design rules",
        "",
        _PREAMBLE,
        "",
        "| rule | weight | finds |",
        "|---|---|---|",
    ]
    lines += [
        f"| [{rule.code}](#{_anchor(rule.code)}) | {rule.severity.value} | {_cell(rule.title)} |"
        for rule in rules
    ]
    for rule in rules:
        implied = ", ".join(f"`{code}`" for code in rule.implied)
        lines += [
            "",
            f"## {rule.code}",
            "",
            f"{rule.title} ({rule.severity.value}; limit from: {rule.source}"
            + ("; may not be waived)" if not rule.waivable else ")"),
            "",
            f"- **Why it matters.** {rule.why}",
            f"- **How it is measured.** {rule.how}",
            f"- **How to mend it.** {rule.mend}",
        ]
        if implied:
            lines.append(f"- The same fault may bring along: {implied}.")
    return "\n".join(lines) + "\n"


def _anchor(code: str) -> str:
    return code.replace(".", "")


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def summary(checked: Iterable[tuple[Design, Judgement]], refused: Iterable[tuple[str, str]]) -> str:
    """Summarise boards in Markdown: a table of them, their findings, and what was refused."""
    boards = list(checked)
    lines = [
        "| board | errors | warnings | waived | smallest gap | smallest width |",
        "|---|---|---|---|---|---|",
    ]
    for design, judged in boards:
        waived = sum(bool(finding.waived) for finding in judged.findings)
        minima = {least.key: units.length(least.value_mm) for least in judged.minima}
        lines.append(
            f"| {design.parameters.name} | {judged.count(Severity.ERROR)} |"
            f" {judged.count(Severity.WARNING)} | {waived} | {minima.get('gap', '-')} |"
            f" {minima.get('width', '-')} |"
        )
    for design, judged in boards:
        lines += _board_findings(design, judged)
    for name, message in refused:
        lines += ["", f"**{name}: refused**", "", *(f"    {line}" for line in message.splitlines())]
    return "\n".join(lines) + "\n"


def _board_findings(design: Design, judged: Judgement) -> list[str]:
    shown = [finding for finding in judged.findings if finding.severity is not Severity.INFORMATION]
    if not shown:
        return []
    lines = ["", f"**{design.parameters.name}**", "", "| weight | rule | finding | line |"]
    lines.append("|---|---|---|---|")
    for finding in shown:
        line = design.parameters.origin(finding.path).line if finding.path else 0
        words = finding.message + "".join(f"; would mend this: {c}" for c in finding.changes)
        weight = f"waived: {finding.waived}" if finding.waived else finding.severity.value
        where = f"{design.parameters.file}:{line}" if line else design.parameters.file
        lines.append(f"| {_cell(weight)} | {finding.code} | {_cell(words)} | {where} |")
    return lines

"""What the terminal says of rules."""

import textwrap
from collections.abc import Sequence

from boardgen.model.findings import RuleText


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

"""What the terminal says of the sums: six lines first, then every step; and of tried changes."""

from collections.abc import Sequence

from boardgen.model.explanation import Difference, Sums
from boardgen.model.parameters import Parameters
from boardgen.pages.tables import table_lines

_WIDEST = 30
"""Longer results go below the table, which would else not fit a terminal."""


def explain_lines(sums: Sums) -> list[str]:
    """Tell a board in six lines, then the sums, a paragraph for each quantity."""
    lines = [_named(sums.parameters)]
    lines += [f"  {word:<14} {text}" for word, text in sums.short]
    lines += ["", "The sums, step by step:", ""]
    for step in sums.steps:
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
    parameters: Parameters,
    tried: Sequence[str],
    matters: Sequence[Difference],
    rows: Sequence[Difference] | None,
) -> list[str]:
    """Tell what a tried change does: six lines before and after; with rows, all that differs."""
    lines = [f"{_named(parameters)}: tried {', '.join(tried)}; nothing was written"]
    for row in matters:
        if row.before == row.after:
            lines += ["", f"{row.title}: as before: {row.before}"]
        else:
            lines += ["", f"{row.title}:", f"    before  {row.before}", f"    after   {row.after}"]
    if rows is None:
        return [*lines, "", "--all shows every sum and finding that changes"]
    return [*lines, "", *_row_lines(rows)]


def _row_lines(rows: Sequence[Difference]) -> list[str]:
    if not rows:
        return ["nothing that boardgen knows of changes"]
    short = [row for row in rows if max(len(row.before), len(row.after)) <= _WIDEST]
    table = [("before", "after", ""), *((row.before, row.after, row.title) for row in short)]
    lines = table_lines(table) if short else []
    for row in rows:
        if row not in short:
            lines += ["", row.title, f"    before  {row.before}", f"    after   {row.after}"]
    return lines


def _named(parameters: Parameters) -> str:
    """Name a board by title and name, since members of a family share their title."""
    return f"{parameters.board.title} ({parameters.name})"

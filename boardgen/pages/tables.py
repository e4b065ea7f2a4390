"""Rows set into columns."""

from collections.abc import Sequence


def table_lines(rows: Sequence[tuple[str, ...]]) -> list[str]:
    """Set rows into columns, two blanks apart."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]

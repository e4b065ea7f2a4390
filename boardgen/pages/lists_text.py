"""What the terminal says of the catalogue, and of the keys of the parameter file."""

from collections.abc import Sequence
from itertools import groupby
from typing import Protocol

from boardgen.model.key import Key
from boardgen.pages.tables import table_lines


class Part(Protocol):
    """One name that a parameter file may hold."""

    @property
    def key(self) -> str:
        """The key that takes it."""

    @property
    def name(self) -> str:
        """The name."""

    @property
    def facts(self) -> str:
        """What it is."""

    @property
    def source(self) -> str:
        """How it is known."""


def parts_lines(parts: Sequence[Part], *, sources: bool) -> list[str]:
    """Tell names by the key that takes them, a line each; with sources, their standing below."""
    lines: list[str] = []
    for key, group in groupby(parts, key=lambda part: part.key):
        lines += ["", f"{key} ="] if lines else [f"{key} ="]
        listed = list(group)
        width = max(len(part.name) for part in listed) + 2
        for part in listed:
            quoted = f'"{part.name}"'
            lines.append(f"  {quoted.ljust(width)}  {part.facts}")
            if sources:
                lines.append(f"      {part.source}")
    return lines


def keys_lines(keys: Sequence[Key]) -> list[str]:
    """Tell keys: a table of many, one in full."""
    if len(keys) == 1:
        (key,) = keys
        rows = (
            ("means", key.meaning),
            ("units", key.unit),
            ("allowed", key.allowed),
            ("default", key.default or "none"),
            ("example", f"{key.path.rpartition('.')[2]} = {key.example}"),
            ("since", key.since),
        )
        return [key.path, *(f"    {name:<8} {text}" for name, text in rows if text)]
    return table_lines([(key.path, key.default, key.meaning) for key in keys])


def keys_page(keys: Sequence[Key]) -> str:
    """Write the page of all keys, in Markdown."""
    lines = [
        "# The keys of the parameter file",
        "",
        "Made by `boardgen keys --format markdown`. A value with a unit stands in quotes; `NAME`",
        'is any name of your own; `"auto"` is the same as leaving a key out.',
    ]
    for section, group in groupby(keys, key=lambda key: key.section):
        lines += [
            "",
            f"## {section}",
            "",
            "| key | what it means | units | allowed | default | example | since |",
            "|---|---|---|---|---|---|---|",
        ]
        lines += [
            "| "
            + " | ".join(
                text.replace("|", "\\|") or " "
                for text in (
                    f"`{key.path}`",
                    key.meaning,
                    key.unit,
                    key.allowed,
                    key.default,
                    f"`{key.example}`",
                    key.since,
                )
            )
            + " |"
            for key in group
        ]
    return "\n".join(lines) + "\n"

"""What is known of one file while it is read, and the problems gathered so far."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from boardgen.errors import Problem, RefusalError
from boardgen.reading import catalogue, positions, validation
from boardgen.reading.bounds import told
from boardgen.reading.meant import nearest

T = TypeVar("T")


@dataclass
class Reader:
    """One file, its key lines, and what is wrong with it.

    ``folder`` is where files named in it are looked for; None when it came from no folder.
    """

    file: str
    lines: Mapping[positions.Path, int]
    folder: Path | None = None
    problems: list[Problem] = field(default_factory=list)

    def refuse(self, location: positions.Path, what: str, remedy: str = "") -> None:
        """Note a problem at a key."""
        self.problems.append(
            Problem(
                what=what,
                remedy=remedy,
                file=self.file,
                line=self.line(location),
                path=validation.dotted(location),
            )
        )

    def line(self, location: positions.Path) -> int:
        """Find the line of a key, or of the nearest table above it."""
        while location and location not in self.lines:
            location = location[:-1]
        return self.lines.get(location, 0)

    def raise_all(self) -> None:
        """Raise RefusalError with all problems, if there are any."""
        if self.problems:
            self.problems.sort(key=lambda problem: problem.line)
            raise RefusalError(*told(tuple(dict.fromkeys(self.problems))))

    def named(self, location: positions.Path, name: str, known: Mapping[str, T]) -> T | None:
        """Find a catalogue entry, without regard to case, spaces and hyphens."""
        for entry, value in known.items():
            if catalogue.plain(entry) == catalogue.plain(name):
                return value
        self.refuse(location, f'"{name}" is not known here', nearest(name, known))
        return None

    def one_of(self, location: positions.Path, name: str, known: Iterable[str]) -> str | None:
        """Find a name among known ones."""
        return self.named(location, name, {entry: entry for entry in known})


def table_of(raw: Mapping[str, Any], section: str) -> dict[str, Any]:
    """Take a section of a raw file, or nothing when it is no table."""
    table = raw.get(section)
    return table if isinstance(table, dict) else {}

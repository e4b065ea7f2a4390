"""A parameter file → its boards, with what only all of them together decide."""

from collections.abc import Sequence
from pathlib import Path

from boardgen.electrical.same_parts import with_same_parts
from boardgen.model.family import Family
from boardgen.reading.changes import Setting
from boardgen.reading.family import read_family as read_members


def read_family(
    path: Path | str, source_date: str | None = None, changes: Sequence[Setting] = ()
) -> Family:
    """Read a file's members, with shared resistor values where the family asks for them.

    ``changes`` are tried on every member; the file stays as it is.

    Raises
    ------
    RefusalError
        When the file itself is wrong, or the only board in it.
    """
    family = read_members(path, source_date, changes)
    return with_same_parts(family) if family.same_parts else family

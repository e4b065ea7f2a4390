"""A parameter file → its boards, with what only all of them together decide."""

from collections.abc import Sequence
from pathlib import Path

from boardgen.electrical.same_parts import with_same_parts
from boardgen.model.family import Family
from boardgen.model.parameters import Parameters
from boardgen.reading.changes import Setting
from boardgen.reading.family import read_family as read_members


def read(path: Path | str, source_date: str | None = None) -> tuple[Parameters, ...]:
    """Read a parameter file.

    Parameters
    ----------
    path : Path or str
        The TOML file; its stem names the board's files, or a family's pattern does.
    source_date : str, optional
        The day to take when the file names none (from SOURCE_DATE_EPOCH), as YYYY-MM-DD.

    Returns
    -------
    tuple of Parameters
        One for each board that the file describes, skipped members left out; as the command line
        reads them.

    Raises
    ------
    RefusalError
        With all that is wrong in the file; for a family, of the first member that is refused.
    """
    members = read_family(path, source_date).members
    for member in members:
        if member.refusal:
            raise member.refusal
    return tuple(member.parameters for member in members if member.parameters)


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

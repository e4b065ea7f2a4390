"""The boards that one file describes, and what was made of each."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from boardgen.errors import RefusalError
from boardgen.model.parameters import Parameters


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """A board of a file: read, refused (with the reasons), or skipped (with the reason)."""

    name: str
    values: Mapping[str, object] = field(default_factory=dict)
    parameters: Parameters | None = None
    refusal: RefusalError | None = None
    skipped: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """All members of a file; a file of one board is a family of one that is not ``many``."""

    members: tuple[Member, ...]
    many: bool = False
    same_parts: bool = False

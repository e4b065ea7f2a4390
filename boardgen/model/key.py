"""A key of the parameter file, told to people."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key: where it stands, what it means, what it may hold, and since when there is it."""

    path: str
    meaning: str
    unit: str
    default: str
    allowed: str
    example: str
    since: str

    @property
    def section(self) -> str:
        """The table that holds it."""
        return self.path.partition(".")[0]

    def named(self, pattern: str) -> bool:
        """Tell whether a pattern, or a plain part of the path, means the key."""
        from fnmatch import fnmatch  # noqa: PLC0415 - only the listing asks

        plain = pattern.casefold()
        if not set(plain) & set("*?["):
            plain = f"*{plain}*"
        return fnmatch(self.path, plain)

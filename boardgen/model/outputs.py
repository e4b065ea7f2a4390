"""Named bytes: what exporters give and what writing puts into a folder."""

import hashlib
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputFile:
    """A file to be: its path inside the board's folder, with ``/``, and its bytes."""

    path: str
    content: bytes

    @property
    def sha256(self) -> str:
        """The digest of the content, in hex."""
        return hashlib.sha256(self.content).hexdigest()


OutputFiles = tuple[OutputFile, ...]


_STRAY = (".DS_Store", "Thumbs.db", "desktop.ini")


def stray(name: str) -> bool:
    """Tell whether a file is what desktops leave in folders that they show: nobody's work."""
    own = name.rpartition("/")[2]
    return own in _STRAY or own.startswith("._")

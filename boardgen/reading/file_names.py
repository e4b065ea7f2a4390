"""Names of boards and their files: a-z, 0-9 and hyphens, made of whatever people write."""

import re
import unicodedata
from pathlib import Path

from boardgen.errors import Problem, RefusalError

LONGEST = 40
_NAME = re.compile(rf"[a-z0-9-]{{1,{LONGEST}}}")
_PLAIN = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "æ": "ae", "ø": "oe",
                        "å": "aa", "œ": "oe", "ð": "d", "þ": "th", "ł": "l", "ı": "i"})  # fmt: skip


def slug(value: object) -> str:
    """Make a name of a text: umlauts in two letters, accents dropped, all else hyphens.

    Examples
    --------
    >>> slug("Küche groß"), slug("Café 3"), slug("20 mm")
    ('kueche-gross', 'cafe-3', '20-mm')
    """
    text = str(value).lower().translate(_PLAIN)
    bare = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return re.sub(r"[^a-z0-9]+", "-", bare).strip("-")


def is_name(name: str) -> bool:
    """Tell whether files can be named so."""
    return bool(_NAME.fullmatch(name))


def board_name(path: Path) -> str:
    """Take the board's name from a file's stem; RefusalError when it cannot name files."""
    if not is_name(path.stem):
        better = slug(path.stem)[:LONGEST].strip("-") or "board"
        raise RefusalError(
            Problem(
                what="the board's files are named after this one; it may hold a-z, 0-9 and hyphens,"
                f" at most {LONGEST}",
                remedy=f"rename it to {better}{path.suffix}",
                file=path.name,
            )
        )
    return path.stem

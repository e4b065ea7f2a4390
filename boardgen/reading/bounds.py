"""What is refused before a parameter file is parsed: a text that no board needs, but time would."""

import re

from boardgen.errors import Problem, RefusalError

MOST_BYTES = 1_000_000
MOST_TABLES = 2_000
MOST_DEPTH = 32
MOST_KEYS = 5_000
MOST_TOLD = 20
"""Our own bounds: the largest file of the examples has 4 kB, 12 tables, 60 keys, 3 dotted parts."""

_PART = r"""(?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')"""
_CHAIN = re.compile(rf"(?:{_PART}[ \t]*\.[ \t]*){{{MOST_DEPTH}}}")
"""So many parts joined by dots are a key wherever they stand: no value looks like that."""


def refuse_endless(text: str, file: str) -> None:
    """Refuse a text that is longer, deeper or of more tables than any board needs.

    Raises
    ------
    RefusalError
        With the line.
    """
    if len(text) > MOST_BYTES:
        raise _refusal(file, 0, f"has {len(text):,} letters; at most {MOST_BYTES:,} are read")
    tables = keys = 0
    for number, line in enumerate(text.split("\n"), start=1):
        plain = line.lstrip()
        tables += plain.startswith("[")
        if tables > MOST_TABLES:
            raise _refusal(file, number, f"opens more than {MOST_TABLES:,} tables")
        keys += len(re.findall("=+", plain)) if not plain.startswith("#") else 0
        if keys > MOST_KEYS:
            raise _refusal(file, number, f"gives more than {MOST_KEYS:,} keys")
        if plain.count(".") >= MOST_DEPTH and _CHAIN.search(plain):
            raise _refusal(file, number, f"a key of more than {MOST_DEPTH} dotted parts")
        if max(plain.count("["), plain.count("{")) > MOST_TABLES:
            raise _refusal(file, number, f"more than {MOST_TABLES:,} brackets in one line")


def _refusal(file: str, line: int, what: str) -> RefusalError:
    return RefusalError(
        Problem(what=what, remedy="describe fewer things in one file", file=file, line=line)
    )


def told(problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
    """Keep the first problems of very many, and say how many more there are."""
    if len(problems) <= MOST_TOLD:
        return problems
    more = len(problems) - MOST_TOLD
    last = Problem(
        what=f"and {more:,} more like these", remedy="mend the first ones, then read again",
        file=problems[0].file,
    )  # fmt: skip
    return (*problems[:MOST_TOLD], last)

"""What can go wrong, with the exit status that each kind of trouble ends in."""

from dataclasses import dataclass, replace

CLEAN = 0
FOUND = 1
REFUSED = 2
OUR_FAULT = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A change of the parameter file: dotted path and the value as written.

    ``also`` are changes of other keys that belong to it: all together or none.
    """

    path: str
    value: str
    note: str = ""
    also: tuple["Change", ...] = ()

    @property
    def all(self) -> tuple["Change", ...]:
        """The change itself, then those that belong to it."""
        return (replace(self, also=()), *self.also)

    def __str__(self) -> str:
        keys = " and ".join(f"{change.path} = {change.value}" for change in self.all)
        return keys + (f" ({self.note})" if self.note else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing that is wrong with the input, told to a person.

    Attributes
    ----------
    what : str
        What is wrong, as a sentence.
    remedy : str
        What would be right; empty when the sentence already says it.
    offers : tuple of Change
        Changes that may mend it; only those that were tried are told to people.
    file, line, path
        Where: file name, line (0 when unknown) and dotted path of the key ("" when none).
    """

    what: str
    remedy: str = ""
    file: str = ""
    line: int = 0
    path: str = ""
    offers: tuple[Change, ...] = ()

    def __str__(self) -> str:
        place = self.file + (f":{self.line}" if self.line else "")
        head = ": ".join(part for part in (place, self.path) if part)
        text = f"{head}: {self.what}" if head else self.what
        return f"{text}\n    {self.remedy}" if self.remedy else text


_LONGEST, _LONGEST_WORD = 4_000, 300
"""No message repeats more letters of a file than these: own choice."""


def _shortened(problem: Problem) -> Problem:
    """Cut what a file wrote at far too great length out of the middle of a message."""
    if len(problem.what) + len(problem.remedy) + len(problem.path) < _LONGEST_WORD:
        return problem
    what, remedy, path = map(_cut, (problem.what, problem.remedy, problem.path))
    return replace(problem, what=what, remedy=remedy, path=path)


def _cut(text: str) -> str:
    if len(text) > _LONGEST:
        text = f"{text[: _LONGEST // 2]} … {text[-_LONGEST // 2 :]}"
    words = text.split(" ")
    return " ".join(
        f"{word[: _LONGEST_WORD // 2]}…{word[-_LONGEST_WORD // 2 :]}"
        if len(word) > _LONGEST_WORD
        else word
        for word in words
    )


class BoardgenError(Exception):
    """The root of all errors that boardgen raises on purpose."""

    exit_status = OUR_FAULT


class RefusalError(BoardgenError):
    """The file cannot be read, or no board follows from it; nothing is written."""

    exit_status = REFUSED

    def __init__(self, *problems: Problem) -> None:
        self.problems = problems = tuple(map(_shortened, problems))
        super().__init__("\n".join(str(problem) for problem in problems))


class OutputError(BoardgenError):
    """The result cannot be put where it was asked for; what was there is untouched."""

    exit_status = REFUSED


class ProofError(BoardgenError):
    """The files that we wrote do not say what was designed: a fault of ours."""

    exit_status = OUR_FAULT


class PackageError(BoardgenError):
    """A package given to ``verify`` cannot be read as one."""

    exit_status = REFUSED

"""Lists of parts' names, as people write them."""

from collections.abc import Sequence
from itertools import groupby


def spans(names: Sequence[str]) -> str:
    """Write the names of parts of one letter shortly.

    Examples
    --------
    >>> spans(["D1", "D2", "D3", "D7"])
    'D1 to D3, D7'
    """
    letter = names[0].rstrip("0123456789")
    numbers = sorted(int(name.removeprefix(letter)) for name in names)
    runs = [
        [number for _, number in run]
        for _, run in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0])
    ]
    return ", ".join(
        f"{letter}{run[0]}" if len(run) == 1 else f"{letter}{run[0]} to {letter}{run[-1]}"
        for run in runs
    )


def by_letter(names: Sequence[str]) -> str:
    """Write names of parts shortly, letter by letter."""
    letters = dict.fromkeys(name.rstrip("0123456789") for name in names)
    return ", ".join(
        spans([name for name in names if name.rstrip("0123456789") == letter]) for letter in letters
    )

"""The smallest measure that does, found by doubling and bisection."""

from collections.abc import Callable, Sequence
from typing import TypeVar

from boardgen.units import up_to_step

_At = TypeVar("_At")
_Made = TypeVar("_Made")


def smallest(
    does: Callable[[float], bool], least_mm: float, step_mm: float, most_steps: int
) -> float | None:
    """Find the smallest measure of a step that does, from a least one on; None when none does.

    What does at one measure is taken to do at every larger one; so the measure found does, and a
    step less does not. The number of trials grows with the logarithm of the steps needed.
    """
    first = up_to_step(least_mm, step_mm)

    def at(steps: int) -> float:
        return round(first + steps * step_mm, 6)

    if does(at(0)):
        return at(0)
    low, high = 0, 1
    while not does(at(high)):
        low, high = high, 2 * high
        if high > most_steps:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if does(at(middle)) else (middle, high)
    return at(high)


def nearest(
    tried: Sequence[_At], made: Callable[[_At], _Made | None], furthest: _Made | None = None
) -> _Made | None:
    """Make the first of some that does, by bisection: what does at one does further out.

    ``furthest`` is what came of the last of them, where that is known.
    """
    if len(tried) == 1:
        return furthest or made(tried[0])
    first = made(tried[0])
    if first:
        return first
    low, high, best = 0, len(tried) - 1, furthest or made(tried[-1])
    while best and high - low > 1:
        middle = (low + high) // 2
        found = made(tried[middle])
        low, high, best = (low, middle, found) if found else (middle, high, best)
    return best

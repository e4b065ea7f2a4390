"""Boards joined end to end: each is fed at the far end of the one before it.

A board carries the current of all behind it, and what it loses they have the less. Currents of
those behind are guessed, and all solved in turn from the first on until none of them moves.
"""

from collections.abc import Sequence

import numpy as np

from boardgen.electrical.network import Array, Flow, Taps, Way, solve

_STILL_A = 1e-12
_MOST_ROUNDS = 100

Places = Sequence[tuple[int, int]]
"""Where taps sit: nodes of the supply and of the return."""


def solve_chain(
    ways: tuple[Way, Way],
    places: Places,
    far: tuple[int, int] | None,
    taps: Taps,
    source_v: float,
    boards: int,
    joint_ohm: float,
) -> list[Flow]:
    """Solve boards that are alike, the first one fed.

    Parameters
    ----------
    ways : (supply, return)
        What the current passes on each of the boards.
    places : sequence of (supply node, return node)
        Where each tap sits.
    far : (supply node, return node)
        Where the next board is joined; None on a board that stands alone.
    joint_ohm : float
        What both ways of a joint resist together.

    Returns
    -------
    list of Flow
        One for each board; its last tap is the next board, where one can be joined.
    """
    supply, back = ways
    if far is None:
        return [solve(supply, back, places, taps, source_v)]
    through = [0.0] * boards
    for _ in range(_MOST_ROUNDS):
        flows, volts = [], source_v
        for passed in through:
            flow = solve(supply, back, (*places, far), _with_next(taps, passed), volts)
            flows.append(flow)
            volts = float(flow.across_v[-1]) - joint_ohm * passed
        own = [float(flow.current_a[:-1].sum()) for flow in flows]
        before, through = through, [sum(own[place + 1 :]) for place in range(boards)]
        if max(abs(one - other) for one, other in zip(before, through, strict=True)) < _STILL_A:
            return flows
    raise ArithmeticError("what flows through the joints was not found")


def _with_next(taps: Taps, passed_a: float) -> Taps:
    """Add the next board, which draws what it draws."""

    def drawn(across_v: Array) -> tuple[Array, Array]:
        current, slope = taps(across_v[:-1])
        return np.append(current, passed_a), np.append(slope, 0.0)

    return drawn

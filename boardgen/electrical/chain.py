"""Boards joined end to end: each is fed at the far end of the one before it.

A board carries the current of all behind it, and what it loses they have the less. What those
behind draw is guessed, as a current and how it rises with the voltage, and all are solved in turn
from the first on until none of them moves. The rise is taken too steep rather than too flat: then
each round comes nearer, whatever is lost on the way.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boardgen.electrical.network import Array, Flow, Taps, Way, solve

_STILL_A = 1e-12
_MOST_ROUNDS = 1_000

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
    behind = [_Behind()] * boards
    for _ in range(_MOST_ROUNDS):
        flows, slopes, volts = list[Flow](), list[float](), source_v
        for one in behind:
            flow = solve(supply, back, (*places, far), _with_next(taps, one), volts)
            flows.append(flow)
            slopes.append(float(taps(flow.across_v[:-1])[1].sum()))
            volts = float(flow.across_v[-1]) - joint_ohm * float(flow.current_a[-1])
        own = [float(flow.current_a[:-1].sum()) for flow in flows]
        found = [
            _Behind(
                drawn_a=sum(own[place + 1 :]),
                at_v=float(flow.across_v[-1]),
                slope_s=sum(slopes[place + 1 :]),
            )
            for place, flow in enumerate(flows)
        ]
        passed = [float(flow.current_a[-1]) for flow in flows]
        behind = found
        if max(abs(a - one.drawn_a) for a, one in zip(passed, found, strict=True)) < _STILL_A:
            return flows
    raise ArithmeticError("what flows through the joints was not found")


@dataclass(frozen=True, slots=True)
class _Behind:
    """What all boards behind one draw at a voltage, and how much more at a higher one, at most."""

    drawn_a: float = 0.0
    at_v: float = 0.0
    slope_s: float = 0.0


def _with_next(taps: Taps, behind: _Behind) -> Taps:
    """Add what is behind as one more tap."""

    def drawn(across_v: Array) -> tuple[Array, Array]:
        current, slope = taps(across_v[:-1])
        more = behind.slope_s * (across_v[-1] - behind.at_v)
        return np.append(current, behind.drawn_a + more), np.append(slope, behind.slope_s)

    return drawn

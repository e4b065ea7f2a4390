"""What many boards of one design would do: supply, bin, tolerance, ambient and warming drawn.

Drawn are kinds of branch, not every branch: two of each kind, so that the cost does not grow with
the board. Draws are even over a range somewhat wider than the real one and held at its ends: cells
are often just fresh or just flat, and sorted parts lie at the edge of their bin.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from boardgen.electrical.leds import settled, through
from boardgen.model.circuit import BranchKind, Circuit
from boardgen.model.operation import Sample, Sampling
from boardgen.model.parameters import Parameters

Array = npt.NDArray[np.float64]

SEED = 20_261
BOARDS = 1_000
_WIDER = 1.5
"""A third of all draws lie at an end, half of them at either: own choice."""

_LOW, _MIDDLE, _HIGH = 5.0, 50.0, 95.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """Shares of the way from the low to the high end, for each board or for two of its branches.

    ``supply``, ``ambient`` and ``warm`` have the shape (boards, 1), ``bin`` and ``tolerance``
    (boards, 2).
    """

    supply: Array
    ambient: Array
    warm: Array
    bin: Array
    tolerance: Array


def draws(boards: int, seed: int) -> Draws:
    """Draw what varies, from a generator of its own."""
    generator = np.random.Generator(np.random.PCG64(seed))

    def even(columns: int) -> Array:
        wide = (generator.random((boards, columns)) - 0.5) * _WIDER + 0.5
        return np.clip(wide, 0.0, 1.0)

    return Draws(supply=even(1), ambient=even(1), warm=even(1), bin=even(2), tolerance=even(2))


def branch_currents_a(
    parameters: Parameters, circuit: Circuit, kind: BranchKind, drawn: Draws
) -> Array:
    """Find the currents of two branches of a kind on every drawn board."""
    feed, vf, board = circuit.feed, parameters.led.data.vf, parameters.board
    diode = through(parameters.led, _between(vf.min_v, vf.max_v, drawn.bin))
    tolerance = parameters.resistor.tolerance
    ohms = kind.nominal.resistance_ohm * _between(1 - tolerance, 1 + tolerance, drawn.tolerance)
    return settled(
        diode,
        parameters.led,
        _between(feed.low_v, feed.high_v, drawn.supply),
        float(kind.leds),
        ohms,
        _between(board.ambient_low_degc, board.ambient_degc, drawn.ambient),
        drawn.warm,
    ).current_a


def _between(low: float, high: float, share: Array) -> Array:
    return low + (high - low) * share


def sample(parameters: Parameters, circuit: Circuit) -> Sampling:
    """Sample boards of a design; the same seed gives the same numbers everywhere."""
    drawn = draws(BOARDS, SEED)
    by_kind = [branch_currents_a(parameters, circuit, kind, drawn) for kind in circuit.kinds]
    numbers = [sum(branch.kind is kind for branch in circuit.branches) for kind in circuit.kinds]
    branch = np.concatenate([currents.ravel() for currents in by_kind])
    board = sum(
        (number * currents.mean(axis=1) for number, currents in zip(numbers, by_kind, strict=True)),
        start=np.zeros(BOARDS),
    )
    unlike = np.concatenate([_unlike(currents) for currents in by_kind])
    return Sampling(
        boards=BOARDS, seed=SEED, branch_a=_summed(branch), board_a=_summed(board),
        unlike=_summed(unlike),
    )  # fmt: skip


def _unlike(currents: Array) -> Array:
    greater = currents.max(axis=1)
    lit = np.where(greater > 0, greater, 1.0)
    unlike: Array = (greater - currents.min(axis=1)) / lit
    return unlike


def _summed(values: Array) -> Sample:
    low, middle, high = np.percentile(values, [_LOW, _MIDDLE, _HIGH])
    return Sample(low=float(low), middle=float(middle), high=float(high))

"""What many boards of one design would do: supply, LEDs, tolerance, ambient and warming drawn.

Supply, air and warming are drawn for a board, the resistor's value for each branch, the forward
voltage for each LED by itself. LEDs of one reel are more alike than that: their light then differs
less on a board, and more from board to board. Draws are even over a range somewhat wider than the
real one and held at its ends: cells are often just fresh or just flat, and sorted parts lie at the
edge of their bin.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from boardgen.electrical.leds import settled, through
from boardgen.model.circuit import Circuit
from boardgen.model.operation import Sample, Sampling
from boardgen.model.parameters import Parameters

Array = npt.NDArray[np.float64]

SEED = 20_261
BOARDS = 1_000
LEAST_BOARDS = 200
MOST_BRANCHES = 50_000
"""So many branches are drawn in all, unless fewer than the least number of boards come of it."""

_WIDER = 1.5
"""A third of all draws lie at an end, half of them at either: own choice."""

_LOW, _MIDDLE, _HIGH = 5.0, 50.0, 95.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """Shares of the way from the low to the high end.

    ``supply``, ``ambient`` and ``warm`` have the shape (boards, 1), ``tolerance`` (boards,
    branches); ``bin`` is the mean of a branch's LEDs, of the same shape.
    """

    supply: Array
    ambient: Array
    warm: Array
    bin: Array
    tolerance: Array


def boards_drawn(circuit: Circuit) -> int:
    """Tell how many boards are drawn: fewer of large ones."""
    return max(LEAST_BOARDS, min(BOARDS, MOST_BRANCHES // len(circuit.branches)))


def draws(boards: int, leds: tuple[int, ...], seed: int) -> Draws:
    """Draw what varies, from a generator of its own; ``leds`` are the LEDs of each branch."""
    generator = np.random.Generator(np.random.PCG64(seed))

    def even(*shape: int) -> Array:
        wide = (generator.random(shape) - 0.5) * _WIDER + 0.5
        return np.clip(wide, 0.0, 1.0)

    ends = np.cumsum(leds)
    each = even(boards, int(ends[-1]))
    bins = np.stack(
        [each[:, end - count : end].mean(axis=1) for end, count in zip(ends, leds, strict=True)],
        axis=1,
    )
    return Draws(
        supply=even(boards, 1),
        ambient=even(boards, 1),
        warm=even(boards, 1),
        bin=bins,
        tolerance=even(boards, len(leds)),
    )


def branch_currents_a(parameters: Parameters, circuit: Circuit, drawn: Draws) -> Array:
    """Find the currents of all branches on every drawn board.

    The board's warmth follows from its current: it is found for boards as warm as the air, then
    again with the warmth of that.
    """
    board, supply = parameters.board, circuit.supply
    air = _between(board.ambient_low_degc, board.ambient_degc, drawn.ambient)
    cool = _currents(parameters, circuit, drawn, air)
    volts = _between(supply.low_v, supply.high_v, drawn.supply)
    heat = volts * cool.sum(axis=1, keepdims=True)
    warm = air + drawn.warm * circuit.warmth.cooling.k_per_w * heat
    return _currents(parameters, circuit, drawn, warm)


def _currents(parameters: Parameters, circuit: Circuit, drawn: Draws, board_degc: Array) -> Array:
    feed, tolerance = circuit.feed, parameters.resistor.tolerance
    volts = _between(feed.low_v, feed.high_v, drawn.supply)
    found = np.empty_like(drawn.bin)
    for kind in circuit.kinds:
        columns = circuit.places(kind)
        ohms, vf = kind.nominal.resistance_ohm, kind.led.data.vf
        found[:, columns] = settled(
            through(kind.led, _between(vf.min_v, vf.max_v, drawn.bin[:, columns])),
            kind.led,
            volts,
            float(kind.leds),
            ohms * _between(1 - tolerance, 1 + tolerance, drawn.tolerance[:, columns]),
            board_degc,
            drawn.warm,
        ).current_a
    return found


def _between(low: float, high: float, share: Array) -> Array:
    return low + (high - low) * share


def sample(parameters: Parameters, circuit: Circuit) -> Sampling:
    """Sample boards of a design; the same seed gives the same numbers everywhere."""
    boards = boards_drawn(circuit)
    drawn = draws(boards, tuple(branch.kind.leds for branch in circuit.branches), SEED)
    currents = branch_currents_a(parameters, circuit, drawn)
    pairs = [columns[:2] for kind in circuit.kinds if (columns := circuit.places(kind))]
    unlike = np.concatenate([_unlike(currents[:, columns]) for columns in pairs])
    return Sampling(
        boards=boards, seed=SEED, branch_a=_summed(currents.ravel()),
        board_a=_summed(currents.sum(axis=1)), unlike=_summed(unlike),
    )  # fmt: skip


def _unlike(currents: Array) -> Array:
    """Tell by which share two branches differ; one alone is like itself."""
    greater = currents.max(axis=1)
    lit = np.where(greater > 0, greater, 1.0)
    unlike: Array = (greater - currents.min(axis=1)) / lit
    return unlike


def _summed(values: Array) -> Sample:
    low, middle, high = np.percentile(values, [_LOW, _MIDDLE, _HIGH])
    return Sample(low=float(low), middle=float(middle), high=float(high))

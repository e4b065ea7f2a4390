"""Voltages along two ways, supply and return, that branches tap between them.

The supply's tracks are a tree, solved exactly by elimination from its leaves; the return may be
another, or pours. The taps' currents are linearised, and both ways solved in turn until nothing
moves. The cost grows with the number of nodes only.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

Taps = Callable[[Array], tuple[Array, Array]]
"""Voltages across the taps → currents and slopes dI/dV."""

_STILL_V = 1e-13
_MOST_SWEEPS = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """A resistive tree: every node follows its parent, node 0 is the root and fed.

    ``ohms`` lies between a node and its parent; ``fed`` nodes are held at the source's potential.
    """

    parents: tuple[int, ...]
    ohms: tuple[float, ...]
    fed: frozenset[int] = frozenset({0})

    @property
    def size(self) -> int:
        """How many nodes it has."""
        return len(self.parents)

    def drops(self, drawn_a: Array, shunt_s: Array) -> Array:
        """Solve for the voltage lost at each node.

        Parameters
        ----------
        drawn_a : array of nodes
            Current drawn at a node when nothing is lost there.
        shunt_s : array of nodes
            How much less is drawn for each volt lost.
        """
        size = len(self.parents)
        through = [1.0 / ohms if ohms else 0.0 for ohms in self.ohms]
        diagonal, drawn = shunt_s.tolist(), drawn_a.tolist()
        for node in range(1, size):
            diagonal[node] += through[node]
        for node in range(size - 1, 0, -1):
            parent, conductance = self.parents[node], through[node]
            if node in self.fed:
                diagonal[parent] += conductance
            else:
                share = conductance / diagonal[node]
                diagonal[parent] += conductance * (1.0 - share)
                drawn[parent] += drawn[node] * share
        lost = [0.0] * size
        for node in range(1, size):
            if node not in self.fed:
                before = lost[self.parents[node]] * through[node]
                lost[node] = (drawn[node] + before) / diagonal[node]
        return np.array(lost)


class Way(Protocol):
    """What the current passes before or behind the taps."""

    @property
    def size(self) -> int:
        """How many nodes it has."""

    def drops(self, drawn_a: Array, shunt_s: Array) -> Array:
        """Solve for the voltage lost at each node."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """What flows through each tap, the voltage across it, what is lost on both ways to it."""

    current_a: Array
    across_v: Array
    supply_drop_v: Array
    return_drop_v: Array

    @property
    def loss_w(self) -> float:
        """The heat in both: what each current loses on its ways."""
        return float((self.current_a * (self.supply_drop_v + self.return_drop_v)).sum())


def solve(
    supply: Way,
    back: Way,
    places: Sequence[tuple[int, int]],
    taps: Taps,
    source_v: float,
) -> Flow:
    """Solve both ways with their taps.

    Parameters
    ----------
    places : sequence of (supply node, return node)
        Where each tap sits.
    """
    above, below = (np.array(nodes, dtype=int) for nodes in zip(*places, strict=True))
    lost = [np.zeros(supply.size), np.zeros(back.size)]
    for _ in range(_MOST_SWEEPS):
        moved = 0.0
        for which, (way, nodes) in enumerate(((supply, above), (back, below))):
            across = source_v - lost[0][above] - lost[1][below]
            current, slope = taps(across)
            linear = current + slope * lost[which][nodes]
            drawn = np.bincount(nodes, weights=linear, minlength=way.size).astype(float)
            shunt = np.bincount(nodes, weights=slope, minlength=way.size).astype(float)
            found = way.drops(drawn, shunt)
            moved = max(moved, float(np.max(np.abs(found - lost[which]))))
            lost[which] = found
        if moved < _STILL_V:
            break
    across = source_v - lost[0][above] - lost[1][below]
    return Flow(
        current_a=taps(across)[0],
        across_v=across,
        supply_drop_v=lost[0][above],
        return_drop_v=lost[1][below],
    )

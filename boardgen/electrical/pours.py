"""The ways through pours as they are drawn: what is lost from each branch to the connector.

The pours are conducting sheets of their own form, joined at the vias; spokes are what lies between
a relieved land and its pour. Barrels and soldered pins are taken to conduct without loss.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property

import numpy as np

from boardgen.electrical.contacts import Contact, Grid
from boardgen.electrical.network import Array
from boardgen.electrical.sheet import Sheets

_FAR_MM = 1.25
"""A second feed is joined to the pour over so wide a circle: own choice."""
_ALIKE = 5e-3
"""What currents solved before make up but for so much is not solved again."""
_LITTLE = 0.02
"""So small a part of the current more or less is found step by step."""
_STILL, _MOST_ROUNDS = 1e-6, 200
"""What is left of a loss when it counts as found, and the rounds after which it never will be."""


class Drain(Enum):
    """Where the return leaves the board."""

    CONNECTOR = "connector"
    FAR_END = "far end"
    BOTH = "both"


class Ground:
    """The sheets of a board, and what currents that were solved before lose in them.

    What sheets lose adds up: of new currents only what those before do not make up is solved.
    """

    def __init__(self, sheets: Sheets, cathodes: Sequence[Contact], far: Contact) -> None:
        self.sheets, self.cathodes, self.far = sheets, cathodes, far
        self._solved: list[tuple[Array, Array]] = []

    def lost(self, current_a: Array) -> Array:
        """Tell what is lost at each branch's land, last at the far end, in squares by amperes."""
        rest, found = current_a, np.zeros(len(self.cathodes) + 1)
        for known, lost in self._solved:
            part = float(rest @ known)
            rest, found = rest - part * known, found + part * lost
        size = float(np.linalg.norm(rest))
        if size <= _ALIKE * float(np.linalg.norm(current_a)):
            return found
        lost = self._solve(rest / size)
        self._solved.append((rest / size, lost))
        return found + size * lost

    def _solve(self, current_a: Array) -> Array:
        drawn = np.zeros_like(self.sheets.held)
        pairs = list(zip(self.cathodes, current_a.tolist(), strict=True))
        for contact, amps in pairs:
            contact.add_to(drawn, amps)
        lost = self.sheets.lost(drawn)
        at_lands = [contact.seen(lost, amps) for contact, amps in pairs]
        return np.array([*at_lands, self.far.seen(lost)])

    @cached_property
    def of_far(self) -> Array:
        """What a current of one, drawn at the far end, loses at each land, last there."""
        drawn = np.zeros_like(self.sheets.held)
        self.far.add_to(drawn, 1.0)
        lost = self.sheets.lost(drawn)
        return np.array([contact.seen(lost) for contact in (*self.cathodes, self.far)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Pours:
    """The way back from each branch's last cathode."""

    ground: Ground
    sheet_ohm: float
    drain: Drain = Drain.CONNECTOR

    @property
    def size(self) -> int:
        """One node for each branch."""
        return len(self.ground.cathodes)

    def leaving(self, drain: Drain) -> "Pours":
        """Let the return leave elsewhere."""
        return replace(self, drain=drain)

    def lost_v(self, current_a: Array) -> Array:
        """Tell the voltage lost by each branch's current on its way back."""
        lost = self.ground.lost(current_a)
        if self.drain is Drain.FAR_END:
            lost = lost - current_a.sum() * self.ground.of_far
            lost -= lost[-1]
        elif self.drain is Drain.BOTH:
            of_far = self.ground.of_far
            lost = lost - lost[-1] / of_far[-1] * of_far
        found: Array = self.sheet_ohm * lost[:-1]
        return found

    def drops(self, drawn_a: Array, shunt_s: Array) -> Array:
        """Solve for the voltage lost, where each volt lost draws so much less current.

        With R what a current loses and S the shunts: lost = R (drawn - S lost). R is symmetric, so
        conjugate gradients find sqrt(S) lost, whether little is lost or more than all.
        """
        lost = self.lost_v(drawn_a)
        if np.abs(shunt_s * lost).max() <= _LITTLE * np.abs(drawn_a).max():
            # Who asks goes on until nothing moves: one step is as good, and solves nothing new.
            return self.lost_v(drawn_a - shunt_s * lost)
        root = np.sqrt(shunt_s)
        wanted = root * lost
        found, rest = np.zeros_like(wanted), wanted.copy()
        way, size = rest, float(rest @ rest)
        least = size * _STILL * _STILL
        for _ in range(_MOST_ROUNDS):
            if size <= least:
                break
            through = way + root * self.lost_v(root * way)
            step = size / float(way @ through)
            found, rest = found + step * way, rest - step * through
            size, before = float(rest @ rest), size
            way = rest + size / before * way
        else:
            raise ArithmeticError("what the return loses was not found")
        return self.lost_v(drawn_a - root * found)


def pours(
    grid: Grid, connector: str, lands: Sequence[Contact], furthest: int, sheet_ohm: float
) -> Pours:
    """Take the return of a board, or its supply, from the drawn copper.

    Parameters
    ----------
    connector : str
        The part whose lands take the return away, or let the supply in.
    lands : sequence of Contact
        Where each branch meets the pour.
    furthest : int
        Which of them is furthest from the connector.
    sheet_ohm : float
        Resistance of a square of the copper.
    """
    far = grid.around(lands[furthest], _FAR_MM)
    ground = Ground(grid.sheets(connector), lands, far)
    return Pours(ground=ground, sheet_ohm=sheet_ohm)

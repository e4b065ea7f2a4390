"""How long a battery lasts as its voltage falls: t = Q·∫dq/I(V(q)), exactly where I is linear.

Between two points of the discharge curve the current is taken as linear in the charge drawn, so
that Δt = Q·Δq·ln(I1/I0)/(I1 − I0) (docs/sources.md, cells: derived); the curve is cut finely,
since the LEDs' current is not quite linear in the voltage.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from boardgen.electrical.leds import bins
from boardgen.model.circuit import DARK_SHARE, Circuit
from boardgen.model.operation import LIGHT_OUT, RunTime
from boardgen.model.parameters import Parameters
from boardgen.standards.diode import operating_current_a
from boardgen.tolerances import SAME_SHARE

Array = npt.NDArray[np.float64]

_CUTS = 32
_ROUNDS = 20
_AGES = 13


@dataclass(frozen=True, slots=True, kw_only=True)
class Discharge:
    """A discharge up to its end: time and current at each point of the cut curve."""

    drawn: Array
    hours: Array
    current_a: Array
    ends_by: str

    @property
    def charge_share(self) -> float:
        """The share of the charge that was drawn."""
        return float(self.drawn[-1])


def discharge(
    curve: Sequence[tuple[float, float]],
    charge_ah: float,
    current: Callable[[Array], Array],
    *,
    cutoff_v: float = 0.0,
    cutoff_a: float = 0.0,
) -> Discharge:
    """Draw a battery down along its curve until its voltage or the current falls too low.

    Parameters
    ----------
    curve : sequence of (share, V)
        Share of the charge drawn, rising from 0 to 1, and the voltage at rest, falling.
    charge_ah : float
        The whole charge.
    current : callable
        Voltages at rest → currents of the whole board.
    """
    knots, volts = np.array(curve, dtype=float).T
    drawn = np.unique([np.linspace(a, b, _CUTS + 1) for a, b in pairwise(knots)])
    at_rest = np.interp(drawn, knots, volts)
    amps = current(at_rest)
    ends_by, end = "the charge is used up", len(drawn)
    for values, least, words in (
        (at_rest, cutoff_v, "the battery is at its end"),
        (amps, max(cutoff_a, SAME_SHARE), LIGHT_OUT),
    ):
        below = np.nonzero(values < least - SAME_SHARE * least)[0]
        if len(below) and below[0] < end:
            end, ends_by = int(below[0]), words
            drawn = _with_crossing(drawn, values, least, end)
            amps = current(np.interp(drawn, knots, volts))
            at_rest = np.interp(drawn, knots, volts)
            end += 1
    drawn, amps = drawn[:end], amps[:end]
    return Discharge(
        drawn=drawn, hours=charge_ah * _elapsed(drawn, amps), current_a=amps, ends_by=ends_by
    )


def _with_crossing(drawn: Array, values: Array, least: float, end: int) -> Array:
    """Put in the point at which values fall to their least, between ``end`` - 1 and ``end``."""
    if end == 0:
        return drawn
    before, after = values[end - 1], values[end]
    at = drawn[end - 1] + (drawn[end] - drawn[end - 1]) * (before - least) / (before - after)
    return np.insert(drawn, end, at)


def _elapsed(drawn: Array, amps: Array) -> Array:
    """Integrate dq/I exactly for currents that are linear between the points."""
    if len(drawn) == 0:
        return drawn
    step, first, last = np.diff(drawn), amps[:-1], amps[1:]
    same = np.abs(last - first) <= SAME_SHARE * first
    apart = np.where(same, 1.0, last - first)
    each = np.where(same, step / first, step * np.log(last / first) / apart)
    return np.concatenate([[0.0], np.cumsum(each)])


def capacity_ah(table: Sequence[tuple[float, float]], drain_a: float) -> float:
    """Read the charge at a drain from a table, straight on logarithmic paper, level beyond it."""
    drains, charges = np.log(np.array(table, dtype=float)).T
    return float(np.exp(np.interp(math.log(drain_a), drains, charges)))


def run_time(parameters: Parameters, circuit: Circuit) -> RunTime | None:
    """Find how long the battery lights the board; None for a supply that does not run down.

    The charge depends on the drain: both are found together, from the mean current.
    """
    supply = circuit.supply
    if not supply.runs_down:
        return None
    current = _board_current(parameters, circuit)
    dark = DARK_SHARE * circuit.nominal_a
    charge = capacity_ah(supply.capacity, max(circuit.nominal_a, SAME_SHARE))
    for _ in range(_ROUNDS):
        found = discharge(supply.curve, charge, current, cutoff_v=supply.cutoff_v, cutoff_a=dark)
        if len(found.hours) < 2 or found.hours[-1] <= 0:  # noqa: PLR2004 - a time needs two points
            return RunTime(hours=0.0, charge_ah=charge, mean_a=0.0, left=1.0,
                           ends_by=found.ends_by, ages=())  # fmt: skip
        mean = charge * found.charge_share / float(found.hours[-1])
        before, charge = charge, capacity_ah(supply.capacity, mean)
        if abs(charge - before) <= SAME_SHARE * charge:
            break
    ages = np.linspace(0.0, found.hours[-1], _AGES)
    light = np.interp(ages, found.hours, found.current_a / found.current_a[0])
    return RunTime(
        hours=float(found.hours[-1]),
        charge_ah=charge,
        mean_a=mean,
        left=1.0 - found.charge_share,
        ends_by=found.ends_by,
        ages=tuple(zip(map(float, ages), map(float, light), strict=True)),
    )


def _board_current(parameters: Parameters, circuit: Circuit) -> Callable[[Array], Array]:
    """Give the current of typical branches at a battery's voltage at rest.

    What the battery and the guards resist is common to all branches: each of so many alike sees it
    as many times.
    """
    usual_drop = sum(guard.drop_v[1] for guard in parameters.parts.guards)
    common = circuit.supply.resistance_ohm + sum(
        guard.resistance_ohm[1] for guard in parameters.parts.guards
    )
    numbers = [
        (kind, bins(kind.led).typical, circuit.boards * len(circuit.places(kind)))
        for kind in circuit.kinds
    ]
    alike = circuit.boards * len(circuit.branches)

    def current(volts: Array) -> Array:
        total = np.zeros_like(volts)
        for kind, typical, number in numbers:
            ohms = kind.nominal.resistance_ohm + common * alike
            total += number * operating_current_a(typical, volts - usual_drop, kind.leds, ohms)
        return total

    return current

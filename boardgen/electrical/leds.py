"""The board's LED as curves: least, typical and greatest forward voltage."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from boardgen.electrical.cooling import HOTTEST_DEGC
from boardgen.model.parts import LedPart
from boardgen.standards.diode import (
    REFERENCE_DEGC,
    Diode,
    Real,
    diode_through,
    operating_current_a,
    shape,
)

_SMALL_CHIP_A = 0.020
"""Typical series resistances are of chips whose forward voltage is stated here."""

_SMALL_CHIP_MOST_A = 0.030
"""And of chips that bear this much: own choice, the upper end of small chips' data sheets."""

_MOST_ROUNDS = 60
_DAMPED = 0.5
_SETTLED_K = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Bins:
    """An LED's curves at 25 °C by the ends and the middle of its forward voltage."""

    least: Diode
    typical: Diode
    most: Diode


def bins(led: LedPart) -> Bins:
    """Lay the LED's curves through its stated forward voltages."""
    vf = led.data.vf
    return Bins(
        least=through(led, vf.min_v),
        typical=through(led, vf.typical_v),
        most=through(led, vf.max_v),
    )


def through(led: LedPart, volts: Real) -> Diode:
    """Lay a curve of the LED's shape through voltages at the stated current.

    A larger chip, stated at more current or made for more, has less series resistance.
    """
    at, most = led.data.vf.at_a, led.data.max_current_a
    series = led.shape.series_ohm * min(1.0, _SMALL_CHIP_A / at, _SMALL_CHIP_MOST_A / most)
    return diode_through(*shape(led.data.points, (led.shape.ideality, series)), at, volts)


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """What flows, at which voltage of one LED and at which junction temperature."""

    current_a: npt.NDArray[np.float64]
    vf_v: npt.NDArray[np.float64]
    junction_degc: npt.NDArray[np.float64]


def at_temperature(diode: Diode, led: LedPart, junction_degc: Real) -> Diode:
    """Shift a curve to a junction temperature by the LED's coefficient."""
    return diode.shifted(led.shape.per_kelvin_v * (junction_degc - REFERENCE_DEGC))


def cold(
    diode: Diode, led: LedPart, supply_v: Real, leds: Real, resistance_ohm: Real, at_degc: Real
) -> State:
    """Find what flows while the junctions are at a given temperature."""
    shifted = at_temperature(diode, led, at_degc)
    current = operating_current_a(shifted, supply_v, leds, resistance_ohm)
    lit = (np.maximum(supply_v, 0.0) - current * resistance_ohm) / np.asarray(leds, dtype=float)
    return State(
        current_a=current,
        vf_v=lit,
        junction_degc=np.broadcast_to(np.asarray(at_degc, dtype=float), current.shape),
    )


def settled(
    diode: Diode,
    led: LedPart,
    supply_v: Real,
    leds: Real,
    resistance_ohm: Real,
    ambient_degc: Real,
    warm: Real = 1.0,
) -> State:
    """Find what flows once the junctions have warmed up: Tj = Ta + Rth·Vf·I, iterated from below.

    ``warm`` is how much of the warming has happened, from 0 (just switched on) to 1. The iteration
    ends at a temperature that no LED survives, should one run away.
    """
    state = cold(diode, led, supply_v, leds, resistance_ohm, ambient_degc)
    last: Real = np.inf
    for _ in range(_MOST_ROUNDS):
        heat = state.vf_v * state.current_a
        before = state.junction_degc
        wanted = np.minimum(ambient_degc + warm * led.shape.thermal_k_per_w * heat, HOTTEST_DEGC)
        step = wanted - before
        if np.all(np.abs(step) < _SETTLED_K):
            break
        # An LED that cools when it conducts more would swing for ever with whole steps.
        swings = np.abs(step) > _DAMPED * last
        last = np.abs(step)
        warmer = before + np.where(swings, _DAMPED, 1.0) * step
        state = cold(diode, led, supply_v, leds, resistance_ohm, warmer)
    return state

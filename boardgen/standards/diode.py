"""The forward characteristic of an LED, and what flows through LEDs behind a resistor.

V = n·Vt·ln(I/Is + 1) + I·Rs, the usual diode law with a series resistance (docs/sources.md,
diode law: read in two general pages). The operating point follows in closed form by Lambert's W
(technique published in an electronics-letters paper of 2000, its abstract read); here by Wright's
ω, the solution of ω + ln ω = y, which never overflows. Arrays and plain numbers alike.

n, Is and Rs are a fit, not physics: pairs that differ much give nearly the same curve.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Real = npt.NDArray[np.float64] | float

THERMAL_V = 1.380649e-23 * 298.15 / 1.602176634e-19
"""kT/q at 25 °C, where data sheets state their figures; constants of the SI of 2019, exact."""

REFERENCE_DEGC = 25.0
_ROUNDS = 4
_STEEP = 36.0
"""e to this power drowns 1 in double precision."""

_LEAST_IDEALITY = 0.1
_NEAR_NOTHING = -50.0


def wright_omega(y: Real) -> npt.NDArray[np.float64]:
    """Solve ω + ln ω = y for real y, by the iteration of Fritsch, Shafer and Crowley (1973).

    Examples
    --------
    >>> float(wright_omega(1.0))
    1.0
    >>> round(float(wright_omega(63.6371)), 4)
    59.5503
    """
    wanted = np.asarray(y, dtype=float)
    clipped = np.maximum(wanted, _NEAR_NOTHING)
    large = np.maximum(clipped, 1.0)
    log = np.log(large)
    omega = np.where(
        clipped > 1.0,
        large - log + log / large,
        np.exp(np.minimum(clipped, 1.0)) / (1.0 + np.exp(np.minimum(clipped, 1.0)) / np.e),
    )
    for _ in range(_ROUNDS):
        rest = clipped - omega - np.log(omega)
        one = 1.0 + omega
        twice = 2.0 * one * (one + 2.0 * rest / 3.0)
        omega = omega * (1.0 + rest / one * (twice - rest) / (twice - 2.0 * rest))
    # So far down ω and its exponential agree to twenty digits.
    found: npt.NDArray[np.float64] = np.where(
        wanted < _NEAR_NOTHING, np.exp(np.minimum(wanted, _NEAR_NOTHING)), omega
    )
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Diode:
    """One LED at 25 °C; the saturation current is kept as its logarithm, which never underflows.

    ``log_saturation`` is ln(Is / 1 A); it may be an array, for many LEDs of one shape.
    """

    ideality: float
    series_ohm: float
    log_saturation: Real

    def voltage_v(self, current_a: Real) -> Real:
        """Find the forward voltage at a current: V = n·Vt·ln(I/Is + 1) + I·Rs."""
        with np.errstate(divide="ignore"):
            log = np.logaddexp(np.log(current_a), self.log_saturation) - self.log_saturation
        return self.ideality * THERMAL_V * log + current_a * self.series_ohm

    def shifted(self, by_v: Real) -> "Diode":
        """Move the whole curve along the voltage; zero current stays at zero volts."""
        return Diode(
            ideality=self.ideality,
            series_ohm=self.series_ohm,
            log_saturation=self.log_saturation - by_v / (self.ideality * THERMAL_V),
        )


def diode_through(ideality: float, series_ohm: float, at_a: float, volts: Real) -> Diode:
    """Lay a curve of a given shape through one point of a data sheet.

    Examples
    --------
    >>> red = diode_through(2.0, 3.0, 0.020, 2.0)
    >>> round(float(red.voltage_v(0.001)), 4)
    1.7891
    """
    steps = (np.asarray(volts) - at_a * series_ohm) / (ideality * THERMAL_V)
    # ln(e^x - 1), without overflow for the steepest of curves.
    inside = np.where(steps < _STEEP, np.log(np.expm1(np.minimum(steps, _STEEP))), steps)
    return Diode(ideality=ideality, series_ohm=series_ohm, log_saturation=np.log(at_a) - inside)


def fitted(points: Sequence[tuple[float, float]]) -> tuple[float, float, float]:
    """Fit n, Rs and ln Is to three or more pairs (current, voltage) by least squares in voltage.

    Far above Is the law is linear in n·Vt, n·Vt·ln Is and Rs. Neither n nor Rs may come out
    negative: then Rs is 0, or n the least that is sensible.
    """
    amps, volts = np.array(points, dtype=float).T
    ones = np.ones_like(amps)
    slope, offset, series = np.linalg.lstsq(
        np.column_stack([np.log(amps), ones, amps]), volts, rcond=None
    )[0]
    least = _LEAST_IDEALITY * THERMAL_V
    if series < 0:
        series = 0.0
        slope, offset = np.linalg.lstsq(np.column_stack([np.log(amps), ones]), volts, rcond=None)[0]
    if slope < least:
        slope = least
        offset, series = np.linalg.lstsq(
            np.column_stack([ones, amps]), volts - slope * np.log(amps), rcond=None
        )[0]
        series = max(series, 0.0)
    return float(slope / THERMAL_V), float(series), float(-offset / slope)


def shape(
    points: Sequence[tuple[float, float]], typical: tuple[float, float]
) -> tuple[float, float]:
    """Find n and Rs: of three or more pairs their fit; of two the typical shape, scaled to them.

    Parameters
    ----------
    points : sequence of (A, V)
        What the data sheet's curve gives; fewer than two tell nothing of the shape.
    typical : (float, float)
        n and Rs of the colour's typical curve.
    """
    if len(points) > 2:  # noqa: PLR2004 - three pairs for three unknowns
        return fitted(points)[:2]
    ideality, series = typical
    if len(points) < 2:  # noqa: PLR2004 - a shape needs two
        return ideality, series
    (low_a, low_v), (high_a, high_v) = points
    usual = ideality * THERMAL_V * np.log(high_a / low_a) + series * (high_a - low_a)
    scale = float((high_v - low_v) / usual)
    return ideality * scale, series * scale


def typical_curve(points: Sequence[tuple[float, float]], typical: tuple[float, float]) -> Diode:
    """Lay the curve that `shape` finds through the middle of two or more pairs."""
    ideality, series = shape(points, typical)
    volts = [
        diode_through(ideality, series, amps, level).voltage_v(points[0][0])
        for amps, level in points
    ]
    return diode_through(ideality, series, points[0][0], float(np.mean(np.array(volts))))


def operating_current_a(
    diode: Diode, supply_v: Real, leds: Real, resistance_ohm: Real
) -> npt.NDArray[np.float64]:
    """Find the current through so many equal LEDs behind a resistor, in closed form.

    With a = S·n·Vt and Rt = R + S·Rs: I = (a/Rt)·ω(y) − Is,
    y = ln(Is·Rt/a) + (Vs + Is·Rt)/a. No current flows backwards: below 0 V it is 0.
    """
    a = np.asarray(leds, dtype=float) * diode.ideality * THERMAL_V
    total = resistance_ohm + np.asarray(leds, dtype=float) * diode.series_ohm
    saturation = np.exp(diode.log_saturation)
    supply = np.maximum(supply_v, 0.0)
    y = diode.log_saturation + np.log(total / a) + (supply + saturation * total) / a
    return np.maximum(a / total * wright_omega(y) - saturation, 0.0)


def slope_ohm(diode: Diode, current_a: Real) -> Real:
    """Find the small-signal resistance of one LED: Rs + n·Vt/(I + Is)."""
    return diode.series_ohm + diode.ideality * THERMAL_V / (
        current_a + np.exp(diode.log_saturation)
    )

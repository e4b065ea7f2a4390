"""Light of small sources: the cosine-power law, what it lights, how even a row looks.

I(θ) = I0·cos^m θ with m = −ln 2 / ln cos θ½, θ½ half of the viewing angle (from memory, confident);
flux 2π·I0/(m + 1) and illuminance I0·h^(m+1)/(h² + r²)^((m+3)/2), the plane's own cosine included,
follow by integration and the inverse-square law (docs/sources.md, light).
"""

import math
from collections.abc import Sequence

import numpy as np

from boardgen.model.led_data import LedSection, LightOutput

LAMBERTIAN_DEG = 120.0
_MOST_DEG = 179.0
_HEIGHTS = 60.0
"""A row reaching so many heights either way stands for an endless one: 1e-6 of its light lacks."""

_MM_PER_M = 1000.0


def order(angle_deg: float) -> float:
    """Find m of the cosine-power law from the full viewing angle.

    Examples
    --------
    >>> round(order(120), 9), round(order(60), 4)
    (1.0, 4.8188)
    """
    return -math.log(2) / math.log(math.cos(math.radians(min(angle_deg, _MOST_DEG) / 2)))


def intensity_cd(flux_lm: float, angle_deg: float) -> float:
    """Find the intensity on the axis from the flux: I0 = Φ·(m + 1)/(2π)."""
    return flux_lm * (order(angle_deg) + 1) / (2 * math.pi)


def flux_lm(axis_cd: float, angle_deg: float) -> float:
    """Find the flux from the intensity on the axis."""
    return axis_cd * 2 * math.pi / (order(angle_deg) + 1)


MOST_LM_PER_W = 683.0
"""Luminous efficacy of 540 THz, which defines the candela (SI brochure, from memory, confident); at
every other colour a watt gives less."""


def flux_of(output: LightOutput) -> float:
    """Tell the flux of a stated light, from its intensity if only that is given; 0 if unknown."""
    if output.flux_lm is not None:
        return output.flux_lm
    if output.intensity_cd is not None and output.angle_deg is not None:
        return flux_lm(output.intensity_cd, output.angle_deg)
    return 0.0


def candela_per_ampere(data: LedSection) -> float:
    """Tell how bright an LED is for its current, as its data sheet has it; 0 when it is silent.

    Light is taken as proportional to current, which errs by some ten percent over a decade.
    """
    output = data.output
    if output is None:
        return 0.0
    axis = output.intensity_cd
    if axis is None and output.flux_lm is not None and output.angle_deg is not None:
        axis = intensity_cd(output.flux_lm, output.angle_deg)
    return (axis or 0.0) / output.at_a


def illuminance_lx(
    place_mm: tuple[float, float],
    leds_mm: Sequence[tuple[float, float]],
    height_mm: float,
    axis_cd: float | Sequence[float],
    m: float | Sequence[float],
) -> float:
    """Sum the illuminance of LEDs at a point of a parallel plane, in lx.

    Parameters
    ----------
    axis_cd, m : float or sequence
        Luminous intensity and order of the cosine-power law, of all or of each LED.

    Examples
    --------
    >>> row = [(10 * (i - 4.5), 0.0) for i in range(10)]
    >>> round(illuminance_lx((0, 0), row, 300, 2.0, 1.0), 4)
    218.2452
    """
    away = (np.asarray(leds_mm, dtype=float) - np.asarray(place_mm, dtype=float)) / _MM_PER_M
    height = height_mm / _MM_PER_M
    powers = np.asarray(m, dtype=float)
    spread = (height**2 + (away**2).sum(axis=1)) ** ((powers + 3) / 2)
    return float((np.asarray(axis_cd) * height ** (powers + 1) / spread).sum())


def evenness(pitch_over_height: float, m: float) -> float:
    """Find the least over the most light along an endless straight row, on a plane.

    Examples
    --------
    >>> round(evenness(1.0, 1.0), 5)
    0.94704
    """
    return _row(0.5, pitch_over_height, m) / _row(0.0, pitch_over_height, m)


def _row(offset: float, pitch: float, m: float) -> float:
    reach = math.ceil(_HEIGHTS / pitch)
    along = (np.arange(-reach, reach + 1) - offset) * pitch
    # Cut symmetrically about the point, or the missing ends would tilt the sum.
    along = along[np.abs(along) <= (reach - 0.5) * pitch]
    return math.fsum(np.power(1 + along**2, -(m + 3) / 2).tolist())


def pitch_over_height(wanted: float, m: float) -> float:
    """Find the widest pitch, in heights, whose row is as even as wanted.

    Examples
    --------
    >>> round(pitch_over_height(0.90, 1.0), 2)
    1.14
    """
    low, high = 0.05, 50.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if evenness(middle, m) >= wanted else (low, middle)
    return low


def spread_evenness(
    leds_mm: Sequence[tuple[float, float]],
    spots: Sequence[tuple[tuple[float, float], Sequence[int]]],
    height_mm: float,
    m: float,
) -> float:
    """Find the least light at spots between LEDs, each by that of the LEDs around it.

    Parameters
    ----------
    spots : sequence
        Places, each with the numbers of the LEDs around it.

    Examples
    --------
    >>> row = [(10.0 * i, 0.0) for i in range(200)]
    >>> round(spread_evenness(row, [((1005.0, 0.0), (100, 101))], 10.0, 1.0), 5)
    0.94704
    """
    over = [illuminance_lx(led, leds_mm, height_mm, 1.0, m) for led in leds_mm]
    return min(
        (
            illuminance_lx(at, leds_mm, height_mm, 1.0, m) * len(around)
            / math.fsum(over[led] for led in around)
            for at, around in spots
        ),
        default=1.0,
    )  # fmt: skip


def height_for_evenness(
    leds_mm: Sequence[tuple[float, float]],
    spots: Sequence[tuple[tuple[float, float], Sequence[int]]],
    wanted: float,
    m: float,
) -> float:
    """Find the least height, in mm, at which LEDs look as even as wanted.

    Light depends on places by heights alone: of LEDs twice as far apart it is twice as much.
    """
    far = max((math.dist(at, leds_mm[led]) for at, around in spots for led in around), default=1.0)
    low, high = _NEAR * far, _FAR * far
    for _ in range(40):
        middle = (low + high) / 2
        found = spread_evenness(leds_mm, spots, middle, m) >= wanted
        low, high = (low, middle) if found else (middle, high)
    return high


_NEAR, _FAR = 0.05, 40.0
"""Between so many times a spot's distance from its LEDs a height is looked for."""


def lightness_steps(share_less: float) -> float:
    """Tell how much darker something looks, in steps of CIE L*, when it gives so much less light.

    L* = 116·(Y)^(1/3) − 16, counted from full light (CIE 15, from memory, confident); one step can
    just be told from its neighbour under good conditions.

    Examples
    --------
    >>> round(lightness_steps(0.07), 1)
    2.8
    """
    return 116.0 * (1.0 - math.cbrt(1.0 - share_less))

"""Preferred numbers for resistors.

Source: IEC 60063; formula and lists read in secondary pages (docs/sources.md, preferred values),
the standard itself not read.
"""

import math

from boardgen.tolerances import SAME_SHARE

_E24_BY_CONVENTION = {10: 27, 11: 30, 12: 33, 13: 36, 14: 39, 15: 43, 16: 47, 22: 82}
"""Places of E24 (counted from 0) where history, not the formula, set the value."""

_STEP_IN_E24 = {"E3": 8, "E6": 4, "E12": 2, "E24": 1}
_BY_FORMULA = {"E48": 48, "E96": 96}


def series(name: str) -> tuple[float, ...]:
    """List one decade of a series, from 1 up to below 10.

    Parameters
    ----------
    name : str
        E3, E6, E12, E24, E48 or E96.

    Raises
    ------
    KeyError
        For any other name.

    Examples
    --------
    >>> series("E6")
    (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)
    """
    if name in _STEP_IN_E24:
        return tuple(_e24(place) / 10 for place in range(0, 24, _STEP_IN_E24[name]))
    count = _BY_FORMULA[name]
    return tuple(round(10 ** (place / count), 2) for place in range(count))


def _e24(place: int) -> int:
    return _E24_BY_CONVENTION.get(place, round(10 ** (place / 24 + 1)))


def _near(wanted: float, name: str) -> list[float]:
    """List the values of the decade around a wanted one, its tenfold included, from below."""
    decade = math.floor(math.log10(wanted) + SAME_SHARE)
    scale = float(f"1e{decade}")
    return [float(f"{value * scale:.6g}") for value in (*series(name), 10.0)]


def next_up(wanted: float, name: str) -> float:
    """Find the smallest value of a series that is not below the wanted one.

    Examples
    --------
    >>> next_up(133.3, "E12"), next_up(150, "E24"), next_up(990, "E96")
    (150.0, 150.0, 1000.0)
    """
    return next(value for value in _near(wanted, name) if value >= wanted * (1 - SAME_SHARE))


def next_near(wanted: float, name: str) -> float:
    """Find the value of a series that is nearest by ratio; the larger one of two alike.

    Examples
    --------
    >>> next_near(333.3, "E12"), next_near(233, "E12"), next_near(98, "E24")
    (330.0, 220.0, 100.0)
    """
    return min(_near(wanted, name), key=lambda value: (abs(math.log(value / wanted)), -value))


def between(least: float, most: float, name: str) -> tuple[float, ...]:
    """List the values of a series from a least to a greatest one.

    Examples
    --------
    >>> between(200, 340, "E12")
    (220.0, 270.0, 330.0)
    """
    decades = range(math.floor(math.log10(least)), math.floor(math.log10(most)) + 1)
    scaled = (float(f"{value * float(f'1e{decade}'):.6g}") for decade in decades
              for value in series(name))  # fmt: skip
    return tuple(value for value in scaled if least <= value <= most)

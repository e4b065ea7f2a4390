"""What is printed on a chip resistor.

Source: three digits and R as the point, read in secondary pages (docs/sources.md, resistor
marking); four digits read
there too; more exact codes exist, which is why the lists name both.
"""

import math

from boardgen.tolerances import SAME_SHARE


def marking(value_ohm: float, digits: int) -> str:
    """Write a value as two or three significant digits and a power of ten, R for the point.

    Parameters
    ----------
    value_ohm : float
        At least 1 ohm or written with R in front.
    digits : int
        Length of the whole code: 3 or 4.

    Examples
    --------
    >>> marking(150, 3), marking(4.7, 3), marking(15_000, 3), marking(4990, 4), marking(47.5, 4)
    ('151', '4R7', '153', '4991', '47R5')
    """
    significant = digits - 1
    whole = math.floor(math.log10(value_ohm) + SAME_SHARE) + 1
    if whole >= significant:
        power = whole - significant
        return f"{round(value_ohm / 10**power)}{power}"
    text = f"{value_ohm:.{significant - max(whole, 0)}f}"
    return text.replace(".", "R") if value_ohm >= 1 else "R" + text.partition(".")[2]


def writable(value_ohm: float, digits: int) -> bool:
    """Tell whether a code of so many digits carries the value without loss."""
    significant = digits - 1
    power = math.floor(math.log10(value_ohm) + SAME_SHARE) + 1 - significant
    scaled = value_ohm / 10.0**power
    return abs(scaled - round(scaled)) <= SAME_SHARE * scaled

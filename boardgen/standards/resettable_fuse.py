"""What a resettable fuse holds for good and what surely opens it, cold or warm.

Typical of data sheets, from memory, shaky: a maker's own derating table comes first.
"""

_PER_KELVIN = 0.0078
_RATED_AT_DEGC = 23.0
"""It holds so much less for each kelvin above, and more below."""

_OPENS_AT = 2.0
"""It opens at so many times what it holds."""


def holds_a(rating_a: float, degc: float) -> float:
    """Tell the current that it holds at a temperature.

    Parameters
    ----------
    rating_a : float
        What it is rated to hold at 23 °C.
    degc : float
        Of the board that it sits on.
    """
    return rating_a * max(0.0, 1.0 - _PER_KELVIN * (degc - _RATED_AT_DEGC))


def opens_a(rating_a: float, degc: float) -> float:
    """Tell the current that opens it at a temperature; what is warmer opens no later than at 23."""
    return _OPENS_AT * rating_a * (1.0 + _PER_KELVIN * max(0.0, _RATED_AT_DEGC - degc))

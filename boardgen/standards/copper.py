"""Resistance of copper.

Source: IEC 60028, annealed copper at 20 °C, and its coefficient; from memory, confident
(docs/sources.md, copper and tracks).
"""

RESISTIVITY_OHM_MM2_PER_M = 0.017241
_PER_KELVIN = 0.00393
_AT_DEGC = 20.0


def sheet_ohm(thickness_um: float, at_degc: float = _AT_DEGC) -> float:
    """Find the resistance of a square of copper.

    Examples
    --------
    >>> round(sheet_ohm(35) * 1000, 4), round(sheet_ohm(35, 85) * 1000, 4)
    (0.4926, 0.6184)
    """
    warm = 1 + _PER_KELVIN * (at_degc - _AT_DEGC)
    return RESISTIVITY_OHM_MM2_PER_M / thickness_um * warm


def track_resistance_ohm(
    length_mm: float, width_mm: float, thickness_um: float, at_degc: float = _AT_DEGC
) -> float:
    """Find the resistance of a flat track.

    Examples
    --------
    >>> round(track_resistance_ohm(100, 1, 35) * 1000, 2)
    49.26
    """
    return sheet_ohm(thickness_um, at_degc) * length_mm / width_mm

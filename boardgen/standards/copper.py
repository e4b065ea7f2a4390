"""Resistance of copper.

Source: IEC 60028, annealed copper at 20 °C; value from memory, confident (reference page 4).
"""

RESISTIVITY_OHM_MM2_PER_M = 0.017241


def track_resistance_ohm(length_mm: float, width_mm: float, thickness_um: float) -> float:
    """Find the resistance of a flat track at 20 °C.

    Examples
    --------
    >>> round(track_resistance_ohm(100, 1, 35) * 1000, 2)
    49.26
    """
    return RESISTIVITY_OHM_MM2_PER_M * length_mm / (width_mm * thickness_um)

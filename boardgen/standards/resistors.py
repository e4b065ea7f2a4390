"""Derating of thick-film chip resistors.

Source: practice of IEC 60115-8, full load to 70 °C, none at 155 °C; from memory, confident
(docs/sources.md, chip resistors).
"""

FULL_LOAD_TO_DEGC = 70.0
NO_LOAD_AT_DEGC = 155.0


def derating(ambient_degc: float) -> float:
    """Tell which share of its rating a chip resistor may turn into heat at an ambient.

    Examples
    --------
    >>> derating(40), derating(155)
    (1.0, 0.0)
    """
    share = (NO_LOAD_AT_DEGC - ambient_degc) / (NO_LOAD_AT_DEGC - FULL_LOAD_TO_DEGC)
    return min(1.0, max(0.0, share))

"""Track width against current and temperature rise.

Source: IPC-2221 curve fit I = k·ΔT^0.44·A^0.725 with A in square mil; read in several secondary
pages (docs/sources.md, copper and tracks), the standard not read. Valid to about 35 A and 10 mm.
"""

from boardgen import units

K_EXTERNAL = 0.048
RISE_EXPONENT = 0.44
AREA_EXPONENT = 0.725


def width_mm(current_a: float, rise_k: float, thickness_um: float) -> float:
    """Find the width of an outer track that warms by no more than a given rise.

    Parameters
    ----------
    current_a, rise_k : float
        Current in A and permitted rise in K.
    thickness_um : float
        Copper thickness in µm.

    Returns
    -------
    float
        Width in mm.
    """
    area_mil2 = (current_a / (K_EXTERNAL * rise_k**RISE_EXPONENT)) ** (1 / AREA_EXPONENT)
    return float(area_mil2 / (thickness_um / units.UM_PER_MIL) / units.MIL_PER_MM)


def capacity_a(width_mm: float, rise_k: float, thickness_um: float) -> float:
    """Find the current that warms an outer track by a given rise: the inverse of `width_mm`."""
    area_mil2 = width_mm * units.MIL_PER_MM * thickness_um / units.UM_PER_MIL
    return float(K_EXTERNAL * rise_k**RISE_EXPONENT * area_mil2**AREA_EXPONENT)

"""Holes and lands of leads.

Source: IPC-2222 hole and IPC-2221 land, level B, as read on three secondary pages (docs/sources.md,
holes of leads): hole = lead + 0.20, land = hole + 2·0.05 + 0.50 mm. Another copy of IPC-2221 has
0.25 instead of 0.50; the larger, as read, is taken.
"""

HOLE_OVER_LEAD_MM = 0.20
RING_MM = 0.05
FABRICATION_MM = 0.50


def hole_mm(lead_mm: float) -> float:
    """Find the finished hole for a round lead of a greatest diameter.

    Examples
    --------
    >>> hole_mm(1.0)
    1.2
    """
    return round(lead_mm + HOLE_OVER_LEAD_MM, 6)


def land_mm(lead_mm: float) -> float:
    """Find the diameter of the land around that hole.

    Examples
    --------
    >>> land_mm(1.0)
    1.8
    """
    return round(hole_mm(lead_mm) + 2 * RING_MM + FABRICATION_MM, 6)

"""Screws: clearance holes, heads and washers.

Source: holes ISO 273 medium (read on two pages; docs/sources.md, screws); heads ISO 7045 (read);
washers ISO 7089 (M4 read; the others from memory, confident).
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewSize:
    """Clearance hole, pan head and plain washer of a thread, in mm."""

    hole_mm: float
    head_mm: float
    washer_mm: float


SCREWS = {
    "M1.6": ScrewSize(hole_mm=1.8, head_mm=3.2, washer_mm=4.0),
    "M2": ScrewSize(hole_mm=2.4, head_mm=4.0, washer_mm=5.0),
    "M2.5": ScrewSize(hole_mm=2.9, head_mm=5.0, washer_mm=6.0),
    "M3": ScrewSize(hole_mm=3.4, head_mm=5.6, washer_mm=7.0),
    "M3.5": ScrewSize(hole_mm=3.9, head_mm=7.0, washer_mm=8.0),
    "M4": ScrewSize(hole_mm=4.5, head_mm=8.0, washer_mm=9.0),
}

ROOM_OVER_MM = 1.0
"""The circle kept free is what lies under the screw, or the bare hole, and its play in the hole:
common practice, no source."""


def room_mm(screw: ScrewSize, under: str) -> float:
    """Find the circle that nothing may enter, from what lies under the screw's head.

    Examples
    --------
    >>> room_mm(SCREWS["M3"], "washer"), room_mm(SCREWS["M3"], "none")
    (8.0, 4.4)
    """
    covered = {"washer": screw.washer_mm, "head": screw.head_mm, "none": screw.hole_mm}
    return covered[under] + ROOM_OVER_MM

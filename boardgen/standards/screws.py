"""Screws: clearance holes, heads and washers.

Source: holes ISO 273 medium (read on two pages, reference page 7, R57); heads ISO 7045 (read, R58);
washers ISO 7089 (from memory, confident).
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewSize:
    """Clearance hole, pan head and plain washer of a thread, in mm."""

    hole_mm: float
    head_mm: float
    washer_mm: float


SCREWS = {"M3": ScrewSize(hole_mm=3.4, head_mm=5.6, washer_mm=7.0)}

ROOM_OVER_WASHER_MM = 1.0
"""The circle kept free is the washer and its play in the hole: common practice, no source."""

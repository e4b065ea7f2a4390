"""A place and an angle on the board."""

import math
from dataclasses import dataclass

Point = tuple[float, float]

_QUARTERS = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
"""Cosine and sine of quarter turns, free of float noise."""
_DECIMALS = 6
"""Angles are told to a millionth of a degree: 0.01 nm at the end of a part of a millimetre."""


def direction(turn_deg: float) -> tuple[float, float]:
    """Give cosine and sine of an angle, exact at quarter turns."""
    exact = _QUARTERS.get(turn_deg % 360.0)
    return exact or (math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """Where something stands and how it is turned: counter-clockwise, seen from the top.

    Any angle is taken; it is kept to a millionth of a degree, from 0 to below 360.
    """

    x_mm: float
    y_mm: float
    turn_deg: float = 0.0

    def __post_init__(self) -> None:
        """Bring the angle into its range."""
        turn = round(self.turn_deg % 360.0, _DECIMALS) % 360.0
        object.__setattr__(self, "turn_deg", turn)

    def place(self, x_mm: float, y_mm: float) -> Point:
        """Carry a point of what stands here onto the board."""
        cos, sin = direction(self.turn_deg)
        return (self.x_mm + x_mm * cos - y_mm * sin, self.y_mm + x_mm * sin + y_mm * cos)

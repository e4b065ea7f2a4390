"""The two sides of a board."""

from enum import StrEnum


class Side(StrEnum):
    """A side of the board; parts and, where there is only one, the copper are on the top."""

    TOP = "top"
    BOTTOM = "bottom"

"""Lands of a part on the board, at 0°: along x, pin 1 left, seen from the top."""

from dataclasses import dataclass
from enum import StrEnum


class LandShape(StrEnum):
    """Outline of a land."""

    RECTANGLE = "rectangle"
    ROUND = "round"


@dataclass(frozen=True, slots=True, kw_only=True)
class Land:
    """One land: where it sits from the part's centre, its size, and what the pin does."""

    name: str
    function: str
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    shape: LandShape = LandShape.RECTANGLE
    hole_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """An axis-parallel box from its left, bottom, right and top."""

    left_mm: float
    bottom_mm: float
    right_mm: float
    top_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LandPattern:
    """The lands of one kind of part with its body and courtyard.

    ``typical`` says that the figures are a usual shape, not a standard's: they are to be compared
    with the data sheet. ``faces_down`` is True for connectors whose wires enter from below at 0°.
    """

    name: str
    lands: tuple[Land, ...]
    body: Extent
    courtyard: Extent
    height_mm: float
    typical: bool
    source: str
    faces_down: bool = False

    def land(self, name: str) -> Land:
        """Find a land by its name; KeyError when there is none."""
        for land in self.lands:
            if land.name == name:
                return land
        raise KeyError(name)

    def by_function(self, function: str) -> Land:
        """Find a land by what its pin does; KeyError when there is none."""
        for land in self.lands:
            if land.function == function:
                return land
        raise KeyError(function)

"""Lands of a part on the board, at 0°: along x, pin 1 left, seen from the top."""

from dataclasses import dataclass, replace
from enum import StrEnum


class LandShape(StrEnum):
    """Outline of a land."""

    RECTANGLE = "rectangle"
    ROUND = "round"


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """An axis-parallel box from its left, bottom, right and top."""

    left_mm: float
    bottom_mm: float
    right_mm: float
    top_mm: float

    def grown(self, by_mm: float) -> "Extent":
        """Give the box that reaches further on all sides."""
        return Extent(
            left_mm=self.left_mm - by_mm,
            bottom_mm=self.bottom_mm - by_mm,
            right_mm=self.right_mm + by_mm,
            top_mm=self.top_mm + by_mm,
        )


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

    @property
    def extent(self) -> Extent:
        """The box that it fills in its pattern."""
        half_w, half_h = self.width_mm / 2, self.height_mm / 2
        return Extent(
            left_mm=self.x_mm - half_w,
            bottom_mm=self.y_mm - half_h,
            right_mm=self.x_mm + half_w,
            top_mm=self.y_mm + half_h,
        )


def half_size(box: Extent) -> tuple[float, float]:
    """Tell how far a box reaches from its middle, along x and along y."""
    return ((box.right_mm - box.left_mm) / 2, (box.top_mm - box.bottom_mm) / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainHole:
    """An unplated hole that belongs to a part: for a wire's strain relief, or a peg."""

    x_mm: float
    y_mm: float
    hole_mm: float


class Entry(StrEnum):
    """From where supply comes at 0°: wires from below along the board, plugs from above.

    Or, at an end, from the board before it.
    """

    SIDE = "side"
    TOP = "top"
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class LandPattern:
    """The lands of one kind of part with its body and courtyard.

    ``typical`` says that the figures are a usual shape, not a standard's: they are to be compared
    with the data sheet. ``marked_land`` names the land at the end that carries the part's mark.
    """

    name: str
    lands: tuple[Land, ...]
    body: Extent
    courtyard: Extent
    height_mm: float
    typical: bool
    source: str
    entry: Entry = Entry.TOP
    holes: tuple[PlainHole, ...] = ()
    marked_land: str = ""

    @property
    def through_hole(self) -> bool:
        """Whether leads go through the board."""
        return any(land.hole_mm for land in self.lands)

    @property
    def wired_at_edge(self) -> bool:
        """Whether wires come in along the board: such a part stands at a straight edge."""
        return self.entry is Entry.SIDE and self.height_mm > 0

    def half_turned(self) -> "LandPattern":
        """Turn the pattern by 180 degrees; on the board the part is then turned by as much less."""

        def box(extent: Extent) -> Extent:
            return Extent(
                left_mm=-extent.right_mm, bottom_mm=-extent.top_mm,
                right_mm=-extent.left_mm, top_mm=-extent.bottom_mm,
            )  # fmt: skip

        return replace(
            self,
            lands=tuple(replace(land, x_mm=-land.x_mm, y_mm=-land.y_mm) for land in self.lands),
            holes=tuple(replace(hole, x_mm=-hole.x_mm, y_mm=-hole.y_mm) for hole in self.holes),
            body=box(self.body),
            courtyard=box(self.courtyard),
        )

    def mirrored(self) -> "LandPattern":
        """Exchange left and right: lands of one sort that are alike as a mirror has them."""
        return replace(
            self,
            name=f"{self.name}, mirrored",
            lands=tuple(replace(land, x_mm=-land.x_mm) for land in self.lands),
        )

    @property
    def bodiless(self) -> bool:
        """Whether it is lands alone at an end, where the edge may run between them."""
        return self.entry is Entry.END

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

"""The board as intended: placed parts, centre lines, holes, pour boundaries, texts.

Millimetres; origin at the lower-left corner of the outline's box, x right, y up, seen from the top.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from boardgen.model.land_pattern import Extent, Land, LandPattern
from boardgen.model.side import Side as Side  # noqa: PLC0414 - a name of the board too

Point = tuple[float, float]


class PartKind(StrEnum):
    """What a part is."""

    LED = "led"
    RESISTOR = "resistor"
    CONNECTOR = "connector"
    SWITCH = "switch"
    FUSE = "fuse"
    DIODE = "diode"
    TRANSISTOR = "transistor"
    TEST_POINT = "test point"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """A rectangle with rounded corners, its lower-left corner at the origin."""

    length_mm: float
    width_mm: float
    corner_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part in its place; ``nets`` gives the net of each land by the land's name.

    A part on the bottom is turned over first (its pattern's x changes sign), then rotated;
    rotations count counter-clockwise seen from the top, on both sides.
    """

    reference: str
    kind: PartKind
    value: str
    pattern: LandPattern
    x_mm: float
    y_mm: float
    rotation_deg: int
    nets: tuple[tuple[str, str], ...]
    side: Side = Side.TOP

    def place(self, x_mm: float, y_mm: float) -> Point:
        """Carry a point of the pattern onto the board (quarter turns, exactly)."""
        cos, sin = QUARTER_TURNS[self.rotation_deg]
        if self.side is Side.BOTTOM:
            x_mm = -x_mm
        return (self.x_mm + x_mm * cos - y_mm * sin, self.y_mm + x_mm * sin + y_mm * cos)

    def land_place(self, land: Land) -> Point:
        """Tell where a land's centre comes to lie."""
        return self.place(land.x_mm, land.y_mm)

    def land_size(self, land: Land) -> tuple[float, float]:
        """Tell a land's width and height as turned."""
        if self.rotation_deg % 180:
            return (land.height_mm, land.width_mm)
        return (land.width_mm, land.height_mm)

    def extent(self, box: Extent) -> Extent:
        """Carry a box of the pattern onto the board."""
        x1, y1 = self.place(box.left_mm, box.bottom_mm)
        x2, y2 = self.place(box.right_mm, box.top_mm)
        return Extent(
            left_mm=min(x1, x2), bottom_mm=min(y1, y2), right_mm=max(x1, x2), top_mm=max(y1, y2)
        )

    def net(self, land_name: str) -> str:
        """Tell the net of a land."""
        return dict(self.nets)[land_name]


QUARTER_TURNS: dict[int, tuple[int, int]] = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}
"""Cosine and sine of the angles at which parts are placed, free of float noise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """Copper along a centre line."""

    net: str
    side: Side
    width_mm: float
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Via:
    """A plated hole that joins the sides."""

    net: str
    x_mm: float
    y_mm: float
    hole_mm: float
    land_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MountingHole:
    """An unplated hole for a screw, with the circle that its head and washer need."""

    reference: str
    x_mm: float
    y_mm: float
    hole_mm: float
    covered_mm: float
    room_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """A copper area that follows the outline at a distance, on one side, of one net.

    ``lead_spoke_mm`` is the width of the spokes that join it to leads, where they find room.
    """

    side: Side
    net: str
    edge_mm: float
    lead_spoke_mm: float


class TextRole(StrEnum):
    """What a text is for; rules and pictures tell texts apart by it."""

    REFERENCE = "reference"
    POLARITY = "polarity"
    SIGN = "sign"
    SWITCH = "switch"
    PAGE = "page"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A line of lettering, given by its centre; on the bottom it reads from below."""

    side: Side
    role: TextRole
    text: str
    x_mm: float
    y_mm: float
    height_mm: float
    stroke_mm: float
    owner: str = ""
    rotation_deg: int = 0


class MarkRole(StrEnum):
    """What a drawn line of the legend is for."""

    BODY = "body"
    CATHODE = "cathode"
    ARROW = "arrow"
    BOX = "box"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A drawn line of the legend."""

    side: Side
    role: MarkRole
    points: tuple[Point, ...]
    stroke_mm: float
    owner: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """Everything that the board is meant to be."""

    outline: Outline
    parts: tuple[Part, ...]
    tracks: tuple[Track, ...]
    vias: tuple[Via, ...]
    holes: tuple[MountingHole, ...]
    pours: tuple[Pour, ...]
    texts: tuple[Text, ...]
    marks: tuple[Mark, ...]

    def part(self, reference: str) -> Part:
        """Find a part by its reference; KeyError when there is none."""
        for part in self.parts:
            if part.reference == reference:
                return part
        raise KeyError(reference)


def distance_mm(first: Point, second: Point) -> float:
    """Measure the straight distance of two points."""
    return math.hypot(first[0] - second[0], first[1] - second[1])

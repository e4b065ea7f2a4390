"""The board as intended: placed parts, centre lines, holes, pour boundaries, texts.

Millimetres; origin at the lower-left corner of the outline's box, x right, y up, seen from the top.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from boardgen.model.land_pattern import Extent, Land, LandPattern
from boardgen.model.outline import Outline
from boardgen.model.part_kinds import PartKind as PartKind  # noqa: PLC0414 - a name of the board too
from boardgen.model.pose import Point as Point  # noqa: PLC0414 - a name of the board too
from boardgen.model.pose import Pose
from boardgen.model.side import Side as Side  # noqa: PLC0414 - a name of the board too
from boardgen.model.spine import Spine

_SMALL_MM = 0.25
"""Boxes of parts askew are covered with upright boxes of about this size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part in its place; ``nets`` gives the net of each land by the land's name.

    A part on the bottom is turned over first (its pattern's x changes sign), then turned by its
    pose's angle.
    """

    reference: str
    kind: PartKind
    value: str
    pattern: LandPattern
    pose: Pose
    nets: tuple[tuple[str, str], ...]
    side: Side = Side.TOP

    @property
    def x_mm(self) -> float:
        """Where its middle lies, from the left."""
        return self.pose.x_mm

    @property
    def y_mm(self) -> float:
        """Where its middle lies, from below."""
        return self.pose.y_mm

    def place(self, x_mm: float, y_mm: float) -> Point:
        """Carry a point of the pattern onto the board."""
        return self.pose.place(-x_mm if self.side is Side.BOTTOM else x_mm, y_mm)

    def land_place(self, land: Land) -> Point:
        """Tell where a land's centre comes to lie."""
        return self.place(land.x_mm, land.y_mm)

    def land_extent(self, land: Land) -> Extent:
        """Give the axis-parallel box around a land as it lies."""
        return self.extent(land.extent)

    def corners(self, box: Extent) -> tuple[Point, Point, Point, Point]:
        """Carry the corners of a box of the pattern onto the board, from its lower left."""
        return (
            self.place(box.left_mm, box.bottom_mm),
            self.place(box.right_mm, box.bottom_mm),
            self.place(box.right_mm, box.top_mm),
            self.place(box.left_mm, box.top_mm),
        )

    def extent(self, box: Extent) -> Extent:
        """Give the axis-parallel box around a box of the pattern as it lies."""
        xs, ys = zip(*self.corners(box), strict=True)
        return Extent(left_mm=min(xs), bottom_mm=min(ys), right_mm=max(xs), top_mm=max(ys))

    def cover(self, box: Extent) -> Iterator[Extent]:
        """Cover a box of the pattern as it lies with axis-parallel ones: small ones where askew."""
        if not self.pose.turn_deg % 90:
            yield self.extent(box)
            return
        wide, tall = box.right_mm - box.left_mm, box.top_mm - box.bottom_mm
        columns, rows = (max(1, math.ceil(length / _SMALL_MM)) for length in (wide, tall))
        for column in range(columns):
            for row in range(rows):
                yield self.extent(
                    Extent(
                        left_mm=box.left_mm + wide * column / columns,
                        right_mm=box.left_mm + wide * (column + 1) / columns,
                        bottom_mm=box.bottom_mm + tall * row / rows,
                        top_mm=box.bottom_mm + tall * (row + 1) / rows,
                    )
                )

    @property
    def lands_only(self) -> bool:
        """Whether it is lands for wires or for the next board, with nothing to buy or to lay."""
        return self.kind is PartKind.CONNECTOR and not self.pattern.height_mm

    def net(self, land_name: str) -> str:
        """Tell the net of a land."""
        return dict(self.nets)[land_name]


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
    turn_deg: float = 0.0


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
    """Everything that the board is meant to be.

    ``spines`` are the lines along which the LEDs stand, ``sites`` their places: on which line, and
    how far along.
    """

    outline: Outline
    parts: tuple[Part, ...]
    tracks: tuple[Track, ...]
    vias: tuple[Via, ...]
    holes: tuple[MountingHole, ...]
    pours: tuple[Pour, ...]
    texts: tuple[Text, ...]
    marks: tuple[Mark, ...]
    spines: tuple[Spine, ...]
    sites: tuple[tuple[int, float], ...]

    @property
    def spine(self) -> Spine | None:
        """The one line that all LEDs stand along; None where they stand in level rows."""
        (spine, *others) = self.spines
        level = len(spine.pieces) == 1 and not spine.pieces[0].radius_mm
        return None if others or level else spine

    @property
    def far_lands(self) -> tuple[str, ...]:
        """Name the lands at which the next board is joined, where there are such."""
        return tuple(part.reference for part in self.parts if part.kind is PartKind.JOINT)

    def part(self, reference: str) -> Part:
        """Find a part by its reference; KeyError when there is none."""
        for part in self.parts:
            if part.reference == reference:
                return part
        raise KeyError(reference)


def distance_mm(first: Point, second: Point) -> float:
    """Measure the straight distance of two points."""
    return math.hypot(first[0] - second[0], first[1] - second[1])

"""What was seen in files: plain objects, in whole nanometres."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from boardgen.model.shapes import Box, Contour, Disc, Point, Shape, Stroke
from boardgen.readback.edges import box_nm
from boardgen.units import NM_PER_MM, mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """The pin of a part that a land belongs to."""

    reference: str
    number: str
    function: str = ""

    @property
    def name(self) -> str:
        """The part and the pin's number, as people write it."""
        return f"{self.reference}.{self.number}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One object of a layer: where and how large, its polarity, and what its attributes say."""

    shape: Shape
    dark: bool
    function: str
    net: str = ""
    pin: Pin | None = None
    part: str = ""

    @property
    def kind(self) -> str:
        """Flash, stroke, contour or drawn outline."""
        if isinstance(self.shape, Disc | Box):
            return "flash"
        if isinstance(self.shape, Stroke):
            return "stroke"
        return "drawn contour" if self.shape.radius_nm else "contour"

    @property
    def place(self) -> Point:
        """A point by which a person finds the object."""
        shape = self.shape
        if isinstance(shape, Disc | Box):
            return shape.centre
        return shape.points[0] if isinstance(shape, Stroke) else shape.start

    @property
    def place_mm(self) -> tuple[float, float]:
        """The same point in millimetres."""
        return (mm(self.place[0]), mm(self.place[1]))

    @property
    def reach_nm(self) -> float:
        """How far a flash reaches from its centre to its nearest edge; 0 for what is drawn."""
        shape = self.shape
        if isinstance(shape, Disc):
            return float(shape.radius_nm)
        return min(shape.width_nm, shape.height_nm) / 2 if isinstance(shape, Box) else 0.0

    @property
    def size_mm(self) -> tuple[float, float]:
        """The box around it."""
        shape = self.shape
        if isinstance(shape, Box):
            cos, sin = (abs(part) for part in shape.axes)
            width, height = shape.width_nm, shape.height_nm
            across, up = width * cos + height * sin, width * sin + height * cos
            return (across / NM_PER_MM, up / NM_PER_MM)
        if isinstance(shape, Disc):
            return (mm(2 * shape.radius_nm), mm(2 * shape.radius_nm))
        if isinstance(shape, Contour):
            # A drawn outline stands for its middle line: the board ends there.
            left, bottom, right, top = box_nm(shape)
            return (mm(right - left), mm(top - bottom))
        spans = [max(values) - min(values) for values in zip(*shape.points, strict=True)]
        return (mm(spans[0] + 2 * shape.radius_nm), mm(spans[1] + 2 * shape.radius_nm))

    @property
    def sides_mm(self) -> tuple[float, float]:
        """A flash's own width and height, however it is turned."""
        shape = self.shape
        return (mm(shape.width_nm), mm(shape.height_nm)) if isinstance(shape, Box) else self.size_mm

    @property
    def subjects(self) -> tuple[str, ...]:
        """Pin, part and net that it names."""
        pin = (self.pin.reference, self.pin.name) if self.pin else ()
        return tuple(filter(None, (*pin, self.part, self.net)))

    def __str__(self) -> str:
        who = f" of {self.pin.name}" if self.pin else ""
        who = who or (f" of {self.part}" if self.part else "")
        net = f" on {self.net}" if self.net else ""
        word = _WORDS.get(self.function) or _WORDS.get((self.function, self.kind), self.kind)
        clear = "" if self.dark or word == "clearance" else "erased "
        return f"{clear}{word}{who}{net}"


_WORDS: dict[str | tuple[str, str], str] = {
    "SMDPad,CuDef": "land",
    "ComponentPad": "drilled land",
    "ViaPad": "via's land",
    "TestPad": "test point's land",
    ("Conductor", "stroke"): "track",
    ("Conductor", "contour"): "pour",
    "Other,Clearance": "clearance",
    "Other,Cathode": "cathode mark",
    "OtherCopper,Cathode": "cathode mark in copper",
    "Other,Plus": "+ sign",
    "Other,Minus": "− sign",
    "OtherCopper,Plus": "+ sign in copper",
    "OtherCopper,Minus": "− sign in copper",
    "NonConductor": "letter in copper",
    ("Material", "flash"): "opening",
    ("Material", "contour"): "opening",
    ("Material", "stroke"): "printed line",
    "Profile": "outline",
}
"""What people call an object, by its function and, where that leaves it open, its kind."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenHole:
    """One drilled hit."""

    x_nm: int
    y_nm: int
    diameter_nm: int
    plated: bool
    function: str

    @property
    def place(self) -> tuple[int, int]:
        """Its centre."""
        return (self.x_nm, self.y_nm)

    @property
    def place_mm(self) -> tuple[float, float]:
        """Its centre in millimetres."""
        return (mm(self.x_nm), mm(self.y_nm))

    @property
    def size_mm(self) -> tuple[float, float]:
        """The box around it."""
        return (mm(self.diameter_nm), mm(self.diameter_nm))

    @property
    def subjects(self) -> tuple[str, ...]:
        """Nothing: a drill file names no part."""
        return ()

    @property
    def file(self) -> str:
        """The part of the package that holds it."""
        return "plated" if self.plated else "unplated"

    def __str__(self) -> str:
        return f"{self.file} hole of {self.diameter_nm / 1e6:g} mm, {self.function}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe:
    """One record of the test netlist: a place to touch, or a hole without land."""

    kind: str
    net: str
    reference: str
    pin: str
    x_nm: int
    y_nm: int
    width_nm: int
    height_nm: int
    turn_deg: int
    hole_nm: int
    plated: bool
    access: int
    covered: int
    middle: bool

    @property
    def name(self) -> str:
        """The pin, the via or the hole, as people write it."""
        return f"{self.reference}.{self.pin}" if self.pin else self.reference

    @property
    def place(self) -> tuple[int, int]:
        """Its centre."""
        return (self.x_nm, self.y_nm)

    @property
    def place_mm(self) -> tuple[float, float]:
        """Its centre in millimetres."""
        return (mm(self.x_nm), mm(self.y_nm))

    @property
    def size_mm(self) -> tuple[float, float]:
        """The box around it; round lands give one size."""
        return (mm(self.width_nm), mm(self.height_nm or self.width_nm))

    @property
    def subjects(self) -> tuple[str, ...]:
        """Part, pin and net that it names."""
        return tuple(filter(None, (self.reference, self.name, self.net)))

    def __str__(self) -> str:
        return f"record {self.kind} of {self.name or 'a hole'} on {self.net}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenSlot:
    """A slot that is routed: from where to where, and how wide."""

    start: Point
    end: Point
    width_nm: int

    @property
    def place(self) -> Point:
        """Where its cutter goes down."""
        return self.start

    @property
    def place_mm(self) -> tuple[float, float]:
        """The same in millimetres."""
        return (mm(self.start[0]), mm(self.start[1]))

    @property
    def size_mm(self) -> tuple[float, float]:
        """How long it is in all, and how wide."""
        long_nm = math.dist(self.start, self.end) + self.width_nm
        return (mm(round(long_nm)), mm(self.width_nm))

    @property
    def subjects(self) -> tuple[str, ...]:
        """It belongs to nobody."""
        return ()

    def __str__(self) -> str:
        return "slot"


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a file's form, and where on the board if it is drawn."""

    text: str
    place_mm: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One file as read: what it says of itself, objects, and what is wrong with its form."""

    name: str
    attributes: Mapping[str, str] = field(default_factory=dict)
    objects: tuple[Seen, ...] = ()
    holes: tuple[SeenHole, ...] = ()
    slots: tuple[SeenSlot, ...] = ()
    probes: tuple[Probe, ...] = ()
    edges: tuple[tuple[tuple[int, int], ...], ...] = ()
    step_nm: float = 0.0
    job: Mapping[str, Any] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()


def quoted(text: str) -> str:
    """Quote what stands in a foreign file: short, and in letters that every terminal shows."""
    return ascii(text[:_QUOTED])[1:-1]


_QUOTED = 40


def turned(contour: Contour) -> Contour:
    """Let a contour begin at its smallest point: where it starts does not change what it shows."""
    edges = contour.edges
    first = min(range(len(edges)), key=lambda place: edges[place - 1].end)
    return replace(contour, edges=edges[first:] + edges[:first])

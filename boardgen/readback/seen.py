"""What was seen in files: plain objects, in whole nanometres."""

from dataclasses import dataclass, field, replace

from boardgen.model.shapes import Box, Contour, Disc, Shape, Stroke


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """The pin of a part that a land belongs to."""

    reference: str
    number: str
    function: str = ""


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
    def place_mm(self) -> tuple[float, float]:
        """A point by which a person finds the object."""
        shape = self.shape
        if isinstance(shape, Disc | Box):
            x, y = shape.centre
        elif isinstance(shape, Stroke):
            x, y = shape.points[0]
        else:
            x, y = shape.start
        return (x / 1e6, y / 1e6)

    def __str__(self) -> str:
        x, y = self.place_mm
        who = f" of {self.pin.reference}.{self.pin.number}" if self.pin else ""
        who = who or (f" of {self.part}" if self.part else "")
        net = f" on {self.net}" if self.net else ""
        colour = "dark" if self.dark else "clear"
        return f"{colour} {self.kind} {self.function}{who}{net} at ({x:.4f}, {y:.4f}) mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenHole:
    """One drilled hit."""

    x_nm: int
    y_nm: int
    diameter_nm: int
    plated: bool
    function: str

    def __str__(self) -> str:
        plated = "plated" if self.plated else "unplated"
        return (
            f"{plated} hole of {self.diameter_nm / 1e6:g} mm, {self.function},"
            f" at ({self.x_nm / 1e6:.4f}, {self.y_nm / 1e6:.4f}) mm"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One file as read: attributes of the file, objects, and what is wrong with its form."""

    name: str
    attributes: dict[str, str] = field(default_factory=dict)
    objects: tuple[Seen, ...] = ()
    holes: tuple[SeenHole, ...] = ()
    faults: tuple[str, ...] = ()


def turned(contour: Contour) -> Contour:
    """Let a contour begin at its smallest point: where it starts does not change what it shows."""
    edges = contour.edges
    first = min(range(len(edges)), key=lambda place: edges[place - 1].end)
    return replace(contour, edges=edges[first:] + edges[:first])

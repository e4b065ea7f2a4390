"""``[form]`` as a file may say it: which forms there are, and what each can be told."""

from dataclasses import dataclass
from typing import Annotated

from boardgen import units
from boardgen.model.fields import Choice, Quantity, Rows, Switch, Whole, Words, angle, length

_OUTLINED = ("outline", "margin", "corner", "sides", "hole")
_ROW_KEYS = ("pitch", "rows", "row_pitch", "width", "length", *_OUTLINED)
FORM_KEYS = {
    "bar": _ROW_KEYS,
    "grid": _ROW_KEYS,
    "ring": ("pitch", "circles", "circle_pitch", "diameter", "hole", "facing"),
    "arc": ("pitch", "from", "to", "width", "facing"),
    "path": ("pitch", "points", "line", "fillet", "closed", "width", "margin", "facing"),
    "polygon": ("pitch", "sides", "fillet", "diameter", "hole", "facing"),
    "places": ("places", *_OUTLINED),
    "disc": ("pitch", "filling", "diameter", "facing"),
    "word": ("pitch", "text", "height", *_OUTLINED, "facing"),
}
"""What each form can be told."""

OUTLINES = {
    "rectangle": ("margin", "corner"),
    "circle": ("margin",),
    "ring": ("margin", "hole"),
    "polygon": ("margin", "corner", "sides"),
}
"""What each edge around LEDs at places of their own can be told; one that was drawn, nothing."""

OF_ROWS = ("width", "length", "corner")
"""What the rectangle of rows can be told."""

OF_EDGES = tuple(dict.fromkeys((*OF_ROWS, *(key for keys in OUTLINES.values() for key in keys))))
"""What one edge or another can be told."""

ROWS = ("bar", "grid")
"""Forms whose LEDs stand in rows."""

_SCATTERED = ("places", "disc", "word")
"""Forms whose LEDs stand each at a place of its own."""

MIDDLED = ("ring", "arc", "polygon", "disc")
"""Forms that have a middle."""

LINES = ("arc", "path")
"""Forms along a line with two ends."""

LEAST_HOLE_MM = 5.0

FURTHEST_MM = 2_000.0
"""No place lies further from the others' point than a board can be long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FormSection:
    """``[form]``: shape and size of the board."""

    kind: Annotated[str, Choice(help="the form", words=tuple(FORM_KEYS))]
    pitch_mm: Annotated[
        float,
        Quantity(
            dimension=units.LENGTH,
            help="LED to LED, along the bar or round the ring, free sites counted; even: as wide as"
            " light.evenness behind light.diffuser allows",
            minimum=1.0,
            maximum=500.0,
            word="even",
        ),
    ]
    places: Annotated[
        tuple[tuple[float, float, float], ...],
        Rows(
            help="where each LED stands, x right and y up from a point of your choice, and which"
            " way the current passes it, counter-clockwise from the right; or the name of a list"
            " beside the file, places.csv, with the columns x_mm, y_mm, turn_deg",
            each=(
                length("x", -FURTHEST_MM, FURTHEST_MM),
                length("y", -FURTHEST_MM, FURTHEST_MM),
                angle("turn", -360.0, 360.0),
            ),
        ),
    ] = ()
    points: Annotated[
        tuple[tuple[float, float], ...],
        Rows(
            help="corners of a path, x right and y up from a point of your choice",
            each=(length("x", -FURTHEST_MM, FURTHEST_MM), length("y", -FURTHEST_MM, FURTHEST_MM)),
        ),
    ] = ()
    line: Annotated[
        str,
        Words(
            help="a path as path data of SVG instead of points: lines and arcs of circles, in mm,"
            " y down as there; Z closes it",
            longest=4000,
            pattern="[MLHVAZmlhvaz0-9.,+ eE-]+",
            pattern_words="path data such as M 0 0 H 60 A 20 20 0 0 1 80 20 V 90",
            example="M 0 0 H 60 A 20 20 0 0 1 80 20 V 90",
        ),
    ] = ""
    closed: Annotated[bool, Switch(help="whether a path ends where it begins", example=True)] = (
        False
    )
    margin_mm: Annotated[
        float | None,
        length("from the outermost LEDs' middles to the edge, at least; absent: chosen", 2.0),
    ] = None
    outline: Annotated[
        str,
        Words(
            help="the edge around rows, a word or given places: a rectangle, a circle, a ring with"
            " a hole, a polygon of equal sides, or a drawing beside the file (SVG of lines and"
            " arcs, or DXF), whose largest closed line is the edge and all others are cut-outs;"
            " places then count as the drawing does, rows and words are in its middle",
            longest=60,
            pattern=r"rectangle|circle|ring|polygon|[A-Za-z0-9_-]+\.(?:svg|dxf)",
            pattern_words="rectangle, circle, ring, polygon, or a drawing such as edge.svg",
            example="circle",
        ),
    ] = "rectangle"
    filling: Annotated[
        str, Choice(help="how LEDs fill a disc", words=("hexagonal", "concentric"))
    ] = "hexagonal"
    text: Annotated[
        str,
        Words(
            help="the word in lights: capital letters and digits",
            longest=12,
            pattern=r"[A-Z0-9]+( [A-Z0-9]+)*",
            pattern_words="capital letters and digits, such as LAB",
            example="LAB",
        ),
    ] = "HI"
    height_mm: Annotated[float, length("of the word's letters", 20.0, 400.0)] = 45.0
    facing: Annotated[
        str | None,
        Choice(
            help="which way the current passes the LEDs, so where their cathodes point; absent:"
            " along a line, one way over an area and in a word",
            words=("one way", "along", "inward", "outward"),
        ),
    ] = None
    rows: Annotated[int, Whole(help="equal rows of LEDs", minimum=1, maximum=50)] = 1
    row_pitch_mm: Annotated[
        float | None,
        length("row to row; absent: chosen, on a grid or within an outline as the pitch", 1.0),
    ] = None
    width_mm: Annotated[
        float | None, length("across a bar, or the band of an arc or path; absent: chosen", 3.0)
    ] = None
    length_mm: Annotated[float | None, length("along the bar; absent: chosen", 3.0)] = None
    from_deg: Annotated[
        float, angle("where an arc begins, counter-clockwise from the right", -360.0, 360.0)
    ] = 180.0
    to_deg: Annotated[float, angle("where an arc ends", -360.0, 360.0)] = 0.0
    sides: Annotated[
        int, Whole(help="sides of a polygon, or of outline = polygon", minimum=3, maximum=12)
    ] = 6
    fillet_mm: Annotated[
        float | None, length("radius of the corners in the LEDs' line; absent: chosen", 1.0)
    ] = None
    corner_mm: Annotated[
        float | None, length("radius of the corners of a rectangle or outline = polygon", 1.0, 3.0)
    ] = None
    diameter_mm: Annotated[
        float | None, length("of a ring's edge, or across a polygon's flats; absent: chosen", 5.0)
    ] = None
    circles: Annotated[
        int, Whole(help="circles of a ring, one inside the other", minimum=1, maximum=6)
    ] = 1
    circle_pitch_mm: Annotated[
        float | None, length("from circle to circle; absent: as the pitch", 3.0, 500.0)
    ] = None
    hole_mm: Annotated[
        float | None,
        length(
            "diameter of an opening in the middle, around rows, a word or given places beside"
            " outline = ring; absent: none",
            LEAST_HOLE_MM,
        ),
    ] = None

    @property
    def outlined(self) -> bool:
        """Whether rows stand within another edge than the rectangle of their own."""
        return self.kind in ROWS and self.outline != "rectangle"

    @property
    def named(self) -> str:
        """What to call the form; rows within another edge are called by that too."""
        return f'{self.kind} within outline = "{self.outline}"' if self.outlined else self.kind

    @property
    def in_rows(self) -> bool:
        """Whether LEDs stand in rows, with a rail beside each, on a rectangle of their own."""
        return self.kind in ROWS and not self.outlined

    @property
    def scattered(self) -> bool:
        """Whether LEDs stand each at a place of its own, however they face."""
        return self.kind in _SCATTERED or self.outlined

    @property
    def of_edge(self) -> tuple[str, ...]:
        """What the edge that was chosen can be told."""
        return OF_ROWS if self.in_rows else OUTLINES.get(self.outline, ())

    @property
    def goes_round(self) -> bool:
        """Whether the LEDs' line ends where it begins."""
        by_data = self.line.strip()[-1:].lower() == "z"
        return self.kind in {"ring", "polygon"} or self.closed or by_data

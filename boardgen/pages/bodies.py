"""What parts look like: prisms in a part's own place at 0 degrees, from below upwards."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from boardgen.model.board import Part, PartKind, Point
from boardgen.model.design import Design
from boardgen.model.land_pattern import Entry, Extent

BLACK, DARK, LINE = "#161616", "#26292c", "#3a3a3a"
METAL, BRIGHT, WHITE = "#b9bec3", "#e3e6e8", "#f4f4f0"
_LEDS = {
    "white": "#f2d95c", "red": "#d9594c", "green": "#4fae62", "blue": "#5b8fe0",
    "warm white": "#e9bf4f", "orange": "#e58a2f", "amber": "#e8a13a", "yellow": "#efd04a",
    "uv": "#9a7fd0",
}  # fmt: skip
"""The lens: the phosphor of white ones is yellow when they are dark."""
_CASE, _HOUSING, _FUSE = "#efece2", "#56697a", "#3c6a48"
END_SHARE = 0.2
"""How much of a chip's length each of its metal ends takes."""
_FLAT_MM = 0.02
"""What is only printed or lies in a face stands out so far, to be seen in three dimensions."""
_CASE_SHARE, _LEVER_MM, _FRAME_SHARE = 0.7, 2.0, 0.8
"""How much of an LED's height is its case below the lens, how far a lever stands out, and how much
of a coin cell its holder's frame is wide."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A prism: corners of its outline, or its middle and radius; from where to where it is high.

    ``edged`` ones are drawn with a line around; ``above`` tells whether it is seen from above.
    """

    points: tuple[Point, ...]
    low_mm: float
    high_mm: float
    colour: str
    radius_mm: float = 0.0
    edged: bool = False
    above: bool = True


def pieces(design: Design, part: Part) -> Iterator[Piece]:
    """Build a part of prisms, each upon or in front of those before it."""
    if part.kind is PartKind.LED:
        colour = design.parameters.parts.led_named(part.value).data.colour or ""
        yield from _led(part, _LEDS.get(colour, "#dddddd"))
    elif part.kind is PartKind.CONNECTOR:
        yield from _connector(part, cell=bool(design.parameters.parts.connector.cell))
    else:
        yield from {
            PartKind.RESISTOR: lambda: _chip(part, DARK),
            PartKind.FUSE: lambda: _chip(part, _FUSE),
            PartKind.DIODE: lambda: _diode(part),
            PartKind.TRANSISTOR: lambda: _leaded(part, 1.0),
            PartKind.SWITCH: lambda: _switch(part),
        }[part.kind]()


def _led(part: Part, lens: str) -> Iterator[Piece]:
    body, high = part.pattern.body, part.pattern.height_mm
    case = _CASE_SHARE * high
    yield _prism(_box(body.left_mm, body.right_mm, body.top_mm), (0.0, case), _CASE, edged=True)
    radius = 0.8 * min(body.right_mm, body.top_mm)
    yield _disc((0.0, 0.0), radius, (case, high), lens)
    towards = 1 if part.pattern.land(part.pattern.marked_land).x_mm > 0 else -1
    size = 0.42 * body.top_mm
    x, y = towards * body.right_mm, body.top_mm
    corner = ((x, y), (x - towards * size, y), (x, y - size))
    yield _prism(corner, (case, case + _FLAT_MM), BLACK)


def _chip(part: Part, colour: str) -> Iterator[Piece]:
    body, high = part.pattern.body, part.pattern.height_mm
    ends = _box(body.left_mm, body.right_mm, body.top_mm)
    yield _prism(ends, (0.0, high), METAL, edged=True)
    inner = body.right_mm * (1 - 2 * END_SHARE)
    yield _prism(_box(-inner, inner, body.top_mm), (0.0, high + _FLAT_MM), colour)


def _diode(part: Part) -> Iterator[Piece]:
    body, high = part.pattern.body, part.pattern.height_mm
    yield from _leaded(part, 0.85)
    towards = 1 if part.pattern.by_function("K").x_mm > 0 else -1
    low, right = sorted((towards * body.right_mm * 0.45, towards * body.right_mm * 0.65))
    yield _prism(_box(low, right, body.top_mm), (high, high + _FLAT_MM), WHITE)


def _leaded(part: Part, share: float) -> Iterator[Piece]:
    """Build a moulded body, so much of its length without leads, on flat leads."""
    body, high = part.pattern.body, part.pattern.height_mm
    for land in part.pattern.lands:
        box = land.extent
        inset = 0.25 * (box.top_mm - box.bottom_mm)
        left, right = sorted((box.left_mm * 0.9, box.right_mm * 0.9))
        lead = Extent(
            left_mm=left, bottom_mm=box.bottom_mm + inset, right_mm=right, top_mm=box.top_mm - inset
        )
        yield _prism(_corners(lead), (0.0, 0.15 * high), METAL, edged=True)
    moulded = _box(share * body.left_mm, share * body.right_mm, body.top_mm)
    yield _prism(moulded, (0.1 * high, high), DARK, edged=True)


def _connector(part: Part, *, cell: bool) -> Iterator[Piece]:
    pattern, body, high = part.pattern, part.pattern.body, part.pattern.height_mm
    if not high:
        return
    if cell:
        # A holder's frame leaves its cell's edge bare, to be pushed out.
        middle = ((body.left_mm + body.right_mm) / 2, (body.bottom_mm + body.top_mm) / 2)
        radius = min(body.right_mm - body.left_mm, body.top_mm - body.bottom_mm) / 2
        frame = replace(
            body,
            bottom_mm=middle[1] - _FRAME_SHARE * radius,
            top_mm=middle[1] + _FRAME_SHARE * radius,
        )
        yield _prism(_corners(frame), (0.0, 0.4 * high), METAL, edged=True)
        yield _disc(middle, radius, (0.4 * high, high), BRIGHT)
        return
    yield _prism(_corners(body), (0.0, high), _HOUSING, edged=True)
    radius = min(1.25, 0.36 * _pitch(part))
    for land in pattern.lands:
        x, y = land.x_mm, land.y_mm
        yield _disc((x, y), radius, (high, high + _FLAT_MM), BRIGHT)
        if pattern.entry is not Entry.SIDE:
            continue
        slot = Extent(
            left_mm=x - 0.8 * radius, bottom_mm=y - 0.15, right_mm=x + 0.8 * radius, top_mm=y + 0.15
        )
        yield _prism(_corners(slot), (high + _FLAT_MM, high + 2 * _FLAT_MM), LINE)
        low, end = body.bottom_mm, 0.6 * radius
        wedge = ((x - radius, low), (x + radius, low), (x + end, low + 1.0), (x - end, low + 1.0))
        yield _prism(wedge, (high, high + _FLAT_MM), BLACK)
        mouth = Extent(
            left_mm=x - radius, bottom_mm=low - _FLAT_MM, right_mm=x + radius, top_mm=low
        )
        yield Piece(
            points=_corners(mouth), low_mm=0.1 * high, high_mm=0.1 * high + 2 * radius,
            colour=BLACK, above=False,
        )  # fmt: skip


def _pitch(part: Part) -> float:
    first, second, *_ = (land.x_mm for land in part.pattern.lands)
    return abs(second - first)


def _switch(part: Part) -> Iterator[Piece]:
    """Build it with its lever at "on": over the pin of that name."""
    body, on, high = part.pattern.body, part.pattern.by_function("on"), part.pattern.height_mm
    yield _prism(_corners(body), (0.0, high - _LEVER_MM), METAL, edged=True)
    middle = (body.bottom_mm + body.top_mm) / 2
    half = 0.25 * (body.top_mm - body.bottom_mm)
    reach = abs(on.x_mm) + 0.8
    way = _slot((-reach, reach), middle, half)
    yield _prism(way, (high - _LEVER_MM, high - _LEVER_MM + _FLAT_MM), DARK)
    low, right = sorted((0.2 * on.x_mm, on.x_mm))
    yield _prism(_slot((low, right), middle, half), (high - _LEVER_MM, high), WHITE)


def _slot(ends: tuple[float, float], middle: float, half: float) -> tuple[Point, ...]:
    return _corners(
        Extent(left_mm=ends[0], bottom_mm=middle - half, right_mm=ends[1], top_mm=middle + half)
    )


def _box(left: float, right: float, half_high: float) -> tuple[Point, ...]:
    return _corners(Extent(left_mm=left, bottom_mm=-half_high, right_mm=right, top_mm=half_high))


def _corners(box: Extent) -> tuple[Point, ...]:
    return (
        (box.left_mm, box.bottom_mm), (box.right_mm, box.bottom_mm),
        (box.right_mm, box.top_mm), (box.left_mm, box.top_mm),
    )  # fmt: skip


def _prism(
    points: Sequence[Point], heights: tuple[float, float], colour: str, *, edged: bool = False
) -> Piece:
    low, high = heights
    return Piece(points=tuple(points), low_mm=low, high_mm=high, colour=colour, edged=edged)


def _disc(at: Point, radius_mm: float, heights: tuple[float, float], colour: str) -> Piece:
    low, high = heights
    return Piece(
        points=(at,), radius_mm=radius_mm, low_mm=low, high_mm=high, colour=colour, edged=True
    )

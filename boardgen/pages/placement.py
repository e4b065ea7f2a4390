"""Pictures for placing parts: bodies, references, cathodes and marks, in black on paper."""

import math

import svgwrite

from boardgen.geometry.lettering import size_mm
from boardgen.model.board import Board, Part, PartKind, Point, Side, TextRole
from boardgen.model.circuit import Channel
from boardgen.model.design import Design
from boardgen.model.land_pattern import Extent, Land, LandShape
from boardgen.model.lettering import Lettering
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.part_kinds import Drawn
from boardgen.pages.view import MARGIN_MM, View, letters, number

ENLARGED = 2
"""Picture to board: small chips are hard to read at true scale."""

_GREY, _BLACK = "#9a9a9a", "#000000"
_THIN_MM, _PEN_MM = 0.08, 0.15
_POLES = {"cathodes": "K", "anodes": "A", "plus": "+", "minus": "-", "on": "on"}
"""Letters at pins: the name of their path, by which the proof finds them, and the function."""


def placements(design: Design) -> OutputFiles:
    """Draw where each part goes and to where its mark points, for each side that has parts.

    Returns
    -------
    OutputFiles
        ``assembly/placement-top.svg`` and, when parts sit below, ``…-bottom.svg``.
    """
    return tuple(
        OutputFile(path=f"assembly/placement-{side.value}.svg", content=_picture(design, side))
        for side in Side
        if any(part.side is side for part in design.board.parts)
    )


def _picture(design: Design, side: Side) -> bytes:
    outline = design.board.outline
    view = View(side, outline.length_mm, outline.width_mm)
    width, height = outline.length_mm + 2 * MARGIN_MM, outline.width_mm + 2 * MARGIN_MM
    drawing = svgwrite.Drawing(
        size=(f"{number(width * ENLARGED)}mm", f"{number(height * ENLARGED)}mm"),
        viewBox=f"{-MARGIN_MM:g} {-MARGIN_MM:g} {number(width)} {number(height)}",
        debug=False,
    )
    drawing.set_desc(
        title=f"{design.parameters.board.title}, parts on the {side.value}, enlarged"
        f" {ENLARGED} times",
        desc="K cathode, A anode; the filled spot is where the LED shows its mark:"
        f" {'; '.join(map(_mark, design.circuit.channels))}",
    )
    drawing.add(
        drawing.path(
            d="".join(map(view.ring, outline.rings)),
            id="board",
            fill="white",
            fill_rule="evenodd",
            stroke=_BLACK,
            stroke_width=_PEN_MM,
        )
    )
    parts = [part for part in design.board.parts if part.side is side]
    thin = "".join(_lands(part, view) for part in parts) + _holes(design.board, view)
    drawing.add(drawing.path(d=thin, id="lands", fill="none", stroke=_GREY, stroke_width=_THIN_MM))
    bodies = "".join(_box(part, part.pattern.body, view) for part in parts)
    drawing.add(
        drawing.path(d=bodies, id="bodies", fill="none", stroke=_BLACK, stroke_width=_PEN_MM)
    )
    spots = "".join(_spot(part, view) for part in parts)
    if spots:
        drawing.add(drawing.path(d=spots, fill=_BLACK, id="marks"))
    words = "".join(_words(part, view, design.parameters.parts.lettering) for part in parts)
    lettered = {"words": words} | {
        name: "".join(
            _poles(part, function, design.board, view, design.parameters.parts.lettering)
            for part in parts
        )
        for name, function in _POLES.items()
    }
    for name, path in lettered.items():
        if path:
            drawing.add(
                drawing.path(
                    d=path, id=name, fill="none", stroke=_BLACK, stroke_width=_PEN_MM,
                    stroke_linecap="round",
                )
            )  # fmt: skip
    return f"{drawing.tostring()}\n".encode()


def _mark(channel: Channel) -> str:
    data = channel.led.data
    whose = f"{channel.name}: " if channel.name else ""
    return f"{whose}{data.mark}, at its {'cathode' if data.cathode else 'anode'}"


def _box(part: Part, box: Extent, view: View) -> str:
    return view.lines(part.corners(box)) + "Z"


def _lands(part: Part, view: View) -> str:
    found = ""
    for land in part.pattern.lands:
        if land.shape is LandShape.ROUND:
            found += _circle(part.land_place(land), land.width_mm / 2, view)
        else:
            found += _box(part, land.extent, view)
    return found


def _holes(board: Board, view: View) -> str:
    return "".join(_circle((hole.x_mm, hole.y_mm), hole.hole_mm / 2, view) for hole in board.holes)


def _circle(at: Point, radius_mm: float, view: View) -> str:
    x, y = view.point(at)
    radius = number(radius_mm)
    return (
        f"M{number(x - radius_mm)} {number(y)}"
        f"a{radius} {radius} 0 1 0 {number(2 * radius_mm)} 0"
        f"a{radius} {radius} 0 1 0 {number(-2 * radius_mm)} 0Z"
    )


def _spot(part: Part, view: View) -> str:
    """Fill a spot inside the body at the end that carries the mark."""
    if not part.pattern.marked_land:
        return ""
    body = part.pattern.body
    towards = part.pattern.land(part.pattern.marked_land).x_mm
    radius = min(body.top_mm, body.right_mm) * 0.22
    inset = body.right_mm - 1.4 * radius
    at = part.place(inset if towards > 0 else -inset, body.top_mm - 1.4 * radius)
    return _circle(at, radius, view)


def _words(part: Part, view: View, lettering: Lettering) -> str:
    height = max(0.5, min(1.0, part.pattern.body.top_mm * 0.8))
    wide, _ = size_mm(part.reference, height, _PEN_MM, lettering)
    box = part.extent(part.pattern.body)
    height *= min(1.0, (box.right_mm - box.left_mm) * _FILLED / wide)
    return letters(part.reference, view.point((part.x_mm, part.y_mm)), height, lettering)


_FILLED = 0.9
"""No name takes more than so much of its body's box: own choice."""


def _poles(part: Part, function: str, board: Board, view: View, lettering: Lettering) -> str:
    """Write the letters of one function at a part's pins: beyond a diode's ends, else as printed.

    Where the board itself shows a sign there is room for it, and one compares the two.
    """
    body = part.pattern.body
    lands = [land for land in part.pattern.lands if land.function == function]
    text = "−" if function == "-" else function
    if part.kind.row.cathode:
        beyond = body.right_mm + 0.7
        places = [part.place(-beyond if land.x_mm < 0 else beyond, 0.0) for land in lands]
        height = 0.9
    elif part.kind.row.drawn is Drawn.HOUSING:
        shown = [
            (printed.x_mm, printed.y_mm)
            for printed in board.texts
            if (printed.owner, printed.text, printed.side) == (part.reference, text, part.side)
            and printed.role in (TextRole.SIGN, TextRole.SWITCH)
        ]
        places = [_own_or_inside(part, land, shown) for land in lands]
        height = 1.4 if part.kind is PartKind.CONNECTOR else 1.0
    else:
        return ""
    return "".join(letters(text, view.point(at), height, lettering) for at in places)


def _own_or_inside(part: Part, land: Land, shown: list[Point]) -> Point:
    """Take the sign that is printed at a pole, or a place inside the housing, before its land."""
    at = part.land_place(land)
    others = [part.land_place(other) for other in part.pattern.lands if other is not land]
    for place in shown:
        if all(math.dist(place, at) < math.dist(place, other) for other in others):
            return place
    return part.place(land.x_mm, part.pattern.body.bottom_mm + _INSIDE_MM)


_INSIDE_MM = 1.2

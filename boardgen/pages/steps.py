"""Pictures for a step of assembly: this step's parts black, everything else in outline."""

from collections.abc import Collection, Iterator, Sequence

import svgwrite
from svgwrite.path import Path

from boardgen.model.board import Board, Part, Point
from boardgen.model.design import Design
from boardgen.model.land_pattern import Extent, LandShape
from boardgen.model.lettering import Lettering
from boardgen.model.side import Side
from boardgen.pages.view import View, letters, number

_EDGE_MM = 1.5
_NEAR_MM = (40.0, 20.0)
"""What the enlarged picture shows of the board."""
_GREY, _LIGHT, _BLACK = "#8a8a8a", "#dddddd", "#000000"


def step_pictures(design: Design, side: Side, names: Collection[str]) -> tuple[str, str]:
    """Draw a side with some parts black: the whole board, and the first of them enlarged.

    Returns
    -------
    tuple of (str, str)
        Two pictures as SVG, without a size of their own.
    """
    outline = design.board.outline
    view = View(side, outline.length_mm, outline.width_mm)
    whole = Extent(
        left_mm=-_EDGE_MM, bottom_mm=-_EDGE_MM, right_mm=outline.length_mm + _EDGE_MM,
        top_mm=outline.width_mm + _EDGE_MM,
    )  # fmt: skip
    first = next(part for part in design.board.parts if part.reference in names)
    return (
        _svg(_drawn(design, side, view, names, lettered=False), whole),
        _svg(_drawn(design, side, view, names, lettered=True), _near(view, first, whole)),
    )


def led_picture(part: Part) -> str:
    """Draw a part over its lands, ten times enlarged: the end with its mark, letters at both ends.

    Returns
    -------
    str
        SVG; the part lies as on the board at 0 degrees turned so that its mark is to the right.
    """
    pattern = part.pattern
    if pattern.land(pattern.marked_land).x_mm < 0:
        pattern = pattern.half_turned()
    body, box = pattern.body, pattern.courtyard
    half = max(body.top_mm, *(land.height_mm / 2 for land in pattern.lands))
    drawing = svgwrite.Drawing(
        size=("70mm", "35mm"),
        viewBox=f"{number(box.left_mm - 1)} {number(-half - 1)}"
        f" {number(box.right_mm - box.left_mm + 2)} {number(2 * half + 2)}",
        debug=False,
    )
    for land in pattern.lands:
        place = land.extent
        drawing.add(
            drawing.rect(
                (number(place.left_mm), number(-place.top_mm)),
                (number(land.width_mm), number(land.height_mm)),
                fill=_LIGHT, stroke=_GREY, stroke_width=0.05,
            )
        )  # fmt: skip
        away = place.right_mm + 0.6 if land.x_mm > 0 else place.left_mm - 0.6
        drawing.add(
            drawing.text(
                land.function, (number(away), "0.3"), font_size="0.9", font_family="sans-serif",
                text_anchor="middle",
            )
        )  # fmt: skip
    wide, high = body.right_mm - body.left_mm, body.top_mm - body.bottom_mm
    drawing.add(
        drawing.rect(
            (number(body.left_mm), number(-body.top_mm)), (number(wide), number(high)),
            fill="white", fill_opacity=0.75, stroke=_BLACK, stroke_width=0.1,
        )
    )  # fmt: skip
    radius = 0.16 * min(wide, high)
    drawing.add(drawing.circle((0, 0), number(0.32 * min(wide, high)), fill="none", stroke=_BLACK,
                               stroke_width=0.06))  # fmt: skip
    drawing.add(
        drawing.circle(
            (number(body.right_mm - 1.3 * radius), number(-body.top_mm + 1.3 * radius)),
            number(radius), fill=_BLACK,
        )
    )  # fmt: skip
    return str(drawing.tostring())


def true_size(length_mm: float, width_mm: float) -> str:
    """Draw a body at its true size on paper."""
    length, width = number(length_mm), number(width_mm)
    drawing = svgwrite.Drawing(
        size=(f"{length}mm", f"{width}mm"), viewBox=f"0 0 {length} {width}", debug=False
    )
    drawing.add(drawing.rect((0, 0), (length, width), fill=_BLACK))
    return str(drawing.tostring())


def _svg(paths: Sequence[Path], box: Extent) -> str:
    wide, high = box.right_mm - box.left_mm, box.top_mm - box.bottom_mm
    drawing = svgwrite.Drawing(
        size=("100%", "100%"),
        viewBox=f"{number(box.left_mm)} {number(box.bottom_mm)} {number(wide)} {number(high)}",
        debug=False,
    )
    for path in paths:
        drawing.add(path)
    return str(drawing.tostring())


def _near(view: View, part: Part, whole: Extent) -> Extent:
    """Choose what the enlarged picture shows: around a part, within the board's own."""
    x, y = view.point((part.x_mm, part.y_mm))
    wide, high = (
        min(_NEAR_MM[0], whole.right_mm - whole.left_mm),
        min(_NEAR_MM[1], whole.top_mm - whole.bottom_mm),
    )
    left = min(max(x - wide / 3, whole.left_mm), whole.right_mm - wide)
    low = min(max(y - high / 2, whole.bottom_mm), whole.top_mm - high)
    return Extent(left_mm=left, bottom_mm=low, right_mm=left + wide, top_mm=low + high)


def _drawn(
    design: Design, side: Side, view: View, names: Collection[str], *, lettered: bool
) -> list[Path]:
    board = design.board
    parts = [part for part in board.parts if part.side is side]
    black = [part for part in parts if part.reference in names]
    edge = "".join(map(view.ring, board.outline.rings)) + _holes(board, view)
    shown: list[tuple[str, dict[str, object]]] = [
        (edge, {"fill": "white", "fill_rule": "evenodd", "stroke": _BLACK, "stroke_width": 0.25}),
        ("".join(_lands(parts, view)), {"fill": _LIGHT, "stroke": _GREY, "stroke_width": 0.08}),
        ("".join(_bodies(parts, view)), {"fill": "none", "stroke": _GREY, "stroke_width": 0.12}),
        ("".join(_bodies(black, view)), {"fill": _BLACK, "stroke": _BLACK, "stroke_width": 0.12}),
        ("".join(_marks(black, view)), {"fill": "white"}),
    ]
    if lettered:
        data = "".join(_letters(black, view, design.parameters.parts.lettering))
        shown.append((data, {"fill": "none", "stroke": _BLACK, "stroke_width": 0.16,
                             "stroke_linecap": "round"}))  # fmt: skip
    return [Path(d=data, debug=False, **look) for data, look in shown if data]


def _holes(board: Board, view: View) -> str:
    return "".join(_circle(view.point((hole.x_mm, hole.y_mm)), hole.hole_mm / 2)
                   for hole in board.holes)  # fmt: skip


def _circle(at: Point, radius_mm: float) -> str:
    radius = number(radius_mm)
    return (
        f"M{number(at[0] - radius_mm)} {number(at[1])}"
        f"a{radius} {radius} 0 1 0 {number(2 * radius_mm)} 0"
        f"a{radius} {radius} 0 1 0 {number(-2 * radius_mm)} 0Z"
    )


def _lands(parts: Sequence[Part], view: View) -> Iterator[str]:
    for part in parts:
        for land in part.pattern.lands:
            if land.shape is LandShape.ROUND:
                yield _circle(view.point(part.land_place(land)), land.width_mm / 2)
            else:
                yield view.lines(part.corners(land.extent)) + "Z"


def _bodies(parts: Sequence[Part], view: View) -> Iterator[str]:
    for part in parts:
        yield view.lines(part.corners(part.pattern.body)) + "Z"


def _marks(parts: Sequence[Part], view: View) -> Iterator[str]:
    """Draw the mark inside a black body."""
    for part in parts:
        if part.pattern.marked_land:
            body, land = part.pattern.body, part.pattern.land(part.pattern.marked_land)
            radius = 0.2 * min(body.top_mm, body.right_mm)
            inset = body.right_mm - 1.6 * radius
            at = part.place(inset if land.x_mm > 0 else -inset, body.top_mm - 1.6 * radius)
            yield _circle(view.point(at), radius)


def _letters(parts: Sequence[Part], view: View, lettering: Lettering) -> Iterator[str]:
    """Write names above parts, and K and A beyond a diode's ends."""
    for part in parts:
        box = part.extent(part.pattern.courtyard)
        yield letters(part.reference, view.point((part.x_mm, box.top_mm + 0.9)), 1.2, lettering)
        if part.kind.row.cathode:
            reach = max(
                part.pattern.body.right_mm,
                *(abs(land.x_mm) + land.width_mm / 2 for land in part.pattern.lands),
            )
            for land in part.pattern.lands:
                if land.function in ("A", "K"):
                    x = (reach + 0.8) * (1 if land.x_mm > 0 else -1)
                    yield letters(land.function, view.point(part.place(x, 0.0)), 1.0, lettering)

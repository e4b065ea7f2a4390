"""Pictures for a step of assembly: this step's parts black, everything else in outline."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

import svgwrite
from svgwrite.path import Path

from boardgen.model.board import Part, PartKind
from boardgen.model.design import Design
from boardgen.model.land_pattern import Extent, LandShape
from boardgen.model.lettering import Lettering
from boardgen.model.outline import Outline
from boardgen.model.part_kinds import Drawn
from boardgen.model.pose import Pose
from boardgen.model.side import Side
from boardgen.pages.view import View, circle, holes, letters, number

_EDGE_MM = 1.5
_NEAR_MM = (40.0, 30.0)
"""What the enlarged picture shows of the board."""
_CLOSE = 16.0
"""Paper over part in the picture of a single LED, which is shown from its middle outwards."""
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
    whole = _whole(outline)
    first = next(part for part in design.board.parts if part.reference in names)
    return (
        _svg(_drawn(design, side, view, names, lettered=False), whole),
        _svg(_drawn(design, side, view, names, lettered=True), _near(view, first, whole)),
    )


def led_picture(part: Part) -> str:
    """Draw a part over its lands, enlarged, as it lies on its side of the board, level.

    Returns
    -------
    str
        SVG; the end with its mark carries the spot, letters stand beyond both ends.
    """
    quarter = round(part.pose.turn_deg / 90.0) * 90.0
    lying = replace(part, pose=Pose(x_mm=0.0, y_mm=0.0, turn_deg=quarter))
    view, pattern = View(part.side, 0.0, 0.0), part.pattern
    box = lying.extent(pattern.courtyard)
    wide, high = box.right_mm + 1.2, box.top_mm + 1.2
    drawing = svgwrite.Drawing(
        size=(f"{number(_CLOSE * wide)}mm", f"{number(_CLOSE * high)}mm"),
        viewBox=f"{number(-wide)} {number(-high)} {number(2 * wide)} {number(2 * high)}",
        debug=False,
    )
    lands = "".join(_lands([lying], view))
    drawing.add(drawing.path(d=lands, fill=_LIGHT, stroke=_GREY, stroke_width=0.05))
    body = view.lines(lying.corners(pattern.body)) + "Z"
    drawing.add(
        drawing.path(d=body, fill="white", fill_opacity=0.75, stroke=_BLACK, stroke_width=0.1)
    )
    lens = 0.6 * min(pattern.body.right_mm, pattern.body.top_mm)
    drawing.add(drawing.circle((0, 0), number(lens), fill="none", stroke=_BLACK, stroke_width=0.06))
    drawing.add(drawing.path(d="".join(_marks([lying], view)), fill=_BLACK))
    for land in pattern.lands:
        reach = max(abs(land.x_mm) + land.width_mm / 2, pattern.body.right_mm) + 0.7
        x, y = view.point(lying.place(reach if land.x_mm > 0 else -reach, 0.0))
        drawing.add(
            drawing.text(
                land.function, (number(x), number(y + 0.3)), font_size="0.9",
                font_family="sans-serif", text_anchor="middle",
            )
        )  # fmt: skip
    return str(drawing.tostring())


def paste_picture(design: Design, side: Side) -> str:
    """Draw a side with every land that gets paste black."""
    outline = design.board.outline
    view = View(side, outline.length_mm, outline.width_mm)
    sided = [part for part in design.board.parts if part.side is side and part.kind.row.bought]
    chips = [part for part in sided if not part.pattern.through_hole]
    edge = "".join(map(view.ring, outline.rings)) + holes(design.board, view)
    looks: list[tuple[str, dict[str, object]]] = [
        (edge, {"fill": "white", "fill_rule": "evenodd", "stroke": _BLACK, "stroke_width": 0.25}),
        ("".join(_bodies(chips, view)), {"fill": "none", "stroke": _GREY, "stroke_width": 0.12}),
        ("".join(_lands(chips, view)), {"fill": _BLACK}),
    ]
    paths = [Path(d=data, debug=False, **look) for data, look in looks if data]
    return _svg(paths, _whole(outline))


def true_size(length_mm: float, width_mm: float) -> str:
    """Draw a body at its true size on paper."""
    length, width = number(length_mm), number(width_mm)
    drawing = svgwrite.Drawing(
        size=(f"{length}mm", f"{width}mm"), viewBox=f"0 0 {length} {width}", debug=False
    )
    drawing.add(drawing.rect((0, 0), (length, width), fill=_BLACK))
    return str(drawing.tostring())


def _whole(outline: Outline) -> Extent:
    return Extent(
        left_mm=-_EDGE_MM, bottom_mm=-_EDGE_MM, right_mm=outline.length_mm + _EDGE_MM,
        top_mm=outline.width_mm + _EDGE_MM,
    )  # fmt: skip


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
    told = [part for part in parts if part.reference in names]
    # What has leads is shown with its pins: + and − are to be seen.
    black = [part for part in told if part.kind.row.drawn is Drawn.CHIP]
    bold = [part for part in told if part not in black]
    edge = "".join(map(view.ring, board.outline.rings)) + holes(board, view)
    shown: list[tuple[str, dict[str, object]]] = [
        (edge, {"fill": "white", "fill_rule": "evenodd", "stroke": _BLACK, "stroke_width": 0.25}),
        ("".join(_lands(parts, view)), {"fill": _LIGHT, "stroke": _GREY, "stroke_width": 0.08}),
        ("".join(_bodies(parts, view)), {"fill": "none", "stroke": _GREY, "stroke_width": 0.12}),
        ("".join(_bodies(black, view)), {"fill": _BLACK, "stroke": _BLACK, "stroke_width": 0.12}),
        ("".join(_bodies(bold, view)), {"fill": "none", "stroke": _BLACK, "stroke_width": 0.4}),
        ("".join(_marks(black, view)), {"fill": "white"}),
    ]
    if lettered:
        data = "".join(_letters(told, view, design.parameters.parts.lettering))
        shown.append((data, {"fill": "none", "stroke": _BLACK, "stroke_width": 0.16,
                             "stroke_linecap": "round"}))  # fmt: skip
    return [Path(d=data, debug=False, **look) for data, look in shown if data]


def _lands(parts: Sequence[Part], view: View) -> Iterator[str]:
    for part in parts:
        for land in part.pattern.lands:
            if land.shape is LandShape.ROUND:
                yield circle(view.point(part.land_place(land)), land.width_mm / 2)
            else:
                yield view.lines(part.corners(land.extent)) + "Z"


def _bodies(parts: Sequence[Part], view: View) -> Iterator[str]:
    for part in parts:
        if part.pattern.bodiless:
            yield from _lands([part], view)
        else:
            yield view.lines(part.corners(part.pattern.body)) + "Z"


def _marks(parts: Sequence[Part], view: View) -> Iterator[str]:
    """Draw the mark inside a black body."""
    for part in parts:
        if part.pattern.marked_land:
            body, land = part.pattern.body, part.pattern.land(part.pattern.marked_land)
            radius = 0.2 * min(body.top_mm, body.right_mm)
            inset = body.right_mm - 1.6 * radius
            at = part.place(inset if land.x_mm > 0 else -inset, body.top_mm - 1.6 * radius)
            yield circle(view.point(at), radius)


def _letters(parts: Sequence[Part], view: View, lettering: Lettering) -> Iterator[str]:
    """Write names above parts, and K and A beyond a diode's ends."""
    for part in parts:
        box = part.extent(part.pattern.courtyard)
        yield letters(part.reference, view.point((part.x_mm, box.top_mm + 0.9)), 1.2, lettering)
        if part.kind is PartKind.CONNECTOR:
            for land in part.pattern.lands:
                if land.function in ("+", "-"):
                    sign = "−" if land.function == "-" else "+"
                    at = part.place(land.x_mm, part.pattern.body.top_mm + 1.0)
                    yield letters(sign, view.point(at), 1.2, lettering)
        if part.kind.row.cathode:
            reach = max(
                part.pattern.body.right_mm,
                *(abs(land.x_mm) + land.width_mm / 2 for land in part.pattern.lands),
            )
            for land in part.pattern.lands:
                if land.function in ("A", "K"):
                    x = (reach + 0.8) * (1 if land.x_mm > 0 else -1)
                    yield letters(land.function, view.point(part.place(x, 0.0)), 1.0, lettering)

"""Parts as one sees them from above, upon the picture of the board."""

from collections.abc import Iterator

from svgwrite.path import Path

from boardgen.geometry.lettering import chains, size_mm
from boardgen.model.board import Part, PartKind
from boardgen.model.design import Design
from boardgen.model.side import Side
from boardgen.pages.bodies import END_SHARE, LINE, WHITE, Piece, pieces
from boardgen.pages.view import View, circle, number
from boardgen.standards.resistor_marking import marking, writable


def drawn_parts(design: Design, side: Side) -> Iterator[Path]:
    """Draw the parts of a side, each from below upwards."""
    outline = design.board.outline
    view = View(side, outline.length_mm, outline.width_mm)
    for part in design.board.parts:
        if part.side is side and part.kind.row.bought:
            for piece in pieces(design, part):
                if piece.above:
                    yield _drawn(view, part, piece)
            yield from _printed(design, view, part)


def _drawn(view: View, part: Part, piece: Piece) -> Path:
    if piece.radius_mm:
        data = circle(view.point(part.place(*piece.points[0])), piece.radius_mm)
    else:
        data = view.lines(part.place(x, y) for x, y in piece.points) + "Z"
    line = {"stroke": LINE, "stroke_width": 0.08} if piece.edged else {}
    return Path(d=data, debug=False, fill=piece.colour, **line)


def _printed(design: Design, view: View, part: Part) -> Iterator[Path]:
    """Print what stands on a chip, along it, so that it is read from the bench."""
    text = printed_on(design, part)
    if not text:
        return
    body, lettering = part.pattern.body, design.parameters.parts.lettering
    wide, _ = size_mm(text, 1.0, 0.0, lettering)
    height = min(1.1 * body.top_mm, 1.1 * body.right_mm * (1 - 2 * END_SHARE) * 1.6 / wide)
    turned = 90.0 < part.pose.turn_deg <= 270.0  # noqa: PLR2004 - upside down
    way = -1.0 if turned else 1.0
    mirror = -1.0 if part.side is Side.BOTTOM else 1.0
    data = "".join(
        view.lines(part.place(mirror * way * x, way * y) for x, y in chain)
        for chain in chains(text, height, lettering)
    )
    yield Path(
        d=data, debug=False, fill="none", stroke=WHITE, stroke_width=number(0.1 * height),
        stroke_linecap="round",
    )  # fmt: skip


def printed_on(design: Design, part: Part) -> str:
    """Tell what stands on a part: the value of larger chip resistors."""
    resistor = design.parameters.parts.resistor
    if part.kind is not PartKind.RESISTOR or not (resistor.printed and resistor.size):
        return ""
    ohms = design.circuit.branch_of(part.reference).kind.ballast.value_ohm
    return marking(ohms, 3) if writable(ohms, 3) else ""

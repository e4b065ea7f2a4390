"""Parts as one sees them from above, upon the picture of the board."""

from collections.abc import Iterator
from dataclasses import dataclass

from svgwrite.path import Path

from boardgen.geometry.lettering import chains, size_mm
from boardgen.model.board import Part, PartKind, Point
from boardgen.model.design import Design
from boardgen.model.land_pattern import Entry
from boardgen.model.side import Side
from boardgen.pages.view import View, circle, number
from boardgen.standards.resistor_marking import marking, writable

_BLACK, _DARK, _LINE = "#161616", "#26292c", "#3a3a3a"
_METAL, _BRIGHT, _WHITE = "#b9bec3", "#e3e6e8", "#f4f4f0"
_LEDS = {
    "white": "#f2d95c", "red": "#d9594c", "green": "#4fae62", "blue": "#5b8fe0",
    "amber": "#e8a13a", "yellow": "#efd04a", "uv": "#9a7fd0",
}  # fmt: skip
"""The lens: the phosphor of white ones is yellow when they are dark."""
_HOUSING = "#56697a"
_END_SHARE = 0.2
"""How much of a chip's length each of its metal ends takes."""


def drawn_parts(design: Design, side: Side) -> Iterator[Path]:
    """Draw the parts of a side, each from below upwards."""
    outline = design.board.outline
    pen = _Pen(design=design, view=View(side, outline.length_mm, outline.width_mm))
    for part in design.board.parts:
        if part.side is side and part.kind.row.bought:
            for data, look in pen.part(part):
                yield Path(d=data, debug=False, **look)


_Look = dict[str, object]
_Drawn = tuple[str, _Look]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pen:
    """Draws parts in their own places: along x at 0 degrees, carried onto the picture."""

    design: Design
    view: View

    def part(self, part: Part) -> Iterator[_Drawn]:
        """Draw a part from below upwards."""
        draw = {
            PartKind.LED: self._led,
            PartKind.RESISTOR: self._resistor,
            PartKind.FUSE: self._fuse,
            PartKind.DIODE: self._diode,
            PartKind.TRANSISTOR: self._transistor,
            PartKind.CONNECTOR: self._connector,
            PartKind.SWITCH: self._switch,
        }[part.kind]
        yield from draw(part)

    def _led(self, part: Part) -> Iterator[_Drawn]:
        body = part.pattern.body
        colour = self.design.parameters.parts.led_named(part.value).data.colour or ""
        yield self._box(part, body.left_mm, body.right_mm, body.top_mm), _fill("#efece2", _LINE)
        radius = 0.8 * min(body.right_mm, body.top_mm)
        yield self._disc(part, (0.0, 0.0), radius), _fill(_LEDS.get(colour, "#dddddd"), _LINE)
        land = part.pattern.land(part.pattern.marked_land)
        towards = 1 if land.x_mm > 0 else -1
        size = 0.42 * body.top_mm
        corner = (towards * body.right_mm, body.top_mm)
        yield self._lines(part, [
            corner, (corner[0] - towards * size, corner[1]), (corner[0], corner[1] - size),
        ]), _fill(_BLACK)  # fmt: skip

    def _resistor(self, part: Part) -> Iterator[_Drawn]:
        yield from self._chip(part, _DARK)
        resistor = self.design.parameters.parts.resistor
        ohms = self.design.circuit.branch_of(part.reference).kind.ballast.value_ohm
        if resistor.printed and resistor.size and writable(ohms, 3):
            yield from self._text(part, marking(ohms, 3))

    def _fuse(self, part: Part) -> Iterator[_Drawn]:
        yield from self._chip(part, "#3c6a48")

    def _chip(self, part: Part, colour: str) -> Iterator[_Drawn]:
        body = part.pattern.body
        yield self._box(part, body.left_mm, body.right_mm, body.top_mm), _fill(_METAL, _LINE)
        inner = body.right_mm * (1 - 2 * _END_SHARE)
        yield self._box(part, -inner, inner, body.top_mm), _fill(colour)

    def _diode(self, part: Part) -> Iterator[_Drawn]:
        body, cathode = part.pattern.body, part.pattern.by_function("K")
        yield from self._leads(part)
        yield self._box(part, body.left_mm * 0.85, body.right_mm * 0.85, body.top_mm), _fill(_DARK)
        towards = 1 if cathode.x_mm > 0 else -1
        low, high = sorted((towards * body.right_mm * 0.45, towards * body.right_mm * 0.65))
        yield self._box(part, low, high, body.top_mm), _fill(_WHITE)

    def _transistor(self, part: Part) -> Iterator[_Drawn]:
        body = part.pattern.body
        yield from self._leads(part)
        yield self._box(part, body.left_mm, body.right_mm, body.top_mm), _fill(_DARK)

    def _leads(self, part: Part) -> Iterator[_Drawn]:
        for land in part.pattern.lands:
            box = land.extent
            inset = 0.25 * (box.top_mm - box.bottom_mm)
            ends = sorted((box.left_mm * 0.9, box.right_mm * 0.9))
            yield self._lines(part, [
                (ends[0], box.bottom_mm + inset), (ends[1], box.bottom_mm + inset),
                (ends[1], box.top_mm - inset), (ends[0], box.top_mm - inset),
            ]), _fill(_METAL, _LINE)  # fmt: skip

    def _connector(self, part: Part) -> Iterator[_Drawn]:
        pattern = part.pattern
        if not pattern.height_mm:
            return
        body = pattern.body
        whole = [(body.left_mm, body.bottom_mm), (body.right_mm, body.bottom_mm),
                 (body.right_mm, body.top_mm), (body.left_mm, body.top_mm)]  # fmt: skip
        if self.design.parameters.parts.connector.cell:
            yield self._lines(part, whole), _fill(_METAL, _LINE)
            radius = 0.9 * min(body.right_mm - body.left_mm, body.top_mm - body.bottom_mm) / 2
            middle = ((body.left_mm + body.right_mm) / 2, (body.bottom_mm + body.top_mm) / 2)
            yield self._disc(part, middle, radius), _fill(_BRIGHT, _LINE)
            return
        yield self._lines(part, whole), _fill(_HOUSING, _LINE)
        for land in pattern.lands:
            radius = min(1.25, 0.36 * self._pitch(part))
            yield self._disc(part, (land.x_mm, land.y_mm), radius), _fill(_BRIGHT, _LINE)
            if pattern.entry is Entry.SIDE:
                slot = 0.8 * radius
                yield self._lines(part, [
                    (land.x_mm - slot, land.y_mm - 0.15), (land.x_mm + slot, land.y_mm - 0.15),
                    (land.x_mm + slot, land.y_mm + 0.15), (land.x_mm - slot, land.y_mm + 0.15),
                ]), _fill(_LINE)  # fmt: skip
                low = body.bottom_mm
                yield self._lines(part, [
                    (land.x_mm - radius, low), (land.x_mm + radius, low),
                    (land.x_mm + 0.6 * radius, low + 1.0), (land.x_mm - 0.6 * radius, low + 1.0),
                ]), _fill(_BLACK)  # fmt: skip

    def _pitch(self, part: Part) -> float:
        first, second, *_ = (land.x_mm for land in part.pattern.lands)
        return abs(second - first)

    def _switch(self, part: Part) -> Iterator[_Drawn]:
        """Draw its lever at "on": over the pin of that name."""
        body, on = part.pattern.body, part.pattern.by_function("on")
        yield self._lines(part, [
            (body.left_mm, body.bottom_mm), (body.right_mm, body.bottom_mm),
            (body.right_mm, body.top_mm), (body.left_mm, body.top_mm),
        ]), _fill(_METAL, _LINE)  # fmt: skip
        middle = (body.bottom_mm + body.top_mm) / 2
        high = 0.25 * (body.top_mm - body.bottom_mm)
        reach = abs(on.x_mm) + 0.8
        yield self._slot(part, (-reach, reach), middle, high), _fill(_DARK)
        low, right = sorted((0.2 * on.x_mm, on.x_mm))
        yield self._slot(part, (low, right), middle, high), _fill(_WHITE)

    def _slot(self, part: Part, ends: tuple[float, float], middle: float, high: float) -> str:
        (left, right), low, top = ends, middle - high, middle + high
        return self._lines(part, [(left, low), (right, low), (right, top), (left, top)])

    def _box(self, part: Part, left: float, right: float, half_high: float) -> str:
        return self._lines(
            part, [(left, -half_high), (right, -half_high), (right, half_high), (left, half_high)]
        )

    def _lines(self, part: Part, points: list[Point]) -> str:
        return self.view.lines(part.place(x, y) for x, y in points) + "Z"

    def _disc(self, part: Part, at: Point, radius_mm: float) -> str:
        return circle(self.view.point(part.place(*at)), radius_mm)

    def _text(self, part: Part, text: str) -> Iterator[_Drawn]:
        """Print what stands on a chip, along it, so that it is read from the bench."""
        body, lettering = part.pattern.body, self.design.parameters.parts.lettering
        wide, _ = size_mm(text, 1.0, 0.0, lettering)
        height = min(1.1 * body.top_mm, 1.1 * body.right_mm * (1 - 2 * _END_SHARE) * 1.6 / wide)
        turned = 90.0 < part.pose.turn_deg <= 270.0  # noqa: PLR2004 - upside down
        way = -1.0 if turned else 1.0
        mirror = -1.0 if part.side is Side.BOTTOM else 1.0
        data = "".join(
            self.view.lines(part.place(mirror * way * x, way * y) for x, y in chain)
            for chain in chains(text, height, lettering)
        )
        yield data, {"fill": "none", "stroke": _WHITE, "stroke_width": number(0.1 * height),
                     "stroke_linecap": "round"}  # fmt: skip


def _fill(colour: str, line: str = "") -> _Look:
    look: _Look = {"fill": colour}
    return look | ({"stroke": line, "stroke_width": 0.08} if line else {})

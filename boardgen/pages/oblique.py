"""The board seen slantwise from its connector's side: which way the wires enter."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import svgwrite
from svgwrite.path import Path

from boardgen.model.board import Part, PartKind, Point
from boardgen.model.design import Design
from boardgen.model.land_pattern import Entry
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.side import Side
from boardgen.pages.bodies import BLACK, LINE, Piece, pieces
from boardgen.pages.preview import stacked
from boardgen.pages.view import MARGIN_MM, View, flattened, letters, number
from boardgen.pages.words import WORDS, say
from boardgen.tolerances import HAIR_MM

_DEEP, _HIGH = 0.62, 0.78
"""Looked at from 38 degrees above the board: sine and cosine."""
_EDGE, _PLUS = "#8d8158", "#d55e00"
_WIRE_MM, _WIRE_LONG_MM, _SIGN_MM = 1.2, 11.0, 3.0
_SHOWN_MM = 75.0
"""Of a board deeper than wide the near end is enough."""
_ROUND = 24
"""Sides of what is round."""
_SHADE = 0.72
"""Sides of parts are so much darker than their tops."""


def oblique(design: Design) -> OutputFiles:
    """Draw ``oblique.svg``; nothing where the supply has no connector of its own height."""
    connector = next(p for p in design.board.parts if p.kind is PartKind.CONNECTOR)
    outline = design.board.outline
    view = Slant(connector.side, outline.length_mm, outline.width_mm, _turn_rad(connector))
    scene = _Scene(design=design, view=view)
    wires = list(scene.wires(connector))
    drawn = [
        *(path for wire in wires for path in scene.behind(wire)),
        *scene.board(),
        *scene.parts(connector, wires),
    ]
    ends = [*scene.corners(), *(wire.end for wire in wires)]
    reach = max(part.pattern.height_mm for part in scene.seen()) + _SIGN_MM
    left, right = min(x for x, _ in ends) - MARGIN_MM, max(x for x, _ in ends) + MARGIN_MM
    low = max(y for _, y in ends) + 2 * _SIGN_MM
    top = max(min(y for _, y in ends) - reach, low - max(_SHOWN_MM, right - left))
    wide, high = number(right - left), number(low - top)
    drawing = svgwrite.Drawing(
        size=(f"{wide}mm", f"{high}mm"),
        viewBox=f"{number(left)} {number(top)} {wide} {high}",
        debug=False,
    )
    cell = design.parameters.parts.connector.cell
    drawing.set_desc(
        title=say("oblique.title", title=design.parameters.board.title, side=connector.side.value),
        desc=WORDS["oblique.cell" if cell else "oblique.wires"],
    )
    for path in drawn:
        drawing.add(path)
    return (OutputFile(path="oblique.svg", content=f"{drawing.tostring()}\n".encode()),)


def _turn_rad(connector: Part) -> float:
    """Tell by how much the picture is turned so that wires come from the viewer."""
    away, middle = connector.place(0.0, -1.0), connector.place(0.0, 0.0)
    mirror = -1.0 if connector.side is Side.BOTTOM else 1.0
    return -math.pi / 2 - math.atan2(away[1] - middle[1], mirror * (away[0] - middle[0]))


@dataclass(frozen=True, slots=True)
class Slant(View):
    """A side looked at slantwise, after the board was turned; heights count upwards."""

    turn_rad: float = 0.0

    def point(self, at: Point) -> Point:
        """Carry a place on the board's face into the picture."""
        return self.at_height(at, 0.0)

    def at_height(self, at: Point, height_mm: float) -> Point:
        """Carry a place so far above the board's face into the picture."""
        x, y = self.turned(at)
        return (x, -y * _DEEP - height_mm * _HIGH)

    def turned(self, at: Point) -> Point:
        """Turn a place as the viewer stands; from below the board is turned over first."""
        x, y = (-at[0] if self.side is Side.BOTTOM else at[0]), at[1]
        sine, cosine = math.sin(self.turn_rad), math.cos(self.turn_rad)
        return (x * cosine - y * sine, x * sine + y * cosine)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wire:
    """A wire in the picture: what the board hides of it, and what is seen, from its land on."""

    sign: str
    seen: tuple[Point, ...]
    hidden: tuple[Point, ...] = ()

    @property
    def end(self) -> Point:
        """Where it comes from."""
        return (self.hidden or self.seen)[-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scene:
    """What is seen, from the far end to the near one."""

    design: Design
    view: Slant

    def seen(self) -> list[Part]:
        """List the parts of the side, the farthest first."""
        parts = [
            part
            for part in self.design.board.parts
            if part.kind.row.bought and part.side is self.view.side
        ]
        return sorted(parts, key=lambda part: -self.view.turned((part.x_mm, part.y_mm))[1])

    def corners(self) -> Iterator[Point]:
        """List the corners of the board's box, and how deep its edge reaches."""
        outline = self.design.board.outline
        for x in (0.0, outline.length_mm):
            for y in (0.0, outline.width_mm):
                yield self.view.point((x, y))
                yield self.view.at_height((x, y), -self.design.parameters.order.thickness_mm)

    def board(self) -> Iterator[Path]:
        """Draw the board's edges, then its face over them."""
        deep = -self.design.parameters.order.thickness_mm
        rings = self.design.board.outline.rings
        walls = "".join(self._walls(flattened(ring), (deep, 0.0)) for ring in rings)
        yield Path(d=walls, debug=False, fill=_EDGE)
        yield from stacked(self.design, self.view)

    def parts(self, connector: Part, wires: Sequence[_Wire]) -> Iterator[Path]:
        """Draw parts, and with the connector its wires."""
        for part in self.seen():
            for piece in pieces(self.design, part):
                yield from self._piece(part, piece)
            if part is connector:
                for wire in wires:
                    yield self._line(wire.sign, wire.seen)
                    yield self._sign(wire)

    def _piece(self, part: Part, piece: Piece) -> Iterator[Path]:
        ring = [part.place(x, y) for x, y in corners_of(piece)]
        heights = (piece.low_mm, piece.high_mm)
        yield Path(d=self._walls(ring, heights), debug=False, fill=_darker(piece.colour))
        line = {"stroke": LINE, "stroke_width": 0.08} if piece.edged else {}
        yield Path(d=self._chain(ring, piece.high_mm) + "Z", debug=False, fill=piece.colour, **line)

    def _walls(self, ring: Sequence[Point], heights: tuple[float, float]) -> str:
        """Draw the sides of a prism: those behind are covered by its top."""
        low, high = heights
        data = ""
        for start, end in zip(ring, [*ring[1:], ring[0]], strict=True):
            corners = [
                self.view.at_height(start, low), self.view.at_height(end, low),
                self.view.at_height(end, high), self.view.at_height(start, high),
            ]  # fmt: skip
            data += _closed(corners)
        return data

    def _chain(self, ring: Sequence[Point], height_mm: float) -> str:
        return "M" + "L".join(
            f"{number(x)} {number(y)}" for x, y in (self.view.at_height(p, height_mm) for p in ring)
        )

    def wires(self, connector: Part) -> Iterator[_Wire]:
        """Tell of each wire where it is seen."""
        pattern = connector.pattern
        if self.design.parameters.parts.connector.cell:
            return
        for land in pattern.lands:
            if land.function not in ("+", "-"):
                continue

            def at(y_mm: float, height_mm: float, x_mm: float = land.x_mm) -> Point:
                return self.view.at_height(connector.place(x_mm, y_mm), height_mm)

            face, high = pattern.body.bottom_mm, pattern.height_mm
            away, sign = face - _WIRE_LONG_MM, land.function
            if not high:
                # Through a hole of its own a wire comes from the other side, to be held by it.
                through = [
                    hole.y_mm for hole in pattern.holes if abs(hole.x_mm - land.x_mm) < HAIR_MM
                ]
                deep = -self.design.parameters.order.thickness_mm if through else 0.0
                below = tuple(at(y, deep) for y in (*through, away) if through)
                seen = tuple(at(y, 0.0) for y in (land.y_mm, *(through or (away,))))
                yield _Wire(sign=sign, seen=seen, hidden=below)
            elif pattern.entry is Entry.SIDE:
                height = 0.1 * high + 1.0
                yield _Wire(sign=sign, seen=(at(face, height), at(away, height)))
            else:
                above = high + _WIRE_LONG_MM
                yield _Wire(sign=sign, seen=(at(land.y_mm, high), at(land.y_mm, above)))

    def behind(self, wire: _Wire) -> Iterator[Path]:
        """Draw what the board hides of a wire, before the board."""
        if wire.hidden:
            yield self._line(wire.sign, wire.hidden)

    def _line(self, sign: str, points: Sequence[Point]) -> Path:
        return Path(
            d="M" + "L".join(f"{number(x)} {number(y)}" for x, y in points), debug=False,
            fill="none", stroke=_PLUS if sign == "+" else BLACK, stroke_width=number(_WIRE_MM),
            stroke_linecap="round",
        )  # fmt: skip

    def _sign(self, wire: _Wire) -> Path:
        (x, y), (_, start) = wire.end, (wire.hidden or wire.seen)[0]
        away = math.copysign(_SIGN_MM, y - start)
        return Path(
            d=letters("+" if wire.sign == "+" else "−", (x, y + away), _SIGN_MM,
                      self.design.parameters.parts.lettering),
            debug=False, fill="none", stroke=BLACK, stroke_width=0.4, stroke_linecap="round",
        )  # fmt: skip


def corners_of(piece: Piece) -> list[Point]:
    """List the corners of a prism's outline, what is round by chords."""
    if not piece.radius_mm:
        return list(piece.points)
    ((x, y),) = piece.points
    return [
        (
            x + piece.radius_mm * math.cos(math.tau * step / _ROUND),
            y + piece.radius_mm * math.sin(math.tau * step / _ROUND),
        )
        for step in range(_ROUND)
    ]


def _closed(corners: Sequence[Point]) -> str:
    """Write a ring as path data, always turning one way so that rings add up when filled."""
    area = sum(
        x1 * y2 - x2 * y1
        for (x1, y1), (x2, y2) in zip(corners, [*corners[1:], corners[0]], strict=True)
    )
    way = corners if area > 0 else [*reversed(corners)]
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in way) + "Z"


def _darker(colour: str) -> str:
    red, green, blue = (round(_SHADE * int(colour[at : at + 2], 16)) for at in (1, 3, 5))
    return f"#{red:02x}{green:02x}{blue:02x}"

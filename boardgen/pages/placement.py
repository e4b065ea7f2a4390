"""Pictures for placing parts: bodies, names, values, cathodes and marks, in black on paper."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby

import svgwrite
from svgwrite.path import Path

from boardgen import units
from boardgen.geometry.lettering import size_mm
from boardgen.geometry.rooms import covered
from boardgen.model.board import Board, Part, PartKind, Point, Side, TextRole
from boardgen.model.circuit import Channel
from boardgen.model.design import Design
from boardgen.model.land_pattern import Extent, Land, LandShape
from boardgen.model.lettering import Lettering
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.part_kinds import Drawn
from boardgen.model.pose import direction
from boardgen.pages import labels
from boardgen.pages.labels import Label, Taken
from boardgen.pages.names import spans
from boardgen.pages.sheet import (
    SHEET_MM,
    Sheets,
    draw_sheet,
    height_mm,
    lines_of,
    room_mm,
    shared_out,
)
from boardgen.pages.view import View, circle, flattened, hole_places, holes, letters, number
from boardgen.pages.words import WORDS, say
from boardgen.standards.resistor_marking import marking, writable

_SCALES = (10.0, 8.0, 6.0, 5.0, 4.0, 3.5, 3.0, 2.5, 2.0, 1.5, 1.0)
"""Paper over board."""
_LEAST_SCALE = 0.8
"""A board a little larger than a sheet is drawn so small before it takes several: own choice."""
_LETTER_MM, _SIGN_MM = 2.0, 3.0
"""Height on paper: a class reads 2 mm from arm's length, own choice."""
_PEN_MM, _THIN_MM = 0.28, 0.15
_AWAY_MM = 0.8
"""Between letters and what they stand beside, on paper."""
_EDGE_MM = 6.0
"""Shown around the board, on paper."""

_GREY, _BLACK = "#8a8a8a", "#000000"
_POLES = {"cathodes": "K", "anodes": "A", "plus": "+", "minus": "-", "on": "on"}
"""Letters at pins: the name of their path, by which the proof finds them, and the function."""


def placements(design: Design) -> OutputFiles:
    """Draw where each part goes and to where its mark points, for each side that has parts.

    Returns
    -------
    OutputFiles
        ``assembly/placement-top.svg`` and, when parts sit below, ``…-bottom.svg``; a board that
        takes several sheets goes on in ``…-2.svg``.
    """
    return tuple(file for side in Side for file in _pictures(design, side))


def _pictures(design: Design, side: Side) -> Iterator[OutputFile]:
    parts = tuple(part for part in design.board.parts if part.side is side)
    if not parts:
        return
    lines = lines_of(tuple(_key(design, parts)))
    drawn, sheets = _largest(design, parts, side, len(lines))
    for page in range(len(sheets.pages)):
        more = f"-{page + 1}" if page else ""
        content = _sheet(design, drawn, sheets, page, lines)
        yield OutputFile(path=f"assembly/placement-{side.value}{more}.svg", content=content)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """What a picture of one side shows, in the picture's millimetres of board; y counts down."""

    view: View
    scale: float
    parts: tuple[Part, ...]
    poles: dict[str, tuple[Label, ...]]
    words: tuple[Label, ...]
    boxes: tuple[Extent, ...]


def _largest(
    design: Design, parts: tuple[Part, ...], side: Side, lines: int
) -> tuple[_Drawn, Sheets]:
    """Draw as large as one sheet takes the whole board, in one piece or, a long one, in strips.

    Names need room: where they meet at that scale it grows until they do not. Strips without a
    part are left out, but a sheet that shows the whole board comes first.
    """
    found = {}
    fits = units.down_to_step(_whole_scale(design, lines), 0.1)
    scales = {*_SCALES, min(fits, _SCALES[0])} if fits >= _LEAST_SCALE else {*_SCALES}
    for scale in sorted(scales, reverse=True):
        drawn = _drawn(design, parts, side, scale)
        if drawn:
            found[scale] = (drawn, _shared(design, drawn, lines))
    whole = [one for one in found.values() if one[1].whole]
    single = [one for one in found.values() if len(one[1].pages) == 1]
    complete = [one for one in single if one[1].complete]
    large = [one for one in whole if one[0].scale >= 1.0]
    return (*large, *complete, *whole, *reversed(single), *reversed(found.values()))[0]


def _whole_scale(design: Design, lines: int) -> float:
    """Tell how large a board is drawn that fills a sheet in one piece."""
    outline, (wide, high) = design.board.outline, room_mm(lines)
    return min((wide - 2 * _EDGE_MM) / outline.length_mm, (high - 2 * _EDGE_MM) / outline.width_mm)


def _shared(design: Design, drawn: _Drawn, lines: int) -> Sheets:
    outline, away = design.board.outline, _EDGE_MM / drawn.scale
    box = Extent(
        left_mm=-away, bottom_mm=-away, right_mm=outline.length_mm + away,
        top_mm=outline.width_mm + away,
    )  # fmt: skip
    bodies = [
        body
        for part in drawn.parts
        for body in labels.boxes_around(
            [[drawn.view.point(at) for at in part.corners(part.pattern.body)]]
        )
    ]
    return shared_out(box, drawn.scale, (drawn.boxes, bodies), lines)


def _drawn(design: Design, parts: tuple[Part, ...], side: Side, scale: float) -> _Drawn | None:
    """Find room for all letters at a scale; None where there is too little."""
    outline = design.board.outline
    room = _Room(
        view=View(side, outline.length_mm, outline.width_mm), scale=scale,
        lettering=design.parameters.parts.lettering,
    )  # fmt: skip
    for part in parts:
        body = () if part.pattern.bodiless else (part.pattern.body,)
        for extent in (*body, *(land.extent for land in part.pattern.lands)):
            for box in room.cover(part, extent):
                room.taken.add(box)
    for box in _edges(design.board, room.view):
        room.edges.add(box)
    poles: dict[str, list[Label | None]] = {name: [] for name in _POLES}
    for name, function in _POLES.items():
        for part in parts:
            for places, height in _pole_places(part, function, design.board, room):
                label = room.letters(function, places, height)
                poles[name].append(label)
                room.signs.setdefault(part.reference, []).extend([label] if label else [])
    words = [label for part in parts for label in _words(part, room)]
    if None in words or any(None in found for found in poles.values()):
        return None
    return _Drawn(
        view=room.view, scale=scale, parts=parts, words=tuple(filter(None, words)),
        poles={name: tuple(filter(None, found)) for name, found in poles.items()},
        boxes=tuple(room.taken.boxes),
    )  # fmt: skip


def _edges(board: Board, view: View) -> Iterator[Extent]:
    """Cover the board's edges and its holes, which letters keep off."""
    for ring in board.outline.rings:
        chain = [view.point(at) for at in flattened(ring)]
        yield from covered([*chain, chain[0]], _EDGE_STEP_MM)
    for (x, y), across in hole_places(board):
        yield labels.around(view.point((x, y)), (across, across))


_EDGE_STEP_MM = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """Where letters find room on a picture of a side at a scale."""

    view: View
    scale: float
    lettering: Lettering
    taken: Taken = field(default_factory=Taken)
    edges: Taken = field(default_factory=Taken)
    signs: dict[str, list[Label]] = field(default_factory=dict)

    @property
    def pen_mm(self) -> float:
        """The width of a line, on the board."""
        return _PEN_MM / self.scale

    @property
    def away_mm(self) -> float:
        """How far letters stand from what they belong to, on the board."""
        return _AWAY_MM / self.scale

    def box(self, part: Part, extent: Extent) -> Extent:
        """Give the box around a box of a part's pattern, in the picture."""
        (box,) = labels.boxes_around([[self.view.point(at) for at in part.corners(extent)]])
        return box

    def cover(self, part: Part, extent: Extent) -> Iterator[Extent]:
        """Cover a box of a part's pattern, in the picture, with boxes."""
        yield from labels.boxes_around(
            [
                self.view.point((box.left_mm, box.bottom_mm)),
                self.view.point((box.right_mm, box.top_mm)),
            ]
            for box in part.cover(extent)
        )

    def whole(self, part: Part) -> Extent:
        """Give the box around a part's body and its lands, in the picture."""
        extents = (part.pattern.body, *(land.extent for land in part.pattern.lands))
        boxes = [self.box(part, extent) for extent in extents]
        return Extent(
            left_mm=min(box.left_mm for box in boxes), right_mm=max(box.right_mm for box in boxes),
            bottom_mm=min(box.bottom_mm for box in boxes), top_mm=max(box.top_mm for box in boxes),
        )  # fmt: skip

    def size(self, text: str, height_mm: float) -> tuple[float, float]:
        """Tell the size of a text of a height on paper, on the board."""
        return size_mm(text, height_mm / self.scale, self.pen_mm, self.lettering)

    def letters(self, text: str, places: Sequence[Point], height_mm: float) -> Label | None:
        """Write a text where it meets nothing; an only place does, and any at the largest scale."""
        return labels.place(
            "−" if text == "-" else text,
            places,
            height_mm / self.scale,
            self.pen_mm,
            (self.taken, self.edges),
            self.lettering,
            must=len(places) == 1 or self.scale == _SCALES[0],
        )


def _words(part: Part, room: _Room) -> Iterator[Label | None]:
    """Write a part's name inside it or beside it, and its value where it is one of many."""
    body, outside = room.box(part, part.pattern.body), room.whole(part)
    size = room.size(part.reference, _LETTER_MM)
    aslant = part.pose.turn_deg % 90.0 > 0
    middle = ((body.left_mm + body.right_mm) / 2, (body.bottom_mm + body.top_mm) / 2)
    # A mark is drawn inside the body too, and takes a part of it.
    share = _BESIDE_MARK if part.pattern.marked_land else _INSIDE
    if part.kind.row.drawn is Drawn.HOUSING and (at := _between_pins(part, body, size, room)):
        yield Label(text=part.reference, at=at, height_mm=_LETTER_MM / room.scale)
    elif (
        not aslant
        and part.kind.row.drawn is not Drawn.HOUSING
        and labels.within(body, (size[0] / share, size[1] / share))
    ):
        yield Label(text=part.reference, at=middle, height_mm=_LETTER_MM / room.scale)
    else:
        yield room.letters(
            part.reference, list(labels.beside(outside, size, room.away_mm)), _LETTER_MM
        )
    if part.kind is PartKind.RESISTOR:
        value = _plain_value(part)
        places = list(labels.beside(outside, room.size(value, _LETTER_MM), room.away_mm))
        yield room.letters(value, places, _LETTER_MM)


def _between_pins(part: Part, body: Extent, size: tuple[float, float], room: _Room) -> Point | None:
    """Find a place for a name inside a housing where no pin lies, nearest to its middle."""
    taken = Taken()
    for land in part.pattern.lands:
        taken.add(room.box(part, land.extent))
    for label in room.signs.get(part.reference, ()):
        taken.add(labels.around(label.at, room.size(label.text, _SIGN_MM)))
    size = (size[0] + 4 * room.pen_mm, size[1] + 4 * room.pen_mm)  # off the outline too
    wide, high = (body.right_mm - body.left_mm - size[0], body.top_mm - body.bottom_mm - size[1])
    if wide < 0 or high < 0:
        return None
    x, y = (body.left_mm + body.right_mm) / 2, (body.bottom_mm + body.top_mm) / 2
    places = [
        (x + wide * along / 10, y + high * across / 10)
        for along in range(-5, 6) for across in range(-5, 6)
    ]  # fmt: skip
    free = [at for at in places if taken.free(labels.around(at, size))]
    return min(free, key=lambda at: math.dist(at, (x, y)), default=None)


_INSIDE, _BESIDE_MARK = 0.85, 0.55
"""How much of a body's box a name may take: own choice."""


def _pole_places(
    part: Part, function: str, board: Board, room: _Room
) -> Iterator[tuple[list[Point], float]]:
    """List, pin by pin of a function, where its letters may stand, and their height on paper.

    Beyond a diode's ends or beside them; at a housing as printed: where the board itself shows a
    sign there is room for it, and one compares the two.
    """
    pins = [land for land in part.pattern.lands if land.function == function]
    if part.kind.row.cathode:
        for land in pins:
            yield [room.view.point(at) for at in _at_end(part, land, room)], _LETTER_MM
    elif part.kind.row.drawn is Drawn.HOUSING:
        text = "−" if function == "-" else function
        shown = [
            (printed.x_mm, printed.y_mm)
            for printed in board.texts
            if (printed.owner, printed.text, printed.side) == (part.reference, text, part.side)
            and printed.role in (TextRole.SIGN, TextRole.SWITCH)
        ]
        for land in pins:
            at = room.view.point(_own_or_inside(part, land, shown))
            yield [at], _SIGN_MM if part.kind is PartKind.CONNECTOR else _LETTER_MM


def _at_end(part: Part, land: Land, room: _Room) -> Iterator[Point]:
    """List places at a land's end of a part: beyond it, then to its left and right, then further.

    A letter stands upright, however its part lies: askew it reaches further towards it.
    """
    cos, sin = map(abs, direction(part.pose.turn_deg))
    body, wide = part.pattern.body, (cos + sin) * max(room.size(land.function, _LETTER_MM))
    along = max(body.right_mm, *(abs(one.x_mm) + one.width_mm / 2 for one in part.pattern.lands))
    across = max(body.top_mm, *(one.height_mm / 2 for one in part.pattern.lands))
    beyond, aside = along + room.away_mm + wide / 2, across + room.away_mm + wide / 2
    outward, more = math.copysign(1.0, land.x_mm), wide / 2 + room.away_mm
    for x, y in ((beyond, 0.0), (abs(land.x_mm), aside), (abs(land.x_mm), -aside),
                 (beyond, aside), (beyond, -aside), (beyond + more, 0.0),
                 (abs(land.x_mm), aside + more), (abs(land.x_mm), -aside - more)):  # fmt: skip
        yield part.place(outward * x, y)


def _own_or_inside(part: Part, land: Land, shown: list[Point]) -> Point:
    """Take the sign that is printed at a pole, or a place inside the housing, before its land."""
    at = part.land_place(land)
    others = [part.land_place(other) for other in part.pattern.lands if other is not land]
    for place in shown:
        if all(math.dist(place, at) < math.dist(place, other) for other in others):
            return place
    return part.place(land.x_mm, part.pattern.body.bottom_mm + _INSIDE_MM)


_INSIDE_MM = 1.2


def _sheet(design: Design, drawn: _Drawn, sheets: Sheets, page: int, lines: Sequence[str]) -> bytes:
    side, scale, title = drawn.view.side, drawn.scale, design.parameters.board.title
    wide, high = SHEET_MM[0], height_mm(sheets, page, len(lines))
    drawing = svgwrite.Drawing(
        size=(f"{number(wide)}mm", f"{number(high)}mm"),
        viewBox=f"0 0 {number(wide)} {number(high)}",
        debug=False,
    )
    heading = say("placement.title", title=title, side=side.value, scale=f"{scale:g}")
    if len(sheets.pages) > 1:
        heading += say("placement.of", page=page + 1, pages=len(sheets.pages))
    drawing.set_desc(title=heading, desc=" ".join(lines))
    group = drawing.g(id="parts")
    for path in _paths(design, drawn):
        group.add(path)
    drawing.defs.add(group)
    drawing.add(drawing.rect((0, 0), (number(wide), number(high)), fill="white"))
    draw_sheet(drawing, sheets, page, heading, lines)
    return f"{drawing.tostring()}\n".encode()


def _paths(design: Design, drawn: _Drawn) -> Iterator[Path]:
    view, parts, lettering = drawn.view, drawn.parts, design.parameters.parts.lettering
    pen = number(_PEN_MM / drawn.scale)
    yield Path(
        debug=False, d="".join(map(view.ring, design.board.outline.rings)), id="board",
        fill="white", fill_rule="evenodd", stroke=_BLACK, stroke_width=pen,
    )  # fmt: skip
    thin = "".join(_lands(part, view) for part in parts) + holes(design.board, view)
    yield Path(
        debug=False,
        d=thin,
        id="lands",
        fill="none",
        stroke=_GREY,
        stroke_width=number(_THIN_MM / drawn.scale),
    )
    bodies = "".join(
        _box(part, part.pattern.body, view) for part in parts if not part.pattern.bodiless
    )
    yield Path(debug=False, d=bodies, id="bodies", fill="none", stroke=_BLACK, stroke_width=pen)
    if spots := "".join(_spot(part, view) for part in parts):
        yield Path(debug=False, d=spots, fill=_BLACK, id="marks")
    for name, found in {"words": drawn.words, **drawn.poles}.items():
        path = "".join(letters(one.text, one.at, one.height_mm, lettering) for one in found)
        if path:
            yield Path(
                debug=False, d=path, id=name, fill="none", stroke=_BLACK, stroke_width=pen,
                stroke_linecap="round",
            )  # fmt: skip


def _key(design: Design, parts: Sequence[Part]) -> Iterator[str]:
    """Say what the signs mean, and what the parts are that have no value beside their name."""
    if any(part.kind.row.cathode for part in parts):
        marks = "; ".join(map(_mark, design.circuit.channels))
        yield say("placement.marks", marks=marks)
    if any(part.kind is PartKind.CONNECTOR for part in parts):
        yield WORDS["placement.poles"]
    if any(part.kind is PartKind.RESISTOR for part in parts):
        values = {_plain_value(part) for part in parts if part.kind is PartKind.RESISTOR}
        codes = (say("placement.code", code=_code(value), value=value) for value in sorted(values))
        yield say("placement.values", codes=", ".join(codes))
    named = sorted(
        (part for part in parts if part.kind is not PartKind.RESISTOR and part.kind.row.bought),
        key=lambda part: (list(PartKind).index(part.kind), part.value),
    )
    for (_, value), group in groupby(named, key=lambda part: (part.kind, part.value)):
        names = [part.reference for part in group]
        yield f"{spans(names)}: {value}."
    yield WORDS["placement.print"]


def _plain_value(part: Part) -> str:
    return part.value.replace(" ", "").removesuffix("ohm")


def _code(value: str) -> str:
    """Tell what is printed on a resistor: 151 is no 150."""
    factor = {"k": 1e3, "M": 1e6}.get(value[-1], 1.0)
    ohms = float(value.rstrip("kM")) * factor
    codes = [marking(ohms, digits) for digits in (3, 4) if writable(ohms, digits)]
    return WORDS["placement.or"].join(codes) or WORDS["placement.nothing"]


def _mark(channel: Channel) -> str:
    data = channel.led.data
    whose = f"{channel.name}: " if channel.name else ""
    at = WORDS["placement.at_cathode" if data.cathode else "placement.at_anode"]
    return f"{whose}{data.mark}, {at}"


def _box(part: Part, box: Extent, view: View) -> str:
    return view.lines(part.corners(box)) + "Z"


def _lands(part: Part, view: View) -> str:
    found = ""
    for land in part.pattern.lands:
        if land.shape is LandShape.ROUND:
            found += circle(view.point(part.land_place(land)), land.width_mm / 2)
        else:
            found += _box(part, land.extent, view)
    return found


def _spot(part: Part, view: View) -> str:
    """Fill a spot inside the body at the end that carries the mark."""
    if not part.pattern.marked_land:
        return ""
    body = part.pattern.body
    towards = part.pattern.land(part.pattern.marked_land).x_mm
    radius = min(body.top_mm, body.right_mm) * 0.22
    inset = body.right_mm - 1.4 * radius
    at = part.place(inset if towards > 0 else -inset, body.top_mm - 1.4 * radius)
    return circle(view.point(at), radius)

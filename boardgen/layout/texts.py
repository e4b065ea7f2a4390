"""Letters of the legend: signs at the connector, K at each cathode, references, the back's page.

Each kind of letter keeps one place from its part; where that place is not free for every part of
the kind, the next place is tried, and at last the whole kind goes without: never single ones.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import pairwise, product

from boardgen.errors import Change, RefusalError
from boardgen.forms.table import plan
from boardgen.geometry.lettering import size_mm
from boardgen.layout.copper_letters import write_in_copper
from boardgen.layout.letter_room import BETWEEN_TEXTS_MM, Room, along_line, around
from boardgen.layout.marks import body_line_y_mm, cathode_bar_x_mm
from boardgen.layout.passage import whole
from boardgen.layout.sign_letters import write_signs
from boardgen.layout.words import (
    NAME_BOX_GAP_MM,
    NAME_BOX_MM,
    NO_BREAK,
    plain,
    supply_words,
    title_words,
)
from boardgen.layout.writer import NoRoomError, Writer, from_the_middle, without_measures
from boardgen.model.board import Board, Mark, MarkRole, Part, PartKind, Side, Text, TextRole
from boardgen.model.circuit import Circuit
from boardgen.model.land_pattern import Extent
from boardgen.model.parameters import Parameters
from boardgen.model.part_kinds import Drawn
from boardgen.model.pose import direction

_LINE_GAP_MM = 0.5
_PAGE_SHIFT_MM = 0.9
_ASKEW_MM = 0.35
"""What upright boxes that stand for parts askew reach beyond them."""
_WHERE = (f"LEDs on the other side{NO_BREAK}→", "LEDs: other side")
_NARROWER = (1.0, 0.75, 0.5, 0.35)
"""Where the edge is no rectangle, lines are tried at these shares of its width."""


def with_texts(parameters: Parameters, circuit: Circuit, board: Board, up: int) -> Board:
    """Add all letters to a board; ``up`` is 1 when rails lie above their rows.

    Raises
    ------
    RefusalError
        When the title finds no room.
    """
    sides = tuple(Side) if parameters.printed else parameters.sides
    copper = not parameters.printed
    rooms = {side: Room(board, parameters.parts.limits, side, copper=copper) for side in sides}
    apart = parameters.parts.limits.aims.pour_gap_mm if copper else BETWEEN_TEXTS_MM / 2
    for mark in board.marks:
        for box in along_line(mark.points):
            rooms[mark.side].take(box.grown(mark.stroke_mm / 2 + apart))
    cuts = _cutting(parameters, board) if copper else _none
    writer = Writer(parameters, board, rooms, up, [], list(board.marks), cuts)
    write_signs(writer)
    if copper:
        write_in_copper(writer, circuit)
    else:
        _cathode_letters(writer, PartKind.LED)
        _switch_letters(writer)
        for kind in PartKind:
            _references(writer, kind)
        _cathode_letters(writer, PartKind.DIODE)
        _current_arrows(writer)
        _page(writer, circuit)
    return replace(board, texts=tuple(writer.texts), marks=tuple(writer.marks))


def _none(_: Sequence[Extent]) -> bool:
    return False


def _cutting(parameters: Parameters, board: Board) -> Callable[[Sequence[Extent]], bool]:
    """Make the question whether letters in copper cut a pour apart that is the only one.

    Where rows stand in closed form the pour passes beside signs, nearer than is asked here.
    """
    rows = not plan(parameters).sketch
    if rows or len(parameters.sides) > 1 or not whole(parameters, board):
        return _none
    return lambda boxes: not whole(parameters, board, boxes)


def _parts(writer: Writer, kind: PartKind) -> list[Part]:
    return [part for part in writer.board.parts if part.kind is kind]


def _cathode_letters(writer: Writer, kind: PartKind) -> None:
    """Print a K at every cathode of a kind of diode, beyond its bar or beside it."""
    limits = writer.parameters.parts.limits
    leds = _parts(writer, kind)
    if not leds:
        return
    bar = cathode_bar_x_mm(leds[0], limits)
    width, height = size_mm("K", limits.aims.text_mm, limits.legend_stroke_mm,
                            writer.parameters.parts.lettering)  # fmt: skip
    over = abs(bar) + limits.aims.mark_stroke_mm / 2 + 0.25
    aside = body_line_y_mm(leds[0], limits) + limits.aims.legend_stroke_mm + 0.2

    def offset(led: Part, way: int) -> tuple[float, float]:
        """Go beyond the bar, or beside it; the letter stands upright however the LED is turned."""
        askew = _ASKEW_MM if led.pose.turn_deg % 90 else 0.0
        wide, tall = (half + askew for half in seen_half(led, (width, height)))
        if not way:
            return (math.copysign(over + wide, bar), 0.0)
        return (bar, way * (aside + tall))

    writer.place_alike(
        [
            [
                writer.text(Side.TOP, TextRole.POLARITY, "K", led.place(*offset(led, way)),
                            limits.aims.text_mm, led.reference)
                for led in leds
            ]
            for way in (0, -1, 1)
        ],
        _names(writer, leds)[0] if kind is PartKind.LED else (),
    )  # fmt: skip


def seen_half(part: Part, size_mm: tuple[float, float]) -> tuple[float, float]:
    """Tell how far half an upright box reaches along a part and across it, as the part lies."""
    (half_w, half_h), (cos, sin) = (side / 2 for side in size_mm), direction(part.pose.turn_deg)
    return (
        abs(cos) * half_w + abs(sin) * half_h,
        abs(sin) * half_w + abs(cos) * half_h,
    )


def _references(writer: Writer, kind: PartKind) -> None:
    """Print the references of a kind, all at one place from their parts."""
    limits = writer.parameters.parts.limits
    parts = _parts(writer, kind)
    if not parts:
        return
    if kind.row.in_branch:
        writer.place_alike(_names(writer, parts))
        return
    height = limits.aims.text_mm
    body = parts[0].pattern.body
    if kind.row.drawn is Drawn.CHIP and kind.row.passes:
        line = body_line_y_mm(parts[0], limits) + limits.aims.legend_stroke_mm / 2
        away = line + BETWEEN_TEXTS_MM + height * 0.575
        sides = (-1, 1) if kind is PartKind.DIODE else (1, -1)
        spots = [[parts[0].place(x, side * away)] for side in sides for x in (0.0, -1.0, 1.0)]
    elif kind is PartKind.TEST_POINT:
        away = body.top_mm + 2 * limits.aims.legend_land_mm + height * 0.575
        spots = [
            [(part.x_mm, part.y_mm + sign * away * (1 if first else -1))
             for first, part in zip((True, False), parts, strict=True)]
            for sign in (-writer.up, writer.up)
        ]  # fmt: skip
    else:
        # As near as it may stand: a guard behind a connector must not seem to be meant.
        away = body.top_mm + limits.aims.legend_part_mm + height * 0.575
        spots = [[parts[0].place(0.0, away)]]
    writer.place_alike(
        [
            [
                writer.text(
                    part.side, TextRole.REFERENCE, part.reference, at, height, part.reference
                )
                for part, at in zip(parts, places, strict=True)
            ]
            for places in spots
        ]
    )


def _names(writer: Writer, parts: Sequence[Part]) -> list[list[Text]]:
    """List where the names of a branch's parts may stand: on either side of their bodies."""
    limits, kind = writer.parameters.parts.limits, parts[0].kind
    away = body_line_y_mm(parts[0], limits) + limits.aims.legend_stroke_mm / 2 + BETWEEN_TEXTS_MM
    # The pattern of an LED is turned by half: what lies below its row is up for it.
    half_turn = -1 if kind is PartKind.LED else 1
    return [
        [
            writer.text(
                part.side,
                TextRole.REFERENCE,
                part.reference,
                part.place(0.0, half_turn * side * (away + _half(writer, part))),
                limits.aims.text_mm,
                part.reference,
            )
            for part in parts
        ]
        for side in (-writer.up, writer.up)
    ]


def _half(writer: Writer, part: Part) -> float:
    """Tell how far half a part's name reaches across it: its letters stand upright."""
    height = writer.parameters.parts.limits.aims.text_mm
    if not part.pose.turn_deg % 180:
        return height * 0.575
    box = writer.box(writer.text(part.side, TextRole.REFERENCE, part.reference, (0.0, 0.0), height))
    return seen_half(part, (box.right_mm - box.left_mm, box.top_mm - box.bottom_mm))[1] + _ASKEW_MM


def _switch_letters(writer: Writer) -> None:
    """Print "on" where the lever has to point: beyond pin 1, else beside it.

    Raises
    ------
    NoRoomError
        When there is no room: a switch that nobody can read is none.
    """
    aims = writer.parameters.parts.limits.aims
    for part in _parts(writer, PartKind.SWITCH):
        body, pin = part.pattern.body, part.pattern.land("1").x_mm
        reach = aims.legend_part_mm + aims.text_mm
        beyond = [(body.left_mm - share * reach, step * aims.text_mm)
                  for share in (1.0, 1.5) for step in (0.0, 0.5, -0.5, 1.0, -1.0)]  # fmt: skip
        beside = [(pin - shift, side) for shift in (0.0, 1.0, 2.0)
                  for side in (body.top_mm + reach, body.bottom_mm - reach)]  # fmt: skip
        placed = writer.place_first(
            [writer.text(part.side, TextRole.SWITCH, "on", part.place(*at), aims.text_mm,
                         part.reference)]
            for at in (*beyond, *beside)
        )  # fmt: skip
        if not placed:
            raise _no_room_for_on(writer, part)


def _no_room_for_on(writer: Writer, part: Part) -> NoRoomError:
    parameters = writer.parameters
    wider = math.ceil(writer.board.outline.width_mm + 2 * parameters.parts.limits.aims.text_mm)
    across = plan(parameters).keys.across
    return NoRoomError(
        parameters.problem(
            across,
            what=f'"on" finds no room beside the lever of {part.reference}',
            remedy=without_measures(parameters),
            offers=(Change(path=across, value=f'"{wider} mm"'),),
        ),
        width_mm=wider,
    )


def _current_arrows(writer: Writer) -> None:
    """Print one arrow in the direction of the current in each row, where there is room."""
    limits = writer.parameters.parts.limits
    planned = plan(writer.parameters)
    if planned.sketch:
        if planned.current:
            _current_words(writer)
        return
    leds = _parts(writer, PartKind.LED)
    up = writer.up
    away = body_line_y_mm(leds[0], limits) + limits.aims.text_mm * 0.575 + 0.3
    levels = sorted({led.y_mm for led in leds}, reverse=True)
    columns = sorted({led.x_mm for led in leds})
    middles = [
        (first + second) / 2 + shift
        for first, second in pairwise(columns)
        for shift in (0.0, 2.0, -2.0)
    ]
    writer.place_first(
        [
            writer.text(Side.TOP, TextRole.NOTE, "current →", (x, level + side * away),
                        limits.aims.text_mm)
            for level in levels
        ]
        for side in (-up, up)
        for x in middles
    )  # fmt: skip


def _current_words(writer: Writer) -> None:
    """Print which way round the current flows, at the first free place from the middle outwards."""
    outline, height = writer.board.outline, writer.parameters.parts.limits.aims.text_mm
    words = f"current {plan(writer.parameters).current}"
    writer.place_first(
        [writer.text(Side.TOP, TextRole.NOTE, words, (outline.length_mm / 2, y), height)]
        for y in from_the_middle(outline.width_mm)
    )


def _page(writer: Writer, circuit: Circuit) -> None:
    """Make the back a page: title, supply, where the LEDs are, room for a name.

    A wide page comes first, then a title as small as the other lines, then narrower pages.
    """
    parameters, aims = writer.parameters, writer.parameters.parts.limits.aims
    box_room = NAME_BOX_MM[0] + NAME_BOX_GAP_MM if parameters.legend.name_box else 0.0
    places = _page_places(writer.board, aims.legend_part_mm)
    for share in (1.0,) if writer.board.outline.boxed else _NARROWER:
        for where, title_mm in product(_WHERE, (aims.title_mm, aims.text_mm)):
            words = [
                (title_words(parameters), title_mm),
                (supply_words(parameters, circuit), aims.text_mm),
                (where, aims.text_mm),
            ]
            for middle_x, free in places:
                lines = [
                    (line, height)
                    for text, height in words
                    for line in _wrapped(writer, text, height, share * free - box_room)
                ]
                if _try_page(writer, lines, box_room, middle_x):
                    return
    widest = max(
        size_mm(plain(text), height, aims.title_mm, parameters.parts.lettering)[0]
        for text, height in words
    )
    needed = math.ceil(writer.board.outline.length_mm - places[0][1] + widest + box_room)
    raise RefusalError(
        parameters.problem(
            "board.title",
            what=f'the title "{parameters.legend_text}" does not fit on the back of this board'
            + (" beside the name box" if box_room else ""),
            remedy="shorten it",
            offers=(Change(path=plan(parameters).keys.along, value=f'"{needed} mm"'),),
        )
    )


def _page_places(board: Board, gap_mm: float) -> list[tuple[float, float]]:
    """List middles for the page with the width free there: the board's, then nearer the holes'."""
    middle = board.outline.length_mm / 2
    start, end = 0.0, board.outline.length_mm
    for left, right in _across_the_middle(board):
        if left < middle < right:
            continue  # above and below it a page has all the width
        if left + right < 2 * middle:
            start = max(start, right)
        else:
            end = min(end, left)
    start, end = start + gap_mm, end - gap_mm
    shift = max(-_PAGE_SHIFT_MM, min(_PAGE_SHIFT_MM, (start + end) / 2 - middle))
    return [(x, 2 * min(x - start, end - x)) for x in (middle, middle + shift)]


def _across_the_middle(board: Board) -> Iterable[tuple[float, float]]:
    """List from where to where screws and through-hole parts lie on the board's middle line."""
    level = board.outline.width_mm / 2
    for hole in board.holes:
        if abs(hole.y_mm - level) < hole.room_mm / 2:
            yield hole.x_mm - hole.room_mm / 2, hole.x_mm + hole.room_mm / 2
    for part in board.parts:
        box = part.extent(part.pattern.courtyard)
        if part.pattern.through_hole and box.bottom_mm < level < box.top_mm:
            yield box.left_mm, box.right_mm


def _wrapped(writer: Writer, text: str, height_mm: float, free_mm: float) -> list[str]:
    """Break a text into lines of at most a width; a word too wide stays, and finds no room."""
    lettering = writer.parameters.parts.lettering
    lines: list[str] = []
    for word in filter(None, text.split(" ")):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and size_mm(plain(longer), height_mm, 0.3, lettering)[0] <= free_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return [plain(line) for line in lines]


def _try_page(
    writer: Writer, lines: list[tuple[str, float]], box_room: float, page_x: float
) -> bool:
    """Set the lines, centred along the board; across it, as near to the middle as is free."""
    outline = writer.board.outline
    texts = [
        writer.text(Side.BOTTOM, TextRole.PAGE, text, (0.0, 0.0), height) for text, height in lines
    ]
    boxes = [writer.box(text) for text in texts]
    widest = max(box.right_mm - box.left_mm for box in boxes)
    # Seen from below the page reads from left to right, so the name box lies at smaller x.
    middle_x = page_x + box_room / 2
    name_x = page_x - (widest + box_room - NAME_BOX_MM[0]) / 2
    for middle_y in from_the_middle(outline.width_mm):
        name_box = around(name_x, middle_y, *NAME_BOX_MM)
        if box_room and not writer.rooms[Side.BOTTOM].free([name_box.grown(BETWEEN_TEXTS_MM)]):
            continue
        if writer.place(_stacked(texts, boxes, middle_x, middle_y)):
            if box_room:
                _name_box(writer, name_box)
            return True
    return False


def _stacked(
    texts: list[Text], boxes: list[Extent], middle_x: float, middle_y: float
) -> list[Text]:
    heights = [box.top_mm - box.bottom_mm for box in boxes]
    top = middle_y + (sum(heights) + _LINE_GAP_MM * (len(texts) - 1)) / 2
    placed = []
    for text, height in zip(texts, heights, strict=True):
        placed.append(replace(text, x_mm=middle_x, y_mm=top - height / 2))
        top -= height + _LINE_GAP_MM
    return placed


def _name_box(writer: Writer, box: Extent) -> None:
    corners = (
        (box.left_mm, box.bottom_mm),
        (box.right_mm, box.bottom_mm),
        (box.right_mm, box.top_mm),
        (box.left_mm, box.top_mm),
        (box.left_mm, box.bottom_mm),
    )
    aims = writer.parameters.parts.limits.aims
    writer.rooms[Side.BOTTOM].take(box)
    writer.marks.append(
        Mark(side=Side.BOTTOM, role=MarkRole.BOX, points=corners, stroke_mm=aims.legend_stroke_mm)
    )

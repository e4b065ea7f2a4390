"""Letters of the legend: signs at the connector, K at each cathode, references, the back's page.

Each kind of letter keeps one place from its part; where that place is not free for every part of
the kind, the next place is tried, and at last the whole kind goes without: never single ones.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from boardgen.errors import Problem, RefusalError
from boardgen.geometry.lettering import size_mm
from boardgen.layout.marks import body_line_y_mm, cathode_bar_x_mm
from boardgen.layout.needs import NAME_BOX_GAP_MM, NAME_BOX_MM
from boardgen.layout.room import Room, around, grown
from boardgen.model.board import Board, Mark, MarkRole, Part, PartKind, Point, Side, Text, TextRole
from boardgen.model.circuit import Circuit
from boardgen.model.land_pattern import Extent
from boardgen.model.parameters import Parameters

_BETWEEN_TEXTS_MM = 0.2
_LINE_GAP_MM = 0.5
_PAGE_STEP_MM = 0.25
_PAGE_SHIFT_MM = 0.9
_SMALLEST_IN_AMPERES = 0.1
_NO_BREAK = "\u00a0"


@dataclass
class _Writer:
    """The board while letters are added to it."""

    parameters: Parameters
    board: Board
    rooms: dict[Side, Room]
    texts: list[Text]
    marks: list[Mark]

    def text(self, side: Side, role: TextRole, text: str, at: Point, height_mm: float,
             owner: str = "") -> Text:  # fmt: skip
        limits = self.parameters.limits
        share = limits.aims.text_stroke_share
        return Text(
            side=side,
            role=role,
            text=text,
            x_mm=at[0],
            y_mm=at[1],
            height_mm=height_mm,
            stroke_mm=max(limits.legend_stroke_mm, round(height_mm * share, 3)),
            owner=owner,
        )

    def box(self, text: Text) -> Extent:
        size = size_mm(text.text, text.height_mm, text.stroke_mm, self.parameters.lettering)
        return around(text.x_mm, text.y_mm, *size)

    def place(self, texts: Sequence[Text]) -> bool:
        """Add texts if all of them find room."""
        boxes = [grown(self.box(text), _BETWEEN_TEXTS_MM / 2) for text in texts]
        if not texts or not self.rooms[texts[0].side].free(boxes):
            return False
        for text, box in zip(texts, boxes, strict=True):
            self.rooms[text.side].take(box, text.owner)
        self.texts += texts
        return True

    def place_first(self, choices: Iterable[Sequence[Text]]) -> bool:
        """Add the first of several sets of texts that finds room."""
        return any(self.place(choice) for choice in choices)


def with_texts(parameters: Parameters, circuit: Circuit, board: Board) -> Board:
    """Add all letters to a board.

    Raises
    ------
    RefusalError
        When the title does not fit on the back.
    """
    rooms = {side: Room(board, parameters.limits, side) for side in Side}
    for mark in board.marks:
        xs, ys = zip(*mark.points, strict=True)
        for first, second in zip(mark.points, mark.points[1:], strict=False):
            xs, ys = (first[0], second[0]), (first[1], second[1])
            box = Extent(left_mm=min(xs), bottom_mm=min(ys), right_mm=max(xs), top_mm=max(ys))
            rooms[mark.side].take(grown(box, mark.stroke_mm / 2 + _BETWEEN_TEXTS_MM / 2))
    writer = _Writer(parameters, board, rooms, [], list(board.marks))
    _signs(writer)
    _cathode_letters(writer)
    for kind in (PartKind.LED, PartKind.RESISTOR, PartKind.CONNECTOR):
        _references(writer, kind)
    _current_arrows(writer)
    _page(writer, circuit)
    return replace(board, texts=tuple(writer.texts), marks=tuple(writer.marks))


def _signs(writer: _Writer) -> None:
    """Print + and − near their lands on both sides, outside the fitted block."""
    aims = writer.parameters.limits.aims
    part = next(p for p in writer.board.parts if p.kind is PartKind.CONNECTOR)
    body = part.pattern.body
    for side in Side:
        beside: list[Text] = []
        behind: list[Text] = []
        for land in part.pattern.lands:
            letter = "+" if land.function == "+" else "−"
            reach = aims.legend_part_mm + aims.sign_mm * 0.575
            outward = math.copysign(body.right_mm + reach, land.x_mm)
            for places, at in (
                (beside, (outward, land.y_mm)),
                (behind, (land.x_mm, body.top_mm + reach)),
            ):
                spot = part.place(*at)
                places.append(
                    writer.text(side, TextRole.SIGN, letter, spot, aims.sign_mm, part.reference)
                )
        writer.place_first((beside, behind))


def _parts(writer: _Writer, kind: PartKind) -> list[Part]:
    return [part for part in writer.board.parts if part.kind is kind]


def _cathode_letters(writer: _Writer) -> None:
    """Print a K at every cathode, beyond its bar or beside it."""
    limits = writer.parameters.limits
    leds = _parts(writer, PartKind.LED)
    bar = cathode_bar_x_mm(leds[0], limits)
    width, height = size_mm("K", limits.aims.text_mm, limits.legend_stroke_mm,
                            writer.parameters.lettering)  # fmt: skip
    beyond = math.copysign(abs(bar) + limits.aims.mark_stroke_mm / 2 + width / 2 + 0.25, bar)
    beside = body_line_y_mm(leds[0], limits) + limits.aims.legend_stroke_mm + height / 2 + 0.2
    offsets = ((beyond, 0.0), (bar, -beside), (bar, beside))
    writer.place_first(
        [
            writer.text(Side.TOP, TextRole.POLARITY, "K", led.place(*offset),
                        limits.aims.text_mm, led.reference)
            for led in leds
        ]
        for offset in offsets
    )  # fmt: skip


def _references(writer: _Writer, kind: PartKind) -> None:
    """Print the references of a kind, all at one place from their parts."""
    limits = writer.parameters.limits
    parts = _parts(writer, kind)
    height = limits.aims.text_mm
    if kind is PartKind.CONNECTOR:
        body = parts[0].pattern.body
        away = body.top_mm + limits.aims.legend_part_mm + height
        spots = [[parts[0].place(0.0, away)]]
    else:
        line = body_line_y_mm(parts[0], limits) + limits.aims.legend_stroke_mm / 2
        away = line + _BETWEEN_TEXTS_MM + height * 0.575
        up = _rail_direction(writer.board)
        spots = [[(part.x_mm, part.y_mm + side * away) for part in parts] for side in (-up, up)]
    writer.place_first(
        [
            writer.text(Side.TOP, TextRole.REFERENCE, part.reference, at, height, part.reference)
            for part, at in zip(parts, places, strict=True)
        ]
        for places in spots
    )


def _rail_direction(board: Board) -> int:
    connector = next(part for part in board.parts if part.kind is PartKind.CONNECTOR)
    plus = connector.land_place(connector.pattern.by_function("+"))
    return 1 if plus[1] > connector.y_mm else -1


def _current_arrows(writer: _Writer) -> None:
    """Print one arrow in the direction of the current in each row, where there is room."""
    limits = writer.parameters.limits
    leds = _parts(writer, PartKind.LED)
    up = _rail_direction(writer.board)
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


def supply_words(parameters: Parameters, circuit: Circuit) -> str:
    """Word the supply's range and the highest current, rounded up to two digits.

    Numbers and their units are held together by no-break spaces.
    """
    supply = parameters.supply
    digits = 1 - math.floor(math.log10(circuit.worst_a)) if circuit.worst_a else 0
    most = math.ceil(circuit.worst_a * 10**digits - 1e-9) / 10**digits
    current = f"{most:g} A" if most >= _SMALLEST_IN_AMPERES else f"{most * 1000:g} mA"
    volts = f"{supply.low_v:.3g}–{supply.high_v:.3g} V DC,"
    return f"{volts.replace(' ', _NO_BREAK)} {current.replace(' ', _NO_BREAK)}"


def _page(writer: _Writer, circuit: Circuit) -> None:
    """Make the back a page: title, supply, where the LEDs are, room for a name."""
    parameters, aims = writer.parameters, writer.parameters.limits.aims
    board = parameters.board
    box_room = NAME_BOX_MM[0] + NAME_BOX_GAP_MM if parameters.legend.name_box else 0.0
    places = _page_places(writer.board, aims.legend_part_mm)
    choices = [
        (where, title_mm)
        for where in ("LEDs on the other side →", "LEDs: other side")
        for title_mm in (aims.title_mm, aims.text_mm)
    ]
    for where, title_mm in choices:
        words = [
            (f"{board.title} rev{_NO_BREAK}{board.revision}", title_mm),
            (supply_words(parameters, circuit), aims.text_mm),
            (where, aims.text_mm),
        ]
        for middle_x, free in places:
            lines = [
                (line, height)
                for text, height in words
                for line in _wrapped(writer, text, height, free - box_room)
            ]
            if _try_page(writer, lines, box_room, middle_x):
                return
    widest = max(
        size_mm(_plain(text), height, aims.title_mm, parameters.lettering)[0]
        for text, height in words
    )
    needed = math.ceil(writer.board.outline.length_mm - places[0][1] + widest + box_room)
    raise RefusalError(
        Problem(
            what=f'the title "{board.title}" does not fit on the back of this board'
            + (" beside the name box" if box_room else ""),
            remedy=f'shorten it, or write form.length = "{needed} mm"',
            file=parameters.file,
            line=parameters.origin("board.title").line,
            path="board.title",
        )
    )


def _page_places(board: Board, gap_mm: float) -> list[tuple[float, float]]:
    """List middles for the page with the width free there: the board's, then nearer the holes'."""
    left, right = sorted(board.holes, key=lambda hole: hole.x_mm)
    start = left.x_mm + left.room_mm / 2 + gap_mm
    end = right.x_mm - right.room_mm / 2 - gap_mm
    middle = board.outline.length_mm / 2
    shift = max(-_PAGE_SHIFT_MM, min(_PAGE_SHIFT_MM, (start + end) / 2 - middle))
    return [(x, 2 * min(x - start, end - x)) for x in (middle, middle + shift)]


def _wrapped(writer: _Writer, text: str, height_mm: float, free_mm: float) -> list[str]:
    """Break a text into lines of at most a width; a word too wide stays, and finds no room."""
    lettering = writer.parameters.lettering
    lines: list[str] = []
    for word in filter(None, text.split(" ")):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and size_mm(_plain(longer), height_mm, 0.3, lettering)[0] <= free_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return [_plain(line) for line in lines]


def _plain(text: str) -> str:
    return text.replace(_NO_BREAK, " ")


def _try_page(
    writer: _Writer, lines: list[tuple[str, float]], box_room: float, page_x: float
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
    for middle_y in _from_the_middle(outline.width_mm):
        name_box = around(name_x, middle_y, *NAME_BOX_MM)
        if box_room and not writer.rooms[Side.BOTTOM].free([grown(name_box, _BETWEEN_TEXTS_MM)]):
            continue
        if writer.place(_stacked(texts, boxes, middle_x, middle_y)):
            if box_room:
                _name_box(writer, name_box)
            return True
    return False


def _from_the_middle(width_mm: float) -> list[float]:
    steps = range(int(width_mm / 2 / _PAGE_STEP_MM))
    return [
        width_mm / 2 + sign * step * _PAGE_STEP_MM
        for step in steps
        for sign in ((1, -1) if step else (1,))
    ]


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


def _name_box(writer: _Writer, box: Extent) -> None:
    corners = (
        (box.left_mm, box.bottom_mm),
        (box.right_mm, box.bottom_mm),
        (box.right_mm, box.top_mm),
        (box.left_mm, box.top_mm),
        (box.left_mm, box.bottom_mm),
    )
    aims = writer.parameters.limits.aims
    writer.rooms[Side.BOTTOM].take(box)
    writer.marks.append(
        Mark(side=Side.BOTTOM, role=MarkRole.BOX, points=corners, stroke_mm=aims.legend_stroke_mm)
    )

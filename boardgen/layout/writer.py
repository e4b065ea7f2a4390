"""The board while letters are added to it: sizes, boxes, and sets of texts that find room."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

from boardgen.errors import Problem, RefusalError
from boardgen.forms.table import plan
from boardgen.geometry.lettering import size_mm
from boardgen.layout.letter_room import BETWEEN_TEXTS_MM, Room, Taken, around, disjoint
from boardgen.layout.words import LINE_STEP_MM
from boardgen.model.board import Board, Mark, Point, Side, Text, TextRole
from boardgen.model.land_pattern import Extent
from boardgen.model.parameters import Parameters

_WORD_SPACE = 0.6
"""Of a text's height: what is nearer on a line reads as one word."""


class NoRoomError(RefusalError):
    """Letters found no room; a board of ``width_mm`` may give it."""

    def __init__(self, *problems: Problem, width_mm: float) -> None:
        super().__init__(*problems)
        self.width_mm = width_mm


@dataclass
class Writer:
    """The board while letters are added to it; of some boxes ``cuts`` tells that none may stand."""

    parameters: Parameters
    board: Board
    rooms: dict[Side, Room]
    up: int
    texts: list[Text]
    marks: list[Mark]
    cuts: Callable[[Sequence[Extent]], bool]
    _words: dict[Side, Taken] = field(default_factory=lambda: {side: Taken() for side in Side})

    def text(self, side: Side, role: TextRole, text: str, at: Point, height_mm: float,
             owner: str = "") -> Text:  # fmt: skip
        """Make a text with the stroke that suits its height."""
        limits, share = (
            self.parameters.parts.limits,
            self.parameters.parts.limits.aims.text_stroke_share,
        )
        thinnest = limits.legend_stroke_mm if self.parameters.printed else limits.track_mm
        return Text(
            side=side,
            role=role,
            text=text,
            x_mm=at[0],
            y_mm=at[1],
            height_mm=height_mm,
            stroke_mm=max(thinnest, round(height_mm * share, 3)),
            owner=owner,
        )

    def box(self, text: Text) -> Extent:
        """Tell the box that a text takes."""
        size = size_mm(text.text, text.height_mm, text.stroke_mm, self.parameters.parts.lettering)
        return around(text.x_mm, text.y_mm, *size)

    def place(self, texts: Sequence[Text]) -> bool:
        """Add texts if all of them find room."""
        if not texts or not self._free(texts):
            return False
        for text in texts:
            self.rooms[text.side].take(self.box(text).grown(BETWEEN_TEXTS_MM / 2))
            self._words[text.side].take(self._word(text))
        self.texts += texts
        return True

    def place_first(self, choices: Iterable[Sequence[Text]]) -> bool:
        """Add the first of several sets of texts that finds room."""
        return any(self.place(choice) for choice in choices)

    def place_alike(self, choices: Sequence[Sequence[Text]], to_come: Sequence[Text] = ()) -> bool:
        """Add the first set that finds room, or else of each text the first one that does.

        ``choices`` are sets of the same texts in other places: all are added, or none. Where parts
        stand in rows only a whole set will do. Those that stand as words of their own come first,
        apart from those ``to_come`` too.
        """
        if self.place_first(choice for choice in choices if self._apart(choice, to_come)):
            return True
        planned = plan(self.parameters)
        each = planned.sketch and not planned.named
        return (each and self.place_each(choices, to_come)) or self.place_first(choices)

    def place_each(self, choices: Sequence[Sequence[Text]], to_come: Sequence[Text] = ()) -> bool:
        """Add of each text the first one that finds room: all of them, or none."""
        chosen: list[Text] = []
        for places in zip(*choices, strict=True):
            first = sorted(places, key=lambda text: not self._apart([*chosen, text], to_come))
            found = next((text for text in first if self._free([*chosen, text])), None)
            if found is None:
                return False
            chosen.append(found)
        return self.place(chosen)

    def _word(self, text: Text) -> Extent:
        """Tell a text's box with half a word space at both its ends."""
        box, space = self.box(text), _WORD_SPACE / 2 * text.height_mm
        return replace(box, left_mm=box.left_mm - space, right_mm=box.right_mm + space)

    def _apart(self, texts: Sequence[Text], to_come: Sequence[Text]) -> bool:
        """Tell whether texts are so far from others on their lines that none read as one word."""
        boxes = [self._word(text) for text in (*texts, *to_come)]
        return disjoint(boxes) and not (boxes and self._words[texts[0].side].meets(boxes))

    def _free(self, texts: Sequence[Text]) -> bool:
        """Tell whether texts of one side find room beside one another."""
        boxes = [self.box(text).grown(BETWEEN_TEXTS_MM / 2) for text in texts]
        room = self.rooms[texts[0].side]
        return room.free(boxes) and not self.cuts([self.box(one) for one in (*self.texts, *texts)])


def without_measures(parameters: Parameters) -> str:
    """Say what to leave out where letters find no room: what was asked for, or else what helps."""
    keys = plan(parameters).keys
    asked = [key for key in (keys.across, keys.along) if parameters.given(key)]
    names = dict.fromkeys(key.rpartition(".")[2] for key in asked)
    if not names:
        return "take another connector, a house of smaller letters, or more room at that end"
    return f"leave {' and '.join(names)} out"


def from_the_middle(width_mm: float, step_mm: float = LINE_STEP_MM) -> list[float]:
    """List places across a width, from its middle outwards."""
    steps = range(int(width_mm / 2 / step_mm))
    return [
        width_mm / 2 + sign * step * step_mm
        for step in steps
        for sign in ((1, -1) if step else (1,))
    ]

"""What is known of each kind of part: one row each."""

from dataclasses import dataclass
from enum import StrEnum


class Drawn(StrEnum):
    """How a part's body is drawn beside its lands."""

    CHIP = "chip"
    HOUSING = "housing"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class KindRow:
    """A kind of part.

    ``letter`` begins its references; ``passes`` are the functions of the pins between which the
    supply passes a part of the line; ``in_branch`` ones carry a branch's current and make its heat;
    ``cathode`` ones have a cathode that is marked; ``signed`` ones have + and − beside their lands;
    ``bought`` ones are listed, pasted and placed.
    """

    letter: str
    drawn: Drawn
    passes: tuple[str, str] | None = None
    in_branch: bool = False
    cathode: bool = False
    signed: bool = False
    bought: bool = True


class PartKind(StrEnum):
    """What a part is, in the order of the parts list."""

    LED = "led"
    RESISTOR = "resistor"
    FUSE = "fuse"
    DIODE = "diode"
    TRANSISTOR = "transistor"
    CONNECTOR = "connector"
    SWITCH = "switch"
    TEST_POINT = "test point"
    JOINT = "joint"

    @property
    def row(self) -> KindRow:
        """What is known of it."""
        return _ROWS[self]


_ROWS = {
    PartKind.LED: KindRow(letter="D", drawn=Drawn.CHIP, in_branch=True, cathode=True),
    PartKind.RESISTOR: KindRow(letter="R", drawn=Drawn.CHIP, in_branch=True),
    PartKind.FUSE: KindRow(letter="F", drawn=Drawn.CHIP, passes=("in", "out")),
    PartKind.DIODE: KindRow(letter="D", drawn=Drawn.CHIP, passes=("A", "K"), cathode=True),
    PartKind.TRANSISTOR: KindRow(letter="Q", drawn=Drawn.CHIP, passes=("D", "S")),
    PartKind.CONNECTOR: KindRow(letter="J", drawn=Drawn.HOUSING, signed=True),
    PartKind.SWITCH: KindRow(letter="S", drawn=Drawn.HOUSING, passes=("common", "on")),
    PartKind.TEST_POINT: KindRow(letter="TP", drawn=Drawn.NOTHING, bought=False),
    PartKind.JOINT: KindRow(letter="E", drawn=Drawn.NOTHING, signed=True, bought=False),
}

"""Faults that a class looks for, and what a meter shows of them."""

from dataclasses import dataclass
from enum import StrEnum


class FaultKind(StrEnum):
    """What is wrong with a part."""

    TURNED = "turned"
    OPEN = "open"
    BRIDGED = "bridged"
    VALUE = "value"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A part of a branch, and what is wrong with it; ``value_ohm`` is a wrong resistor's."""

    reference: str
    kind: FaultKind
    value_ohm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a meter shows in a branch: across the whole ballast, across each LED; what flows."""

    number: int
    ballast_v: float
    leds_v: tuple[float, ...]
    current_a: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """A board with faults beside the sound one, at the nominal supply.

    ``rail_v`` is what a branch without current sees.
    """

    faults: tuple[Fault, ...]
    rail_v: float
    faulty: tuple[Reading, ...]
    sound: tuple[Reading, ...]

    @property
    def faulty_a(self) -> float:
        """What the board with faults draws."""
        return sum(reading.current_a for reading in self.faulty)

    @property
    def sound_a(self) -> float:
        """What the sound board draws."""
        return sum(reading.current_a for reading in self.sound)

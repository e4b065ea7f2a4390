"""What catalogue, footprints and house give for what a file names."""

from dataclasses import dataclass, field
from enum import StrEnum

from boardgen.model.land_pattern import LandPattern
from boardgen.model.led_data import LedSection
from boardgen.model.lettering import Lettering
from boardgen.model.limits import Limits


class SupplyKind(StrEnum):
    """What a supply is: cautions, fuses and findings follow from it."""

    ADAPTER = "adapter"
    USB = "usb"
    BENCH = "bench"
    BATTERY = "battery"
    CELLS = "cells"
    PRIMARY = "primary cell"
    BLOCK = "primary block"
    COIN = "coin cell"
    RECHARGEABLE = "rechargeable cell"
    LITHIUM = "lithium-ion cell"
    UNSAID = "own"

    @property
    def counted(self) -> bool:
        """Whether a catalogue entry is of one cell, of which several may stand in series."""
        return self in _COUNTED

    @property
    def stored(self) -> bool:
        """Whether it is a battery of any kind, which runs down and knows no limit of current."""
        return self in (*_COUNTED, SupplyKind.BATTERY, SupplyKind.CELLS)


_COUNTED = (
    SupplyKind.PRIMARY, SupplyKind.BLOCK, SupplyKind.COIN, SupplyKind.RECHARGEABLE,
    SupplyKind.LITHIUM,
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyRange:
    """The supply at its terminals, from worn out to fresh, and how it gives out.

    ``curve`` pairs the share of the charge drawn with the voltage at rest, ``capacity`` a steady
    current with the charge that can be drawn at it; both are empty for what does not run down.
    ``delivers_a`` flows into a short, ``idle_a`` is the load below which it may switch itself off;
    None: unknown, or it does not. ``given`` says whether the file gives its volts.
    """

    name: str
    kind: SupplyKind
    low_v: float
    nominal_v: float
    high_v: float
    source: str
    max_current_a: float | None = None
    cells: int = 1
    resistance_ohm: float = 0.0
    cutoff_v: float = 0.0
    curve: tuple[tuple[float, float], ...] = ()
    capacity: tuple[tuple[float, float], ...] = ()
    delivers_a: float | None = None
    idle_a: float | None = None
    idle_source: str = ""
    given: bool = False

    @property
    def runs_down(self) -> bool:
        """Whether it is a battery."""
        return bool(self.curve)

    @property
    def strong(self) -> bool:
        """Whether a short on the board is dangerous: Li-ion, more than 8 A or 100 VA.

        A battery of which nobody says what it drives into a short counts as strong; what gives a
        current for long drives at least as much.
        """
        if self.kind is SupplyKind.LITHIUM or (self.delivers_a is None and self.kind.stored):
            return True
        drives = max(self.delivers_a or 0.0, self.max_current_a or 0.0)
        return drives > STRONG_A or drives * self.high_v > STRONG_VA


STRONG_A = 8.0
STRONG_VA = 100.0
"""From here on a source needs a fuse: common practice for limited sources, no source read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ResistorPart:
    """A chip resistor: size, body, rating at 70 °C, and whether its value is printed on it.

    ``larger`` lists the sizes above this one with their ratings; ``usual_w`` is what most data
    sheets of today say.
    """

    size: str
    rating_w: float
    pattern: LandPattern
    printed: bool
    source: str
    larger: tuple[tuple[str, float], ...] = ()
    usual_w: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LedShape:
    """What an LED is like besides its forward voltage: given, or typical for colour and size.

    ``ideality`` and ``series_ohm`` shape V = n·Vt·ln(I/Is + 1) + I·Rs.
    """

    ideality: float
    series_ohm: float
    per_kelvin_v: float
    thermal_k_per_w: float
    max_junction_degc: float
    source: str
    per_kelvin_source: str
    thermal_source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LedPart:
    """An LED with its figures and its lands."""

    name: str
    data: LedSection
    shape: LedShape
    pattern: LandPattern


@dataclass(frozen=True, slots=True, kw_only=True)
class Emitter:
    """What a channel is asked for: its LED, the current through it, and an LED it shall look like.

    ``name`` tells it from other channels of the board; one alone needs none.
    """

    led: LedPart
    current_a: float
    alike: LedPart | None = None
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConnectorPart:
    """A connector with its rating and its lands; pin 1 is +.

    ``cell`` names the supply that goes with a cell's holder.
    """

    name: str
    rating_a: float
    contact_ohm: float
    pattern: LandPattern
    printed: str
    cell: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchPart:
    """A switch in the supply line: pin 2 is fed, pin 1 feeds the rail, pin 3 is not connected."""

    name: str
    rating_a: float
    pattern: LandPattern
    printed: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Guard:
    """A part in the supply line: a resettable fuse, or what blocks a reversed supply.

    ``drop_v`` and ``resistance_ohm`` are least, usual and most; ``gate_v`` is what a transistor's
    gate needs and bears, ``max_fault_a`` what a fuse may break.
    """

    name: str
    kind: str
    rating_a: float
    max_voltage_v: float
    drop_v: tuple[float, float, float]
    resistance_ohm: tuple[float, float, float]
    pattern: LandPattern
    printed: str
    gate_v: tuple[float, float] | None = None
    max_fault_a: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class UseLeast:
    """The least light that a use asks for: lux straight below the middle, at a distance."""

    lx: float
    at_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """A screw: its hole, what covers the board around it, and the circle that nothing may enter."""

    thread: str
    hole_mm: float
    covered_mm: float
    room_mm: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """The parts, the supply and the limits behind a file's names, and the letters to write with.

    ``usual_a`` is the current that the use would set, ``use_least`` the light that it asks for;
    ``probe`` is the land of a test point, ``joint`` are the lands at a far end, where another board
    is joined.
    """

    supply: SupplyRange
    limits: Limits
    emitters: tuple[Emitter, ...]
    usual_a: float
    use_least: UseLeast | None
    resistor: ResistorPart
    connector: ConnectorPart
    switch: SwitchPart | None
    fuse: Guard | None
    reverse: Guard | None
    probe: LandPattern
    joint: ConnectorPart | None
    screw: Screw
    lettering: Lettering = field(repr=False)

    @property
    def led_patterns(self) -> tuple[LandPattern, ...]:
        """The lands of its LEDs, each pattern once."""
        return tuple(dict.fromkeys(emitter.led.pattern for emitter in self.emitters))

    def led_named(self, name: str) -> LedPart:
        """Find an LED by what stands as its part's value; KeyError when there is none."""
        return {emitter.led.name: emitter.led for emitter in self.emitters}[name]

    @property
    def guards(self) -> tuple[Guard, ...]:
        """What stands in the supply line, from the connector on."""
        return tuple(part for part in (self.fuse, self.reverse) if part)

"""One board, wholly described: the sections with every name resolved."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from pathlib import Path
from typing import Any

from boardgen.errors import Change, Problem
from boardgen.model.cautions import Caution
from boardgen.model.land_pattern import LandPattern
from boardgen.model.led_data import LedSection
from boardgen.model.lettering import Lettering
from boardgen.model.limits import Limits
from boardgen.model.plan import Plan
from boardgen.model.sections import (
    BoardSection,
    BuiltSection,
    ConnectorSection,
    CopperSection,
    FormSection,
    LegendSection,
    LightSection,
    MountingSection,
    OrderSection,
    ProtectionSection,
    ResistorSection,
    WaiveSection,
)
from boardgen.model.side import Side

LIGHT_MASKS = ("white", "yellow")


class OriginKind(StrEnum):
    """Where a value came from."""

    FILE = "parameter file"
    DEFAULT = "default"
    CATALOGUE = "catalogue"
    CHOSEN = "chosen by boardgen"
    TRIED = "tried on the command line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Provenance of one value: its kind, and file and line where there are such."""

    kind: OriginKind
    place: str = ""
    line: int = 0

    def __str__(self) -> str:
        where = f"{self.place}:{self.line}" if self.line else self.place
        return f"{self.kind.value} {where}".strip()


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
class Written:
    """What a board was read from, so that a change of a key can be read like the file itself.

    ``tables`` are the plain tables of this board, ``lines`` where their keys stand, ``folder``
    where files are that they name.
    """

    tables: Mapping[str, Any] = field(default_factory=dict)
    lines: Mapping[tuple[str | int, ...], int] = field(default_factory=dict)
    folder: Path | None = None
    text: str = ""
    source_date: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Parameters:
    """One board, wholly described: sections as written or defaulted, names resolved.

    ``usual_a`` is the current that the use would set. ``own_form`` plans the board where a form was
    given in Python, by a function; the keys of a ring are then its measures. ``text_sha256`` is the
    digest of the file, ``bare_sha256`` of the file without what was measured, ``meaning_sha256`` of
    keys and values without it: the same however they are written down.
    """

    name: str
    file: str
    board: BoardSection
    light: LightSection
    resistor: ResistorSection
    protection: ProtectionSection
    form: FormSection
    connector: ConnectorSection
    mounting: MountingSection
    copper: CopperSection
    legend: LegendSection
    legend_text: str
    order: OrderSection
    supply: SupplyRange
    emitters: tuple[Emitter, ...]
    usual_a: float
    use_least: UseLeast | None
    resistor_part: ResistorPart
    connector_part: ConnectorPart
    switch_part: SwitchPart | None
    fuse_part: Guard | None
    reverse_part: Guard | None
    fuses: tuple[Guard, ...]
    test_land: LandPattern
    screw: Screw
    stock: Mapping[str, str]
    built: BuiltSection | None
    waivers: tuple[WaiveSection, ...]
    limits: Limits
    lettering: Lettering
    cautions: tuple[Caution, ...]
    date: str
    date_given: bool
    text_sha256: str
    bare_sha256: str
    meaning_sha256: str
    own_form: "Callable[[Parameters], Plan] | None" = None
    origins: Mapping[str, Origin] = field(default_factory=dict)
    written: Written = field(default_factory=Written, repr=False, compare=False)

    def __repr__(self) -> str:
        """One line: the tables of the catalogue and of letters that it carries fill pages."""
        leds = f"{self.light.count} x {self.emitters[0].led.name}"
        return f"<Parameters {self.name}: {leds}, {self.form.kind}, {self.supply.name}>"

    def unmeasured(self) -> "Parameters":
        """Give the board as it was described before anything was measured on it."""
        return replace(self, built=None, text_sha256=self.bare_sha256)

    @property
    def printed(self) -> bool:
        """Whether a legend is printed; without one, marks and letters are copper."""
        return self.order.legend != "none" and self.order.mask != "none"

    @property
    def legend_colour(self) -> str:
        """The colour of the print: as ordered, or the one that can be read on the mask."""
        if not self.printed:
            return "none"
        return self.order.legend or ("black" if self.order.mask in LIGHT_MASKS else "white")

    @property
    def sides(self) -> tuple[Side, ...]:
        """The sides that carry copper."""
        return (Side.TOP, Side.BOTTOM)[: self.copper.sides]

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
        return tuple(part for part in (self.fuse_part, self.reverse_part) if part)

    def problem(
        self,
        path: str,
        what: str,
        *,
        remedy: str = "",
        offers: tuple[Change, ...] = (),
        at: str = "",
    ) -> Problem:
        """Say what is wrong with a key of the file, where it stands; ``at`` is another's place."""
        line = self.origin(at or path).line
        return Problem(
            what=what, remedy=remedy, offers=offers, file=self.file, line=line, path=path
        )

    def origin(self, path: str) -> Origin:
        """Tell where the value at a dotted path came from."""
        return self.origins.get(path, Origin(kind=OriginKind.DEFAULT))

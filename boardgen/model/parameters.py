"""One board, wholly described: the sections with every name resolved."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from boardgen.model.cautions import Caution
from boardgen.model.land_pattern import LandPattern
from boardgen.model.led_data import LedSection
from boardgen.model.lettering import Lettering
from boardgen.model.limits import Limits
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
    ResistorSection,
)
from boardgen.model.side import Side

EXTRA_LOW_VOLTAGE_V = 60.0
LIGHT_MASKS = ("white", "yellow")


class OriginKind(StrEnum):
    """Where a value came from."""

    FILE = "parameter file"
    DEFAULT = "default"
    CATALOGUE = "catalogue"
    CHOSEN = "chosen by boardgen"


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Provenance of one value: its kind, and file and line where there are such."""

    kind: OriginKind
    place: str = ""
    line: int = 0

    def __str__(self) -> str:
        where = f"{self.place}:{self.line}" if self.line else self.place
        return f"{self.kind.value} {where}".strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyRange:
    """The supply as the circuit sees it, from worn out to fresh."""

    name: str
    kind: str
    low_v: float
    nominal_v: float
    high_v: float
    source: str
    max_current_a: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ResistorPart:
    """A chip resistor: size, body, rating at 70 °C, and whether its value is printed on it."""

    size: str
    rating_w: float
    pattern: LandPattern
    printed: bool
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LedPart:
    """An LED with its figures and its lands."""

    name: str
    data: LedSection
    pattern: LandPattern


@dataclass(frozen=True, slots=True, kw_only=True)
class ConnectorPart:
    """A connector with its rating and its lands; pin 1 is +.

    ``cell`` names the supply that goes with a cell's holder.
    """

    name: str
    rating_a: float
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
class Screw:
    """A screw: its hole, what covers the board around it, and the circle that nothing may enter."""

    thread: str
    hole_mm: float
    covered_mm: float
    room_mm: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameters:
    """One board, wholly described: sections as written or defaulted, names resolved."""

    name: str
    file: str
    board: BoardSection
    light: LightSection
    resistor: ResistorSection
    form: FormSection
    connector: ConnectorSection
    mounting: MountingSection
    copper: CopperSection
    legend: LegendSection
    legend_text: str
    order: OrderSection
    supply: SupplyRange
    current_a: float
    led: LedPart
    resistor_part: ResistorPart
    connector_part: ConnectorPart
    switch_part: SwitchPart | None
    test_land: LandPattern
    screw: Screw
    stock: Mapping[str, str]
    built: BuiltSection | None
    limits: Limits
    lettering: Lettering
    cautions: tuple[Caution, ...]
    date: str
    date_given: bool
    text_sha256: str
    origins: Mapping[str, Origin] = field(default_factory=dict)

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

    def origin(self, path: str) -> Origin:
        """Tell where the value at a dotted path came from."""
        return self.origins.get(path, Origin(kind=OriginKind.DEFAULT))

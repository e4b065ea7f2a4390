"""What the user asked for: the sections of the parameter file, and the same with names resolved.

Field names carry the unit (``pitch_mm``), keys of the file do not (``pitch``).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Annotated

from boardgen import units
from boardgen.model.cautions import Caution
from boardgen.model.fields import Choice, Name, Quantity, Switch, Whole, Words
from boardgen.model.land_pattern import LandPattern
from boardgen.model.lettering import Lettering
from boardgen.model.limits import Limits

LONGEST_MM = 2_147.0
"""A Gerber coordinate in 4.6 format is a signed 32-bit integer: ±2,147.48 mm."""

MOST_LEDS = 2_000
"""Our own bound: beyond it a board would neither fit a bench nor this machine's memory."""

EXTRA_LOW_VOLTAGE_V = 60.0


def _length(help_text: str, minimum: float = 0.1, maximum: float = LONGEST_MM) -> Quantity:
    return Quantity(dimension=units.LENGTH, help=help_text, minimum=minimum, maximum=maximum)


def _volts(help_text: str, minimum: float = 0.1, maximum: float = 1e4) -> Quantity:
    return Quantity(dimension=units.VOLTAGE, help=help_text, minimum=minimum, maximum=maximum)


def _amps(help_text: str, minimum: float = 1e-5, maximum: float = 20.0) -> Quantity:
    return Quantity(dimension=units.CURRENT, help=help_text, minimum=minimum, maximum=maximum)


_SPDX = {"pattern": r"[A-Za-z0-9.+-]+", "pattern_words": "an SPDX name such as CC-BY-SA-4.0"}
_DAY = r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])"


@dataclass(frozen=True, slots=True, kw_only=True)
class Licence:
    """Under which licences the design is published."""

    hardware: Annotated[str | None, Words(help="licence of the board", **_SPDX)] = None
    documents: Annotated[str | None, Words(help="licence of its papers", **_SPDX)] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardSection:
    """``[board]``: who and what."""

    title: Annotated[str, Words(help="printed on the board; names no file", longest=40)]
    revision: Annotated[
        str,
        Words(
            help="printed after the title",
            longest=8,
            pattern=r"[A-Za-z0-9.]+",
            pattern_words="letters, digits and points",
        ),
    ] = "A"
    author: Annotated[str | None, Words(help="who answers for the design")] = None
    licence: Licence | None = None
    date: Annotated[
        str | None,
        Words(
            help="day of the design, written into every file",
            pattern=_DAY,
            pattern_words="a day such as 2026-11-25",
        ),
    ] = None
    ambient_degc: Annotated[
        float,
        Quantity(
            dimension=units.TEMPERATURE,
            help="warmest air around the board",
            minimum=-20.0,
            maximum=100.0,
        ),
    ] = 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplySection:
    """``[supply]``: a catalogue name, or low, nominal and high volts."""

    from_: Annotated[str | None, Name(help="a supply of the catalogue")] = None
    cells: Annotated[int | None, Whole(help="cells in series", minimum=1, maximum=40)] = None
    low_v: Annotated[float | None, _volts("lowest voltage under load")] = None
    nominal_v: Annotated[float | None, _volts("usual voltage")] = None
    high_v: Annotated[float | None, _volts("highest voltage")] = None


USES = ("night-light", "indicator", "ambience", "task")


@dataclass(frozen=True, slots=True, kw_only=True)
class LightSection:
    """``[light]``: which LEDs, how many, how bright."""

    led: Annotated[str, Name(help="an LED of the catalogue, or of a [led] table of this file")]
    count: Annotated[int, Whole(help="how many LEDs", minimum=1, maximum=MOST_LEDS)]
    use: Annotated[str | None, Choice(help="sets the current", words=USES)] = None
    current_a: Annotated[float | None, _amps("current of a branch at the nominal supply")] = None
    in_series: Annotated[
        int | None, Whole(help="LEDs in one branch; absent: chosen", minimum=1, maximum=40)
    ] = None
    lands_compared: Annotated[
        bool, Switch(help="true once the lands were compared with the LED's data sheet")
    ] = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ForwardVoltage:
    """Forward voltage at a stated current, with its spread."""

    at_a: Annotated[float, _amps("current at which it was stated")]
    min_v: Annotated[float, _volts("least")]
    typical_v: Annotated[float, _volts("typical")]
    max_v: Annotated[float, _volts("greatest")]


@dataclass(frozen=True, slots=True, kw_only=True)
class LightOutput:
    """Light at a stated current, as the data sheet has it."""

    at_a: Annotated[float, _amps("current at which it was stated")]
    flux_lm: Annotated[
        float | None,
        Quantity(
            dimension=units.LUMINOUS_FLUX, help="luminous flux", minimum=0.0, maximum=10_000.0
        ),
    ] = None
    intensity_cd: Annotated[
        float | None,
        Quantity(
            dimension=units.LUMINOUS_INTENSITY,
            help="luminous intensity",
            minimum=0.0,
            maximum=1_000.0,
        ),
    ] = None
    angle_deg: Annotated[
        float | None,
        Quantity(
            dimension=units.ANGLE, help="full viewing angle at half", minimum=1.0, maximum=180.0
        ),
    ] = None


LED_SIZES = ("0805", "1206", "2835")
COLOURS = (
    "red",
    "orange",
    "amber",
    "yellow",
    "green",
    "blue",
    "white",
    "warm white",
    "uv",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LedSection:
    """``[led."a name"]``: an LED from its data sheet; the catalogue uses the same table."""

    size: Annotated[str, Choice(help="package", words=LED_SIZES)]
    colour: Annotated[str, Choice(help="what it looks like", words=COLOURS)]
    vf: ForwardVoltage
    max_current_a: Annotated[float, _amps("greatest continuous current")]
    cathode: Annotated[
        str, Words(help="how the cathode is marked on the part, e.g. notched corner")
    ]
    source: Annotated[str, Words(help="where the figures were read", longest=200)]
    max_reverse_v: Annotated[float | None, _volts("greatest reverse voltage")] = None
    output: LightOutput | None = None


RESISTOR_SIZES = ("0805", "1206")
SERIES = ("E3", "E6", "E12", "E24", "E48", "E96")


@dataclass(frozen=True, slots=True, kw_only=True)
class ResistorSection:
    """``[resistor]``: the ballast of each branch."""

    size: Annotated[str, Choice(help="chip size in inch code", words=RESISTOR_SIZES)] = "1206"
    series: Annotated[str, Choice(help="preferred values, IEC 60063", words=SERIES)] = "E12"
    tolerance: Annotated[
        float,
        Quantity(dimension=units.RATIO, help="either way from the value", minimum=0.0, maximum=0.2),
    ] = 0.01
    rating_w: Annotated[
        float | None,
        Quantity(
            dimension=units.POWER,
            help="rating at 70 degC; absent: the lower one of the sources",
            minimum=0.001,
            maximum=10.0,
        ),
    ] = None
    drawer: Annotated[
        tuple[float, ...],
        Quantity(
            dimension=units.RESISTANCE,
            help="values on hand; then only these are taken",
            minimum=0.01,
            maximum=1e7,
        ),
    ] = ()
    round: Annotated[
        str, Choice(help="which neighbour of the wanted value is taken", words=("up",))
    ] = "up"


@dataclass(frozen=True, slots=True, kw_only=True)
class FormSection:
    """``[form]``: shape and size of the board."""

    kind: Annotated[str, Choice(help="the form", words=("bar",))]
    pitch_mm: Annotated[float, _length("LED to LED along the bar", 1.0, 500.0)]
    rows: Annotated[int, Whole(help="equal rows of LEDs", minimum=1, maximum=50)] = 1
    row_pitch_mm: Annotated[float | None, _length("row to row; absent: chosen", 1.0)] = None
    width_mm: Annotated[float | None, _length("across the bar; absent: chosen", 3.0)] = None
    length_mm: Annotated[float | None, _length("along the bar; absent: chosen", 3.0)] = None
    corner_mm: Annotated[float | None, _length("radius of the corners", 1.0, 3.0)] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ConnectorSection:
    """``[connector]``: where the supply comes in."""

    kind: Annotated[str, Name(help="a connector of the catalogue")] = "terminal 3.5 mm"
    at: Annotated[str, Choice(help="which end", words=("left", "right"))] = "left"


@dataclass(frozen=True, slots=True, kw_only=True)
class MountingSection:
    """``[mounting]``: screws."""

    screw: Annotated[str, Name(help="thread of the screws")] = "M3"
    at: Annotated[str, Choice(help="where they sit", words=("ends",))] = "ends"


RELIEFS = ("all", "holes", "none")


@dataclass(frozen=True, slots=True, kw_only=True)
class CopperSection:
    """``[copper]``: sides, thickness, widths."""

    sides: Annotated[int, Whole(help="copper sides", minimum=2, maximum=2)] = 2
    weight_um: Annotated[
        float,
        Quantity(
            dimension=units.COPPER_WEIGHT,
            help="finished thickness of the copper",
            minimum=17.0,
            maximum=105.0,
        ),
    ] = 35.0
    rise_k: Annotated[
        float,
        Quantity(
            dimension=units.TEMPERATURE_RISE,
            help="how much warmer the rail may get",
            minimum=1.0,
            maximum=40.0,
        ),
    ] = 10.0
    rail_mm: Annotated[float | None, _length("width of the supply rail; absent: chosen")] = None
    pour: Annotated[str, Choice(help="sides with a 0 V pour", words=("both",))] = "both"
    relief: Annotated[str, Choice(help="which lands get thermal spokes", words=RELIEFS)] = "all"


@dataclass(frozen=True, slots=True, kw_only=True)
class LegendSection:
    """``[legend]``: what is printed besides the marks."""

    name_box: Annotated[bool, Switch(help="a box for the builder's name on the back")] = False


MASKS = ("white", "black", "green", "blue", "red")
FINISHES = ("tin, lead-free", "gold")
THICKNESSES_MM = (0.8, 1.0, 1.2, 1.6, 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderSection:
    """``[order]``: what the board house is told."""

    house: Annotated[str, Name(help="profile of limits")] = "ordinary"
    mask: Annotated[str, Choice(help="colour of the mask", words=MASKS)] = "white"
    finish: Annotated[str, Choice(help="finish of the lands", words=FINISHES)] = "tin, lead-free"
    thickness_mm: Annotated[float, _length("thickness of the board", 0.4, 3.2)] = 1.6
    quantity: Annotated[int, Whole(help="boards to order", minimum=1, maximum=100_000)] = 5


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


@dataclass(frozen=True, slots=True, kw_only=True)
class ResistorPart:
    """A chip resistor of the catalogue: size, body and rating at 70 °C."""

    size: str
    metric: str
    rating_w: float
    pattern: LandPattern
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LedPart:
    """An LED with its figures and its lands."""

    name: str
    data: LedSection
    pattern: LandPattern


@dataclass(frozen=True, slots=True, kw_only=True)
class ConnectorPart:
    """A connector with its rating and its lands; pin 1 is +."""

    name: str
    rating_a: float
    pattern: LandPattern


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """A screw: hole, head and the circle that nothing may enter."""

    thread: str
    hole_mm: float
    head_mm: float
    washer_mm: float
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
    order: OrderSection
    supply: SupplyRange
    current_a: float
    led: LedPart
    resistor_part: ResistorPart
    connector_part: ConnectorPart
    screw: Screw
    limits: Limits
    lettering: Lettering
    cautions: tuple[Caution, ...]
    date: str
    date_given: bool
    text_sha256: str
    origins: Mapping[str, Origin] = field(default_factory=dict)

    def origin(self, path: str) -> Origin:
        """Tell where the value at a dotted path came from."""
        return self.origins.get(path, Origin(kind=OriginKind.DEFAULT))

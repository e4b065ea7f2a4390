"""What a data sheet says of an LED or a chip, as the parameter file and the catalogue write it."""

from dataclasses import dataclass
from typing import Annotated

from boardgen import units
from boardgen.model.fields import Choice, Quantity, Rows, Words, amps, celsius, length, volts

LED_SIZES = ("0402", "0603", "0805", "1206", "2835", "3528")
RESISTOR_SIZES = ("0402", "0603", "0805", "1206", "1210", "2010", "2512")
METRIC_CODES = {
    "0402": "1005",
    "0603": "1608",
    "0805": "2012",
    "1206": "3216",
    "1210": "3225",
    "2010": "5025",
    "2512": "6432",
}
"""Inch code → metric code. Some digits are codes in both: 0603 metric is a far smaller chip."""

COLOURS = (
    "red",
    "orange",
    "amber",
    "yellow",
    "yellow-green",
    "green",
    "blue",
    "white",
    "warm white",
    "uv",
)


def size_words(size: str) -> str:
    """Name a size with both its codes, so that they are never confused.

    Examples
    --------
    >>> size_words("0805"), size_words("2835")
    ('0805 (metric 2012)', '2835 (metric)')
    """
    return f"{size} (metric {METRIC_CODES[size]})" if size in METRIC_CODES else f"{size} (metric)"


@dataclass(frozen=True, slots=True, kw_only=True)
class ForwardVoltage:
    """Forward voltage at a stated current, with its spread."""

    at_a: Annotated[float, amps("current at which it was stated")]
    min_v: Annotated[float, volts("least")]
    typical_v: Annotated[float, volts("typical")]
    max_v: Annotated[float, volts("greatest")]


@dataclass(frozen=True, slots=True, kw_only=True)
class LightOutput:
    """Light at a stated current, as the data sheet has it."""

    at_a: Annotated[float, amps("current at which it was stated")]
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


@dataclass(frozen=True, slots=True, kw_only=True)
class ChipOutline:
    """Body of a two-ended part from its data sheet; with ``termination`` lands are calculated."""

    length_mm: Annotated[float, length("along the part, terminations included", 0.4, 10.0)]
    width_mm: Annotated[float, length("across the part", 0.2, 10.0)]
    height_mm: Annotated[float, length("above the board", 0.1, 10.0)]
    tolerance_mm: Annotated[float, length("either way, of length and width", 0.01, 0.5)] = 0.15
    termination_mm: Annotated[
        float | None, length("length of a termination; absent: give the lands", 0.05, 3.0)
    ] = None
    termination_tolerance_mm: Annotated[float, length("either way", 0.01, 0.5)] = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class LandPair:
    """Two lands for a two-ended part; the second one differs only where ``plain_…`` says so."""

    length_mm: Annotated[float, length("along the part, of the land at the marked end", 0.2, 10.0)]
    width_mm: Annotated[float, length("across the part", 0.2, 10.0)]
    gap_mm: Annotated[float, length("between the two lands", 0.1, 10.0)]
    plain_length_mm: Annotated[
        float | None, length("of the land at the plain end; absent: alike", 0.2, 10.0)
    ] = None
    plain_width_mm: Annotated[
        float | None, length("of the land at the plain end; absent: alike", 0.2, 10.0)
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LedSection:
    """``[led."a name"]``: an LED from its data sheet; the catalogue uses the same table.

    Exactly one of ``cathode`` and ``anode`` says what is seen on the part, and at which end.
    """

    colour: Annotated[str, Choice(help="what it looks like", words=COLOURS)]
    vf: ForwardVoltage
    max_current_a: Annotated[float, amps("greatest continuous current")]
    source: Annotated[str, Words(help="where the figures were read", longest=200)]
    size: Annotated[str | None, Choice(help="package; or give body", words=LED_SIZES)] = None
    cathode: Annotated[
        str | None, Words(help="the mark, when it is at the cathode, e.g. notched corner")
    ] = None
    anode: Annotated[
        str | None, Words(help="the mark, when it is at the anode, e.g. green dot")
    ] = None
    max_reverse_v: Annotated[float | None, volts("greatest reverse voltage")] = None
    points: Annotated[
        tuple[tuple[float, float], ...],
        Rows(
            help="typical current and voltage read from the data sheet's curve, rising",
            each=(amps("current", 1e-7), volts("forward voltage")),
        ),
    ] = ()
    per_kelvin_v: Annotated[
        float | None,
        Quantity(
            dimension=units.VOLTAGE_PER_KELVIN,
            help="change of the forward voltage; absent: the colour's typical one",
            minimum=-0.01,
            maximum=0.0,
        ),
    ] = None
    thermal_k_per_w: Annotated[
        float | None,
        Quantity(
            dimension=units.THERMAL_RESISTANCE,
            help="junction to still air; absent: the size's typical one",
            minimum=1.0,
            maximum=2_000.0,
        ),
    ] = None
    max_junction_degc: Annotated[
        float | None, celsius("hottest junction; absent: 100 degC", 50.0, 175.0)
    ] = None
    output: LightOutput | None = None
    body: ChipOutline | None = None
    lands: LandPair | None = None

    @property
    def mark(self) -> str:
        """What is seen on the part."""
        return self.cathode or self.anode or ""

    @property
    def marked_function(self) -> str:
        """The function of the land at the marked end: K or A."""
        return "K" if self.cathode else "A"

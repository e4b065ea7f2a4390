"""What a field of the parameter file says of itself: unit, range, choices, help.

These plain records stand in ``Annotated[...]`` of the parameter classes; ``reading`` turns them
into validators, so that each field is declared once.
"""

from dataclasses import dataclass

from boardgen import units


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A number with a unit; ``minimum`` and ``maximum`` are inclusive, in the base unit.

    ``beyond`` says what to do about more than the maximum, where that is no slip; ``word`` may
    stand in the place of a number and lets others decide it.
    """

    dimension: units.Dimension
    help: str
    minimum: float
    maximum: float
    beyond: str = ""
    word: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """A whole number between two inclusive bounds."""

    help: str
    minimum: int
    maximum: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One word out of a closed set; a number with a unit may stand in its place, as a text."""

    help: str
    words: tuple[str, ...]
    quantity: Quantity | None = None

    @property
    def words_lower(self) -> tuple[str, ...]:
        """The words as they are compared: capitals do not matter."""
        return tuple(word.lower() for word in self.words)


@dataclass(frozen=True, slots=True, kw_only=True)
class Name:
    """A name from the catalogue, matched without regard to case, spaces and hyphens.

    ``none`` tells that the word "none" is taken too.
    """

    help: str
    example: str = ""
    none: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """A list of rows of quantities, each a list of so many texts with units."""

    help: str
    each: tuple[Quantity, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """Free text of one line; ``pattern`` (a full-match expression) narrows it."""

    help: str
    longest: int = 80
    pattern: str = ""
    pattern_words: str = ""
    example: str = "text"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartOf:
    """A table that may give any of a class's annotated fields; the rest come from elsewhere."""

    help: str
    cls: type


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch:
    """True or false."""

    help: str
    example: bool = True


LONGEST_MM = 2_147.0
"""A Gerber coordinate in 4.6 format is a signed 32-bit integer: ±2,147.48 mm."""


def length(help_text: str, minimum: float = 0.1, maximum: float = LONGEST_MM) -> Quantity:
    """Declare a length."""
    return Quantity(dimension=units.LENGTH, help=help_text, minimum=minimum, maximum=maximum)


def volts(help_text: str, minimum: float = 0.1, maximum: float = 1e4) -> Quantity:
    """Declare a voltage."""
    return Quantity(dimension=units.VOLTAGE, help=help_text, minimum=minimum, maximum=maximum)


def amps(help_text: str, minimum: float = 1e-5, maximum: float = 20.0) -> Quantity:
    """Declare a current."""
    return Quantity(dimension=units.CURRENT, help=help_text, minimum=minimum, maximum=maximum)


def ohms(help_text: str, minimum: float = 0.0, maximum: float = 1e7) -> Quantity:
    """Declare a resistance."""
    return Quantity(dimension=units.RESISTANCE, help=help_text, minimum=minimum, maximum=maximum)


def celsius(help_text: str, minimum: float = -20.0, maximum: float = 100.0) -> Quantity:
    """Declare a temperature."""
    return Quantity(dimension=units.TEMPERATURE, help=help_text, minimum=minimum, maximum=maximum)


def angle(help_text: str, minimum: float, maximum: float) -> Quantity:
    """Declare an angle."""
    return Quantity(dimension=units.ANGLE, help=help_text, minimum=minimum, maximum=maximum)


def share(help_text: str, minimum: float = 0.0, maximum: float = 1.0) -> Quantity:
    """Declare a share of a whole."""
    return Quantity(dimension=units.RATIO, help=help_text, minimum=minimum, maximum=maximum)


SUFFIXES = {
    units.LENGTH.name: "_mm",
    units.COPPER_WEIGHT.name: "_um",
    units.VOLTAGE.name: "_v",
    units.CURRENT.name: "_a",
    units.POWER.name: "_w",
    units.RESISTANCE.name: "_ohm",
    units.TEMPERATURE.name: "_degc",
    units.TEMPERATURE_RISE.name: "_k",
    units.VOLTAGE_PER_KELVIN.name: "_v",
    units.THERMAL_RESISTANCE.name: "_k_per_w",
    units.RATIO.name: "",
    units.ANGLE.name: "_deg",
    units.LUMINOUS_FLUX.name: "_lm",
    units.LUMINOUS_INTENSITY.name: "_cd",
}
"""How a Python field is called after its dimension; the key in the file goes without."""


def key_of(field_name: str, metadata: tuple[object, ...]) -> str:
    """Name the key of the parameter file that belongs to a Python field.

    Examples
    --------
    >>> key_of("from_", ()), key_of("format", ())
    ('from', 'format')
    """
    for note in metadata:
        if isinstance(note, Quantity):
            field_name = field_name.removesuffix(SUFFIXES[note.dimension.name])
    return field_name.removesuffix("_")


def bound(value: float, dimension: units.Dimension) -> str:
    """Print a bound of a range in the dimension's base unit, without idle digits."""
    if dimension is units.RATIO:
        return f"{value * 100:g} %"
    return f"{value:g} {dimension.base}"

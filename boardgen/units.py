"""Text ↔ number with unit, named rounding rules, and the snap to the 1 nm grid.

The only home of 25.4 and of the powers of ten between units.
"""

import math
import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import NewType

from boardgen.tolerances import SAME_SHARE

Nm = NewType("Nm", int)
"""A length on the artwork's integer grid, in nanometres."""

NM_PER_MM = 1_000_000
NM_PER_UM = 1_000
UM_PER_MM = 1_000
MM_PER_INCH = 25.4
MM_PER_POINT = MM_PER_INCH / 72
UM_PER_MIL = 25.4
MIL_PER_MM = 1000 / MM_PER_INCH


def snap(length_mm: float) -> Nm:
    """Round a length in mm to the nearest nanometre: the one way onto the artwork's grid."""
    return Nm(round(length_mm * NM_PER_MM))


def mm(length_nm: int) -> float:
    """Turn nanometres into millimetres."""
    return length_nm / NM_PER_MM


def decimal(millionths: int) -> str:
    """Write millionths exactly as a decimal number, without exponent or idle zeros.

    So nanometres become millimetres, and the angles of shapes degrees.

    Examples
    --------
    >>> decimal(1_300_000), decimal(100), decimal(2_000_000), decimal(-500)
    ('1.3', '0.0001', '2.0', '-0.0005')
    """
    whole, part = divmod(abs(millionths), 1_000_000)
    digits = f"{part:06d}".rstrip("0") or "0"
    return f"{'-' if millionths < 0 else ''}{whole}.{digits}"


def up_to_step(value: float, step: float) -> float:
    """Round up to a multiple of a step; float noise is forgiven."""
    return math.ceil(value / step - SAME_SHARE) * step


def figures(value: float, digits: int = 2) -> str:
    """Write a number with so many significant digits, and never with an exponent.

    Examples
    --------
    >>> figures(213.4), figures(0.01234), figures(7.96), figures(0)
    ('210', '0.012', '8', '0')
    """
    if not value:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    text = f"{round(value, places):.{max(places, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def at_most_amps(value: float) -> str:
    """Print a greatest current with two digits, rounded up: no board draws more than it says.

    Examples
    --------
    >>> at_most_amps(0.00351), at_most_amps(0.42), at_most_amps(0.1)
    ('3.6 mA', '0.42 A', '0.1 A')
    """
    digits = 1 - math.floor(math.log10(value)) if value else 0
    most = math.ceil(value * 10**digits - SAME_SHARE) / 10**digits
    return f"{most:g} A" if most >= _SMALLEST_IN_AMPERES else f"{most * 1000:g} mA"


_SMALLEST_IN_AMPERES = 0.1


def down_to_step(value: float, step: float) -> float:
    """Round down to a multiple of a step, with the same forgiveness."""
    return math.floor(value / step + SAME_SHARE) * step


def to_step(value: float, step: float) -> float:
    """Round to the nearest multiple of a step, halves upwards."""
    return math.floor(value / step + 0.5 + SAME_SHARE) * step


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity: its base unit and the units that people write, as factors to it."""

    name: str
    base: str
    units: dict[str, Decimal]
    example: str


def _dimension(name: str, base: str, example: str, units: dict[str, str]) -> Dimension:
    return Dimension(name, base, {unit: Decimal(factor) for unit, factor in units.items()}, example)


_MICROS = ("u", "\u00b5", "\u03bc")
_OHMS = ("ohm", "\u2126", "\u03a9")
"""Keyboards differ: MICRO SIGN and GREEK SMALL MU, OHM SIGN and GREEK CAPITAL OMEGA."""

_MICROMETRES = {f"{micro}m": "0.001" for micro in _MICROS}
_MICROAMPERES = {f"{micro}A": "0.000001" for micro in _MICROS}
_OHM_UNITS = {
    **dict.fromkeys(_OHMS, "1"),
    "R": "1",
    "mohm": "0.001",
    "k": "1000",
    **{f"k{ohm}": "1000" for ohm in _OHMS},
    "M": "1000000",
    **{f"M{ohm}": "1000000" for ohm in _OHMS},
}

LENGTH = _dimension(
    "a length",
    "mm",
    "20 mm",
    {"mm": "1", "cm": "10", "m": "1000", **_MICROMETRES, "mil": "0.0254", "in": "25.4"},
)
COPPER_WEIGHT = _dimension(
    "a copper thickness",
    "um",
    "35 um",
    {**dict.fromkeys(_MICROMETRES, "1"), "mm": "1000", "oz": "35"},
)
VOLTAGE = _dimension("a voltage", "V", "12 V", {"V": "1", "mV": "0.001"})
CURRENT = _dimension("a current", "A", "15 mA", {"mA": "0.001", "A": "1", **_MICROAMPERES})
POWER = _dimension("a power", "W", "125 mW", {"mW": "0.001", "W": "1"})
RESISTANCE = _dimension("a resistance", "ohm", "150R", _OHM_UNITS)
TEMPERATURE = _dimension("a temperature", "degC", "40 degC", {"degC": "1", "°C": "1"})
TEMPERATURE_RISE = _dimension("a temperature rise", "K", "10 K", {"K": "1"})
VOLTAGE_PER_KELVIN = _dimension(
    "a change of voltage with temperature", "V/K", "-2 mV/K", {"mV/K": "0.001", "V/K": "1"}
)
THERMAL_RESISTANCE = _dimension("a thermal resistance", "K/W", "400 K/W", {"K/W": "1"})
CHARGE = _dimension("a charge", "Ah", "2000 mAh", {"mAh": "0.001", "Ah": "1"})
RATIO = _dimension("a share", "", "1 %", {"%": "0.01"})
ANGLE = _dimension("an angle", "deg", "120 deg", {"deg": "1", "°": "1"})
LUMINOUS_FLUX = _dimension("a luminous flux", "lm", "22 lm", {"lm": "1"})
LUMINOUS_INTENSITY = _dimension(
    "a luminous intensity", "cd", "300 mcd", {"mcd": "0.001", "cd": "1"}
)

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)"
_QUANTITY = re.compile(rf"({_NUMBER})\s*([^\s\d.+-].*)?")
_LETTER_FOR_POINT = re.compile(r"(\d+)([RkKM])(\d+)")
_FRACTION = re.compile(r"(\d+)/([1-9]\d*)\s*([A-Za-z%]*)")
_DECIMAL_COMMA = re.compile(r"(\d),(\d)")
_LETTER_VALUES = {"R": "1", "k": "1000", "K": "1000", "M": "1000000"}


def parse(text: str, dimension: Dimension) -> float:
    """Read a quantity such as ``"12 mm"``, ``"63 mil"`` or ``"2k7"`` in a dimension's base unit.

    Parameters
    ----------
    text : str
        A number, an optional space, a unit.
    dimension : Dimension
        What kind of quantity is wanted.

    Returns
    -------
    float
        The value in ``dimension.base``.

    Raises
    ------
    ValueError
        With a sentence that says what to write instead.

    Examples
    --------
    >>> parse("63 mil", LENGTH), parse("2k7", RESISTANCE), parse("15 mA", CURRENT)
    (1.6002, 2700.0, 0.015)
    """
    written = text.strip()
    if _DECIMAL_COMMA.search(written):
        pointed = _DECIMAL_COMMA.sub(r"\1.\2", written)
        raise ValueError(f'decimal comma; write "{pointed}"')
    if dimension is RESISTANCE and (letter := _LETTER_FOR_POINT.fullmatch(written)):
        whole, mark, part = letter.groups()
        return float(Decimal(f"{whole}.{part}") * Decimal(_LETTER_VALUES[mark]))
    if part := _FRACTION.fullmatch(written):
        decimal = f"{int(part[1]) / int(part[2]):g}"
        unit = part[3] or dimension.base
        unit, decimal = ("mW", f"{float(decimal) * 1000:g}") if unit == "W" else (unit, decimal)
        raise ValueError(f'a fraction; write "{decimal} {unit}"')
    found = _QUANTITY.fullmatch(written)
    if not found:
        raise ValueError(f'"{text}" is not {dimension.name}; write it like "{dimension.example}"')
    number, unit = found.group(1), (found.group(2) or "").strip()
    if not unit:
        raise ValueError(f"{number} has no unit; {_with_units(number, dimension)}")
    if unit not in dimension.units:
        raise ValueError(_wrong_unit(number, unit, dimension))
    try:
        return float(Decimal(number) * dimension.units[unit])
    except InvalidOperation as error:  # pragma: no cover - the pattern admits only decimals
        raise ValueError(f'"{text}" is not a number') from error


def bare_number(
    value: float, dimension: Dimension, least: float = -math.inf, most: float = math.inf
) -> str:
    """Say what to write when a number came without its unit: what lies within its bounds."""
    return f"{value:g} has no unit; {_with_units(f'{value:g}', dimension, least, most)}"


_AMPERES_BELOW = 0.1
"""A bare current of less was thought in amperes: no LED is lit by a tenth of a milliampere."""


def _with_units(
    number: str, dimension: Dimension, least: float = -math.inf, most: float = math.inf
) -> str:
    if dimension is RATIO and abs(float(number)) <= 1:
        return f'write "{float(number) * 100:g} %"'
    if dimension is CURRENT and 0 < abs(float(number)) < _AMPERES_BELOW:
        return f'write "{float(number) * 1000:g} mA"'
    choices = [unit for unit in dimension.units if unit.isascii()][:1] or ["%"]
    if dimension is LENGTH:
        choices = ["mm", "mil"]
    within = [
        unit for unit in choices
        if unit in dimension.units
        and least <= float(Decimal(number) * dimension.units[unit]) <= most
    ]  # fmt: skip
    choices = within or choices
    return "write " + " or ".join(f'"{number} {unit}"' for unit in choices)


_CALLED = {
    "inch": "in", "inches": "in", '"': "in", "millimetre": "mm", "millimeter": "mm", "c": "degC",
    "celsius": "degC", "volt": "V", "volts": "V", "amp": "A", "amps": "A", "ampere": "A",
    "watt": "W", "watts": "W", "ohms": "ohm", "percent": "%", "degrees": "deg", "degree": "deg",
}  # fmt: skip
"""What people call units."""


def _wrong_unit(number: str, unit: str, dimension: Dimension) -> str:
    if dimension is VOLTAGE and re.search(r"(?i)ac|~|rms", unit):
        return f'"{number} {unit}" is alternating; only direct voltage is built, like "12 V"'
    meant = _CALLED.get(unit.lower().rstrip("."))
    if meant in dimension.units:
        return f'unit "{unit}" is not known: write "{number} {meant}"'
    longer = [known for known in dimension.units if len(known) > len(unit) and known[0] == unit]
    if longer:
        return f'unit "{unit}" is not known: write "{number} {longer[0]}"'
    same = [known for known in dimension.units if known.lower() == unit.lower()]
    if same:
        return f'unit "{unit}" is not known; capital letters matter: write "{number} {same[0]}"'
    known = ", ".join(dimension.units)
    return f'unit "{unit}" does not make {dimension.name}; known: {known}'


_PREFIXES = ((1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "u"), (1e-9, "n"))


def engineering(value: float, unit: str, digits: int = 3) -> str:
    """Print a value with the prefix that suits it, to a number of significant digits.

    Examples
    --------
    >>> engineering(0.013333, "A"), engineering(0.0491, "W"), engineering(2700, "ohm")
    ('13.3 mA', '49.1 mW', '2.70 kohm')
    """
    if value == 0:
        return f"0 {unit}"
    factor, prefix = next(
        (pair for pair in _PREFIXES if abs(value) >= pair[0] * (1 - 0.5 * 10**-digits)),
        _PREFIXES[-1],
    )
    scaled = value / factor
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(scaled)) + SAME_SHARE))
    return f"{scaled:.{decimals}f} {prefix}{unit}"


def apart(value: float, limit: float, unit: str) -> tuple[str, str]:
    """Print a value and its limit with as many digits as it takes to tell them apart.

    Examples
    --------
    >>> apart(0.0999996, 0.1, "A"), apart(0.0547, 0.1, "A")
    (('99.9996 mA', '100.000 mA'), ('54.7 mA', '100 mA'))
    """
    for digits in range(3, _MOST_DIGITS):
        told = engineering(value, unit, digits), engineering(limit, unit, digits)
        numbers, prefixes = zip(*(text.split(" ") for text in told), strict=True)
        if value == limit or float(numbers[0]) != float(numbers[1]) or len(set(prefixes)) > 1:
            break
    return told


_MOST_DIGITS = 10


def length(value_mm: float) -> str:
    """Print a length in mm with at most three decimals."""
    return f"{value_mm:.3f}".rstrip("0").rstrip(".") + " mm"


def resistance(value_ohm: float) -> str:
    """Print a resistance as it stands in a list of parts: plain digits, ohm or kohm.

    Examples
    --------
    >>> resistance(150), resistance(4700), resistance(2.7)
    ('150 ohm', '4.7 kohm', '2.7 ohm')
    """
    for factor, prefix in ((1e6, "M"), (1e3, "k")):
        if value_ohm >= factor:
            return f"{value_ohm / factor:g} {prefix}ohm"
    return f"{value_ohm:g} ohm"

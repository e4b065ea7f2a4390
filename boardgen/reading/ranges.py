"""Bounds of a decimal number as a regular expression: JSON Schema knows no other for text."""

from collections.abc import Iterator
from decimal import Decimal

NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_END = r"(?![\d.])"
_ANY = r"(?:\.\d*)?"
_PLACES = Decimal("1e-9")


def between(least: Decimal, most: Decimal) -> str:
    """Write the expression of all decimal numbers from one bound to another, both inclusive.

    Parameters
    ----------
    least, most : Decimal
        Bounds; what they have beyond nine places is rounded.

    Examples
    --------
    >>> import re
    >>> of = re.compile(between(Decimal(1), Decimal("3.5")))
    >>> [bool(of.fullmatch(text)) for text in ("1", "3.50", "0.99", "3.51", "-1", "+2.")]
    [True, True, False, False, False, True]
    """
    ways = []
    if most >= 0:
        ways.append(r"\+?" + _magnitude(max(least, Decimal(0)), most))
    if least < 0:
        ways.append("-" + _magnitude(max(-most, Decimal(0)), -least))
    return f"(?:{'|'.join(ways)})"


def _magnitude(least: Decimal, most: Decimal) -> str:
    floor = "" if least == 0 else f"(?=0*(?:{'|'.join(_from(*_digits(least)))}){_END})"
    return f"{floor}(?=0*(?:{'|'.join(_up_to(*_digits(most)))}){_END}){NUMBER}"


def _digits(number: Decimal) -> tuple[str, str]:
    """Split a number into its digits before and behind the point, without idle zeros."""
    whole, _, part = f"{number.quantize(_PLACES):f}".partition(".")
    return whole.lstrip("0"), part.rstrip("0")


def _from(whole: str, part: str) -> Iterator[str]:
    yield rf"[1-9]\d{{{len(whole)},}}{_ANY}"
    for place, digit in enumerate(whole):
        if digit != "9":
            rest = len(whole) - place - 1
            yield rf"{whole[:place]}[{int(digit) + 1}-9]\d{{{rest}}}{_ANY}"
    if not part:
        yield f"{whole}{_ANY}"
        return
    for place, digit in enumerate(part):
        if digit != "9":
            yield rf"{whole}\.{part[:place]}[{int(digit) + 1}-9]\d*"
    yield rf"{whole}\.{part}\d*"


def _up_to(whole: str, part: str) -> Iterator[str]:
    if whole:
        yield _ANY
    if len(whole) > 1:
        yield rf"[1-9]\d{{0,{len(whole) - 2}}}{_ANY}"
    for place, digit in enumerate(whole):
        first = 0 if place else 1
        if int(digit) > first:
            rest = len(whole) - place - 1
            yield rf"{whole[:place]}[{first}-{int(digit) - 1}]\d{{{rest}}}{_ANY}"
    lower = [
        rf"{part[:place]}[0-{int(digit) - 1}]\d*" for place, digit in enumerate(part) if digit > "0"
    ]
    shorter = [part[:place] for place in range(1, len(part))]
    yield rf"{whole}(?:\.(?:{'|'.join([*lower, *shorter, part + '0*', ''])}))?"

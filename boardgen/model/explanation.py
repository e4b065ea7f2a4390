"""The sums, step by step, as data."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One quantity: how it follows, what came out, what it must keep.

    ``key`` names the quantity with its unit (``ballast_wanted_ohm``); ``value`` is the number as
    used, unrounded; the texts are for people.
    """

    key: str
    title: str
    formula: str
    numbers: str
    value: float
    result: str
    limit: str = ""
    margin: str = ""
    source: str = ""

"""Cautions: when they apply, what they say and where they are shown."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution of the catalogue.

    ``trigger`` is a word that the circuit's stage answers with yes or no; ``shown`` names the
    pages that carry it.
    """

    id: str
    trigger: str
    signal: str
    text: str
    shown: tuple[str, ...]
    source: str


CLAIM = (
    "Everything here is calculated, not measured; local rules for electrical installation,"
    " schools, waste and products, and a qualified person, come before this page."
)
"""Stands word for word wherever results are shown."""

"""The buyer's own texts for parts, found by the part's value."""

import re
from collections.abc import Mapping


def own_text(stock: Mapping[str, str], value: str, size: str) -> str:
    """Find the buyer's own text for a part: by its value, or its value and size."""
    wanted = {_plain(value), _plain(f"{value} {size}")}
    return next((text for name, text in stock.items() if _plain(name) in wanted), "")


def _plain(name: str) -> str:
    """Compare without case, blanks and hyphens; 150R, 150 ohm and 150Ω are one."""
    text = "".join(letter for letter in name.casefold() if letter not in " -")
    for ohm in ("ω", "r"):
        text = re.sub(rf"(?<=\d){ohm}(?=\d{{4}}|$)", "ohm", text)
    return text

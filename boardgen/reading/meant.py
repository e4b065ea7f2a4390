"""What a person meant by a word that is not known, and by a number that is written as a word."""

import difflib
import math
import re
from collections.abc import Collection, Iterable, Sequence

_MOST_MEANT = 5
_CLOSE, _NEAR = 0.8, 0.6
"""How alike two words are, as a share: a slip of the finger, and a guess. Own choices."""
_VAGUE = frozenset({"battery", "cell", "cells", "supply", "led", "leds", "resistor"})
"""Words of so many things that the others of a name tell more."""
_LEAST_DIGITS = 3
"""A number of so many digits is a size, such as 0805, and means something by itself."""


def nearest(word: str, known: Iterable[str]) -> str:
    """Say which known word is meant, or list them all when none is near."""
    words = list(known)
    close = [one for one in _close(word, words, _CLOSE) if _alike(one, word)]
    alike = [] if close else _sharing(word, words)
    if alike:
        return "did you mean " + " or ".join(f'"{other}"' for other in alike[:_MOST_MEANT]) + "?"
    close = close or [one for one in _close(word, words, _NEAR) if _alike(one, word)]
    if close:
        return f'did you mean "{close[0]}"?'
    # A name that holds a comma would read as two.
    quotes = '"' if any("," in one for one in words) else ""
    return "known: " + ", ".join(f"{quotes}{one}{quotes}" for one in words)


_EVERYDAY = {
    "amount": "light.count",
    "amps": "light.current supply.max_current",
    "bright": "light.use light.current",
    "brightness": "light.use light.current",
    "cell": "supply.from",
    "charger": "supply.from",
    "color": "light.led",
    "colour": "light.led",
    "columns": "light.count form.rows",
    "connector.name": "connector.kind",
    "connector.size": "connector.kind connector.poles",
    "form.columns": "light.count form.rows",
    "form.count": "light.count",
    "form.holes": "mounting.at mounting.screw",
    "copies": "order.quantity",
    "distance": "form.pitch light.plane",
    "height": "form.width",
    "holes": "mounting.at mounting.screw",
    "intensity": "light.use light.current",
    "leds": "light.count",
    "light.height": "light.plane light.diffuser",
    "light.size": "light.led",
    "lumens": "light.use light.current",
    "lux": "light.use light.current",
    "name": "board.title",
    "number": "light.count",
    "plug": "connector.kind",
    "power": "supply.from",
    "quantity": "light.count order.quantity",
    "resistor": "resistor.drawer resistor.series",
    "radius": "form.diameter form.corner",
    "resistor.power": "resistor.rating",
    "resistance": "resistor.drawer",
    "screws": "mounting.screw",
    "series": "light.in_series",
    "size": "form.length form.width",
    "spacing": "form.pitch",
    "step": "form.pitch",
    "value": "resistor.drawer",
    "values": "resistor.drawer",
    "volt": "supply.nominal",
    "voltage": "supply.nominal",
    "volts": "supply.nominal",
}
"""What people call a key, in one section or anywhere; those of that section come first."""
_SECTION_AND_KEY = 2


def key_meant(location: Sequence[str], known: Collection[str]) -> list[str]:
    """List the keys that a word in a section stands for: by an everyday word, or in another one.

    Parameters
    ----------
    location : sequence of str
        Section and key as they were written; other depths mean nothing here.
    known : collection of str
        The dotted paths of all keys.

    Examples
    --------
    >>> key_meant(["light", "brightness"], ["light.use", "light.current"])
    ['light.use', 'light.current']
    >>> key_meant(["board", "mask"], ["order.mask"])
    ['order.mask']
    """
    if len(location) != _SECTION_AND_KEY:
        return []
    section, word = location[0], location[1].casefold()
    if f"{section}.{word}" in _EVERYDAY:
        return _EVERYDAY[f"{section}.{word}"].split()
    everyday = _EVERYDAY.get(word, "").split()
    here = [path for path in everyday if path.startswith(f"{section}.")]
    there = [path for path in known if path.count(".") == 1 and path.endswith(f".{word}")]
    return here or (there if len(there) == 1 else []) or everyday


def _close(word: str, words: list[str], cutoff: float) -> list[str]:
    """Find the word that is spelled most like another, capitals aside."""
    lower = {one.lower(): one for one in reversed(words)}
    return [lower[one] for one in difflib.get_close_matches(word.lower(), lower, 1, cutoff)]


def _alike(one: str, other: str) -> bool:
    """Tell whether the numbers in two names may be a slip of one another; sizes never are."""
    first, second = (
        [float(n) for n in re.findall(r"\d+(?:\.\d+)?", name)] for name in (one, other)
    )
    return len(first) == len(second) and all(
        a == b or (max(a, b) < _SIZES_FROM and math.isclose(a, b, rel_tol=_SLIP))
        for a, b in zip(first, second, strict=True)
    )


_SIZES_FROM, _SLIP = 100.0, 0.1


def _tokens(text: str) -> set[str]:
    return set(re.findall(r"\d+(?:\.\d+)?|[^\W\d_]+", text.casefold()))


def _sharing(word: str, known: list[str]) -> list[str]:
    """Find names that hold all words of a name in another order; else those that share most."""
    wanted = _tokens(word)
    own = {name: _tokens(name) for name in known}
    whole = [name for name in known if wanted and wanted <= own[name]]
    if whole:
        return whole
    score = {name: sum(map(_weight, wanted & own[name])) for name in known}
    if not any(_telling(token) for name in known for token in wanted & own[name]):
        return []
    most = max(score.values())
    return sorted((name for name in known if score[name] == most), key=lambda n: len(own[n]))


def _telling(token: str) -> bool:
    number = token.replace(".", "").isdigit()
    return len(token) >= _LEAST_DIGITS if number else len(token) > 1


def _weight(token: str) -> float:
    if token.replace(".", "").isdigit():
        return 2.0
    return 0.5 if token in _VAGUE or len(token) == 1 else 1.0


_ONES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
         "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen",
         "nineteen", "twenty")  # fmt: skip
_TENS = ("thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety", "hundred")
_NUMBERS = {
    **{word: count for count, word in enumerate(_ONES, start=1)},
    **{word: 10 * count for count, word in enumerate(_TENS, start=3)},
    "dozen": 12,
}


def number_of(text: str) -> int | None:
    """Tell the whole number that a text means: in digits, or as one word.

    Examples
    --------
    >>> number_of("eight"), number_of("a dozen"), number_of(" 8 "), number_of("many")
    (8, 12, 8, None)
    """
    plain = text.strip().casefold()
    if plain.isascii() and plain.isdigit():
        return int(plain) if len(plain) < _MOST_DIGITS else None
    words = [word for word in re.split(r"[\s-]+", plain) if word not in ("a", "an", "and")]
    values = [_NUMBERS.get(word) for word in words]
    if not values or None in values:
        return None
    total = 0
    for value in filter(None, values):
        # "two hundred" multiplies, "twenty-four" adds.
        total = max(total, 1) * value if value in _TIMES else total + value
    return total


_TIMES = (12, 100)
_MOST_DIGITS = 10

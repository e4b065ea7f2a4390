"""Facts and a template → one self-contained page."""

import re
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from boardgen import units
from boardgen.pages.words import say
from boardgen.papers.exercises import answer, question, questions


def page(template: str, facts: Mapping[str, Any], pictures: Mapping[str, str]) -> bytes:
    """Fill a template.

    Parameters
    ----------
    facts : mapping
        Plain data, numbers unrounded; how they are shown is the template's.
    pictures : mapping of str to str
        SVG of our own, put in as it is; everything else is escaped.
    """
    shown = {name: Markup(_inside(svg)) for name, svg in pictures.items()}  # noqa: S704 - ours
    text = _environment().get_template(template).render(facts=facts, pictures=shown)
    return text.encode()


def _inside(svg: str) -> str:
    """Take off a picture what only a file of its own needs."""
    return _ALONE.sub("", svg).strip()


_ALONE = re.compile(r' xmlns:(?:ev|xlink)="[^"]*"| baseProfile="[^"]*"| version="1\.1"|<defs ?/>')


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("boardgen.papers", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.globals.update(
        say=say, shown=shown, questions=questions, ask=question, answer=answer
    )
    environment.filters.update(SHOWN)
    return environment


def shown(value: float, way: str) -> str:
    """Round a number in one of the ways that there are."""
    return SHOWN[way](value)


def _volts(value: float, digits: int = 3) -> str:
    """Write volts as a meter shows them."""
    return units.engineering(value, "V", digits) if value else "0 V"


def _amps(value: float, digits: int = 3) -> str:
    return units.engineering(value, "A", digits) if value else "0 A"


def _watts(value: float, digits: int = 2) -> str:
    return units.engineering(value, "W", digits) if value else "0 W"


def _ohms_read(value: float) -> str:
    return units.engineering(value, "ohm", 3)


def _reading(value: float) -> str:
    """Write what a meter's display shows, to a hundredth of a volt."""
    return f"{value:.2f} V"


def _metres(value: float) -> str:
    return f"{value / 1000:.2f} m"


def _grams(value: float) -> str:
    return f"{units.figures(value, 2)} g"


_LIMIT_SHARE = 1.2
"""A current limit lies a fifth above what a sound board draws at most: own choice."""


def _limit(value: float) -> str:
    """Write a current limit: rounded up, so that a sound board never meets it."""
    return units.at_most_amps(_LIMIT_SHARE * value)


def _degrees(value: float) -> str:
    return f"{value:.0f} °C"


def _bar(value: float) -> str:
    """Give the length of a bar, which ends where all is carried."""
    return f"{min(value, 1.0):.0%}"


def _share(value: float) -> str:
    return f"{value:.0%}"


def _mm(value: float) -> str:
    return units.length(value)


SHOWN: dict[str, Callable[..., str]] = {
    "volts": _volts,
    "amps": _amps,
    "watts": _watts,
    "ohms": units.resistance,
    "ohms_read": _ohms_read,
    "limit": _limit,
    "metres": _metres,
    "grams": _grams,
    "reading": _reading,
    "share": _share,
    "bar": _bar,
    "degrees": _degrees,
    "mm": _mm,
}
"""Every way in which a page rounds a number."""

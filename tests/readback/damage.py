"""Ways to damage a written package, one object at a time, with every digest made right again."""

import hashlib
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

STEP_NM = 5_000
"""Five micrometres: the least shift that the proof must see."""

_POINT = re.compile(r"X(-?\d+)Y")


@dataclass(frozen=True)
class Found:
    """An object in a file's lines: where it begins and ends, what it is, whether it is dark."""

    first: int
    last: int
    kind: str
    function: str
    dark: bool


def objects(text: str) -> Iterator[Found]:
    """Walk the objects of a Gerber text by its lines."""
    lines = text.split("\n")
    functions = {
        number: function
        for function, number in re.findall(r"%TA\.AperFunction,([^*]*)\*%\n%ADD(\d+)", text)
    }
    function, dark, place = "", True, 0
    while place < len(lines):
        line = lines[place]
        if found := re.fullmatch(r"D(\d+)\*", line):
            function = functions[found[1]]
        elif line in ("%LPD*%", "%LPC*%"):
            dark = line == "%LPD*%"
        elif line.endswith("D03*"):
            yield Found(place, place, "flash", function, dark)
        elif line == "G36*":
            last = lines.index("G37*", place)
            inner = re.fullmatch(r"%TA\.AperFunction,([^*]*)\*%", lines[place - 1])
            assert inner
            # With the attribute before it and its end after it, so that the form stays sound.
            yield Found(place - 1, last + 1, "contour", inner[1], dark)
            place = last + 1
        elif line.endswith("D02*"):
            last = place
            while re.fullmatch(r"X.*D01\*|G0[123]\*", lines[last + 1]):
                last += 1
            yield Found(place, last, "stroke", function, dark)
            place = last
        place += 1


def sealed(text: str) -> bytes:
    """Refresh the digest of a Gerber text, so that only its meaning can betray the damage."""
    before = re.sub(r"%TF\.MD5,[0-9a-f]{32}\*%\nM02\*\n\Z", "", text)
    whole = before.replace("\n", "").encode("utf-8", "surrogateescape")
    digest = hashlib.md5(whole, usedforsecurity=False).hexdigest()
    return f"{before}%TF.MD5,{digest}*%\nM02*\n".encode("utf-8", "surrogateescape")


def removed(lines: list[str], found: Found) -> list[str]:
    return lines[: found.first] + lines[found.last + 1 :]


def moved(lines: list[str], found: Found) -> list[str]:
    def shift(line: str) -> str:
        return _POINT.sub(lambda match: f"X{int(match[1]) + STEP_NM}Y", line)

    inner = [shift(line) for line in lines[found.first : found.last + 1]]
    return lines[: found.first] + inner + lines[found.last + 1 :]


def inverted(lines: list[str], found: Found) -> list[str]:
    there, back = ("%LPC*%", "%LPD*%") if found.dark else ("%LPD*%", "%LPC*%")
    inner = lines[found.first : found.last + 1]
    return [*lines[: found.first], there, *inner, back, *lines[found.last + 1 :]]


def doubled(lines: list[str], found: Found) -> list[str]:
    inner = lines[found.first : found.last + 1]
    return [*lines[: found.last + 1], *inner, *lines[found.last + 1 :]]


WAYS: dict[str, Callable[[list[str], Found], list[str]]] = {
    "removed": removed,
    "moved": moved,
    "inverted": inverted,
    "doubled": doubled,
}


def damaged(text: str, found: Found, way: str) -> bytes:
    """Damage one object of a Gerber text."""
    return sealed("\n".join(WAYS[way](text.split("\n"), found)))

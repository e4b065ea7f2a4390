"""Editing written files: Gerber objects by their lines, drill hits, netlist records, job fields.

What is edited is made whole again (`refreshed`): digests, idle apertures, and the job file's lists,
so that only the meaning can betray a damage.
"""

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from tests.readback.damage import sealed

Files = dict[str, bytes]

_POINT = re.compile(r"X(-?\d+)Y(-?\d+)(?:I(-?\d+)J(-?\d+))?(D0[123]\*)")
_DEFINITION = re.compile(
    r"%TA\.AperFunction,([^*]*)\*%\n%ADD(\d+)(C|R|TURNED),([\d.X]+)\*%\n%TD\*%\n"
)
_START = "G01*\nG75*\n%LPD*%\n"


@dataclass(frozen=True)
class Item:
    """An object in a file's lines, with what its attributes say."""

    first: int
    last: int
    kind: str
    function: str
    dark: bool
    net: str
    pin: str
    part: str
    aperture: str
    at: int
    """Its place among the objects of the file."""


def items(text: str) -> list[Item]:
    """List the objects of a Gerber text."""
    return list(_items(text))


def _items(text: str) -> Iterator[Item]:  # noqa: C901 - one branch for each word
    functions = {number: function for function, number, _, _ in _DEFINITION.findall(text)}
    lines = text.split("\n")
    said: dict[str, str] = {}
    aperture, dark, place, count = "", True, 0, 0
    while place < len(lines):
        line, found = lines[place], None
        if match := re.fullmatch(r"D(\d+)\*", line):
            aperture = match[1]
        elif match := re.fullmatch(r"%TO\.([NPC]),([^*]*)\*%", line):
            said[match[1]] = match[2]
        elif match := re.fullmatch(r"%TD\.([NPC])\*%", line):
            said.pop(match[1], None)
        elif line == "%TD*%":
            said.clear()
        elif line in ("%LPD*%", "%LPC*%"):
            dark = line == "%LPD*%"
        elif line.endswith("D03*"):
            found = (place, place, "flash", functions[aperture])
        elif line == "G36*":
            last = lines.index("G37*", place)
            inner = re.fullmatch(r"%TA\.AperFunction,([^*]*)\*%", lines[place - 1])
            assert inner
            found = (place - 1, last + 1, "contour", inner[1])
        elif line.endswith("D02*"):
            last = place
            while re.fullmatch(r"X.*D01\*|G0[123]\*", lines[last + 1]):
                last += 1
            found = (place, last, "stroke", functions[aperture])
        if found:
            pin = said.get("P", "").split(",")
            yield Item(
                *found, dark, said.get("N", ""), ".".join(pin[:2]), said.get("C", pin[0]),
                aperture, count,
            )  # fmt: skip
            count += 1
            place = found[1]
        place += 1


def points(text: str, item: Item) -> list[tuple[int, int]]:
    """Give the points that an object's lines name, in nanometres."""
    found = (_POINT.fullmatch(line) for line in text.split("\n")[item.first : item.last + 1])
    return [(int(match[1]), int(match[2])) for match in found if match]


def without(text: str, *gone: Item) -> str:
    """Delete objects."""
    lines = text.split("\n")
    for item in sorted(gone, key=lambda item: -item.first):
        del lines[item.first : item.last + 1]
    return "\n".join(lines)


def with_points(text: str, item: Item, carry: Callable[[int, int], tuple[int, int]]) -> str:
    """Carry an object's points elsewhere; centres of arcs go along."""
    lines = text.split("\n")
    for place in range(item.first, item.last + 1):
        lines[place] = _POINT.sub(lambda match: _carried(match, carry), lines[place])
    return "\n".join(lines)


def _carried(match: re.Match[str], carry: Callable[[int, int], tuple[int, int]]) -> str:
    x, y = carry(int(match[1]), int(match[2]))
    centre = f"I{match[3]}J{match[4]}" if match[3] else ""
    return f"X{x}Y{y}{centre}{match[5]}"


def repeated(text: str, item: Item, lines_of: list[str] | None = None) -> str:
    """Draw an object once more, or other lines after it."""
    lines = text.split("\n")
    again = lines_of or lines[item.first : item.last + 1]
    return "\n".join([*lines[: item.last + 1], *again, *lines[item.last + 1 :]])


def with_aperture(text: str, item: Item, template: str, function: str = "") -> str:
    """Draw an object with an aperture of its own."""
    number = max(int(found[1]) for found in _DEFINITION.findall(text)) + 1
    lines = text.split("\n")
    lines[item.first : item.last + 1] = [
        f"D{number}*", *lines[item.first : item.last + 1], f"D{item.aperture}*",
    ]  # fmt: skip
    defined = f"%TA.AperFunction,{function or item.function}*%\n%ADD{number}{template}*%\n%TD*%\n"
    return "\n".join(lines).replace(_START, defined + _START, 1)


def template_of(text: str, item: Item) -> tuple[str, list[float]]:
    """Tell an object's aperture: its shape and sizes in mm."""
    for _, number, shape, sizes in _DEFINITION.findall(text):
        if number == item.aperture:
            return shape, [float(size) for size in sizes.split("X")]
    raise KeyError(item.aperture)


def grown(text: str, item: Item, by_mm: float) -> str:
    """Draw an object larger or smaller all round."""
    shape, sizes = template_of(text, item)
    words = "X".join(f"{size + by_mm:.6f}" for size in sizes)
    return with_aperture(text, item, f"{shape},{words}")


def cleaned(text: str) -> str:
    """Take away apertures that are not used, and selections that select nothing."""
    body = text.split("\n")
    kept = []
    for at, line in enumerate(body):
        if re.fullmatch(r"D\d+\*", line):
            later = next((other for other in body[at + 1 :]
                          if re.fullmatch(r"D\d+\*", other) or "D03*" in other or "D01*" in other),
                         "")  # fmt: skip
            if not later or re.fullmatch(r"D\d+\*", later):
                continue
        kept.append(line)
    text = "\n".join(kept)
    used = set(re.findall(r"^D(\d+)\*$", text, re.MULTILINE))
    return _DEFINITION.sub(lambda found: found[0] if found[2] in used else "", text)


def scaled(text: str, factor: float) -> str:
    """Scale a Gerber text: coordinates, centres and apertures."""

    def point(match: re.Match[str]) -> str:
        x, y = (round(int(match[at]) * factor) for at in (1, 2))
        centre = ""
        if match[3]:
            centre = f"I{round(int(match[3]) * factor)}J{round(int(match[4]) * factor)}"
        return f"X{x}Y{y}{centre}{match[5]}"

    def aperture(match: re.Match[str]) -> str:
        sizes = "X".join(f"{float(size) * factor:.6f}" for size in match[4].split("X"))
        head = f"%TA.AperFunction,{match[1]}*%\n%ADD{match[2]}{match[3]}"
        return f"{head},{sizes}*%\n%TD*%\n"

    return _POINT.sub(point, _DEFINITION.sub(aperture, text))


def mirrored(text: str, width_nm: int) -> str:
    """Mirror a Gerber text from left to right."""

    def point(match: re.Match[str]) -> str:
        centre = f"I{-int(match[3])}J{match[4]}" if match[3] else ""
        return f"X{width_nm - int(match[1])}Y{match[2]}{centre}{match[5]}"

    turned = {"G02*": "G03*", "G03*": "G02*"}
    text = _POINT.sub(point, text)
    return "\n".join(turned.get(line, line) for line in text.split("\n"))


def shifted(text: str, dx: int, dy: int) -> str:
    """Shift all points of a Gerber text."""
    return _POINT.sub(lambda match: _carried(match, lambda x, y: (x + dx, y + dy)), text)


# -- drill files -----------------------------------------------------------------------------------

_HIT = re.compile(r"X([\d.-]+)Y([\d.-]+)")


@dataclass(frozen=True)
class Hit:
    """A hit in a drill file's lines, with its tool."""

    line: int
    x_nm: int
    y_nm: int
    tool: str
    diameter_nm: int


def hits(text: str) -> list[Hit]:
    """List the hits of a drill text."""
    sizes = {number: round(float(size) * 1e6)
             for number, size in re.findall(r"^T(\d\d)C([\d.]+)$", text, re.MULTILINE)}  # fmt: skip
    found, tool = [], ""
    for place, line in enumerate(text.split("\n")):
        if match := re.fullmatch(r"T(\d\d)", line):
            tool = match[1]
        elif match := _HIT.fullmatch(line):
            x, y = (round(float(match[at]) * 1e6) for at in (1, 2))
            found.append(Hit(place, x, y, tool, sizes[tool]))
    return found


def drill_text(text: str, kept: list[tuple[int, int, str, int]]) -> str:
    """Write a drill text anew: its header, and holes as (x, y, function, diameter)."""
    head = text[: text.index("METRIC\n") + len("METRIC\n")]
    tools = sorted({(function, size) for _, _, function, size in kept})
    lines = []
    for number, (function, size) in enumerate(tools, start=1):
        lines += [
            f"; #@! TA.AperFunction,{function}",
            f"T{number:02d}C{size / 1e6:.6f}",
            "; #@! TD",
        ]
    lines += ["%", "G05"]
    for number, tool in enumerate(tools, start=1):
        lines.append(f"T{number:02d}")
        lines += [f"X{x / 1e6:.6f}Y{y / 1e6:.6f}" for x, y, function, size in kept
                  if (function, size) == tool]  # fmt: skip
    return head + "\n".join([*lines, "M30", ""])


def drilled(text: str) -> list[tuple[int, int, str, int]]:
    """Take a drill text apart into what `drill_text` takes."""
    found = re.findall(r"; #@! TA\.AperFunction,(\w+)\nT(\d\d)C", text)
    functions = {number: function for function, number in found}
    return [(hit.x_nm, hit.y_nm, functions[hit.tool], hit.diameter_nm) for hit in hits(text)]


# -- making whole ----------------------------------------------------------------------------------


def refreshed(files: Files, *, job_too: bool = True) -> Files:
    """Seal every Gerber file again and let the job file say what is there."""
    made = {
        name: sealed(cleaned(content.decode("utf-8", "surrogateescape")))
        if name.endswith(".gbr") and content
        else content
        for name, content in files.items()
    }
    name = next((name for name in made if name.endswith(".gbrjob")), "")
    if not job_too or not made.get(name):
        return made
    job = json.loads(made[name])
    job["FilesAttributes"] = list(_said(made, [row["Path"] for row in job["FilesAttributes"]]))
    _measure(job, made)
    made[name] = (json.dumps(job, indent=1) + "\n").encode()
    return made


def _text(content: bytes) -> str:
    return content.decode("utf-8", "surrogateescape")


def _said(files: Files, order: list[str]) -> Iterator[dict[str, str]]:
    names = [name for name in files if name.endswith((".gbr", ".drl"))]
    for name in sorted(names, key=lambda name: order.index(name) if name in order else 99):
        text = _text(files[name])
        words = {key: re.search(rf"TF\.{key},([^*\n]*)", text)
                 for key in ("FileFunction", "FilePolarity")}  # fmt: skip
        if all(words.values()):
            yield {"Path": name, **{key: found[1] for key, found in words.items() if found}}


def _measure(job: dict[str, Any], files: Files) -> None:
    """Measure size, layers and narrowest line anew."""
    profile = next((_text(c) for n, c in files.items() if n.endswith("profile.gbr")), "")
    spots = [spot for item in items(profile) for spot in points(profile, item)] if profile else []
    if spots:
        for axis, at in (("X", 0), ("Y", 1)):
            values = [spot[at] for spot in spots]
            job["GeneralSpecs"]["Size"][axis] = (max(values) - min(values)) / 1e6
    coppers = [_text(content) for name, content in files.items() if "_copper" in name]
    job["GeneralSpecs"]["LayerNumber"] = len(coppers)
    widths = [template_of(text, item)[1][0] for text in coppers for item in items(text)
              if item.kind == "stroke" and item.dark]  # fmt: skip
    if widths:
        job["DesignRules"][0]["MinLineWidth"] = min(widths)
    there = {re.sub(r".*_(.*)\..*", r"\1", name) for name in files}
    job["MaterialStackup"] = [row for row in job["MaterialStackup"]
                              if row["Name"] in there or row["Type"] == "Dielectric"]  # fmt: skip

"""Drill files → holes: a small reader of its own for the subset that boardgen writes."""

import re

from boardgen.readback.objects import Fault, Reading, SeenHole, SeenSlot, quoted
from boardgen.units import Nm

MOST_LINES = 20_000

_NUMBER = r"(-?(?:0|[1-9][0-9]{0,3})\.[0-9]{1,6})"
_TOOL = re.compile(rf"T([0-9][0-9])C{_NUMBER}")
_SELECT = re.compile(r"T([0-9][0-9])")
_HIT = re.compile(rf"X{_NUMBER}Y{_NUMBER}")
_VALUE = r"[ -~]*"
_HEADER = tuple(
    re.compile(pattern)
    for pattern in (
        r"M48",
        r"; [A-Za-z0-9,]+ holes of [a-z0-9-]+, written by boardgen [0-9a-z.+]+",
        rf"; #@! TF(\.GenerationSoftware),({_VALUE})",
        rf"; #@! TF(\.CreationDate),({_VALUE})",
        rf"; #@! TF(\.ProjectId),({_VALUE})",
        r"; #@! TF(\.SameCoordinates)()",
        rf"; #@! TF(\.Part),({_VALUE})",
        rf"; #@! TF(\.FileFunction),({_VALUE})",
        rf"; #@! TF(\.FilePolarity),({_VALUE})",
        r"METRIC",
    )
)
"""The header's lines, in the only order that boardgen writes."""

_FUNCTION = re.compile(r"; #@! TA\.AperFunction,([A-Za-z]+)")
_NO_ATTRIBUTES = "; #@! TD"
_PLATED = {"Plated,1,2,PTH": True} | {
    f"NonPlated,{span},NPTH{way}": False
    for span in ("1,2", "1,1")
    for way in ("", ",Mixed", ",Rout")
}
_WAY = {"up": re.compile(rf"G00X{_NUMBER}Y{_NUMBER}"), "there": re.compile("M15"),
        "down": re.compile(rf"G01X{_NUMBER}Y{_NUMBER}"), "cut": re.compile("M16")}  # fmt: skip
"""How a slot is routed, line by line: what may follow while the cutter is up, there, down, done."""
_AFTER = {"up": "there", "there": "down", "down": "cut", "cut": "up"}


def read_drill(name: str, content: bytes) -> Reading:
    """Read one drill file.

    Returns
    -------
    Reading
        Holes in file order; ``faults`` names each line that is not understood.
    """
    reader = _Reader()
    try:
        lines = content.decode("ascii").split("\n")
    except UnicodeDecodeError:
        return Reading(name=name, faults=(Fault("is not ASCII"),))
    if not content.strip():
        return Reading(name=name, faults=(Fault("is empty"),))
    if len(lines) > MOST_LINES:
        return Reading(name=name, faults=(Fault(f"has more than {MOST_LINES} lines"),))
    for number, line in enumerate(lines, start=1):
        reader.take(line.removesuffix("\r"), number)
        if reader.faults:
            break  # after it the rest means nothing
    reader.close()
    return Reading(
        name=name,
        attributes=reader.attributes,
        holes=tuple(reader.holes),
        slots=tuple(reader.slots),
        faults=tuple(reader.faults),
    )


class _Reader:
    def __init__(self) -> None:
        self.attributes: dict[str, str] = {}
        self.holes: list[SeenHole] = []
        self.faults: list[Fault] = []
        self.tools: dict[str, tuple[int, str]] = {}
        self.used: set[str] = set()
        self.at = 0
        self.part = "header"
        self.drilling = False
        self.function = ""
        self.tool: str | None = None
        self.slots: list[SeenSlot] = []
        self.cutter = "up"
        self.start = (0, 0)

    def take(self, line: str, number: int) -> None:
        """Take one line, in the part of the file where we are."""
        handler = {"header": self._header, "tools": self._tools, "body": self._body}.get(self.part)
        if handler is None:
            if line:
                self.faults.append(Fault(f"line {number}: data after the end: {quoted(line)}"))
        elif not handler(line):
            self.faults.append(Fault(f"line {number} is not understood: {quoted(line)}"))

    def _header(self, line: str) -> bool:
        found = _HEADER[self.at].fullmatch(line)
        self.at += 1
        if found and found.groups():
            self.attributes[found[1]] = found[2]
        if self.at == len(_HEADER):
            self.part, self.at = "tools", 0
        return bool(found)

    def _tools(self, line: str) -> bool:
        """Take a tool in three lines, its function first, or the end of the header."""
        if self.at == 0 and line == "%":
            self.part = "body"
            return True
        step, self.at = self.at, (self.at + 1) % 3
        if step == 0:
            found = _FUNCTION.fullmatch(line)
            self.function = found[1] if found else ""
        elif step == 1:
            found = _TOOL.fullmatch(line)
            if not found or found[1] in self.tools:
                return False
            self.tools[found[1]] = (_nanometres(found[2]), self.function)
            return self.tools[found[1]][0] > 0
        else:
            return line == _NO_ATTRIBUTES
        return bool(found)

    def _body(self, line: str) -> bool:
        if self.cutter != "up" or line.startswith("G00"):
            return self._routed(line)
        if line == "G05":
            self.drilling = not self.slots
            return self.drilling
        if line == "M30":
            self.part = "after"
            return True
        if found := _SELECT.fullmatch(line):
            again = found.group(1) in self.used or self.tool == found.group(1)
            self.tool = found.group(1)
            return self.tool in self.tools and not again
        found = _HIT.fullmatch(line)
        if not found or not self.drilling or self.tool not in self.tools:
            return False
        self.used.add(self.tool)
        diameter, function = self.tools[self.tool]
        x, y = (_nanometres(text) for text in found.groups())
        plated = _PLATED.get(self.attributes.get(".FileFunction", ""), False)
        self.holes.append(
            SeenHole(x_nm=x, y_nm=y, diameter_nm=diameter, plated=plated, function=function)
        )
        return True

    def _routed(self, line: str) -> bool:
        """Take one step of a slot: over its start, down, straight to its end, up."""
        found = _WAY[self.cutter].fullmatch(line)
        if not found or self.tool not in self.tools:
            return False
        self.drilling = False  # holes come first
        if found.groups():
            at = (_nanometres(found[1]), _nanometres(found[2]))
            if self.cutter == "up":
                self.start = at
            elif at == self.start:
                return False
            else:
                start, end = sorted(((Nm(x), Nm(y)) for x, y in (self.start, at)))
                width, _ = self.tools[self.tool]
                self.slots.append(SeenSlot(start=start, end=end, width_nm=width))
                self.used.add(self.tool)
        self.cutter = _AFTER[self.cutter]
        return True

    def close(self) -> None:
        """Say what is missing at the end."""
        if self.faults:
            return
        if self.part != "after":
            self.faults.append(Fault("does not end in M30"))
        if self.attributes.get(".FileFunction") not in _PLATED:
            self.faults.append(Fault("does not say whether its holes are plated"))
        idle = sorted(set(self.tools) - self.used)
        if idle:
            self.faults.append(Fault(f"defines tools that drill nothing: {', '.join(idle)}"))


def _nanometres(text: str) -> int:
    whole, _, part = text.lstrip("-").partition(".")
    value = int(whole) * 1_000_000 + int(part[:6].ljust(6, "0"))
    return -value if text.startswith("-") else value

"""The form of a Gerber file, judged line by line before its geometry is believed.

The library that parses files reads more than boardgen writes, and passes over what it does not
image: inverted polarity, other units half-way, offsets, data after an early end. So only the words
that boardgen writes are admitted, each in its part of the file and in its order. What they draw is
held to the clauses of The Gerber Layer Format Specification, revision 2023.08, that are named
below, as recorded in docs/sources.md, formats.
"""

import hashlib
import math
import re
from dataclasses import dataclass, field

from boardgen.readback.contour import contour_faults
from boardgen.readback.objects import Fault, quoted
from boardgen.units import NM_PER_MM, NM_PER_UM

MOST_LINES = 1_500_000
"""Longer files are not read: a board of the most LEDs has two thirds of it."""

LONGEST_LINE = 1_000
MOST_WORDS = 25_000
"""Attributes and the like that differ; each costs the library a millisecond.

A board of the most LEDs, each with three resistors of its own, has 22,500 (measured on 100).
"""

MOST_APERTURES = 1_000
"""Ours have a dozen; each is kept for every object."""

_NUMBER = r"-?(?:0|[1-9][0-9]{0,9})"
_SIZE = r"(?:0|[1-9][0-9]{0,3})\.[0-9]{1,6}"
_VALUE = r"[^%*\n]*"
_LARGEST = 2**31 - 1
_LEAST_SEGMENT_NM = 1
_MOST_MISMATCH_NM = NM_PER_UM

_HEADER = tuple(
    (name, re.compile(pattern))
    for name, pattern in (
        ("comment", r"G04 [a-z-]+ of [a-z0-9-]+, written by boardgen [0-9a-z.+]+\*"),
        ("format", r"%FSLAX46Y46\*%"),
        ("unit", r"%MOMM\*%"),
        ("program", rf"%TF\.GenerationSoftware,{_VALUE}\*%"),
        ("date", rf"%TF\.CreationDate,{_VALUE}\*%"),
        ("project", rf"%TF\.ProjectId,{_VALUE}\*%"),
        ("coordinates", rf"%TF\.SameCoordinates(?:,{_VALUE})?\*%"),
        ("part", rf"%TF\.Part,{_VALUE}\*%"),
        ("function", rf"%TF\.FileFunction,{_VALUE}\*%"),
        ("polarity", rf"%TF\.FilePolarity,{_VALUE}\*%"),
        ("list of files", rf"%TFFiles,{_VALUE}\*%"),
    )
)
FUNCTIONS = frozenset(
    ("SMDPad,CuDef", "ComponentPad", "ViaPad", "TestPad", "Conductor", "NonConductor", "Material",
     "Profile", "Other,Clearance", "Other,Cathode", "Other,Plus", "Other,Minus",
     "OtherCopper,Cathode", "OtherCopper,Plus", "OtherCopper,Minus")
)  # fmt: skip
"""What apertures and regions may be for: 5.6.10, and boardgen's own words after ``Other``."""

_FUNCTION = re.compile(rf"%TA\.AperFunction,({_VALUE})\*%")
_MACRO = re.compile(r"%AMTURNED\*21,1,\$1,\$2,0,0,\$3\*%")
_APERTURE = re.compile(
    rf"%ADD([0-9]{{2,6}})(C|R|TURNED),({_SIZE})(?:X({_SIZE}))?(?:X([1-8]?[0-9]\.[0-9]{{1,6}}))?\*%"
)
_SIZES = {"C": (False, False), "R": (True, False), "TURNED": (True, True)}
"""Whether a second size and an angle follow."""
_NO_ATTRIBUTES = re.compile(r"%TD\*%")
_START = ("G01*", "G75*", "%LPD*%")
_OBJECT_ATTRIBUTE = re.compile(rf"%TO\.[NPC],{_VALUE}\*%|%TD(?:\.[NPC])?\*%")
_SELECT = re.compile(r"D([0-9]{2,6})\*")
_POLARITY = re.compile(r"%LP[DC]\*%")
_MODE = re.compile(r"G0[123]\*")
_OPERATION = re.compile(rf"X({_NUMBER})Y({_NUMBER})(?:I({_NUMBER})J({_NUMBER}))?D0([123])\*")
_MD5 = re.compile(r"%TF\.MD5,([0-9a-f]{32})\*%")
_OPEN, _CLOSE = re.compile(r"G36\*"), re.compile(r"G37\*")
_REGION_END, _END = re.compile(r"%TD\.AperFunction\*%"), re.compile(r"M02\*")
_MOST_FAULTS = 50

Point = tuple[int, int]


def form_faults(text: str) -> list[Fault]:
    """Say what is wrong with a file's form, with the line of each fault.

    Parameters
    ----------
    text : str
        A whole Gerber file; line ends may be of either kind.

    Returns
    -------
    list of Fault
        Faults of what is drawn are gathered; a word that is not due ends the reading, for after
        it the rest means nothing.
    """
    lines = text.replace("\r\n", "\n").split("\n")
    if lines and not lines[-1]:
        lines.pop()
    if not text.strip():
        return [Fault("is empty")]
    if len(lines) > MOST_LINES:
        return [Fault(f"has more than {MOST_LINES} lines")]
    if len(max(lines, key=len)) > LONGEST_LINE:
        return [Fault(f"has a line of more than {LONGEST_LINE} letters")]
    if len({line for line in lines if line.startswith("%")}) > MOST_WORDS:
        return [Fault(f"has more than {MOST_WORDS} different words")]
    if sum(line.startswith("%AD") for line in lines) > MOST_APERTURES:
        return [Fault(f"defines more than {MOST_APERTURES} apertures")]
    form = _Form(lines)
    try:
        form.judge()
    except _NotDueError as error:
        form.faults.append(Fault(str(error)))
    return form.faults[:_MOST_FAULTS]


class _NotDueError(Exception):
    """A word stands where another is due."""


@dataclass
class _Form:
    lines: list[str]
    at: int = 0
    defined: dict[str, str] = field(default_factory=dict)
    used: set[str] = field(default_factory=set)
    aperture: str = ""
    mode: str = "G01*"
    place: Point | None = None
    faults: list[Fault] = field(default_factory=list)

    def judge(self) -> None:
        """Walk the parts of the file in their order."""
        for name, pattern in _HEADER:
            self._due(pattern, f"the {name}")
        self._definitions()
        for word in _START:
            self._due(re.compile(re.escape(word)), word)
        self._body()
        if self.at != len(self.lines):
            raise self._not_due("the end: data after M02")
        idle = sorted(set(self.defined) - self.used)
        if idle:
            listed = ", ".join(f"D{number}" for number in idle)
            self.faults.append(Fault(f"defines without use: {listed}"))

    def _line(self) -> str:
        return self.lines[self.at] if self.at < len(self.lines) else ""

    def _take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        found = pattern.fullmatch(self._line())
        if found:
            self.at += 1
        return found

    def _due(self, pattern: re.Pattern[str], what: str) -> re.Match[str]:
        found = self._take(pattern)
        if not found:
            raise self._not_due(what)
        return found

    def _not_due(self, what: str) -> _NotDueError:
        if self.at >= len(self.lines):
            return _NotDueError(f"breaks off at line {len(self.lines)}, where {what} is due")
        return _NotDueError(
            f"line {self.at + 1} is not what is due, {what}: {quoted(self._line())}"
        )

    def _fault(self, text: str, place: tuple[float, float] | None = None) -> None:
        """Note a fault of the line that was taken last, with its place on the board."""
        at_mm = (place[0] / NM_PER_MM, place[1] / NM_PER_MM) if place else None
        self.faults.append(Fault(f"line {self.at}: {text}", at_mm))

    def _admitted(self, function: str) -> None:
        if function not in FUNCTIONS:
            self._fault(f"{quoted(function)} is no function that boardgen writes")

    def _definitions(self) -> None:
        macro = self._take(_MACRO) is not None
        while found := self._take(_FUNCTION):
            self._admitted(found[1])
            aperture = self._due(_APERTURE, "an aperture of a disc or a box")
            turned = aperture[2] == "TURNED"
            number, shape = aperture[1], aperture[2]
            if number in self.defined:
                self._fault(f"D{number} is defined again")
            if turned and not macro:
                self._fault(f"D{number} is of a macro that is not defined")
            if _SIZES[shape] != (bool(aperture[4]), bool(aperture[5])):
                self._fault(f"D{number} has not the sizes of its shape")
            if any(float(size) == 0 for size in aperture.group(3, 4, 5) if size):
                self._fault(f"D{number} has no size")
            self.defined[number] = shape
            self._due(_NO_ATTRIBUTES, "the end of the aperture's attributes")

    def _body(self) -> None:
        """Admit objects until the digest and the end."""
        while True:
            if found := self._take(_MD5):
                self._digest(found[1])
                self._due(_END, "the end M02")
                return
            if found := self._take(_FUNCTION):
                self._admitted(found[1])
                self._region()
            elif found := self._take(_SELECT):
                self._select(found[1])
            elif not (self._take(_OBJECT_ATTRIBUTE) or self._take(_POLARITY) or self._mode()):
                self._operation()

    def _digest(self, said: str) -> None:
        """Hold the digest against all lines before it, line ends left out (5.6.9)."""
        before = "".join(self.lines[: self.at - 1]).encode()
        if hashlib.md5(before, usedforsecurity=False).hexdigest() != said:
            self._fault("its MD5 does not match its content")

    def _select(self, number: str) -> None:
        self.aperture = number
        self.used.add(number)
        if number not in self.defined:
            self._fault(f"D{number} is not defined")

    def _mode(self) -> bool:
        found = self._take(_MODE)
        if found:
            self.mode = found.group()
        return bool(found)

    def _operation(self) -> None:
        """Take a flash, a move or a draw outside a region."""
        end, centre, code = self._coordinates("an object, or its digest and M02")
        if code != "2" and not self.aperture:
            self._fault("no aperture is selected")
        elif code == "1":
            if self.defined.get(self.aperture) in ("R", "TURNED"):
                self._fault("a line is drawn with a pen that is not round (8.2.3)")
            self._segment(end, centre)
        self.place = end

    def _coordinates(self, what: str) -> tuple[Point, Point | None, str]:
        found = self._due(_OPERATION, what)
        values = [int(text) for text in found.groups()[:4] if text is not None]
        if max(map(abs, values)) > _LARGEST:
            self._fault("a coordinate does not fit 32 bits (3.4.1)")
        end, code = (values[0], values[1]), found[5]
        with_centre = found[3] is not None
        if with_centre != (code == "1" and self.mode != "G01*"):
            said = "has a centre" if with_centre else "lacks its centre"
            self._fault(f"what is drawn with {self.mode} {said} (4.7.2)")
        if not with_centre or self.place is None:
            return end, None, code
        return end, (self.place[0] + values[2], self.place[1] + values[3]), code

    def _segment(self, end: Point, centre: Point | None) -> None:
        if self.place is None:
            self._fault("a line is drawn from no point (2.7)")
        elif centre is None and math.dist(self.place, end) < _LEAST_SEGMENT_NM:
            self._fault("a segment has no length (4.10.3)", end)
        elif centre is not None:
            apart = abs(math.dist(self.place, centre) - math.dist(end, centre))
            if apart > _MOST_MISMATCH_NM:
                self._fault(
                    f"the ends of an arc lie {apart / NM_PER_MM:.4f} mm unlike from its centre"
                    " (4.7.2.2)",
                    end,
                )

    def _region(self) -> None:
        self._due(_OPEN, "G36")
        start, _, code = self._coordinates("a contour's start")
        if code != "2":
            self._fault("a contour begins without D02 (4.10.1)")
        self.place = start
        edges: list[tuple[Point, Point | None, bool]] = []
        before = len(self.faults)
        while not self._take(_CLOSE):
            if self._mode():
                continue
            end, centre, code = self._coordinates("a contour's edge or G37")
            if code != "1":
                self._fault("a region holds more than one contour or a flash (4.10.1)")
            self._segment(end, centre)
            edges.append((end, centre, self.mode == "G02*"))
            self.place = end
        if edges and len(self.faults) == before:
            for text, place in contour_faults(start, edges):
                self._fault(text, place)
        elif not edges:
            self._fault("a region is empty")
        self._due(_REGION_END, "the end of the region's function")

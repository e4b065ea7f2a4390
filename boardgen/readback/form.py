"""The form of a Gerber file, judged line by line before its geometry is believed.

The library that parses files reads more than boardgen writes, and passes over what it does not
image: inverted polarity, other units half-way, offsets, data after an early end. So only the words
that boardgen writes are admitted, each in its part of the file and in its order.
"""

import re
from collections.abc import Iterator

_NUMBER = r"-?(?:0|[1-9]\d{0,9})"
_SIZE = r"(?:0|[1-9]\d{0,3})\.\d{1,6}"
_VALUE = r"[^%*\n]*"

_HEADER = tuple(
    re.compile(pattern)
    for pattern in (
        rf"G04 {_VALUE}\*",
        r"%FSLAX46Y46\*%",
        r"%MOMM\*%",
        rf"%TF\.GenerationSoftware,{_VALUE}\*%",
        rf"%TF\.CreationDate,{_VALUE}\*%",
        rf"%TF\.ProjectId,{_VALUE}\*%",
        rf"%TF\.SameCoordinates(?:,{_VALUE})?\*%",
        rf"%TF\.Part,{_VALUE}\*%",
        rf"%TF\.FileFunction,{_VALUE}\*%",
        rf"%TF\.FilePolarity,{_VALUE}\*%",
        rf"%TFFiles,{_VALUE}\*%",
    )
)
_FUNCTION = re.compile(rf"%TA\.AperFunction,{_VALUE}\*%")
_APERTURE = re.compile(rf"%ADD(\d{{2,6}})(?:C,{_SIZE}|R,{_SIZE}X{_SIZE})\*%")
_START = ("G01*", "G75*", "%LPD*%")
_OBJECT_ATTRIBUTE = re.compile(rf"%TO\.[NPC],{_VALUE}\*%|%TD(?:\.[NPC])?\*%")
_SELECT = re.compile(r"D(\d{2,6})\*")
_POLARITY = re.compile(r"%LP[DC]\*%")
_MODE = re.compile(r"G0[123]\*")
_OPERATION = re.compile(rf"X{_NUMBER}Y{_NUMBER}(I{_NUMBER}J{_NUMBER})?D0([123])\*")
_MD5 = re.compile(r"%TF\.MD5,[0-9a-f]{32}\*%")
_SHOWN = 40


def form_faults(text: str) -> list[str]:
    """Name the first line that boardgen would not have written, or nothing.

    Parameters
    ----------
    text : str
        A whole Gerber file; line ends may be of either kind.

    Returns
    -------
    list of str
        At most one sentence with the line's number: after it the rest means nothing.
    """
    lines = text.replace("\r\n", "\n").split("\n")
    if lines and not lines[-1]:
        lines.pop()
    reader = _Form(lines)
    for fault in reader.judge():
        return [fault]
    return []


class _Form:
    def __init__(self, lines: list[str]) -> None:
        self.lines = lines
        self.at = 0
        self.defined: set[str] = set()
        self.used: set[str] = set()
        self.mode = "G01*"

    def judge(self) -> Iterator[str]:
        """Walk the parts of the file in their order."""
        for pattern in _HEADER:
            if not self._take(pattern):
                yield self._fault("the header's")
        yield from self._definitions()
        for word in _START:
            if not self._take(re.compile(re.escape(word))):
                yield self._fault(f"{word} as the")
        yield from self._body()
        if self.at != len(self.lines):
            yield self._fault("the end, not a")
        if self.used != self.defined:
            idle = ", ".join(f"D{number}" for number in sorted(self.defined ^ self.used))
            yield f"defines without use, or uses undefined: {idle}"

    def _line(self) -> str:
        return self.lines[self.at] if self.at < len(self.lines) else ""

    def _take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        found = pattern.fullmatch(self._line())
        if found:
            self.at += 1
        return found

    def _fault(self, wanted: str) -> str:
        return f"line {self.at + 1} is not {wanted} word that is due: {self._line()[:_SHOWN]}"

    def _definitions(self) -> Iterator[str]:
        while self._take(_FUNCTION):
            found = self._take(_APERTURE)
            if not found or found[1] in self.defined or not self._take(re.compile(r"%TD\*%")):
                yield self._fault("a first definition's")
                return
            self.defined.add(found[1])

    def _body(self) -> Iterator[str]:
        """Admit objects until the digest and the end."""
        while not (_MD5.fullmatch(self._line()) and self.at == len(self.lines) - 2):
            if self.at >= len(self.lines):
                yield "does not end in its MD5 attribute and M02"
                return
            if self._take(_FUNCTION):
                yield from self._region()
            elif found := self._take(_SELECT):
                self.used.add(found[1])
            elif not (
                self._take(_OBJECT_ATTRIBUTE) or self._take(_POLARITY) or self._operation("123")
            ):
                yield self._fault("a")
                return
        self.at += 1
        if not self._take(re.compile(r"M02\*")):
            yield self._fault("the last")

    def _region(self) -> Iterator[str]:
        if not self._take(re.compile(r"G36\*")):
            yield self._fault("a region's")
        if not (self._line().endswith("D02*") and self._operation("2")):
            yield self._fault("a contour's first")
        while not self._take(re.compile(r"G37\*")):
            if not self._operation("1"):
                yield self._fault("a contour's")
                return
        if not self._take(re.compile(r"%TD\.AperFunction\*%")):
            yield self._fault("a region's last")

    def _operation(self, admitted: str) -> bool:
        """Take a plot mode or an operation; only arcs have a centre, and they must."""
        if found := self._take(_MODE):
            self.mode = found.group()
            return True
        found = _OPERATION.fullmatch(self._line())
        if not found or found[2] not in admitted:
            return False
        if bool(found[1]) != (found[2] == "1" and self.mode != "G01*"):
            return False
        self.at += 1
        return True

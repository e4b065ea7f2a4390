"""Test netlist → probes: a reader of its own for what boardgen writes of IPC-D-356A.

Source: columns as recorded in docs/sources.md, formats.
"""

import re
from dataclasses import dataclass, field

from boardgen.readback.objects import Fault, Probe, Reading, quoted
from boardgen.units import MM_PER_INCH, NM_PER_MM, NM_PER_UM

MOST_LINES = 50_000
_COLUMNS = 80
_UNITS = {"CUST 1": float(NM_PER_UM), "CUST 0": MM_PER_INCH * NM_PER_MM / 10_000}
_NAME = r"[A-Za-z0-9+._/ -]"
_RECORD = re.compile(
    rf"(?P<kind>317|327|367)(?P<net>{_NAME}{{14}})   (?P<reference>{_NAME}{{6}})"
    rf"(?P<dash>[- ])(?P<pin>{_NAME}{{4}})(?P<middle>[M ])"
    r"(?P<hole>D(?P<diameter>[0-9]{4})(?P<plating>[PU])|      )A(?P<access>[0-9][0-9])"
    r"X(?P<x>[+-][0-9]{6})Y(?P<y>[+-][0-9]{6})"
    r"X(?P<width>[0-9]{4})Y(?P<height>[0-9]{4})R(?P<turn>0[0-8][0-9]|090) S(?P<covered>[0-3])"
)
_AT = re.compile(r"X([+-][0-9]{6})Y([+-][0-9]{6})")
_WRITTEN = re.compile(r"C  test netlist of [a-z0-9-]+, written by boardgen [0-9a-z.+]+")
_CLIPPED = re.compile(r"C  larger than its size field holds: ([A-Za-z0-9-]+)")
_LARGEST_SIZE = 9_999
_HEAD = ("JOB", "UNITS", "NUM", "REV", "VER", "IMAGE")
_PARAMETER = re.compile(r"P  ([A-Z]+) {1,5}(\S.*)")
_FIELDS = ("net", "reference", "pin")


def read_netlist(name: str, content: bytes) -> Reading:
    """Read a test netlist.

    Returns
    -------
    Reading
        Probes in file order, the board's edge, and the step of its whole numbers; ``faults`` names
        each line that is not understood.
    """
    try:
        lines = content.decode("ascii").replace("\r\n", "\n").split("\n")
    except UnicodeDecodeError:
        return Reading(name=name, faults=(Fault("is not ASCII"),))
    if not content.strip():
        return Reading(name=name, faults=(Fault("is empty"),))
    if len(lines) > MOST_LINES:
        return Reading(name=name, faults=(Fault(f"has more than {MOST_LINES} lines"),))
    reader = _Reader()
    for number, line in enumerate(lines, start=1):
        if not reader.take(line):
            reader.faults.append(Fault(f"line {number} is not understood: {quoted(line)}"))
            break
    reader.close()
    return Reading(
        name=name,
        attributes=reader.attributes,
        probes=tuple(reader.probes),
        edges=tuple(map(tuple, reader.edges)),
        step_nm=reader.step_nm,
        faults=tuple(reader.faults),
    )


@dataclass
class _Reader:
    attributes: dict[str, str] = field(default_factory=dict)
    probes: list[Probe] = field(default_factory=list)
    edges: list[list[tuple[int, int]]] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    step_nm: float = 0.0
    part: str = "head"
    written: int = 0
    clipped: list[str] = field(default_factory=list)

    def take(self, line: str) -> bool:
        """Take a line, in the part of the file where we are: head, records, edge, end."""
        if self.part == "end" or len(line) > _COLUMNS or line != line.rstrip():
            return self.part == "end" and not line
        if line == "999":
            self.part = "end"
            return True
        if line.startswith(("389", "089")):
            return self._edge(line)
        if self.part == "head" and line.startswith("C  "):
            return self._comment(line)
        if self.part == "head" and line.startswith("P  "):
            return self._parameter(line)
        return self.part in ("head", "records") and self._record(line)

    def _comment(self, line: str) -> bool:
        """Take what boardgen writes there: who wrote it, and which sizes did not fit."""
        if _WRITTEN.fullmatch(line):
            self.written += 1
            return self.written == 1
        found = _CLIPPED.fullmatch(line)
        if found:
            self.clipped.append(found[1])
        return bool(found)

    def _parameter(self, line: str) -> bool:
        found = _PARAMETER.fullmatch(line)
        if not found or found[1] not in _HEAD or found[1] in self.attributes:
            return False
        self.attributes[found[1]] = found[2]
        if found[1] == "UNITS":
            self.step_nm = _UNITS.get(found[2], 0.0)
            return bool(self.step_nm)
        return True

    def _record(self, line: str) -> bool:
        found = _RECORD.fullmatch(line)
        if not found or not self.step_nm:
            return False
        if any(" " in found[key].rstrip() for key in _FIELDS):
            return False
        if (found["dash"] == " ") != (found["reference"].rstrip() == "VIA"):
            return False
        self.part = "records"
        self.probes.append(
            Probe(
                kind=found["kind"],
                net=found["net"].rstrip(),
                reference=found["reference"].rstrip(),
                pin=found["pin"].rstrip(),
                x_nm=self._length(found["x"]),
                y_nm=self._length(found["y"]),
                width_nm=self._length(found["width"]),
                height_nm=self._length(found["height"]),
                turn_deg=int(found["turn"]),
                hole_nm=self._length(found["diameter"] or "0"),
                plated=found["plating"] == "P",
                access=int(found["access"]),
                covered=int(found["covered"]),
                middle=found["middle"] == "M",
            )
        )
        return True

    def _length(self, digits: str) -> int:
        return round(int(digits) * self.step_nm)

    def _edge(self, line: str) -> bool:
        first = line.startswith("389BOARD_EDGE ")
        if not (first or self.edges) or not self.step_nm:
            return False
        if first:
            self.edges.append([])
        self.part = "edge"
        words = line[15 if first else 3 :].split()
        found = [_AT.fullmatch(word) for word in words]
        self.edges[-1] += [(self._length(at[1]), self._length(at[2])) for at in found if at]
        return bool(words) and all(found)

    def close(self) -> None:
        """Say what is missing at the end."""
        if self.part != "end":
            self.faults.append(Fault("does not end in 999"))
        lacking = [word for word in _HEAD if word not in self.attributes]
        if lacking:
            self.faults.append(Fault(f"lacks the parameters {', '.join(lacking)}"))
        largest = round(_LARGEST_SIZE * self.step_nm)
        full = [f"{probe.reference}-{probe.pin}" for probe in self.probes
                if largest and max(probe.width_nm, probe.height_nm) >= largest]  # fmt: skip
        if sorted(full) != sorted(self.clipped):
            self.faults.append(Fault("names other sizes as clipped than those that are"))
        if not self.edges:
            self.faults.append(Fault("does not give the board's edge"))

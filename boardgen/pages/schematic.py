"""The circuit diagram, from the circuit itself: the supply's way in, and branches between rails."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass

import schemdraw
from schemdraw import elements as elm

from boardgen.model.board import PartKind
from boardgen.model.circuit import Branch, Circuit
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.pages.names import by_letter
from boardgen.pages.sheet import LINE_MM, SHEET_MM, key_lines, lines_of, one_sheet
from boardgen.pages.view import number
from boardgen.pages.words import say
from boardgen.units import MM_PER_POINT

_MOST_COLUMNS = 9
"""More branches than these are drawn once for each kind: own choice, for letters on A4."""
_STEP, _COLUMN, _LEAD = 1.7, 2.3, 2.2
"""Height of a part, distance of branches, length of a part in the supply line, in drawing units."""
_FONT = 12
_LEFT_MM, _TOP_MM = 10.0, 14.0


def schematics(design: Design) -> OutputFiles:
    """Draw ``schematic.svg``, with IEC symbols (IEC 60617, as the library has them).

    Returns
    -------
    OutputFiles
        One sheet that A4 and Letter print.
    """
    body, box = _diagram(design)
    wide = min(box[2] * MM_PER_POINT, SHEET_MM[0] - _LEFT_MM - 4.0)
    high = wide * box[3] / box[2]
    lines = lines_of(tuple(_key(design)))
    title = say("schematic.title", title=design.parameters.board.title)
    tall = _TOP_MM + high + 8.0 + len(lines) * LINE_MM
    drawing = one_sheet(title, lines, tall)
    key_lines(drawing, lines, (_LEFT_MM, _TOP_MM + high + 8.0))
    root = drawing.get_xml()
    shown = ET.SubElement(
        root,
        "svg",
        {
            "x": number(_LEFT_MM), "y": number(_TOP_MM), "width": number(wide),
            "height": number(high), "viewBox": " ".join(map(number, box)),
        },
    )  # fmt: skip
    shown.extend(body)
    text = ET.tostring(root, encoding="unicode")
    return (OutputFile(path="schematic.svg", content=f"{text}\n".encode()),)


def shown_branches(circuit: Circuit) -> tuple[Branch, ...]:
    """Select the branches that are drawn: all, or of very many the first of each kind."""
    if len(circuit.branches) <= _MOST_COLUMNS:
        return circuit.branches
    first = {branch.kind.of: branch for branch in reversed(circuit.branches)}
    return tuple(branch for branch in circuit.branches if first[branch.kind.of] is branch)


def _key(design: Design) -> Iterator[str]:
    circuit, parameters = design.circuit, design.parameters
    supply = parameters.parts.supply
    yield say(
        "schematic.supply", name=supply.name, low=f"{supply.low_v:g}", high=f"{supply.high_v:g}"
    )
    for branch in shown_branches(circuit):
        alike = [one for one in circuit.branches if one.kind.of == branch.kind.of]
        if len(shown_branches(circuit)) < len(circuit.branches) and len(alike) > 1:
            names = [name for one in alike if one is not branch for name in one.parts]
            more = len(alike) - 1
            yield say(
                "schematic.alike_one" if more == 1 else "schematic.alike",
                many=len(alike), more=more, like=branch.parts[0], names=by_letter(names),
            )  # fmt: skip
    values: dict[tuple[PartKind, str], list[str]] = {}
    for part in design.board.parts:
        if part.kind.row.bought and part.kind is not PartKind.RESISTOR:
            values.setdefault((part.kind, part.value), []).append(part.reference)
    for (_, value), names in values.items():
        yield f"{by_letter(names)}: {value}."
    for name in design.board.far_lands:
        yield say("schematic.joined", name=name, boards=circuit.boards)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Column:
    """One branch and where it stands."""

    branch: Branch
    x: float
    many: int


def _diagram(design: Design) -> tuple[list[ET.Element], tuple[float, ...]]:
    """Draw with the library; give its elements and the box around them, in points."""
    circuit = design.circuit
    schemdraw.use("svg")
    diagram = schemdraw.Drawing(show=False, fontsize=_FONT, lw=1.4)
    shown = shown_branches(circuit)
    low = -_STEP * max(len(branch.parts) for branch in shown) - 0.8
    start = _way_in(diagram, design, low)
    columns = [
        _Column(
            branch=branch, x=start + 0.9 + place * _COLUMN,
            many=sum(one.kind.of == branch.kind.of for one in circuit.branches)
            if len(shown) < len(circuit.branches) else 1,
        )
        for place, branch in enumerate(shown)
    ]  # fmt: skip
    for column in columns:
        _branch(diagram, design, column, low)
    end = columns[-1].x
    diagram.add(elm.Line().at((start, 0)).to((end, 0)))
    diagram.add(elm.Line().at((0, low)).to((end, low)))
    diagram.add(elm.Label().at((start + 0.45, 0.12)).label("V+", loc="top"))
    diagram.add(elm.Label().at((start + 0.45, low + 0.12)).label("0 V", loc="top"))
    _test_points(diagram, design, end, low)
    found = ET.fromstring(_rounded(diagram.get_imagedata("svg").decode()))  # noqa: S314 - our own
    box = tuple(float(side) for side in found.get("viewBox", "").split())
    return [_plain(element) for element in found], box


def _way_in(diagram: schemdraw.Drawing, design: Design, low: float) -> float:
    """Draw the connector and what the current passes up to the rail; tell where that begins."""
    parts = {part.reference: part for part in design.board.parts}
    inlet = design.circuit.inlet
    diagram.add(elm.Dot(open=True).at((0, 0)).label("+", loc="left"))
    diagram.add(elm.Dot(open=True).at((0, low)).label("−", loc="left"))
    diagram.add(elm.Label().at((-0.1, low / 2)).label(inlet.connector, loc="left"))
    at = 0.0
    for reference in inlet.parts:
        kind, end = parts[reference].kind, (at + _LEAD, 0)
        if kind is PartKind.FUSE:
            diagram.add(elm.FuseIEC().at((at, 0)).to(end).label(reference, loc="top"))
        elif kind is PartKind.DIODE:
            diagram.add(elm.Schottky().at((at, 0)).to(end).label(reference, loc="top"))
        elif kind is PartKind.SWITCH:
            diagram.add(elm.Switch().at((at, 0)).to(end).label(reference, loc="top"))
        else:
            gate = diagram.add(elm.PFet().theta(-90).anchor("drain").at((at + 0.3, 0)))
            diagram.add(elm.Line().at((at, 0)).to((at + 0.3, 0)))
            diagram.add(elm.Line().at(gate.absanchors["source"]).to(end))
            foot = (gate.absanchors["gate"][0], low)
            diagram.add(elm.Line().at(gate.absanchors["gate"]).to(foot))
            diagram.add(elm.Dot().at(foot))
            diagram.add(elm.Label().at((at + 1.05, 0.1)).label(reference, loc="top"))
            for name, x in (("D", at + 0.1), ("S", at + 2.0)):
                diagram.add(elm.Label().at((x, -0.6)).label(name, loc="bottom"))
        at = end[0]
    return at


def _branch(diagram: schemdraw.Drawing, design: Design, column: _Column, low: float) -> None:
    """Draw one branch from V+ down to 0 V: its resistors, then its LEDs."""
    branch, x = column.branch, column.x
    ohms = {part.reference: part.value for part in design.board.parts}
    diagram.add(elm.Dot().at((x, 0)))
    y = 0.0
    for reference in branch.parts:
        resistor = reference in branch.ballasts
        symbol = elm.ResistorIEC if resistor else elm.LED
        value = f"\n{ohms[reference].replace('ohm', 'Ω')}" if resistor else ""
        one = symbol().at((x, y)).to((x, y - _STEP))
        diagram.add(one.label(f"{reference}{value}", loc="bottom"))
        y -= _STEP
    diagram.add(elm.Line().at((x, y)).to((x, low)))
    diagram.add(elm.Dot().at((x, low)))
    if column.many > 1:
        diagram.add(elm.Label().at((x, low - 0.55)).label(f"× {column.many}", loc="bottom"))


def _test_points(diagram: schemdraw.Drawing, design: Design, end: float, low: float) -> None:
    """Show the lands for probes at the far end of the rails, and there the next board's."""
    for name in design.board.far_lands:
        beyond = end + 0.9 * (
            1 + any(part.kind is PartKind.TEST_POINT for part in design.board.parts)
        )
        for y, sign in ((0.0, "+"), (low, "−")):
            diagram.add(elm.Line().at((end, y)).to((beyond, y)))
            diagram.add(elm.Dot(open=True).at((beyond, y)).label(sign, loc="right"))
        diagram.add(elm.Label().at((beyond + 0.4, low / 2)).label(name, loc="right"))
    for part in design.board.parts:
        if part.kind is PartKind.TEST_POINT:
            ((_, net),) = part.nets
            y = low if net == "0V" else 0.0
            diagram.add(elm.Line().at((end, y)).to((end + 0.9, y)))
            diagram.add(elm.Dot(open=True).at((end + 0.9, y)).label(part.reference, loc="right"))


def _rounded(text: str) -> str:
    """Write numbers to three decimals: the last digits of a sine differ between machines."""
    return re.sub(r"-?\d+\.\d{4,}", lambda found: number(float(found[0])), text)


def _plain(element: ET.Element) -> ET.Element:
    """Take the namespace off: the sheet around it says it once."""
    for one in element.iter():
        one.tag = one.tag.rpartition("}")[2]
    return element

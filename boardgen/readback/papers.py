"""Lists, order sheet and placement pictures held against the copper and the board, by own code.

A person buys, orders and solders by these papers: what they say is read again as a person would
read it, and none of the code that wrote them is used.
"""

import csv
import io
import math
import re
import xml.etree.ElementTree as ET
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from boardgen.model.board import Part
from boardgen.model.design import Design
from boardgen.model.lettering import Lettering
from boardgen.model.proof import Difference, Kind, Proof, ProofItem, SeenPin
from boardgen.model.side import Side

_NEAR_MM = 0.0006
"""Lists are written to a micrometre."""
_SPAN_MM = 0.6
"""So far beyond its lands a part's middle may lie: own lands need not be alike."""
_BARE = "TP"
_DIRECTIONS = {"right": (1, 0), "up": (0, 1), "left": (-1, 0), "down": (0, -1)}
_LETTERS = {"cathodes": ("K", "K"), "anodes": ("A", "A"), "plus": ("+", "+"), "minus": ("-", "−")}
"""For each path of the picture: the pins' function, and the letter that has to be drawn."""

_DRAWN = {"svg", "defs", "title", "desc", "g", "rect", "circle", "line", "path", "polygon",
          "polyline", "text", "tspan", "ellipse", "clipPath", "mask", "pattern", "use"}  # fmt: skip
_PAPERS = re.compile(
    r"assembly/(bom|placement)\.csv|assembly/placement-(top|bottom)\.svg|preview-(top|bottom)\.svg"
    r"|film-(positive|mirrored)\.svg|order\.md|findings\.json|build\.json|[a-z0-9-]+-fabrication\.zip"
)
_LARGEST_PICTURE = 20_000_000
_ALIKE = 0.02


def paper_items(
    papers: Mapping[str, bytes], proof: Proof, design: Design | None = None
) -> Iterator[ProofItem]:
    """Compare the papers of a board's folder.

    Parameters
    ----------
    papers : mapping of str to bytes
        Names below the board's folder, ``fabrication/`` left out.
    proof : Proof
        Of the fabrication files: its pins and measures are what the papers have to say.
    design : Design, optional
        What they ought to say; without it values are not known, only places and counts.
    """
    strange = [name for name in papers if not _PAPERS.fullmatch(name)]
    yield _item(
        "names of the papers", len(papers), (f"{name} belongs to no board" for name in strange)
    )
    if "assembly/placement.csv" in papers and "assembly/bom.csv" in papers:
        placed = _rows(papers["assembly/placement.csv"])
        bought = _rows(papers["assembly/bom.csv"])
        pins = _by_part(proof.pins)
        yield _item("placement list and copper", len(placed), _placement(placed, pins))
        yield _item("parts list and placement list", len(bought), _bought(bought, placed))
        if design:
            yield _item("lists and board", len(placed), _as_designed(placed, bought, design))
    if "order.md" in papers:
        yield _item(
            "order sheet and files",
            len(proof.measures),
            _ordered(papers["order.md"], proof, design),
        )
    for name in sorted(papers):
        if name.endswith(".svg"):
            yield _item(name, 1, _picture(name, papers[name], proof.pins, design))


def _item(title: str, compared: int, texts: Iterator[str] | Sequence[str]) -> ProofItem:
    found = tuple(Difference(kind=Kind.LIST, text=text) for text in texts)
    return ProofItem(title=title, compared=compared, differences=found)


_Row = dict[str, str]


def _rows(content: bytes) -> list[_Row]:
    text = content.decode("utf-8", "replace")
    return list(csv.DictReader(io.StringIO(text)))


def _by_part(pins: Sequence[SeenPin]) -> dict[str, list[SeenPin]]:
    found: dict[str, list[SeenPin]] = defaultdict(list)
    for pin in pins:
        if not pin.reference.startswith(_BARE):
            found[pin.reference].append(pin)
    return found


def _number(text: str | None) -> float:
    try:
        return float(text or "nan")
    except ValueError:
        return math.nan


def _placement(placed: Sequence[_Row], pins: Mapping[str, Sequence[SeenPin]]) -> Iterator[str]:
    """Hold each row against the part's lands: place, side, angle, and where its mark points."""
    listed = Counter(row.get("reference", "") for row in placed)
    for name in sorted(pins.keys() - listed.keys()):
        yield f"{name} is on the board, but not in the placement list"
    for name, count in listed.items():
        if name not in pins:
            yield f"{name} is in the placement list, but not on the board"
        elif count > 1:
            yield f"{name} is in the placement list {count} times"
    for row in placed:
        own = pins.get(row.get("reference", ""), ())
        if own:
            yield from (f"{row['reference']} {fault}" for fault in _row_faults(row, own))


def _row_faults(row: _Row, own: Sequence[SeenPin]) -> Iterator[str]:
    x, y, turn = (_number(row.get(key)) for key in ("x_mm", "y_mm", "rotation_deg"))
    first = min(own, key=lambda pin: int(pin.number) if pin.number.isdigit() else 0)
    if row.get("side") not in [side.value for side in Side]:
        yield "has no side"
    surface = {pin.side for pin in own}
    if row.get("part") in ("led", "resistor", "fuse", "diode", "transistor"):
        if surface != {row.get("side")}:
            yield f"lies on the {row.get('side')} in the list, its lands on the {min(surface)}"
        xs, ys = [pin.x_mm for pin in own], [pin.y_mm for pin in own]
        inside = (
            min(xs) - _SPAN_MM <= x <= max(xs) + _SPAN_MM
            and min(ys) - _SPAN_MM <= y <= max(ys) + _SPAN_MM
        )
        if not inside:
            yield f"stands at ({x:g}, {y:g}) mm in the list, its lands elsewhere"
        # At 0 degrees pin 1 lies to the left; of two pins the other lies opposite.
        if len(own) == 2 and not _points(turn + 180.0, (first.x_mm - x, first.y_mm - y)):  # noqa: PLR2004
            yield f"is turned by {turn:g} degrees in the list, its pin 1 lies elsewhere"
    mark = row.get("mark", "")
    if mark:
        function = (
            "A" if re.search(r"\banode\b", mark) and not re.search(r"\bcathode\b", mark) else "K"
        )
        pin = next((pin for pin in own if pin.function == function), None)
        way = _DIRECTIONS.get(row.get("mark_points", ""))
        if pin is None or way is None or way[0] * (pin.x_mm - x) + way[1] * (pin.y_mm - y) <= 0:
            told = row.get("mark_points")
            yield f"has its mark, {mark}, {told} in the list; the land is not there"


def _points(angle_deg: float, way: tuple[float, float]) -> bool:
    """Tell whether a way leads into a direction, within a quarter turn."""
    angle = math.radians(angle_deg)
    length = math.hypot(*way)
    return length > 0 and (
        math.cos(angle) * way[0] + math.sin(angle) * way[1]
    ) / length > math.sqrt(0.5)


def _bought(bought: Sequence[_Row], placed: Sequence[_Row]) -> Iterator[str]:
    """Hold quantities against references, and these against the placement list, value by value."""
    kinds = {row.get("reference", ""): (row.get("part"), row.get("value")) for row in placed}
    seen = Counter[str]()
    for row in bought:
        names = (row.get("references") or "").split()
        seen.update(names)
        if row.get("quantity") != str(len(names)):
            yield f"{row.get('quantity')} x {row.get('value')} are listed for {len(names)} places"
        for name in names:
            if kinds.get(name) != (row.get("part"), row.get("value")):
                yield f"{name} is {row.get('value')} in one list and {kinds.get(name)} in the other"
        yield from _marking_faults(row)
    yield from (f"{name} is placed, but not bought" for name in sorted(kinds.keys() - seen.keys()))
    yield from (f"{name} is bought {count} times" for name, count in seen.items() if count > 1)


_OHMS = re.compile(r"(\d+(?:\.\d+)?) ?([kM]?)(?:ohm)?")
_FACTORS = {"": 1.0, "k": 1e3, "M": 1e6}


def _ohms(text: str) -> float | None:
    found = _OHMS.fullmatch(text.strip())
    return float(found[1]) * _FACTORS[found[2]] if found else None


def _marking_faults(row: _Row) -> Iterator[str]:
    """Read the codes printed on a resistor: two or three digits and a number of zeros, or R."""
    value = _ohms(row.get("value") or "") if row.get("part") == "resistor" else None
    if value is None:
        return
    for code in (row.get("marking") or "").split(" or "):
        read = None
        if re.fullmatch(r"\d{3,4}", code):
            read = float(code[:-1]) * 10 ** int(code[-1])
        elif re.fullmatch(r"\d*R\d*", code) and code != "R":
            read = float(code.replace("R", ".").rstrip(".") or "0")
        if read is not None and not math.isclose(read, value, rel_tol=1e-6):
            yield f"{code} on a resistor means {read:g} ohm, not {value:g}"


def _as_designed(placed: Sequence[_Row], bought: Sequence[_Row], design: Design) -> Iterator[str]:
    """Hold the lists against the board and the circuit."""
    parts = {part.reference: part for part in design.board.parts}
    ohms = {
        name: branch.kind.ballast.value_ohm
        for branch in design.circuit.branches
        for name in branch.ballasts
    }
    for row in placed:
        part = parts.get(row.get("reference", ""))
        if part is not None:
            yield from _unlike_part(row, part, ohms.get(part.reference))
    resistor, size = design.parameters.resistor, design.parameters.resistor_part.size
    for row in bought:
        if row.get("part") == "resistor":
            share = _number((row.get("tolerance") or "").removesuffix(" %"))
            alike = math.isclose(share, resistor.tolerance * 100, abs_tol=1e-6)
            if row.get("size_inch") not in (size, None, "") or not alike:
                yield f"resistors are of size {row.get('size_inch')} and {share:g} % in the list"


def _unlike_part(row: _Row, part: Part, wanted_ohm: float | None) -> Iterator[str]:
    at, name = (_number(row.get("x_mm")), _number(row.get("y_mm"))), part.reference
    if not math.dist(at, (part.x_mm, part.y_mm)) <= _NEAR_MM * 2:
        meant = f"({part.x_mm:g}, {part.y_mm:g})"
        yield f"{name} stands at {at} mm in the list, on the board at {meant}"
    if _number(row.get("rotation_deg")) != part.rotation_deg or row["side"] != part.side.value:
        yield f"{name} is turned or sided otherwise in the list"
    said = row.get("value") or ""
    if wanted_ohm is None:
        if said != part.value:
            yield f"{name} is {said} in the list, {part.value} on the board"
        return
    read = _ohms(said)
    if read is None or not math.isclose(read, wanted_ohm, rel_tol=1e-9):
        yield f"{name} is {said} in the list, {wanted_ohm:g} ohm in the circuit"


def _ordered(content: bytes, proof: Proof, design: Design | None) -> Iterator[str]:
    """Hold every answer of the order sheet against what was measured, and the number of boards."""
    text = content.decode("utf-8", "replace")
    rows = re.findall(r"^\| ([^|]+) \| ([^|]+) \| `([^|]+)` \|$", text, re.MULTILINE)
    said = {asks.strip(): answer.strip() for asks, answer, _ in rows}
    for measure in proof.measures:
        answer = said.pop(measure.asks, None)
        if answer is None:
            yield f"the order sheet does not answer: {measure.asks}"
        elif measure.answer not in (answer, "None") and f"({measure.answer})" not in answer:
            yield f"the order sheet says {measure.asks}: {answer}; the files say {measure.answer}"
    yield from (f"the order sheet answers what no file says: {asks}" for asks in said)
    many = re.search(r"## How many\s+(?:Order )?(\d+)\b", text)
    if design and (many is None or int(many[1]) != design.parameters.order.quantity):
        asked = design.parameters.order.quantity
        yield f"the order sheet asks for {many[1] if many else 'no'} boards, not for {asked}"


def _picture(
    name: str, content: bytes, pins: Sequence[SeenPin], design: Design | None
) -> Iterator[str]:
    """Hold a picture: nothing that runs in it; letters and marks at the pins that they name."""
    if len(content) > _LARGEST_PICTURE or b"<!DOCTYPE" in content or b"<!ENTITY" in content:
        yield "is larger, or of another kind, than boardgen draws"
        return
    try:
        root = ET.fromstring(content)  # noqa: S314 - no entities, bounded above
    except ET.ParseError:
        yield "is no picture that can be read"
        return
    for element in root.iter():
        tag = element.tag.rpartition("}")[2]
        if tag not in _DRAWN:
            yield f"holds a {tag}, which boardgen draws nowhere"
        for key, value in element.attrib.items():
            runs = key.lower().startswith("on") or "javascript:" in value.lower()
            if runs or (key.endswith("href") and not value.startswith("#")):
                yield f"holds {key}, which may run or load something"
    side = name.removesuffix(".svg").rpartition("-")[2]
    if name.startswith("assembly/") and design:
        yield from _letters(root, side, pins, design)


def _letters(root: ET.Element, side: str, pins: Sequence[SeenPin], design: Design) -> Iterator[str]:
    paths = {element.get("id"): element.get("d", "") for element in root.iter()}
    outline, lettering = design.board.outline, design.parameters.lettering
    sides = {part.reference: part.side.value for part in design.board.parts}
    own = [pin for pin in pins if sides.get(pin.reference) == side]
    for name, (function, letter) in _LETTERS.items():
        wanted = [pin for pin in own if pin.function == function]
        drawn = _drawn_letters(paths.get(name, ""), letter, lettering)
        if drawn is None:
            yield f"{name}: what is drawn is no {letter}"
            continue
        places = [_on_board(at, side, outline.length_mm, outline.width_mm) for at in drawn]
        yield from _at_pins(f"the {letter}", places, wanted, own)
    if paths.get("marks"):
        spots = [
            _on_board(at, side, outline.length_mm, outline.width_mm)
            for at in _circles(paths["marks"])
        ]
        marked = {
            (part.reference, part.pattern.marked_land)
            for part in design.board.parts
            if part.pattern.marked_land
        }
        wanted = [pin for pin in own if (pin.reference, pin.number) in marked]
        yield from _at_pins("the mark", spots, wanted, own)


def _at_pins(
    what: str,
    places: Sequence[tuple[float, float]],
    wanted: Sequence[SeenPin],
    own: Sequence[SeenPin],
) -> Iterator[str]:
    """Hold places against pins: as many, each nearer to its own pin than to the part's others."""
    if len(places) != len(wanted):
        yield f"{what} is drawn {len(places)} times for {len(wanted)} pins"
        return
    left = list(places)
    for pin in wanted:
        at = min(left, key=lambda place: math.dist(place, (pin.x_mm, pin.y_mm)))
        left.remove(at)
        others = [other for other in own if other.reference == pin.reference and other != pin]
        mine = math.dist(at, (pin.x_mm, pin.y_mm))
        rivals = [math.dist(at, (o.x_mm, o.y_mm)) for o in others if o.function != pin.function]
        if rivals and mine >= min(rivals):
            yield f"{what} of {pin.reference} is not at pin {pin.number}"


_Strokes = list[list[tuple[float, float]]]


def _strokes(path: str) -> _Strokes:
    return [
        [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", stroke)]
        for stroke in path.split("M")
        if stroke
    ]


def _drawn_letters(
    path: str, letter: str, lettering: Lettering
) -> list[tuple[float, float]] | None:
    """Find the middles of the letters of a path; None when one is another letter."""
    glyph = [list(stroke) for stroke in lettering.glyphs[letter]]
    strokes, count = _strokes(path), len(glyph)
    if len(strokes) % count:
        return None
    wanted, found = _normal([[(x, -y) for x, y in stroke] for stroke in glyph]), []
    for start in range(0, len(strokes), count):
        one = strokes[start : start + count]
        if _unlike(_normal(one), wanted):
            return None
        xs, ys = zip(*(point for stroke in one for point in stroke), strict=True)
        found.append(((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2))
    return found


def _normal(strokes: _Strokes) -> _Strokes:
    """Move and scale strokes so that their box begins at the origin and is one high or wide."""
    xs, ys = zip(*(point for stroke in strokes for point in stroke), strict=True)
    size = max(max(xs) - min(xs), max(ys) - min(ys)) or 1.0
    return [[((x - min(xs)) / size, (y - min(ys)) / size) for x, y in s] for s in strokes]


def _unlike(one: _Strokes, other: _Strokes) -> bool:
    return any(
        len(a) != len(b) or any(math.dist(p, q) > _ALIKE for p, q in zip(a, b, strict=False))
        for a, b in zip(one, other, strict=True)
    )


def _circles(path: str) -> list[tuple[float, float]]:
    """Find the middles of circles that are drawn as two arcs from their left."""
    found = re.findall(r"M(-?[\d.]+) (-?[\d.]+)a([\d.]+) ", path)
    return [(float(x) + float(radius), float(y)) for x, y, radius in found]


def _on_board(
    at: tuple[float, float], side: str, length_mm: float, width_mm: float
) -> tuple[float, float]:
    """Carry a place of a picture onto the board: y counts down, the bottom is seen from below."""
    x = length_mm - at[0] if side == Side.BOTTOM.value else at[0]
    return (x, width_mm - at[1])

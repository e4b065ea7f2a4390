"""Lists, order sheet and placement pictures held against the copper and the board, by own code.

A person buys, orders and solders by these papers: what they say is read again as a person would
read it, and none of the code that wrote them is used.
"""

import csv
import io
import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from boardgen.model.board import Part
from boardgen.model.design import Design
from boardgen.model.led_data import METRIC_CODES
from boardgen.model.lettering import Lettering
from boardgen.model.proof import Difference, Kind, Proof, ProofItem, SeenPin
from boardgen.model.shapes import Contour
from boardgen.model.side import Side
from boardgen.readback.assembled import assembled_faults
from boardgen.readback.diagram import diagram_faults
from boardgen.readback.dimensions import dimension_faults
from boardgen.readback.edges import box_nm
from boardgen.readback.pictures import Shown, picture_faults, unseen
from boardgen.readback.web_pages import web_page_faults
from boardgen.tolerances import SAME_SHARE
from boardgen.units import NM_PER_MM

_NEAR_MM = 0.0006
"""Lists are written to a micrometre."""
_SPAN_MM = 0.6
"""So far beyond its lands a part's middle may lie: own lands need not be alike."""
_LIKE_MM = 0.002
"""Of two equal parts, each place is written to a micrometre."""
_LEADED = ("connector", "switch")
_LEADED_MM = 15.0
"""So far a housing's middle may lie from its pins: a coin cell holder's by its radius."""
_OFF_DEG = 0.05
"""Lands are written to a nanometre: their middles tell an angle far better than this."""
_JOINED = "E"
_BARE = ("TP", _JOINED)
"""Lands to which no part is soldered: for probes, and for the next board."""
_DIRECTIONS = {"right": (1, 0), "up": (0, 1), "left": (-1, 0), "down": (0, -1)}

_PAPERS = re.compile(
    r"assembly/(bom|placement)\.csv|assembly/placement-(top|bottom)(-\d+)?\.svg|(preview|finished)-(top|bottom)\.svg"
    r"|assembly/(guide|test-sheet)\.html|(report|order)\.html|film-(positive|mirrored)\.svg|schematic\.svg|(oblique|dimensions|light|assembled)\.svg|order\.md|findings\.json|build\.json|[a-z0-9-]+-fabrication\.zip"
)

_ZIP = "-fabrication.zip"

ALWAYS = (
    "assembly/bom.csv", "assembly/placement.csv", "assembly/placement-top.svg", "findings.json",
    "order.md", "preview-bottom.svg", "preview-top.svg",
)  # fmt: skip
"""Papers of every board since they exist."""


def paper_items(
    papers: Mapping[str, bytes],
    proof: Proof,
    lettering: Lettering,
    design: Design | None = None,
) -> Iterator[ProofItem]:
    """Compare the papers of a board's folder.

    Parameters
    ----------
    papers : mapping of str to bytes
        Names below the board's folder, ``fabrication/`` left out.
    proof : Proof
        Of the fabrication files: its pins and measures are what the papers have to say.
    lettering : Lettering
        How letters are drawn in pictures.
    design : Design, optional
        What they ought to say; without it values are not known, only places and counts.
    """
    strange = [
        name
        for name in papers
        if not _PAPERS.fullmatch(name)
        or (proof.name and name.endswith(_ZIP) and name != f"{proof.name}{_ZIP}")
    ]
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
    shown = _shown(papers, proof, lettering)
    yield from _picture_items(papers, proof, shown, design)
    for name in sorted(papers):
        if name.endswith(".html"):
            yield _item(name, 1, web_page_faults(papers[name]))
    if shown:
        yield _item("parts and sheets", len(shown.sides), unseen(papers, proof.pins, shown))


def _picture_items(
    papers: Mapping[str, bytes], proof: Proof, shown: Shown | None, design: Design | None
) -> Iterator[ProofItem]:
    if "schematic.svg" in papers:
        placed = _rows(papers.get("assembly/placement.csv", b""))
        yield _item("schematic.svg", len(placed), diagram_faults(papers["schematic.svg"], placed))
    for name in sorted(papers):
        if name.endswith(".svg") and name != "schematic.svg":
            yield _item(name, 1, picture_faults(name, papers[name], proof.pins, shown, design))
    if "assembled.svg" in papers:
        placed = _rows(papers.get("assembly/placement.csv", b""))
        leds = sum(row.get("part") == "led" for row in placed)
        faults = assembled_faults(
            papers["assembled.svg"], proof.drawn.get("profile", ()), proof.pins, leds
        )
        yield _item("boards joined and profile", leds, faults)
    if "dimensions.svg" in papers:
        holes = proof.drawn.get("unplated", ())
        faults = dimension_faults(papers["dimensions.svg"], proof.drawn.get("profile", ()), holes)
        yield _item("dimensions and holes", len(holes), faults)


def _shown(papers: Mapping[str, bytes], proof: Proof, lettering: Lettering) -> Shown | None:
    """Tell what placement pictures have to show: the placement list is held against the copper."""
    profile = next((drawn for name, drawn in proof.drawn.items() if "profile" in name), ())
    edges = [shape for shape, _ in profile if isinstance(shape, Contour)]
    if not edges or "assembly/placement.csv" not in papers:
        return None
    left, bottom, right, top = box_nm(edges[0])
    rows = _rows(papers["assembly/placement.csv"])
    return Shown(
        length_mm=(right - left) / NM_PER_MM,
        width_mm=(top - bottom) / NM_PER_MM,
        lettering=lettering,
        sides={row.get("reference", ""): row.get("side", "") for row in rows},
        values={
            row.get("reference", ""): _short_value(row.get("value") or "")
            for row in rows
            if row.get("part") == "resistor"
        },
        bare=_bare(proof.pins, rows),
        marked={
            row.get("reference", ""): "A" if pole == "anode" else "K"
            for row in rows
            if (pole := _mark(row.get("mark"))[1])
        },
    )


_Row = dict[str, str]


def _bare(pins: Sequence[SeenPin], rows: Sequence[_Row]) -> dict[str, str]:
    """Tell on which side lands without a part are shown: those of a joint as the connector is."""
    beside = next((row.get("side", "") for row in rows if row.get("part") == "connector"), "")
    return {
        pin.reference: beside if pin.reference.startswith(_JOINED) else pin.side
        for pin in pins
        if pin.reference.startswith(_BARE)
    }


def _short_value(value: str) -> str:
    """Write a value as pictures have it: 150 ohm is 150, 2.7 kohm is 2.7k."""
    return value.replace(" ", "").removesuffix("ohm")


def _item(title: str, compared: int, texts: Iterator[str] | Sequence[str]) -> ProofItem:
    found = tuple(Difference(kind=Kind.LIST, text=text) for text in texts)
    return ProofItem(title=title, compared=compared, differences=found)


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
    yield from _otherwise(placed, pins)


def _otherwise(placed: Sequence[_Row], pins: Mapping[str, Sequence[SeenPin]]) -> Iterator[str]:
    """Find parts that stand to their lands otherwise than the first of their kind does."""
    usual: dict[tuple[str | None, ...], tuple[float, float]] = {}
    for row in placed:
        own = pins.get(row.get("reference", ""), ())
        if not own:
            continue
        turn = math.radians(_number(row.get("rotation_deg")))
        dx = _number(row.get("x_mm")) - sum(pin.x_mm for pin in own) / len(own)
        dy = _number(row.get("y_mm")) - sum(pin.y_mm for pin in own) / len(own)
        seen = (dx * math.cos(turn) + dy * math.sin(turn),
                dy * math.cos(turn) - dx * math.sin(turn))  # fmt: skip
        # The values of one kind may differ, its lands do not; LEDs of two kinds have two.
        value = row.get("value") if row.get("part") == "led" else ""
        first = usual.setdefault((row.get("part"), value, row.get("side")), seen)
        if not math.dist(seen, first) <= _LIKE_MM:
            yield (f"{row['reference']} stands {math.dist(seen, first):.3f} mm otherwise to its"
                   " lands than its likes")  # fmt: skip


def _row_faults(row: _Row, own: Sequence[SeenPin]) -> Iterator[str]:
    x, y, turn = (_number(row.get(key)) for key in ("x_mm", "y_mm", "rotation_deg"))
    first = min(own, key=lambda pin: int(pin.number) if pin.number.isdigit() else 0)
    if row.get("side") not in [side.value for side in Side]:
        yield "has no side"
    if row.get("fitted") != "yes":
        yield "is not fitted in the list, and boardgen leaves out nothing"
    surface = {pin.side for pin in own}
    leaded = row.get("part") in _LEADED
    if leaded or row.get("part") in ("led", "resistor", "fuse", "diode", "transistor"):
        if not leaded and surface != {row.get("side")}:
            yield f"lies on the {row.get('side')} in the list, its lands on the {min(surface)}"
        xs, ys = [pin.x_mm for pin in own], [pin.y_mm for pin in own]
        span = _LEADED_MM if leaded else _SPAN_MM
        inside = min(xs) - span <= x <= max(xs) + span and min(ys) - span <= y <= max(ys) + span
        if not inside:
            yield f"stands at ({x:g}, {y:g}) mm in the list, its lands elsewhere"
        # At 0 degrees pin 1 lies to the left, turned over to the right; the last lies opposite.
        other = max(own, key=lambda pin: math.dist((pin.x_mm, pin.y_mm), (first.x_mm, first.y_mm)))
        towards = (first.x_mm - other.x_mm, first.y_mm - other.y_mm)
        over = row.get("side") == Side.BOTTOM.value
        in_line = len(own) == 2 or leaded  # noqa: PLR2004
        if in_line and not _points(turn if over else turn + 180.0, towards):
            yield f"is turned by {turn:g} degrees in the list, its pin 1 lies elsewhere"
    mark = row.get("mark", "")
    if mark:
        function = "A" if _mark(mark)[1] == "anode" else "K"
        pin = next((pin for pin in own if pin.function == function), None)
        told_way = row.get("mark_points", "")
        if pin is None or not _told(told_way, (pin.x_mm - x, pin.y_mm - y)):
            told = row.get("mark_points")
            yield f"has its mark, {mark}, {told} in the list; the land is not there"


def _told(words: str, way: tuple[float, float]) -> bool:
    """Tell whether a way is the one that words tell: "up", "up right", none other nearer.

    One word alone stood for every way within an eighth of a turn before there were two.
    """
    told = [_DIRECTIONS.get(word) for word in words.split()]
    if not 1 <= len(told) <= len(_MOST_OFF_DEG) or None in told:
        return False
    x, y = (sum(ways) for ways in zip(*filter(None, told), strict=True))
    off_deg = math.degrees(math.atan2(way[1], way[0]) - math.atan2(y, x))
    apart = abs((off_deg + 180.0) % 360.0 - 180.0)
    return math.hypot(x, y) > 0 and math.hypot(*way) > 0 and apart <= _MOST_OFF_DEG[len(told) - 1]


_MOST_OFF_DEG = (46.0, 24.0)


def _points(angle_deg: float, way: tuple[float, float]) -> bool:
    """Tell whether a way leads into a direction."""
    off_deg = math.degrees(math.atan2(way[1], way[0])) - angle_deg
    return math.hypot(*way) > 0 and abs((off_deg + 180.0) % 360.0 - 180.0) < _OFF_DEG


def _bought(bought: Sequence[_Row], placed: Sequence[_Row]) -> Iterator[str]:
    """Hold quantities against references, and these against the placement list, value by value."""
    kinds = {row.get("reference", ""): (row.get("part"), row.get("value")) for row in placed}
    marks = {row.get("reference", ""): _mark(row.get("mark")) for row in placed}
    seen = Counter[str]()
    for row in bought:
        names = (row.get("references") or "").split()
        seen.update(names)
        if row.get("quantity") != str(len(names)):
            yield f"{row.get('quantity')} x {row.get('value')} are listed for {len(names)} places"
        for name in names:
            if kinds.get(name) != (row.get("part"), row.get("value")):
                bought_as = f"{row.get('part')} {row.get('value')}"
                placed_as = " ".join(map(str, kinds.get(name, ("nowhere",))))
                yield f"{name} is {bought_as} in one list and {placed_as} in the other"
        yield from _marking_faults(row)
        yield from _size_faults(row)
        if row.get("fitted") != "yes":
            yield f"{row.get('value')} is not fitted in the list, and boardgen leaves out nothing"
        for name in names:
            if row.get("part") == "led" and _mark(row.get("marking")) != marks.get(name):
                yield f"{name} is marked {row.get('marking')} in one list, otherwise in the other"
    yield from (f"{name} is placed, but not bought" for name in sorted(kinds.keys() - seen.keys()))
    yield from (f"{name} is bought {count} times" for name, count in seen.items() if count > 1)


def _mark(text: str | None) -> tuple[str, str]:
    """Read a mark and the land that it stands at."""
    mark, _, pole = (text or "").replace(": ", ", ").rpartition(", ")
    if pole == "not cathode":
        mark, pole = mark.rpartition(", ")[0], "anode"
    return mark, pole


def _size_faults(row: _Row) -> Iterator[str]:
    """Hold a chip's two codes against one another and against the name of its lands."""
    inch, metric = row.get("size_inch") or "", row.get("size_metric") or ""
    if inch and METRIC_CODES.get(inch) != metric:
        yield f"{row.get('value')}: {inch} is {METRIC_CODES.get(inch)} in metric, not {metric}"
    lands = row.get("land_pattern") or ""
    if metric and not re.search(rf"(?<!\d){metric}(?!\d)", lands):
        yield f"{row.get('value')} is {metric} in the list, its lands are {lands}"


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
        if read is not None and not math.isclose(read, value, rel_tol=SAME_SHARE):
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
    for row in bought:
        for said, meant in _bought_as(row, design).items():
            if (row.get(said) or "") not in meant:
                yield f"{row.get('value')}: {said} is {row.get(said)!r}, not {' or '.join(meant)}"
        yield from _resistor_faults(row, design)
        yield from _remark_faults(row, design)


def _remark_faults(row: _Row, design: Design) -> Iterator[str]:
    """Hold what a remark says by its numbers: amperes, volts, and where "on" is."""
    parameters, part = design.parameters, row.get("part") or ""
    leds = {channel.led.name: channel.led.data for channel in design.circuit.channels}
    wanted: dict[str, tuple[float, ...]] = {}
    if data := leds.get(row.get("value") or ""):
        wanted[part] = (data.vf.typical_v, data.vf.at_a * 1000)
    wanted["connector"] = (parameters.parts.connector.rating_a,)
    if parameters.parts.switch:
        wanted["switch"] = (parameters.parts.switch.rating_a,)
    for guard in parameters.parts.guards:
        wanted[guard.kind] = (guard.rating_a, guard.max_voltage_v)
    said = tuple(
        map(float, re.findall(r"(?<![\w.])\d+(?:\.\d+)?(?= (?:m?A|V)\b)", row.get("remark") or ""))
    )
    if part in wanted and said != wanted[part]:
        numbers = " and ".join(f"{number:g}" for number in wanted[part])
        yield f"{row.get('value')}: its remark says {row.get('remark')!r}, not {numbers}"
    if part == "switch" and parameters.parts.switch:
        printed = parameters.parts.switch.printed
        if (row.get("marking") or "") != printed:
            yield f"{row.get('value')}: {row.get('marking')!r} is said of it, not {printed!r}"


def _bought_as(row: _Row, design: Design) -> dict[str, tuple[str, ...]]:
    """Say what a row of the parts list has to hold; an LED is known by its name."""
    part = row.get("part") or ""
    leds = {channel.led.name: channel.led.data for channel in design.circuit.channels}
    led = leds.get(row.get("value") or "")
    if part == "led" and led is None:
        return {"value": tuple(leds)}
    size = led.size if led else {"resistor": design.parameters.parts.resistor.size}.get(part)
    inch = size if size in METRIC_CODES else ""
    wanted: dict[str, tuple[str, ...]] = {"fitted": ("yes",)}
    if part in ("resistor", "led"):
        wanted["size_inch"] = (inch or "",)
        wanted["size_metric"] = (METRIC_CODES[inch] if inch else size or "",)
    if part == "led" and led:
        end = "cathode" if led.cathode else "anode, not cathode"
        wanted["marking"] = (f"{led.mark}: {end}",)
    return wanted


def _resistor_faults(row: _Row, design: Design) -> Iterator[str]:
    """Compare what a resistor bears and its tolerance: numbers, however they are written."""
    if row.get("part") != "resistor":
        return
    resistor = design.parameters.resistor
    share = _number((row.get("tolerance") or "").removesuffix(" %"))
    if not math.isclose(share, resistor.tolerance * 100, abs_tol=SAME_SHARE):
        yield f"resistors are of {share:g} % in the list"
    rated_w, wanted_w = _number(row.get("rating_w")), design.parameters.parts.resistor.rating_w
    if not math.isclose(rated_w, resistor.rating_w or wanted_w, rel_tol=SAME_SHARE):
        yield f"resistors bear {rated_w:g} W in the list"


def _unlike_part(row: _Row, part: Part, wanted_ohm: float | None) -> Iterator[str]:
    at, name = (_number(row.get("x_mm")), _number(row.get("y_mm"))), part.reference
    if not math.dist(at, (part.x_mm, part.y_mm)) <= _NEAR_MM * 2:
        meant = f"({part.x_mm:g}, {part.y_mm:g})"
        yield f"{name} stands at {at} mm in the list, on the board at {meant}"
    if _number(row.get("rotation_deg")) != part.pose.turn_deg or row["side"] != part.side.value:
        yield f"{name} is turned or sided otherwise in the list"
    said = row.get("value") or ""
    if wanted_ohm is None:
        if said != part.value:
            yield f"{name} is {said} in the list, {part.value} on the board"
        return
    read = _ohms(said)
    if read is None or not math.isclose(read, wanted_ohm, rel_tol=SAME_SHARE):
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
    for zipped in re.findall(rf"[a-z0-9-]+{_ZIP}", text):
        if proof.name and zipped != f"{proof.name}{_ZIP}":
            yield f"the order sheet names {zipped}, the board is {proof.name}"
    many = re.search(r"## How many\s+(?:Order )?(\d+)\b", text)
    if design and (many is None or int(many[1]) != design.parameters.order.quantity):
        asked = design.parameters.order.quantity
        yield f"the order sheet asks for {many[1] if many else 'no'} boards, not for {asked}"

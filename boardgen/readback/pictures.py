"""Pictures of a package held against the copper, by own code: nothing but what boardgen draws."""

import math
import re
import xml.etree.ElementTree as ET
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from boardgen.model.design import Design
from boardgen.model.land_pattern import LandShape
from boardgen.model.lettering import Lettering
from boardgen.model.proof import SeenPin
from boardgen.model.side import Side
from boardgen.readback.drawn import foreign
from boardgen.readback.expected import placed
from boardgen.readback.sheets import drawn_once, sheet_faults, windows

_LETTERS = {"cathodes": ("K", "K"), "anodes": ("A", "A"), "plus": ("+", "+"), "minus": ("-", "−")}
"""For each path of the picture: the pins' function, and the letter that has to be drawn."""

_PAINT = {"fill", "stroke", "stroke-width"}
_LINK = "{http://www.w3.org/1999/xlink}href"
_DRAWN = {
    "svg": {"baseProfile", "height", "version", "viewBox", "width", "x", "y"},
    "defs": set[str](),
    "g": {"id"},
    "use": {_LINK},
    "text": {"x", "y", "font-size", "font-family", "text-anchor"},
    "title": set[str](),
    "desc": set[str](),
    "rect": {"x", "y", "width", "height", "rx", *_PAINT},
    "path": {"id", "d", "fill-rule", "stroke-linecap", *_PAINT},
}
"""All elements and attributes of boardgen's pictures; on the board letters are drawn as lines."""
_WORDS = ("title", "desc", "text")
_PLAIN = re.compile(r"[\w#., -]*")
"""What stands in their attributes: numbers, names, colours, paths; nothing that leads elsewhere."""
_LARGEST_PICTURE = 20_000_000
_ALIKE = 0.02
_SIZED_MM = 0.01
"""Width and box are each rounded to a micrometre, and the one is several times the other."""
_DRAWN_MM = 0.001
"""Pictures are written to a micrometre."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What a placement picture has to show: the board's size, where parts sit, what marks tell.

    ``sides`` are those of the parts by their references; ``marked`` the function of the land at
    which a part shows its mark; ``values`` what stands beside resistors; ``bare`` are the sides of
    test points, which are drawn but not placed.
    """

    length_mm: float
    width_mm: float
    lettering: Lettering
    sides: Mapping[str, str]
    marked: Mapping[str, str]
    values: Mapping[str, str]
    bare: Mapping[str, str]


def picture_faults(
    name: str, content: bytes, pins: Sequence[SeenPin], shown: Shown | None, design: Design | None
) -> Iterator[str]:
    """Hold a picture: nothing that runs in it; letters and marks at the pins that they name."""
    if len(content) > _LARGEST_PICTURE or b"<!" in content or b"<?" in content:
        yield "is larger, or of another kind, than boardgen draws"
        return
    try:
        root = ET.fromstring(content)  # noqa: S314 - no entities, bounded above
    except ET.ParseError:
        yield "is no picture that can be read"
        return
    yield from (fault for element in root.iter() for fault in _foreign(element))
    side = next((side for side in ("top", "bottom") if f"-{side}" in name), "")
    if not any(element.tag.endswith("path") for element in root.iter()):
        yield "is empty"
    elif name.startswith("assembly/"):
        if (drawn := drawn_once(root)) is not None:
            yield from sheet_faults(root, side)
            yield from _layers(drawn)
        else:
            yield from _earlier(root, side)
        if shown:
            yield from _letters(root, side, pins, shown)
            yield from _named(root, side, shown)
        if design:
            yield from _boxes(root, side, design)


_ORDER = ("board", "lands", "bodies", "marks", "words", *_LETTERS, "on")
_FILLED = {"board": "white", "marks": "#000000"}


def _layers(drawn: ET.Element) -> Iterator[str]:
    """Hold the layers of a placement picture: each once, in order, none that covers another."""
    paths = [element for element in drawn.iter() if element.tag.endswith("path")]
    names = [element.get("id") for element in paths]
    if names != [name for name in _ORDER if name in names] or any(
        element.tag.endswith("rect") for element in drawn.iter()
    ):
        yield "its layers are not those that boardgen draws"
    for element in paths:
        if element.get("fill") != _FILLED.get(element.get("id") or "", "none"):
            yield f"{element.get('id')} is filled as boardgen never fills it"


def _earlier(root: ET.Element, side: str) -> Iterator[str]:
    """Hold a picture as boardgen drew them up to 0.12: the board alone, enlarged, on no sheet."""
    yield from _layers(root)
    title = next((e.text or "" for e in root.iter() if e.tag.endswith("title")), "")
    told = re.search(r"parts on the (\w+), enlarged (\d+) times", title)
    width = float((root.get("width") or "0").removesuffix("mm") or 0)
    box = [float(number) for number in re.findall(r"-?[\d.]+", root.get("viewBox", ""))]
    if told is None or told[1] != side or len(box) != _CORNERS:
        yield "its title is not that of its side"
    elif not math.isclose(width, box[2] * int(told[2]), abs_tol=_SIZED_MM):
        yield f"is not enlarged {told[2]} times as it says"


def _foreign(element: ET.Element) -> Iterator[str]:
    """Tell what boardgen draws nowhere: whatever may run, load, cover or say something else."""
    yield from foreign(element, _DRAWN, _PLAIN)
    tag = element.tag.rpartition("}")[2]
    if tag not in _WORDS and (element.text or "").strip():
        yield f"holds words in a {tag}"
    if (element.tail or "").strip():
        yield "holds words between what is drawn"


def _named(root: ET.Element, side: str, shown: Shown) -> Iterator[str]:
    """Hold the strokes of all names, and of resistors' values, against the parts of a side.

    Pictures of earlier versions show no values.
    """
    if drawn_once(root) is None:
        return
    texts = [name for name, on in shown.sides.items() if on == side]
    texts += [shown.values[name] for name in texts if name in shown.values]
    texts += [name for name in shown.bare if shown.bare[name] == side]
    wanted = sum(len(shown.lettering.glyphs[letter]) for text in texts for letter in text)
    data = next((e.get("d", "") for e in root.iter() if e.get("id") == "words"), "")
    if len(_strokes(data)) != wanted:
        yield "its names and values are not those of its parts"


def _letters(root: ET.Element, side: str, pins: Sequence[SeenPin], shown: Shown) -> Iterator[str]:
    paths = {element.get("id"): element.get("d", "") for element in root.iter()}
    # Leads show on both sides; the part sits on one.
    own = list({(p.reference, p.number): p for p in pins if shown.sides.get(p.reference) == side}
               .values())  # fmt: skip

    def on_board(at: tuple[float, float]) -> tuple[float, float]:
        return _on_board(at, side, shown.length_mm, shown.width_mm)

    for name, (function, letter) in _LETTERS.items():
        wanted = [pin for pin in own if pin.function == function]
        drawn = _drawn_letters(paths.get(name, ""), letter, shown.lettering)
        if drawn is None:
            yield f"{name}: what is drawn is no {letter}"
            continue
        yield from _at_pins(f"the {letter}", list(map(on_board, drawn)), wanted, own)
    spots = list(map(on_board, _circles(paths.get("marks", ""))))
    wanted = [pin for pin in own if shown.marked.get(pin.reference) == pin.function]
    yield from _at_pins("the mark", spots, wanted, own)
    desc = next((e.text or "" for e in root.iter() if e.tag.endswith("desc")), "")
    told = set(re.findall(r"at its (cathode|anode)", desc))
    meant = {_POLES[pin.function] for pin in wanted if pin.reference in shown.marked}
    if wanted and not told <= meant:
        yield f"its words say that marks are at the {' or '.join(sorted(told - meant))}"


_POLES = {"K": "cathode", "A": "anode"}


def _boxes(root: ET.Element, side: str, design: Design) -> Iterator[str]:
    """Hold every drawn land and body against its part: where it lies, and at what angle."""
    paths = {element.get("id"): element.get("d", "") for element in root.iter()}
    outline = design.board.outline
    drawn: dict[str, dict[tuple[int, int], list[_Corners]]] = {}
    for name in ("lands", "bodies"):
        drawn[name] = defaultdict(list)
        for stroke in _strokes(paths.get(name, "")):
            if len(stroke) == _CORNERS:
                corners = [_on_board(at, side, outline.length_mm, outline.width_mm)
                           for at in stroke]  # fmt: skip
                drawn[name][_cell(corners)].append(corners)
    for part in (part for part in design.board.parts if part.side.value == side):
        boxes = [("lands", f"land {land.name}", land.extent)
                 for land in part.pattern.lands if land.shape is LandShape.RECTANGLE]  # fmt: skip
        if not part.pattern.bodiless:
            boxes.append(("bodies", "body", part.pattern.body))
        for name, what, box in boxes:
            wanted = [placed(part, x, y) for x in (box.left_mm, box.right_mm)
                      for y in (box.bottom_mm, box.top_mm)]  # fmt: skip
            x, y = _cell(wanted)
            near = (corners for dx in (-1, 0, 1) for dy in (-1, 0, 1)
                    for corners in drawn[name].get((x + dx, y + dy), ()))  # fmt: skip
            if not any(_same_corners(wanted, corners) for corners in near):
                yield f"the {what} of {part.reference} is not drawn as it lies"


_CORNERS = 4
_Corners = Sequence[tuple[float, float]]


def _cell(corners: _Corners) -> tuple[int, int]:
    """Name the hundredth of a millimetre that holds the middle of four corners."""
    xs, ys = zip(*corners, strict=True)
    return (round(sum(xs) * 100 / _CORNERS), round(sum(ys) * 100 / _CORNERS))


def _same_corners(wanted: _Corners, corners: _Corners) -> bool:
    return all(min(math.dist(at, corner) for corner in corners) <= _DRAWN_MM for at in wanted)


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

    def nearest(pin: SeenPin) -> float:
        return min(math.dist(place, (pin.x_mm, pin.y_mm)) for place in places)

    # A pin whose own sign lies further off than its neighbour's comes after that neighbour.
    for pin in sorted(wanted, key=nearest):
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


def unseen(papers: Mapping[str, bytes], pins: Sequence[SeenPin], shown: Shown) -> Iterator[str]:
    """Name parts that no sheet of their side shows in full; earlier pictures were no sheets."""
    for side in Side:
        boxes = []
        for name in sorted(papers):
            if not name.startswith(f"assembly/placement-{side.value}"):
                continue
            try:
                root = ET.fromstring(papers[name])  # noqa: S314 - held before, bounded
            except ET.ParseError:
                return
            if drawn_once(root) is None:
                return
            boxes += [box for box, *_ in windows(root)]
        for reference in sorted(ref for ref, on in shown.sides.items() if on == side.value):
            own = [pin for pin in pins if pin.reference == reference]
            if not all(any(_sees(box, pin, side, shown) for box in boxes) for pin in own):
                yield f"{reference} is on no sheet of its side"


def _sees(box: Sequence[float], pin: SeenPin, side: Side, shown: Shown) -> bool:
    x = shown.length_mm - pin.x_mm if side is Side.BOTTOM else pin.x_mm
    y = shown.width_mm - pin.y_mm
    return box[0] <= x <= box[0] + box[2] and box[1] <= y <= box[1] + box[3]

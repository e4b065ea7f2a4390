"""Films and placement pictures, read back by their numbers."""

import math
import re
import xml.etree.ElementTree as ET
from collections import Counter
from typing import Any

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from boardgen.build import Built
from boardgen.model.artwork import LayerKind
from boardgen.model.board import PartKind, Side
from boardgen.model.findings import Severity
from boardgen.pages.placement import placements
from boardgen.pages.preview import previews
from boardgen.pages.starter import FORM_NAMES, starter
from boardgen.pages.steps import led_picture, step_pictures
from boardgen.pages.view import flattened
from boardgen.readback.images import image
from boardgen.readback.objects import Seen
from boardgen.reading import catalogue
from tests.conftest import RING, ROOT, SHELF, built_of, design_of, every, merged

SVG = "{http://www.w3.org/2000/svg}"
ETCHED = merged(SHELF, {"order": {"house": "home-etched"}, "light": {"count": 4}})


def picture(built: Built, path: str) -> ET.Element:
    (content,) = [file.content for file in built.files if file.path == path]
    return ET.fromstring(content.decode())  # noqa: S314 - our own file


def area(path: ET.Element) -> BaseGeometry:
    """Turn path data of closed rings into an area by the even-odd rule."""
    shown: BaseGeometry = shapely.Polygon()
    for ring in re.findall(r"M([^MZ]+)Z", path.get("d", "")):
        numbers = [float(text) for text in re.findall(r"-?[\d.]+", ring)]
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        shown = shown.symmetric_difference(shapely.make_valid(shapely.Polygon(points)))
    return shown


@pytest.fixture(scope="module")
def built() -> Built:
    return built_of(ETCHED)


def copper(built: Built) -> BaseGeometry:
    """Compute the copper by the proof's own geometry, in mm, y downwards as in pictures."""
    items = built.design.artwork.layer(LayerKind.COPPER, Side.TOP).items
    shown = image([Seen(shape=item.shape, dark=item.dark, function="") for item in items])
    width = built.design.board.outline.width_mm
    return shapely.transform(shown, lambda at: at / 1e6 * [1, -1] + [0, width])


@pytest.mark.parametrize("name", ["positive", "mirrored"])
@pytest.mark.thorough
def test_a_film_is_the_copper_at_true_scale(built: Built, name: str) -> None:
    root = picture(built, f"film-{name}.svg")
    size = [float(root.get(key, "").removesuffix("mm")) for key in ("width", "height")]
    box = [float(part) for part in root.get("viewBox", "").split()]
    assert size == pytest.approx(box[2:])  # one unit is one millimetre
    paths = root.findall(f".//{SVG}path")
    black = [path for path in paths if path.get("fill") == "black"]
    assert len(black) == 1
    shown = area(black[0])
    if name == "mirrored":
        length = built.design.board.outline.length_mm
        shown = shapely.transform(shown, lambda at: at * [-1, 1] + [length, 0])
    holes = built.design.artwork.holes
    width = built.design.board.outline.width_mm
    drilled = shapely.union_all(
        [
            shapely.Point(h.centre[0] / 1e6, width - h.centre[1] / 1e6).buffer(h.diameter_nm / 2e6)
            for h in holes
        ]
    )
    apart = shown.symmetric_difference(copper(built)).buffer(-0.01).difference(drilled)
    assert apart.area < 0.001
    for hole in holes:
        at = shapely.Point(hole.centre[0] / 1e6, width - hole.centre[1] / 1e6)
        assert not shown.intersects(at.buffer(0.19))  # open centre of 0.4 mm
        assert shown.intersects(at.buffer(0.22))


def test_rulers_of_fifty_millimetres_lie_on_both_axes(built: Built) -> None:
    data = " ".join(
        path.get("d", "") for path in picture(built, "film-positive.svg").findall(f".//{SVG}path")
    )
    lines = re.findall(r"M(-?[\d.]+) (-?[\d.]+)L(-?[\d.]+) (-?[\d.]+)(?=M|$| )", data)
    spans = {(float(c) - float(a), float(d) - float(b)) for a, b, c, d in lines}
    assert (50.0, 0.0) in spans
    assert (0.0, 50.0) in spans


def test_two_copper_sides_need_no_film() -> None:
    assert not [file for file in built_of(SHELF).files if file.path.startswith("film")]


def test_words_in_copper_read_properly_on_the_copper_side(built: Built) -> None:
    texts = {text.text for text in built.design.board.texts}
    assert {"copper side", "+", "−", "Shelf bar 8 rev A"} <= texts
    assert {text.side for text in built.design.board.texts} == {Side.TOP}


def test_a_placement_picture_names_every_part_of_its_side(built: Built) -> None:
    for side in Side:
        parts = [part for part in built.design.board.parts if part.side is side]
        root = picture(built, f"assembly/placement-{side.value}.svg")
        assert f"parts on the {side.value}" in ET.tostring(root, encoding="unicode")
        paths = root.findall(f".//{SVG}path")
        bodies = next(path for path in paths if path.get("id") == "bodies")
        assert bodies.get("d", "").count("Z") == len(parts)


WHOLE: dict[str, dict[str, dict[str, Any]]] = {
    "wire pads alone on the bottom": {
        "connector": {"kind": "wire pads", "side": "bottom"},
        "light": {"count": 6},
    },
    "a disc of 164 mm with LEDs askew": {
        "supply": {"from": "adapter 24 V"},
        "light": {"count": 19, "current": "15 mA", "use": None},
        "resistor": {"size": "2512"},
        "form": {"kind": "disc", "filling": "concentric", "facing": "outward", "pitch": "37.4 mm"},
        "connector": {"side": "bottom", "at": "bottom"},
    },
}


WHOLE["an arc of 154 mm whose joint lands stand near a K"] = {
    "supply": {"from": "adapter 24 V"},
    "light": {"led": "amber 3528", "count": 12, "in_series": 6, "current": "12 mA", "use": None},
    "form": {"kind": "arc", "pitch": "15 mm", "from": "180 deg", "to": "60 deg"},
    "joint": {"boards": 3},
    "connector": {"kind": "joint lands"},
    "mounting": {"at": "sites", "every": 7, "screw": "M2"},
}


@pytest.mark.parametrize("name", every(WHOLE, lambda at: at < 1))
def test_a_board_about_as_large_as_a_sheet_is_shown_whole(name: str) -> None:
    """Once a single K without room, or a single part far off, made sixteen sheets of a board."""
    design = design_of(merged(SHELF, WHOLE[name]))
    outline, files = design.board.outline, placements(design)
    sides = {part.side for part in design.board.parts}
    assert [file.path for file in files] == [
        f"assembly/placement-{side.value}.svg" for side in Side if side in sides
    ]
    for file in files:
        root = ET.fromstring(file.content.decode())  # noqa: S314 - our own file
        (strip,) = root.findall(f"{SVG}svg")
        left, top, wide, high = map(float, strip.get("viewBox", "").split())
        assert left <= 0
        assert top <= 0
        assert left + wide >= outline.length_mm
        assert top + high >= outline.width_mm


SIGNS: dict[str, dict[str, dict[str, Any]]] = {
    "a switch behind the terminal": {"connector": {"switch": "slide switch"}},
    "a guard behind it": {
        "connector": {"kind": "terminal 5.08 mm", "at": "middle"},
        "protection": {"reverse": "schottky"},
    },
    "three poles": {"connector": {"kind": "terminal 3.5 mm", "poles": 3, "at": "right"}},
    "nothing printed": {"order": {"legend": "none"}},
}


@pytest.mark.parametrize("name", every(SIGNS, lambda at: at < 1))
def test_signs_in_the_placement_picture_lie_on_no_other_part(name: str) -> None:
    """A + between the pins of the switch looks like a mark of the switch."""
    built = built_of(merged(SHELF, SIGNS[name]))
    board = built.design.board
    root = picture(built, "assembly/placement-top.svg")
    drawn = {element.get("id"): element.get("d", "") for element in root.iter()}
    for sign, owner in (("plus", "J1"), ("minus", "J1"), ("on", "S1")):
        for stroke in drawn.get(sign, "").split("M")[1:]:
            numbers = [float(text) for text in re.findall(r"-?[\d.]+", stroke)]
            for part in board.parts:
                body = part.extent(part.pattern.body)
                low, high = (board.outline.width_mm - y for y in (body.top_mm, body.bottom_mm))
                box = shapely.box(body.left_mm, low, body.right_mm, high)
                places = zip(numbers[::2], numbers[1::2], strict=True)
                met = any(box.contains(shapely.Point(at)) for at in places)
                assert part.reference == owner or not met, (sign, part.reference)


GUARDED: dict[str, dict[str, Any]] = {
    "connector": {"kind": "terminal 5.08 mm", "at": "middle"},
    "protection": {"fuse": "500 mA resettable", "reverse": "schottky"},
    "light": {"led": "white 1206"},
}


LONG = merged(SHELF, {"light": {"count": 40}, "form": {"pitch": "17 mm"}})
BOARDS = {
    "guards": merged(SHELF, GUARDED),
    "a ring": RING,
    "given places": (ROOT / "examples/village-lights/village-lights.toml").read_text("utf-8"),
    "700 mm": LONG,
    "crowded": merged(SHELF, {"form": {"pitch": "9 mm"}, "connector": {"switch": "slide switch"}}),
}


def sheets_of(text: str) -> list[ET.Element]:
    return [
        ET.fromstring(file.content)  # noqa: S314 - our own file
        for file in placements(design_of(text))
        if "-top" in file.path
    ]


def told_scale(sheet: ET.Element) -> float:
    (scale,) = re.findall(r"drawn ([\d.]+) times", sheet.findtext(f"{SVG}title") or "")
    return float(scale)


def strokes(path: ET.Element) -> list[shapely.LineString]:
    found = []
    for stroke in (path.get("d") or "").split("M")[1:]:
        numbers = [float(text) for text in re.findall(r"-?[\d.]+", stroke)]
        found.append(shapely.LineString(list(zip(numbers[::2], numbers[1::2], strict=True))))
    return found


NONE = ET.Element("path")
BELOW = {
    "a terminal": merged(SHELF, {"connector": {"side": "bottom"}}),
    "a cell and its switch": (ROOT / "examples/coin-badge/coin-badge.toml")
    .read_text("utf-8")
    .replace("[connector]", '[connector]\nside = "bottom"'),
}


@pytest.mark.parametrize("name", BELOW)
def test_names_of_few_parts_stand_off_their_outlines_and_signs(name: str) -> None:
    """J1 stood on the + of a small terminal, S1 on the edge of its switch."""
    (file,) = [file for file in placements(design_of(BELOW[name])) if "-bottom" in file.path]
    paths = {e.get("id"): e for e in ET.fromstring(file.content).iter() if e.get("id")}  # noqa: S314 - our own file
    pen = 0.99 * float(paths["words"].get("stroke-width", ""))
    signs = [line for name in ("plus", "minus", "on") for line in strokes(paths.get(name, NONE))]
    edges = [shapely.LinearRing(line.coords) for line in strokes(paths["bodies"])]
    for word in strokes(paths["words"]):
        assert min(word.distance(other) for other in (*edges, *signs)) > pen


def test_names_stand_off_the_boards_edge_where_they_can() -> None:
    """J1 lay across the notch of a board that is joined to others."""
    changes: dict[str, dict[str, Any]] = {
        "supply": {"from": "adapter 12 V"},
        "light": {"led": "green 0603", "count": 6, "current": "10 mA", "in_series": 3},
        "connector": {"kind": "joint lands"},
        "joint": {"boards": 2},
    }
    joined = merged(SHELF, changes)
    (sheet, *_) = sheets_of(joined)
    paths = {e.get("id"): e for e in sheet.iter() if e.get("id")}
    outline = design_of(joined).board.outline
    edge = shapely.LinearRing([(x, outline.width_mm - y) for x, y in flattened(outline.outer)])
    assert not [word for word in strokes(paths["words"]) if word.crosses(edge)]


@pytest.mark.parametrize("name", every(BOARDS, lambda at: at < 1))
def test_letters_are_read_and_lie_on_no_other_part(name: str) -> None:
    """D101, upright in a diode that stands upright too, was wider than its body.

    2 mm on paper: issue of ours. A letter may lie in the body that it names, in no other.
    """
    design = design_of(BOARDS[name])
    board = design.board
    boxes = {}
    for part in board.parts:
        lies = [(x, board.outline.width_mm - y) for x, y in part.corners(part.pattern.body)]
        boxes[part.reference] = shapely.Polygon(lies)
    sheet = sheets_of(BOARDS[name])[0]
    scale, paths = told_scale(sheet), {e.get("id"): e for e in sheet.iter() if e.get("id")}
    drawn = [line for name in ("words", "cathodes", "anodes") if name in paths
             for line in strokes(paths[name])]  # fmt: skip
    assert drawn
    for line in drawn:
        met = [name for name, box in boxes.items() if line.crosses(box.boundary)]
        assert not met, (line, met)
    tall = max(line.bounds[3] - line.bounds[1] for line in drawn)
    assert tall * scale >= 1.99


@pytest.mark.parametrize("name", every(BOARDS, lambda at: at < 1))
def test_strips_show_the_whole_board_once(name: str) -> None:
    """Windows beside one another make the board with its margin, at one scale, on any paper."""
    design, sheets = design_of(BOARDS[name]), sheets_of(BOARDS[name])
    windows = []
    for sheet in sheets:
        wide, high = (float(sheet.get(key, "").removesuffix("mm")) for key in ("width", "height"))
        # Letter is 215.9 x 279.4, A4 210 x 297 mm (ANSI Y14.1, ISO 216, from memory).
        assert wide <= 210 - 20
        assert high <= 279.4 - 20
        for shown in sheet.findall(f"{SVG}svg"):
            x, y, w, h = map(float, shown.get("viewBox", "").split())
            assert float(shown.get("width", "")) / w == pytest.approx(told_scale(sheet), rel=1e-3)
            windows.append(shapely.box(x, y, x + w, y + h))
    outline = design.board.outline
    whole = shapely.box(0, 0, outline.length_mm, outline.width_mm)
    assert shapely.union_all(windows).buffer(0.002).covers(whole)
    overlap = sum(window.area for window in windows) - shapely.union_all(windows).area
    assert overlap < 0.01 * whole.area


@pytest.mark.thorough
@pytest.mark.parametrize("pitch_mm", every([13, 15, 17, 19], lambda at: at == 0))
def test_no_cut_goes_through_a_part(pitch_mm: int) -> None:
    """At several pitches: an even cut of one alone may miss its parts by chance."""
    text = merged(LONG, {"form": {"pitch": f"{pitch_mm} mm"}})
    bodies = [part.extent(part.pattern.body) for part in design_of(text).board.parts]
    lefts = {
        float(shown.get("viewBox", "").split()[0])
        for sheet in sheets_of(text)
        for shown in sheet.findall(f"{SVG}svg")
    }
    assert len(lefts) > 2
    assert not [body for body in bodies for cut in lefts if body.left_mm < cut < body.right_mm]


def test_each_part_has_its_name_and_each_resistor_its_value() -> None:
    """Counted in strokes of letters: names of all parts, and 150 once for each resistor."""
    design, glyphs = design_of(SHELF), catalogue.lettering().glyphs
    words = next(e for e in sheets_of(SHELF)[0].iter() if e.get("id") == "words")
    names = "".join(part.reference for part in design.board.parts)
    values = "150" * sum(part.kind is PartKind.RESISTOR for part in design.board.parts)
    assert len(strokes(words)) == sum(len(glyphs[letter]) for letter in names + values)


FINISHED = {
    "all kinds of parts": merged(SHELF, GUARDED),
    "a ring": RING,
    "connector right, switch": merged(
        SHELF, {"connector": {"at": "right", "switch": "slide switch"}}
    ),
}


def filled(text: str, colour: str) -> list[shapely.Polygon]:
    """List the areas of a colour in the finished picture, in the board's millimetres."""
    design = design_of(text)
    (top,) = (file for file in previews(design) if file.path == "finished-top.svg")
    root = ET.fromstring(top.content)  # noqa: S314 - our own file
    found = []
    for path in root.iter(f"{SVG}path"):
        data = (path.get("d") or "").split("a")[0]
        numbers = [float(text) for text in re.findall(r"-?[\d.]+", data)]
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        if path.get("fill") == colour and len(points) > 2:
            wide = design.board.outline.width_mm
            found.append(shapely.Polygon([(x, wide - y) for x, y in points]))
    return found


@pytest.mark.parametrize("name", every(FINISHED, lambda at: at == 2))
def test_a_finished_led_shows_its_mark_over_the_marked_land(name: str) -> None:
    design = design_of(FINISHED[name])
    corners = [shape for shape in filled(FINISHED[name], "#161616")
               if len(shape.exterior.coords) == 4]  # fmt: skip
    leds = [part for part in design.board.parts if part.kind is PartKind.LED]
    assert len(corners) == len(leds)
    for part in leds:
        at = shapely.Point(part.x_mm, part.y_mm)
        corner = min(corners, key=lambda shape: shape.distance(at)).centroid
        own = part.land_place(part.pattern.land(part.pattern.marked_land))
        (other,) = (part.land_place(land) for land in part.pattern.lands
                    if land.name != part.pattern.marked_land)  # fmt: skip
        assert corner.distance(shapely.Point(own)) < corner.distance(shapely.Point(other))


@pytest.mark.parametrize("at", every(["left", "right"], lambda at: at == 1))
def test_wires_go_in_from_the_edge_and_the_lever_stands_at_on(at: str) -> None:
    text = merged(SHELF, {"connector": {"at": at, "switch": "slide switch"}})
    board = design_of(text).board
    entries = [shape for shape in filled(text, "#161616") if len(shape.exterior.coords) == 5]
    assert len(entries) == 2  # one a pole
    pins = board.part("J1")
    for entry in entries:
        x = entry.centroid.x
        assert (x < pins.x_mm) if at == "left" else (x > pins.x_mm)
    switch = board.part("S1")
    on = shapely.Point(switch.land_place(switch.pattern.by_function("on")))
    common = shapely.Point(switch.land_place(switch.pattern.by_function("common")))
    (lever,) = [shape for shape in filled(text, "#f4f4f0") if shape.distance(on) < 1.0]
    assert lever.centroid.distance(on) < lever.centroid.distance(common)


def luminance(colour: str) -> float:
    """Tell a colour's luminance by WCAG 2.1, relative luminance, from memory."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize(
    "mask", every(["white", "black", "green", "blue", "red", "yellow"], lambda at: at == 0)
)
def test_copper_under_every_mask_is_told_from_the_board_by_its_edge(mask: str) -> None:
    """At 3 : 1 (WCAG 2.1, 1.4.11, from memory): the line against the mask on both of its sides."""
    (top, *_) = previews(design_of(merged(SHELF, {"order": {"mask": mask}})))
    paths = {
        path.findtext(f"{SVG}title"): path
        for path in ET.fromstring(top.content).iter(f"{SVG}path")  # noqa: S314 - our own file
    }
    covered, bare = paths["copper under the mask"], paths["bare board under the mask"]
    line = covered.get("stroke", "")
    assert contrast(line, bare.get("fill", "")) >= 3.0
    assert contrast(line, covered.get("fill", "")) >= 3.0
    lands = paths["lands"]
    sides = [contrast(lands.get("stroke", ""), covered.get("fill", "")),
             contrast(lands.get("fill", ""), covered.get("fill", ""))]  # fmt: skip
    assert max(sides) >= 3.0


def test_a_board_without_mask_is_said_to_have_none() -> None:
    (top, *_) = previews(design_of(ETCHED))
    said = ET.fromstring(top.content).findtext(f"{SVG}desc") or ""  # noqa: S314 - our own file
    assert "no mask" in said


@pytest.mark.parametrize("size", every(["0402", "0603", "0805", "1206"], lambda at: at == 1))
def test_small_resistors_take_no_more_sheets_than_large_ones(size: str) -> None:
    """The lands of an 0603 are wider than its body: names beside it have to clear them."""
    text = merged(SHELF, {"light": {"count": 4}, "resistor": {"size": size},
                          "order": {"house": "fine"}})  # fmt: skip
    assert len(sheets_of(text)) == 1
    assert told_scale(sheets_of(text)[0]) < 5


def spots(svg: str, fill: str) -> list[tuple[float, float]]:
    """Find the middles of circles of a fill, drawn as two arcs from their left."""
    found = []
    for path in ET.fromstring(svg).iter(f"{SVG}path"):  # noqa: S314 - our own picture
        if path.get("fill") == fill and not path.get("stroke"):
            arcs = re.findall(r"M(-?[\d.]+) (-?[\d.]+)a([\d.]+) ", path.get("d", ""))
            found += [(float(x) + float(radius), float(y)) for x, y, radius in arcs]
    return found


@pytest.mark.parametrize("name", every(FINISHED, lambda at: at == 2))
def test_the_guides_pictures_show_marks_as_they_lie(name: str) -> None:
    """The close-up of one LED was drawn mirrored once: no turn made it the board's."""
    design = design_of(FINISHED[name])
    board = design.board
    leds = [part for part in board.parts if part.kind is PartKind.LED]
    whole, _ = step_pictures(design, Side.TOP, [part.reference for part in leds])
    seen = spots(whole, "white")
    assert len(seen) == len(leds)
    for part in leds:
        middle = (part.x_mm, board.outline.width_mm - part.y_mm)
        spot = min(seen, key=lambda at: math.dist(at, middle))
        x, y = part.land_place(part.pattern.land(part.pattern.marked_land))
        marked = (x, board.outline.width_mm - y)
        other = (2 * middle[0] - marked[0], 2 * middle[1] - marked[1])
        assert math.dist(spot, marked) < math.dist(spot, other)
        if part.pose.turn_deg % 90 == 0:
            (close,) = spots(led_picture(part), "#000000")
            lies = (spot[0] - middle[0], spot[1] - middle[1])
            assert close == pytest.approx(lies, abs=0.01)


@pytest.mark.parametrize("form", every(FORM_NAMES, lambda at: FORM_NAMES[at] == "ring"))
def test_a_starter_of_each_form_builds_as_it_stands(form: str) -> None:
    """And says no more than notes: nothing that a beginner would have to mend first."""
    built = built_of(starter("ambience", form, "light.toml", "Light"))
    assert built.proof
    assert not [f for f in built.judgement.findings if f.severity is not Severity.INFORMATION]


def test_every_cut_has_its_dashes_and_its_name_on_both_its_sides() -> None:
    """Level cuts had neither; a sheet of a board that is cut both ways could not be laid."""
    said: Counter[str] = Counter()
    level = upright = 0
    for sheet in sheets_of(merged(RING, {"form": {"pitch": "70 mm"}})):
        texts = (element.text or "" for element in sheet.iter())
        said.update(text for text in texts if text.startswith("cut "))
        (rulers,) = (e.get("d") or "" for e in sheet.iter() if e.get("id") == "rulers")
        level += len(re.findall(r"h1\.25(?!\d)", rulers)) > 0
        upright += len(re.findall(r"v1\.25(?!\d)", rulers)) > 0
    assert len(said) >= 2
    assert min(said.values()) >= 2
    assert level >= 2
    assert upright >= 2

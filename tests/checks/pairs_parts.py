"""Pairs for rules on parts, screws and connectors, and for looks."""

import math
from dataclasses import replace
from typing import Any

from boardgen.geometry.contours import rounded_rectangle
from boardgen.geometry.lettering import size_mm
from boardgen.geometry.measuring import distance_nm
from boardgen.geometry.regions import image, union
from boardgen.geometry.rooms import body_of, box_of
from boardgen.model import looks
from boardgen.model.artwork import Item, LayerKind, Purpose
from boardgen.model.board import Mark, MarkRole, Side, Text, TextRole, Track
from boardgen.model.design import Design
from boardgen.model.land_pattern import Extent
from boardgen.model.shapes import Contour, Disc, Edge, Stroke
from boardgen.units import Nm, mm, snap
from tests.checks.planting import (
    BASE,
    BOARDS,
    HALF_MM,
    TURN_DEG,
    UM,
    YARD_MM,
    at,
    base,
    corner_mm,
    pair,
    posed,
    rectangled,
    redrawn,
    second_comes,
    turned,
    wide,
    with_board,
    with_items,
    with_part,
    with_pattern,
    with_profile,
    yard,
)
from tests.conftest import design_of, merged

TERMINAL: dict[str, dict[str, Any]] = {"connector": {"kind": "terminal 3.5 mm"}}
TYPICAL = ("lands.typical",)


# -- parts and screws ------------------------------------------------------------------------------


def _courtyard(design: Design, reference: str, **sides: float) -> Design:
    box = design.board.part(reference).pattern.courtyard
    return with_pattern(design, reference, courtyard=replace(box, **sides))


@pair("courtyard.overlap", "level", "turned", "round")
def courtyard_overlap(past: float, way: str) -> Design:
    """R1 towards D1; D3's corner and its flank towards the circle of a screw."""
    design = base()
    d1, d3, screw = (design.board.part(n) for n in ("D1", "D3")), None, design.board.holes[1]
    first, last = d1
    if way == "level":
        # D1 is turned by half, so its right courtyard edge lies left.
        r1 = design.board.part("R1")
        reach = first.x_mm - first.pattern.courtyard.right_mm - r1.x_mm
        return _courtyard(design, "R1", right_mm=reach + past)
    del d3
    angle = math.radians(TURN_DEG if way == "turned" else 0.0)
    room = screw.room_mm / 2 + (2e-6 if way == "turned" else 0.0)
    # D3 is turned by half: its left and bottom lie towards the screw and upwards.
    corner = (screw.x_mm - room * math.cos(angle), screw.y_mm + room * math.sin(angle))
    left = -(corner[0] - last.x_mm) - past
    low = -6.0 if way == "turned" else None
    sides: dict[str, Any] = {"left_mm": left}
    if low is not None:
        sides |= {"top_mm": -(corner[1] - last.y_mm), "bottom_mm": -(corner[1] - last.y_mm) - 0.5}
    return _courtyard(design, "D3", **sides)


@pair("courtyard.edge", "top", "bottom", "connector", besides=("lands.typical",))
def courtyard_edge(past: float, way: str) -> Design:
    design = base("left", **TERMINAL) if way == "connector" else base()
    if way == "connector":
        j1 = design.board.part("J1")
        body = replace(j1.pattern.body, bottom_mm=-j1.x_mm - past)
        return with_pattern(design, "J1", body=body)
    r2 = design.board.part("R2")
    width = design.board.outline.width_mm
    if way == "top":
        return _courtyard(design, "R2", top_mm=width - r2.y_mm + past)
    return _courtyard(design, "R2", bottom_mm=-r2.y_mm - past)


@pair("lands.reach", "inner", "outer", "other end")
def lands_reach(past: float, way: str) -> Design:
    reference = "R3" if way == "other end" else "R2"
    design = base(light={"led": "red 0805"})
    pattern = design.board.part(reference).pattern
    half = (pattern.body.right_mm - pattern.body.left_mm) / 2
    land, rest = pattern.lands[0], pattern.lands[1:]
    if way == "other end":
        rest, land = pattern.lands[:1], pattern.lands[1]
    inner = half - UM + past if way != "outer" else 0.1
    outer = half / 2 + UM - past if way == "outer" else inner + 0.8
    side = math.copysign(1.0, land.x_mm)
    moved = replace(land, x_mm=side * (inner + outer) / 2, width_mm=outer - inner)
    return with_pattern(design, reference, lands=(moved, *rest))


@pair("screw.edge", "level", "turned", "round")
def screw_edge(past: float, way: str) -> Design:
    """Head or washer to a straight edge, and to a corner's arc in two directions."""
    places = [["40 mm", "20 mm"]]
    design = wide(mounting={"places": places}, form={"length": "81.5 mm", "width": "60 mm"})
    outline, screw = design.board.outline, design.board.holes[0]
    x, y, corner = outline.length_mm, outline.width_mm, corner_mm(outline)
    if way == "level":
        reach, place = 2.0, (x - 2.0, 25.0)
    else:
        angle = math.radians(TURN_DEG if way == "turned" else 45.0)
        middle = (x - corner, y - corner)
        off = 0.4
        reach = corner - off
        place = (middle[0] + off * math.cos(angle), middle[1] + off * math.sin(angle))
    rounding = 0.0 if way == "level" else 2e-6
    moved = replace(screw, x_mm=place[0], y_mm=place[1], room_mm=0.0,
                    covered_mm=2 * (reach + past - rounding))  # fmt: skip
    return with_board(design, holes=(moved,))


@pair("connector.entry", "left", "right", "middle", besides=(*TYPICAL, "connector.shade"))
def connector_entry(past: float, way: str) -> Design:
    """Put a face so far behind the edge that the board begins to stand in the wires' way."""
    design = base(connector={"kind": "terminal 3.5 mm", "at": way})
    body = design.board.part("J1").pattern.body
    return with_pattern(
        design, "J1", body=replace(body, bottom_mm=body.bottom_mm + 0.5 + past + 2e-6 * bool(past))
    )


@pair(
    "connector.entry", "a screw before the pads",
    besides=("looks.grid", "looks.holes", "looks.middle"),
)  # fmt: skip
def connector_screw(past: float, _: str) -> Design:
    """Wires come to pads from outside: a screw's head must not stand before them."""
    design = base()
    j1, screw = design.board.part("J1"), design.board.holes[0]
    half = screw.covered_mm / 2
    bottom = j1.x_mm + j1.pattern.body.bottom_mm
    # Beside the way, at its flank: as wide as the body.
    x, y = bottom - 5.0, j1.y_mm + j1.pattern.body.right_mm + half - past
    return with_board(design, holes=(replace(screw, x_mm=x, y_mm=y), design.board.holes[1]))


@pair("connector.shade", "left", "right", "diffuser", besides=TYPICAL)
def connector_shade(past: float, way: str) -> Design:
    design = base(connector={"kind": "terminal 3.5 mm", "at": "left" if way == "diffuser" else way})
    if way == "diffuser":
        height = design.board.part("J1").pattern.height_mm
        light = replace(design.parameters.light, diffuser_mm=height - past)
        return replace(design, parameters=replace(design.parameters, light=light))
    j1 = design.board.part("J1")
    near = design.board.part("D1" if way == "left" else "D3")
    body, led = j1.extent(j1.pattern.body), near.extent(near.pattern.body)
    gap = max(led.left_mm - body.right_mm, body.left_mm - led.right_mm)
    height = gap * design.limits.shade_share + near.pattern.height_mm + past
    return with_pattern(design, "J1", height_mm=height)


# -- looks: parts ----------------------------------------------------------------------------------


@pair("looks.grid", "across", "screw", "pitch")
def looks_grid(past: float, way: str) -> Design:
    """Own choice: 0.1 um beside the grid is noise, a micrometre is none; so is 1 um of pitch."""
    design = base()
    if way == "screw":
        holes = tuple(
            replace(each, y_mm=each.y_mm + past, room_mm=each.room_mm - 0.01)
            for each in design.board.holes
        )
        return with_board(design, holes=holes)
    if way == "across":
        parts = tuple(
            posed(part, y_mm=part.y_mm + past) if part.reference.startswith("R") else part
            for part in design.board.parts
        )
        return with_board(design, parts=parts)
    form = replace(design.parameters.form, pitch_mm=20.001 + past)
    return replace(design, parameters=replace(design.parameters, form=form))


@pair("looks.grid", "inches", "free pitch")
def looks_inch_grid(past: float, way: str) -> Design:
    """Ask for the grid of inches by a pitch in inches; for none by one that no grid divides."""
    design = base(form={"pitch": "15.24 mm" if way == "inches" else "15.3 mm"})
    if way == "inches":
        parts = tuple(
            posed(part, x_mm=part.x_mm + past) if part.reference.startswith("R") else part
            for part in design.board.parts
        )
        return with_board(design, parts=parts)
    form = replace(design.parameters.form, pitch_mm=15.301 + past)
    return replace(design, parameters=replace(design.parameters, form=form))


@pair("looks.line", "a ballast's place", "a ballast's angle", "an led's height", "a second ballast")
def looks_line(past: float, way: str) -> Design:
    if way == "a second ballast":
        design = base(resistor={"per_branch": 2})
        at = design.board.part("R4")
        return with_part(design, "R4", x_mm=at.x_mm + 0.5) if past > 0 else design
    design = base()
    if past <= 0:
        return design
    if way == "a ballast's angle":
        return with_part(design, "R2", turn_deg=180.0)
    name = "R2" if way == "a ballast's place" else "D2"
    part = design.board.part(name)
    return with_part(design, name, x_mm=part.x_mm + (0.5 if name == "R2" else 0.0),
                     y_mm=part.y_mm + (0.5 if name == "D2" else 0.0))  # fmt: skip


@pair("looks.middle", "across", "along", "pitch 15")
def looks_middle(past: float, way: str) -> Design:
    """Own choice: half a millimetre. Without screws, and the connector in the middle, no excuse."""
    design = base(way, connector={"at": "middle"}, mounting={"at": "none"})
    if way == "across":
        design = base()
    outline = design.board.outline
    leds = [p.x_mm for p in design.board.parts if p.reference.startswith("D")]
    off = (leds[0] + leds[-1]) / 2 - outline.length_mm / 2
    sizes = (
        {"width_mm": outline.width_mm + 2 * (0.5 + past)}
        if way == "across"
        else {"length_mm": outline.length_mm + 2 * (0.5 + past + off)}
    )
    return redrawn(design, outline=rectangled(design, **sizes))


@pair("looks.holes", "along", "across", "size")
def looks_holes(past: float, way: str) -> Design:
    design = base()
    first, second = design.board.holes
    if way == "size":
        moved = replace(second, hole_mm=second.hole_mm + past)
    else:
        # One micrometre is forgiven, as everywhere that halves land on the grid.
        off = UM + past if past else 0.0
        second = replace(second, room_mm=second.room_mm - 0.01)
        along, across = (off, 0.0) if way == "along" else (0.0, off)
        moved = replace(second, x_mm=second.x_mm + along, y_mm=second.y_mm + across)
    return with_board(design, holes=(first, moved))


@pair("looks.corners", "small", "large")
def looks_corners(past: float, way: str) -> Design:
    """Own choice: radii of 1 to 3 mm."""
    design = base()
    low, high = looks.CORNER_MM
    # A hair more than rounding forgives, on either side of the limit.
    radius = low - past if way == "small" else high + past
    return redrawn(design, outline=rectangled(design, corner_mm=radius))


@pair("looks.corners", "narrow", "unlike")
def looks_corner_shapes(past: float, way: str) -> Design:
    """Own choice: a quarter of the width at most, and all alike."""
    if way == "narrow":
        design = base(form={"width": "11 mm"})
        return redrawn(design, outline=rectangled(design, corner_mm=11 / 4 + past))
    design = base()
    profile, outline = design.artwork.profile, design.board.outline
    x, y, radius = outline.length_mm, outline.width_mm, corner_mm(outline) + past
    place = next(i for i, edge in enumerate(profile.edges) if edge.end == at(x - 2.0, y))
    corner = (Edge(at(x, y - radius)), Edge(at(x - radius, y), at(x - radius, y - radius)))
    edges = (*profile.edges[: place - 1], *corner, *profile.edges[place + 1 :])
    return with_profile(design, Contour(edges, profile.radius_nm))


@pair("looks.corners", "side", besides=("looks.pour",))
def looks_side(past: float, _: str) -> Design:
    """Leave a corner cut off askew, its side two millimetres long; the pour keeps off it."""
    design = wide()
    outline, radius = design.board.outline, 2.0
    x, y, length = outline.length_mm, outline.width_mm, looks.SIDE_MM - past + 2e-6
    slope = math.sqrt(0.5)
    start = y - radius - length * slope
    first = (x - radius + radius * slope, start + radius * slope)
    second = (first[0] - length * slope, first[1] + length * slope)
    middle = (second[0] - radius * slope, second[1] - radius * slope)
    cut = (
        Edge(at(x, start)),
        Edge(at(*first), at(x - radius, start)),
        Edge(at(*second)),
        Edge(at(middle[0], y), at(*middle)),
    )
    profile = design.artwork.profile
    place = next(i for i, e in enumerate(profile.edges) if e.centre and e.end == at(x - radius, y))
    edges = (*profile.edges[: place - 1], *cut, *profile.edges[place + 1 :])
    for side in Side:
        design = yard(design, "level", around=(x, y), side=side)
    return with_profile(design, Contour(edges, profile.radius_nm))


@pair("looks.facing", "D1", "D2", "D3")
def looks_facing(past: float, way: str) -> Design:
    design = base()
    return with_part(design, way, turn_deg=0.0) if past > 0 else design


@pair("looks.entry", "left", "right", "middle", besides=(*TYPICAL, "connector.shade"))
def looks_entry(past: float, way: str) -> Design:
    design = base(connector={"kind": "terminal 3.5 mm", "at": way})
    body = design.board.part("J1").pattern.body
    return with_pattern(design, "J1", body=replace(body, bottom_mm=body.bottom_mm + past))


@pair("looks.entry", "over", besides=(*TYPICAL, "courtyard.edge"))
def looks_entry_over(past: float, _: str) -> Design:
    design = base("left", **TERMINAL)
    body = design.board.part("J1").pattern.body
    low = body.bottom_mm - looks.FACE_MM - past
    return with_pattern(design, "J1", body=replace(body, bottom_mm=low))


@pair("looks.hand", "level", "turned", "round")
def looks_hand(past: float, way: str) -> Design:
    """Put a via's land a millimetre from the straight edge, or from the corner's arc."""
    design = wide()
    outline, radius = design.board.outline, 0.4
    x, y, corner = outline.length_mm, outline.width_mm, corner_mm(outline)
    gap = looks.HAND_MM - past + (0.0 if way == "level" else 2e-6)
    if way == "level":
        place = turned(x - gap - radius, y - 8.0, (0.0, 0.0), 0.0)
    else:
        angle = math.radians(TURN_DEG if way == "turned" else 40.0)
        place = turned(corner - gap - radius, 0.0, (x - corner, y - corner), angle)
    land = Item(shape=Disc(place, snap(radius)), purpose=Purpose.VIA_LAND, net="0V")
    return with_items(design, LayerKind.COPPER, lambda items: (*items, land))


@pair("looks.lit", "word above", "word beside", "word below")
def looks_lit(past: float, way: str) -> Design:
    """Own choice: two millimetres around an LED."""
    design = base()
    d2 = design.board.part("D2")
    away = looks.LIT_MM - past
    x, y = {
        "word above": (d2.x_mm, d2.y_mm + away),
        "word beside": (d2.x_mm + away, d2.y_mm),
        "word below": (d2.x_mm, d2.y_mm - away),
    }[way]
    word = Text(side=Side.TOP, role=TextRole.NOTE, text="ABC", x_mm=x, y_mm=y,
                height_mm=1.0, stroke_mm=0.15)  # fmt: skip
    return with_board(design, texts=(*design.board.texts, word))


@pair("looks.lit", "connector", besides=("connector.shade", "looks.references", *TYPICAL))
def looks_lit_part(past: float, _: str) -> Design:
    """Move the connector's back towards the first LED."""
    design = base("left", **TERMINAL)
    j1, d1 = (design.board.part(name) for name in ("J1", "D1"))
    back = j1.extent(j1.pattern.body).right_mm
    near = d1.extent(d1.pattern.body).left_mm - looks.LIT_MM + past
    body = j1.pattern.body
    return with_pattern(design, "J1", body=replace(body, top_mm=body.top_mm + near - back))


# -- looks: round a ring ---------------------------------------------------------------------------

RING = merged(
    BASE,
    {
        "light": {"count": 12},
        "form": {"kind": "ring", "pitch": "13 mm"},
        "mounting": {"screw": None},
    },
)
ON_A_RING = ("legend.names",)


def _ring() -> Design:
    return design_of(RING)


def _extent(text: Text, design: Design) -> Extent:
    width, height = size_mm(
        text.text, text.height_mm, text.stroke_mm, design.parameters.parts.lettering
    )
    return Extent(left_mm=text.x_mm - width / 2, right_mm=text.x_mm + width / 2,
                  bottom_mm=text.y_mm - height / 2, top_mm=text.y_mm + height / 2)  # fmt: skip


@pair("looks.references", "on a ring, beside", "on a ring, near", "on a ring, far",
      besides=ON_A_RING)  # fmt: skip
def looks_ring_names(past: float, way: str) -> Design:
    """Own choice: in the middle; 0.3 to 1 mm from the body, half a millimetre more askew."""
    design = _ring()
    led = design.board.part("D4")
    (name,) = (t for t in design.board.texts if (t.role, t.owner) == (TextRole.REFERENCE, "D4"))
    along = math.radians(led.pose.turn_deg)
    dx, dy = name.x_mm - led.x_mm, name.y_mm - led.y_mm
    ahead = dx * math.cos(along) + dy * math.sin(along)
    left = dy * math.cos(along) - dx * math.sin(along)

    def put(ahead: float, left: float) -> Text:
        x = led.x_mm + ahead * math.cos(along) - left * math.sin(along)
        y = led.y_mm + ahead * math.sin(along) + left * math.cos(along)
        return replace(name, x_mm=x, y_mm=y)

    def gap(left: float) -> float:
        box = box_of(_extent(put(ahead, left), design))
        return mm(round(distance_nm(box, body_of(led))))

    if way == "on a ring, beside":
        moved = put(looks.BESIDE_MM + past, left)
    else:
        near, far = looks.NAME_GAP_MM[0] - past, looks.NAME_GAP_MM[1] + looks.NAME_ASKEW_MM + past
        wanted = near if way == "on a ring, near" else far
        low, high = 0.0, 9.0
        for _ in range(60):
            middle = (low + high) / 2
            short = gap(math.copysign(middle, left)) < wanted
            low, high = (middle, high) if short else (low, middle)
        moved = put(ahead, math.copysign(high, left))
    return with_board(
        design, texts=tuple(moved if text is name else text for text in design.board.texts)
    )


@pair("looks.polarity", "words on a ring", besides=ON_A_RING)
def looks_ring_words(past: float, _: str) -> Design:
    design = _ring()
    other = {"current clockwise": "current counter-clockwise"}
    assert other.keys() & {text.text for text in design.board.texts}
    texts = tuple(
        replace(text, text=other.get(text.text, text.text)) if past else text
        for text in design.board.texts
    )
    return with_board(design, texts=texts)


@pair("looks.tracks", "askew to a ring", "back on a ring", "bends on a ring", besides=ON_A_RING)
def looks_ring_tracks(past: float, way: str) -> Design:
    """Own choice: within 10 degrees of the circle or square to it, twice bent at most."""
    design = _ring()
    spine = design.board.spine
    assert spine
    feed = next(track for track in design.board.tracks if track.net == "V+")
    here = spine.pose(20.0)
    turns = {
        "askew to a ring": [looks.SPINE_DEG - 1e-5 + past],
        "back on a ring": [-looks.SPINE_DEG / 2, 90.0 + looks.SPINE_DEG / 2 - 1e-5 + past],
        "bends on a ring": [0.0, 90.0, 0.0, 90.0] if past > 0 else [0.0, 90.0, 0.0],
    }[way]
    step = 0.2
    first = math.radians(here.turn_deg + turns[0])
    # The middle of the first piece lies on the line, where its direction is known.
    points = [(here.x_mm - step / 2 * math.cos(first), here.y_mm - step / 2 * math.sin(first))]
    for turn in turns:
        x, y = points[-1]
        angle = math.radians(here.turn_deg + turn)
        points.append((x + step * math.cos(angle), y + step * math.sin(angle)))
    extra = replace(feed, points=tuple(points))
    return with_board(design, tracks=(*design.board.tracks, extra))


# -- looks: drawing --------------------------------------------------------------------------------


@pair("looks.polarity", "bar", "letter", "arrow")
def looks_polarity(past: float, way: str) -> Design:
    design = base()
    if way == "bar":
        marks = tuple(
            replace(mark, stroke_mm=mark.stroke_mm - past)
            if mark.role is MarkRole.CATHODE and mark.owner == "D2"
            else mark
            for mark in design.board.marks
        )
        return with_board(design, marks=marks)
    if past <= 0:
        return design
    arrow = next(text for text in design.board.texts if text.text == "current →")
    texts = [
        t for t in design.board.texts if not (way == "letter" and t.owner == "D2" and t.text == "K")
    ]
    if way == "arrow":
        texts.append(replace(arrow, x_mm=arrow.x_mm + 20.0))
    return with_board(design, texts=tuple(texts))


@pair("looks.letters", "sizes", "bold", "faint")
def looks_letters(past: float, way: str) -> Design:
    design = base()
    low, high = looks.STROKE_SHARE
    reference = next(text for text in design.board.texts if text.text == "R1")

    def change(text: Text) -> Text:
        if way == "sizes":
            return replace(text, height_mm=text.height_mm + past) if text is reference else text
        if text.height_mm != 2.0:
            return text
        return replace(text, stroke_mm=2.0 * high + past if way == "bold" else 2.0 * low - past)

    return with_board(design, texts=tuple(map(change, design.board.texts)))


@pair("looks.letters", "thin", besides=("legend.stroke",))
def looks_thin(past: float, _: str) -> Design:
    design = base()
    texts = tuple(
        replace(text, stroke_mm=looks.STROKE_MM - past) if text.height_mm < 1.1 else text
        for text in design.board.texts
    )
    return with_board(design, texts=texts)


@pair("looks.references", "nearer to another", besides=("connector.shade", *TYPICAL))
def looks_nearer(past: float, _: str) -> Design:
    """Let the connector's back grow towards the name of the first ballast."""
    design = base("left", **TERMINAL)
    j1, r1 = (design.board.part(name) for name in ("J1", "R1"))
    name = next(text for text in design.board.texts if text.text == "R1")
    width, height = size_mm(
        name.text, name.height_mm, name.stroke_mm, design.parameters.parts.lettering
    )
    own = r1.extent(r1.pattern.body).bottom_mm - name.y_mm - height / 2
    body = j1.pattern.body
    grown = name.x_mm - width / 2 - own + past - j1.extent(body).right_mm
    return with_pattern(design, "J1", body=replace(body, top_mm=body.top_mm + grown))


@pair("looks.references", "moved", "near", "beside")
def looks_references(past: float, way: str) -> Design:
    """Own choice: names stand alike, in the middle, 0.3 to 1 mm from the body."""
    design = base()
    leds = {part.reference: part for part in design.board.parts if part.reference.startswith("D")}

    def change(text: Text) -> Text:
        if text.role is not TextRole.REFERENCE or text.owner not in leds:
            return text
        part = leds[text.owner]
        if way == "moved":
            return replace(text, y_mm=text.y_mm + past) if text.owner == "D2" else text
        if way == "beside":
            return replace(text, x_mm=text.x_mm + looks.BESIDE_MM + past)
        box = part.extent(part.pattern.body)
        reach = (text.height_mm + text.stroke_mm) / 2
        return replace(text, y_mm=box.bottom_mm - looks.NAME_GAP_MM[0] - reach + past)

    return with_board(design, texts=tuple(map(change, design.board.texts)))


@pair("looks.signs", "far", "under the block", "word", besides=TYPICAL)
def looks_signs(past: float, way: str) -> Design:
    design = base("left", **TERMINAL)
    j1 = design.board.part("J1")
    body = j1.extent(j1.pattern.body)
    land = j1.land_place(j1.pattern.lands[0])
    radius = j1.pattern.lands[0].width_mm / 2
    if way == "word":
        note = Text(side=Side.BOTTOM, role=TextRole.NOTE, text="GND" if past else "0V", x_mm=40.0,
                    y_mm=2.0, height_mm=1.0, stroke_mm=0.15)  # fmt: skip
        return with_board(design, texts=(*design.board.texts, note))

    def change(text: Text) -> Text:
        if text.role is not TextRole.SIGN or text.text != "+" or text.side is not Side.TOP:
            return text
        _, height = size_mm(text.text, text.height_mm, text.stroke_mm,
                                design.parameters.parts.lettering)  # fmt: skip
        if way == "far":
            reach = looks.SIGN_REACH_MM + radius + past
            return replace(text, x_mm=land[0], y_mm=land[1] + reach + height / 2)
        return replace(
            text, x_mm=land[0], y_mm=body.top_mm + height / 2 + UM - past - 1e-6 * bool(past)
        )

    return with_board(design, texts=tuple(map(change, design.board.texts)))


@pair("looks.signs", "small", besides=("polarity.signs",))
def looks_sign_small(past: float, _: str) -> Design:
    design = base()
    texts = tuple(
        replace(text, height_mm=looks.SIGN_MM - past) if text.role is TextRole.SIGN else text
        for text in design.board.texts
    )
    return with_board(design, texts=texts)


@pair("looks.back", "askew", "name box", "words")
def looks_back(past: float, way: str) -> Design:
    design = base(legend={"name_box": way == "name box"}, light={"count": 5})
    if way == "name box":

        def smaller(mark: Mark) -> Mark:
            if mark.role is not MarkRole.BOX:
                return mark
            left, right = (pick(x for x, _ in mark.points) for pick in (min, max))
            middle, half = (left + right) / 2, (looks.NAME_BOX_MM[0] - past) / 2
            points = tuple(
                (middle - half if x == left else middle + half, y) for x, y in mark.points
            )
            return replace(mark, points=points)

        return with_board(design, marks=tuple(map(smaller, design.board.marks)))
    if way == "words":
        texts = tuple(
            replace(text, text=text.text.replace("LEDs", "Leds")) if past else text
            for text in design.board.texts
        )
        return with_board(design, texts=texts)
    middle = design.board.outline.length_mm / 2
    shift = looks.PAGE_MM + past - 1e-9
    page = [t for t in design.board.texts if t.role is TextRole.PAGE]
    assert all(abs(text.x_mm - page[0].x_mm) < 1e-9 for text in page)
    texts = tuple(
        replace(text, x_mm=middle + shift) if text.role is TextRole.PAGE else text
        for text in design.board.texts
    )
    return with_board(design, texts=texts)


def _link(design: Design, net: str) -> Track:
    return next(track for track in design.board.tracks if track.net == net)


@pair("looks.tracks", "widths", "angle", "translate")
def looks_tracks(past: float, way: str) -> Design:
    design = base()
    if way == "widths":  # a third width is allowed, a fourth not
        feed = [track for track in design.board.tracks if track.net == "V+"]
        extra = [replace(feed[0], width_mm=2.0)]
        extra += [replace(feed[0], width_mm=2.0 + past)]
        return with_board(design, tracks=(*design.board.tracks, *extra))
    if past <= 0:
        return design
    link = _link(design, "B02.1")
    (x1, y1), (x2, y2) = link.points[0], link.points[-1]
    if way == "angle":
        points = ((x1, y1), (x2, y2 + past))
        tracks = tuple(
            replace(track, points=((track.points[0]), (track.points[-1][0], y2 + past)))
            if track.net.endswith(".1") else track
            for track in design.board.tracks
        )  # fmt: skip
        return with_board(design, tracks=tracks)
    points = ((x1 + past, y1), (x2, y2))
    moved = replace(link, points=points)
    tracks = tuple(moved if track is link else track for track in design.board.tracks)
    return with_board(design, tracks=tracks)


@pair("looks.tracks", "back", "diagonal")
def looks_track_ways(past: float, way: str) -> Design:
    """Turn a square bend back, in steps of 45 degrees; let a diagonal leave them."""
    design = base()
    feed = next(track for track in design.board.tracks if track.net == "V+")
    x, y = feed.points[0]
    points = {
        "back": ((x, y), (x + 4, y), (x + 4 - (1 if past > 0 else 0), y + 1)),
        "diagonal": ((x, y), (x + 2, y + 2), (x + 2, y + 4), (x + past, y + 6)),
    }[way]
    return with_board(design, tracks=(*design.board.tracks, replace(feed, points=points)))


@pair("looks.tracks", "bends")
def looks_bends(past: float, _: str) -> Design:
    design = base()
    feed = next(track for track in design.board.tracks if track.net == "V+")
    x, y = feed.points[0]
    bends = ((x, y), (x + 1, y), (x + 1, y + 1), (x + 2, y + 1), (x + 2, y + 2))
    extra = replace(feed, points=bends if past > 0 else bends[:4])
    return with_board(design, tracks=(*design.board.tracks, extra))


@pair("looks.detour", *BOARDS)
def looks_detour(past: float, way: str) -> Design:
    """Own choice: twice the straight line, 20 mm here, so 10 mm out and 10 mm back."""
    design = base(way)
    feed = next(track for track in design.board.tracks if track.net == "V+")
    (x, y), out = feed.points[0], 10.0 + past
    around = replace(feed, points=((x, y), (x, y + out), (x + 20.0, y + out), (x + 20.0, y)))
    return with_board(design, tracks=(*design.board.tracks, around))


@pair("looks.drops", "width", "length", "lead")
def looks_drops(past: float, way: str) -> Design:
    """Own choice: 0.7 of the land, for half a diameter beyond it."""
    design = yard(wide(), "level")
    land = Disc((snap(YARD_MM[0]), snap(YARD_MM[1])), snap(1.0))
    name = "X" if way != "lead" else "Y"
    wide_nm = snap(looks.DROP_SHARE * 1.0)
    x, y = land.centre
    first_nm = wide_nm - snap(past) // 2 if way != "length" else wide_nm
    reach = 2_000_000 - wide_nm - (snap(past) if way == "length" else 0)
    cut = (type(x)(x + reach), y)
    end = (type(x)(x + snap(3.0)), y)
    items = (
        Item(shape=land, purpose=Purpose.THROUGH_LAND, net=name),
        Item(shape=Stroke((land.centre, cut), Nm(first_nm)), purpose=Purpose.TRACK, net=name),
        Item(shape=Stroke((cut, end), snap(0.2)), purpose=Purpose.TRACK, net=name),
        Item(shape=Disc(end, snap(0.3)), purpose=Purpose.MARK, net=name),
    )
    design = with_items(design, LayerKind.COPPER, lambda old: (*old, *items))
    opening = Item(shape=Disc(land.centre, snap(1.05)), purpose=Purpose.OPENING)
    return with_items(design, LayerKind.MASK, lambda old: (*old, opening))


@pair("looks.drops", "bent")
def looks_drop_bent(past: float, _: str) -> Design:
    """Wide enough until it bends: the bend holds; straight on the narrow part is too near."""
    design = yard(wide(), "level")
    land = Disc((snap(YARD_MM[0]), snap(YARD_MM[1])), snap(1.0))
    x, y = land.centre
    cut = (type(x)(x + snap(1.2)), y)
    end = (type(x)(x + snap(3.0)), type(y)(y + (0 if past > 0 else snap(1.0))))
    items = (
        Item(shape=land, purpose=Purpose.THROUGH_LAND, net="X"),
        Item(shape=Stroke((land.centre, cut), snap(0.7)), purpose=Purpose.TRACK, net="X"),
        Item(shape=Stroke((cut, end), snap(0.2)), purpose=Purpose.TRACK, net="X"),
        Item(shape=Disc(end, snap(0.3)), purpose=Purpose.MARK, net="X"),
    )
    design = with_items(design, LayerKind.COPPER, lambda old: (*old, *items))
    opening = Item(shape=Disc(land.centre, snap(1.05)), purpose=Purpose.OPENING)
    return with_items(design, LayerKind.MASK, lambda old: (*old, opening))


@pair("looks.pour", "outline", "filled", "apart")
def looks_pour(past: float, way: str) -> Design:
    """Own choice: one distance within a micrometre, 60 % filled, 25 points apart."""
    design = wide()
    if way == "outline":

        def bent(items: tuple[Item, ...]) -> tuple[Item, ...]:
            pour = items[0].shape
            assert isinstance(pour, Contour)
            x, y = pour.edges[0].end
            # A micrometre between the sides is noise of halves; another is none.
            off = snap(2 * past)
            edge = pour.edges[0]._replace(end=(x, type(y)(y - off)))
            contour = replace(pour, edges=(edge, *pour.edges[1:]))
            return (replace(items[0], shape=contour), *items[1:])

        return with_items(design, LayerKind.COPPER, bent)
    if way == "filled":  # so that the sides stay within 25 points of one another
        for left in (19.0, 39.0):
            strip = _strip((left, 25.0), (17.0, 12.0))
            design = with_items(design, LayerKind.COPPER, second_comes(strip))
        strip = _strip((6.0, 2.0), (69.0, 4.0))
        design = with_items(design, LayerKind.COPPER, second_comes(strip), Side.BOTTOM)
    area = union([Contour(design.artwork.profile.edges)]).area_nm2
    now, other = (
        image(design.artwork.layer(LayerKind.COPPER, side).items).area_nm2
        for side in (Side.BOTTOM, Side.TOP)
    )
    least = 0.6 * area if way == "filled" else other - 0.25 * area
    long = 74.0
    high = (now - least) / snap(long) / 1e6
    # At the limit a nanometre less is cleared, so that rounding takes nothing away.
    strip = _strip((4.0, 25.0), (long, high + (past or -2e-6)))
    return with_items(design, LayerKind.COPPER, lambda i: (i[0], strip, *i[1:]), Side.BOTTOM)


def _strip(corner: tuple[float, float], size: tuple[float, float]) -> Item:
    (x, y), (width, height) = corner, size
    shape = rounded_rectangle(snap(x), snap(y), snap(x + width), snap(y + height), 0)
    return Item(shape=shape, purpose=Purpose.CLEARANCE, dark=False)


@pair("looks.finger", "level", "turned", "round")
def looks_finger(past: float, way: str) -> Design:
    """Draw a finger of pour between clearings; its tip a disc's radius rule away from the core.

    The disc of the width's diameter bulges into the finger's mouth by d = sqrt(r2 - f2/4); its
    corner is hypot(f/2, L + d) - r away from it, which is set to three widths. Round: in a yard
    with an arc for its border, whose depth at the mouth is taken off.
    """
    wide_mm, thin = 1.0, 0.6
    radius = wide_mm / 2
    deep = math.sqrt(radius**2 - thin**2 / 4)
    length = math.sqrt((3 * wide_mm + radius) ** 2 - thin**2 / 4) - deep
    design = yard(wide(), way)
    net = design.artwork.layer(LayerKind.COPPER, Side.TOP).items[0].net
    angle = math.radians({"level": 0.0, "turned": TURN_DEG, "round": 0.0}[way])
    root = HALF_MM
    if way == "round":
        # The pour's shore bends away from the mouth: the disc sits between the two corners.
        root = math.sqrt(HALF_MM**2 - thin**2 / 4)
    tip = root - length - past - 0.0005 * (-1 if past == 0 else 1)
    corners = ((5.0, -thin / 2), (5.0, thin / 2), (tip, thin / 2), (tip, -thin / 2))
    contour = Contour(tuple(Edge(turned(x, y, YARD_MM, angle)) for x, y in corners))
    finger = Item(shape=contour, purpose=Purpose.POUR, net=net)
    return with_items(design, LayerKind.COPPER, lambda items: (*items[:2], finger, *items[2:]))


@pair("looks.tone", "level", "bottom", "round")
def looks_tone(past: float, way: str) -> Design:
    """Write a word whose box just reaches a clearing, or does not."""
    side = Side.BOTTOM if way == "bottom" else Side.TOP
    middle = (wide().board.outline.length_mm / 2 if way == "bottom" else YARD_MM[0], YARD_MM[1])
    design = yard(wide(), "round" if way == "round" else "level", around=middle, side=side)
    word = Text(side=side, role=TextRole.PAGE, text="AB", x_mm=middle[0], y_mm=0.0,
                height_mm=1.0, stroke_mm=0.15)  # fmt: skip
    _, height = size_mm("AB", 1.0, 0.15, design.parameters.parts.lettering)
    # At the limit its lower edge lies on the clearing's upper one, past it a micrometre inside.
    level = YARD_MM[1] + HALF_MM + height / 2 - past
    if way == "round":
        level = YARD_MM[1] - HALF_MM - height / 2 + past
    word = replace(word, y_mm=level)
    return with_board(design, texts=(*design.board.texts, word))

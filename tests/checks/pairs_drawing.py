"""Pairs for rules on holes, outline, mask, paste and legend."""

import math
from dataclasses import replace

from boardgen.model.artwork import Hole, HoleKind, Item, LayerKind, Owner, Purpose
from boardgen.model.board import Side, Text, TextRole
from boardgen.model.design import Design
from boardgen.model.shapes import Box, Contour, Disc, Edge, Point, Shape, Stroke
from boardgen.units import Nm, snap
from tests.checks.planting import (
    BOARDS,
    HALF_MM,
    UM,
    YARD_MM,
    added,
    angle_of,
    at,
    base,
    box,
    corner_mm,
    disc,
    drilled,
    grown,
    hole,
    is_via,
    line,
    of_screw,
    pair,
    planted_land,
    rectangled,
    resized,
    rounding_mm,
    turned,
    two_discs,
    two_lands,
    wide,
    with_board,
    with_holes,
    with_items,
    with_layer,
    with_profile,
    yard,
)

WAYS = ("level", "turned", "round")
LOW_MM = (27.5, 8.0)
"""A free place below the row."""


# -- holes -----------------------------------------------------------------------------------------


@pair("hole.size", "via", "screw", "lead")
def hole_size(past: float, way: str) -> Design:
    design = base()
    size = design.limits.hole_mm - past
    kinds = {"via": HoleKind.VIA, "screw": HoleKind.SCREW, "lead": HoleKind.COMPONENT}
    return resized(design, lambda each: each.kind is kinds[way], size)


@pair("hole.large", "MH1", "MH2", "M4")
def hole_large(past: float, way: str) -> Design:
    design = base(mounting={"screw": "M4"}) if way == "M4" else base()
    name = "MH1" if way == "M4" else way
    return resized(design, of_screw(name), design.limits.hole_most_mm + past)


@pair("hole.aspect", *BOARDS)
def hole_aspect(past: float, way: str) -> Design:
    design = base(way)
    thick = 3.2
    order = replace(design.parameters.order, thickness_mm=thick)
    design = replace(design, parameters=replace(design.parameters, order=order))
    return resized(design, is_via, thick / design.limits.hole_aspect - past)


@pair("hole.copper", *WAYS)
def hole_copper(past: float, way: str) -> Design:
    design = yard(wide(), way)
    gap = design.limits.hole_copper_mm - past + rounding_mm(way)
    x, y = turned(0.0 if way != "round" else HALF_MM - gap - 0.5,
                  HALF_MM - gap - 0.5 if way != "round" else 0.0,
                  YARD_MM, angle_of(way))  # fmt: skip
    return drilled(yard(design, way, side=Side.BOTTOM), hole(Disc((x, y), snap(0.5))))


@pair("hole.copper", "track")
def hole_by_a_track(past: float, _: str) -> Design:
    design = yard(yard(wide(), "level"), "level", side=Side.BOTTOM)
    gap = design.limits.hole_copper_mm - past
    stroke = line(YARD_MM, "level", gap + 0.5 + 0.2, 0.2)
    return added(drilled(design, hole(disc(*YARD_MM, 0.5))), LayerKind.COPPER, letter(stroke))


def letter(shape: Shape, net: str = "") -> Item:
    return Item(shape=shape, purpose=Purpose.MARK, net=net)


@pair("hole.foreign", *WAYS)
def hole_foreign(past: float, way: str) -> Design:
    """Where the house keeps holes further from copper than ring and gap together."""
    design = wide(order={"house": "first-time", "mask": "green"})
    for side in Side:
        design = yard(design, way, side=side)
    limits = design.limits
    gap = limits.hole_copper_mm - past + rounding_mm(way)
    reach = HALF_MM - gap - 0.3
    x, y = turned(*((reach, 0.0) if way == "round" else (0.0, reach)), YARD_MM, angle_of(way))
    drill = Disc((x, y), snap(0.3))
    land = letter(Disc((x, y), snap(0.3 + limits.ring_mm)), "X")
    for side in Side:
        design = added(design, LayerKind.COPPER, land, side=side)
    return drilled(design, hole(drill, plated=True, net="X"))


@pair("hole.foreign", "track")
def hole_by_a_foreign_track(past: float, _: str) -> Design:
    design = wide(order={"house": "first-time", "mask": "green"})
    for side in Side:
        design = yard(design, "level", side=side)
    limits = design.limits
    gap = limits.hole_copper_mm - past
    land = letter(disc(*YARD_MM, 0.3 + limits.ring_mm), "X")
    for side in Side:
        design = added(design, LayerKind.COPPER, land, side=side)
    stroke = line(YARD_MM, "level", gap + 0.3 + 0.2, 0.2)
    design = added(design, LayerKind.COPPER, letter(stroke))
    return drilled(design, hole(disc(*YARD_MM, 0.3), plated=True, net="X"))


def _fenced(design: Design) -> Design:
    return yard(yard(design, "level"), "level", side=Side.BOTTOM)


@pair("hole.spacing", *WAYS)
def hole_spacing(past: float, way: str) -> Design:
    design = _fenced(wide())
    holes = two_discs(way, design.limits.hole_hole_mm - past, (0.5, 0.4))
    return drilled(design, *map(hole, holes))


@pair("hole.overlap", *WAYS)
def hole_overlap(past: float, way: str) -> Design:
    return drilled(_fenced(wide()), *map(hole, two_discs(way, -past, (0.5, 0.4))))


def _rings(design: Design, past: float, way: str, limit: float, name: str) -> Design:
    """Widen a lead's hole, or drill it beside the middle of its land."""
    land = design.board.part("J1").pattern.land(name)
    shift = {"round": 0.0, "level": 0.05, "turned": 0.05}[way]
    size = land.width_mm - 2 * limit - 2 * shift
    # The shift takes the micrometre where there is one, else the size does.
    off = shift + past if shift else 0.0
    size += 0.0 if shift else 2 * past

    def move(each: Hole) -> Hole:
        if not each.owner or (each.owner.reference, each.owner.pin) != ("J1", name):
            return each
        x, y = (part / 1e6 for part in each.centre)
        centre = turned(max(off - rounding_mm(way), 0.0), 0.0, (x, y), angle_of(way))
        return replace(each, centre=centre, diameter_nm=Nm(2 * snap(size / 2)))

    return with_holes(design, lambda holes: tuple(map(move, holes)))


@pair("ring.plated", *WAYS)
def ring_plated(past: float, way: str) -> Design:
    design = base()
    return _rings(design, past, way, design.limits.ring_mm, "2")


@pair("ring.unplated", *WAYS, besides=("legend.names",))
def ring_unplated(past: float, way: str) -> Design:
    design = base(copper={"sides": 1}, order={"legend": "none"})
    return _rings(design, past, way, design.limits.ring_unplated_mm, "2")


@pair("edge.hole", *WAYS)
def edge_hole(past: float, way: str) -> Design:
    """At the straight right edge; and in the corner, whose arc is met in two directions."""
    design = wide()
    outline = design.board.outline
    gap, radius = design.limits.hole_edge_mm - past, 0.5
    x, y, corner = outline.length_mm, outline.width_mm, corner_mm(outline)
    if way == "level":
        place = at(x - gap - radius, y - 8.0)
    else:
        reach = corner - gap - radius - rounding_mm(way)
        place = turned(reach, 0.0, (x - corner, y - corner), angle_of(way))
    around = (x, y - (8.0 if way == "level" else 4.0))
    for side in Side:
        design = yard(design, "level", around=around, side=side)
    return drilled(design, hole(Disc(place, snap(radius))))


# -- outline ---------------------------------------------------------------------------------------


def _with_edge(design: Design, place: int, edge: Edge) -> Design:
    profile = design.artwork.profile
    edges = (*profile.edges[:place], edge, *profile.edges[place + 1 :])
    return with_profile(design, Contour(edges, profile.radius_nm))


@pair("profile.whole", *WAYS)
def profile_whole(past: float, way: str) -> Design:
    """Move an arc's middle along x, so that its end lies off the circle of its start."""
    design = base()
    profile = design.artwork.profile
    arcs = [place for place, edge in enumerate(profile.edges) if edge.centre]
    place = arcs[WAYS.index(way)]
    edge = profile.edges[place]
    assert edge.centre
    x, y = edge.centre
    shift = snap(past)
    return _with_edge(design, place, edge._replace(centre=(Nm(x + shift), y)))


@pair("profile.whole", "twice", "crossed", "idle piece")
def profile_twice(past: float, way: str) -> Design:
    design = base()
    layer = design.artwork.layer(LayerKind.PROFILE)
    if past <= 0:
        return design
    if way == "twice":
        return with_layer(design, replace(layer, items=(*layer.items, *layer.items)))
    profile = design.artwork.profile
    first = profile.edges[0]
    if way == "idle piece":
        edges = (first, first._replace(centre=None), *profile.edges[1:])
    else:  # a tail in the lower edge that crosses itself
        x, y = first.end[0] // 2, first.end[1]
        tail = (
            (x, y),
            (x + 2_000_000, y + 900_000),
            (x + 1_000_000, y + 900_000),
            (x + 2_500_000, y),
        )
        edges = (*(Edge((Nm(px), Nm(py))) for px, py in tail), *profile.edges)
    return with_profile(design, Contour(edges, profile.radius_nm))


@pair("profile.size", "longer", "wider", "shorter")
def profile_size(past: float, way: str) -> Design:
    design = base()
    outline, off = design.board.outline, 0.01 + past
    sizes = {
        "longer": {"length_mm": outline.length_mm - off},
        "shorter": {"length_mm": outline.length_mm + off},
        "wider": {"width_mm": outline.width_mm - off},
    }
    return with_board(design, outline=rectangled(design, **sizes[way]))


@pair("profile.corner", *WAYS)
def profile_corner(past: float, way: str) -> Design:
    """Cut a notch into the right edge, its ground a half circle, level or turned."""
    design = wide()
    outline, radius = design.board.outline, design.limits.router_mm / 2 - past
    x, y = outline.length_mm, outline.width_mm - 9.0
    for side in Side:
        design = yard(design, "level", around=(x, y), side=side)
    if way == "round":
        # From the edge inwards by an arc of the cutter and out again.
        start, end = (x, y - radius), (x, y + radius)
        notch = [Edge(at(*start)), Edge(at(*end), at(x, y), clockwise=True)]
    else:
        angle = angle_of(way)
        depth = 2.0
        low, high = (turned(-depth, s * radius, (x, y), angle) for s in (-1, 1))
        middle = turned(-depth, 0.0, (x, y), angle)
        slope = math.tan(angle)
        starts = [
            at(x, low[1] / 1e6 + (x - low[0] / 1e6) * slope),
            at(x, high[1] / 1e6 + (x - high[0] / 1e6) * slope),
        ]
        notch = [Edge(starts[0]), Edge(low), Edge(high, middle, clockwise=True), Edge(starts[1])]
    profile = design.artwork.profile
    right = next(
        place for place, edge in enumerate(profile.edges)
        if edge.centre is None and edge.end[0] == snap(x) and edge.end[1] > snap(y)
    )  # fmt: skip
    edges = (*profile.edges[:right], *notch, *profile.edges[right:])
    return with_profile(design, Contour(edges, profile.radius_nm))


@pair("profile.outside", *WAYS)
def profile_outside(past: float, way: str) -> Design:
    """Put a disc of copper just inside the edge, or in the corner's arc."""
    design = wide()
    outline, radius = design.board.outline, 0.4
    x, y, corner = outline.length_mm, outline.width_mm, corner_mm(outline)
    if way == "level":
        place = at(x - radius + past, y - 8.0)
    else:
        reach = corner - radius + past - rounding_mm(way)
        place = turned(reach, 0.0, (x - corner, y - corner), angle_of(way))
    around = (x, y - (8.0 if way == "level" else 4.0))
    design = yard(design, "level", around=around)
    return added(design, LayerKind.COPPER, letter(Disc(place, snap(radius))))


# -- mask and paste --------------------------------------------------------------------------------


@pair("mask.land", *WAYS)
def mask_land(past: float, way: str) -> Design:
    """Make a rectangle's opening too narrow, move a round one, shrink a round one."""
    design = yard(wide(), "level")
    wanted = design.limits.mask_expansion_mm
    if way == "level":
        land: Disc | Box = box(*YARD_MM, 1.0, 1.2)
        opening: Shape = Box(land.centre, Nm(snap(1.0) + 2 * snap(wanted) - 2 * snap(past)),
                             Nm(snap(1.2) + 2 * snap(wanted)))  # fmt: skip
    else:
        land = disc(*YARD_MM, 0.5)
        off = 0.02 + past if way == "turned" else 0.0
        size = 0.5 + wanted + (0.02 if way == "turned" else -past)
        opening = Disc(turned(off, 0.0, YARD_MM, angle_of(way)), snap(size))
    return planted_land(design, land, "X1", "X", opening=opening)


@pair("mask.land", "missing")
def mask_missing(past: float, _: str) -> Design:
    design = base()
    if past <= 0:
        return design
    return with_items(design, LayerKind.MASK, lambda items: items[1:])


@pair("mask.land", "as large as its land", "beside another")
def mask_tight(past: float, way: str) -> Design:
    """Leave no margin; or open too little, and let a second opening leave the rest free."""
    design = yard(wide(), "level")
    x, y = YARD_MM
    wanted = design.limits.mask_expansion_mm
    if way == "beside another":
        opening = box(x - 0.2, y, 1.0 + 2 * wanted, 1.2 + 2 * wanted)
        design = planted_land(design, box(x, y, 1.0, 1.2), "X1", "X", opening=opening)
        left = x + 0.3
        right = x + 0.5 + wanted - past
        joined = box((left + right) / 2, y, right - left, 1.2 + 2 * wanted)
        return added(design, LayerKind.MASK, Item(shape=joined, purpose=Purpose.OPENING))
    margin = 0.0 if past > 0 else wanted
    opening = box(x, y, 1.0 + 2 * margin, 1.2 + 2 * margin)
    return planted_land(design, box(x, y, 1.0, 1.2), "X1", "X", opening=opening)


@pair("mask.stray", *WAYS)
def mask_stray(past: float, way: str) -> Design:
    """Open beside a land's opening: level they touch; askew, chords stand for half of it."""
    design = yard(wide(), "level")
    contact = -past if way == "level" else UM / 2 - past
    first, second = two_lands(way, -contact)
    if way == "turned":
        first, second = two_discs(way, -contact, (0.5, 0.5))
    design = planted_land(design, grown(first, -0.05), "X1", "X", opening=first)
    return added(design, LayerKind.MASK, Item(shape=second, purpose=Purpose.OPENING))


@pair("mask.neighbour", *WAYS)
def mask_neighbour(past: float, way: str) -> Design:
    """Let the opening of a round land reach the pour's shore."""
    design = yard(wide(), way)
    reach = HALF_MM - 0.5 - 0.25
    ways = (reach, 0.0) if way == "round" else (0.0, reach)
    centre = turned(*ways, YARD_MM, angle_of(way))
    x, y = (part / 1e6 for part in centre)
    opening = Disc(centre, snap(0.5 + 0.25 + past - 2 * rounding_mm(way)))
    return planted_land(design, disc(x, y, 0.5), "X1", "X", opening=opening)


@pair("mask.neighbour", "land of another net")
def mask_by_a_land(past: float, _: str) -> Design:
    """One opening over two lands that the mask should keep apart."""
    design = yard(wide(), "level")
    x, y = YARD_MM
    design = planted_land(design, box(x, y, 1.0, 1.0), "X1", "X")
    opening = box(x + 1.5, y, 2.0 + 2 * past, 1.1)
    return planted_land(design, box(x + 1.5, y, 1.0, 1.0), "X2", "Y", opening=opening)


@pair("mask.neighbour", "track")
def mask_by_a_track(past: float, _: str) -> Design:
    design = yard(wide(), "level")
    design = planted_land(design, box(*YARD_MM, 1.0, 1.0), "X1", "X",
                          opening=box(*YARD_MM, 1.5, 1.5))  # fmt: skip
    stroke = line(YARD_MM, "level", 0.75 - past + 0.2, 0.2)
    return added(design, LayerKind.COPPER, letter(stroke))


@pair("mask.web", *WAYS)
def mask_web(past: float, way: str) -> Design:
    design = yard(wide(), "level")
    limit = design.limits.mask_web_mm(design.parameters.order.mask)
    first, second = two_lands(way, limit - past)
    inside = -design.limits.mask_expansion_mm - 0.05
    design = planted_land(design, grown(first, inside), "X1", "X", opening=first)
    return planted_land(design, grown(second, inside), "X2", "Y", opening=second)


@pair("paste.land", *WAYS)
def paste_land(past: float, way: str) -> Design:
    design = yard(wide(), "level")
    if way == "level":
        land: Disc | Box = box(*YARD_MM, 1.0, 1.2)
        spread: Shape = Box(land.centre, Nm(snap(1.0) + 2 * snap(past)), snap(1.2))
    else:
        land = disc(*YARD_MM, 0.5)
        off = 0.02 + past - rounding_mm(way) if way == "turned" else 0.0
        size = 0.5 - (0.02 if way == "turned" else -past)
        spread = Disc(turned(off, 0.0, YARD_MM, angle_of(way)), snap(size))
    return planted_land(design, land, "X1", "X", paste=spread)


@pair("paste.land", "missing", "strange", "doubled")
def paste_missing(past: float, way: str) -> Design:
    design = base()
    if past <= 0:
        return design
    if way == "missing":
        return with_items(design, LayerKind.PASTE, lambda items: items[1:])
    if way == "doubled":
        return with_items(design, LayerKind.PASTE, lambda items: (*items, items[0]))
    strange = Item(shape=disc(40.0, 4.0, 0.5), purpose=Purpose.PASTE, owner=Owner(reference="X"))
    return added(design, LayerKind.PASTE, strange)


@pair("paste.fine", "area", "aspect", "disc")
def paste_fine(past: float, way: str) -> Design:
    """IPC-7525's ratios, 0.66 and 1.5, at a stencil of 0.12 mm (docs/sources.md).

    The area ratio of a x b is a b / (2 (a + b) t); that of a disc d / (4 t).
    """
    design = yard(wide(), "level")
    thick = design.limits.stencil_mm
    walls = 2 * design.limits.paste_area * thick
    if way == "disc":
        size = 2 * walls - past
        land: Disc | Box = disc(*YARD_MM, 0.5)
        spread: Shape = Disc(at(*YARD_MM), Nm(math.ceil(size / 2 * 1e6 - 1e-3)))
    else:
        long = 1.0 if way == "area" else 2.0
        least = (
            walls * long / (long - walls) if way == "area" else design.limits.paste_aspect * thick
        )
        land = box(*YARD_MM, 1.0, long + 0.2)
        # A box's sides are even numbers of nanometres: upwards at the limit.
        width = 2 * math.ceil((least - past) * 1e6 / 2 - 1e-3)
        spread = Box(at(*YARD_MM), Nm(width), snap(long))
    return planted_land(design, land, "X1", "X", paste=spread)


# -- legend ----------------------------------------------------------------------------------------


def mark(stroke: Stroke) -> Item:
    return Item(shape=stroke, purpose=Purpose.MARK)


@pair("legend.land", *WAYS)
def legend_land(past: float, way: str) -> Design:
    """Beside a rectangle's opening; an end towards it; beside a round one's arc."""
    design = yard(wide(), "level")
    gap = design.limits.legend_land_mm - past + rounding_mm(way)
    expansion = design.limits.mask_expansion_mm
    x, y = YARD_MM
    land: Disc | Box = disc(x, y, 0.5) if way == "round" else box(x, y, 1.0, 1.0)
    reach = 0.5 + expansion + gap + 0.075
    angle = angle_of(way)
    if way == "level":
        stroke = line((x, y + reach), "level", 0.0, 0.075, half_mm=0.4)
    elif way == "turned":
        start = (x, y + reach)
        stroke = Stroke((at(*start), turned(1.0, 1.0, start, angle)), snap(0.075))
    else:
        stroke = Stroke(
            (turned(reach, 0.0, YARD_MM, angle), turned(reach + 1.0, 0.0, YARD_MM, angle)),
            snap(0.075),
        )
    return added(planted_land(design, land, "X1", "X"), LayerKind.LEGEND, mark(stroke))


@pair("legend.land", "hole")
def legend_hole(past: float, _: str) -> Design:
    design = _fenced(wide())
    reach = 0.5 + design.limits.legend_land_mm - past + 0.075
    design = drilled(design, hole(disc(*YARD_MM, 0.5)))
    return added(design, LayerKind.LEGEND, mark(line(YARD_MM, "level", reach, 0.075)))


@pair("legend.edge", *WAYS)
def legend_edge(past: float, way: str) -> Design:
    design = wide()
    outline, radius = design.board.outline, 0.075
    gap = design.limits.legend_edge_mm - past + rounding_mm(way)
    x, y, corner = outline.length_mm, outline.width_mm, corner_mm(outline)
    if way == "level":
        stroke = Stroke((at(x - gap - radius, y - 9), at(x - gap - radius, y - 8)), snap(radius))
    elif way == "turned":
        end = (x - gap - radius, y - 8.0)
        stroke = Stroke((at(*end), turned(-2.0, 0.0, end, angle_of(way))), snap(radius))
    else:
        middle, angle = (x - corner, y - corner), angle_of(way)
        reach = corner - gap - radius
        stroke = Stroke(
            (turned(reach, 0.0, middle, angle), turned(reach - 0.5, 0.0, middle, angle)),
            snap(radius),
        )
    return added(design, LayerKind.LEGEND, mark(stroke))


@pair("legend.fine", "level", "turned", "bottom")
def legend_fine(past: float, way: str) -> Design:
    design = wide()
    radius = (design.limits.legend_stroke_mm - past) / 2
    side = Side.BOTTOM if way == "bottom" else Side.TOP
    stroke = line(LOW_MM, "level" if way == "bottom" else way, 0.0, radius)
    return added(design, LayerKind.LEGEND, mark(stroke), side=side)


@pair("legend.fine", "letters")
def legend_small(past: float, _: str) -> Design:
    design = base()
    texts = tuple(
        replace(text, height_mm=text.height_mm - past) if text.height_mm == 1.0 else text
        for text in design.board.texts
    )
    return with_board(design, texts=texts)


@pair("legend.identity", "title", "supply", "current")
def legend_identity(past: float, way: str) -> Design:
    """Own choice: what the back says of the board."""
    design = base()
    if past <= 0:
        return design
    changed = {"title": ("Shelf", "Shell"), "supply": ("4.5–5", "4.5–6"), "current": (" mA", " W")}
    old, new = changed[way]
    texts = tuple(replace(t, text=t.text.replace(old, new)) for t in design.board.texts)
    return with_board(design, texts=texts)


@pair("legend.names", "resistors", "leds", "arrow")
def legend_names(past: float, way: str) -> Design:
    design = base()
    if past <= 0:
        return design
    begin = {"resistors": "R", "leds": "D", "arrow": "current"}[way]
    texts = tuple(t for t in design.board.texts if not t.text.startswith(begin))
    return with_board(design, texts=texts)


@pair("legend.trimmed", "note", "body", "page")
def legend_trimmed(past: float, way: str) -> Design:
    design = base()
    cut = (f"{way} of D1",) if past > 0 else ()
    return replace(design, artwork=replace(design.artwork, trimmed=cut))


@pair("side.unread", *BOARDS, besides=("legend.names",))
def side_unread(past: float, way: str) -> Design:
    """Without print the words are copper; with it the copper says nothing."""
    legend = None if past > 0 else "none"
    return base(way, copper={"sides": 1}, order={"legend": legend})


# -- polarity --------------------------------------------------------------------------------------


@pair("polarity.mark", "at the anode", "short", "under the body")
def polarity_mark(past: float, way: str) -> Design:
    """Move or shorten a bar of D2 until it fails by a micrometre."""
    led = "white 3528" if way == "under the body" else "white 2835"
    design = base(light={"led": led})
    d2 = design.board.part("D2")
    body = d2.pattern.body
    k, a = (d2.land_place(d2.pattern.land(name)) for name in ("1", "2"))
    # Nearer to K by a millimetre: on the line of both lands that is half of it beside the middle.
    nearer = min(design.limits.mark_nearer_mm, abs(k[0] - a[0]) / 2)

    def change(item: Item) -> Item:
        if item.purpose is not Purpose.CATHODE_MARK or not item.owner:
            return item
        if item.owner.reference != "D2" or not isinstance(item.shape, Stroke):
            return item
        (x1, y1), (x2, y2) = item.shape.points
        radius = item.shape.radius_nm
        if way == "at the anode":
            # Above the row, on the hyperbola of points that are nearer to K by so much.
            high, half_mm = 4.0, abs(k[0] - a[0]) / 2
            flat = (nearer / 2) ** 2
            away = math.sqrt(flat * (1 + high**2 / (half_mm**2 - flat)))
            x, level = snap((k[0] + a[0]) / 2 + away - past) + 1, snap(d2.y_mm + high)
            reach = snap((body.top_mm - body.bottom_mm) / 2)
            points: tuple[Point, ...] = ((Nm(x), Nm(level - reach)), (Nm(x), Nm(level + reach)))
        elif way == "short":
            half = snap((body.top_mm - body.bottom_mm) / 2) - snap(past)
            middle = (y1 + y2) // 2
            points = ((x1, Nm(middle - half)), (x2, Nm(middle + half)))
        else:
            level = Nm(snap(d2.extent(body).top_mm) + radius - snap(past))
            points = ((snap(d2.x_mm + 0.1), level), (snap(d2.x_mm + 3.1), level))
        return replace(item, shape=replace(item.shape, points=points))

    return with_items(design, LayerKind.LEGEND, lambda items: tuple(map(change, items)))


@pair("polarity.signs", "small", "missing", "changed")
def polarity_signs(past: float, way: str) -> Design:
    design = base()
    least = design.limits.aims.sign_mm
    swap = {"+": "−", "−": "+"}
    texts = []
    for text in design.board.texts:
        if text.role is TextRole.SIGN and way == "small":
            texts.append(replace(text, height_mm=least - past))
        elif text.role is TextRole.SIGN and past > 0 and way == "changed":
            texts.append(replace(text, text=swap[text.text]))
        elif not (text.text == "+" and past > 0 and way == "missing"):
            texts.append(text)
    return with_board(design, texts=tuple(texts))


@pair(
    "polarity.switch", "missing", "at the other end", "another part's", besides=("lands.typical",)
)
def polarity_switch(past: float, way: str) -> Design:
    """Without the word; nearer to the pin that is off by a micrometre; or owned by another part."""
    design = base(connector={"switch": "slide switch"})
    switch = design.board.part("S1")
    on, off = (switch.land_place(switch.pattern.land(pin)) for pin in ("1", "3"))

    def change(text: Text) -> Text | None:
        if text.role is not TextRole.SWITCH or past <= 0:
            return text
        if way == "missing":
            return None
        if way == "another part's":
            return replace(text, owner="J1")
        towards = (1 + past) / 2
        x, y = (a + (b - a) * towards for a, b in zip(on, off, strict=True))
        return replace(text, x_mm=x, y_mm=y)

    texts = tuple(filter(None, map(change, design.board.texts)))
    return replace(design, board=replace(design.board, texts=texts))

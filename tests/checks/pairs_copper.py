"""Pairs for rules on copper, nets, pours and relief."""

import math
from dataclasses import replace

from boardgen.model.artwork import Item, LayerKind, Purpose
from boardgen.model.board import Side
from boardgen.model.design import Design
from boardgen.model.shapes import Box, Disc, Shape, Stroke
from boardgen.standards import track_width
from boardgen.standards.spacing import Cover, spacing_mm
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
    by_the_fence,
    corner_mm,
    disc,
    letter,
    line,
    pair,
    planted_land,
    redrawn,
    rounding_mm,
    second_comes,
    square,
    turned,
    two_discs,
    two_lands,
    wide,
    with_channel,
    with_items,
    with_pattern,
    yard,
)

WAYS = ("level", "turned", "round")


@pair("gap.copper", *WAYS)
def gap_to_the_pour(past: float, way: str) -> Design:
    design = yard(wide(), way)
    shape = by_the_fence(way, design.limits.gap_mm - past, 0.25)
    return added(design, LayerKind.COPPER, letter(shape))


@pair("gap.copper", "two tracks level", "two tracks turned", "two discs")
def gap_between_metal(past: float, way: str) -> Design:
    way = {"two discs": "round"}.get(way, way.rpartition(" ")[2])
    design = yard(wide(), "level")
    gap = design.limits.gap_mm - past
    shapes: tuple[Shape, Shape]
    if way == "round":
        shapes = two_discs(way, gap, (0.3, 0.4))
    else:
        shapes = (
            line(YARD_MM, way, 0.0, 0.25),
            line(YARD_MM, way, gap + 0.5 + rounding_mm(way), 0.25),
        )
    return added(design, LayerKind.COPPER, letter(shapes[0]), letter(shapes[1], "X"))


@pair("gap.copper", "at the rail")
def gap_to_the_rail(past: float, _: str) -> Design:
    design = base()
    r1 = design.board.part("R1")
    x, y = r1.land_place(r1.pattern.land("2"))
    rail = next(
        t for t in design.board.tracks
        if t.net == "V+" and t.points[0][1] == t.points[1][1] and t.width_mm > 1
    )  # fmt: skip
    end = rail.points[0][1] - rail.width_mm / 2 - design.limits.gap_mm - 0.25 + past
    stub = Stroke((at(x, y), at(x, end)), snap(0.25))
    # Drawn after the pour, the stub cuts nothing free: the pour is cleared around it.
    clear = Item(shape=_rectangle((x, (y + end) / 2), 2.0, end - y + 1.0),
                 purpose=Purpose.CLEARANCE, dark=False)  # fmt: skip
    design = with_items(design, LayerKind.COPPER, lambda items: (items[0], clear, *items[1:]))
    return added(design, LayerKind.COPPER, letter(stub, "B01.1"))


@pair("gap.voltage", *WAYS)
def gap_voltage(past: float, way: str) -> Design:
    supply = {"low": "15 V", "nominal": "16 V", "high": "17 V"}
    light = {"led": "red 0805", "count": 4, "in_series": 4, "current": "5 mA", "use": None}
    design = yard(wide(supply=supply, light=light), "level")
    first, second = two_lands(way, spacing_mm(17.0, Cover.LANDS) - past)
    return planted_land(planted_land(design, first, "X1", "X"), second, "X2", "Y")


@pair("track.width", "level", "turned", "bottom")
def track_thin(past: float, way: str) -> Design:
    side = Side.BOTTOM if way == "bottom" else Side.TOP
    design = yard(wide(), "level", side=side)
    radius = (design.limits.track_mm - past) / 2
    thin = line(YARD_MM, "level" if way == "bottom" else way, 0.0, radius)
    return added(design, LayerKind.COPPER, letter(thin), side=side)


@pair("track.heat", *BOARDS)
def track_heat(past: float, way: str) -> Design:
    design = base(way)
    rails = replace(design.operation.rails, width_mm=design.circuit.rail.heat_mm - past)
    return replace(design, operation=replace(design.operation, rails=rails))


@pair("track.acute", "level", "turned", "bottom")
def track_acute(past: float, way: str) -> Design:
    """Own choice: a bend of 60 degrees with arms of 6 mm, one end moved along the fence."""
    side = Side.BOTTOM if way == "bottom" else Side.TOP
    turn = "level" if way == "bottom" else way
    design = yard(wide(), turn, side=side)
    angle, arm = angle_of(turn), 6.0
    high, half = arm * math.cos(math.pi / 6), arm * math.sin(math.pi / 6)
    points = tuple(
        turned(x, y, YARD_MM, angle)
        for x, y in ((-half, high - 1), (0.0, -1.0), (half + 1e-6 - past, high - 1))
    )
    bend = Item(shape=Stroke(points, snap(0.2)), purpose=Purpose.TRACK, net="0V")
    return added(design, LayerKind.COPPER, bend, side=side)


@pair("net.whole", "drawn over")
def cut(past: float, _: str) -> Design:
    """Draw a clear object over a disc of copper, which cuts it; right before it does not."""
    design = yard(wide(), "level")
    copper = letter(disc(*YARD_MM, 0.5), "X")
    clear = Item(shape=disc(*YARD_MM, 0.2), purpose=Purpose.CLEARANCE, dark=False)
    pair_of = (copper, clear) if past > 0 else (clear, copper)
    return added(design, LayerKind.COPPER, *pair_of)


@pair("track.loose-end", *WAYS)
def track_loose(past: float, way: str) -> Design:
    design = yard(wide(), way)
    angle = angle_of(way)
    if way == "round":
        # From the pour across the yard to its other shore, which is an arc.
        ends = (turned(-5.0, 0.0, YARD_MM, angle), turned(HALF_MM - past, 0.0, YARD_MM, angle))
        stub = Item(shape=Stroke(ends, snap(0.2)), purpose=Purpose.TRACK, net="0V")
        return added(design, LayerKind.COPPER, stub)
    bar = line(YARD_MM, way, 0.0, 0.25, half_mm=5.0)
    reach = 0.25 + past - rounding_mm(way)
    ends = (turned(1.0, 5.0, YARD_MM, angle), turned(1.0, reach, YARD_MM, angle))
    items = [
        Item(shape=shape, purpose=Purpose.TRACK, net="0V")
        for shape in (bar, Stroke(ends, snap(0.2)))
    ]
    return added(design, LayerKind.COPPER, *items)


def _contact(way: str, past: float) -> float:
    """Tell how far copper overlaps: level it touches; askew, chords of arcs stand for half."""
    if way == "level":
        return -past
    return UM / 2 - past


@pair("net.whole", *WAYS)
def net_whole(past: float, way: str) -> Design:
    design = yard(wide(), "level")
    shapes: tuple[Shape, Shape]
    if way == "level":
        shapes = (box(-1.0), box(1.0 + past))
    else:
        shapes = two_discs(way, -_contact(way, past), (0.4, 0.4))
    return added(design, LayerKind.COPPER, *(letter(shape, "X") for shape in shapes))


def box(x_mm: float) -> Box:
    return Box(at(YARD_MM[0] + x_mm, YARD_MM[1]), snap(2.0), snap(1.0))


@pair("net.whole", "cut link", "joined nets", "clear object")
def net_cut(past: float, way: str) -> Design:
    design = base()
    if past <= 0:
        return design
    if way == "clear object":
        rail = next(track for track in design.board.tracks if track.net == "B02.1")
        middle = disc(rail.points[0][0] + 1.0, rail.points[0][1], 0.4)
        clear = Item(shape=middle, purpose=Purpose.CLEARANCE, dark=False)
        return added(design, LayerKind.COPPER, clear)
    if way == "joined nets":
        bridge = letter(Stroke((at(22.1, 8.0), at(22.1, 9.0)), snap(0.15)), "B01.1")
        strange = letter(Stroke((at(22.1, 8.9), at(22.1, 9.5)), snap(0.15)), "0V")
        return added(design, LayerKind.COPPER, bridge, strange)
    return with_items(
        design,
        LayerKind.COPPER,
        lambda items: tuple(
            item for item in items if item.net != "B02.1" or item.purpose is not Purpose.TRACK
        ),
    )


@pair("pour.thin", *WAYS)
def pour_thin(past: float, way: str) -> Design:
    design = wide()
    width = design.limits.pour_width_mm - past + rounding_mm(way)
    angle, radius = angle_of(way), 1.5
    away = radius + width / 2
    places = [turned(side * away, 0.0, YARD_MM, angle) for side in (-1, 1)]
    for x, y in places:
        design = _cleared(design, way, (x / 1e6, y / 1e6), radius)
    return design


def _cleared(design: Design, way: str, around: tuple[float, float], half: float) -> Design:
    clear = Item(shape=square(around, way, half), purpose=Purpose.CLEARANCE, dark=False)
    return with_items(design, LayerKind.COPPER, lambda items: (items[0], clear, *items[1:]))


@pair("pour.thin", "finger", "sliver")
def pour_finger(past: float, way: str) -> Design:
    """Leave a strip of pour that ends in a yard, too thin along its whole length."""
    design = wide()
    width = design.limits.pour_width_mm - past
    if way == "sliver" and past:
        width = 0.02
    x, y = YARD_MM
    for side in (-1, 1):
        middle = (x + side * (width / 2 + 0.5), y)
        clear = Item(shape=_rectangle(middle, 1.0, 0.85), purpose=Purpose.CLEARANCE, dark=False)
        design = with_items(design, LayerKind.COPPER, second_comes(clear))
    cap = Item(shape=_rectangle((x, y + 0.925), 2.4, 1.0), purpose=Purpose.CLEARANCE, dark=False)
    return with_items(design, LayerKind.COPPER, lambda items: (items[0], cap, *items[1:]))


def _rectangle(around: tuple[float, float], width: float, height: float) -> Shape:
    from boardgen.geometry.contours import outline  # noqa: PLC0415 - beside its only use

    return outline(Box(at(*around), Nm(2 * snap(width / 2)), Nm(2 * snap(height / 2))))


@pair("pour.island", *WAYS)
def pour_island(past: float, way: str) -> Design:
    """Put a piece of pour into a yard, held by a bar of its net from the fence."""
    design = yard(wide(), "level")
    clear_net = next(
        item for item in design.artwork.layer(LayerKind.COPPER, Side.TOP).items
        if item.purpose is Purpose.POUR
    )  # fmt: skip
    angle = angle_of(way)
    island = replace(clear_net, shape=square(YARD_MM, way, 1.0))
    design = with_items(design, LayerKind.COPPER, lambda items: (*items[:2], island, *items[2:]))
    reach = 1.0 - _contact(way, past)
    if way == "level":
        bar: Shape = Box(at(YARD_MM[0] + (reach + 5.0) / 2, YARD_MM[1]),
                         Nm(2 * snap((5.0 - reach) / 2)), snap(0.6))  # fmt: skip
    else:
        ends = (turned(reach + 0.3, 0.0, YARD_MM, angle), turned(6.0, 0.0, YARD_MM, angle))
        bar = Stroke(ends, snap(0.3))
    return added(design, LayerKind.COPPER, letter(bar, "0V"))


@pair("edge.copper", *WAYS)
def edge_copper(past: float, way: str) -> Design:
    """Near the straight right edge, with an end, and in the corner's arc."""
    design = wide()
    outline = design.board.outline
    gap, radius = design.limits.copper_edge_mm - past, 0.25
    x, y = outline.length_mm, outline.width_mm - 8.0
    if way == "round":
        middle = (x - corner_mm(outline), outline.width_mm - corner_mm(outline))
        reach = corner_mm(outline) - gap - radius - rounding_mm(way)
        shape: Stroke | Disc = Disc(turned(reach, 0.0, middle, angle_of(way)), snap(radius))
    elif way == "turned":
        end = (x - gap - radius, y)
        shape = Stroke((at(*end), turned(-2.0, 0.0, end, angle_of(way))), snap(radius))
    else:
        shape = Stroke((at(x - gap - radius, y - 1), at(x - gap - radius, y + 1)), snap(radius))
    around = (x, y + 4.0 if way == "round" else y)
    return added(yard(design, "level", around=around), LayerKind.COPPER, letter(shape))


@pair("edge.copper", "the pour itself")
def edge_pour(past: float, _: str) -> Design:
    design = base()
    edge = design.limits.copper_edge_mm - past
    return redrawn(design, pours=tuple(replace(p, edge_mm=edge) for p in design.board.pours))


@pair("screw.room", *WAYS)
def screw_room(past: float, way: str) -> Design:
    design = wide()
    screw = design.board.holes[1]
    middle = (screw.x_mm, screw.y_mm)
    reach = screw.room_mm / 2 - past
    angle = angle_of(way) + math.pi / 2
    if way == "round":
        shape: Shape = Disc(turned(reach + 0.3 + 2e-6, 0.0, middle, angle), snap(0.3))
    else:
        ends = tuple(turned(reach + 0.25 + rounding_mm(way), y, middle, angle) for y in (-0.5, 0.5))
        shape = Stroke(ends, snap(0.25))
    return added(_cleared(design, "level", middle, 6.0), LayerKind.COPPER, letter(shape))


@pair("screw.room", "the pour itself")
def screw_pour(past: float, _: str) -> Design:
    design = base()
    holes = tuple(replace(each, room_mm=each.room_mm + 2 * past) for each in design.board.holes)
    return replace(design, board=replace(design.board, holes=holes))


def _spokes_of(items: tuple[Item, ...], centre: tuple[int, int]) -> list[Item]:
    return [
        item
        for item in items
        if item.purpose is Purpose.SPOKE
        and isinstance(item.shape, Stroke)
        and item.shape.points[0] == centre
    ]


@pair("relief.spokes", "level", "turned", "round")
def relief_spokes(past: float, way: str) -> Design:
    """Leave a land as many spokes as it must have, one of them short of the pour.

    Level at a chip, whose clearance is a rectangle; else at a round land.
    """
    design = wide()
    reference = "D2" if way == "level" else "J1"

    def change(items: tuple[Item, ...]) -> tuple[Item, ...]:
        land = next(
            i for i in items
            if i.owner and i.owner.reference == reference and i.net == "0V"
            and i.purpose in (Purpose.SURFACE_LAND, Purpose.THROUGH_LAND)
        )  # fmt: skip
        assert isinstance(land.shape, Disc | Box)
        spokes = _spokes_of(items, land.shape.centre)
        gone = spokes[design.limits.spokes :]
        kept = tuple(item for item in items if item not in gone)
        last = spokes[design.limits.spokes - 1]
        assert isinstance(last.shape, Stroke)
        (x1, y1), (x2, y2) = last.shape.points
        length = math.hypot(x2 - x1, y2 - y1)
        angle = math.atan2(y2 - y1, x2 - x1) + (angle_of("turned") if way == "turned" else 0)
        reach = length / 1e6 - past + rounding_mm(way)
        end = turned(reach, 0.0, (x1 / 1e6, y1 / 1e6), angle)
        moved = replace(last, shape=replace(last.shape, points=((x1, y1), end)))
        return tuple(moved if item is last else item for item in kept)

    return with_items(design, LayerKind.COPPER, change)


@pair("relief.spokes", "one for two")
def relief_one_spoke(past: float, _: str) -> Design:
    """Leave a chip's land one spoke, as wide as the fewest are together."""
    design = wide()
    width_mm = design.limits.spokes * design.limits.aims.chip_spoke_mm - past

    def change(items: tuple[Item, ...]) -> tuple[Item, ...]:
        land = next(
            i for i in items
            if i.owner and i.owner.reference == "D2" and i.net == "0V"
            and i.purpose is Purpose.SURFACE_LAND
        )  # fmt: skip
        assert isinstance(land.shape, Box)
        first, *gone = _spokes_of(items, land.shape.centre)
        assert isinstance(first.shape, Stroke)
        (x1, y1), (x2, y2) = first.shape.points
        more = snap(width_mm / 2) - first.shape.radius_nm
        length = math.dist((x1, y1), (x2, y2))
        end = (Nm(round(x2 + (x2 - x1) / length * more)), Nm(round(y2 + (y2 - y1) / length * more)))
        shape = Stroke(((x1, y1), end), snap(width_mm / 2))
        wider = replace(first, shape=shape)
        return tuple(wider if item is first else item for item in items if item not in gone)

    return with_items(design, LayerKind.COPPER, change)


@pair("relief.current", "connector", "bottom", "led", besides=("lands.typical",))
@pair("relief.current", "two poles", besides=("lands.typical", "current.connector"))
def relief_current(past: float, way: str) -> Design:
    """Spokes as thin as tracks may be, and the current for which they are just wide enough."""
    design = base(connector={"kind": "terminal 3.5 mm"}, light={"lands_compared": True})
    thin = snap(design.limits.track_mm / 2)
    if way == "two poles":
        design = base(connector={"kind": "terminal 3.5 mm", "poles": 3})
    reference = "D2" if way == "led" else "J1"

    def change(items: tuple[Item, ...]) -> tuple[Item, ...]:
        land = next(
            i for i in items if i.owner and i.owner.reference == reference and i.net == "0V"
            and i.purpose in (Purpose.SURFACE_LAND, Purpose.THROUGH_LAND)
        )  # fmt: skip
        assert isinstance(land.shape, Disc | Box)
        spokes = _spokes_of(items, land.shape.centre)
        kept = [item for item in items if item not in spokes[2:]]
        return tuple(
            replace(item, shape=replace(item.shape, radius_nm=thin)) if item in spokes else item
            for item in kept
        )

    sides = (Side.TOP,) if way == "led" else tuple(Side)
    for side in sides:
        design = with_items(design, LayerKind.COPPER, change, side)
    if way == "bottom":  # as much again, by wider spokes of one side
        design = with_items(
            design,
            LayerKind.COPPER,
            lambda items: tuple(
                replace(item, shape=replace(item.shape, radius_nm=Nm(2 * thin)))
                if item.purpose is Purpose.SPOKE
                and isinstance(item.shape, Stroke)
                and item.shape.radius_nm == thin
                else item
                for item in items
            ),
            Side.BOTTOM,
        )
    width = {"connector": 4, "bottom": 6, "led": 2, "two poles": 4}[way] * 2 * thin / 1e6
    if way == "two poles":  # a track joins them on both sides
        track = next(track for track in design.board.tracks if track.net == "0V")
        width += 2 * track.width_mm
    copper = design.parameters.copper
    # A tenth of a nanometre short, for the two powers do not undo one another to the last digit.
    current = track_width.capacity_a(width + past - 1e-7, copper.rise_k, copper.weight_um)
    if way != "led":
        poles = 2 if way == "two poles" else 1
        return replace(design, circuit=replace(design.circuit, worst_a=poles * current))
    kinds = tuple(
        replace(kind, high=replace(kind.high, current_a=current), most_a=1e3, hottest_most_a=1e3)
        for kind in design.circuit.kinds
    )
    return with_channel(design, kinds=kinds)


@pair("heat.chip", "D1", "D2", "wider")
def heat_chip(past: float, way: str) -> Design:
    design = base(light={"led": "red 0805"})
    name = "D1" if way == "wider" else way
    land = design.board.part(name).land_place(design.board.part(name).pattern.land("2"))
    centre = at(*land)
    plain = 0.5
    share = design.limits.heat_share
    width = plain / (1 - share) + past + 1e-6 if way == "wider" else plain * (1 - share) - past
    if way == "wider" and past == 0:
        width = plain / (1 - share) - 2e-6

    def change(items: tuple[Item, ...]) -> tuple[Item, ...]:
        return tuple(
            replace(item, shape=replace(item.shape, radius_nm=snap(width / 2)))
            if item.purpose is Purpose.TRACK
            and isinstance(item.shape, Stroke)
            and centre in (item.shape.points[0], item.shape.points[-1])
            else item
            for item in items
        )

    return with_items(design, LayerKind.COPPER, change)


@pair("heat.chip", "largest", "solid")
def heat_largest(past: float, way: str) -> Design:
    """As long as bodies of 0805 get; and a land that the pour joins all round."""
    if way == "solid":
        return base(light={"led": "red 0805"}, copper={"relief": "holes" if past > 0 else "all"})
    design = heat_chip(past, "D1")
    body = design.board.part("D1").pattern.body
    left = body.right_mm - 2.3
    return with_pattern(design, "D1", body=replace(body, left_mm=left))

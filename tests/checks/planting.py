"""Whole boards with one object planted at a limit, or a micrometre past it.

A pair is level (parallel to the board), turned (by 17.3 degrees), or against an arc; where a rule
meets no such direction, it is another object or another board. What lies askew lands on the grid of
one nanometre; it is put two nanometres on the allowed side, so that rounding never decides.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from boardgen.artwork.draw import draw
from boardgen.checks.table import check
from boardgen.model.artwork import Hole, HoleKind, Item, Layer, LayerKind, Owner, Purpose
from boardgen.model.board import Part, Side
from boardgen.model.design import Design
from boardgen.model.outline import Outline, rectangle, walk
from boardgen.model.shapes import Box, Contour, Disc, Edge, Point, Shape, Stroke
from boardgen.units import Nm, snap
from tests.conftest import SHELF, design_of, merged

UM = 0.001
TURN_DEG = 17.3
ROUNDING_NM = 2

BASE = merged(
    SHELF,
    {
        "board": {"date": "2026-11-25"},
        # No more than an LED bears the wrong way round, and of no kind that may switch itself off.
        "supply": {"from": None, "low": "4.5 V", "nominal": "4.8 V", "high": "5 V"},
        "light": {"count": 3, "use": None, "current": "15 mA", "lands_compared": True},
        "connector": {"kind": "wire pads"},
    },
)
WIDE = merged(BASE, {"form": {"width": "40 mm"}, "order": {"mask": "green"}})
"""With free pour above and below the row: room for what is planted."""

YARD_MM = (27.5, 29.0)
"""The middle of such a free place, on both sides."""

Plant = Callable[[float], Design]
Variant = dict[str, dict[str, Any]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """One pair of boards: ``plant(UM)`` must be found, ``plant(0)`` must pass.

    ``besides`` lists what is found on the board before anything is planted. A ``grave`` pair asks
    for an error where the rule warns before.
    """

    code: str
    way: str
    plant: Plant
    besides: tuple[str, ...] = ()
    grave: bool = False

    @property
    def name(self) -> str:
        """The rule and the way."""
        return f"{self.code} {self.way}"


PAIRS: list[Pair] = []


def pair(
    code: str, *ways: str, besides: tuple[str, ...] = (), grave: bool = False
) -> Callable[[Callable[..., Design]], Callable[..., Design]]:
    """List a planter for each of its ways; it takes how far past the limit, and the way."""

    def note(plant: Callable[..., Design]) -> Callable[..., Design]:
        for way in ways:
            bound = lambda past, way=way: plant(past, way)  # noqa: E731 - bound now, called later
            PAIRS.append(Pair(code=code, way=way, plant=bound, besides=besides, grave=grave))
        return plant

    return note


VARIANTS: dict[str, Variant] = {
    "left": {},
    "right": {"connector": {"at": "right"}},
    "pitch 15": {"form": {"pitch": "15 mm"}},
}
"""Three boards for rules that know no direction."""
BOARDS = tuple(VARIANTS)


def second_comes(item: Item) -> Callable[[tuple[Item, ...]], tuple[Item, ...]]:
    """Put an item behind the first, which is the pour."""
    return lambda items: (items[0], item, *items[1:])


def base(way: str = "left", **changes: dict[str, Any]) -> Design:
    return design_of(merged(merged(BASE, VARIANTS.get(way, {})), changes))


def wide(**changes: dict[str, Any]) -> Design:
    return design_of(merged(WIDE, changes))


def codes(design: Design) -> set[str]:
    return {finding.code for finding in check(design)}


def redrawn(design: Design, **changes: Any) -> Design:
    board = replace(design.board, **changes)
    return replace(design, board=board, artwork=draw(design.parameters, board))


def with_layer(design: Design, layer: Layer) -> Design:
    old = design.artwork.layer(layer.kind, layer.side)
    layers = tuple(layer if each is old else each for each in design.artwork.layers)
    return replace(design, artwork=replace(design.artwork, layers=layers))


def with_items(
    design: Design,
    kind: LayerKind,
    change: Callable[[tuple[Item, ...]], tuple[Item, ...]],
    side: Side | None = Side.TOP,
) -> Design:
    layer = design.artwork.layer(kind, side)
    return with_layer(design, replace(layer, items=change(layer.items)))


def added(design: Design, kind: LayerKind, *items: Item, side: Side | None = Side.TOP) -> Design:
    return with_items(design, kind, lambda old: (*old, *items), side)


def with_holes(design: Design, change: Callable[[tuple[Hole, ...]], tuple[Hole, ...]]) -> Design:
    return replace(design, artwork=replace(design.artwork, holes=change(design.artwork.holes)))


def corner_mm(outline: Outline) -> float:
    """Tell the radius of a rectangle's corners."""
    return next(
        math.dist(start, bow.centre) for start, bow in walk(outline.outer) if bow.centre is not None
    )


def rectangled(design: Design, **changes: float) -> Outline:
    """Make a bar's outline anew with another length, width or corner."""
    outline = design.board.outline
    sizes = {"length_mm": outline.length_mm, "width_mm": outline.width_mm,
             "corner_mm": corner_mm(outline)}  # fmt: skip
    return rectangle(**{**sizes, **changes})


def posed(part: Part, **changes: float) -> Part:
    """Put a part elsewhere, or turn it."""
    return replace(part, pose=replace(part.pose, **changes))


def with_part(design: Design, reference: str, **changes: Any) -> Design:
    places = {key: changes.pop(key) for key in ("x_mm", "y_mm", "turn_deg") if key in changes}
    parts = tuple(
        posed(replace(part, **changes), **places) if part.reference == reference else part
        for part in design.board.parts
    )
    return replace(design, board=replace(design.board, parts=parts))


def with_pattern(design: Design, reference: str, **changes: Any) -> Design:
    pattern = design.board.part(reference).pattern
    return with_part(design, reference, pattern=replace(pattern, **changes))


def with_kind(design: Design, **changes: Any) -> Design:
    (kind,) = design.circuit.kinds
    new = replace(kind, **changes)
    branches = tuple(replace(branch, kind=new) for branch in design.circuit.branches)
    return with_channel(design, kinds=(new,), branches=branches)


def with_channel(design: Design, **changes: Any) -> Design:
    (channel,) = design.circuit.channels
    channels = (replace(channel, **changes),)
    return replace(design, circuit=replace(design.circuit, channels=channels))


def with_led(design: Design, **changes: Any) -> Design:
    """Change what is known of the board's LED, wherever it is told."""
    (emitter,) = design.parameters.parts.emitters
    led = replace(emitter.led, data=replace(emitter.led.data, **changes))
    parameters = design.parameters.with_parts(emitters=(replace(emitter, led=led),))
    return with_channel(with_kind(replace(design, parameters=parameters), led=led), led=led)


def with_board(design: Design, **changes: Any) -> Design:
    return replace(design, board=replace(design.board, **changes))


def with_limits(design: Design, **changes: Any) -> Design:
    return replace(design, limits=replace(design.limits, **changes))


def with_profile(design: Design, contour: Contour) -> Design:
    item = replace(design.artwork.layer(LayerKind.PROFILE).items[0], shape=contour)
    return with_layer(design, replace(design.artwork.layer(LayerKind.PROFILE), items=(item,)))


# -- shapes ----------------------------------------------------------------------------------------


def at(x_mm: float, y_mm: float) -> Point:
    return (snap(x_mm), snap(y_mm))


def angle_of(way: str) -> float:
    return math.radians({"level": 0.0, "turned": TURN_DEG, "round": 40.0}[way])


def turned(x_mm: float, y_mm: float, around: tuple[float, float], angle: float) -> Point:
    """Turn a point given from a middle."""
    cos, sin = math.cos(angle), math.sin(angle)
    return at(around[0] + x_mm * cos - y_mm * sin, around[1] + x_mm * sin + y_mm * cos)


def line(
    around: tuple[float, float], way: str, y_mm: float, radius_mm: float, half_mm: float = 1.0
) -> Stroke:
    """Draw a line at a height above a middle, then turn both."""
    angle = angle_of(way)
    ends = tuple(turned(x, y_mm, around, angle) for x in (-half_mm, half_mm))
    return Stroke(ends, snap(radius_mm))


def disc(x_mm: float, y_mm: float, radius_mm: float) -> Disc:
    return Disc(at(x_mm, y_mm), snap(radius_mm))


def box(x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> Box:
    return Box(at(x_mm, y_mm), Nm(2 * snap(width_mm / 2)), Nm(2 * snap(height_mm / 2)))


def square(around: tuple[float, float], way: str, half_mm: float) -> Contour:
    """Draw a square, turned, or a circle of that radius."""
    x, y = around
    if way == "round":
        right, left = at(x + half_mm, y), at(x - half_mm, y)
        return Contour((Edge(left, at(x, y)), Edge(right, at(x, y))))
    angle = angle_of(way)
    corners = ((half_mm, -half_mm), (half_mm, half_mm), (-half_mm, half_mm), (-half_mm, -half_mm))
    return Contour(tuple(Edge(turned(cx, cy, around, angle)) for cx, cy in corners))


HALF_MM = 4.0


def yard(
    design: Design, way: str, around: tuple[float, float] = YARD_MM, side: Side = Side.TOP
) -> Design:
    """Clear the pour from a square, a turned square or a circle."""
    clear = Item(shape=square(around, way, HALF_MM), purpose=Purpose.CLEARANCE, dark=False)

    def put(items: tuple[Item, ...]) -> tuple[Item, ...]:
        last = max(place for place, item in enumerate(items) if item.purpose is Purpose.POUR)
        return (*items[: last + 1], clear, *items[last + 1 :])

    return with_items(design, LayerKind.COPPER, put, side)


def by_the_fence(
    way: str, gap_mm: float, radius_mm: float, around: tuple[float, float] = YARD_MM
) -> Stroke | Disc:
    """Put a line, or in a round yard a disc, at a gap from the yard's border."""
    reach = HALF_MM - gap_mm - radius_mm - rounding_mm(way)
    if way != "round":
        return line(around, way, reach, radius_mm)
    return Disc(turned(reach, 0.0, around, angle_of(way)), snap(radius_mm))


def rounding_mm(way: str) -> float:
    return 0.0 if way == "level" else ROUNDING_NM * 1e-6


def letter(shape: Shape, net: str = "") -> Item:
    return Item(shape=shape, purpose=Purpose.MARK, net=net)


def two_discs(
    way: str, gap_mm: float, radii_mm: tuple[float, float], around: tuple[float, float] = YARD_MM
) -> tuple[Disc, Disc]:
    """Put two discs at a gap from one another, in the way's direction."""
    apart = gap_mm + sum(radii_mm) + rounding_mm(way)
    second = turned(apart, 0.0, around, angle_of(way))
    return disc(*around, radii_mm[0]), Disc(second, snap(radii_mm[1]))


def two_lands(way: str, gap_mm: float) -> tuple[Disc | Box, Disc | Box]:
    """Put two lands at a gap: rectangles level, discs askew, a rectangle and a disc."""
    x, y = YARD_MM
    if way == "level":
        return box(x, y, 1.0, 1.0), box(x + 1.0 + gap_mm, y, 1.0, 1.0)
    if way == "turned":
        return two_discs(way, gap_mm, (0.5, 0.5))
    return box(x, y, 1.0, 1.0), disc(x + 0.5 + gap_mm + 0.5, y, 0.5)


def grown(shape: Disc | Box, by_mm: float) -> Disc | Box:
    if isinstance(shape, Disc):
        return Disc(shape.centre, Nm(shape.radius_nm + snap(by_mm)))
    return Box(
        shape.centre,
        Nm(shape.width_nm + 2 * snap(by_mm)),
        Nm(shape.height_nm + 2 * snap(by_mm)),
    )


def planted_land(
    design: Design,
    shape: Disc | Box,
    name: str,
    net: str,
    opening: Shape | None = None,
    paste: Shape | None = None,
) -> Design:
    """Add a surface land with opening and paste, complete unless told otherwise."""
    owner = Owner(reference=name, pin="1")
    land = Item(shape=shape, purpose=Purpose.SURFACE_LAND, net=net, owner=owner)
    expansion = design.limits.mask_expansion_mm
    bare = Item(shape=opening or grown(shape, expansion), purpose=Purpose.OPENING, owner=owner)
    spread = Item(shape=paste or grown(shape, -0.05), purpose=Purpose.PASTE, owner=owner)
    design = added(design, LayerKind.COPPER, land)
    design = added(design, LayerKind.MASK, bare)
    return added(design, LayerKind.PASTE, spread)


def hole(shape: Disc, *, plated: bool = False, net: str = "") -> Hole:
    kind = HoleKind.VIA if plated else HoleKind.SCREW
    return Hole(
        centre=shape.centre,
        diameter_nm=Nm(2 * shape.radius_nm),
        kind=kind,
        plated=plated,
        net=net,
    )


def drilled(design: Design, *holes: Hole) -> Design:
    return with_holes(design, lambda old: (*old, *holes))


def resized(design: Design, which: Callable[[Hole], bool], diameter_mm: float) -> Design:
    return with_holes(
        design,
        lambda holes: tuple(
            replace(each, diameter_nm=Nm(2 * snap(diameter_mm / 2))) if which(each) else each
            for each in holes
        ),
    )


def of_screw(name: str) -> Callable[[Hole], bool]:
    return lambda each: bool(each.owner and each.owner.reference == name)


def is_via(each: Hole) -> bool:
    return each.kind is HoleKind.VIA


def land_of(part: Part, name: str) -> tuple[float, float]:
    return part.land_place(part.pattern.land(name))

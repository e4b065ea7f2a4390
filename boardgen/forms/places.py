"""The form "places": LEDs where a list has them, within an edge around them or one drawn."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from boardgen.errors import Change, RefusalError
from boardgen.forms.band import boxed
from boardgen.forms.polygon import LEAST_CORNER_MM, Sides, ring_of
from boardgen.forms.ring import OPENING, edge, flat_mm
from boardgen.forms.way_in import rail_side
from boardgen.model.form_section import LEAST_HOLE_MM
from boardgen.model.outline import Drawing, Outline, circle, extremes, rectangle, walk
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Keys, Measure, Plan, Sketch
from boardgen.model.pose import Point, Pose, direction
from boardgen.model.spine import Piece, Spine
from boardgen.tolerances import HAIR_MM

_KEYS = Keys(
    whole="form",
    pitch="form.places",
    along="form.margin",
    across="form.margin",
    between="form.places",
    corner="form.corner",
)
_MEASURES = (
    Measure(key="form.margin", field="margin_mm", grows=True,
            tight="the board is too small for its parts"),
)  # fmt: skip
_CORNER_MM = 2.0


Place = tuple[float, float, float]
"""Where an LED stands, in mm, and which way the current passes it, in degrees."""


def places(parameters: Parameters) -> Plan:
    """Plan a board of given places, on a rectangle around them."""
    return around(parameters, parameters.form.places, _KEYS)


def amid(parameters: Parameters, found: Sequence[Place]) -> Sequence[Place]:
    """Move LEDs to the middle of the edge that was drawn, if one was."""
    if parameters.drawing is None:
        return found
    (left, low), outline = parameters.drawing.corner, parameters.drawing.outline
    across, up = _middle_of_box(parameters, found)
    x, y = left + outline.length_mm / 2 - across, low + outline.width_mm / 2 - up
    return [(at + x, level + y, turn) for at, level, turn in found]


def around(parameters: Parameters, found: Sequence[Place], keys: Keys) -> Plan:
    """Plan an edge around places: each is a spine of its own, and tracks find their ways.

    A rectangle's margin is the same all round, but on the side where the supply comes in, which
    grows by itself as deep as connector and parts behind it ask for.
    """
    if parameters.drawing is not None:
        return within(parameters, parameters.drawing, found, keys)
    if parameters.form.outline != "rectangle":
        return in_the_round(parameters, found, keys)
    form, at = parameters.form, parameters.connector.at
    left, bottom = (min(place[axis] for place in found) for axis in (0, 1))
    right, top = (max(place[axis] for place in found) for axis in (0, 1))

    def sketch(margin_mm: float, deeper_mm: float = 0.0) -> Sketch:
        west, east, north, south = (
            margin_mm + (deeper_mm if at == side else 0.0)
            for side in ("left", "right", "middle", "bottom")
        )
        length, width = west + right - left + east, south + top - bottom + north
        corner = min(form.corner_mm or _CORNER_MM, length / 4, width / 4)

        doors = {"left": (0.0, width / 2), "right": (length, width / 2),
                 "middle": (length / 2, width), "bottom": (length / 2, 0.0)}  # fmt: skip
        x, y = doors[at]
        door = Pose(x_mm=x, y_mm=y, turn_deg=parameters.connector.inwards_deg)
        by = (west - left, south - bottom)
        return _among(parameters, found, by, rectangle(length, width, corner), door, margin_mm)

    return replace(
        _plan(parameters, found, keys, sketch),
        inwards_deg=parameters.connector.inwards_deg,
        deeper=sketch,
        size_mm=form.margin_mm,
        least_mm=2.0,
        measures=_MEASURES,
    )


def in_the_round(parameters: Parameters, found: Sequence[Place], keys: Keys) -> Plan:
    """Plan a circle, a ring or a polygon around places, with a straight side for the connector.

    Raises
    ------
    RefusalError
        When a ring's opening takes an LED's place.
    """
    form, at = parameters.form, parameters.connector.at_deg
    polygon = form.outline == "polygon"
    edge_at, middle_of = (_polygon, _middle_of_sides) if polygon else (_circle, _middle_of_box)
    middle = middle_of(parameters, found)
    around = [(x - middle[0], y - middle[1]) for x, y, _ in found]
    _refuse_inside(parameters, around)

    def sketch(margin_mm: float) -> Sketch:
        outline, (x, y), reach = edge_at(parameters, around, margin_mm)
        if form.outline == "ring" and form.hole_mm:
            outline = replace(outline, inner=(circle((x, y), form.hole_mm / 2, clockwise=True),))
        by = (x - middle[0], y - middle[1])
        door = Pose(x_mm=x, y_mm=y, turn_deg=at).place(reach, 0.0)
        facing_in = Pose(x_mm=door[0], y_mm=door[1], turn_deg=parameters.connector.inwards_deg)
        return _among(parameters, found, by, outline, facing_in, margin_mm)

    return replace(
        _plan(parameters, found, keys, sketch),
        inwards_deg=parameters.connector.inwards_deg,
        size_mm=form.margin_mm,
        least_mm=2.0,
        measures=(*_MEASURES, *((OPENING,) if form.outline == "ring" else ())),
    )


def _middle_of_box(_: Parameters, found: Sequence[Place]) -> Point:
    x, y = ((min(p[axis] for p in found) + max(p[axis] for p in found)) / 2 for axis in (0, 1))
    return x, y


def _middle_of_sides(parameters: Parameters, found: Sequence[Place]) -> Point:
    """Find the middle of the smallest polygon around places, nearest to that of their box.

    As far from the middle as from its furthest places lie all its sides; the smallest is held by
    three of them, so each three are tried (a linear programme in three unknowns).
    """
    box = _middle_of_box(parameters, found)
    sides = [(cos, sin, max(x * cos + y * sin for x, y, _ in found))
             for cos, sin in _ways(parameters)]  # fmt: skip
    met = filter(None, (_meeting(*three) for three in combinations(sides, 3)))
    held = [
        (round(reach, 6), round(math.dist((x, y), box), 6), x, y)
        for x, y, reach in met
        if all(far <= x * cos + y * sin + reach + HAIR_MM for cos, sin, far in sides)
    ]
    _, _, x, y = min(held)
    return x, y


_Side = tuple[float, float, float]
"""Which way it looks, as cosine and sine, and how far out the furthest place lies that way."""


def _meeting(one: _Side, two: _Side, three: _Side) -> tuple[float, float, float] | None:
    """Find the point as far from three sides, and how far; None where none is, or all are."""
    (a, b, u), (c, d, v), (e, f, w) = one, two, three
    det = a * (d - f) - b * (c - e) + (c * f - d * e)
    if abs(det) < _PARALLEL:
        return None
    x = (u * (d - f) - b * (v - w) + (v * f - d * w)) / det
    y = (a * (v - w) - u * (c - e) + (c * w - v * e)) / det
    return x, y, u - a * x - b * y


_PARALLEL = 1e-9


def _ways(parameters: Parameters) -> list[Point]:
    """List which ways the sides of a polygon look, as cosines and sines; the door's first."""
    sides, at = parameters.form.sides, parameters.connector.at_deg
    return [direction(at + 360.0 * place / sides) for place in range(sides)]


_Edge = tuple[Outline, Point, float]
"""An edge, its middle, and how far from there the door lies."""


def _circle(parameters: Parameters, around: Sequence[Point], margin_mm: float) -> _Edge:
    reach = max(math.hypot(*place) for place in around)
    corner, at = parameters.parts.limits.aims.corner_mm, parameters.connector.at_deg
    outline, centre, door = edge(reach + margin_mm, flat_mm(parameters), corner, at)
    return outline, centre, math.dist(centre, door)


def _polygon(parameters: Parameters, around: Sequence[Point], margin_mm: float) -> _Edge:
    """Draw equal sides, one of them square to the door, none nearer to a place than the margin."""
    form, at = parameters.form, parameters.connector.at_deg
    reach = margin_mm + max(x * cos + y * sin for x, y in around for cos, sin in _ways(parameters))
    most = reach - flat_mm(parameters) / 2 / math.tan(math.pi / form.sides)
    corner = max(min(form.corner_mm or _CORNER_MM, most), LEAST_CORNER_MM)
    ring = ring_of(Sides(form.sides, at, 1.0), reach, corner)
    outline, middle = boxed(ring)
    return outline, middle, reach


def _refuse_inside(parameters: Parameters, around: Sequence[Point]) -> None:
    form = parameters.form
    nearest = min(range(len(around)), key=lambda place: math.hypot(*around[place]))
    off = math.hypot(*around[nearest])
    if form.outline == "ring" and form.hole_mm and off <= form.hole_mm / 2:
        raise RefusalError(
            parameters.problem(
                "form.hole",
                what=f"D{nearest + 1} stands {off:.4g} mm from the board's middle, in the opening",
                remedy=("write a smaller one, or " if 2 * off > LEAST_HOLE_MM else "write ")
                + 'outline = "circle" without it',
            )
        )


def within(parameters: Parameters, drawing: Drawing, found: Sequence[Place], keys: Keys) -> Plan:
    """Plan the edge that was drawn: the supply comes in at its longest side that faces that way.

    Where none does, it comes in from above at the place that lies furthest that way.
    """
    by = (-drawing.corner[0], -drawing.corner[1])
    door = _door(parameters, drawing.outline)

    def sketch(_: float) -> Sketch:
        return _among(parameters, found, by, drawing.outline, door, _AS_DRAWN_MM)

    return replace(
        _plan(parameters, found, replace(keys, along=_DRAWN, across=_DRAWN, corner=_DRAWN), sketch),
        inwards_deg=door.turn_deg,
        size_mm=_AS_DRAWN_MM,
        least_mm=_AS_DRAWN_MM,
    )


_DRAWN, _AS_DRAWN_MM = "form.outline", 1.0
_SQUARE_DEG, _LEAST_SIDE_MM = 0.1, 3.0
"""So nearly a side faces a way that was asked for, and so long it is told as one that does."""


def _door(parameters: Parameters, outline: Outline) -> Pose:
    """Find the middle of the longest straight side that faces a way, square to itself.

    Where none does, the furthest place will do for wires from above.

    Raises
    ------
    RefusalError
        When wires that come in along the board find no side; told is the one that faces nearest.
    """
    asked = parameters.connector.at_deg
    sides = list(_sides(outline))
    facing = [side for side in sides if _off_deg(side[1], asked) < _SQUARE_DEG]
    if facing:
        _, turn, (x, y) = max(facing, key=lambda side: (side[0], _reach(side[2], side[1])))
        return Pose(x_mm=x, y_mm=y, turn_deg=turn + 180.0)
    if parameters.parts.connector.pattern.wired_at_edge:
        raise _no_side(parameters, sides)
    x, y = max(extremes(outline.outer), key=lambda at: _reach(at, asked))
    return Pose(x_mm=x, y_mm=y, turn_deg=asked + 180.0)


def _sides(outline: Outline) -> Iterator[tuple[float, float, Point]]:
    """List straight sides: how long, which way they face, their middles."""
    for (x1, y1), bow in walk(outline.outer):
        if bow.centre is None:
            (x2, y2) = bow.end
            faces = (math.degrees(math.atan2(y2 - y1, x2 - x1)) - 90.0) % 360.0
            yield math.dist((x1, y1), bow.end), faces, ((x1 + x2) / 2, (y1 + y2) / 2)


def _off_deg(one: float, other: float) -> float:
    return abs(math.remainder(one - other, 360.0))


def _reach(at: Point, turn_deg: float) -> float:
    cos, sin = direction(turn_deg)
    return round(at[0] * cos + at[1] * sin, 6)


def _no_side(parameters: Parameters, sides: Sequence[tuple[float, float, Point]]) -> RefusalError:
    asked = parameters.connector.at_deg
    long = [turn for length, turn, _ in sides if length >= _LEAST_SIDE_MM]
    near = min(long, key=lambda turn: _off_deg(turn, asked), default=None)
    return RefusalError(
        parameters.problem(
            "connector.at",
            what=f"no straight side of the drawing faces {asked:g} deg, and the wires come in along"
            " the board",
            offers=()
            if near is None
            else (Change(path="connector.at", value=f'"{near:.4g} deg"'),),
            remedy='or write connector.kind = "pin header 2.54 mm", which is plugged from above',
        )
    )


def _among(
    parameters: Parameters,
    found: Sequence[Place],
    by: Point,
    outline: Outline,
    door: Pose,
    size_mm: float,
) -> Sketch:
    """Put places and screws, moved, within an edge."""
    spines = lone_spines(
        ((x + by[0], y + by[1], turn) for x, y, turn in found), parameters.form.pitch_mm
    )
    return Sketch(
        outline=outline,
        spines=spines,
        sites=tuple((number, 0.0) for number in range(len(spines))),
        door=door,
        rail_side=rail_side(parameters.connector),
        screws=tuple((x + by[0], y + by[1]) for x, y in parameters.mounting.places),
        size_mm=size_mm,
    )


def _plan(
    parameters: Parameters,
    found: Sequence[Place],
    keys: Keys,
    sketch: Callable[[float], Sketch],
) -> Plan:
    return Plan(
        chains=(len(found),),
        pitch_mm=parameters.form.pitch_mm,
        between_mm=None,
        keys=keys,
        inwards_deg=0.0,
        sketch=sketch,
        current="",
        routed=True,
    )


def lone_spines(found: Iterable[Place], pitch_mm: float) -> tuple[Spine, ...]:
    """Give each place a line of its own, the way the current passes it."""
    return tuple(
        Spine(
            start=Pose(x_mm=x, y_mm=y, turn_deg=turn), pieces=(Piece(length_mm=pitch_mm),)
        )
        for x, y, turn in found
    )  # fmt: skip

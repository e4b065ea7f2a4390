"""An edge around a line: a band as wide as asked for, its ends square with rounded corners."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from boardgen.forms.mounting import screws
from boardgen.forms.way_in import rail_side
from boardgen.model.outline import Bow, Outline, Ring, extremes, moved
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Keys, Measure, Plan, Sketch
from boardgen.model.pose import Point, Pose
from boardgen.model.side import Side
from boardgen.model.spine import Piece, Spine

CORNER_MM = 2.0
"""Corners at the ends of a band: own choice."""
_HARDLY_MM = 1e-6


def along(spine: Spine, across_mm: float) -> Ring:
    """Follow a line at a distance to its left, as pieces; the first one says where it begins."""
    way, bows = 0.0, [Bow(spine.place(0.0, across_mm))]
    for place, piece in enumerate(spine.pieces, start=1):
        start = spine.pose(way + piece.length_mm / 2)
        way += piece.length_mm
        centre = _centre(start, piece) if piece.radius_mm else None
        ends = spine.closed and place == len(spine.pieces)
        at = spine.start if ends else spine.pose(way)
        bows.append(Bow(at.place(0.0, across_mm), centre, piece.radius_mm < 0))
    return tuple(bows)


def _centre(on_arc: Pose, piece: Piece) -> Point:
    return on_arc.place(0.0, piece.radius_mm)


def back(bows: Ring) -> Ring:
    """Go the same way back."""
    turned = [Bow(bows[-1].end)]
    for before, bow in reversed(list(pairwise(bows))):
        around = bow.centre is not None and not bow.clockwise
        turned.append(Bow(before.end, bow.centre, around))
    return tuple(turned)


def around_open(spine: Spine, width_mm: float) -> Ring:
    """Draw the edge of a band around a line with two ends, counter-clockwise."""
    half = width_mm / 2
    right, left = along(spine, -half), back(along(spine, half))
    return (*_capped(right, left), *_capped(left, right))


def _capped(side: Ring, next_side: Ring) -> Iterator[Bow]:
    """Go along a side and square round its end to the next, its first corner rounded already."""
    start, end = side[-1].end, next_side[0].end
    corner = min(CORNER_MM, math.dist(start, end) / 3)
    ahead, across = _heading(side), _unit(start, end)
    yield from side[1:-1]
    last = side[-1]
    before = (start[0] - corner * ahead[0], start[1] - corner * ahead[1])
    yield Bow(before, last.centre, last.clockwise)
    turned = (start[0] + corner * across[0], start[1] + corner * across[1])
    yield Bow(turned, (before[0] + corner * across[0], before[1] + corner * across[1]))
    off = (end[0] - corner * across[0], end[1] - corner * across[1])
    if math.dist(turned, off) > _HARDLY_MM:
        yield Bow(off)
    done = (end[0] - corner * ahead[0], end[1] - corner * ahead[1])
    yield Bow(done, (off[0] - corner * ahead[0], off[1] - corner * ahead[1]))


def _heading(side: Ring) -> Point:
    """Tell which way a side ends; bands begin and end straight."""
    return _unit(side[-2].end, side[-1].end)


def _unit(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return ((end[0] - start[0]) / length, (end[1] - start[1]) / length)


def planned_open(
    parameters: Parameters, start: Pose, pieces: tuple[Piece, ...], first_mm: float, current: str
) -> Plan:
    """Plan a board along a line with two ends: the supply comes in where it begins.

    Both ends go on straight, so far that square ends fit; the first as far as the way in asks for.
    The board is turned so that its first end lies level. ``first_mm`` is how far along ``pieces``
    the first LED stands.
    """
    count, pitch = parameters.light.count, parameters.form.pitch_mm
    level = round(start.turn_deg / _QUARTER_DEG) * _QUARTER_DEG
    turned = Pose(x_mm=0.0, y_mm=0.0, turn_deg=level - start.turn_deg)
    x, y = turned.place(start.x_mm, start.y_mm)
    start = Pose(x_mm=x, y_mm=y, turn_deg=level)
    drilled = [turned.place(*at) for at in screws(parameters.mounting)]

    def sketch(width_mm: float, deeper_mm: float = 0.0) -> Sketch:
        lead = _STRAIGHT_MM + deeper_mm
        x, y = start.place(-lead, 0.0)
        spine = Spine(
            start=replace(start, x_mm=x, y_mm=y),
            pieces=(Piece(length_mm=lead), *pieces, Piece(length_mm=_STRAIGHT_MM)),
        )
        outline, spine, by = placed((around_open(spine, width_mm),), spine)
        return Sketch(
            outline=outline,
            spines=(spine,),
            sites=tuple((0, lead + first_mm + place * pitch) for place in range(count)),
            door=spine.start,
            rail_side=rail_side(parameters.connector),
            screws=tuple((x + by[0], y + by[1]) for x, y in drilled),
            size_mm=width_mm,
            turned_deg=turned.turn_deg,
        )

    flat = parameters.parts.connector.pattern.courtyard
    wide = flat.right_mm - flat.left_mm + 2 * CORNER_MM
    sharpest = min((abs(p.radius_mm) for p in pieces if p.radius_mm), default=math.inf)
    return Plan(
        chains=(count,),
        pitch_mm=pitch,
        between_mm=None,
        keys=_KEYS,
        inwards_deg=start.turn_deg,
        sketch=sketch,
        deeper=sketch,
        size_mm=parameters.form.width_mm,
        least_mm=max(wide, _LEAST_WIDE_MM),
        most_mm=2 * (sharpest - INNER_MM),
        measures=_MEASURES,
        current=current,
        named=True,
        bent=True,
    )


_KEYS = Keys(
    whole="form",
    pitch="form.pitch",
    along="form.width",
    across="form.width",
    between="form.pitch",
    corner="form.fillet",
)
_MEASURES = (
    Measure(key="form.width", field="width_mm", grows=True,
            tight="the board is too narrow for its parts"),
)  # fmt: skip
_QUARTER_DEG = 90.0
_STRAIGHT_MM, _LEAST_WIDE_MM = 6.0, 6.0
INNER_MM = 1.01
"""Inner corners are as round as a cutter of 2 mm leaves them: usual, from memory."""


def planned_closed(parameters: Parameters, start: Pose, pieces: tuple[Piece, ...]) -> Plan:
    """Plan a board within a closed line: the supply comes in where it begins, square to it.

    It has to run clockwise where rails lie on the top side, else the other way. LEDs stand at equal
    distances; the board reaches further out than they do by a margin.
    """
    count = parameters.light.count
    clockwise = parameters.connector.side == Side.TOP.value
    way = -1.0 if clockwise else 1.0
    level = round(start.turn_deg / _QUARTER_DEG) * _QUARTER_DEG
    turned = Pose(x_mm=0.0, y_mm=0.0, turn_deg=level - start.turn_deg)
    x, y = turned.place(start.x_mm, start.y_mm)
    line = Spine(start=Pose(x_mm=x, y_mm=y, turn_deg=level), pieces=pieces, closed=True)
    drilled = [turned.place(*at) for at in screws(parameters.mounting)]
    pitch = line.length_mm / count

    def sketch(margin_mm: float) -> Sketch:
        outer = along(line, -way * margin_mm)
        ring = (back(outer) if clockwise else outer)[1:-1]  # both halves at the door are one
        outline, spine, by = placed((ring,), line)
        door = spine.start.place(0.0, -way * margin_mm)
        return Sketch(
            outline=outline,
            spines=(spine,),
            sites=tuple((0, (place + 0.5) * pitch) for place in range(count)),
            door=Pose(x_mm=door[0], y_mm=door[1], turn_deg=level + way * _QUARTER_DEG),
            rail_side=1 if clockwise else -1,
            screws=tuple((x + by[0], y + by[1]) for x, y in drilled),
            size_mm=margin_mm,
            turned_deg=turned.turn_deg,
        )

    inwards = [abs(p.radius_mm) for p in pieces if p.radius_mm * way < 0]
    return Plan(
        chains=(count,),
        pitch_mm=pitch,
        between_mm=None,
        keys=_CLOSED_KEYS,
        inwards_deg=(level + way * _QUARTER_DEG) % 360.0,
        sketch=sketch,
        size_mm=parameters.form.margin_mm,
        least_mm=2.0,
        most_mm=min(inwards, default=math.inf) - INNER_MM,
        measures=_CLOSED_MEASURES,
        current="clockwise" if clockwise else "counter-clockwise",
        named=True,
        bent=True,
    )


_CLOSED_KEYS = Keys(
    whole="form",
    pitch="light.count",
    along="form.margin",
    across="form.margin",
    between="form.pitch",
    corner="form.fillet",
)
_CLOSED_MEASURES = (
    Measure(key="form.margin", field="margin_mm", grows=True,
            tight="the board is too small for its parts"),
)  # fmt: skip


def placed(rings: Sequence[Ring], spine: Spine) -> tuple[Outline, Spine, Point]:
    """Move edge and line so that the box around the edge begins at the origin; tell by how much."""
    xs, ys = zip(*extremes(rings[0]), strict=True)
    by = (-min(xs), -min(ys))
    outer, *inner = (moved(ring, by) for ring in rings)
    start = replace(spine.start, x_mm=spine.start.x_mm + by[0], y_mm=spine.start.y_mm + by[1])
    outline = Outline(
        length_mm=max(xs) - min(xs), width_mm=max(ys) - min(ys), outer=outer, inner=tuple(inner)
    )
    return outline, replace(spine, start=start), by

"""A board around a line: a band as wide as asked for, or all within a closed one."""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from boardgen.forms.edges import CORNER_MM, along, around_open, back
from boardgen.forms.keyed import around_joined
from boardgen.forms.mounting import screws
from boardgen.forms.way_in import rail_side
from boardgen.model.form_section import ROWS
from boardgen.model.outline import Outline, Ring, extremes, moved
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Keys, Measure, Plan, Sketch
from boardgen.model.pose import Point, Pose
from boardgen.model.sections import JOINT_LANDS
from boardgen.model.side import Side
from boardgen.model.spine import Piece, Spine

Line = Callable[[float], tuple[Pose, tuple[Piece, ...]]]
"""A line's beginning and its pieces, so much longer before the first LED as is told."""


def planned_open(
    parameters: Parameters, line: Line, first_mm: float, current: str, keys: Keys | None = None
) -> Plan:
    """Plan a board along a line with two ends: the supply comes in where it begins.

    Both ends go on straight, so far that square ends fit; the first as far as the way in asks for.
    Ends that are joined to others are cut where the line ends, square to it. The board is turned so
    that its first end lies level. ``first_mm`` is how far along the line the first LED stands.
    """
    joined = parameters.joint.joined
    level, sketch = _drawn_open(parameters, line, first_mm)
    flat = parameters.parts.connector.pattern.courtyard
    wide = flat.right_mm - flat.left_mm + (0.0 if joined else 2 * CORNER_MM)
    sharpest = min((abs(p.radius_mm) for p in line(0.0)[1] if p.radius_mm), default=math.inf)
    return Plan(
        chains=(parameters.light.count,),
        pitch_mm=parameters.form.pitch_mm,
        between_mm=None,
        keys=keys or _KEYS,
        inwards_deg=level,
        sketch=sketch,
        deeper=sketch,
        size_mm=parameters.form.width_mm,
        least_mm=max(wide, _LEAST_WIDE_MM),
        most_mm=2 * (sharpest - _inner_mm(parameters)),
        measures=_MEASURES,
        current=current,
        named=True,
        bent=True,
    )


def _drawn_open(
    parameters: Parameters, line: Line, first_mm: float
) -> tuple[float, Callable[..., Sketch]]:
    """Turn a line level; tell its angle, and how it is drawn at a width and with more of a lead."""
    count, pitch = parameters.light.count, parameters.form.pitch_mm
    joined = parameters.joint.joined
    straight = 0.0 if joined else _STRAIGHT_MM
    unturned = line(0.0)[0].turn_deg
    level = round(unturned / _QUARTER_DEG) * _QUARTER_DEG
    turned = Pose(x_mm=0.0, y_mm=0.0, turn_deg=level - unturned)
    drilled = [turned.place(*at) for at in screws(parameters.mounting)]
    from_corner = parameters.form.kind in ROWS

    def sketch(width_mm: float, deeper_mm: float = 0.0) -> Sketch:
        # Joined boards share a pitch between them: LEDs first move towards the far end in theirs.
        moved = min(deeper_mm, max(first_mm - _behind_mm(parameters), 0.0)) if joined else 0.0
        lead = straight + deeper_mm - moved
        start, pieces = line(lead)
        x, y = turned.place(start.x_mm, start.y_mm)
        tail = () if joined else (Piece(length_mm=straight),)
        drawn = Spine(start=Pose(x_mm=x, y_mm=y, turn_deg=level), pieces=(*pieces, *tail))
        notched = parameters.connector.kind == JOINT_LANDS
        edge = (
            around_joined(drawn, width_mm, notched=notched)
            if joined
            else around_open(drawn, width_mm)
        )
        outline, spine, by = placed((edge,), drawn)
        end = spine.pose(spine.length_mm)
        by = (0.0, 0.0) if from_corner else by
        return Sketch(
            outline=outline,
            spines=(spine,),
            sites=tuple((0, lead + moved + first_mm + place * pitch) for place in range(count)),
            door=spine.start,
            far_door=replace(end, turn_deg=end.turn_deg + 2 * _QUARTER_DEG) if joined else None,
            rail_side=rail_side(parameters.connector),
            screws=tuple((x + by[0], y + by[1]) for x, y in drilled),
            size_mm=width_mm,
            turned_deg=turned.turn_deg,
        )

    return level, sketch


def _behind_mm(parameters: Parameters) -> float:
    """Tell how far from its last LED a board may end where another one is joined."""
    rooms = [pattern.courtyard for pattern in parameters.parts.led_patterns]
    askew = max(room.top_mm for room in rooms) * _ASKEW
    return max(room.right_mm for room in rooms) + askew + parameters.parts.limits.aims.part_edge_mm


_ASKEW = 0.15
"""Sine of the angle between an LED and its board's end, on bends as sharp as make sense."""


def led_straight(start: Pose, pieces: tuple[Piece, ...]) -> Line:
    """Let a line begin the further out, straight on, the more room its way in asks for."""

    def line(lead_mm: float) -> tuple[Pose, tuple[Piece, ...]]:
        x, y = start.place(-lead_mm, 0.0)
        lead = (Piece(length_mm=lead_mm),) if lead_mm else ()
        return replace(start, x_mm=x, y_mm=y), (*lead, *pieces)

    return line


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


def _inner_mm(parameters: Parameters) -> float:
    """Tell how round an inner corner is for the house's cutter to leave it."""
    return parameters.parts.limits.router_mm / 2 + _SPARE_MM


_SPARE_MM = 0.01


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
        most_mm=min(inwards, default=math.inf) - _inner_mm(parameters),
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
    outline, by = boxed(*rings)
    start = replace(spine.start, x_mm=spine.start.x_mm + by[0], y_mm=spine.start.y_mm + by[1])
    return outline, replace(spine, start=start), by


def boxed(outer: Ring, *inner: Ring) -> tuple[Outline, Point]:
    """Move an edge and its openings so that its box begins at the origin; tell by how much."""
    xs, ys = zip(*extremes(outer), strict=True)
    by = (-min(xs), -min(ys))
    outline = Outline(
        length_mm=max(xs) - min(xs), width_mm=max(ys) - min(ys), outer=moved(outer, by),
        inner=tuple(moved(ring, by) for ring in inner),
    )  # fmt: skip
    return outline, by

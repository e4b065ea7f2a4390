"""Slots as edges: what a drill file tells by a line and a width ends the board as cut-outs do."""

import math
from collections.abc import Mapping
from dataclasses import replace

from boardgen.model.shapes import ZERO, Contour, Edge, Point
from boardgen.readback.objects import Reading, SeenSlot
from boardgen.units import Nm

_PROFILE = "profile.gbr"


def with_slots(readings: Mapping[str, Reading]) -> dict[str, Reading]:
    """Add the edges of routed slots to those of the profile, by whose pen they are drawn."""
    profile = readings.get(_PROFILE)
    slots = [slot for reading in readings.values() for slot in reading.slots]
    first = next((seen for seen in profile.objects), None) if profile else None
    if profile is None or first is None or not isinstance(first.shape, Contour):
        return dict(readings)
    edges = tuple(replace(first, shape=edge_of(slot, first.shape.radius_nm)) for slot in slots)
    return {**readings, _PROFILE: replace(profile, objects=(*profile.objects, *edges))}


def edge_of(slot: SeenSlot, pen_nm: Nm = ZERO) -> Contour:
    """Go round a slot clockwise, as round all cut-outs: the board lies to the left."""
    (x1, y1), (x2, y2) = slot.start, slot.end
    turn = math.atan2(y2 - y1, x2 - x1) + math.pi / 2
    dx = round(slot.width_nm / 2 * math.cos(turn))
    dy = round(slot.width_nm / 2 * math.sin(turn))

    def at(x: int, y: int) -> Point:
        return (Nm(x), Nm(y))

    return Contour(
        (
            Edge(at(x2 + dx, y2 + dy)),
            Edge(at(x2 - dx, y2 - dy), slot.end, clockwise=True),
            Edge(at(x1 - dx, y1 - dy)),
            Edge(at(x1 + dx, y1 + dy), slot.start, clockwise=True),
        ),
        pen_nm,
    )

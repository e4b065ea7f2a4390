"""The supply's way in: connector, signs, guards and switch, in coordinates of their own.

``u`` counts inboard from the edge at which the connector stands, ``v`` along that edge from the
connector's middle towards pin 1. So one plan serves any edge, and a board's middle.
"""

import math
from dataclasses import dataclass

from boardgen import units
from boardgen.model.board import Point, Side
from boardgen.model.land_pattern import Entry, LandPattern
from boardgen.model.parameters import Parameters
from boardgen.model.parts import Guard

_FEEDING_PIN = "1"
_PASSED = {"fuse": ("in", "out"), "diode": ("A", "K"), "transistor": ("D", "S")}
"""Between which pins the supply passes a guard."""

_INSET_STEP_MM = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class GuardPlace:
    """Where a guard lies: its middle, and the lands by which the supply enters and leaves it."""

    guard: Guard
    middle: Point
    entry: Point
    leave: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class InletPlaces:
    """Where connector, guards and switch lie; ``depth_mm`` and ``half_mm`` hold their courtyards.

    ``bend_u_mm`` is where the track to the switch turns onto the middle line.
    """

    depth_mm: float
    half_mm: float
    pins_u_mm: float
    plus_v_mm: tuple[float, ...]
    minus_v_mm: tuple[float, ...]
    guards: tuple[GuardPlace, ...]
    switch_u_mm: float | None
    bend_u_mm: float
    on_v_mm: float

    @property
    def feed(self) -> Point:
        """Where the rail's feed begins, as (u, v)."""
        if self.switch_u_mm is not None:
            return (self.switch_u_mm, self.on_v_mm)
        return self.guards[-1].leave if self.guards else (self.pins_u_mm, self.plus_v_mm[0])

    @property
    def before_switch(self) -> Point:
        """Where the track to the switch begins."""
        return self.guards[-1].leave if self.guards else (self.pins_u_mm, self.plus_v_mm[-1])


def inset_mm(parameters: Parameters) -> float:
    """Tell how far a connector stands from its edge: at it when wires enter along the board.

    One that is plugged from above stands so far in that a spoke reaches its pins from the edge; in
    the middle of a board pins are told from, where there is no edge.
    """
    pattern, limits = parameters.parts.connector.pattern, parameters.parts.limits
    if parameters.connector.central:
        return pattern.body.bottom_mm
    if pattern.entry is not Entry.TOP:
        return 0.0
    aims = limits.aims
    spoke = max(aims.hole_relief_gap_mm + aims.hole_spoke_mm, 2 * aims.pour_corner_mm)
    copper = max(aims.pour_edge_mm, limits.copper_edge_mm) + 2 * aims.pour_corner_mm + spoke
    pins = copper + pattern.lands[0].width_mm / 2 + pattern.body.bottom_mm
    return units.up_to_step(max(aims.part_edge_mm, pins), _INSET_STEP_MM)


def pins_u_mm(parameters: Parameters) -> float:
    """Tell how far from the edge the connector's pins stand."""
    return inset_mm(parameters) - parameters.parts.connector.pattern.body.bottom_mm


def inlet(parameters: Parameters, rail_mm: float, signs_mm: float) -> InletPlaces:
    """Plan the inlet.

    Parameters
    ----------
    rail_mm : float
        Width of the tracks between connector, switch and rail.
    signs_mm : float
        What + and − take behind the connector; 0 when they stand beside it.
    """
    pattern = parameters.parts.connector.pattern
    pins = pins_u_mm(parameters)
    depth = pins + pattern.courtyard.top_mm + signs_mm
    half = pattern.courtyard.right_mm
    plus, minus = (
        tuple(-land.x_mm for land in pattern.lands if land.function == function)
        for function in ("+", "-")
    )
    guards, gap = (
        _guard_places(parameters, depth, plus[0]),
        parameters.parts.limits.aims.pour_gap_mm,
    )
    bend = pins + pattern.lands[0].width_mm / 2 + gap + rail_mm / 2
    for place in guards:
        box = place.guard.pattern.courtyard
        half = max(half, place.middle[1] + max(box.top_mm, -box.bottom_mm))
        depth = place.middle[0] + box.right_mm
        # Beyond a guard's courtyard, so that spokes reach a transistor's gate.
        bend = depth + rail_mm / 2
    if parameters.parts.switch is None:
        feed = guards[-1].leave[0] if guards else pins
        # The feed's round end may reach beyond all courtyards.
        return InletPlaces(
            depth_mm=max(depth, feed + rail_mm / 2), half_mm=half, pins_u_mm=pins, plus_v_mm=plus,
            minus_v_mm=minus, guards=guards, switch_u_mm=None,
            bend_u_mm=pins, on_v_mm=0.0,
        )  # fmt: skip
    switch = parameters.parts.switch.pattern
    least = bend + rail_mm / 2 + gap + max(switch.lands[0].width_mm, rail_mm) / 2
    at = max(depth + switch.courtyard.top_mm, least)
    return InletPlaces(
        depth_mm=at + max(switch.courtyard.top_mm, rail_mm / 2),
        half_mm=max(half, switch.courtyard.right_mm),
        pins_u_mm=pins,
        plus_v_mm=plus,
        minus_v_mm=minus,
        guards=guards,
        switch_u_mm=at,
        bend_u_mm=bend,
        on_v_mm=-switch.land(_FEEDING_PIN).x_mm,
    )


def _guard_places(
    parameters: Parameters, depth_mm: float, level_mm: float
) -> tuple[GuardPlace, ...]:
    """Line the guards up inboard of the connector, each entered on the line of its + pole."""
    found = []
    side = guard_side(parameters)
    for guard in parameters.own_guards:
        pattern = guard.pattern
        entry, leave = (pattern.by_function(name) for name in _PASSED[guard.kind])
        u, v = depth_mm - pattern.courtyard.left_mm, level_mm - side * entry.y_mm
        found.append(
            GuardPlace(
                guard=guard,
                middle=(u, v),
                entry=(u + entry.x_mm, level_mm),
                leave=(u + leave.x_mm, v + side * leave.y_mm),
            )
        )
        depth_mm = u + pattern.courtyard.right_mm
    return tuple(found)


def guard_side(parameters: Parameters) -> int:
    """Tell whether a guard's upper side lies towards + (1) or away from it (-1)."""
    return 1 if parameters.connector.side == Side.TOP.value else -1


def widest_feed_mm(parameters: Parameters, edge_mm: float) -> float:
    """Tell how wide the feed may be: clear of edge, of other pins and of strain-relief holes."""
    pattern, aims = parameters.parts.connector.pattern, parameters.parts.limits.aims
    pins = math.inf if parameters.connector.central else pins_u_mm(parameters)
    rooms = [pins - edge_mm, _between(pattern, "+", "-", aims.pour_gap_mm)]
    rooms += [-hole.y_mm - hole.hole_mm / 2 - aims.pour_hole_mm for hole in pattern.holes]
    for guard in parameters.own_guards:
        rooms += _beside_lands(guard, aims.pour_gap_mm)
        # The feeds of both its ends come towards one another with their round ends.
        passed = [land for land in guard.pattern.lands if land.function in _PASSED[guard.kind]]
        ends = math.dist(*((land.x_mm, land.y_mm) for land in (passed[0], passed[-1])))
        rooms.append((ends - aims.pour_gap_mm) / 2)
    if parameters.parts.switch is not None:
        switch = parameters.parts.switch.pattern
        rooms.append(_between(switch, "on", "common", aims.pour_gap_mm))
        # Two feeds leave neighbouring pins side by side.
        rooms.append((switch.lands[1].x_mm - switch.lands[0].x_mm - aims.pour_gap_mm) / 2)
    return 2 * min(rooms)


def _beside_lands(guard: Guard, gap_mm: float) -> list[float]:
    """Tell how far copper may reach from the middles of a guard's lands towards its other lands."""
    lands = guard.pattern.lands
    return [
        max(
            abs(other.x_mm - land.x_mm) - other.width_mm / 2,
            abs(other.y_mm - land.y_mm) - other.height_mm / 2,
        )
        - gap_mm
        for land in lands
        for other in lands
        if other is not land and land.function in _PASSED[guard.kind]
    ]


def _between(pattern: LandPattern, one: str, other: str, gap_mm: float) -> float:
    """Tell how far copper may reach from a pin towards the nearest pin of another function."""
    return min(
        abs(second.x_mm - first.x_mm) - second.width_mm / 2 - gap_mm
        for first in pattern.lands
        if first.function == one
        for second in pattern.lands
        if second.function == other
    )


def connector_turn_deg(inwards_deg: float) -> float:
    """Tell how a connector is turned whose wires, from below at 0 degrees, come in that way.

    Parts of both sides turn alike; a guard lets the current run that way as it is drawn.
    """
    return (inwards_deg + 270.0) % 360.0


def pin_one_is_up(at: str, side: Side) -> bool:
    """Tell whether pin 1 comes to lie towards larger y (left, right) or larger x (middle)."""
    return (at == "right") is (side is Side.BOTTOM)

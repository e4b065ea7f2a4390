"""Where + and − may stand at the connector, and what copper leaves them room."""

import math

from boardgen.forms.table import plan
from boardgen.geometry.lettering import size_mm
from boardgen.layout.inlet import connector_turn_deg, pins_u_mm
from boardgen.layout.letter_room import BETWEEN_TEXTS_MM
from boardgen.model.board import Point
from boardgen.model.land_pattern import LandPattern
from boardgen.model.parameters import Parameters
from boardgen.model.pose import direction

SIGN_REACH_MM = 3.0
"""From a land no further: a sign has to be seen as that land's."""

_BOX = 1.15
"""A sign's box, its stroke included, as a share of its height."""
_THIN = 0.8
"""The narrower side of that box."""


def sign_shifts(
    sign_mm: float, gap_mm: float, pattern: LandPattern, turn_deg: float, *, alike: bool = True
) -> list[Point]:
    """List where signs may stand from their lands, inboard and outward, the nearest first.

    Beside the block is preferred, level with the pins. Those that do not stand ``alike`` stay on
    their own land's side of it, and are looked for in finer steps: copper leaves them less room.
    """
    body, land = pattern.body, pattern.lands[0]
    half, box, thin = land.width_mm / 2, sign_mm * _BOX / 2, sign_mm * _THIN / 2
    deep, wide = _seen_from(turn_deg, (thin, box))
    beside = max(body.right_mm - abs(land.x_mm), half) + gap_mm + wide
    behind = body.top_mm + gap_mm + deep
    share, most = (0.3, 12) if alike else (0.1, 36)
    steps = [count * (sign_mm * share) for count in range(-most, most + 1)]
    shifts = {(inboard, beside + max(out, 0.0)) for inboard in steps for out in steps}
    outwards = [out for out in steps if alike or out >= 0.0]
    shifts |= {(behind + max(more, 0.0), out) for more in steps for out in outwards}
    near = [
        shift
        for shift in shifts
        if math.hypot(max(abs(shift[0]) - deep - half, 0), max(abs(shift[1]) - wide - half, 0))
        <= SIGN_REACH_MM
    ]
    return sorted(
        near,
        key=lambda shift: (round(math.hypot(shift[0], shift[1] - beside), 6), shift[0] < 0, shift),
    )


def _seen_from(turn_deg: float, size_mm: Point) -> Point:
    """Tell how deep and wide letters are to a part: they stand upright, however it is turned."""
    cos, sin = (abs(part) for part in direction(turn_deg))
    wide, tall = size_mm
    return (sin * wide + cos * tall, cos * wide + sin * tall)


def widest_feed_beside_mm(parameters: Parameters) -> float:
    """Tell how wide the feed from the + pole may be for + to stand in copper at that pole."""
    feed, _ = _rooms(parameters)
    return 2 * (feed - parameters.parts.limits.aims.pour_gap_mm)


def widest_spoke_beside_mm(parameters: Parameters) -> float:
    """Tell how wide the spokes of the 0 V pole may be for − to stand in copper as + does."""
    aims, land = parameters.parts.limits.aims, parameters.parts.connector.pattern.lands[0]
    _, beside = _rooms(parameters)
    return beside - land.width_mm / 2 - aims.hole_relief_gap_mm - aims.pour_gap_mm


def _rooms(parameters: Parameters) -> tuple[float, float]:
    """Find where signs leave the feed most room: what is free from the middles of both poles.

    The feed runs along the edge, or inboard to guards, to the switch, from the long edge.
    """
    limits, connector = parameters.parts.limits, parameters.connector
    aims, turn = limits.aims, connector_turn_deg(plan(parameters).inwards_deg)
    stroke = max(limits.track_mm, round(aims.sign_mm * aims.text_stroke_share, 3))
    sides = size_mm("+", aims.sign_mm, stroke, parameters.parts.lettering)
    half_wide, half_tall = (side / 2 + BETWEEN_TEXTS_MM / 2 for side in sides)
    deep, wide = _seen_from(turn, (half_wide, half_tall))
    along_edge = not (connector.amid or parameters.own_guards or parameters.parts.switch)
    edge_off = math.inf if connector.central else pins_u_mm(parameters)
    lowest = aims.legend_edge_mm + deep - edge_off
    return max(
        (
            max(abs(inboard) - deep, -outward - wide)
            if along_edge
            else max(abs(outward) - wide, -inboard - deep),
            max(abs(inboard) - deep, abs(outward) - wide),
        )
        for inboard, outward in sign_shifts(
            aims.sign_mm, aims.legend_part_mm, parameters.parts.connector.pattern, turn
        )
        if inboard >= lowest
    )

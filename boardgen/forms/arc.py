"""The form "arc": LEDs along a part of a circle, from angle to angle."""

import math

from boardgen.forms.band import led_straight, planned_open
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Plan
from boardgen.model.pose import Pose
from boardgen.model.spine import Piece

_STRAIGHT_MM = 6.0
"""So long a lead holds more than a connector: own choice."""


def arc(parameters: Parameters) -> Plan:
    """Plan an arc: its radius follows from the number of LEDs, their pitch and the angle.

    Angles count from the right, counter-clockwise. The supply comes in at the first angle, or,
    with a connector at the right, at the other one. The ends go on straight where no other board
    is joined to them.
    """
    form = parameters.form
    first, last = (form.from_deg, form.to_deg)
    if parameters.connector.at == "right":
        first, last = last, first
    way = math.copysign(1.0, last - first)
    turned_deg = first + 90.0 * way

    def around(lead_mm: float) -> tuple[Pose, tuple[Piece, ...]]:
        """Bend all of it to the same circle, so that joined ones make the ring that they are of."""
        long_mm = parameters.light.count * form.pitch_mm + lead_mm
        radius = long_mm / math.radians(abs(last - first))
        x, y = Pose(x_mm=0.0, y_mm=0.0, turn_deg=first).place(radius, 0.0)
        start = Pose(x_mm=x, y_mm=y, turn_deg=turned_deg)
        return start, (Piece(length_mm=long_mm, radius_mm=way * radius),)

    straight = led_straight(*around(0.0))

    def joined(lead_mm: float) -> tuple[Pose, tuple[Piece, ...]]:
        """Lead a long way in straight on, as its parts stand; what is short bends with the rest."""
        bent = lead_mm < _STRAIGHT_MM or parameters.parts.connector.pattern.bodiless
        return around(lead_mm) if bent else straight(lead_mm)

    return planned_open(
        parameters,
        joined if parameters.joint.joined else straight,
        form.pitch_mm / 2,
        "counter-clockwise" if way > 0 else "clockwise",
    )

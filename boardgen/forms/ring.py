"""The form "ring": LEDs along a circle, each turned with it, on a round board."""

import math

from boardgen.model.outline import Outline, circle
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Keys, Plan, Sketch
from boardgen.model.pose import Pose
from boardgen.model.side import Side
from boardgen.model.spine import Piece, Spine

_KEYS = Keys(
    whole="form",
    pitch="form.pitch",
    along="form.diameter",
    across="form.diameter",
    between="form.pitch",
    corner="form.diameter",
)
_DOORS = {"left": 180.0, "right": 0.0, "middle": 90.0}
"""Where on the circle the connector stands; the middle is that of the upper half."""


def ring(parameters: Parameters) -> Plan:
    """Plan a ring: the circle of LEDs follows from their pitch, the board's edge may grow.

    The supply comes in midway between the last LED and the first, and the current starts off
    towards the connector's +.
    """
    count, form = parameters.light.count, parameters.form
    clockwise = parameters.connector.side == Side.TOP.value
    radius = form.pitch_mm * count / math.tau

    def sketch(diameter_mm: float) -> Sketch:
        middle, at = diameter_mm / 2, _DOORS[parameters.connector.at]
        centre = Pose(x_mm=middle, y_mm=middle, turn_deg=at)
        on_circle, door = centre.place(radius, 0.0), centre.place(middle, 0.0)
        turn = -1.0 if clockwise else 1.0
        return Sketch(
            outline=Outline(
                length_mm=diameter_mm,
                width_mm=diameter_mm,
                outer=circle((middle, middle), middle),
                inner=(circle((middle, middle), form.hole_mm / 2, clockwise=True),)
                if form.hole_mm
                else (),
            ),
            spines=(
                Spine(
                    start=Pose(x_mm=on_circle[0], y_mm=on_circle[1], turn_deg=at + turn * 90.0),
                    pieces=(Piece(length_mm=math.tau * radius, radius_mm=turn * radius),),
                    closed=True,
                ),
            ),
            sites=tuple((0, (place + 0.5) * form.pitch_mm) for place in range(count)),
            door=Pose(x_mm=door[0], y_mm=door[1], turn_deg=at + 180.0),
            rail_side=1 if clockwise else -1,
            screws=parameters.mounting.places,
        )

    return Plan(
        chains=(count,),
        pitch_mm=form.pitch_mm,
        between_mm=None,
        keys=_KEYS,
        sketch=sketch,
        size_mm=form.diameter_mm,
        least_mm=2 * radius,
        current="clockwise" if clockwise else "counter-clockwise",
    )

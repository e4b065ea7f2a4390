"""A form that boardgen does not have: an arch of lines and arcs, its spine open.

LEDs stand round a half circle and, where they find no room there, down its straight legs; the
supply comes in at the foot of the left leg. Own choice, made to try a spine that has two ends.
"""

import math

from boardgen.model.outline import Bow, Outline
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Keys, Plan, Sketch
from boardgen.model.pose import Pose
from boardgen.model.side import Side
from boardgen.model.spine import Piece, Spine

KEYS = Keys(whole="form", pitch="form.pitch", along="form.diameter", across="form.diameter",
            between="form.pitch", corner="form.diameter")  # fmt: skip
BEND_MM, LEG_MM, FOOT_MM = 40.0, 45.0, 2.0


def _foot(left_mm: float, band_mm: float) -> tuple[Bow, ...]:
    """Draw the rounded end of a leg, from its left side to its right."""
    right = left_mm + band_mm
    return (
        Bow((left_mm + FOOT_MM, 0.0), (left_mm + FOOT_MM, FOOT_MM)),
        Bow((right - FOOT_MM, 0.0)),
        Bow((right, FOOT_MM), (right - FOOT_MM, FOOT_MM)),
    )


def arch(parameters: Parameters) -> Plan:
    """Plan an arch: LEDs from the left leg over the bend, the band around them may grow."""
    count, pitch = parameters.light.count, parameters.form.pitch_mm
    bend, body = math.pi * BEND_MM, parameters.parts.connector.pattern.courtyard
    first = (2 * LEG_MM + bend - (count - 1) * pitch) / 2

    def sketch(band_mm: float) -> Sketch:
        far, near = BEND_MM + band_mm / 2, BEND_MM - band_mm / 2
        x, y = far, LEG_MM
        ends = (_foot(0.0, band_mm), _foot(2 * BEND_MM, band_mm))
        outer = (*ends[0], Bow((band_mm, y)), Bow((x + near, y), (x, y), clockwise=True),
                 Bow((x + near, FOOT_MM)), *ends[1], Bow((x + far, y)), Bow((0.0, y), (x, y)),
                 Bow((0.0, FOOT_MM)))  # fmt: skip
        leg = Piece(length_mm=LEG_MM)
        return Sketch(
            outline=Outline(length_mm=2 * far, width_mm=LEG_MM + far, outer=outer),
            spines=(
                Spine(
                    start=Pose(x_mm=x - BEND_MM, y_mm=0.0, turn_deg=90.0),
                    pieces=(leg, Piece(length_mm=bend, radius_mm=-BEND_MM), leg),
                ),
            ),
            sites=tuple((0, first + place * pitch) for place in range(count)),
            door=Pose(x_mm=x - BEND_MM, y_mm=0.0, turn_deg=90.0),
            rail_side=1 if parameters.connector.side == Side.TOP.value else -1,
            size_mm=band_mm,
        )

    return Plan(chains=(count,), pitch_mm=pitch, between_mm=None, keys=KEYS, inwards_deg=90.0,
                sketch=sketch, size_mm=parameters.form.diameter_mm, current="clockwise",
                least_mm=body.right_mm - body.left_mm + 2 * FOOT_MM, most_mm=BEND_MM)  # fmt: skip

"""Which way LEDs face: the way the current passes them, so where their cathodes point."""

import math
from collections.abc import Callable
from dataclasses import replace

from boardgen.forms.places import lone_spines
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Plan, Sketch
from boardgen.model.spine import Spine

ONE_WAY, ALONG, INWARD, OUTWARD = "one way", "along", "inward", "outward"
CURRENT = {ONE_WAY: "→", INWARD: "inward", OUTWARD: "outward"}
"""What the board says of its current."""


def faced(planned: Plan, parameters: Parameters) -> Plan:
    """Turn LEDs that stand along a line: each gets a line of its own, tracks find their ways."""
    facing = parameters.form.facing or ALONG
    if facing == ALONG or planned.sketch is None or planned.routed:
        return planned
    sketch, deeper = planned.sketch, planned.deeper

    def turned(drawn: Sketch) -> Sketch:
        poses = [drawn.spines[line].pose(along) for line, along in drawn.sites]
        turns = (
            0.0 if facing == ONE_WAY else pose.turn_deg + _square_deg(drawn.spines[0], facing)
            for pose in poses
        )
        places = [(p.x_mm, p.y_mm, turn) for p, turn in zip(poses, turns, strict=True)]
        left = (drawn.spines[line].place(along) for line, along in drawn.free_sites)
        return replace(
            drawn,
            screws=(*drawn.screws, *left),
            free_sites=(),
            spines=lone_spines(places, planned.pitch_mm),
            sites=tuple((number, 0.0) for number in range(len(places))),
        )

    return replace(
        planned,
        sketch=lambda size_mm: turned(sketch(size_mm)),
        deeper=_deeper(turned, deeper) if deeper else None,
        current=CURRENT[facing],
        routed=True,
    )


def _deeper(
    turned: Callable[[Sketch], Sketch], deeper: Callable[[float, float], Sketch]
) -> Callable[[float, float], Sketch]:
    return lambda size_mm, deeper_mm: turned(deeper(size_mm, deeper_mm))


def _square_deg(spine: Spine, facing: str) -> float:
    """Tell how far a line's direction is turned to lead out of its bend, or into it."""
    bend = sum(piece.length_mm / piece.radius_mm for piece in spine.pieces if piece.radius_mm)
    return math.copysign(90.0, bend) * (-1.0 if facing == OUTWARD else 1.0)

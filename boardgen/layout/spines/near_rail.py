"""The rail as near to its branches as claims allow, far from any edge and from the inlet."""

from dataclasses import replace

from boardgen.forms.table import plan
from boardgen.layout.cell import (
    MARGIN_MM,
    BallastPlace,
    Cell,
    branch_track_mm,
    copper_bar_from_row_mm,
    furthest_copper_bar_mm,
)
from boardgen.layout.course import Course
from boardgen.layout.drawing import cells
from boardgen.layout.inlet import guard_side, inlet
from boardgen.layout.spines.claims import clear
from boardgen.layout.spines.growth import smallest
from boardgen.model import looks
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Sketch

_RAIL_STEP_MM = 0.25
_MOST_STEPS = 256
"""After so many steps of growth nothing more is to be hoped for."""
_FURTHEST_RAIL_MM = 4.0
"""No further from its ballasts a rail is looked for: what lies in its way is no matter of room."""
_BAR_STEP_MM, _FURTHEST_BAR_MM = 0.1, 3.0
"""In such steps a bar in copper leaves its LED, and no further: it has to be seen beside it."""


def near_rail(
    parameters: Parameters, circuit: Circuit, place: BallastPlace, rail_mm: float
) -> Course | None:
    """Bring the rail as near to its ballasts as claims allow, no edge and no inlet being near."""
    tight = tightest(parameters, place, rail_mm)
    least = tight.rail_from_mm

    def course(from_mm: float) -> Course:
        return replace(tight, rail_from_mm=from_mm)

    def does(from_mm: float) -> bool:
        return from_mm > least + _FURTHEST_RAIL_MM or clear(
            cells(parameters, circuit, course(from_mm)), parameters.parts.limits, None
        )

    from_mm = smallest(does, least, _RAIL_STEP_MM, _MOST_STEPS)
    if from_mm is None or from_mm > least + _FURTHEST_RAIL_MM:
        return None
    near = course(from_mm)
    return near if parameters.printed else _with_bars(parameters, circuit, near)


def tightest(parameters: Parameters, place: BallastPlace, rail_mm: float) -> Course:
    """Draw branches with the rail as near to them as their own lands allow, whatever it meets."""
    cell = Cell(parameters, place)
    aims = parameters.parts.limits.aims
    lands = cell.lands_above
    if parameters.copper.relief == "all":
        # One of the cathode's two spokes must reach the pour between LED and rail.
        lands = max(lands, cell.led_half + aims.chip_relief_gap_mm + cell.pour_strip)
    # What is left of the pour between links and rail is no mere finger of it.
    strip = branch_track_mm(parameters) / 2 + aims.pour_gap_mm + looks.FINGER_MM + MARGIN_MM
    anywhere = sketch_at(parameters, plan(parameters).least_mm)
    return Course(
        sketch=anywhere,
        ballast=place,
        rail_mm=rail_mm,
        rail_from_mm=max(lands, strip) + aims.pour_gap_mm + rail_mm / 2,
        inlet=inlet(parameters, rail_mm, 0.0),
        inlet_side=guard_side(parameters),
        routes=() if plan(parameters).scattered else None,
    )


def _with_bars(parameters: Parameters, circuit: Circuit, course: Course) -> Course | None:
    """Bring the bars at cathodes, where they are copper, as near to their LEDs as claims allow."""
    least = copper_bar_from_row_mm(parameters)
    aims = parameters.parts.limits.aims
    seen = min(furthest_copper_bar_mm(led, aims) for led in parameters.parts.led_patterns)
    furthest = min(least + _FURTHEST_BAR_MM, seen)

    def barred(from_mm: float) -> Course:
        return replace(course, bar_from_mm=from_mm)

    def does(from_mm: float) -> bool:
        return from_mm > furthest or clear(
            cells(parameters, circuit, barred(from_mm)), parameters.parts.limits, None
        )

    from_mm = smallest(does, least, _BAR_STEP_MM, _MOST_STEPS)
    return None if from_mm is None or from_mm > furthest else barred(from_mm)


def sketch_at(parameters: Parameters, size_mm: float) -> Sketch:
    """Draw a plan's sketch at a size of its edge."""
    sketch = plan(parameters).sketch
    assert sketch is not None  # noqa: S101 - forms of this layout have one
    return sketch(size_mm)

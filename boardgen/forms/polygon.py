"""The form "polygon": LEDs round equal sides with rounded corners."""

import math
from dataclasses import dataclass, replace

from boardgen.forms.band import placed
from boardgen.forms.edges import along, back
from boardgen.forms.mounting import screws
from boardgen.forms.ring import OPENING, flat_mm
from boardgen.forms.way_in import door_at, met_at_deg, rail_side, runs_clockwise
from boardgen.model.outline import Ring, circle
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Keys, Measure, Plan, Sketch
from boardgen.model.pose import Pose
from boardgen.model.spine import Piece, Spine

_KEYS = Keys(
    whole="form",
    pitch="form.pitch",
    along="form.diameter",
    across="form.diameter",
    between="form.pitch",
    corner="form.fillet",
)
_MEASURES = (
    Measure(key="form.diameter", field="diameter_mm", grows=True,
            tight="the board is too small for its parts"),
    OPENING,
)  # fmt: skip
LEAST_CORNER_MM = 1.0
_FILLET_SHARE = 0.5
"""Of the radius that would make a circle of it: how round corners of the LEDs' line are, if not
asked for."""


@dataclass(frozen=True, slots=True)
class Sides:
    """How many sides, at which angle that of the door lies, and which way round they go."""

    sides: int
    at_deg: float
    turn: float


def polygon(parameters: Parameters) -> Plan:
    """Plan a polygon: its sides follow from the number of LEDs and their pitch.

    The supply comes in at the middle of a side; the board's size is told across flats, from that
    side to the corner or side that lies opposite to it, twice as far as the middle.
    """
    count, form, connector = parameters.light.count, parameters.form, parameters.connector
    clockwise = runs_clockwise(connector)
    turn = -1.0 if clockwise else 1.0
    round_mm = form.pitch_mm * count / math.tau
    fillet = _FILLET_SHARE * round_mm if form.fillet_mm is None else form.fillet_mm
    half_rad = math.pi / form.sides
    apothem = math.pi * (round_mm - fillet) / form.sides / math.tan(half_rad) + fillet
    at = met_at_deg(connector)
    sides = Sides(form.sides, at, turn)

    def sketch(diameter_mm: float) -> Sketch:
        # Corners beside LEDs are as round as their line's, unless the connector asks for more flat.
        reach = diameter_mm / 2
        most = reach - flat_mm(parameters) / 2 / math.tan(half_rad)
        corner = max(min(fillet + reach - apothem, most), LEAST_CORNER_MM)
        ring = ring_of(sides, reach, corner)
        outline, spine, middle = placed((ring,), _rounded(sides, apothem, fillet))
        if form.hole_mm:
            hole = circle(middle, form.hole_mm / 2, clockwise=True)
            outline = replace(outline, inner=(hole,))
        door = Pose(x_mm=middle[0], y_mm=middle[1], turn_deg=at).place(diameter_mm / 2, 0.0)
        return Sketch(
            outline=outline,
            spines=(spine,),
            sites=tuple((0, (place + 0.5) * form.pitch_mm) for place in range(count)),
            door=door_at(connector, edge=door, middle=middle),
            rail_side=rail_side(connector),
            screws=tuple((x + middle[0], y + middle[1]) for x, y in screws(parameters.mounting)),
            size_mm=diameter_mm,
        )

    return Plan(
        chains=(count,),
        pitch_mm=form.pitch_mm,
        between_mm=None,
        keys=_KEYS,
        inwards_deg=connector.inwards_deg,
        sketch=sketch,
        size_mm=form.diameter_mm,
        least_mm=2 * apothem,
        measures=_MEASURES,
        current="clockwise" if clockwise else "counter-clockwise",
        named=True,
        bent=True,
    )


def ring_of(form: Sides, apothem_mm: float, corner_mm: float) -> Ring:
    """Draw the edge of a polygon around the origin; both halves of the door's side are one."""
    outer = along(_rounded(form, apothem_mm, corner_mm), 0.0)
    return (back(outer) if form.turn < 0 else outer)[1:-1]


def _rounded(form: Sides, apothem_mm: float, fillet_mm: float) -> Spine:
    """Draw equal sides with rounded corners, from the middle of the door's side on."""
    half_rad = math.pi / form.sides
    x, y = Pose(x_mm=0.0, y_mm=0.0, turn_deg=form.at_deg).place(apothem_mm, 0.0)
    half_side = (apothem_mm - fillet_mm) * math.tan(half_rad)
    bend = Piece(length_mm=2 * half_rad * fillet_mm, radius_mm=form.turn * fillet_mm)
    side, half = Piece(length_mm=2 * half_side), Piece(length_mm=half_side)
    return Spine(
        start=Pose(x_mm=x, y_mm=y, turn_deg=form.at_deg + form.turn * 90.0),
        pieces=(half, *(bend, side) * (form.sides - 1), bend, half),
        closed=True,
    )

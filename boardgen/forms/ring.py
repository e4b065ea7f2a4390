"""The form "ring": LEDs along one circle or several, each turned with it, on a round board."""

import math
from dataclasses import replace

from boardgen.errors import RefusalError
from boardgen.forms.mounting import screws as in_the_round
from boardgen.forms.way_in import door_at, met_at_deg, rail_side, runs_clockwise
from boardgen.model.form_section import FormSection
from boardgen.model.outline import Bow, Outline, circle
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Keys, Measure, Plan, Sketch
from boardgen.model.pose import Point, Pose
from boardgen.model.spine import Piece, Spine

_KEYS = Keys(
    whole="form",
    pitch="form.pitch",
    along="form.diameter",
    across="form.diameter",
    between="form.pitch",
    corner="form.diameter",
)
OPENING = Measure(key="form.hole", field="hole_mm", grows=False,
                  tight="the opening leaves the parts no room")  # fmt: skip
_MEASURES = (
    Measure(key="form.diameter", field="diameter_mm", grows=True,
            tight="the board is too small for its parts"),
    OPENING,
)  # fmt: skip
_MOST_FLAT = 0.9
"""No flat is longer than so much of the circle's width: own choice."""


def ring(parameters: Parameters) -> Plan:
    """Plan a ring: the circle of LEDs follows from their pitch, the board's edge may grow.

    At the edge the supply comes in midway between the last LED and the first, and the current
    starts off towards the connector's +; from the middle it meets the rail where that is nearest,
    and the current goes the other way round.
    """
    form, mounting, connector = parameters.form, parameters.mounting, parameters.connector
    clockwise = runs_clockwise(connector)
    shares = _shares(parameters)
    start_deg = met_at_deg(connector)

    def screws(x_mm: float, y_mm: float) -> tuple[Point, ...]:
        """Given places count from the board's corner, a circle of screws from its middle."""
        if mounting.places:
            return mounting.places
        return tuple((x_mm + dx, y_mm + dy) for dx, dy in in_the_round(mounting))

    def sketch(diameter_mm: float) -> Sketch:
        at, flat = connector.at_deg, flat_mm(parameters)
        outline, (x, y), door = edge(
            diameter_mm / 2, flat, parameters.parts.limits.aims.corner_mm, at
        )
        if form.hole_mm:
            hole = circle((x, y), form.hole_mm / 2, clockwise=True)
            outline = replace(outline, inner=(hole,))
        turn = -1.0 if clockwise else 1.0
        return Sketch(
            outline=outline,
            spines=tuple(_around((x, y), one, start_deg, turn) for _, one in shares),
            sites=tuple(
                (line, (place + 0.5) * math.tau * one / own)
                for line, (own, one) in enumerate(shares)
                for place in range(own)
            ),
            door=door_at(connector, edge=door, middle=(x, y)),
            rail_side=rail_side(connector),
            screws=screws(x, y),
            size_mm=diameter_mm,
        )

    return Plan(
        chains=tuple(own for own, _ in shares),
        pitch_mm=min(math.tau * one / own for own, one in shares),
        between_mm=None,
        keys=_KEYS,
        inwards_deg=connector.inwards_deg,
        sketch=sketch,
        size_mm=form.diameter_mm,
        least_mm=2 * shares[0][1],
        measures=_MEASURES,
        current="clockwise" if clockwise else "counter-clockwise",
        # LEDs then stand between rail and edge, which has to leave their names room.
        named=connector.central,
    )


def _shares(parameters: Parameters) -> list[tuple[int, float]]:
    """Share the LEDs out; an inner circle that LEDs find no room on is refused."""
    form = parameters.form
    shares = circles(parameters.light.count, form)
    if form.circles > 1 and shares[-1][1] < form.pitch_mm / 2:
        raise RefusalError(
            parameters.problem(
                "form.circles",
                what=f"the innermost of {form.circles} circles would have a radius of"
                f" {shares[-1][1]:.4g} mm",
                remedy="take fewer circles, more LEDs or a smaller circle_pitch",
            )
        )
    return shares


def circles(count: int, form: FormSection) -> list[tuple[int, float]]:
    """Share LEDs out over circles: how many and at which radius, the outermost first.

    All together the circles are as long as the LEDs ask for.
    """
    apart = form.pitch_mm if form.circle_pitch_mm is None else form.circle_pitch_mm
    middle = form.pitch_mm * count / math.tau / form.circles
    radii = [middle + apart * ((form.circles - 1) / 2 - place) for place in range(form.circles)]
    whole = sum(radii)
    ends = [round(count * sum(radii[: place + 1]) / whole) for place in range(form.circles)]
    return [
        (end - before, radius) for before, end, radius in zip([0, *ends], ends, radii, strict=False)
    ]


def _around(middle: Point, radius_mm: float, at_deg: float, turn: float) -> Spine:
    """Draw a circle that begins at the door."""
    x, y = Pose(x_mm=middle[0], y_mm=middle[1], turn_deg=at_deg).place(radius_mm, 0.0)
    return Spine(
        start=Pose(x_mm=x, y_mm=y, turn_deg=at_deg + turn * 90.0),
        pieces=(Piece(length_mm=math.tau * radius_mm, radius_mm=turn * radius_mm),),
        closed=True,
    )


def flat_mm(parameters: Parameters) -> float:
    """Tell how long a straight edge the connector asks for: none when it is wired from above."""
    pattern = parameters.parts.connector.pattern
    straight = pattern.wired_at_edge and not parameters.connector.central
    return pattern.courtyard.right_mm - pattern.courtyard.left_mm if straight else 0.0


def edge(
    radius_mm: float, flat_mm: float, corner_mm: float, at_deg: float
) -> tuple[Outline, Point, Point]:
    """Draw a circle, cut straight for the connector; also tell its middle and where that is.

    Arcs of ``corner_mm`` lead from the flat into the circle: they touch both, so their centres lie
    as far from the flat as from the circle.
    """
    # Of a circle too small for its flat the claims will say so: it still has to be an outline.
    corner = min(corner_mm, radius_mm / 4) if flat_mm else 0.0
    half = min(flat_mm / 2, _MOST_FLAT * (radius_mm - corner))
    beside = math.sqrt((radius_mm - corner) ** 2 - half**2)
    to_flat = corner + beside

    def reach(way_deg: float) -> float:
        """Tell how far the edge lies that way: the flat with its corners may take from it."""
        off = math.radians(abs((way_deg - at_deg + 180.0) % 360.0 - 180.0))
        if off >= math.atan2(half, beside):
            return radius_mm
        return beside * math.cos(off) + half * math.sin(off) + corner

    left, top, right, bottom = map(reach, (180.0, 90.0, 0.0, 270.0))
    middle = Pose(x_mm=left, y_mm=bottom, turn_deg=at_deg)
    centre, door = middle.place(0.0, 0.0), middle.place(to_flat, 0.0)
    outline = Outline(
        length_mm=left + right, width_mm=bottom + top, outer=circle(centre, radius_mm)
    )
    if not half:
        return outline, centre, door
    outwards = radius_mm / (radius_mm - corner)
    places = ((-radius_mm, 0.0), (beside * outwards, -half * outwards), (beside, -half),
              (to_flat, -half), (to_flat, half), (beside, half),
              (beside * outwards, half * outwards))  # fmt: skip
    far, into, low, first, last, high, out = (middle.place(*place) for place in places)
    bows = (Bow(far, centre), Bow(into, centre), Bow(first, low), Bow(last), Bow(out, high))
    return replace(outline, outer=bows), centre, door

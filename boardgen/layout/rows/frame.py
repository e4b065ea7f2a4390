"""The measures of rows: where they, rails, holes and ends lie, or the smallest change that fits.

Rails lie above their rows (``up`` is 1) or below (-1): on the side of the connector's +.
"""

import math
from dataclasses import replace

from boardgen.errors import Change, RefusalError
from boardgen.forms.table import plan
from boardgen.layout.cell import MARGIN_MM, ballast_places, copper_bar_from_row_mm, edge_mm
from boardgen.layout.course import Course
from boardgen.layout.inlet import guard_side, inset_mm
from boardgen.layout.rails import rail_widths
from boardgen.layout.rows.across import Across, across
from boardgen.layout.rows.along import Along, along
from boardgen.layout.rows.needs import Needs
from boardgen.model import looks
from boardgen.model.board import Point
from boardgen.model.circuit import Circuit
from boardgen.model.fields import LONGEST_MM
from boardgen.model.outline import rectangle
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Sketch
from boardgen.model.pose import Pose
from boardgen.model.spine import Piece, Spine
from boardgen.tolerances import FLOAT_MM
from boardgen.units import down_to_step, up_to_step


def frame(parameters: Parameters, circuit: Circuit, more_lines: int = 0) -> Course:
    """Decide the course of rows; ``more_lines`` of copper letters than counted get room.

    Ballasts lie in line with their LEDs where the pitch allows it, else between row and rail; the
    rail is as wide as wanted, or as the board leaves room for.

    Raises
    ------
    RefusalError
        When parts cannot be placed, with the smallest pitch or outline that would do.
    """
    tried = []
    for place in ballast_places(parameters):
        for rail in rail_widths(parameters, circuit):
            needs = Needs(parameters, place, circuit, rail, more_lines)
            over = across(needs)
            lengthways = along(needs, over.width_mm)
            if max(lengthways.length_mm, over.width_mm) > LONGEST_MM:
                needs.misfits["form"] = max(lengthways.length_mm, over.width_mm)
            if not needs.misfits:
                square = _frame(needs, lengthways, over)
                lack = _reach_mm(needs) - _rail_end_mm(needs, square)
                if lack <= FLOAT_MM:
                    return _rounded(square, _corner(needs, square))
                # Of a length that is given, both ends get half.
                length = square.sketch.outline.length_mm + 2 * lack
                needs.misfits["form.length"] = up_to_step(length, 0.1)
        tried.append(needs)
    raise _refusal(min(tried, key=lambda needs: (len(needs.misfits), _stretch(needs))))


def _stretch(needs: Needs) -> float:
    """Tell how much a way's misfits ask for, to offer the smaller change."""
    form = needs.parameters.form
    asked = {
        "form.pitch": form.pitch_mm,
        "form.width": form.width_mm,
        "form.length": form.length_mm,
        "form.row_pitch": plan(needs.parameters).between_mm,
        "form": LONGEST_MM,
    }
    return sum(needed / (asked[path] or needed) for path, needed in needs.misfits.items())


def _rounded(square: Course, corner_mm: float) -> Course:
    outline = square.sketch.outline
    rounded = rectangle(outline.length_mm, outline.width_mm, corner_mm)
    return replace(square, sketch=replace(square.sketch, outline=rounded))


def _corner(needs: Needs, square: Course) -> float:
    """Choose the corners' radius: a quarter of the width, beside the connector and the rail."""
    body = needs.parameters.parts.connector.pattern.body
    outline = square.sketch.outline
    width_mm, length_mm = outline.width_mm, outline.length_mm
    beside = width_mm if needs.at_end else length_mm
    most = min(
        width_mm / 4, length_mm / 4, _beside_rail(needs, square), _beside_screws(needs, square)
    )
    if inset_mm(needs.parameters) == 0.0:
        most = min(most, (beside - body.right_mm + body.left_mm) / 2)
    asked = needs.parameters.form.corner_mm
    if asked is None:
        return min(needs.aims.corner_mm, most)
    if asked <= most + FLOAT_MM:
        return asked
    raise RefusalError(
        needs.parameters.problem(
            "form.corner",
            what=f"corners of {asked:g} mm cut into the connector's place, come too near to the"
            f" rail's end or a screw, or exceed a quarter of the width, {width_mm:g} mm",
            remedy="or leave corner out",
            offers=(Change(path="form.corner", value=f'"{down_to_step(most, 0.1):g} mm"'),),
        )
    )


def _beside_rail(needs: Needs, square: Course) -> float:
    """Find the largest corner that keeps copper's distance from the outer rail's round ends."""
    reach = _reach_mm(needs)
    _, level = square.on_rail(square.sketch.fed, 0.0)
    y = max(min(level, square.sketch.outline.width_mm - level), reach)
    x = max(_rail_end_mm(needs, square), reach)
    return _around_mm(x, y, reach)


def _beside_screws(needs: Needs, square: Course) -> float:
    """Find the largest corner that keeps walls around holes, and heads and washers on the board."""
    screw, limits = needs.parameters.parts.screw, needs.parameters.parts.limits
    reach = max(screw.hole_mm / 2 + limits.hole_edge_mm + MARGIN_MM, screw.covered_mm / 2)
    outline = square.sketch.outline
    return min(
        (
            _around_mm(
                max(min(x, outline.length_mm - x), reach),
                max(min(y, outline.width_mm - y), reach),
                reach,
            )
            for x, y in square.sketch.screws
        ),
        default=math.inf,
    )


def _around_mm(x: float, y: float, reach: float) -> float:
    """Find the radius of the corner that passes a point x and y from two edges at a distance.

    A circle of that distance e around it touches a corner of radius R where
    (R - x)^2 + (R - y)^2 = (R - e)^2.
    """
    return x + y - reach + math.sqrt(2 * (x - reach) * (y - reach))


def _reach_mm(needs: Needs) -> float:
    """Tell how far from the board's end a rail's last tap has to lie: round end and gap."""
    return needs.rail / 2 + edge_mm(needs.parameters)


def _rail_end_mm(needs: Needs, square: Course) -> float:
    """Tell how far from the board's ends the rail's outermost taps, test point and feed lie."""
    tap = needs.parameters.parts.resistor.pattern.land("1").x_mm + needs.ballast.start_mm
    taps = [square.led_pose(branch.first_site).x_mm + tap for branch in needs.circuit.branches]
    taps += [x for x, _ in square.probes]
    taps.append(square.inlet_place(*square.inlet.feed)[0])
    return min(*taps, *(square.sketch.outline.length_mm - at for at in taps))


def _frame(needs: Needs, lengthways: Along, over: Across) -> Course:
    parameters, rows = needs.parameters, needs.parameters.form.rows
    length, width, from_left = lengthways.length_mm, over.width_mm, needs.from_left
    longest = plan(parameters).longest
    span = lengthways.pitch_mm * (longest - 1)
    first = lengthways.first_led_mm if from_left else length - lengthways.first_led_mm - span
    spines = tuple(
        Spine(
            start=Pose(x_mm=first, y_mm=width / 2 + ((rows - 1) / 2 - row) * over.row_pitch_mm),
            pieces=(Piece(length_mm=max(span, lengthways.pitch_mm)),),
        )
        for row in range(rows)
    )
    sketch = Sketch(
        outline=rectangle(length, width, 0.0),
        spines=spines,
        sites=tuple(
            (row, column * lengthways.pitch_mm) for row in range(rows) for column in range(longest)
        ),
        door=_door(parameters, length, width),
        rail_side=needs.up,
        screws=_holes(needs, lengthways, width),
        # The rail that runs along the edge.
        fed=0 if needs.up > 0 else rows - 1,
    )
    trunk = lengthways.trunk_mm if from_left else length - lengthways.trunk_mm
    square = Course(
        sketch=sketch,
        ballast=needs.ballast,
        rail_mm=needs.rail,
        rail_from_mm=over.rail_from_row_mm,
        inlet=lengthways.inlet,
        inlet_side=guard_side(parameters),
        backwards=not from_left,
        trunk_mm=trunk - first,
        via_from_mm=_via_from_mm(needs, over),
        bar_from_mm=None if parameters.printed else copper_bar_from_row_mm(parameters),
    )
    return replace(square, probes=_probes(needs, lengthways, square))


def _door(parameters: Parameters, length_mm: float, width_mm: float) -> Pose:
    """Tell where the connector's edge is, facing inwards."""
    places = {"left": (0.0, width_mm / 2), "right": (length_mm, width_mm / 2),
              "middle": (length_mm / 2, width_mm)}  # fmt: skip
    x, y = places[parameters.connector.at]
    return Pose(x_mm=x, y_mm=y, turn_deg=plan(parameters).inwards_deg)


def _probes(needs: Needs, lengthways: Along, square: Course) -> tuple[Point, ...]:
    """Place the test points: V+ as near to the edge as its land may be, 0 V opposite.

    Beside a rail near the middle that of V+ makes room for that of 0 V.
    """
    parameters = needs.parameters
    if not parameters.copper.test_points:
        return ()
    box, land = parameters.parts.probe.courtyard, parameters.parts.probe.lands[0]
    beside = needs.right_of_led if needs.from_left else needs.left_of_led
    reach = lengthways.pitch_mm * (plan(parameters).longest - 1)
    reach += lengthways.first_led_mm + box.right_mm + needs.aims.pour_gap_mm + beside
    outline = square.sketch.outline
    x = reach if needs.from_left else outline.length_mm - reach
    inset = max(edge_mm(parameters), looks.HAND_MM) + land.width_mm / 2
    least = box.top_mm + MARGIN_MM
    _, level = square.on_rail(square.sketch.fed, 0.0)
    if needs.up > 0:
        y = min(max(level, outline.width_mm / 2 + least), outline.width_mm - inset)
    else:
        y = max(min(level, outline.width_mm / 2 - least), inset)
    return ((x, y), (x, outline.width_mm - y))


def _via_from_mm(needs: Needs, over: Across) -> float | None:
    """Find how far from its row, away from the rail, a via clears letters, rail and edge."""
    aims, rows = needs.aims, needs.parameters.form.rows
    nearest = needs.letters_below + aims.via_land_mm / 2
    edge = over.width_mm / 2 - (rows - 1) / 2 * over.row_pitch_mm
    furthest = edge - aims.part_edge_mm - aims.via_land_mm / 2
    if rows > 1:
        rail = over.rail_from_row_mm + needs.rail / 2
        furthest = min(furthest, over.row_pitch_mm - rail - aims.pour_gap_mm - aims.via_land_mm)
    return None if nearest > furthest else min(furthest, nearest + aims.legend_part_mm)


def _holes(needs: Needs, lengthways: Along, width_mm: float) -> tuple[Point, ...]:
    """Place the screws, from the left, then from the top."""
    length, edge, across_mm = lengthways.length_mm, needs.corner_hole, needs.corner_hole_across
    if needs.mounting == "places":
        return needs.parameters.mounting.places
    if needs.mounting == "corners":
        ys = (width_mm - across_mm, across_mm)
        return tuple((x, y) for x in (edge, length - edge) for y in ys)
    xs = (at if needs.from_left else length - at for at in lengthways.hole_mm)
    return tuple((x, width_mm / 2) for x in sorted(xs))


_WORDS = {
    "form.pitch": "the pitch is too tight for the parts",
    "form.width": "the board is too narrow for rows, rails, screws and connector",
    "form.length": "the board is too short for the row, the screws and the connector",
    "form.row_pitch": "the rows are too close for this width",
}


def _refusal(needs: Needs) -> RefusalError:
    parameters = needs.parameters
    problems = []
    offers: tuple[Change, ...]
    for path, needed in needs.misfits.items():
        if path == "form":
            what = f"the board would be {needed:g} mm long; files reach {LONGEST_MM:g} mm"
            remedy, offers = "take fewer LEDs, a smaller pitch or more rows", ()
        else:
            what = f"{_WORDS[path]} (ballasts {needs.ballast.words})"
            remedy = ""
            offers = _ways_to_fit(needs, path, needed)
        problems.append(
            parameters.problem(
                path,
                what=what,
                remedy=remedy,
                offers=offers,
            )
        )
    return RefusalError(*problems)


def _ways_to_fit(needs: Needs, path: str, needed: float) -> tuple[Change, ...]:
    """Offer the smallest measure that fits, and of a length the count that fits as well."""
    smallest = Change(path=path, value=f'"{needed:g} mm"')
    parameters = needs.parameters
    asked = parameters.form.length_mm
    if path != "form.length" or asked is None:
        return (smallest,)
    rows = parameters.form.rows
    fewer = plan(needs.parameters).longest - math.ceil((needed - asked) / parameters.form.pitch_mm)
    if fewer < 1:
        return (smallest,)
    return (smallest, Change(path="light.count", value=f"{fewer * rows}"))

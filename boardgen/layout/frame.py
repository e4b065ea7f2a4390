"""The bar's measures: where rows, rails, holes and ends lie, or the smallest change that fits.

Rails lie above their rows (``up`` is 1) or below (-1): on the side of the connector's +.
"""

import math
from dataclasses import dataclass, replace

from boardgen.errors import Change, Problem, RefusalError
from boardgen.forms.table import plan
from boardgen.layout.across import Across, across
from boardgen.layout.along import Along, along
from boardgen.layout.inlet import Inlet, inset_mm, pin_one_is_up
from boardgen.layout.needs import (
    MARGIN_MM,
    BallastPlace,
    Needs,
    ballast_places,
    edge_mm,
    rail_widths,
)
from boardgen.model.board import Point
from boardgen.model.circuit import Branch, Circuit
from boardgen.model.fields import LONGEST_MM
from boardgen.model.parameters import Parameters
from boardgen.model.side import Side
from boardgen.tolerances import FLOAT_MM
from boardgen.units import down_to_step, up_to_step

LED_TURN_DEG = 180
"""Cathode to the right: the current flows from left to right, as one reads."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """All measures of a bar, decided."""

    length_mm: float
    width_mm: float
    corner_mm: float
    up: int
    towards_plus: int
    from_left: bool
    connector_at: str
    first_x_mm: float
    pitch_mm: float
    columns: int
    row_y_mm: tuple[float, ...]
    rail_from_row_mm: float
    rail_width_mm: float
    trunk_x_mm: float
    hole_places_mm: tuple[Point, ...]
    inlet: Inlet
    probe_x_mm: float
    letters_below_mm: float
    ballast: BallastPlace

    @property
    def middle_y_mm(self) -> float:
        """The line along the middle of the board."""
        return self.width_mm / 2

    def inlet_place(self, u_mm: float, v_mm: float) -> Point:
        """Carry a point of the inlet onto the board."""
        if self.connector_at == "middle":
            return (self.length_mm / 2 + self.towards_plus * v_mm, self.width_mm - u_mm)
        x = u_mm if self.from_left else self.length_mm - u_mm
        return (x, self.middle_y_mm + self.towards_plus * v_mm)

    def row(self, branch: Branch) -> int:
        """Tell in which row a branch stands, 0 at the top."""
        return branch.first_site // self.columns

    def column(self, branch: Branch) -> int:
        """Tell in which column a branch's first LED stands, from the left."""
        return branch.first_site % self.columns

    def led_x_mm(self, column: int) -> float:
        """Tell where a column of LEDs stands."""
        return self.first_x_mm + column * self.pitch_mm

    def ballast_x_mm(self, branch: Branch, place: int) -> float:
        """Tell where a resistor of a branch's ballast stands, counted from the rail on."""
        behind = branch.kind.ballast.count - 1 - place
        along = self.ballast.along_mm - behind * self.ballast.step_mm
        return self.led_x_mm(self.column(branch)) + along

    def rail_y_mm(self, row: int) -> float:
        """Tell where the rail of a row lies."""
        return self.row_y_mm[row] + self.up * self.rail_from_row_mm

    @property
    def outer_row(self) -> int:
        """The row whose rail runs along the edge."""
        return 0 if self.up > 0 else len(self.row_y_mm) - 1


def frame(parameters: Parameters, circuit: Circuit, more_lines: int = 0) -> Frame:
    """Decide the bar's measures; ``more_lines`` of copper letters than counted get room.

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
            needs = Needs(parameters, circuit, place, rail, more_lines)
            over = across(needs)
            lengthways = along(needs, over.width_mm)
            if max(lengthways.length_mm, over.width_mm) > LONGEST_MM:
                needs.misfits["form"] = max(lengthways.length_mm, over.width_mm)
            if not needs.misfits:
                square = _frame(needs, lengthways, over)
                lack = _reach_mm(needs) - _rail_end_mm(needs, square)
                if lack <= FLOAT_MM:
                    return replace(square, corner_mm=_corner(needs, square))
                # Of a length that is given, both ends get half.
                needs.misfits["form.length"] = up_to_step(square.length_mm + 2 * lack, 0.1)
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


def _corner(needs: Needs, square: Frame) -> float:
    """Choose the corners' radius: a quarter of the width, beside the connector and the rail."""
    body = needs.parameters.connector_part.pattern.body
    width_mm, length_mm = square.width_mm, square.length_mm
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
        Problem(
            what=f"corners of {asked:g} mm cut into the connector's place, come too near to the"
            f" rail's end or a screw, or exceed a quarter of the width, {width_mm:g} mm",
            remedy="or leave corner out",
            offers=(Change(path="form.corner", value=f'"{down_to_step(most, 0.1):g} mm"'),),
            file=needs.parameters.file,
            line=needs.parameters.origin("form.corner").line,
            path="form.corner",
        )
    )


def _beside_rail(needs: Needs, square: Frame) -> float:
    """Find the largest corner that keeps copper's distance from the outer rail's round ends."""
    reach = _reach_mm(needs)
    level = square.rail_y_mm(square.outer_row)
    y = max(min(level, square.width_mm - level), reach)
    x = max(_rail_end_mm(needs, square), reach)
    return _around_mm(x, y, reach)


def _beside_screws(needs: Needs, square: Frame) -> float:
    """Find the largest corner that keeps walls around holes, and heads and washers on the board."""
    screw, limits = needs.parameters.screw, needs.parameters.limits
    reach = max(screw.hole_mm / 2 + limits.hole_edge_mm + MARGIN_MM, screw.covered_mm / 2)
    return min(
        (
            _around_mm(
                max(min(x, square.length_mm - x), reach),
                max(min(y, square.width_mm - y), reach),
                reach,
            )
            for x, y in square.hole_places_mm
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


def _rail_end_mm(needs: Needs, square: Frame) -> float:
    """Tell how far from the board's ends the rail's outermost taps, test point and feed lie."""
    tap = needs.parameters.resistor_part.pattern.land("1").x_mm + needs.ballast.start_mm
    taps = [square.led_x_mm(square.column(branch)) + tap for branch in needs.circuit.branches]
    if needs.parameters.copper.test_points:
        taps.append(square.probe_x_mm)
    taps.append(square.inlet_place(*square.inlet.feed)[0])
    return min(*taps, *(square.length_mm - at for at in taps))


def _frame(needs: Needs, lengthways: Along, over: Across) -> Frame:
    form, length, from_left = needs.parameters.form, lengthways.length_mm, needs.from_left
    span = lengthways.pitch_mm * (plan(needs.parameters).longest - 1)
    connector = needs.parameters.connector
    first = lengthways.first_led_mm
    box = needs.parameters.test_land.courtyard
    probe = (
        box.right_mm
        + needs.aims.pour_gap_mm
        + (needs.right_of_led if from_left else needs.left_of_led)
    )
    return Frame(
        length_mm=length,
        width_mm=over.width_mm,
        corner_mm=0.0,
        up=needs.up,
        towards_plus=1 if pin_one_is_up(connector.at, Side(connector.side)) else -1,
        from_left=from_left,
        connector_at=connector.at,
        first_x_mm=first if from_left else length - first - span,
        columns=plan(needs.parameters).longest,
        pitch_mm=lengthways.pitch_mm,
        row_y_mm=tuple(
            over.width_mm / 2 + ((form.rows - 1) / 2 - row) * over.row_pitch_mm
            for row in range(form.rows)
        ),
        rail_from_row_mm=over.rail_from_row_mm,
        rail_width_mm=needs.rail,
        trunk_x_mm=lengthways.trunk_mm if from_left else length - lengthways.trunk_mm,
        hole_places_mm=_holes(needs, lengthways, over.width_mm),
        inlet=lengthways.inlet,
        probe_x_mm=first + span + probe if from_left else length - first - span - probe,
        letters_below_mm=needs.letters_below,
        ballast=needs.ballast,
    )


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
            Problem(
                what=what,
                remedy=remedy,
                offers=offers,
                file=parameters.file,
                line=parameters.origin(path).line,
                path=path,
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

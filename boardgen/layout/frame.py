"""The bar's measures: where rows, rails, holes and ends lie, or the smallest change that fits.

Everything is thought for wires from the left with the rail above each row; for wires from the right
the rail lies below (``up`` is -1), so that pin 1 of the turned terminal still faces its rail.
"""

from dataclasses import dataclass

from boardgen.errors import Problem, RefusalError
from boardgen.layout.across import Across, across
from boardgen.layout.along import Along, along
from boardgen.layout.needs import HAIR_MM, BallastPlace, Needs, ballast_places, rail_widths
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import LONGEST_MM, Parameters
from boardgen.units import down_to_step

LED_TURN_DEG = 180
"""Cathode to the right: the current flows from left to right, as one reads."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """All measures of a bar, decided."""

    length_mm: float
    width_mm: float
    corner_mm: float
    up: int
    first_x_mm: float
    pitch_mm: float
    row_y_mm: tuple[float, ...]
    rail_from_row_mm: float
    rail_width_mm: float
    trunk_x_mm: float
    hole_x_mm: tuple[float, float]
    connector_x_mm: float
    connector_turn_deg: int
    letters_below_mm: float
    ballast: BallastPlace

    @property
    def middle_y_mm(self) -> float:
        """The line along the middle of the board."""
        return self.width_mm / 2

    def led_x_mm(self, column: int) -> float:
        """Tell where a column of LEDs stands."""
        return self.first_x_mm + column * self.pitch_mm

    def rail_y_mm(self, row: int) -> float:
        """Tell where the rail of a row lies."""
        return self.row_y_mm[row] + self.up * self.rail_from_row_mm

    @property
    def outer_row(self) -> int:
        """The row whose rail runs along the edge."""
        return 0 if self.up > 0 else len(self.row_y_mm) - 1


def frame(parameters: Parameters, circuit: Circuit) -> Frame:
    """Decide the bar's measures.

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
            needs = Needs(parameters, circuit, place, rail)
            over = across(needs)
            lengthways = along(needs, over.width_mm)
            if max(lengthways.length_mm, over.width_mm) > LONGEST_MM:
                needs.misfits["form"] = max(lengthways.length_mm, over.width_mm)
            if not needs.misfits:
                return _frame(needs, lengthways, over, _corner(needs, over.width_mm))
        tried.append(needs)
    raise _refusal(min(tried, key=lambda needs: (len(needs.misfits), _stretch(needs))))


def _stretch(needs: Needs) -> float:
    """Tell how much a way's misfits ask for, to offer the smaller change."""
    form = needs.parameters.form
    asked = {
        "form.pitch": form.pitch_mm,
        "form.width": form.width_mm,
        "form.length": form.length_mm,
        "form.row_pitch": form.row_pitch_mm,
        "form": LONGEST_MM,
    }
    return sum(needed / (asked[path] or needed) for path, needed in needs.misfits.items())


def _corner(needs: Needs, width_mm: float) -> float:
    """Choose the corners' radius: a quarter of the width at most, and beside the connector."""
    body = needs.parameters.connector_part.pattern.body
    most = min(width_mm / 4, (width_mm - body.right_mm + body.left_mm) / 2)
    asked = needs.parameters.form.corner_mm
    if asked is None:
        return min(needs.aims.corner_mm, most)
    if asked <= most + HAIR_MM:
        return asked
    raise RefusalError(
        Problem(
            what=f"corners of {asked:g} mm cut into the connector's place or exceed a quarter of"
            f" the width, {width_mm:g} mm",
            remedy=f'the largest that fits: corner = "{down_to_step(most, 0.1):g} mm"',
            file=needs.parameters.file,
            line=needs.parameters.origin("form.corner").line,
            path="form.corner",
        )
    )


def _frame(needs: Needs, lengthways: Along, over: Across, corner_mm: float) -> Frame:
    parameters, form = needs.parameters, needs.parameters.form
    length, near, far = lengthways.length_mm, *lengthways.hole_mm
    hole_x = (near, far) if needs.up > 0 else (length - far, length - near)
    trunk = lengthways.trunk_from_hole_mm
    pins = -parameters.connector_part.pattern.body.bottom_mm
    return Frame(
        length_mm=length,
        width_mm=over.width_mm,
        corner_mm=corner_mm,
        up=needs.up,
        first_x_mm=hole_x[0] + lengthways.led_from_hole_mm,
        pitch_mm=lengthways.pitch_mm,
        row_y_mm=tuple(
            over.width_mm / 2 + ((form.rows - 1) / 2 - row) * over.row_pitch_mm
            for row in range(form.rows)
        ),
        rail_from_row_mm=over.rail_from_row_mm,
        rail_width_mm=needs.rail,
        trunk_x_mm=hole_x[0] + trunk if needs.up > 0 else hole_x[1] - trunk,
        hole_x_mm=hole_x,
        connector_x_mm=pins if needs.up > 0 else length - pins,
        connector_turn_deg=270 if needs.up > 0 else 90,
        letters_below_mm=needs.letters_below,
        ballast=needs.ballast,
    )


_WORDS = {
    "form.pitch": "the pitch is too tight for the parts",
    "form.width": "the board is too narrow for rows, rails, screws and connector",
    "form.length": "the board is too short for the row, the screws and the connector",
    "form.row_pitch": "the rows are too close for this width",
}


def _refusal(needs: Needs) -> RefusalError:
    parameters = needs.parameters
    problems = []
    for path, needed in needs.misfits.items():
        if path == "form":
            what = f"the board would be {needed:g} mm long; files reach {LONGEST_MM:g} mm"
            remedy = "take fewer LEDs, a smaller pitch or more rows"
        else:
            what = f"{_WORDS[path]} (ballasts {needs.ballast.words})"
            remedy = f'the smallest that fits: {path.split(".")[1]} = "{needed:g} mm"'
        problems.append(
            Problem(
                what=what,
                remedy=remedy,
                file=parameters.file,
                line=parameters.origin(path).line,
                path=path,
            )
        )
    return RefusalError(*problems)

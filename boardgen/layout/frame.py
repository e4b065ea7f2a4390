"""The bar's measures: where rows, rails, holes and ends lie, or the smallest change that fits.

Everything is thought for wires from the left with the rail above each row; for wires from the right
the rail lies below (``up`` is -1), so that pin 1 of the turned terminal still faces its rail.
"""

from dataclasses import dataclass, field
from itertools import pairwise

from boardgen import units
from boardgen.errors import Problem, RefusalError
from boardgen.model.circuit import Circuit
from boardgen.model.land_pattern import Extent, LandPattern
from boardgen.model.parameters import LONGEST_MM, Parameters

MARGIN_MM = 0.001
"""Layout keeps this much beyond every limit, so that rounding never breaks one."""

_HAIR_MM = 1e-9
"""Float noise of millimetres."""

LED_TURN_DEG = 180
"""Cathode to the right: the current flows from left to right, as one reads."""


def edge_mm(parameters: Parameters) -> float:
    """Tell how far copper keeps from the board's edge."""
    limits = parameters.limits
    return max(limits.aims.pour_edge_mm, limits.copper_edge_mm + MARGIN_MM)


@dataclass(frozen=True, slots=True, kw_only=True)
class BallastPlace:
    """Where a ballast sits from the first LED of its branch; ``across_mm`` counts towards the rail.

    ``bends`` says whether the track to the LED has a corner.
    """

    words: str
    along_mm: float
    across_mm: float
    bends: bool


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
    rail_start_x_mm: float
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


@dataclass
class _Fit:
    """One way to place the ballasts, measured; ``misfits`` maps a key to what it had to be."""

    parameters: Parameters
    circuit: Circuit
    ballast: BallastPlace
    misfits: dict[str, float] = field(default_factory=dict)

    # -- what the parts need -------------------------------------------------------------------

    @property
    def up(self) -> int:
        return 1 if self.parameters.connector.at == "left" else -1

    @property
    def edge(self) -> float:
        return edge_mm(self.parameters)

    @property
    def led(self) -> Extent:
        return _turned(self.parameters.led.pattern)

    @property
    def resistor(self) -> Extent:
        return self.parameters.resistor_part.pattern.courtyard

    @property
    def grid(self) -> float:
        aims, pitch = self.parameters.limits.aims, self.parameters.form.pitch_mm
        on_inch = abs(pitch / aims.inch_grid_mm - round(pitch / aims.inch_grid_mm)) < _HAIR_MM
        on_metric = abs(pitch / aims.grid_mm - round(pitch / aims.grid_mm)) < _HAIR_MM
        return aims.inch_grid_mm if on_inch and not on_metric else aims.grid_mm

    def up_grid(self, value: float) -> float:
        return units.up_to_step(value, self.grid)

    @property
    def left_of_led(self) -> float:
        return max(-self.led.left_mm, -(self.ballast.along_mm + self.resistor.left_mm))

    @property
    def right_of_led(self) -> float:
        return max(self.led.right_mm, self.ballast.along_mm + self.resistor.right_mm)

    @property
    def above_row(self) -> float:
        """How far the lands of a row reach towards its rail."""
        pattern = self.parameters.resistor_part.pattern
        return max(_half_land(self.parameters.led.pattern),
                   self.ballast.across_mm + _half_land(pattern))  # fmt: skip

    @property
    def below_row(self) -> float:
        """How far the courtyards of a row reach away from its rail."""
        return max(-self.led.bottom_mm, -(self.resistor.bottom_mm + self.ballast.across_mm))

    # -- along ---------------------------------------------------------------------------------

    @property
    def pitch(self) -> float:
        """The pitch, or the least that fits when the one asked for is too tight."""
        asked = self.parameters.form.pitch_mm
        least = self.led.right_mm - self.led.left_mm
        cuts = sorted({branch.first_column for branch in self.circuit.branches})
        for before, after in pairwise(cuts):
            columns = after - before
            room = self.resistor.right_mm - self.resistor.left_mm
            least = max(least, room / columns)
            if self.ballast.across_mm == 0:
                least = max(least, self.left_of_led + self.led.right_mm)
            else:
                least = max(least, self._link_room() + self.led.right_mm)
        return self._at_least("form.pitch", asked, least)

    def _link_room(self) -> float:
        """How far left of an LED its bent link needs copper-free room."""
        aims = self.parameters.limits.aims
        anode = _anode_x(self.parameters.led.pattern)
        return -anode + aims.track_mm / 2 + aims.gap_mm

    def _at_least(self, path: str, asked: float | None, least: float) -> float:
        if asked is None:
            return least
        if asked < least - 1e-9:
            needed = units.up_to_step(least, 0.1)
            self.misfits[path] = max(needed, self.misfits.get(path, 0.0))
            return needed
        return asked

    @property
    def connector(self) -> Extent:
        """The connector's room, x inboard from the face, y along the face."""
        pattern = self.parameters.connector_part.pattern
        return Extent(
            left_mm=0.0,
            right_mm=pattern.courtyard.top_mm - pattern.body.bottom_mm,
            bottom_mm=pattern.courtyard.left_mm,
            top_mm=pattern.courtyard.right_mm,
        )

    def signs_beside(self, width: float) -> bool:
        """Tell whether + and − find room beside the connector, towards the long edges."""
        aims = self.parameters.limits.aims
        need = self.connector.top_mm + aims.legend_part_mm + aims.sign_mm * 1.15
        return width / 2 >= need + aims.legend_edge_mm

    def hole_from_face(self, width: float) -> float:
        """How far from the connector's edge the inboard hole lies."""
        aims, room = self.parameters.limits.aims, self.parameters.screw.room_mm
        signs = 0.0 if self.signs_beside(width) else aims.sign_mm * 1.15 + 2 * aims.legend_part_mm
        return self.up_grid(self.connector.right_mm + signs + room / 2 + MARGIN_MM)

    @property
    def hole_from_free_end(self) -> float:
        aims, room = self.parameters.limits.aims, self.parameters.screw.room_mm
        return self.up_grid(room / 2 + aims.screw_edge_mm)

    def trunk_room(self, rail: float) -> float:
        """Room along the bar for the track that feeds the inner rails."""
        if self.parameters.form.rows == 1:
            return 0.0
        return rail + 2 * self.parameters.limits.aims.pour_gap_mm

    def led_from_hole(self, rail: float) -> float:
        """Distance of the end LEDs from the hole next to them: the same at both ends."""
        left, right = self.left_of_led, self.right_of_led
        trunk = self.trunk_room(rail)
        left, right = (left + trunk, right) if self.up > 0 else (left, right + trunk)
        return self.up_grid(self.parameters.screw.room_mm / 2 + max(left, right) + MARGIN_MM)

    def length(self, pitch: float, width: float, rail: float) -> float:
        ends = self.hole_from_face(width) + self.hole_from_free_end
        span = pitch * (self.circuit.columns - 1)
        least = ends + 2 * self.led_from_hole(rail) + span
        if self.parameters.form.length_mm is not None:
            return self._at_least("form.length", self.parameters.form.length_mm, least)
        # Room for the page on the back, between the screw heads.
        aims = self.parameters.limits.aims
        page = aims.page_mm + 2 * (
            self.hole_from_face(width) + self.parameters.screw.room_mm / 2 + aims.legend_part_mm
        )
        return max(least, least + 2 * self.up_grid((page - least) / 2))

    # -- across --------------------------------------------------------------------------------

    def rail_width(self, width: float | None) -> float:
        """Find the widest rail up to the wanted one that passes between screw and edge."""
        rail = self.circuit.rail
        if width is None:
            return rail.width_mm
        room = width / 2 - self.parameters.screw.room_mm / 2 - self.edge - MARGIN_MM
        asked = self.parameters.copper.rail_mm is not None
        least = rail.width_mm if asked else max(self.parameters.limits.track_mm, rail.heat_mm)
        if room < least - 1e-9:
            self._too_narrow(width + 2 * (least - room))
            return least
        # Tenths, unless the space is tighter than the usual least rail.
        return min(rail.width_mm, max(units.down_to_step(room, 0.1), min(room, least)))

    def _too_narrow(self, needed: float) -> None:
        wanted = units.up_to_step(needed, 0.5)
        self.misfits["form.width"] = max(wanted, self.misfits.get("form.width", 0.0))

    def least_rail_distance(self, rail: float) -> float:
        """Find the least distance from a row to its rail's centre line."""
        aims = self.parameters.limits.aims
        return self.above_row + aims.pour_gap_mm + rail / 2

    def least_width(self, rail: float) -> float:
        """Find the least width for one row, for the connector and for the screw."""
        aims = self.parameters.limits.aims
        half = self.least_rail_distance(rail) + rail / 2 + self.edge
        connector = self.connector.top_mm - self.connector.bottom_mm + 2 * aims.part_edge_mm
        screw = self.parameters.screw.room_mm + 2 * (rail + self.edge + MARGIN_MM)
        return max(2 * half, 2 * (self.below_row + aims.part_edge_mm), connector, screw)

    def comfortable_width(self, rail: float) -> float:
        """Choose a width that leaves room for letters: the default."""
        aims, rows = self.parameters.limits.aims, self.parameters.form.rows
        signs = 2 * (self.connector.top_mm + aims.legend_part_mm + aims.sign_mm * 1.15
                     + aims.legend_edge_mm)  # fmt: skip
        if rows == 1:
            return units.up_to_step(max(self.least_width(rail), signs), 2.0)
        pitch = self.parameters.form.row_pitch_mm or self.comfortable_row_pitch(rail)
        outer = self.letters_and_via() + aims.part_edge_mm
        outer = max(outer, self.least_rail_distance(rail) + rail / 2 + self.edge)
        return units.up_to_step(
            max(self.least_width(rail), signs, (rows - 1) * pitch + 2 * outer), 2.0
        )

    def letters_below(self) -> float:
        aims = self.parameters.limits.aims
        return self.below_row + 2 * aims.legend_part_mm + aims.text_mm * 1.15

    def letters_and_via(self) -> float:
        """Leave room below a row for its letters and the vias beyond them."""
        aims = self.parameters.limits.aims
        return self.letters_below() + aims.via_land_mm + aims.legend_part_mm

    def comfortable_row_pitch(self, rail: float) -> float:
        aims = self.parameters.limits.aims
        return units.up_to_step(
            self.least_rail_distance(rail) + rail / 2 + aims.pour_gap_mm + self.letters_and_via(),
            1.0,
        )

    def rows(self, width: float, rail: float) -> tuple[float, float]:
        """Choose the row pitch and the distance from a row to its rail, from the width."""
        aims, rows = self.parameters.limits.aims, self.parameters.form.rows
        reach = width / 2 - self.edge - rail / 2
        least_rail = self.least_rail_distance(rail)
        if rows == 1:
            if width < self.least_width(rail) - 1e-9:
                self._too_narrow(self.least_width(rail))
            return 0.0, max(reach, least_rail)
        between = rail / 2 + aims.pour_gap_mm + self.below_row
        least_pitch = max((reach + between) * 2 / (rows + 1), least_rail + between)
        most_pitch = (reach - least_rail) * 2 / (rows - 1)
        own = width / 2 - self.below_row - aims.part_edge_mm
        most_pitch = min(most_pitch, own * 2 / (rows - 1))
        asked = self.parameters.form.row_pitch_mm
        if most_pitch < least_rail + between - 1e-9 or width < self.least_width(rail) - 1e-9:
            pitch = asked or (least_rail + between)
            self._too_narrow(
                max(
                    self.least_width(rail),
                    2 * (pitch * (rows - 1) / 2 + least_rail + rail / 2 + self.edge),
                    2 * (pitch * (rows - 1) / 2 + self.below_row + aims.part_edge_mm),
                )
            )
            return pitch, least_rail
        if asked is not None:
            pitch = self._at_least("form.row_pitch", asked, least_pitch)
            if pitch > most_pitch + 1e-9:
                self._too_narrow(width + (pitch - most_pitch) * (rows - 1))
            return pitch, max(reach - pitch * (rows - 1) / 2, least_rail)
        step = 2 * self.grid if rows % 2 == 0 else self.grid
        even = min(max(units.to_step(width / rows, step), units.up_to_step(least_pitch, step)),
                   units.down_to_step(most_pitch, step))  # fmt: skip
        pitch = even if even >= least_pitch - 1e-9 else least_pitch
        return pitch, reach - pitch * (rows - 1) / 2


def frame(parameters: Parameters, circuit: Circuit) -> Frame:
    """Decide the bar's measures.

    Ballasts lie in line with their LEDs where the pitch allows it, else between row and rail.

    Raises
    ------
    RefusalError
        When parts cannot be placed, with the smallest pitch or outline that would do.
    """
    fits = [_measure(parameters, circuit, place) for place in _ballast_places(parameters)]
    good = [made for made in fits if isinstance(made, Frame)]
    if good:
        return good[0]
    bad = [made for made in fits if isinstance(made, _Fit)]
    raise _refusal(parameters, min(bad, key=lambda fit: (len(fit.misfits), _stretch(fit))))


def _stretch(fit: _Fit) -> float:
    """How much a misfit asks for, to offer the smaller change."""
    form = fit.parameters.form
    asked = {
        "form.pitch": form.pitch_mm,
        "form.width": form.width_mm or 1.0,
        "form.length": form.length_mm or 1.0,
        "form.row_pitch": form.row_pitch_mm or 1.0,
    }
    return sum(needed / asked.get(path, needed) for path, needed in fit.misfits.items())


def _ballast_places(parameters: Parameters) -> tuple[BallastPlace, ...]:
    led = _turned(parameters.led.pattern)
    resistor = parameters.resistor_part.pattern
    grid = parameters.limits.aims.grid_mm
    beside = units.up_to_step(resistor.courtyard.right_mm - led.left_mm, grid)
    over = units.up_to_step(led.top_mm - resistor.courtyard.bottom_mm, grid)
    # The link leaves the ballast level and turns down onto the anode's centre line.
    anode = _anode_x(parameters.led.pattern)
    back = units.up_to_step(resistor.land("2").x_mm - anode + grid / 2, grid)
    return (
        BallastPlace(words="in line", along_mm=-beside, across_mm=0.0, bends=False),
        BallastPlace(words="between row and rail", along_mm=-back, across_mm=over, bends=True),
    )


def _anode_x(pattern: LandPattern) -> float:
    """Where the anode lies from the LED's centre, as the LED is turned."""
    return -pattern.land("2").x_mm


def _turned(pattern: LandPattern) -> Extent:
    """Turn the LED's courtyard by half a turn."""
    box = pattern.courtyard
    return Extent(
        left_mm=-box.right_mm,
        bottom_mm=-box.top_mm,
        right_mm=-box.left_mm,
        top_mm=-box.bottom_mm,
    )


def _half_land(pattern: LandPattern) -> float:
    return max(land.height_mm for land in pattern.lands) / 2


def _measure(parameters: Parameters, circuit: Circuit, place: BallastPlace) -> Frame | _Fit:
    fit = _Fit(parameters, circuit, place)
    form, aims = parameters.form, parameters.limits.aims
    up = fit.up
    pitch = fit.pitch
    width = form.width_mm or fit.comfortable_width(fit.rail_width(None))
    rail = fit.rail_width(width)
    row_pitch, rail_from_row = fit.rows(width, rail)
    width = max(width, fit.misfits.get("form.width", 0.0))
    length = fit.length(pitch, width, rail)
    if length > LONGEST_MM:
        fit.misfits["board"] = length
    if fit.misfits:
        return fit
    rows = range(form.rows)
    row_y = tuple(width / 2 + ((form.rows - 1) / 2 - row) * row_pitch for row in rows)
    near, far = fit.hole_from_face(width), fit.hole_from_free_end
    span = pitch * (circuit.columns - 1)
    spare = length - near - far - span
    from_hole = units.down_to_step(spare / 2, fit.grid)
    ends = (near, near + 2 * from_hole + span)
    hole_x = ends if up > 0 else (length - ends[1], length - ends[0])
    room = parameters.screw.room_mm / 2
    trunk_from_hole = units.up_to_step(room + aims.pour_gap_mm + rail / 2, fit.grid / 5)
    pattern = parameters.connector_part.pattern
    pins = -pattern.body.bottom_mm
    return Frame(
        length_mm=length,
        width_mm=width,
        corner_mm=form.corner_mm or min(aims.corner_mm, width / 4),
        up=up,
        first_x_mm=hole_x[0] + from_hole,
        pitch_mm=pitch,
        row_y_mm=row_y,
        rail_from_row_mm=rail_from_row,
        rail_width_mm=rail,
        rail_start_x_mm=pins if up > 0 else length - pins,
        trunk_x_mm=hole_x[0] + trunk_from_hole if up > 0 else hole_x[1] - trunk_from_hole,
        hole_x_mm=hole_x,
        connector_x_mm=pins if up > 0 else length - pins,
        connector_turn_deg=270 if up > 0 else 90,
        letters_below_mm=fit.letters_below(),
        ballast=place,
    )


_WORDS = {
    "form.pitch": "the pitch is too tight for the parts",
    "form.width": "the board is too narrow for row, rail, screw and connector",
    "form.length": "the board is too short for the row, the screws and the connector",
    "form.row_pitch": "the rows are too close",
}


def _refusal(parameters: Parameters, fit: _Fit) -> RefusalError:
    problems = []
    for path, needed in fit.misfits.items():
        if path == "board":
            what = f"the board would be {needed:g} mm long; files reach {LONGEST_MM:g} mm"
            remedy = "take fewer LEDs, a smaller pitch or more rows"
            path = "form"  # noqa: PLW2901 - the message points at the section
        else:
            what = f"{_WORDS[path]} (ballasts {fit.ballast.words})"
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

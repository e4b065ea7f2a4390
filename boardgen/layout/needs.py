"""What the parts of a bar need around them: the numbers from which its measures follow.

Lengths along the bar count from an LED's centre; lengths across count towards the row's rail
("above") and away from it ("below").
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from boardgen import units
from boardgen.errors import Change, Problem, RefusalError
from boardgen.forms.table import plan
from boardgen.layout.inlet import InletPlaces, inlet, pin_one_is_up, widest_feed_mm
from boardgen.layout.signs import widest_feed_beside_mm
from boardgen.layout.words import CopperWords, copper_lines, copper_words
from boardgen.model.circuit import Circuit
from boardgen.model.land_pattern import Extent, LandPattern
from boardgen.model.limits import Aims, Limits
from boardgen.model.parameters import Parameters
from boardgen.model.side import Side
from boardgen.tolerances import FLOAT_MM

MARGIN_MM = 0.001
"""Layout keeps this much beyond every limit, so that rounding never breaks one."""

_POUR_STRIP_MM = 0.5
"""What is left of the pour where it passes rails, if it stays whole there."""

COPPER_STRIP_MM = 1.5
"""What is left of the pour on both sides of letters in copper: the return current passes there."""

LINE_STEP_MM = 0.25
"""Heights for lines are tried in steps of this."""

NAME_BOX_MM = (28.0, 6.0)
NAME_BOX_GAP_MM = 2.0

_LETTER_BOX = 1.15
"""A letter's box is its height and its stroke."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BallastPlace:
    """Where a ballast sits from the first LED of its branch; ``across_mm`` counts towards the rail.

    ``bends`` says whether the track to the LED has a corner. Further resistors of one ballast stand
    before it, ``step_mm`` apart.
    """

    words: str
    along_mm: float
    across_mm: float
    bends: bool
    count: int
    step_mm: float

    @property
    def start_mm(self) -> float:
        """Where its first resistor sits, next to the rail's tap."""
        return self.along_mm - (self.count - 1) * self.step_mm


@dataclass
class Needs:
    """The needs of one way to place the ballasts, with one width of rail.

    ``misfits`` gathers the keys whose values are too small, with the least that would do.
    """

    parameters: Parameters
    circuit: Circuit
    ballast: BallastPlace
    rail: float
    more_lines: int = 0
    misfits: dict[str, float] = field(default_factory=dict)

    @property
    def aims(self) -> Aims:
        """What is drawn unless asked otherwise."""
        return self.parameters.limits.aims

    @property
    def at_end(self) -> bool:
        """Whether the connector stands at an end, not at the long edge."""
        return self.parameters.connector.at != "middle"

    @property
    def from_left(self) -> bool:
        """Whether the row is fed from its left end; from the middle counts as left."""
        return self.parameters.connector.at != "right"

    @property
    def up(self) -> int:
        """1 when rails lie above their rows, -1 when below: on the side of the connector's +."""
        connector = self.parameters.connector
        return 1 if not self.at_end or pin_one_is_up(connector.at, Side(connector.side)) else -1

    @property
    def edge(self) -> float:
        """How far copper keeps from the edge."""
        return edge_mm(self.parameters)

    @property
    def pour_strip(self) -> float:
        """How wide the pour must pass: no corner's rounding and no house's least width eats it."""
        least = max(2 * self.aims.pour_corner_mm, self.parameters.limits.pour_width_mm)
        return max(_POUR_STRIP_MM, least + MARGIN_MM)

    @property
    def grid(self) -> float:
        """The grid for centres along the row."""
        return grid_mm(self.parameters)

    def up_grid(self, value: float) -> float:
        """Round up to the grid."""
        return units.up_to_step(value, self.grid)

    # -- parts ---------------------------------------------------------------------------------

    @property
    def led(self) -> Extent:
        """The LEDs' courtyard as they are turned, with room for a printed bar past the cathode."""
        box = turned(self.parameters.led_patterns)
        if not self.parameters.printed:
            return box
        clear = self.parameters.limits.mask_expansion_mm + self.aims.legend_land_mm
        leds = self.parameters.led_patterns
        bar = max(cathode_bar_mm(led, self.parameters.limits) for led in leds)
        # The next part's land lies behind its own courtyard's edge.
        patterns = (*leds, self.parameters.resistor_part.pattern)
        behind = min(courtyard_excess_mm(pattern) for pattern in patterns)
        reach = bar + self.aims.mark_stroke_mm / 2 + clear - behind
        return replace(box, right_mm=max(box.right_mm, reach))

    @property
    def resistor(self) -> Extent:
        """The ballast's courtyard."""
        return self.parameters.resistor_part.pattern.courtyard

    def inlet(self, *, signs_beside: bool) -> InletPlaces:
        """Plan connector and switch, with + and − beside or behind the connector."""
        behind = 0.0 if signs_beside else self.sign_room + self.aims.legend_part_mm
        return inlet(self.parameters, self.rail, behind)

    @property
    def connector_half(self) -> float:
        """How far connector and switch reach along their edge, either way."""
        return self.inlet(signs_beside=True).half_mm

    @property
    def sign_half(self) -> float:
        """How far the connector reaches along its edge with + and − beside it, to edge or screw."""
        beside = self.parameters.connector_part.pattern.courtyard.right_mm
        beyond = self.aims.legend_edge_mm
        if self.mounting == "corners" and self.at_end:
            beyond = max(beyond, self.corner_hole + self.screw_room / 2)
        return beside + self.sign_room + beyond

    @property
    def screw_room(self) -> float:
        """The circle that a screw needs."""
        return self.parameters.screw.room_mm

    @property
    def sign_room(self) -> float:
        """What + or − takes beside the connector."""
        return self.aims.sign_mm * _LETTER_BOX + self.aims.legend_part_mm

    @property
    def corner_hole(self) -> float:
        """How far a corner's hole lies from the short edge."""
        return self.up_grid(self._from_edge)

    @property
    def corner_hole_across(self) -> float:
        """How far a corner's hole lies from the long edge: rows know no inches."""
        return units.up_to_step(self._from_edge, self.aims.grid_mm)

    @property
    def _from_edge(self) -> float:
        return max(
            self.screw_room / 2 + self.aims.screw_edge_mm,
            self.parameters.screw.hole_mm / 2 + self.parameters.limits.hole_edge_mm + MARGIN_MM,
        )

    @property
    def band(self) -> float:
        """What the long edges are kept for: copper's distance, corner screws, a connector."""
        bands = [self.edge]
        probe = self.parameters.test_land.courtyard.top_mm - self.rail / 2
        beyond = MARGIN_MM + (max(0.0, probe) if self.parameters.copper.test_points else 0.0)
        if self.mounting == "corners":
            bands.append(self.corner_hole_across + self.screw_room / 2 + beyond)
        if not self.at_end:
            bands.append(self.inlet(signs_beside=True).depth_mm + beyond)
        if self.copper_lines_above:
            lines = self.copper_lines(self.copper_lines_above)
            bands.append(self.edge + lines + self.aims.pour_gap_mm)
        return max(bands)

    @property
    def mounting(self) -> str:
        """Where the screws sit: ends, corners, none, or at places that the user gives."""
        mounting = self.parameters.mounting
        return "places" if mounting.places else mounting.at

    @property
    def page_room(self) -> float:
        """What the page on the back should have along the board, if the length is free."""
        box = NAME_BOX_MM[0] + NAME_BOX_GAP_MM if self.parameters.legend.name_box else 0.0
        return self.aims.page_mm + box

    @property
    def probe_room(self) -> float:
        """What test points take along the board."""
        if not self.parameters.copper.test_points:
            return 0.0
        box = self.parameters.test_land.courtyard
        # Beyond it the return pour has to pass, if the copper has one side only.
        return box.right_mm - box.left_mm + 2 * self.aims.pour_gap_mm + self.pour_strip

    # -- along a row ---------------------------------------------------------------------------

    @property
    def left_of_led(self) -> float:
        """How far a branch reaches left of its first LED."""
        return max(-self.led.left_mm, -(self.ballast.start_mm + self.resistor.left_mm))

    @property
    def right_of_led(self) -> float:
        """How far a branch reaches right of an LED."""
        chips = max(self.led.right_mm, self.ballast.along_mm + self.resistor.right_mm)
        if self.parameters.printed:
            return chips
        bars = (copper_bar_mm(led, self.aims) for led in self.parameters.led_patterns)
        end = max(far for _, far in bars) + self.aims.mark_stroke_mm / 2
        return max(chips, end + self.aims.pour_gap_mm)

    @property
    def link_room(self) -> float:
        """How far left of an LED its bent link and its gap reach."""
        return (
            branch_track_mm(self.parameters) / 2
            + self.aims.pour_gap_mm
            - anode_x(self.parameters.led_patterns)
        )

    # -- across a row --------------------------------------------------------------------------

    @property
    def led_half(self) -> float:
        """How far the LED's lands reach across the row."""
        return half_land(*self.parameters.led_patterns)

    @property
    def lands_above(self) -> float:
        """How far the lands of a row reach towards its rail."""
        over = self.ballast.across_mm + half_land(self.parameters.resistor_part.pattern)
        return max(self.led_half, over)

    @property
    def lands_below(self) -> float:
        """How far the lands of a row reach away from its rail."""
        own = half_land(self.parameters.resistor_part.pattern) - self.ballast.across_mm
        return max(self.led_half, own)

    @property
    def parts_below(self) -> float:
        """How far the courtyards of a row reach away from its rail."""
        return max(-self.led.bottom_mm, -(self.resistor.bottom_mm + self.ballast.across_mm))

    @property
    def copper_marks_below(self) -> float:
        """How far bars in copper at the cathodes reach away from the rail, their gaps included."""
        aims = self.aims
        return copper_bar_from_row_mm(self.parameters) + aims.mark_stroke_mm / 2 + aims.pour_gap_mm

    @property
    def copper_words(self) -> tuple[CopperWords, ...]:
        """What stands in copper when nothing is printed."""
        return copper_words(self.parameters, self.circuit)

    @property
    def length_guess(self) -> float:
        """How long the board will be at least: for setting words into lines."""
        form = self.parameters.form
        if form.length_mm is not None:
            return form.length_mm
        span = form.pitch_mm * (plan(self.parameters).longest - 1)
        ends = 2 * max(self.left_of_led, self.right_of_led)
        if self.mounting == "ends":
            ends += self.corner_hole + 1.5 * self.screw_room
        depth = self.inlet(signs_beside=True).depth_mm if self.at_end else 0.0
        return span + ends + depth

    @property
    def copper_lines_in_all(self) -> int:
        """How many lines of words in copper the length calls for; 0 on printed boards."""
        if self.parameters.printed:
            return 0
        taken = self.inlet(signs_beside=True).depth_mm if self.at_end else 0.0
        room = self.length_guess - taken - 2 * self.aims.legend_edge_mm
        counted = len(copper_lines(self.copper_words, room, self.copper_room))
        return counted + self.more_lines

    @property
    def copper_lines_above(self) -> int:
        """How many of them stand beyond the rail, so that the board is no wider than it must."""
        free = self.at_end and self.mounting != "corners"
        return self.copper_lines_in_all // 2 if free else 0

    def copper_lines(self, lines: int) -> float:
        """Tell what lines of copper letters take: between them and beyond them the pour passes."""
        tallest = max(words.size_mm[1] for words in self.copper_words)
        return lines * (tallest + self.copper_room) + self.copper_room + LINE_STEP_MM

    @property
    def copper_room(self) -> float:
        """What words in copper keep clear around them."""
        return self.aims.pour_gap_mm + COPPER_STRIP_MM

    @property
    def letters_below(self) -> float:
        """How far the letters of a row reach away from its rail."""
        letters = 2 * self.aims.legend_part_mm + self.aims.text_mm * _LETTER_BOX
        return self.parts_below + letters

    @property
    def letters_and_via_below(self) -> float:
        """How far the vias beyond the letters reach."""
        return self.letters_below + self.aims.via_land_mm + self.aims.legend_part_mm


def branch_track_mm(parameters: Parameters) -> float:
    """Tell the width of branch tracks: as wanted, but none that its round end leads off a land."""
    patterns = (*parameters.led_patterns, parameters.resistor_part.pattern)
    lands = [land for pattern in patterns for land in pattern.lands]
    room = min(min(land.width_mm, land.height_mm) for land in lands)
    limits = parameters.limits
    return max(limits.track_mm, min(limits.aims.track_mm, units.down_to_step(room, 0.05)))


def copper_bar_mm(pattern: LandPattern, aims: Aims) -> tuple[float, float]:
    """Tell from where to where a cathode's bar in copper runs, outwards from the LED's middle.

    It leaves land K's spoke its way, and is as long as the body is wide.
    """
    beside_spoke = (aims.chip_spoke_mm + aims.mark_stroke_mm) / 2 + aims.pour_gap_mm
    start = abs(pattern.by_function("K").x_mm) + beside_spoke + aims.pour_corner_mm
    # At an angle its ends lie on the grid: none may come out shorter than the body is wide.
    return (start, start + pattern.body.top_mm - pattern.body.bottom_mm + MARGIN_MM)


def copper_bar_from_row_mm(parameters: Parameters) -> float:
    """Tell how far from its row a cathode's bar in copper runs: beside all lands of the row."""
    aims = parameters.limits.aims
    lands = half_land(*parameters.led_patterns, parameters.resistor_part.pattern)
    return lands + aims.pour_gap_mm + aims.mark_stroke_mm / 2


def edge_mm(parameters: Parameters) -> float:
    """Tell how far copper keeps from the board's edge."""
    limits = parameters.limits
    return max(limits.aims.pour_edge_mm, limits.copper_edge_mm + MARGIN_MM)


def grid_mm(parameters: Parameters) -> float:
    """Choose the grid for centres along the row: metric, unless only inches fit the pitch."""
    pitch, aims = parameters.form.pitch_mm, parameters.limits.aims
    on_inch, on_metric = (
        abs(pitch / grid - round(pitch / grid)) < FLOAT_MM
        for grid in (aims.inch_grid_mm, aims.grid_mm)
    )
    return aims.inch_grid_mm if on_inch and not on_metric else aims.grid_mm


def ballast_places(parameters: Parameters) -> tuple[BallastPlace, ...]:
    """List the ways to place a ballast, the preferred one first.

    Where the row's grid of inches leaves no room, the finer metric one may.
    """
    grids = dict.fromkeys((grid_mm(parameters), parameters.limits.aims.grid_mm))
    ways = [_ballast_places(parameters, grid) for grid in grids]
    return tuple(place for alike in zip(*ways, strict=True) for place in alike)


def _ballast_places(parameters: Parameters, grid: float) -> tuple[BallastPlace, BallastPlace]:
    led = turned(parameters.led_patterns)
    resistor = parameters.resistor_part.pattern
    beside = units.up_to_step(resistor.courtyard.right_mm - led.left_mm, grid)
    over = units.up_to_step(
        led.top_mm - resistor.courtyard.bottom_mm, parameters.limits.aims.grid_mm
    )
    # The link leaves the ballast level and turns down onto the anode's centre line.
    anode = anode_x(parameters.led_patterns)
    back = units.up_to_step(resistor.land("2").x_mm - anode + grid / 2, grid)
    count = parameters.resistor.per_branch
    step = units.up_to_step(resistor.courtyard.right_mm - resistor.courtyard.left_mm, grid)
    return (
        BallastPlace(words="in line", along_mm=-beside, across_mm=0.0, bends=False,
                     count=count, step_mm=step),
        BallastPlace(words="between row and rail", along_mm=-back, across_mm=over, bends=True,
                     count=count, step_mm=step),
    )  # fmt: skip


def rail_widths(parameters: Parameters, circuit: Circuit) -> list[float]:
    """List widths for the rail, the wanted one first, then narrower ones for tight boards.

    Raises
    ------
    RefusalError
        When a rail was asked for that cannot leave the connector's pin.
    """
    most = _widest_rail(parameters)
    if most < parameters.limits.track_mm:
        raise RefusalError(
            Problem(
                what=f"no track of {parameters.limits.track_mm:g} mm leaves the pins of"
                f" {parameters.connector_part.name} with the limits that hold here",
                remedy="take another connector, or smaller limits",
                file=parameters.file,
                line=parameters.origin("connector.kind").line,
                path="connector.kind",
            )
        )
    wanted = circuit.rail.width_mm
    if parameters.copper.rail_mm is not None:
        least = parameters.limits.track_mm
        if wanted < least - FLOAT_MM:
            raise RefusalError(
                Problem(
                    what=f"a rail of {wanted:g} mm is narrower than this house etches",
                    offers=(Change(path="copper.rail", value=f'"{least:g} mm"'),),
                    file=parameters.file,
                    line=parameters.origin("copper.rail").line,
                    path="copper.rail",
                )
            )
        if wanted > most + FLOAT_MM:
            raise RefusalError(
                Problem(
                    what=f"a rail of {wanted:g} mm finds no room at the connector's pin",
                    offers=(Change(path="copper.rail", value=f'"{most:g} mm"'),),
                    file=parameters.file,
                    line=parameters.origin("copper.rail").line,
                    path="copper.rail",
                )
            )
        return [wanted]
    wanted = min(wanted, most)
    limits = parameters.limits
    least = max(limits.track_mm, limits.aims.track_mm, circuit.rail.heat_mm)
    steps = round((wanted - least) / _RAIL_STEP_MM)
    narrower = [round(wanted - step * _RAIL_STEP_MM, 6) for step in range(steps + 1)]
    return [width for width in narrower if width >= min(least, wanted)] or [wanted]


def _widest_rail(parameters: Parameters) -> float:
    """Tell how wide a rail may leave pin 1: clear of edge, pin 2 and, in copper, of its sign."""
    most = widest_feed_mm(parameters, edge_mm(parameters))
    if not parameters.printed:
        most = min(most, widest_feed_beside_mm(parameters))
    return units.down_to_step(most, _RAIL_STEP_MM)


_RAIL_STEP_MM = 0.1


def cathode_bar_mm(pattern: LandPattern, limits: Limits) -> float:
    """Tell how far from an LED's middle its printed bar stands: outside body and opening."""
    land = pattern.by_function("K")
    lands = abs(land.x_mm) + land.width_mm / 2 + limits.mask_expansion_mm
    edge = max(lands, pattern.body.right_mm) + limits.aims.legend_land_mm
    return edge + limits.aims.mark_stroke_mm / 2


def courtyard_excess_mm(pattern: LandPattern) -> float:
    """Tell how far a courtyard reaches beyond its lands, along the part."""
    return min(
        pattern.courtyard.right_mm - max(land.x_mm + land.width_mm / 2 for land in pattern.lands),
        min(land.x_mm - land.width_mm / 2 for land in pattern.lands) - pattern.courtyard.left_mm,
    )


def anode_x(leds: Sequence[LandPattern]) -> float:
    """Tell where the anode lies from the LED's centre, as LEDs are turned: the furthest back."""
    return min(-led.land("2").x_mm for led in leds)


def turned(leds: Sequence[LandPattern]) -> Extent:
    """Turn the LEDs' courtyards by half a turn, and take what holds them all."""
    boxes = [led.courtyard for led in leds]
    return Extent(
        left_mm=min(-box.right_mm for box in boxes),
        bottom_mm=min(-box.top_mm for box in boxes),
        right_mm=max(-box.left_mm for box in boxes),
        top_mm=max(-box.bottom_mm for box in boxes),
    )


def half_land(*patterns: LandPattern) -> float:
    """Tell how far the lands of chips reach across them from their middles."""
    return max(land.height_mm for pattern in patterns for land in pattern.lands) / 2

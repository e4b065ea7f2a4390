"""What the parts of a bar need around them: the numbers from which its measures follow.

Lengths along the bar count from an LED's centre; lengths across count towards the row's rail
("above") and away from it ("below").
"""

from dataclasses import dataclass, field

from boardgen import units
from boardgen.errors import Problem, RefusalError
from boardgen.model.circuit import Circuit
from boardgen.model.land_pattern import Extent, LandPattern
from boardgen.model.limits import Aims
from boardgen.model.parameters import Parameters

MARGIN_MM = 0.001
"""Layout keeps this much beyond every limit, so that rounding never breaks one."""

HAIR_MM = 1e-9
"""Float noise of millimetres."""

POUR_STRIP_MM = 0.5
"""What is left of the pour where it passes rails, so that the return stays whole."""

NAME_BOX_MM = (28.0, 6.0)
NAME_BOX_GAP_MM = 2.0

_LETTER_BOX = 1.15
"""A letter's box is its height and its stroke."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BallastPlace:
    """Where a ballast sits from the first LED of its branch; ``across_mm`` counts towards the rail.

    ``bends`` says whether the track to the LED has a corner.
    """

    words: str
    along_mm: float
    across_mm: float
    bends: bool


@dataclass
class Needs:
    """The needs of one way to place the ballasts, with one width of rail.

    ``misfits`` gathers the keys whose values are too small, with the least that would do.
    """

    parameters: Parameters
    circuit: Circuit
    ballast: BallastPlace
    rail: float
    misfits: dict[str, float] = field(default_factory=dict)

    @property
    def aims(self) -> Aims:
        """What is drawn unless asked otherwise."""
        return self.parameters.limits.aims

    @property
    def up(self) -> int:
        """1 when rails lie above their rows (wires from the left), -1 when below."""
        return 1 if self.parameters.connector.at == "left" else -1

    @property
    def edge(self) -> float:
        """How far copper keeps from the edge."""
        return edge_mm(self.parameters)

    @property
    def grid(self) -> float:
        """The grid for centres: metric, unless only the inch grid fits the pitch."""
        pitch = self.parameters.form.pitch_mm
        on_inch, on_metric = (
            abs(pitch / grid - round(pitch / grid)) < HAIR_MM
            for grid in (self.aims.inch_grid_mm, self.aims.grid_mm)
        )
        return self.aims.inch_grid_mm if on_inch and not on_metric else self.aims.grid_mm

    def up_grid(self, value: float) -> float:
        """Round up to the grid."""
        return units.up_to_step(value, self.grid)

    # -- parts ---------------------------------------------------------------------------------

    @property
    def led(self) -> Extent:
        """The LED's courtyard as it is turned."""
        return turned(self.parameters.led.pattern)

    @property
    def resistor(self) -> Extent:
        """The ballast's courtyard."""
        return self.parameters.resistor_part.pattern.courtyard

    @property
    def connector(self) -> Extent:
        """The connector's room: x inboard from the face, y along the face."""
        pattern = self.parameters.connector_part.pattern
        return Extent(
            left_mm=0.0,
            right_mm=pattern.courtyard.top_mm - pattern.body.bottom_mm,
            bottom_mm=pattern.courtyard.left_mm,
            top_mm=pattern.courtyard.right_mm,
        )

    @property
    def screw_room(self) -> float:
        """The circle that a screw needs."""
        return self.parameters.screw.room_mm

    @property
    def sign_room(self) -> float:
        """What + or − takes beside the connector."""
        return self.aims.sign_mm * _LETTER_BOX + self.aims.legend_part_mm

    @property
    def page_room(self) -> float:
        """What the page on the back should have along the board, if the length is free."""
        box = NAME_BOX_MM[0] + NAME_BOX_GAP_MM if self.parameters.legend.name_box else 0.0
        return self.aims.page_mm + box

    # -- along a row ---------------------------------------------------------------------------

    @property
    def left_of_led(self) -> float:
        """How far a branch reaches left of its first LED."""
        return max(-self.led.left_mm, -(self.ballast.along_mm + self.resistor.left_mm))

    @property
    def right_of_led(self) -> float:
        """How far a branch reaches right of an LED."""
        return max(self.led.right_mm, self.ballast.along_mm + self.resistor.right_mm)

    @property
    def link_room(self) -> float:
        """How far left of an LED its bent link and its gap reach."""
        return self.aims.track_mm / 2 + self.aims.pour_gap_mm - anode_x(self.parameters.led.pattern)

    # -- across a row --------------------------------------------------------------------------

    @property
    def lands_above(self) -> float:
        """How far the lands of a row reach towards its rail."""
        over = self.ballast.across_mm + half_land(self.parameters.resistor_part.pattern)
        return max(half_land(self.parameters.led.pattern), over)

    @property
    def lands_below(self) -> float:
        """How far the lands of a row reach away from its rail."""
        own = half_land(self.parameters.resistor_part.pattern) - self.ballast.across_mm
        return max(half_land(self.parameters.led.pattern), own)

    @property
    def parts_below(self) -> float:
        """How far the courtyards of a row reach away from its rail."""
        return max(-self.led.bottom_mm, -(self.resistor.bottom_mm + self.ballast.across_mm))

    @property
    def letters_below(self) -> float:
        """How far the letters of a row reach away from its rail."""
        letters = 2 * self.aims.legend_part_mm + self.aims.text_mm * _LETTER_BOX
        return self.parts_below + letters

    @property
    def letters_and_via_below(self) -> float:
        """How far the vias beyond the letters reach."""
        return self.letters_below + self.aims.via_land_mm + self.aims.legend_part_mm


def edge_mm(parameters: Parameters) -> float:
    """Tell how far copper keeps from the board's edge."""
    limits = parameters.limits
    return max(limits.aims.pour_edge_mm, limits.copper_edge_mm + MARGIN_MM)


def ballast_places(parameters: Parameters) -> tuple[BallastPlace, ...]:
    """List the ways to place a ballast, the preferred one first."""
    led = turned(parameters.led.pattern)
    resistor = parameters.resistor_part.pattern
    grid = parameters.limits.aims.grid_mm
    beside = units.up_to_step(resistor.courtyard.right_mm - led.left_mm, grid)
    over = units.up_to_step(led.top_mm - resistor.courtyard.bottom_mm, grid)
    # The link leaves the ballast level and turns down onto the anode's centre line.
    anode = anode_x(parameters.led.pattern)
    back = units.up_to_step(resistor.land("2").x_mm - anode + grid / 2, grid)
    return (
        BallastPlace(words="in line", along_mm=-beside, across_mm=0.0, bends=False),
        BallastPlace(words="between row and rail", along_mm=-back, across_mm=over, bends=True),
    )


def rail_widths(parameters: Parameters, circuit: Circuit) -> list[float]:
    """List widths for the rail, the wanted one first, then narrower ones for tight boards.

    Raises
    ------
    RefusalError
        When a rail was asked for that cannot leave the connector's pin.
    """
    most = _widest_rail(parameters)
    wanted = circuit.rail.width_mm
    if parameters.copper.rail_mm is not None:
        if wanted > most + HAIR_MM:
            raise RefusalError(
                Problem(
                    what=f"a rail of {wanted:g} mm finds no room at the connector's pin",
                    remedy=f'the widest that fits: rail = "{most:g} mm"',
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
    """Tell how wide a rail may leave pin 1: clear of the board's edge and of pin 2."""
    pattern, gap = parameters.connector_part.pattern, parameters.limits.aims.pour_gap_mm
    first, second = pattern.land("1"), pattern.land("2")
    to_edge = -pattern.body.bottom_mm - edge_mm(parameters)
    to_pin = abs(second.x_mm - first.x_mm) - second.width_mm / 2 - gap
    return units.down_to_step(2 * min(to_edge, to_pin), _RAIL_STEP_MM)


_RAIL_STEP_MM = 0.1


def anode_x(pattern: LandPattern) -> float:
    """Tell where the anode lies from the LED's centre, as the LED is turned."""
    return -pattern.land("2").x_mm


def turned(pattern: LandPattern) -> Extent:
    """Turn the LED's courtyard by half a turn."""
    box = pattern.courtyard
    return Extent(
        left_mm=-box.right_mm,
        bottom_mm=-box.top_mm,
        right_mm=-box.left_mm,
        top_mm=-box.bottom_mm,
    )


def half_land(pattern: LandPattern) -> float:
    """Tell how far a chip's lands reach across it from its middle."""
    return max(land.height_mm for land in pattern.lands) / 2

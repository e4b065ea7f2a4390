"""What rows of parts need around them: the numbers from which a bar's measures follow.

Closed forms, for rows are level and alike: they cost a twentieth of growing a measure until its
claims are clear, and a law holds every bar that follows from them against those same claims.
"""

from dataclasses import dataclass, field

from boardgen import units
from boardgen.forms.table import plan
from boardgen.layout.cell import (
    MARGIN_MM,
    Cell,
    anode_x,
    branch_track_mm,
    copper_bar_from_row_mm,
    edge_mm,
)
from boardgen.layout.inlet import InletPlaces, inlet, pin_one_is_up
from boardgen.layout.words import (
    COPPER_STRIP_MM,
    LINE_STEP_MM,
    NAME_BOX_GAP_MM,
    NAME_BOX_MM,
    CopperWords,
    copper_lines,
    copper_words,
)
from boardgen.model.circuit import Circuit
from boardgen.model.side import Side

_LETTER_BOX = 1.15
"""A letter's box is its height and its stroke."""


@dataclass
class Needs(Cell):
    """The needs of one way to place the ballasts, with one width of rail.

    ``misfits`` gathers the keys whose values are too small, with the least that would do.
    """

    circuit: Circuit
    rail: float
    more_lines: int = 0
    misfits: dict[str, float] = field(default_factory=dict)

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

    def up_grid(self, value: float) -> float:
        """Round up to the grid."""
        return units.up_to_step(value, self.grid)

    # -- parts ---------------------------------------------------------------------------------

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
        beside = self.parameters.parts.connector.pattern.courtyard.right_mm
        beyond = self.aims.legend_edge_mm
        if self.mounting == "corners" and self.at_end:
            beyond = max(beyond, self.corner_hole + self.screw_room / 2)
        return beside + self.sign_room + beyond

    @property
    def screw_room(self) -> float:
        """The circle that a screw needs."""
        return self.parameters.parts.screw.room_mm

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
            self.parameters.parts.screw.hole_mm / 2
            + self.parameters.parts.limits.hole_edge_mm
            + MARGIN_MM,
        )

    @property
    def band(self) -> float:
        """What the long edges are kept for: copper's distance, corner screws, a connector."""
        bands = [self.edge]
        probe = self.parameters.parts.probe.courtyard.top_mm - self.rail / 2
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
        box = self.parameters.parts.probe.courtyard
        # Beyond it the return pour has to pass, if the copper has one side only.
        return box.right_mm - box.left_mm + 2 * self.aims.pour_gap_mm + self.pour_strip

    # -- along a row ---------------------------------------------------------------------------

    @property
    def link_room(self) -> float:
        """How far left of an LED its bent link and its gap reach."""
        return (
            branch_track_mm(self.parameters) / 2
            + self.aims.pour_gap_mm
            - anode_x(self.parameters.parts.led_patterns)
        )

    # -- across a row --------------------------------------------------------------------------

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

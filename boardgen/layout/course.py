"""All measures of a board, decided, and where each thing of it comes to lie."""

from dataclasses import dataclass, replace

from boardgen.layout.cell import BallastPlace
from boardgen.layout.inlet import InletPlaces
from boardgen.model.board import Point, Track
from boardgen.model.circuit import Branch
from boardgen.model.plan import Sketch
from boardgen.model.pose import Pose
from boardgen.model.spine import Spine

_LED_TURN_DEG = 180.0
"""Cathode ahead: the current flows along the spine."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What follows a plan's spines: cells, rails, the supply's way in.

    Rails, ``rail_mm`` wide, lie ``rail_from_mm`` across their spines and begin at their ends
    where ``backwards``; ``trunk_mm`` along them is where those of several spines are joined.
    The inlet stands ``inset_mm`` further in than at a straight edge; vias between the pours lie
    ``via_from_mm`` across, on the side without rail, and so do bars in copper at cathodes,
    ``bar_from_mm``, where nothing is printed. Where a rail from end to end cuts a strip of the pour
    off, vias join it ``strip_from_mm`` across. ``probes`` are the test points of V+ and 0 V.
    ``lead_mm`` is how much further out the door lies than the plan's least. ``routes`` are the
    tracks that found their ways, where LEDs stand on lines of their own, and ``joints`` the
    vias there. Where ``split`` the other side's pour is the supply's, and ``risers`` are the vias
    up from it.
    """

    sketch: Sketch
    ballast: BallastPlace
    rail_mm: float
    rail_from_mm: float
    inlet: InletPlaces
    inlet_side: int
    inset_mm: float = 0.0
    lead_mm: float = 0.0
    backwards: bool = False
    trunk_mm: float = 0.0
    via_from_mm: float | None = None
    strip_from_mm: float | None = None
    bar_from_mm: float | None = None
    probes: tuple[Point, ...] = ()
    routes: tuple[Track, ...] | None = None
    joints: tuple[Point, ...] = ()
    split: bool = False
    risers: tuple[Point, ...] = ()

    @property
    def inwards_deg(self) -> float:
        """Which way the supply runs as it comes in."""
        return self.sketch.door.turn_deg

    def inlet_place(self, u_mm: float, v_mm: float) -> Point:
        """Carry a point of the inlet onto the board."""
        return self.sketch.door.place(u_mm + self.inset_mm, self.inlet_side * v_mm)

    def line(self, branch: Branch) -> int:
        """Tell on which spine a branch stands."""
        return self.sketch.sites[branch.first_site][0]

    def spine(self, branch: Branch) -> Spine:
        """Give the spine that a branch stands on."""
        return self.sketch.spines[self.line(branch)]

    def lone(self, line: int) -> bool:
        """Tell whether a single LED stands on a spine: its ballast then needs no rail."""
        return self.routes is not None and [at for at, _ in self.sketch.sites].count(line) == 1

    def apart(self, branch: Branch, place: int) -> bool:
        """Tell whether an LED of a branch stands on another spine than the one before it."""
        before, after = (self.sketch.sites[branch.first_site + at] for at in (place - 1, place))
        return before[0] != after[0]

    def led_pose(self, site: int) -> Pose:
        """Tell where an LED stands and how it is turned."""
        line, along = self.sketch.sites[site]
        at = self.sketch.spines[line].pose(along)
        return replace(at, turn_deg=at.turn_deg + _LED_TURN_DEG)

    def ballast_pose(self, branch: Branch, place: int) -> Pose:
        """Tell where a resistor of a branch stands, counted from the rail on."""
        behind = branch.kind.ballast.count - 1 - place
        along = self.ballast.along_mm - behind * self.ballast.step_mm
        line, first = self.sketch.sites[branch.first_site]
        return self.sketch.spines[line].pose(
            first + along, self.sketch.rail_side * self.ballast.across_mm
        )

    def on_rail(self, line: int, along_mm: float) -> Point:
        """Give the point of a spine's rail at a way along it."""
        across = self.sketch.rail_side * self.rail_from_mm
        return self.sketch.spines[line].place(along_mm, across)

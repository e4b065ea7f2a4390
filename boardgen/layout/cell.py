"""One branch's cell: where its ballasts stand from its LEDs, and how far it reaches.

Lengths along a row or spine count from an LED's centre; lengths across count towards the rail
("above") and away from it ("below").
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from boardgen import units
from boardgen.model.land_pattern import Extent, LandPattern
from boardgen.model.limits import Aims, Limits
from boardgen.model.parameters import Parameters
from boardgen.tolerances import FLOAT_MM

MARGIN_MM = 0.001
"""Layout keeps this much beyond every limit, so that rounding never breaks one."""

_POUR_STRIP_MM = 0.5
"""What is left of the pour where it passes rails, if it stays whole there."""


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
class Cell:
    """What the parts of a branch need around them, with one way to place its ballasts."""

    parameters: Parameters
    ballast: BallastPlace

    @property
    def aims(self) -> Aims:
        """What is drawn unless asked otherwise."""
        return self.parameters.parts.limits.aims

    @property
    def pour_strip(self) -> float:
        """How wide the pour must pass: no corner's rounding and no house's least width eats it."""
        least = max(2 * self.aims.pour_corner_mm, self.parameters.parts.limits.pour_width_mm)
        return max(_POUR_STRIP_MM, least + MARGIN_MM)

    @property
    def grid(self) -> float:
        """The grid for centres along the row."""
        return grid_mm(self.parameters)

    @property
    def led(self) -> Extent:
        """The LEDs' courtyard as they are turned, with room for a printed bar past the cathode."""
        box = turned(self.parameters.parts.led_patterns)
        if not self.parameters.printed:
            return box
        clear = self.parameters.parts.limits.mask_expansion_mm + self.aims.legend_land_mm
        leds = self.parameters.parts.led_patterns
        bar = max(cathode_bar_mm(led, self.parameters.parts.limits) for led in leds)
        # The next part's land lies behind its own courtyard's edge.
        patterns = (*leds, self.parameters.parts.resistor.pattern)
        behind = min(courtyard_excess_mm(pattern) for pattern in patterns)
        reach = bar + self.aims.mark_stroke_mm / 2 + clear - behind
        return replace(box, right_mm=max(box.right_mm, reach))

    @property
    def resistor(self) -> Extent:
        """The ballast's courtyard."""
        return self.parameters.parts.resistor.pattern.courtyard

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
        bars = (copper_bar_mm(led, self.aims) for led in self.parameters.parts.led_patterns)
        end = max(far for _, far in bars) + self.aims.mark_stroke_mm / 2
        return max(chips, end + self.aims.pour_gap_mm)

    @property
    def led_half(self) -> float:
        """How far the LED's lands reach across the row."""
        return half_land(*self.parameters.parts.led_patterns)

    @property
    def lands_above(self) -> float:
        """How far the lands of a row reach towards its rail."""
        over = self.ballast.across_mm + half_land(self.parameters.parts.resistor.pattern)
        return max(self.led_half, over)

    @property
    def lands_below(self) -> float:
        """How far the lands of a row reach away from its rail."""
        own = half_land(self.parameters.parts.resistor.pattern) - self.ballast.across_mm
        return max(self.led_half, own)

    @property
    def parts_below(self) -> float:
        """How far the courtyards of a row reach away from its rail."""
        return max(-self.led.bottom_mm, -(self.resistor.bottom_mm + self.ballast.across_mm))


def branch_track_mm(parameters: Parameters) -> float:
    """Tell the width of branch tracks: as wanted, but none that its round end leads off a land."""
    patterns = (*parameters.parts.led_patterns, parameters.parts.resistor.pattern)
    lands = [land for pattern in patterns for land in pattern.lands]
    room = min(min(land.width_mm, land.height_mm) for land in lands)
    limits = parameters.parts.limits
    return max(limits.track_mm, min(limits.aims.track_mm, units.down_to_step(room, 0.05)))


def copper_bar_mm(pattern: LandPattern, aims: Aims) -> tuple[float, float]:
    """Tell from where to where a cathode's bar in copper runs, outwards from the LED's middle.

    It leaves land K's spoke its way, and is as long as the body is wide.
    """
    beside_spoke = (aims.chip_spoke_mm + aims.mark_stroke_mm) / 2 + aims.pour_gap_mm
    start = abs(pattern.by_function("K").x_mm) + beside_spoke + aims.pour_corner_mm
    # At an angle its ends lie on the grid: none may come out shorter than the body is wide.
    return (start, start + pattern.body.top_mm - pattern.body.bottom_mm + MARGIN_MM)


_BAR_REACH_MM, _SIDEWAYS = 2.9, 1.7
"""No further than this from the cathode's land, nor further across than so many times as it lies
ahead: a bar has to be seen beside it, and to be nearer to it by half the distance of both lands, so
not more than 60 degrees aside (the tangent is 1.73)."""


def furthest_copper_bar_mm(pattern: LandPattern, aims: Aims) -> float:
    """Tell how far across from its LED's middle line a cathode's bar in copper says something."""
    land, (start, end) = pattern.by_function("K"), copper_bar_mm(pattern, aims)
    half = aims.mark_stroke_mm / 2
    ahead = start - half - abs(land.x_mm) - land.width_mm / 2
    across = math.sqrt(max(_BAR_REACH_MM**2 - ahead**2, 0.0)) + half + land.height_mm / 2
    return min(across, _SIDEWAYS * (start + end) / 2)


def copper_bar_from_row_mm(parameters: Parameters) -> float:
    """Tell how far from its row a cathode's bar in copper runs: beside all lands of the row."""
    aims = parameters.parts.limits.aims
    lands = half_land(*parameters.parts.led_patterns, parameters.parts.resistor.pattern)
    return lands + aims.pour_gap_mm + aims.mark_stroke_mm / 2


def edge_mm(parameters: Parameters) -> float:
    """Tell how far copper keeps from the board's edge."""
    limits = parameters.parts.limits
    return max(limits.aims.pour_edge_mm, limits.copper_edge_mm + MARGIN_MM)


def grid_mm(parameters: Parameters) -> float:
    """Choose the grid for centres along the row: metric, unless only inches fit the pitch."""
    pitch, aims = parameters.form.pitch_mm, parameters.parts.limits.aims
    on_inch, on_metric = (
        abs(pitch / grid - round(pitch / grid)) < FLOAT_MM
        for grid in (aims.inch_grid_mm, aims.grid_mm)
    )
    return aims.inch_grid_mm if on_inch and not on_metric else aims.grid_mm


def ballast_places(parameters: Parameters) -> tuple[BallastPlace, ...]:
    """List the ways to place a ballast, the preferred one first.

    Where the row's grid of inches leaves no room, the finer metric one may.
    """
    grids = dict.fromkeys((grid_mm(parameters), parameters.parts.limits.aims.grid_mm))
    ways = [_ballast_places(parameters, grid) for grid in grids]
    return tuple(place for alike in zip(*ways, strict=True) for place in alike)


def _ballast_places(parameters: Parameters, grid: float) -> tuple[BallastPlace, BallastPlace]:
    led = turned(parameters.parts.led_patterns)
    resistor = parameters.parts.resistor.pattern
    beside = units.up_to_step(resistor.courtyard.right_mm - led.left_mm, grid)
    over = units.up_to_step(
        led.top_mm - resistor.courtyard.bottom_mm, parameters.parts.limits.aims.grid_mm
    )
    # The link leaves the ballast level and turns down onto the anode's centre line.
    anode = anode_x(parameters.parts.led_patterns)
    back = units.up_to_step(resistor.land("2").x_mm - anode + grid / 2, grid)
    count = parameters.resistor.per_branch
    step = units.up_to_step(resistor.courtyard.right_mm - resistor.courtyard.left_mm, grid)
    return (
        BallastPlace(words="in line", along_mm=-beside, across_mm=0.0, bends=False,
                     count=count, step_mm=step),
        BallastPlace(words="between row and rail", along_mm=-back, across_mm=over, bends=True,
                     count=count, step_mm=step),
    )  # fmt: skip


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

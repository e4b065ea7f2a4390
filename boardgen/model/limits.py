"""What a board house can make, and what boardgen draws unless asked otherwise."""

from dataclasses import dataclass, replace
from typing import Annotated

from boardgen.model.fields import Quantity, Switch, Whole, angle, celsius, length, share, volts
from boardgen.tolerances import CHORD_MM
from boardgen.units import up_to_step

HEAVY_COPPER_UM = 50.0
"""From here on houses ask for wider tracks and gaps: common practice, no source."""

SIZE_TOLERANCE_MM = 0.01
"""How well the profile's size agrees with the one that is ordered: common practice, no source."""


def _far(help_text: str) -> Quantity:
    return length(help_text, 0.0, 100.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Aims:
    """What layout and artwork draw; never below the house's limits."""

    track_mm: Annotated[float, _far("branch tracks")]
    rail_mm: Annotated[float, _far("supply rail")]
    pour_gap_mm: Annotated[float, _far("pour to other copper")]
    pour_edge_mm: Annotated[float, _far("pour to the board's edge")]
    pour_hole_mm: Annotated[float, _far("pour to unplated holes")]
    pour_corner_mm: Annotated[float, _far("radius of the pour's corners")]
    hole_relief_gap_mm: Annotated[float, _far("relief around through-hole lands")]
    hole_spoke_mm: Annotated[float, _far("spokes of through-hole lands")]
    chip_relief_gap_mm: Annotated[float, _far("relief around surface lands")]
    chip_spoke_mm: Annotated[float, _far("spokes of surface lands")]
    via_hole_mm: Annotated[float, _far("holes that join the sides")]
    via_land_mm: Annotated[float, _far("lands of those holes")]
    ring_unplated_mm: Annotated[float, _far("ring around a soldered unplated hole")]
    test_land_mm: Annotated[float, _far("round lands for probes")]
    part_edge_mm: Annotated[float, _far("courtyards to the edge")]
    screw_edge_mm: Annotated[float, _far("a screw's room to the edge")]
    corner_mm: Annotated[float, _far("radius of the board's corners")]
    grid_mm: Annotated[float, _far("grid of centres")]
    inch_grid_mm: Annotated[float, _far("grid of centres for pitches in inches")]
    text_mm: Annotated[float, _far("height of letters")]
    title_mm: Annotated[float, _far("height of the title")]
    sign_mm: Annotated[float, _far("height of + and -")]
    page_mm: Annotated[float, _far("length that the page on the back should find")]
    text_stroke_share: Annotated[float, share("stroke of a letter as a share of its height")]
    mark_stroke_mm: Annotated[float, _far("bar at the cathode")]
    legend_stroke_mm: Annotated[float, _far("lines of bodies")]
    legend_part_mm: Annotated[float, _far("letters to parts")]
    legend_land_mm: Annotated[float, _far("letters to lands")]
    legend_edge_mm: Annotated[float, _far("letters to the edge")]
    profile_pen_mm: Annotated[float, _far("pen of the outline")]
    rail_spread: Annotated[float, share("current lost along the rail")]
    paste_share: Annotated[float, share("stencil opening as a share of the land")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """One house's limits and the program's own margins; checks hold no number of their own."""

    house: str
    source: str
    aims: Aims
    plated: Annotated[bool, Switch(help="whether holes are plated")]
    track_mm: Annotated[float, _far("narrowest track")]
    gap_mm: Annotated[float, _far("narrowest gap between nets")]
    track_heavy_mm: Annotated[float, _far("narrowest track in copper from 50 um")]
    gap_heavy_mm: Annotated[float, _far("narrowest gap in copper from 50 um")]
    ring_mm: Annotated[float, _far("narrowest ring around a plated hole")]
    ring_unplated_mm: Annotated[float, _far("narrowest ring around a soldered unplated hole")]
    hole_mm: Annotated[float, _far("smallest hole")]
    hole_most_mm: Annotated[float, _far("largest hole that is drilled; larger ones are milled")]
    hole_aspect: Annotated[int, Whole(help="most of thickness over hole", minimum=1, maximum=30)]
    hole_hole_mm: Annotated[float, _far("between holes, edge to edge")]
    hole_copper_mm: Annotated[float, _far("from an unplated hole to copper")]
    copper_edge_mm: Annotated[float, _far("from copper to the board's edge")]
    hole_edge_mm: Annotated[float, _far("from a hole to the board's edge")]
    router_mm: Annotated[float, _far("cutter that mills the outline")]
    mask_expansion_mm: Annotated[float, _far("mask opening beyond its land")]
    mask_web_green_mm: Annotated[float, _far("narrowest web of green mask")]
    mask_web_other_mm: Annotated[float, _far("narrowest web of other masks")]
    pour_width_mm: Annotated[float, _far("narrowest piece of a pour")]
    legend_stroke_mm: Annotated[float, _far("thinnest printed line")]
    legend_height_mm: Annotated[float, _far("smallest printed letter")]
    legend_land_mm: Annotated[float, _far("from print to a land's opening")]
    legend_edge_mm: Annotated[float, _far("from print to the board's edge")]
    stencil_mm: Annotated[float, _far("thickness of the stencil")]
    paste_area: Annotated[float, share("stencil opening over its walls, least", 0.0, 10.0)]
    paste_aspect: Annotated[float, share("stencil opening over its thickness, least", 0.0, 10.0)]
    acute_deg: Annotated[float, angle("sharpest bend of a track", 0.0, 180.0)]
    entry_mm: Annotated[float, _far("free way in front of a wire entry")]
    shade_share: Annotated[float, share("connector's height over its distance to an LED", 0, 10)]
    spokes: Annotated[int, Whole(help="fewest spokes of a relieved land", minimum=1, maximum=4)]
    led_share: Annotated[float, share("of an LED's greatest current")]
    resistor_share: Annotated[float, share("of a resistor's derated power")]
    connector_share: Annotated[float, share("of a connector's rating")]
    supply_share: Annotated[float, share("of a cell's greatest continuous current")]
    fuse_drop_v: Annotated[float, volts("most that a fuse may take from the supply", 0.0, 10.0)]
    headroom_v: Annotated[float, volts("least voltage left for the ballast", 0.0, 10.0)]
    hold_degc: Annotated[float, celsius("warmest board that can be held", 30.0, 100.0)]
    board_warm_degc: Annotated[float, celsius("warmest board without a warning", 30.0, 130.0)]
    board_most_degc: Annotated[float, celsius("warmest board at all", 30.0, 150.0)]
    touch_v: Annotated[float, volts("highest supply without a warning", 1.0, 60.0)]
    rail_share: Annotated[float, share("of the current that the last branch may lack")]
    heat_share: Annotated[float, share("difference of copper leaving a small chip's two ends")]
    mark_nearer_mm: Annotated[float, _far("how much nearer a mark is to its own land")]

    def mask_web_mm(self, colour: str) -> float:
        """Tell the narrowest web of mask that holds, which depends on the colour."""
        return self.mask_web_green_mm if colour == "green" else self.mask_web_other_mm


def fitted(
    limits: Limits,
    weight_um: float,
    *,
    thickness_mm: float = 0.0,
    spacing_mm: float = 0.0,
    copper_letters: bool = False,
) -> Limits:
    """Adapt limits to copper, thickness and voltage, and raise every aim that lies below its limit.

    ``spacing_mm`` is what the voltage asks for between any copper of two nets; thick boards want
    holes that can be plated through. Letters in copper are as tall as their stroke, a track, makes
    them.
    """
    limits = replace(limits, gap_mm=max(limits.gap_mm, spacing_mm))
    if weight_um >= HEAVY_COPPER_UM:
        limits = replace(
            limits,
            track_mm=max(limits.track_mm, limits.track_heavy_mm),
            gap_mm=max(limits.gap_mm, limits.gap_heavy_mm),
        )
    aims, track, gap = limits.aims, limits.track_mm, limits.gap_mm + CHORD_MM
    stroke = track if copper_letters else limits.legend_stroke_mm
    hole = max(limits.hole_mm, up_to_step(thickness_mm / limits.hole_aspect, 0.05))
    letter = max(limits.legend_height_mm, stroke / aims.text_stroke_share if copper_letters else 0)
    return replace(
        limits,
        aims=replace(
            aims,
            # Two spokes at a chip's one end carry away the heat that the track does at the other.
            track_mm=max(aims.track_mm, track, 2 * max(aims.chip_spoke_mm, track)),
            rail_mm=max(aims.rail_mm, track),
            hole_spoke_mm=max(aims.hole_spoke_mm, track),
            chip_spoke_mm=max(aims.chip_spoke_mm, track),
            pour_gap_mm=max(aims.pour_gap_mm, gap),
            hole_relief_gap_mm=max(aims.hole_relief_gap_mm, gap),
            chip_relief_gap_mm=max(aims.chip_relief_gap_mm, gap),
            pour_edge_mm=max(aims.pour_edge_mm, limits.copper_edge_mm),
            pour_hole_mm=max(aims.pour_hole_mm, limits.hole_copper_mm + CHORD_MM),
            pour_corner_mm=max(aims.pour_corner_mm, limits.pour_width_mm / 2),
            via_hole_mm=max(aims.via_hole_mm, hole),
            via_land_mm=max(aims.via_land_mm, max(aims.via_hole_mm, hole) + 2 * limits.ring_mm),
            ring_unplated_mm=max(aims.ring_unplated_mm, limits.ring_unplated_mm),
            text_mm=max(aims.text_mm, letter),
            title_mm=max(aims.title_mm, letter),
            sign_mm=max(aims.sign_mm, letter),
            legend_stroke_mm=max(aims.legend_stroke_mm, stroke),
            mark_stroke_mm=max(aims.mark_stroke_mm, stroke),
            legend_land_mm=max(aims.legend_land_mm, limits.legend_land_mm),
            legend_edge_mm=max(aims.legend_edge_mm, limits.legend_edge_mm),
        ),
    )

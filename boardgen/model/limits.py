"""What a board house can make, and what boardgen draws unless asked otherwise."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Aims:
    """What layout and artwork draw; never below the house's limits."""

    track_mm: float
    rail_mm: float
    pour_gap_mm: float
    pour_edge_mm: float
    pour_corner_mm: float
    hole_relief_gap_mm: float
    hole_spoke_mm: float
    chip_relief_gap_mm: float
    chip_spoke_mm: float
    via_hole_mm: float
    via_land_mm: float
    part_edge_mm: float
    screw_edge_mm: float
    corner_mm: float
    grid_mm: float
    inch_grid_mm: float
    text_mm: float
    title_mm: float
    sign_mm: float
    page_mm: float
    text_stroke_share: float
    mark_stroke_mm: float
    legend_stroke_mm: float
    legend_part_mm: float
    legend_land_mm: float
    legend_edge_mm: float
    profile_pen_mm: float
    rail_spread: float
    paste_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """One house's limits and the program's own margins; checks hold no number of their own."""

    house: str
    source: str
    track_mm: float
    gap_mm: float
    ring_mm: float
    hole_mm: float
    hole_hole_mm: float
    copper_edge_mm: float
    hole_edge_mm: float
    mask_expansion_mm: float
    mask_web_green_mm: float
    mask_web_other_mm: float
    pour_width_mm: float
    legend_stroke_mm: float
    legend_height_mm: float
    legend_land_mm: float
    spokes: int
    led_share: float
    resistor_share: float
    connector_share: float
    headroom_v: float
    touch_v: float
    rail_share: float
    mark_nearer_mm: float
    aims: Aims

    def mask_web_mm(self, colour: str) -> float:
        """Tell the narrowest web of mask that holds, which depends on the colour."""
        return self.mask_web_green_mm if colour == "green" else self.mask_web_other_mm

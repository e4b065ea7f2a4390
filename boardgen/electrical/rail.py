"""How wide the supply rail has to be: for heat, and for an even light along the bar."""

from boardgen import units
from boardgen.forms.table import plan
from boardgen.model.circuit import BranchKind, Rail
from boardgen.model.parameters import Parameters
from boardgen.standards import copper, track_width


def rail(parameters: Parameters, kind: BranchKind, branches_in_row: int, worst_a: float) -> Rail:
    """Size the rail.

    Heat by `standards.track_width`; drop by the sum over equal sections, i·r·N(N+1)/2, which may
    cost the last branch the house's share of its headroom (docs/sources.md, rails).
    """
    aims, weight = parameters.limits.aims, parameters.copper.weight_um
    heat = track_width.width_mm(worst_a, parameters.copper.rise_k, weight)
    headroom = kind.nominal.supply_v - kind.nominal.vf_v
    section = copper.track_resistance_ohm(plan(parameters).pitch_mm * kind.leds, 1.0, weight)
    sections = branches_in_row * (branches_in_row + 1) / 2
    drop = kind.nominal.current_a * section * sections / (aims.rail_spread * headroom)
    if parameters.copper.rail_mm is not None:
        width, reason = parameters.copper.rail_mm, "asked for"
    else:
        width = units.up_to_step(max(aims.rail_mm, heat, drop), 0.1)
        reason = max(
            ((aims.rail_mm, "the usual width"), (heat, "heat"), (drop, "an even light")),
            key=lambda pair: pair[0],
        )[1]
    return Rail(current_a=worst_a, heat_mm=heat, drop_mm=drop, width_mm=width, reason=reason)

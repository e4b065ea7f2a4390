"""How wide the supply rail has to be: for heat, and for an even light along the bar."""

from collections.abc import Sequence

from boardgen import units
from boardgen.forms.table import plan
from boardgen.model.circuit import BranchKind, Rail
from boardgen.model.parameters import Parameters
from boardgen.standards import copper, track_width


def rail(parameters: Parameters, rows: Sequence[tuple[BranchKind, int]], worst_a: float) -> Rail:
    """Size the rail.

    Heat by `standards.track_width`; drop by the sum over equal sections, i·r·N(N+1)/2, which may
    cost the last branch the house's share of its headroom (docs/sources.md, rails).

    Parameters
    ----------
    rows : sequence of (kind, branches)
        The full branches of each channel, and how many of them its longest row holds.
    """
    aims, weight = parameters.parts.limits.aims, parameters.copper.weight_um
    heat = track_width.width_mm(worst_a, parameters.copper.rise_k, weight)
    drop, (kind, sections) = max(
        ((_drop_mm(parameters, *row), row) for row in rows), key=lambda pair: pair[0]
    )
    if parameters.copper.rail_mm is not None:
        width, reason = parameters.copper.rail_mm, "asked for"
    else:
        width = units.up_to_step(max(aims.rail_mm, heat, drop), 0.1)
        reason = max(
            ((aims.rail_mm, "the usual width"), (heat, "heat"), (drop, "an even light")),
            key=lambda pair: pair[0],
        )[1]
    return Rail(
        current_a=worst_a, heat_mm=heat, drop_mm=drop, kind=kind, sections=sections,
        width_mm=width, reason=reason,
    )  # fmt: skip


def _drop_mm(parameters: Parameters, kind: BranchKind, sections: int) -> float:
    """Find the width at which equal sections cost the last branch no more than it may."""
    planned, weight = plan(parameters), parameters.copper.weight_um
    pitch = planned.pitch_mm * planned.stretch
    section = copper.track_resistance_ohm(pitch * kind.leds, 1.0, weight)
    lost = kind.nominal.current_a * section * sections * (sections + 1) / 2
    headroom = kind.nominal.supply_v - kind.nominal.vf_v
    return lost / (parameters.parts.limits.aims.rail_spread * headroom)

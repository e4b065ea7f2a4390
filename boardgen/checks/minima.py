"""The smallest distances that are really there."""

from boardgen import units
from boardgen.checks.copper import metal_of, pour_net, pour_of
from boardgen.geometry.measuring import near_pairs, near_region
from boardgen.model.design import Design

_FURTHEST_MM = 10.0


def smallest_gap_mm(design: Design) -> float | None:
    """Measure the smallest gap between copper of two nets on one side; None when there is none.

    Looks ever further until something is found, so that most boards are done after one look.
    """
    reach = 2 * design.limits.gap_mm
    while reach < _FURTHEST_MM:
        gaps = list(_gaps(design, units.snap(reach)))
        if gaps:
            return min(gaps) / units.NM_PER_MM
        reach *= 2
    return None


def _gaps(design: Design, within_nm: int) -> list[float]:
    found = []
    for layer in design.artwork.coppers():
        metal = metal_of(layer)
        shapes = [item.shape for item in metal]
        found += [
            gap
            for one, other, gap in near_pairs(shapes, shapes, within_nm)
            if metal[one].net != metal[other].net
        ]
        foreign = [item.shape for item in metal if item.net != pour_net(layer)]
        found += [gap for _, gap in near_region(pour_of(layer), foreign, within_nm)]
    return found

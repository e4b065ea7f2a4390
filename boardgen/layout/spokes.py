"""Spokes of the connector's 0 V lands: as wide as the supply's current asks for."""

from boardgen.layout.signs import widest_spoke_beside_mm
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters
from boardgen.standards import track_width
from boardgen.units import up_to_step

_STEP_MM = 0.05


def lead_spoke_mm(parameters: Parameters, circuit: Circuit, *, split: bool = False) -> float:
    """Choose a width of which the fewest spokes allowed, on all sides of a net, carry the current.

    None is wider than its land, and beside a sign in copper they leave it its place. Source of the
    width: IPC-2221 curve fit, see `standards.track_width`.
    """
    limits, copper = parameters.parts.limits, parameters.copper
    usual = limits.aims.hole_spoke_mm
    if copper.relief == "none":
        return usual
    lands = parameters.parts.connector.pattern.lands
    poles = sum(land.function == "-" for land in lands)
    needed = track_width.width_mm(circuit.worst_a / poles, copper.rise_k, copper.weight_um)
    sides = 1 if split else len(parameters.sides)
    each = up_to_step(needed / limits.spokes / sides, _STEP_MM)
    most = lands[0].width_mm
    if not parameters.printed:
        most = min(most, widest_spoke_beside_mm(parameters))
    return max(usual, min(each, most))

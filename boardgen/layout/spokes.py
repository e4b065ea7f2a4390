"""Spokes of the connector's 0 V lands: as wide as the supply's current asks for."""

from dataclasses import replace

from boardgen.layout.signs import widest_spoke_beside_mm
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters
from boardgen.standards import track_width
from boardgen.units import up_to_step

_STEP_MM = 0.05


def with_spokes_for(parameters: Parameters, circuit: Circuit) -> Parameters:
    """Aim at spokes of which the fewest allowed carry the current, none wider than its land.

    Beside a sign in copper they leave it its place.

    Source of the width: IPC-2221 curve fit, see `standards.track_width`.
    """
    limits, copper = parameters.limits, parameters.copper
    lands = parameters.connector_part.pattern.lands
    poles = sum(land.function == "-" for land in lands)
    needed = track_width.width_mm(circuit.worst_a / poles, copper.rise_k, copper.weight_um)
    most = lands[0].width_mm
    if not parameters.printed:
        most = min(most, widest_spoke_beside_mm(parameters))
    each = min(up_to_step(needed / limits.spokes, _STEP_MM), most)
    aims = replace(limits.aims, hole_spoke_mm=max(limits.aims.hole_spoke_mm, each))
    return replace(parameters, limits=replace(limits, aims=aims))

"""How wide the supply rail may be: as wanted, or narrower where the board is tight."""

from boardgen import units
from boardgen.errors import Change, RefusalError
from boardgen.layout.cell import edge_mm
from boardgen.layout.inlet import widest_feed_mm
from boardgen.layout.signs import widest_feed_beside_mm
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters
from boardgen.tolerances import FLOAT_MM

_RAIL_STEP_MM = 0.1


def rail_widths(parameters: Parameters, circuit: Circuit) -> list[float]:
    """List widths for the rail, the wanted one first, then narrower ones for tight boards.

    Raises
    ------
    RefusalError
        When a rail was asked for that cannot leave the connector's pin.
    """
    most = _widest_rail(parameters)
    if most < parameters.parts.limits.track_mm:
        raise RefusalError(
            parameters.problem(
                "connector.kind",
                what=f"no track of {parameters.parts.limits.track_mm:g} mm leaves the pins of"
                f" {parameters.parts.connector.name} with the limits that hold here",
                remedy="take another connector, or smaller limits",
            )
        )
    wanted = circuit.rail.width_mm
    if parameters.copper.rail_mm is not None:
        least = parameters.parts.limits.track_mm
        if wanted < least - FLOAT_MM:
            raise RefusalError(
                parameters.problem(
                    "copper.rail",
                    what=f"a rail of {wanted:g} mm is narrower than this house etches",
                    offers=(Change(path="copper.rail", value=f'"{least:g} mm"'),),
                )
            )
        if wanted > most + FLOAT_MM:
            raise RefusalError(
                parameters.problem(
                    "copper.rail",
                    what=f"a rail of {wanted:g} mm finds no room at the connector's pin",
                    offers=(Change(path="copper.rail", value=f'"{most:g} mm"'),),
                )
            )
        return [wanted]
    wanted = min(wanted, most)
    limits = parameters.parts.limits
    least = max(limits.track_mm, limits.aims.track_mm, circuit.rail.heat_mm)
    steps = round((wanted - least) / _RAIL_STEP_MM)
    narrower = [round(wanted - step * _RAIL_STEP_MM, 6) for step in range(steps + 1)]
    return [width for width in narrower if width >= min(least, wanted)] or [wanted]


def _widest_rail(parameters: Parameters) -> float:
    """Tell how wide a rail may leave pin 1: clear of edge, pin 2 and, in copper, of its sign."""
    most = widest_feed_mm(parameters, edge_mm(parameters))
    if not parameters.printed:
        most = min(most, widest_feed_beside_mm(parameters))
    return units.down_to_step(most, _RAIL_STEP_MM)

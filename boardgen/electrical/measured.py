"""What a board ought to draw at a supply that was measured."""

from boardgen.electrical.leds import bins, cold, settled
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters
from boardgen.standards.diode import REFERENCE_DEGC


def current_at(
    parameters: Parameters, circuit: Circuit, supply_v: float
) -> tuple[float, float, float]:
    """Find the least, nominal and greatest current of the whole board at a supply voltage.

    The corners are those of the circuit, with this supply instead of its range.
    """
    led, curves, board = parameters.led, bins(parameters.led), parameters.board
    least_v, usual_v, most_v = (supply_v - drop for drop in circuit.feed.drop_v)
    found = [0.0, 0.0, 0.0]
    for branch in circuit.branches:
        kind, leds = branch.kind, branch.kind.leds
        states = (
            cold(curves.most, led, most_v, leds, kind.low.resistance_ohm, board.ambient_low_degc),
            cold(curves.typical, led, usual_v, leds, kind.nominal.resistance_ohm, REFERENCE_DEGC),
            settled(curves.least, led, least_v, leds, kind.high.resistance_ohm, board.ambient_degc),
        )
        found = [total + float(state.current_a) for total, state in zip(found, states, strict=True)]
    return found[0], found[1], found[2]

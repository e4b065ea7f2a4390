"""What a board ought to draw at a supply that was measured."""

from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters


def current_at(
    parameters: Parameters, circuit: Circuit, supply_v: float
) -> tuple[float, float, float]:
    """Find the least, nominal and greatest current of the whole board at a supply voltage.

    Fixed forward voltages: I = (Vs - S·Vf) / R, with the highest, typical and lowest Vf, and R at
    the upper end, the middle and the lower end of its tolerance.
    """
    vf, spread = parameters.led.data.vf, parameters.resistor.tolerance
    corners = ((vf.max_v, 1 + spread), (vf.typical_v, 1.0), (vf.min_v, 1 - spread))
    least, nominal, greatest = (
        sum(
            max(0.0, supply_v - branch.kind.leds * volts) / (branch.kind.ballast.value_ohm * factor)
            for branch in circuit.branches
        )
        for volts, factor in corners
    )
    return least, nominal, greatest

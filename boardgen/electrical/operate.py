"""What the board will do on its real rails: reported after it is drawn, never fed back."""

from collections.abc import Sequence

import numpy as np

from boardgen.electrical.leds import bins
from boardgen.electrical.light import illumination
from boardgen.electrical.measured import expected
from boardgen.electrical.network import Flow
from boardgen.electrical.rails import rails
from boardgen.electrical.runtime import run_time
from boardgen.electrical.sampling import sample
from boardgen.model.artwork import Layer
from boardgen.model.board import Board
from boardgen.model.circuit import Circuit
from boardgen.model.operation import Operation, Power
from boardgen.model.parameters import Parameters

_MM2_PER_CM2 = 100.0


def operate(
    parameters: Parameters, circuit: Circuit, board: Board, coppers: Sequence[Layer]
) -> Operation:
    """Report currents along the rails as drawn, power, samples, run time, light.

    Parameters
    ----------
    coppers : sequence of Layer
        The copper layers of the board.
    """
    solved, flows = rails(parameters, circuit, board, coppers)
    power = _power(parameters, circuit, flows)
    worst = circuit.supply.high_v * circuit.worst_a
    area_cm2 = board.outline.area_mm2 / _MM2_PER_CM2
    built = parameters.built
    return Operation(
        rails=solved,
        power=power,
        worst_power_w=worst,
        worst_w_per_cm2=worst / circuit.boards / area_cm2,
        efficiency=power.leds_w / power.supply_w if power.supply_w else 0.0,
        connector_worst_w=2 * parameters.parts.connector.contact_ohm * circuit.worst_a**2,
        sampling=sample(parameters, circuit),
        run_time=run_time(parameters, circuit),
        illumination=illumination(parameters, circuit, board),
        bench=expected(parameters, circuit, circuit.supply.nominal_v),
        expected=expected(parameters, circuit, built.supply_v) if built else None,
    )


def _power(parameters: Parameters, circuit: Circuit, flows: Sequence[Flow]) -> Power:
    """Sum up where the nominal power goes on all boards, each part from its own law.

    What is lost in the ways includes what soldered joints lose.
    """
    joint = parameters.parts.joint
    ohms = np.array([branch.kind.nominal.resistance_ohm for branch in circuit.branches])
    leds_w = ballasts_w = rails_w = total = 0.0
    for flow in flows:
        current, passed = np.split(flow.current_a, [len(circuit.branches)])
        lit_v = np.empty_like(current)
        for kind in circuit.kinds:
            places = circuit.places(kind)
            lit_v[places] = kind.leds * bins(kind.led).typical.voltage_v(current[places])
        leds_w += float((lit_v * current).sum())
        ballasts_w += float((current**2 * ohms).sum())
        rails_w += flow.loss_w
        if joint:
            rails_w += float(2 * joint.contact_ohm * (passed**2).sum())
        total += float(current.sum())
    return Power(
        supply_w=circuit.supply.nominal_v * total,
        leds_w=leds_w,
        ballasts_w=ballasts_w,
        guards_w=(circuit.supply.nominal_v - circuit.feed.nominal_v) * total,
        rails_w=rails_w,
    )

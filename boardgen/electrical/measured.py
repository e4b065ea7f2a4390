"""What a meter ought to show on a board: its current, volts and ohms of its ballasts."""

from dataclasses import replace

from boardgen.electrical.cooling import balance_degc
from boardgen.electrical.leds import bins, cold, settled
from boardgen.electrical.supply_at_rail import supply_at_rail
from boardgen.model.circuit import BranchKind, Circuit
from boardgen.model.operation import Band, Expected
from boardgen.model.parameters import Parameters
from boardgen.standards.diode import REFERENCE_DEGC, Diode

METER_SHARE = 0.02
METER_LEAST = {"V": 0.01, "A": 1e-5, "ohm": 0.2}
"""What a hand-held meter may read off, either way: a share, and in its last digits: own choice."""


def expected(parameters: Parameters, circuit: Circuit, supply_v: float) -> Expected:
    """Find what to measure at a supply voltage: the board's current, the ballasts' volts and ohms.

    The corners are those of the circuit, with this supply instead of its range, and what the meter
    itself may be off. Boards that are joined are measured each by itself before.

    Parameters
    ----------
    supply_v : float
        The supply at the connector.

    Returns
    -------
    Expected
        Its ballasts in the order of the branches.
    """
    circuit = _by_itself(parameters, circuit)
    warm = _warm_degc(circuit, supply_v)
    amps = {kind.of: _current(parameters, circuit, kind, supply_v, warm)
            for kind in circuit.kinds}  # fmt: skip
    volts = {kind.of: _ballast(parameters, circuit, kind, supply_v, warm)
             for kind in circuit.kinds}  # fmt: skip
    lit = {kind.of: _led(parameters, circuit, kind, supply_v, warm) for kind in circuit.kinds}
    each = [amps[branch.kind.of] for branch in circuit.branches]
    supply = circuit.supply
    return Expected(
        at_v=supply_v,
        supply_v=_by_meter("V", supply.low_v, supply.nominal_v, supply.high_v),
        board_a=_by_meter(
            "A",
            sum(band.low for band in each),
            sum(band.nominal for band in each),
            sum(band.high for band in each),
        ),
        ballasts_v=tuple(volts[branch.kind.of] for branch in circuit.branches),
        resistors_ohm=tuple(_whole_ohm(parameters, branch.kind) for branch in circuit.branches),
        leds_v=tuple(lit[branch.kind.of] for branch in circuit.branches),
    )


def _by_itself(parameters: Parameters, circuit: Circuit) -> Circuit:
    """Take a board out of its chain: its own guards, if it has any, pass its own current alone."""
    if circuit.boards == 1:
        return circuit
    asked_a = sum(len(channel.branches) * channel.current_a for channel in circuit.channels)
    alone = replace(parameters, joint=replace(parameters.joint, boards=1))
    if parameters.fed_by_another:
        alone = alone.with_parts(fuse=None, reverse=None)
    return replace(circuit, feed=supply_at_rail(alone, asked_a))


def _by_meter(unit: str, low: float, nominal: float, high: float) -> Band:
    """Widen a band by what a meter may read off: what it cannot tell from nothing is nothing."""
    least = METER_LEAST[unit]
    low, high = low * (1 - METER_SHARE), high * (1 + METER_SHARE)
    return Band(low=low if low > least else 0.0, nominal=nominal, high=max(high, least))


def _whole_ohm(parameters: Parameters, kind: BranchKind) -> Band:
    """Find what a whole ballast measures; no current finds another way around it."""
    ohms, share = kind.ballast.value_ohm * kind.ballast.count, parameters.resistor.tolerance
    return _by_meter("ohm", ohms * (1 - share), ohms, ohms * (1 + share))


def _warm_degc(circuit: Circuit, supply_v: float) -> float:
    """Find how warm the board gets in the warmest air at this supply."""
    least_v = supply_v - circuit.feed.drop_v[0]
    every = [(kind, bins(kind.led).least, len(circuit.places(kind))) for kind in circuit.kinds]

    def heat_w(degc: float) -> float:
        def amps(kind: BranchKind, least: Diode) -> float:
            ohms = kind.high.resistance_ohm
            return float(settled(least, kind.led, least_v, kind.leds, ohms, degc).current_a)

        return supply_v * sum(number * amps(kind, least) for kind, least, number in every)

    return balance_degc(circuit.warmth.air_degc, circuit.warmth.cooling.k_per_w, heat_w)


def _current(
    parameters: Parameters, circuit: Circuit, kind: BranchKind, supply_v: float, warm_degc: float
) -> Band:
    led, curves, leds = kind.led, bins(kind.led), kind.leds
    least_v, usual_v, most_v = (supply_v - drop for drop in circuit.feed.drop_v)
    coldest = parameters.board.ambient_low_degc
    low = cold(curves.most, led, most_v, leds, kind.low.resistance_ohm, coldest)
    usual = cold(curves.typical, led, usual_v, leds, kind.nominal.resistance_ohm, REFERENCE_DEGC)
    high = settled(curves.least, led, least_v, leds, kind.high.resistance_ohm, warm_degc)
    return Band(low=float(low.current_a), nominal=float(usual.current_a),
                high=float(high.current_a))  # fmt: skip


def _ballast(
    parameters: Parameters, circuit: Circuit, kind: BranchKind, supply_v: float, warm_degc: float
) -> Band:
    """Find the volts across a whole ballast: a higher value takes more of them."""
    led, curves, leds = kind.led, bins(kind.led), kind.leds
    least_v, usual_v, most_v = (supply_v - drop for drop in circuit.feed.drop_v)
    coldest = parameters.board.ambient_low_degc
    most, usual, least = (corner.resistance_ohm for corner in (kind.low, kind.nominal, kind.high))
    low = cold(curves.most, led, most_v, leds, least, coldest).current_a * least
    middle = cold(curves.typical, led, usual_v, leds, usual, REFERENCE_DEGC).current_a * usual
    high = settled(curves.least, led, least_v, leds, most, warm_degc).current_a * most
    return _by_meter("V", float(low), float(middle), float(high))


def _led(
    parameters: Parameters, circuit: Circuit, kind: BranchKind, supply_v: float, warm_degc: float
) -> Band:
    """Find the volts across one LED: least when warm and dim, most when cold and bright."""
    led, curves, leds = kind.led, bins(kind.led), kind.leds
    least_v, usual_v, most_v = (supply_v - drop for drop in circuit.feed.drop_v)
    coldest = parameters.board.ambient_low_degc
    most, usual, least = (corner.resistance_ohm for corner in (kind.low, kind.nominal, kind.high))
    low = settled(curves.least, led, most_v, leds, most, warm_degc).vf_v
    middle = cold(curves.typical, led, usual_v, leds, usual, REFERENCE_DEGC).vf_v
    high = cold(curves.most, led, least_v, leds, least, coldest).vf_v
    return _by_meter("V", float(low), float(middle), float(high))

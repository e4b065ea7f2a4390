"""The sums as steps that a learner can redo with a pocket calculator.

Nothing is computed here twice: every number shown is the one that the circuit uses.
"""

from boardgen import units
from boardgen.electrical.measured import current_at
from boardgen.model.circuit import BranchKind, Circuit
from boardgen.model.explanation import Step
from boardgen.model.parameters import Parameters


def explain(parameters: Parameters, circuit: Circuit) -> tuple[Step, ...]:
    """List the steps from the supply to the rail, in the order in which they follow."""
    steps = [*_supply_steps(parameters, circuit)]
    for kind in circuit.kinds:
        steps += _kind_steps(parameters, circuit, kind)
    return (*steps, *_total_steps(parameters, circuit), *_built_steps(parameters, circuit))


def _amps(value: float) -> str:
    return units.engineering(value, "A")


def _supply_steps(parameters: Parameters, circuit: Circuit) -> list[Step]:
    supply = circuit.supply
    origin = str(parameters.origin("light.current"))
    return [
        Step(
            key="supply_nominal_v",
            title="supply",
            formula="lowest / nominal / highest",
            numbers=supply.name,
            value=supply.nominal_v,
            result=f"{supply.low_v:g} / {supply.nominal_v:g} / {supply.high_v:g} V",
            source=supply.source,
        ),
        Step(
            key="branch_current_wanted_a",
            title="current wanted in a branch",
            formula="as asked for, or by use",
            numbers=f"use {parameters.light.use}" if parameters.light.use else "",
            value=circuit.current_a,
            result=_amps(circuit.current_a),
            source=origin,
        ),
        Step(
            key="leds_in_series",
            title="LEDs in series",
            formula="(lowest supply - headroom) / highest forward voltage, rounded down",
            numbers=circuit.in_series_reason,
            value=circuit.in_series,
            result=str(circuit.in_series),
            source="headroom: house limits, common practice",
        ),
        Step(
            key="branches",
            title="branches",
            formula="LEDs / LEDs in series; what is left makes a shorter branch",
            numbers=f"{parameters.light.count} LEDs in {parameters.form.rows} row(s)",
            value=len(circuit.branches),
            result=", ".join(_branch_words(circuit, kind) for kind in circuit.kinds),
        ),
    ]


def _branch_words(circuit: Circuit, kind: BranchKind) -> str:
    count = sum(branch.kind is kind for branch in circuit.branches)
    return f"{count} of {kind.leds} LED{'s' if kind.leds > 1 else ''}"


def _kind_steps(parameters: Parameters, circuit: Circuit, kind: BranchKind) -> list[Step]:
    return [
        *_value_steps(parameters, circuit, kind),
        *(
            _corner_step(kind, name)
            for name in ("low", "nominal", "high")
        ),
        *_heat_steps(parameters, kind),
    ]  # fmt: skip


def _value_steps(parameters: Parameters, circuit: Circuit, kind: BranchKind) -> list[Step]:
    nominal, ballast, vf = kind.nominal, kind.ballast, parameters.led.data.vf
    return [
        Step(
            key="ballast_wanted_ohm",
            title=f"ballast wanted for a branch of {kind.leds}",
            formula="R = (Vs - S * Vf) / I",
            numbers=f"({nominal.supply_v:g} V - {kind.leds} * {vf.typical_v:g} V)"
            f" / {_amps(circuit.current_a)}",
            value=ballast.wanted_ohm,
            result=f"{ballast.wanted_ohm:.1f} ohm",
            source="Ohm's law; forward voltage: " + parameters.led.data.source,
        ),
        Step(
            key="ballast_ohm",
            title="ballast taken",
            formula=ballast.choice,
            numbers=f"{ballast.wanted_ohm:.1f} ohm wanted",
            value=ballast.value_ohm,
            result=f"{units.resistance(ballast.value_ohm)}"
            f" +-{parameters.resistor.tolerance * 100:g} %",
            source="IEC 60063" if not parameters.resistor.drawer else "parameter file",
        ),
        Step(
            key="headroom_lowest_v",
            title="headroom at the lowest supply and the highest forward voltage",
            formula="Vs,low - S * Vf,max",
            numbers=f"{kind.low.supply_v:g} V - {kind.leds} * {vf.max_v:g} V",
            value=kind.headroom_low_v,
            result=f"{kind.headroom_low_v:.2f} V",
            limit=f"at least {parameters.limits.headroom_v:g} V",
            margin=f"{kind.headroom_low_v - parameters.limits.headroom_v:+.2f} V",
            source="common practice, no source",
        ),
    ]


def _corner_step(kind: BranchKind, name: str) -> Step:
    corner = {"low": kind.low, "nominal": kind.nominal, "high": kind.high}[name]
    return Step(
        key=f"current_{corner.name}_a",
        title=f"{corner.name} current of a branch of {kind.leds}",
        formula="I = (Vs - S * Vf) / R, not below 0",
        numbers=f"({corner.supply_v:g} V - {corner.vf_v:g} V) / {corner.resistance_ohm:g} ohm",
        value=corner.current_a,
        result=_amps(corner.current_a),
        source="fixed forward voltage, which errs towards more current at the high corner",
    )


def _heat_steps(parameters: Parameters, kind: BranchKind) -> list[Step]:
    ballast, high, limits = kind.ballast, kind.high, parameters.limits
    most = parameters.led.data.max_current_a
    rating_source = str(parameters.origin("resistor.rating"))
    return [
        Step(
            key="led_current_share",
            title="LED at the highest current",
            formula="I,high / I,max",
            numbers=f"{_amps(high.current_a)} / {_amps(most)}",
            value=high.current_a / most,
            result=f"{high.current_a / most:.0%}",
            limit=f"{limits.led_share:.0%} wanted, 100 % at most",
            margin=f"{limits.led_share - high.current_a / most:+.0%}",
            source=parameters.led.data.source,
        ),
        Step(
            key="ballast_heat_w",
            title="heat in the ballast at the highest current",
            formula="P = I^2 * R",
            numbers=f"{_amps(high.current_a)}^2 * {high.resistance_ohm:g} ohm",
            value=ballast.worst_w,
            result=units.engineering(ballast.worst_w, "W"),
            limit=f"{limits.resistor_share:.0%} of {units.engineering(ballast.derated_w, 'W')}"
            f" ({units.engineering(ballast.rating_w, 'W')} at 70 degC, derated for"
            f" {parameters.board.ambient_degc:g} degC)",
            margin=units.engineering(
                limits.resistor_share * ballast.derated_w - ballast.worst_w, "W"
            ),
            source=f"derating: IEC 60115-8 practice; rating: {rating_source}",
        ),
    ]


def _total_steps(parameters: Parameters, circuit: Circuit) -> list[Step]:
    rail, rating = circuit.rail, parameters.connector_part.rating_a
    limits = parameters.limits
    return [
        Step(
            key="board_current_nominal_a",
            title="current of the board at nominal",
            formula="sum of the branches",
            numbers=f"{len(circuit.branches)} branches",
            value=circuit.nominal_a,
            result=_amps(circuit.nominal_a),
        ),
        Step(
            key="board_current_highest_a",
            title="highest current of the board",
            formula="sum of the branches at the high corner",
            numbers=f"{len(circuit.branches)} branches",
            value=circuit.worst_a,
            result=_amps(circuit.worst_a),
            limit=f"{limits.connector_share:.0%} of {rating:g} A, the connector's rating",
            margin=_amps(limits.connector_share * rating - circuit.worst_a),
            source="connector: own table, typical",
        ),
        Step(
            key="rail_for_heat_mm",
            title="rail width for heat",
            formula="A = (I / (0.048 * dT^0.44))^(1/0.725) mil^2; width = A / thickness",
            numbers=f"{_amps(rail.current_a)}, {parameters.copper.rise_k:g} K,"
            f" {parameters.copper.weight_um:g} um",
            value=rail.heat_mm,
            result=units.length(rail.heat_mm),
            source="IPC-2221 curve fit, read in secondary pages",
        ),
        Step(
            key="rail_for_drop_mm",
            title="rail width for an even light",
            formula="i * r * N * (N + 1) / 2 <= share * headroom",
            numbers=f"share {limits.aims.rail_spread:.0%}, copper 0.01724 ohm mm2/m",
            value=rail.drop_mm,
            result=units.length(rail.drop_mm),
            source="equal sections fed from one end; copper: IEC 60028, from memory",
        ),
        Step(
            key="rail_mm",
            title="rail width wanted",
            formula="the greatest of usual width, heat and drop; or as asked for",
            numbers=rail.reason,
            value=rail.width_mm,
            result=units.length(rail.width_mm),
        ),
    ]


def _built_steps(parameters: Parameters, circuit: Circuit) -> list[Step]:
    """Show what was measured on the first article against what it ought to be."""
    built = parameters.built
    if built is None:
        return []
    low, nominal, high = current_at(parameters, circuit, built.supply_v)
    return [
        Step(
            key="measured_current_a",
            title="measured on the first article",
            formula="sum over branches of (Vs - S * Vf) / R, at the measured supply",
            numbers=f"{built.supply_v:g} V on {built.date}"
            + (f" by {built.by}" if built.by else ""),
            value=built.current_a,
            result=_amps(built.current_a),
            limit=f"{_amps(low)} to {_amps(high)}, nominal {_amps(nominal)}",
            margin=f"{built.current_a / nominal - 1:+.0%} of nominal" if nominal else "",
            source="parameter file, [built]",
        )
    ]

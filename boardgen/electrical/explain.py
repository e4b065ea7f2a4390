"""The sums as steps that a learner can redo with a pocket calculator.

Nothing is computed here twice: every number shown is the one that circuit and operation use.
"""

from boardgen import units
from boardgen.electrical.explain_board import board_steps, operation_steps, warmth_steps
from boardgen.electrical.explain_branch import kind_steps, led_steps
from boardgen.forms.table import plan
from boardgen.model.circuit import DARK_SHARE, Arrangement, BranchKind, Channel, Circuit
from boardgen.model.explanation import Step
from boardgen.model.operation import Operation
from boardgen.model.parameters import Parameters
from boardgen.model.parts import Emitter, Guard
from boardgen.standards.photometry import candela_per_ampere


def explain(
    parameters: Parameters, circuit: Circuit, operation: Operation | None = None
) -> tuple[Step, ...]:
    """List the steps from the supply to the light, in the order in which they follow.

    Without ``operation``, when no board could be laid out, the steps end with the circuit.
    """
    steps = [
        *_supply_steps(parameters, circuit),
        *(step for channel in circuit.channels for step in led_steps(channel)),
        *_arrangement_steps(parameters, circuit),
    ]
    if circuit.warmth.cooling.k_per_w:
        steps += warmth_steps(parameters, circuit)
    for kind in circuit.kinds:
        steps += kind_steps(parameters, circuit, kind)
    steps += board_steps(parameters, circuit)
    if operation:
        steps += operation_steps(parameters, circuit, operation)
    return tuple(steps)


def _supply_steps(parameters: Parameters, circuit: Circuit) -> list[Step]:
    supply = circuit.supply
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
        *_feed_steps(parameters, circuit),
        *(_current_step(parameters, emitter) for emitter in parameters.parts.emitters),
    ]


def _feed_steps(parameters: Parameters, circuit: Circuit) -> list[Step]:
    """Show what guards in the supply line leave of it, when there are any."""
    feed, guards = circuit.feed, parameters.parts.guards
    if not guards:
        return []
    least, usual, most = feed.drop_v
    parts = " + ".join(
        f"{guard.drop_v[1]:g} V + {guard.resistance_ohm[1]:g} ohm * {_asked_in_all(circuit)}"
        for guard in guards
    )
    return [
        Step(
            key="guards_drop_nominal_v",
            title="usual drop of the guards in the line",
            formula="sum of (drop + resistance * board current asked for)",
            numbers=parts,
            value=usual,
            result=f"{usual:.4g} V, {least:.4g} to {most:.4g} V",
            source="own table, shaky: " + "; ".join(map(_guard_words, guards)),
        ),
        Step(
            key="rail_nominal_v",
            title="supply at the rail",
            formula="nominal - usual drop; lowest - greatest drop; highest - least drop",
            numbers=f"{circuit.supply.nominal_v:g} V - {usual:.5g} V",
            value=feed.nominal_v,
            result=f"{feed.low_v:.4g} / {feed.nominal_v:.4g} / {feed.high_v:.4g} V",
        ),
    ]


def _asked_in_all(circuit: Circuit) -> str:
    """Write the board's current asked for as a sum over channels."""
    parts = [
        f"{len(channel.branches)} * {units.engineering(channel.current_a, 'A', 4)}"
        for channel in circuit.channels
    ]
    return parts[0] if len(parts) == 1 else f"({' + '.join(parts)})"


def _guard_words(guard: Guard) -> str:
    drop = " / ".join(f"{volts:g}" for volts in guard.drop_v)
    ohms = " / ".join(f"{value:g}" for value in guard.resistance_ohm)
    parts = [f"{drop} V" if any(guard.drop_v) else "", f"{ohms} ohm" * any(guard.resistance_ohm)]
    return f"{guard.name} {' and '.join(filter(None, parts))}"


def _current_step(parameters: Parameters, emitter: Emitter) -> Step:
    origin, alike = str(parameters.origin("light.current")), emitter.alike
    formula, numbers = "as asked for, or by use", ""
    if parameters.light.use:
        numbers = f"use {parameters.light.use}"
    if alike:
        named, own = (candela_per_ampere(led.data) for led in (alike, emitter.led))
        formula = (
            f"current of {alike.name} * its candela per ampere / this LED's; an estimate: light is"
            " taken as proportional to current; trim it by eye"
        )
        current = units.engineering(emitter.current_a * own / named, "A", 5)
        numbers = f"{current} * {named:.5g} / {own:.5g}"
    return Step(
        key="branch_current_wanted_a",
        subject=emitter.name,
        title="current wanted in a branch",
        formula=formula,
        numbers=numbers,
        value=emitter.current_a,
        result=units.engineering(emitter.current_a, "A"),
        source=origin,
    )


def _arrangement_steps(parameters: Parameters, circuit: Circuit) -> list[Step]:
    return [
        *(step for channel in circuit.channels for step in _series_steps(parameters, channel)),
        Step(
            key="branches",
            title="branches",
            formula="LEDs / LEDs in series; what is left makes a shorter branch",
            numbers=_on_lines(parameters),
            value=len(circuit.branches),
            result=", ".join(_branch_words(circuit, kind) for kind in circuit.kinds),
        ),
    ]


def _series_steps(parameters: Parameters, channel: Channel) -> list[Step]:
    """Show the ways of a channel, and which was taken."""
    return [
        *(_way_step(way, place, channel) for place, way in enumerate(channel.arrangements, 1)),
        Step(
            key="leds_in_series",
            subject=channel.name,
            title="LEDs in series",
            formula="the first of these ways; or as asked for",
            numbers=channel.in_series_reason,
            value=channel.in_series,
            result=str(channel.in_series),
            limit=f"headroom at least {parameters.parts.limits.headroom_v:g} V",
            source="headroom: house limits, common practice",
        ),
    ]


def _way_step(way: Arrangement, place: int, channel: Channel) -> Step:
    left = f", {way.leftover} left over in a shorter branch of each row" if way.leftover else ""
    against = f"; against it: {', '.join(way.faults)}" if way.faults else ""
    dark = way.low_a < DARK_SHARE * way.nominal_a
    spread = "down to dark" if dark else f"{way.spread:.2f} : 1"
    low, nominal, high = (
        units.engineering(amps, "A") for amps in (way.low_a, way.nominal_a, way.high_a)
    )
    return Step(
        key="arrangement_spread",
        subject=f"{way.in_series} {channel.name} in series".replace("  ", " "),
        title=f"way {place}",
        formula="highest current / lowest current; places by steadiness, efficiency, number"
        " of resistors, equal branches",
        numbers=f"{low} / {nominal} / {high}",
        value=way.spread,
        result=f"{way.branches} branch{'es' * (way.branches > 1)}{left}; spread {spread},"
        f" efficiency {way.efficiency:.0%}, {way.resistors} resistors; places"
        f" {', '.join(map(str, way.ranks))}{against}",
    )


def _branch_words(circuit: Circuit, kind: BranchKind) -> str:
    return f"{len(circuit.places(kind))} of {kind.of} LED{'s' if kind.leds > 1 else ''}"


def _on_lines(parameters: Parameters) -> str:
    """Tell on how many lines the LEDs stand, which no branch leaves."""
    planned, count = plan(parameters), parameters.light.count
    chains = len(planned.chains)
    if planned.scattered and chains == 1:
        return f"{count} LEDs, each at a place of its own"
    if planned.spared:
        return f"{count} LEDs in {chains} runs, screws between them"
    if chains == 1:
        return f"{count} LEDs in one line"
    return f"{count} LEDs in {chains} {'lines' if planned.sketch else 'rows'}"

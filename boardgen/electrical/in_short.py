"""A board in six lines: what, how bright, how long, which resistor, what current, what first."""

from boardgen import units
from boardgen.electrical.measured import expected
from boardgen.model.circuit import BranchKind, Channel, Circuit
from boardgen.model.operation import Operation
from boardgen.model.outline import Outline
from boardgen.model.parameters import Parameters


def in_short(
    parameters: Parameters,
    circuit: Circuit,
    operation: Operation | None,
    outline: Outline | None = None,
) -> tuple[tuple[str, str], ...]:
    """Tell a board in six lines, as pairs of a word and a sentence.

    Parameters
    ----------
    operation : Operation, optional
        Without it, when no board could be laid out, light and time are not known.
    outline : Outline, optional
        The board's edge, whose size is told.
    """
    return (
        ("what it is", _what(circuit, outline)),
        ("how bright", _how_bright(parameters, operation) + " each board" * (circuit.boards > 1)),
        ("how long", _how_long(circuit, operation)),
        ("resistor", "; ".join(_resistor(parameters, circuit, kind) for kind in circuit.kinds)),
        ("current", _current(circuit)),
        ("measure first", _measure(parameters, circuit)),
    )


def _what(circuit: Circuit, outline: Outline | None) -> str:
    size = f"; {outline.length_mm:g} x {outline.width_mm:g} mm" if outline else ""
    return (
        f"{' and '.join(map(_lit_by, circuit.channels))} on {circuit.supply.name}"
        f" ({circuit.supply.low_v:g} to {circuit.supply.high_v:g} V){size}"
    )


def _lit_by(channel: Channel) -> str:
    branches = len(channel.branches)
    each = f"{channel.in_series} in series" if channel.in_series > 1 else "each by itself"
    return (
        f"{sum(len(branch.leds) for branch in channel.branches)} LEDs {channel.led.name}, {each},"
        f" in {branches} branch{'es' * (branches > 1)}"
    )


def _how_bright(parameters: Parameters, operation: Operation | None) -> str:
    light = operation.illumination if operation else None
    if light is None:
        return "not known: the LED does not say how bright it is" if operation else "not known"
    least = parameters.parts.use_least
    below = ""
    if least and light.use_lx is not None:
        below = f", {units.figures(light.use_lx)} lx at {least.at_mm:g} mm below the middle"
    return f"about {units.figures(light.flux_lm)} lm{below}, an estimate"


def _how_long(circuit: Circuit, operation: Operation | None) -> str:
    if not circuit.supply.runs_down:
        return "as long as the supply is on"
    life = operation.run_time if operation else None
    if life is None:
        return "not known"
    if not life.hours:
        return f"not at all: {life.ends_by} at once"
    left = f"{life.left:.0%} of the charge is left"
    return f"about {units.figures(life.hours)} h, then {life.ends_by}; {left}"


def _resistor(parameters: Parameters, circuit: Circuit, kind: BranchKind) -> str:
    ballast = kind.ballast
    number = len(circuit.places(kind)) * ballast.count
    of = f" for branches of {kind.of}" if len(circuit.kinds) > 1 else ""
    return (
        f"{number} x {units.resistance(ballast.value_ohm)}, size {parameters.resistor.size}{of};"
        f" up to {units.engineering(ballast.worst_w, 'W', 2)} of"
        f" {units.engineering(ballast.derated_w, 'W', 3)} each"
    )


def _current(circuit: Circuit) -> str:
    return (
        f"{', '.join(_each_branch(circuit, channel.kinds[0]) for channel in circuit.channels)}"
        f" over the whole supply; {circuit.whole}"
        f" {units.engineering(circuit.nominal_a, 'A', 2)}, at most"
        f" {units.at_most_amps(circuit.worst_a)}"
    )


def _each_branch(circuit: Circuit, kind: BranchKind) -> str:
    """Tell what flows in each branch; of several channels, in whose."""
    low, usual, high = (
        units.engineering(corner.current_a, "A", 2)
        for corner in (kind.low, kind.nominal, kind.high)
    )
    whose = f"{kind.channel} branch" if len(circuit.channels) > 1 else "branch"
    return f"usually {usual} in each {whose}, from {low} to {high}"


def _measure(parameters: Parameters, circuit: Circuit) -> str:
    supply_v = circuit.supply.nominal_v
    bands = dict.fromkeys(expected(parameters, circuit, supply_v).ballasts_v)
    volts = " or ".join(
        f"{units.engineering(band.low, 'V', 2)} to {units.engineering(band.high, 'V', 2)}"
        for band in bands
    )
    count = parameters.resistor.per_branch
    across = "each ballast" if count == 1 else f"the {count} resistors of a branch together"
    return (
        f"at {supply_v:g} V the volts across {across}: {volts}; none at all means a turned LED"
        " or a dry joint"
    )

"""Rules on the supply: what it can give, what it may be touched with, which way round it is."""

from collections.abc import Iterable

from boardgen import units
from boardgen.checks import verdicts
from boardgen.checks.electrical import ballasts_of
from boardgen.checks.finding import report
from boardgen.errors import Change
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.parts import STRONG_A, STRONG_VA, SupplyKind
from boardgen.standards.resettable_fuse import opens_a


def current_supply(design: Design) -> Iterable[Finding]:
    """The supply gives more current than it can for long.

    Why it matters
        A coin cell's voltage falls within minutes, and with it the light; other supplies switch off
        or get hot.
    How it is measured
        Sum of all branches against the supply's greatest continuous current: of a coin cell at the
        nominal supply, else at the highest corner.
    How to mend it
        Less current, fewer LEDs, or a stronger supply.
    """
    limits = design.limits
    most = design.parameters.parts.supply.max_current_a
    drawn = verdicts.supply_drawn_a(design.parameters, design.circuit)
    if most is not None and verdicts.supply_drained(design.parameters, design.circuit):
        share = limits.supply_share
        drawn_text, may = units.apart(drawn, share * most, "A")
        gives = f"{may} for long" if share == 1 else (
            f"{units.engineering(most, 'A')} for long; {may} of it may be drawn"
        )  # fmt: skip
        yield report(
            message=f"{design.circuit.draws} {drawn_text} from"
            f" {design.parameters.parts.supply.name}, which gives {gives}{_more_usb(design, most)}",
            actual=drawn_text,
            limit=f"{may} for long",
            subjects=("V+",),
            path="light.current",
        )


def _more_usb(design: Design, most_a: float) -> str:
    """Tell what a port gives that was asked, or a charger."""
    supply = design.parameters.parts.supply
    if supply.kind is not SupplyKind.USB or max(most_a, design.circuit.worst_a) >= _ASKED_A:
        return ""
    return (
        "; a charger gives more, and so does a port that was asked: if yours is one, write from ="
        ' "usb 5 V 500 mA"'
    )


_ASKED_A = 0.5
"""What a USB 2.0 port owes a device that asked, read in a secondary page."""


def supply_touch(design: Design) -> Iterable[Finding]:
    """The supply reaches a voltage that is no longer harmless everywhere.

    Why it matters
        Above 30 V DC, damp hands and bare lands are a shock hazard.
    How it is measured
        Highest supply voltage.
    How to mend it
        A lower supply; else let a qualified person judge where the board is used.
    """
    limits = design.limits
    if design.parameters.parts.supply.high_v > limits.touch_v:
        yield report(
            message="the supply is above what may be touched everywhere",
            actual=f"{design.parameters.parts.supply.high_v:g} V",
            limit=f"{limits.touch_v:g} V DC",
            subjects=("V+",),
            path="supply",
        )


def supply_fuse(design: Design) -> Iterable[Finding]:
    """A strong source feeds the board without a fuse.

    Why it matters
        A short on the board lets such a source heat tracks and wires until something burns.
    How it is measured
        A lithium-ion cell, or more than 8 A or 100 VA into a short, and no ``protection.fuse``.
    How to mend it
        A resettable fuse; the wires before it want one of their own, near the source.
    """
    supply = design.parameters.parts.supply
    if verdicts.unfused(design.parameters):
        delivers = (
            f", which may drive {units.figures(supply.delivers_a, 3)} A into a short"
            if supply.delivers_a
            else "; nobody says what it drives into a short (supply.delivers): it counts as strong"
        )
        yield report(
            message=f"the board hangs on {supply.name} without a fuse{delivers}",
            actual="no fuse",
            limit=f"a fuse for sources of {STRONG_A:g} A or {STRONG_VA:g} VA and more, and Li-ion",
            subjects=("V+",),
            path="protection.fuse",
        )


def fuse_trips(design: Design) -> Iterable[Finding]:
    """The fuse may open although nothing is wrong.

    Why it matters
        A resettable fuse that trips in the warmth makes the light go dim for no visible reason.
    How it is measured
        Sum of all branches at the highest corner against what the fuse holds at the warmest
        ambient.
    How to mend it
        The next larger fuse, or less current.
    """
    fuse, worst = design.parameters.parts.fuse, design.circuit.worst_a
    if fuse and verdicts.fuse_trips(design.parameters, design.circuit):
        draws, holds = units.apart(worst, verdicts.holds_a(design.circuit, fuse), "A")
        yield report(
            message=f"{design.circuit.draws} {draws} at worst; the fuse holds {holds} at"
            f" {design.circuit.warmth.board_degc:.0f} degC",
            actual=draws,
            limit=holds,
            subjects=design.circuit.inlet.guards[:1],
            path="protection.fuse",
        )


def fuse_never(design: Design) -> Iterable[Finding]:
    """The source may not drive what the fuse needs to open.

    Why it matters
        Such a fuse protects nothing: a short stays fed for as long as the source lasts.
    How it is measured
        Twice what a resettable fuse holds, at which it opens for certain, more in the coldest air,
        against what the source drives into a short. Where nobody says that, what the fuse holds
        against what the source owes: a source that gives no more than that never opens it.
    How to mend it
        A smaller fuse, or a source that can open this one.
    """
    fuse, supply = design.parameters.parts.fuse, design.parameters.parts.supply
    if not fuse or not verdicts.fuse_never(design.parameters):
        return
    if supply.delivers_a is not None:
        coldest = design.parameters.board.ambient_low_degc
        opens, gives = units.apart(opens_a(fuse.rating_a, coldest), supply.delivers_a, "A")
        message = (
            f"the fuse can never open: at {coldest:g} degC it wants {opens} to open for certain,"
            f" and {supply.name} drives {gives} into a short at most"
        )
    else:
        opens, gives = units.apart(fuse.rating_a, supply.max_current_a or 0.0, "A")
        message = (
            f"the fuse may never open: it lets {opens} pass for ever, and {supply.name} need not"
            f" drive more than {gives} into a short (nobody says what it does: supply.delivers)"
        )
    yield report(
        message=message,
        actual=opens,
        limit=gives,
        subjects=design.circuit.inlet.guards[:1],
        path="protection.fuse",
    )


def fuse_drop(design: Design) -> Iterable[Finding]:
    """The fuse takes much of the supply.

    Why it matters
        Small resettable fuses resist several ohms: the light dims, and more so on flat cells.
    How it is measured
        Nominal current of the board times the fuse's greatest resistance.
    How to mend it
        A fuse that holds more and resists less, as long as the source can open it.
    """
    limits = design.limits
    fuse, circuit = design.parameters.parts.fuse, design.circuit
    if fuse and verdicts.fuse_takes(design.parameters, circuit):
        taken = verdicts.fuse_drop_v(fuse, circuit)
        yield report(
            message=f"{fuse.name} takes up to {units.engineering(taken, 'V')} from the supply",
            actual=units.engineering(taken, "V"),
            limit=f"{limits.fuse_drop_v:g} V",
            subjects=design.circuit.inlet.guards[:1],
            path="protection.fuse",
        )


def gate_low(design: Design) -> Iterable[Finding]:
    """The transistor against reversal may not open on the lowest supply.

    Why it matters
        Half open it gets hot, and the light fades early.
    How it is measured
        Lowest voltage at the rail, behind the fuse, against what the gate needs.
    How to mend it
        A Schottky diode, a fuse of less resistance, or a higher supply.
    """
    guard, low_v = design.parameters.parts.reverse, design.circuit.feed.low_v
    if guard and guard.gate_v and verdicts.gate_starved(design.parameters, design.circuit):
        yield report(
            message=f"the {guard.name} transistor's gate gets {low_v:.2f} V on the lowest supply",
            actual=f"{low_v:.2f} V",
            limit=f"at least {guard.gate_v[0]:g} V",
            subjects=design.circuit.inlet.guards[-1:],
            path="protection.reverse",
            changes=(Change(path="protection.reverse", value='"schottky"'),),
        )


def fuse_fault(design: Design) -> Iterable[Finding]:
    """The source can drive more into a short than a small resettable fuse may break.

    Why it matters
        Beyond its greatest fault current such a fuse may burn instead of opening.
    How it is measured
        What the source drives into a short against the fuse's figure.
    How to mend it
        A second fuse, made for such currents, close to the source; wires limit the current too.
    """
    fuse, delivers = design.parameters.parts.fuse, design.parameters.parts.supply.delivers_a
    if fuse and delivers is not None and delivers > fuse.max_fault_a:
        yield report(
            message=f"{design.parameters.parts.supply.name} may drive"
            f" {units.figures(delivers, 3)} A into a short; {fuse.name} breaks"
            f" {fuse.max_fault_a:g} A at most: a fuse made for it"
            " belongs close to the source too",
            actual=f"{units.figures(delivers, 3)} A",
            limit=f"{fuse.max_fault_a:g} A",
            subjects=design.circuit.inlet.guards[:1],
            path="protection.fuse",
        )


def supply_idle(design: Design) -> Iterable[Finding]:
    """The source may switch itself off, because the board draws so little.

    Why it matters
        Power banks take a small load for none, and the light goes out after a minute or two.
    How it is measured
        Nominal current of the board against the load that such a source wants.
    How to mend it
        A plain adapter or a hub; or a power bank with a mode for small loads.
    """
    supply, drawn = design.parameters.parts.supply, design.circuit.nominal_a
    if supply.idle_a is not None and drawn < supply.idle_a:
        draws, wanted = units.apart(drawn, supply.idle_a, "A")
        yield report(
            message=f"a power bank may switch off: {design.circuit.draws} {draws};"
            " adapters and hubs do not mind",
            actual=draws,
            limit=f"at least {wanted}",
            subjects=("V+",),
            path="supply",
        )


def reverse_led(design: Design) -> Iterable[Finding]:
    """A supply the wrong way round may break LEDs.

    Why it matters
        LEDs bear a few volts backwards; beyond that they fail or age at once.
    How it is measured
        Highest supply against the greatest reverse voltages of a branch in series; without a
        figure, and with a guard, nothing is said.
    How to mend it
        A guard: ``protection.reverse``; or a plug that goes in one way only.
    """
    supply = design.parameters.parts.supply
    if design.parameters.parts.reverse:
        return
    for kind in design.circuit.kinds:
        most = kind.led.data.max_reverse_v
        if most is not None and supply.high_v > kind.leds * most:
            yield report(
                message="if the supply is connected the wrong way round, up to"
                f" {supply.high_v:g} V stand"
                f" backwards across {_leds(kind.leds)}, made for {kind.leds * most:g} V at most",
                actual=f"{supply.high_v:g} V",
                limit=f"{kind.leds * most:g} V",
                subjects=ballasts_of(design, kind),
                path="protection.reverse",
            )


def _leds(count: int) -> str:
    return "each LED" if count == 1 else f"each string of {count} LEDs"

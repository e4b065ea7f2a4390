"""The sums of the LED and of each kind of branch."""

import math

import numpy as np

from boardgen import units
from boardgen.electrical.leds import at_temperature, bins
from boardgen.model.circuit import BranchKind, Channel, Circuit, Corner
from boardgen.model.explanation import Step
from boardgen.model.parameters import Parameters
from boardgen.standards.diode import THERMAL_V, Diode

_LAW = "V = n * Vt * ln(I / Is + 1) + I * Rs"
_LEAST_LOG = math.log(1e-300)


def _amps(value: float) -> str:
    return units.engineering(value, "A")


def _curve(diode: Diode, current_a: float) -> str:
    """Put numbers into the diode law; a saturation current too small to write goes by its log."""
    log = float(np.asarray(diode.log_saturation))
    steps = diode.ideality * THERMAL_V
    amps = units.engineering(current_a, "A", 5)
    if log < _LEAST_LOG:
        inside = f"(ln({amps}) + {-log:.6g})"
    else:
        inside = f"ln({amps} / {math.exp(log):.4e} A + 1)"
    return f"{steps:.5g} V * {inside} + {amps} * {diode.series_ohm:.4g} ohm"


def led_steps(channel: Channel) -> list[Step]:
    """Show the curve of a channel's LED, and its forward voltage at the current asked for."""
    led, typical, name = channel.led, bins(channel.led).typical, channel.name
    points = len(led.data.points)
    how = f"fitted to {points} pairs" if points else f"typical for {led.data.colour}"
    wanted = float(typical.voltage_v(channel.current_a))
    return [
        Step(
            key="led_ideality",
            subject=name,
            title="shape of the LED's curve, n",
            formula=_LAW,
            numbers=f"{how}; Vt = {THERMAL_V * 1000:.3f} mV at 25 degC",
            value=typical.ideality,
            result=f"n = {typical.ideality:.4g}",
            source=led.data.source if points else led.shape.source,
        ),
        Step(
            key="led_series_ohm",
            subject=name,
            title="shape of the LED's curve, Rs",
            formula=_LAW,
            numbers=how,
            value=typical.series_ohm,
            result=f"Rs = {typical.series_ohm:.4g} ohm",
            source=led.data.source
            if points
            else "a larger chip, stated above 20 mA or made for more than 30 mA, has less in"
            " proportion: own choice",
        ),
        _saturation_step(channel, typical),
        Step(
            key="led_vf_at_current_v",
            subject=name,
            title="typical forward voltage at the current asked for",
            formula=_LAW,
            numbers=_curve(typical, channel.current_a),
            value=wanted,
            result=f"{wanted:.4g} V, against {led.data.vf.typical_v:g} V at"
            f" {_amps(led.data.vf.at_a)}",
            source=led.data.source,
        ),
    ]


def _saturation_step(channel: Channel, diode: Diode) -> Step:
    """Show how the curve is laid through the data sheet's point; of so small a number the log."""
    vf = channel.led.data.vf
    log, amps = float(np.asarray(diode.log_saturation)), units.engineering(vf.at_a, "A", 6)
    plain = f"Is = {math.exp(log):.4e} A" if log > _LEAST_LOG else "too small to write"
    return Step(
        key="led_saturation_ln",
        subject=channel.name,
        title="shape of the LED's curve, ln(Is / 1 A)",
        formula="ln(Is) = ln(I0) - (V0 - I0 * Rs) / (n * Vt), so that the curve runs through the"
        " data sheet's point: V0 at I0",
        numbers=f"ln({amps}) - ({vf.typical_v:g} V - {amps} * {diode.series_ohm:.6g} ohm)"
        f" / {diode.ideality * THERMAL_V:.6g} V",
        value=log,
        result=f"{log:.5g}, {plain}",
        source="the diode law at that point; the 1 behind its ln is too small to count",
    )


def kind_steps(parameters: Parameters, circuit: Circuit, kind: BranchKind) -> list[Step]:
    """Show ballast, corners and heat of one kind of branch."""
    steps = [*_value_steps(parameters, circuit, kind)]
    for corner in (kind.low, kind.nominal, kind.high):
        steps += _corner_steps(kind, corner)
    return [*steps, *_heat_steps(parameters, kind)]


def _subject(kind: BranchKind) -> str:
    return f"branch of {kind.of}"


def _value_steps(parameters: Parameters, circuit: Circuit, kind: BranchKind) -> list[Step]:
    ballast, feed = kind.ballast, circuit.feed
    each = f" for each of {ballast.count}" if ballast.count > 1 else ""
    wanted_v = float(bins(kind.led).typical.voltage_v(kind.wanted_a))
    most_v = (feed.low_v - kind.headroom_low_v) / kind.leds
    least = parameters.parts.limits.headroom_v
    return [
        Step(
            key="ballast_wanted_ohm",
            subject=_subject(kind),
            title="ballast wanted",
            formula="R = (Vs - S * Vf) / I",
            numbers=f"({feed.nominal_v:.6g} V - {kind.leds} * {wanted_v:.6g} V)"
            f" / {units.engineering(kind.wanted_a, 'A', 6)}",
            value=ballast.wanted_ohm,
            result=f"{ballast.wanted_ohm:.4g} ohm",
            source="Ohm's law; forward voltage: " + kind.led.data.source,
        ),
        Step(
            key="ballast_ohm",
            subject=_subject(kind),
            title="ballast taken",
            formula=f"{ballast.choice}; rounding {parameters.resistor.round}",
            numbers=f"{ballast.wanted_ohm / ballast.count:.4g} ohm wanted{each}",
            value=ballast.value_ohm,
            result=f"{units.resistance(ballast.value_ohm)}"
            f" +-{parameters.resistor.tolerance * 100:g} %{each}",
            source="IEC 60063" if not parameters.resistor.drawer else "parameter file",
        ),
        Step(
            key="headroom_lowest_v",
            subject=_subject(kind),
            title="headroom at the lowest supply, the greatest forward voltage, in the cold",
            formula="Vs,low - S * Vf,max at the current asked for",
            numbers=f"{feed.low_v:.6g} V - {kind.leds} * {most_v:.6g} V",
            value=kind.headroom_low_v,
            result=f"{kind.headroom_low_v:.2f} V",
            limit=f"at least {least:g} V",
            margin=f"{kind.headroom_low_v - least:+.2f} V",
            source="common practice, no source",
        ),
    ]


def _corner_steps(kind: BranchKind, corner: Corner) -> list[Step]:
    curves, led = bins(kind.led), kind.led
    diode = {"lowest": curves.most, "nominal": curves.typical, "highest": curves.least}[corner.name]
    words = {
        "lowest": f"greatest Vf, {corner.ambient_degc:g} degC, just switched on",
        "nominal": "typical Vf, junction at 25 degC as data sheets measure",
        "highest": f"least Vf, warmed up on a board of {corner.ambient_degc:.4g} degC",
    }[corner.name]
    each_v = corner.vf_v / kind.leds
    found = [
        Step(
            key=f"current_{corner.name}_a",
            subject=_subject(kind),
            title=f"{corner.name} current",
            formula="I = (Vs - S * Vf) / R, where Vf belongs to that very current (a loop: the next"
            f" lines find Vf from I); {words}",
            numbers=f"({corner.supply_v:.9g} V - {kind.leds} * {each_v:.9g} V)"
            f" / {corner.resistance_ohm:.6g} ohm",
            value=corner.current_a,
            result=_amps(corner.current_a),
            source="found by trial; put it in and see",
        )
    ]
    if corner.current_a > 0:
        moved = at_temperature(diode, led, corner.junction_degc)
        found.append(
            Step(
                key=f"led_vf_{corner.name}_v",
                subject=_subject(kind),
                title=f"forward voltage of each LED at the {corner.name} current",
                formula=f"{_LAW}, Is moved so that V changes by k * (Tj - 25 degC); k ="
                f" {led.shape.per_kelvin_v * 1000:g} mV/K, Tj = {corner.junction_degc:.4g} degC",
                numbers=_curve(moved, corner.current_a),
                value=float(moved.voltage_v(corner.current_a)),
                result=f"{each_v:.4g} V",
                source=f"coefficient: {led.shape.per_kelvin_source}",
            )
        )
    return found


def _heat_steps(parameters: Parameters, kind: BranchKind) -> list[Step]:
    ballast, high, limits = kind.ballast, kind.high, parameters.parts.limits
    shape, hottest = kind.led.shape, kind.hottest
    allowed = ballast.allowed_w(limits)
    led_w = hottest.led_w(kind.leds)
    return [
        Step(
            key="led_heat_w",
            subject=_subject(kind),
            title="heat in the hottest LED",
            formula="P = Vf * I, highest supply, at the Vf that gives most; light is heat too",
            numbers=f"{hottest.vf_v / kind.leds:.6g} V *"
            f" {units.engineering(hottest.current_a, 'A', 5)}",
            value=led_w,
            result=units.engineering(led_w, "W"),
        ),
        Step(
            key="junction_highest_degc",
            subject=_subject(kind),
            title="junction of that LED",
            formula="Tj = Tboard + Rth * P, on the safe side: Rth counts the LED's own share of the"
            " board's warmth again",
            numbers=f"{hottest.ambient_degc:.6g} + {shape.thermal_k_per_w:g} * {led_w:.6g}",
            value=hottest.junction_degc,
            result=f"{hottest.junction_degc:.1f} degC",
            limit=f"{shape.max_junction_degc:g} degC",
            margin=f"{shape.max_junction_degc - hottest.junction_degc:+.1f} K",
            source=shape.thermal_source,
        ),
        Step(
            key="led_current_share",
            subject=_subject(kind),
            title="LED at the highest current",
            formula="I,high / I,max, or Rth * P / (Tj,max - Ta), whichever is greater",
            numbers=_share_numbers(kind),
            value=kind.led_load,
            result=f"{kind.led_load:.0%}",
            limit=f"{limits.led_share:.0%} wanted, 100 % at most",
            margin=f"{limits.led_share - kind.led_load:+.0%}",
            source=kind.led.data.source,
        ),
        Step(
            key="ballast_heat_w",
            subject=_subject(kind),
            title="heat in each resistor at the highest current",
            formula="P = I^2 * R",
            numbers=f"({units.engineering(high.current_a, 'A', 5)})^2 *"
            f" {high.resistance_ohm / ballast.count:.6g} ohm",
            value=ballast.worst_w,
            result=units.engineering(ballast.worst_w, "W"),
            limit=f"{limits.resistor_share:.0%} of {units.engineering(ballast.derated_w, 'W')}"
            f" ({units.engineering(ballast.rating_w, 'W')} at 70 degC, derated for"
            f" {high.ambient_degc:.4g} degC)",
            margin=units.engineering(allowed - ballast.worst_w, "W"),
            source="derating: IEC 60115-8 practice; rating:"
            f" {parameters.origin('resistor.rating')}",
        ),
    ]


def _share_numbers(kind: BranchKind) -> str:
    """Put numbers into the share that decides: of the data sheet's current, or of the warmth."""
    corner, most_a = kind.led_corner
    shape = kind.led.shape
    if most_a == kind.led.data.max_current_a:
        return (
            f"{units.engineering(corner.current_a, 'A', 6)} / {units.engineering(most_a, 'A', 6)}"
        )
    return (
        f"{shape.thermal_k_per_w:g} * {corner.led_w(kind.leds):.6g} /"
        f" ({shape.max_junction_degc:g} - {corner.ambient_degc:.7g})"
    )

"""The ballast of a branch: value, corners, heat."""

import math

from boardgen import units
from boardgen.errors import Problem, RefusalError
from boardgen.model.circuit import Ballast, BranchKind, Corner
from boardgen.model.parameters import Parameters
from boardgen.standards.preferred_values import next_near, next_up
from boardgen.standards.resistors import derating

_SAME = 1e-9
"""Values that agree to nine digits are the same: currents come from decimal text."""


def branch_kind(parameters: Parameters, leds: int) -> BranchKind:
    """Size a branch of so many LEDs with the fixed-forward-voltage model.

    Wanted value R = (Vs - S·Vf) / I at nominal; corners and worst heat as on the reference page
    1.2: highest current from the highest supply, lowest forward voltage and lowest resistance.

    Raises
    ------
    RefusalError
        When a drawer holds no value that is large enough.
    """
    supply, vf = parameters.supply, parameters.led.data.vf
    wanted = (supply.nominal_v - leds * vf.typical_v) / parameters.current_a
    value, choice = _choose(parameters, wanted, leds)
    tolerance = parameters.resistor.tolerance
    low = _corner("lowest", supply.low_v, leds * vf.max_v, value * (1 + tolerance))
    nominal = _corner("nominal", supply.nominal_v, leds * vf.typical_v, value)
    high = _corner("highest", supply.high_v, leds * vf.min_v, value * (1 - tolerance))
    rating = parameters.resistor.rating_w or parameters.resistor_part.rating_w
    return BranchKind(
        leds=leds,
        ballast=Ballast(
            wanted_ohm=wanted,
            value_ohm=value,
            choice=choice,
            rating_w=rating,
            derated_w=rating * derating(parameters.board.ambient_degc),
            worst_w=high.current_a**2 * high.resistance_ohm,
        ),
        low=low,
        nominal=nominal,
        high=high,
        headroom_low_v=supply.low_v - leds * vf.max_v,
    )


def _corner(name: str, supply_v: float, vf_v: float, resistance_ohm: float) -> Corner:
    return Corner(
        name=name,
        supply_v=supply_v,
        vf_v=vf_v,
        resistance_ohm=resistance_ohm,
        current_a=max(0.0, (supply_v - vf_v) / resistance_ohm),
    )


def _choose(parameters: Parameters, wanted: float, leds: int) -> tuple[float, str]:
    resistor = parameters.resistor
    nearest = resistor.round == "nearest"
    if not resistor.drawer:
        if nearest:
            return next_near(wanted, resistor.series), f"nearest value in {resistor.series}"
        return next_up(wanted, resistor.series), f"next value up in {resistor.series}"
    if nearest:
        value = min(resistor.drawer, key=lambda value: (abs(math.log(value / wanted)), value))
        return value, "nearest value in the drawer"
    fitting = [value for value in resistor.drawer if value >= wanted * (1 - _SAME)]
    if fitting:
        return min(fitting), "next value up in the drawer"
    raise RefusalError(
        Problem(
            what=f"a branch of {leds} needs at least {units.resistance(round(wanted, 1))}, but the"
            f" drawer ends at {units.resistance(max(resistor.drawer))}",
            remedy=f"add a value such as {next_up(wanted, 'E12'):g}R, or lower the current",
            file=parameters.file,
            line=parameters.origin("resistor.drawer").line,
            path="resistor.drawer",
        )
    )

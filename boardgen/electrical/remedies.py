"""The smallest changes that pass, found by trying them: of the same kind, nothing smaller does."""

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from boardgen import units
from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.model import verdicts
from boardgen.model.circuit import Circuit
from boardgen.model.operation import Change
from boardgen.model.parameters import EXTRA_LOW_VOLTAGE_V, Guard, Parameters
from boardgen.standards.photometry import candela_per_ampere

Verdict = Callable[[Parameters, Circuit], object]
"""Whether a rule finds something: anything that counts as true is a finding."""

_RATING_STEP_W = 0.001
_SUPPLY_STEP_V = 0.01
_FINE_A, _COARSE_A, _COARSE_FROM_A = 0.00001, 0.0001, 0.001
_MOST_PER_BRANCH = 3
_RAISED = 2.0
"""Raised series of a size carry up to so many times the lower rating (reference page 2.3, read)."""


_BY_CURRENT: dict[str, Verdict] = {
    "power.ballast": verdicts.hot_ballasts,
    "current.led": verdicts.driven_leds,
    "current.connector": verdicts.connector_full,
    "current.switch": verdicts.switch_full,
    "current.guard": verdicts.guard_full,
    "current.supply": verdicts.supply_drained,
    "fuse.trips": verdicts.fuse_trips,
}


def changes(parameters: Parameters, circuit: Circuit) -> dict[str, tuple[Change, ...]]:
    """Find, for each electrical rule that finds something, the changes that would pass it."""
    found: dict[str, list[Change]] = {}
    for code, verdict in _BY_CURRENT.items():
        if verdict(parameters, circuit):
            found[code] = [*_own(code, parameters, circuit), *_less_current(parameters, verdict)]
    if verdicts.short_headroom(parameters, circuit):
        ways = [*_more_headroom(parameters, circuit)]
        # With half the current a board is another one.
        less = _less_current(parameters, verdicts.short_headroom, least_share=0.5)
        found["headroom.branch"] = ways or [*less]
    if verdicts.fuse_takes(parameters, circuit):
        found["fuse.drop"] = [*_fuse(parameters, circuit)]
    if verdicts.unfused(parameters):
        found["supply.fuse"] = [*_fuse(parameters, circuit)]
    return {code: tuple(ways) for code, ways in found.items() if ways}


def _own(code: str, parameters: Parameters, circuit: Circuit) -> Iterator[Change]:
    """List the changes that belong to one rule only."""
    if code == "power.ballast":
        yield from _cooler_ballast(parameters, circuit)
    elif code == "current.led":
        yield from _fewer_in_series(parameters, circuit, verdicts.driven_leds)
    elif code == "fuse.trips":
        yield from _fuse(parameters, circuit)


def _tried(parameters: Parameters, verdict: Verdict) -> bool:
    """Tell whether changed parameters make a circuit that the rule has nothing against."""
    try:
        return not verdict(parameters, size(parameters))
    except RefusalError:
        return False


def with_current(parameters: Parameters, current_a: float) -> Parameters:
    """Ask for another current of a branch."""
    return replace(parameters, current_a=current_a)


def _written_ratio(parameters: Parameters) -> float:
    """Tell what the file's current becomes: of an LED to look like, it is that one's."""
    if parameters.alike is None:
        return 1.0
    return candela_per_ampere(parameters.alike.data) / candela_per_ampere(parameters.led.data)


def _less_current(
    parameters: Parameters, verdict: Verdict, *, least_share: float = 0.0
) -> Iterator[Change]:
    """Find the greatest smaller current that passes, in steps of 0.1 mA, or 10 uA below 1 mA.

    None is offered below a share of what is written.
    """
    ratio = _written_ratio(parameters)
    written = parameters.current_a / ratio
    step = _COARSE_A if written > _COARSE_FROM_A else _FINE_A

    def passes(steps: int) -> bool:
        return _tried(with_current(parameters, steps * step * ratio), verdict)

    high = math.ceil(written / step - 1e-9)
    low = 0
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if passes(middle) else (low, middle)
    # Another arrangement may be chosen on the way: whatever passes next is smaller a change.
    while low and passes(low + 1):
        low += 1
    if low and least_share * written <= low * step < written:
        decimals = 1 if step == _COARSE_A else 2
        yield Change(path="light.current", value=f'"{low * step * 1000:.{decimals}f} mA"')


def _cooler_ballast(parameters: Parameters, circuit: Circuit) -> Iterator[Change]:
    """Offer a stated rating, the next size, or more resistors in each branch."""
    hottest = max(circuit.kinds, key=lambda kind: kind.ballast.worst_w).ballast
    share = hottest.allowed_w(parameters.limits) / hottest.rating_w
    if share <= 0:
        return
    if parameters.resistor.rating_w is None:
        for name, rating in parameters.resistor_part.larger:
            if rating * share >= hottest.worst_w:
                yield Change(path="resistor.size", value=f'"{name}"')
                break
    for count in range(parameters.resistor.per_branch + 1, _MOST_PER_BRANCH + 1):
        split = replace(parameters, resistor=replace(parameters.resistor, per_branch=count))
        if _tried(split, verdicts.hot_ballasts):
            yield Change(path="resistor.per_branch", value=f"{count}")
            break
    enough = _least_rating_w(parameters, hottest.worst_w / share)
    if enough <= _RAISED * parameters.resistor_part.rating_w:
        yield Change(
            path="resistor.rating",
            value=f'"{enough * 1000:.0f} mW"',
            note="if its data sheet says so",
        )


def _least_rating_w(parameters: Parameters, enough_w: float) -> float:
    """Find the least rating that passes: with another rating other branches may be chosen."""

    def passes(milliwatts: int) -> bool:
        resistor = replace(parameters.resistor, rating_w=milliwatts * _RATING_STEP_W)
        return _tried(replace(parameters, resistor=resistor), verdicts.hot_ballasts)

    least = round(units.up_to_step(enough_w, _RATING_STEP_W) / _RATING_STEP_W)
    while least > 1 and passes(least - 1):
        least -= 1
    return least * _RATING_STEP_W


def _fewer_in_series(
    parameters: Parameters, circuit: Circuit, verdict: Verdict
) -> Iterator[Change]:
    for leds in range(circuit.in_series - 1, 0, -1):
        if _tried(replace(parameters, light=replace(parameters.light, in_series=leds)), verdict):
            yield Change(path="light.in_series", value=f"{leds}")
            return


def _more_headroom(parameters: Parameters, circuit: Circuit) -> Iterator[Change]:
    """Offer fewer LEDs in series, a higher lowest supply, or more cells."""
    yield from _fewer_in_series(parameters, circuit, verdicts.short_headroom)
    lacking = parameters.limits.headroom_v - min(kind.headroom_low_v for kind in circuit.kinds)
    supply = parameters.supply
    if supply.kind == "own":
        needed = units.up_to_step(supply.low_v + lacking, _SUPPLY_STEP_V)
        if needed <= supply.nominal_v:
            yield Change(
                path="supply.low", value=f'"{needed:.2f} V"', note="if your supply keeps it"
            )
    elif supply.kind.endswith("cell") and supply.kind != "coin cell":
        each = supply.low_v / supply.cells
        cells = math.ceil((supply.low_v + lacking) / each - 1e-9)
        if supply.high_v / supply.cells * cells <= _most_v(parameters):
            yield Change(path="supply.cells", value=f"{cells}")


def _most_v(parameters: Parameters) -> float:
    """Tell the highest supply that this board and its guards may have."""
    guards = parameters.guards
    gates = [guard.gate_v[1] for guard in guards if guard.gate_v]
    return min([EXTRA_LOW_VOLTAGE_V, *(guard.max_voltage_v for guard in guards), *gates])


def _fuse(parameters: Parameters, circuit: Circuit) -> Iterator[Change]:
    """Offer the smallest fuse that bears the supply, holds the current and takes little."""

    def serves(fuse: Guard) -> bool:
        fused = replace(parameters, fuse_part=fuse)
        return (
            fuse.max_voltage_v >= parameters.supply.high_v
            and _tried(fused, verdicts.fuse_trips)
            and _tried(fused, verdicts.fuse_takes)
        )

    for fuse in sorted(parameters.fuses, key=lambda part: part.rating_a):
        if circuit.worst_a <= fuse.rating_a and serves(fuse):
            yield Change(path="protection.fuse", value=f'"{fuse.name}"')
            return

"""How many LEDs in a branch, which branches there are, and what speaks for each way."""

import math
from collections.abc import Sequence
from dataclasses import replace

from boardgen import units
from boardgen.electrical.ballast import branch_kinds, highest_vf_v, wanted_ohm
from boardgen.electrical.feed import feed
from boardgen.errors import Problem, RefusalError
from boardgen.model.bounds import below
from boardgen.model.circuit import Arrangement, BranchKind, Feed
from boardgen.model.parameters import Parameters

_STEP_V = 0.01


def feed_for(parameters: Parameters, leds: int) -> Feed:
    """Find what arrives at the rail when so many LEDs stand in series."""
    branches = parameters.form.rows * math.ceil(_columns(parameters) / leds)
    return feed(parameters, branches * parameters.current_a)


def _columns(parameters: Parameters) -> int:
    return parameters.light.count // parameters.form.rows


def arrangements(parameters: Parameters) -> tuple[Arrangement, ...]:
    """List every way in which the nominal supply lights the LEDs, the best first.

    Ranks are by spread, by efficiency and by the number of resistors. Ways without a fault go
    first, then those over a margin that other parts would mend, both by the least sum of ranks;
    then those short of headroom, the one with most of it first.
    """
    columns, found = _columns(parameters), []
    for leds in range(1, columns + 1):
        at_rail = feed_for(parameters, leds)
        if wanted_ohm(parameters, at_rail, leds) <= 0:
            break
        lengths = sorted({length for _, length in row_branches(columns, leds)}, reverse=True)
        try:
            kinds = branch_kinds(parameters, at_rail, lengths)
        except RefusalError:
            continue
        found.append(_arrangement(parameters, leds, columns, kinds))
    return tuple(sorted(_ranked(found), key=_order))


def _order(way: Arrangement) -> tuple[int, float, int]:
    """Sort by soundness, then by ranks; without headroom a branch goes dark: the most of it first.

    What is only too hot or too bright can be mended with other parts.
    """
    if way.short_of_headroom:
        return (2, -way.headroom_low_v, way.resistors)
    return (1 if way.faults else 0, sum(way.ranks), way.resistors)


def _arrangement(
    parameters: Parameters, leds: int, columns: int, kinds: Sequence[BranchKind]
) -> Arrangement:
    rows = parameters.form.rows
    branches = rows * math.ceil(columns / leds)
    full, short = kinds[0], kinds[-1]
    numbers = (branches - rows, rows) if len(kinds) > 1 else (branches,)
    drawn_a = sum(
        number * kind.nominal.current_a for number, kind in zip(numbers, kinds, strict=True)
    )
    lit_w = sum(
        number * kind.nominal.current_a * kind.nominal.vf_v
        for number, kind in zip(numbers, kinds, strict=True)
    )
    return Arrangement(
        in_series=leds,
        branches=branches,
        leftover=columns % leds,
        resistors=branches * full.ballast.count,
        low_a=min(kind.low.current_a for kind in kinds),
        nominal_a=full.nominal.current_a,
        high_a=max(kind.high.current_a for kind in kinds),
        spread=max(full.spread, short.spread),
        efficiency=lit_w / (parameters.supply.nominal_v * drawn_a),
        headroom_low_v=full.headroom_low_v,
        short_of_headroom=below(full.headroom_low_v, parameters.limits.headroom_v),
        faults=_faults(parameters, kinds),
    )


def _faults(parameters: Parameters, kinds: Sequence[BranchKind]) -> tuple[str, ...]:
    """Tell what the house's margins have against a way."""
    limits = parameters.limits
    found = []
    for kind in kinds:
        ballast = kind.ballast
        if below(kind.headroom_low_v, limits.headroom_v):
            found.append(f"headroom {kind.headroom_low_v:.2f} V")
        if kind.led_load > limits.led_share:
            found.append(f"LEDs up to {units.engineering(kind.high.current_a, 'A')}")
        if ballast.worst_w > ballast.allowed_w(limits):
            found.append(f"resistors up to {units.engineering(ballast.worst_w, 'W')}")
    return tuple(dict.fromkeys(found))


def _ranked(ways: Sequence[Arrangement]) -> list[Arrangement]:
    orders = (
        sorted({way.spread for way in ways}),
        sorted({way.efficiency for way in ways}, reverse=True),
        sorted({way.resistors for way in ways}),
    )
    return [
        replace(
            way,
            ranks=(
                orders[0].index(way.spread) + 1,
                orders[1].index(way.efficiency) + 1,
                orders[2].index(way.resistors) + 1,
            ),
        )
        for way in ways
    ]


def in_series(parameters: Parameters, ways: Sequence[Arrangement]) -> tuple[int, str]:
    """Choose how many LEDs stand in series, with the reason; the user's own figure is taken as is.

    Raises
    ------
    RefusalError
        When the nominal supply does not exceed the typical forward voltage of the branch.
    """
    columns, asked = _columns(parameters), parameters.light.in_series
    chosen = asked if asked is not None else (ways[0].in_series if ways else 1)
    _refuse_dark(parameters, chosen)
    if chosen > columns:
        raise RefusalError(
            Problem(
                what=f"{chosen} LEDs in series do not fit a row of {columns}",
                remedy=f"write light.in_series = {columns} at most, or take fewer rows",
                file=parameters.file,
                line=parameters.origin("light.in_series").line,
                path="light.in_series",
            )
        )
    return chosen, _reason(parameters, ways, chosen)


def _reason(parameters: Parameters, ways: Sequence[Arrangement], chosen: int) -> str:
    low_v, limits = feed_for(parameters, chosen).low_v, parameters.limits
    vf = highest_vf_v(parameters)
    most = (low_v - limits.headroom_v) / vf
    text = (
        f"({low_v:.4g} V lowest at the rail - {limits.headroom_v:g} V headroom) / {vf:.3g} V"
        f" highest forward voltage = {most:.2f}"
    )
    if parameters.light.in_series is not None:
        other = ways[0].in_series if ways else chosen
        return f"asked for; {text}" + (f"; boardgen would take {other}" if other != chosen else "")
    way = next((way for way in ways if way.in_series == chosen), None)
    if way is None or way.short_of_headroom:
        return f"no way has the headroom, this one has the most; {text}"
    among = (
        f"although {', '.join(way.faults)}: no way is without" if way.faults else "without fault"
    )
    return (
        f"least sum of ranks, {among}: {way.ranks[0]} by spread, {way.ranks[1]} by efficiency,"
        f" {way.ranks[2]} by resistors; {text}"
    )


def _refuse_dark(parameters: Parameters, chosen: int) -> None:
    if wanted_ohm(parameters, feed_for(parameters, chosen), chosen) > 0:
        return
    at_rail = feed_for(parameters, chosen)
    lacking = -wanted_ohm(parameters, at_rail, chosen) * parameters.current_a
    needed = at_rail.nominal_v + lacking
    drop = at_rail.drop_v[1]
    ways = [
        f"write light.in_series = {leds}"
        for leds in range(1, chosen)
        if wanted_ohm(parameters, feed_for(parameters, leds), leds) > 0
    ][-1:]
    ways.append(_higher_supply(parameters, parameters.supply.nominal_v + lacking))
    behind = f" behind guards that drop {drop:.2f} V" if drop else ""
    raise RefusalError(
        Problem(
            what=f"{chosen} x {needed / chosen:.3g} V = {needed:.4g} V of LEDs cannot be driven"
            f" from {parameters.supply.nominal_v:g} V{behind}: headroom {-lacking:.2f} V",
            remedy=", or ".join(ways) + ", or take an LED with a lower forward voltage",
            file=parameters.file,
            line=parameters.origin("light.led").line,
            path="light",
        )
    )


def _higher_supply(parameters: Parameters, needed_v: float) -> str:
    """Say which supply would light the LEDs: as many cells, or so many volts."""
    supply = parameters.supply
    if supply.runs_down and supply.kind != "coin cell" and supply.kind.endswith("cell"):
        return f"write supply.cells = {math.floor(needed_v * supply.cells / supply.nominal_v) + 1}"
    enough = units.down_to_step(needed_v, _STEP_V) + _STEP_V
    if supply.kind != "own":
        return f"take a supply of {enough:.2f} V at least"
    also = f' and supply.high = "{enough:.2f} V"' if supply.high_v < enough else ""
    return f'write supply.nominal = "{enough:.2f} V"{also}'


def row_branches(columns: int, series: int) -> tuple[tuple[int, int], ...]:
    """Cut a row into branches: (first column, LEDs); a shorter one at the end takes what is left.

    Examples
    --------
    >>> row_branches(8, 3)
    ((0, 3), (3, 3), (6, 2))
    """
    return tuple((first, min(series, columns - first)) for first in range(0, columns, series))

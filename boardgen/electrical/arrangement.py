"""How many LEDs in a branch, which branches there are, and what speaks for each way."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from boardgen import units
from boardgen.electrical.ballast import LEAST_OHM, Cut, branch_kinds, highest_vf_v, wanted_ohm
from boardgen.electrical.supply_at_rail import supply_at_rail
from boardgen.errors import Change, RefusalError
from boardgen.forms.table import plan
from boardgen.model.bounds import below
from boardgen.model.circuit import Arrangement, BranchKind, Feed
from boardgen.model.parameters import Parameters
from boardgen.model.parts import Emitter, SupplyKind
from boardgen.tolerances import SAME_SHARE

_STEP_V = 0.01


def dealt(parameters: Parameters) -> dict[Emitter, tuple[tuple[int, int], ...]]:
    """Deal the chains of the plan to the channels in turn: first site and sites of each.

    Raises
    ------
    ValueError
        When there are more channels than chains, or two of one name.
    """
    planned, emitters = plan(parameters), parameters.parts.emitters
    if len({emitter.name for emitter in emitters}) < len(emitters):
        raise ValueError("two channels have one name")
    if len(emitters) > len(planned.chains):
        raise ValueError(f"{len(emitters)} channels on {len(planned.chains)} lines of LEDs")
    chains = tuple(zip(planned.starts, planned.chains, strict=True))
    return {one: chains[place :: len(emitters)] for place, one in enumerate(emitters)}


def feed_for(parameters: Parameters, leds: int) -> Feed:
    """Find what arrives at the rail when so many LEDs stand in series, in every channel alike."""
    drawn_a = sum(
        math.ceil(sites / leds) * emitter.current_a
        for emitter, chains in dealt(parameters).items()
        for _, sites in chains
    )
    return supply_at_rail(parameters, drawn_a)


def arrangements(
    parameters: Parameters, emitter: Emitter, cooling_k_per_w: float
) -> tuple[Arrangement, ...]:
    """List every way in which the nominal supply lights a channel's LEDs, the best first.

    A channel is judged as if it warmed the board alone; ``size`` then counts all of them.

    Ranks are by spread, by efficiency, by the number of resistors and by whether all branches are
    equal. Ways without a fault go first, then those over a margin that other parts would mend, both
    by the least sum of ranks; then those short of headroom, the one with most of it first; last
    those over a limit or dark on the lowest supply.
    """
    chains, found = dealt(parameters)[emitter], []
    for leds in range(1, max(sites for _, sites in chains) + 1):
        at_rail = feed_for(parameters, leds)
        if wanted_ohm(emitter, at_rail, leds) <= LEAST_OHM:
            break
        cuts = counted(cut_chains(chains, leds))
        try:
            kinds = branch_kinds(parameters, at_rail, {emitter: cuts}, cooling_k_per_w)[emitter]
        except RefusalError:
            continue
        found.append(_arrangement(parameters, cuts, kinds))
    return tuple(sorted(_ranked(found), key=_order))


def _order(way: Arrangement) -> tuple[float, ...]:
    """Sort by soundness, then by ranks; of those short of headroom the one with most of it first.

    What is only hotter or brighter than the house likes can be mended with other parts; of two that
    rank alike it is the one that asks least of them. Of those over a limit the one least over it
    comes first, and one that goes dark last.
    """
    if way.headroom_low_v <= 0:
        return (4, -way.headroom_low_v, way.resistors)
    if way.errors:
        return (3, way.load, way.resistors)
    if way.short_of_headroom:
        return (2, -way.headroom_low_v, way.resistors)
    if way.faults:
        return (1, sum(way.ranks), way.load, way.resistors)
    return (0, sum(way.ranks), way.resistors)


def _arrangement(
    parameters: Parameters, cuts: Sequence[Cut], kinds: Sequence[BranchKind]
) -> Arrangement:
    leds, branches = cuts[0].leds, sum(cut.branches for cut in cuts)
    full, short = kinds[0], kinds[-1]
    pairs = list(zip(cuts, kinds, strict=True))
    drawn_a = sum(cut.branches * kind.nominal.current_a for cut, kind in pairs)
    lit_w = sum(cut.branches * kind.nominal.current_a * kind.nominal.vf_v for cut, kind in pairs)
    return Arrangement(
        in_series=leds,
        branches=branches,
        leftover=cuts[-1].leds % leds,
        resistors=branches * full.ballast.count,
        low_a=min(kind.low.current_a for kind in kinds),
        nominal_a=full.nominal.current_a,
        high_a=max(kind.high.current_a for kind in kinds),
        spread=max(full.spread, short.spread),
        efficiency=lit_w / (parameters.parts.supply.nominal_v * drawn_a),
        headroom_low_v=full.headroom_low_v,
        short_of_headroom=below(full.headroom_low_v, parameters.parts.limits.headroom_v),
        faults=_faults(parameters, kinds),
        errors=any(_load(kind) > 1 or kind.headroom_low_v <= 0 for kind in kinds),
        load=max(map(_load, kinds)),
    )


def _load(kind: BranchKind) -> float:
    """Tell the share of what its LEDs and resistors bear that a kind of branch uses at worst."""
    ballast = kind.ballast
    heat = ballast.worst_w / ballast.derated_w if ballast.derated_w > 0 else math.inf
    return max(kind.led_load, heat)


def _faults(parameters: Parameters, kinds: Sequence[BranchKind]) -> tuple[str, ...]:
    """Tell what the house's margins have against a way."""
    limits = parameters.parts.limits
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
        sorted({way.leftover > 0 for way in ways}),
    )
    return [
        replace(
            way,
            ranks=(
                orders[0].index(way.spread) + 1,
                orders[1].index(way.efficiency) + 1,
                orders[2].index(way.resistors) + 1,
                orders[3].index(way.leftover > 0) + 1,
            ),
        )
        for way in ways
    ]


def in_series(
    parameters: Parameters, emitter: Emitter, ways: Sequence[Arrangement]
) -> tuple[int, str]:
    """Choose how many LEDs stand in series, with the reason; the user's own figure is taken as is.

    Raises
    ------
    RefusalError
        When the nominal supply does not exceed the typical forward voltage of the branch.
    """
    longest = max(sites for _, sites in dealt(parameters)[emitter])
    asked = parameters.light.in_series
    chosen = asked if asked is not None else (ways[0].in_series if ways else 1)
    _refuse_dark(parameters, emitter, chosen)
    if chosen > longest:
        spared = plan(parameters).spared
        raise RefusalError(
            parameters.problem(
                "light.in_series",
                what=f"{chosen} LEDs in series do not fit a row of {longest}"
                + " between screws" * spared,
                remedy="or leave fewer sites free" if spared else "or take fewer rows",
                offers=tuple(
                    Change(path="light.in_series", value=f"{way.in_series}")
                    for way in sorted(ways, key=lambda way: (bool(way.faults), -way.in_series))[:1]
                ),
            )
        )
    return chosen, _reason(parameters, emitter, ways, chosen)


def _reason(
    parameters: Parameters, emitter: Emitter, ways: Sequence[Arrangement], chosen: int
) -> str:
    low_v, limits = feed_for(parameters, chosen).low_v, parameters.parts.limits
    vf = highest_vf_v(parameters, emitter)
    most = (low_v - limits.headroom_v) / vf
    text = (
        f"({low_v:.4g} V lowest at the rail - {limits.headroom_v:g} V headroom) / {vf:.3g} V"
        f" highest forward voltage = {most:.2f}"
    )
    if parameters.light.in_series is not None:
        other = ways[0].in_series if ways else chosen
        return f"asked for; {text}" + (f"; boardgen would take {other}" if other != chosen else "")
    way = next((way for way in ways if way.in_series == chosen), None)
    if way is None or all(one.short_of_headroom for one in ways):
        return f"no way has enough voltage left, this one has the most; {text}"
    if way.errors:
        return f"every way is over a limit, this one least: {', '.join(way.faults)}; {text}"
    against = (
        f"; every way has something against it, this one {', '.join(way.faults)}"
        if way.faults
        else ""
    )
    places = ", ".join(
        f"{_PLACES[rank - 1] if rank <= len(_PLACES) else f'{rank}th'} in {what}"
        for rank, what in zip(
            way.ranks, ("steadiness", "efficiency", "number of resistors", "equal branches"),
            strict=True,
        )
    )  # fmt: skip
    return f"the best all in all: {places}{against}; {text}"


_PLACES = ("first", "second", "third")


def _refuse_dark(parameters: Parameters, emitter: Emitter, chosen: int) -> None:
    at_rail = feed_for(parameters, chosen)
    if wanted_ohm(emitter, at_rail, chosen) > LEAST_OHM:
        return
    lacking = -wanted_ohm(emitter, at_rail, chosen) * emitter.current_a
    needed = at_rail.nominal_v + lacking
    drop = at_rail.drop_v[1]
    fewer = [
        Change(path="light.in_series", value=f"{leds}")
        for leds in range(chosen - 1, 0, -1)
        if wanted_ohm(emitter, feed_for(parameters, leds), leds) > LEAST_OHM
    ]
    enough = units.down_to_step(parameters.parts.supply.nominal_v + lacking, _STEP_V) + _STEP_V
    behind = f" behind guards that drop {drop:.2f} V" if drop else ""
    raise RefusalError(
        parameters.problem(
            "light",
            at="light.led",
            what=f"{_leds(chosen)} need {needed:.3g} V, but {parameters.parts.supply.name} gives"
            f" {parameters.parts.supply.nominal_v:g} V{behind}: {-lacking:.2f} V is left for the"
            " ballast",
            remedy="or take an LED with a lower forward voltage",
            offers=(*fewer, *_more_cells(parameters, enough)),
        )
    )


def _leds(count: int) -> str:
    return "the LEDs" if count == 1 else f"{count} LEDs in series"


def _more_cells(parameters: Parameters, enough_v: float) -> tuple[Change, ...]:
    """Offer as many cells as would light the LEDs; Li-ion in series is no matter for learners."""
    supply = parameters.parts.supply
    if supply.kind not in (SupplyKind.PRIMARY, SupplyKind.RECHARGEABLE):
        return ()
    least = math.ceil(enough_v * supply.cells / supply.nominal_v - SAME_SHARE)
    note = "with a charger for as many" if supply.kind is SupplyKind.RECHARGEABLE else ""
    return tuple(
        Change(path="supply.cells", value=f"{cells}", note=note)
        for cells in range(least, least + _CELLS_TRIED)
    )


_CELLS_TRIED = 3


def cut_chains(chains: Sequence[tuple[int, int]], series: int) -> tuple[tuple[int, int], ...]:
    """Cut chains, each of a first site and a number of sites, into branches likewise.

    Examples
    --------
    >>> cut_chains([(0, 5), (5, 5)], 3)
    ((0, 3), (3, 2), (5, 3), (8, 2))
    """
    return tuple(
        (start + first, leds) for start, sites in chains for first, leds in cut_chain(sites, series)
    )


def counted(branches: Sequence[tuple[int, int]]) -> tuple[Cut, ...]:
    """Count the branches of each length, the longest first.

    Examples
    --------
    >>> [(cut.leds, cut.branches) for cut in counted([(0, 3), (3, 2), (5, 3), (8, 2)])]
    [(3, 2), (2, 2)]
    """
    lengths = Counter(leds for _, leds in branches)
    return tuple(
        Cut(leds=leds, branches=number) for leds, number in sorted(lengths.items(), reverse=True)
    )


def cut_chain(sites: int, series: int) -> tuple[tuple[int, int], ...]:
    """Cut a chain into branches: (first site, LEDs); a shorter one at the end takes what is left.

    Examples
    --------
    >>> cut_chain(8, 3)
    ((0, 3), (3, 3), (6, 2))
    """
    return tuple((first, min(series, sites - first)) for first in range(0, sites, series))

"""Parameters → Circuit: every value decided before layout."""

from collections.abc import Sequence

from boardgen.electrical.arrangement import (
    arrangements,
    chain_cuts,
    cut_chain,
    feed_for,
    in_series,
)
from boardgen.electrical.ballast import branch_kinds
from boardgen.electrical.rail import rail
from boardgen.electrical.sharing import refuse_shared
from boardgen.forms.table import plan
from boardgen.model.circuit import (
    RETURN_NET,
    SUPPLY_NET,
    Branch,
    BranchKind,
    Circuit,
    Cooling,
    Net,
    NetRole,
    Warmth,
    supply_line,
)
from boardgen.model.parameters import Parameters

UNKNOWN = Cooling()


def size(parameters: Parameters, cooling: Cooling = UNKNOWN) -> Circuit:
    """Decide branches, ballasts and the rail's width.

    Parameters
    ----------
    parameters : Parameters
        One board.
    cooling : Cooling
        How the board gets rid of its heat; unknown before anything is laid out, and then the board
        is taken to be no warmer than the air.

    Raises
    ------
    RefusalError
        When no board follows: the supply cannot drive the LEDs, no resistor fits, or one resistor
        is to serve all branches.
    """
    planned = plan(parameters)
    ways = arrangements(parameters, cooling.k_per_w)
    series, reason = in_series(parameters, ways)
    at_rail, counted = feed_for(parameters, series), chain_cuts(planned.chains, series)
    sized = branch_kinds(parameters, at_rail, counted, cooling.k_per_w)
    kinds = dict(zip((cut.leds for cut in counted), sized, strict=True))
    branches = _branches(
        [
            (start + first, kinds[leds])
            for start, sites in zip(planned.starts, planned.chains, strict=True)
            for first, leds in cut_chain(sites, series)
        ]
    )
    refuse_shared(parameters, at_rail, branches)
    worst = sum(branch.kind.high.current_a for branch in branches)
    return Circuit(
        supply=parameters.supply,
        feed=at_rail,
        in_series=series,
        in_series_reason=reason,
        arrangements=ways,
        current_a=parameters.current_a,
        branches=branches,
        kinds=tuple(kinds.values()),
        line=supply_line(len(parameters.guards) + (parameters.switch_part is not None)),
        nominal_a=sum(branch.kind.nominal.current_a for branch in branches),
        worst_a=worst,
        warmth=Warmth(
            air_degc=parameters.board.ambient_degc,
            cooling=cooling,
            heat_w=parameters.supply.high_v * worst,
            board_degc=sized[0].high.ambient_degc,
        ),
        rail=rail(parameters, branches[0].kind, len(cut_chain(planned.longest, series)), worst),
    )


def _branches(placed: Sequence[tuple[int, BranchKind]]) -> tuple[Branch, ...]:
    """Give branches and their parts their names in reading order, and what joins them its own."""
    digits = max(2, len(str(len(placed))))
    found: list[Branch] = []
    resistors = leds = 0
    for number, (site, kind) in enumerate(placed, start=1):
        count, stem = kind.ballast.count, f"B{number:0{digits}d}"
        inner = (
            *(f"{stem}.R{place}" for place in range(1, count)),
            *(f"{stem}.{place}" for place in range(1, kind.leds + 1)),
        )
        found.append(
            Branch(
                number=number,
                first_site=site,
                kind=kind,
                ballasts=tuple(f"R{resistors + place}" for place in range(1, count + 1)),
                leds=tuple(f"D{leds + place}" for place in range(1, kind.leds + 1)),
                nets=(
                    Net(name=SUPPLY_NET, role=NetRole.SUPPLY),
                    *(Net(name=name, role=NetRole.BRANCH) for name in inner),
                    Net(name=RETURN_NET, role=NetRole.RETURN),
                ),
            )
        )
        resistors, leds = resistors + count, leds + kind.leds
    return tuple(found)

"""Parameters → Circuit: every value decided before layout."""

from collections.abc import Sequence
from operator import itemgetter

from boardgen.electrical.arrangement import (
    arrangements,
    counted,
    cut_chains,
    dealt,
    in_series,
)
from boardgen.electrical.ballast import branch_kinds
from boardgen.electrical.rail import rail
from boardgen.electrical.sharing import refuse_shared
from boardgen.electrical.supply_at_rail import supply_at_rail
from boardgen.electrical.way_in import way_in
from boardgen.forms.table import plan
from boardgen.model.circuit import (
    RETURN_NET,
    SUPPLY_NET,
    Arrangement,
    Branch,
    BranchKind,
    Channel,
    Circuit,
    Cooling,
    Net,
    NetRole,
    Warmth,
)
from boardgen.model.parameters import Parameters
from boardgen.model.parts import Emitter

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
    chains = dealt(parameters)
    ways = {one: arrangements(parameters, one, cooling.k_per_w) for one in chains}
    series = {one: in_series(parameters, one, ways[one]) for one in chains}
    cuts = {one: cut_chains(own, series[one][0]) for one, own in chains.items()}
    at_rail = supply_at_rail(parameters, sum(len(own) * one.current_a for one, own in cuts.items()))
    numbers = {one: counted(own) for one, own in cuts.items()}
    kinds = branch_kinds(parameters, at_rail, numbers, cooling.k_per_w)
    placed = {
        site: next(kind for kind in kinds[one] if kind.leds == leds)
        for one, own in cuts.items()
        for site, leds in own
    }
    branches = _branches(sorted(placed.items(), key=itemgetter(0)))
    refuse_shared(parameters, at_rail, branches)
    own_worst = sum(branch.kind.high.current_a for branch in branches)
    boards = parameters.joint.boards
    return Circuit(
        supply=parameters.parts.supply,
        feed=at_rail,
        channels=tuple(
            _channel(one, series[one], ways[one], kinds[one], branches) for one in chains
        ),
        inlet=way_in(parameters),
        nominal_a=boards * sum(branch.kind.nominal.current_a for branch in branches),
        worst_a=boards * own_worst,
        warmth=Warmth(
            air_degc=parameters.board.ambient_degc,
            cooling=cooling,
            heat_w=parameters.parts.supply.high_v * own_worst,
            board_degc=branches[0].kind.high.ambient_degc,
        ),
        rail=rail(
            parameters,
            [
                (kinds[one][0], _on_one_rail(parameters, own, series[one][0]))
                for one, own in chains.items()
            ],
            boards * own_worst,
        ),
        boards=boards,
    )


def _channel(
    emitter: Emitter,
    series: tuple[int, str],
    ways: tuple[Arrangement, ...],
    kinds: tuple[BranchKind, ...],
    branches: Sequence[Branch],
) -> Channel:
    """Gather what was decided of one kind of LED; of all branches it takes its own."""
    return Channel(
        name=emitter.name,
        led=emitter.led,
        current_a=emitter.current_a,
        in_series=series[0],
        in_series_reason=series[1],
        arrangements=ways,
        kinds=kinds,
        branches=tuple(branch for branch in branches if branch.kind.channel == emitter.name),
    )


def _on_one_rail(parameters: Parameters, chains: Sequence[tuple[int, int]], series: int) -> int:
    """Count the branches on the longest of some chains; one rail passes all runs of a line.

    Boards that are joined are one long line.
    """
    branches = [-(-sites // series) for _, sites in chains]
    own = sum(branches) if plan(parameters).spared else max(branches)
    return own * parameters.joint.boards


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
                    *(Net(name=name, role=NetRole.BRANCH, channel=kind.channel) for name in inner),
                    Net(name=RETURN_NET, role=NetRole.RETURN),
                ),
            )
        )
        resistors, leds = resistors + count, leds + kind.leds
    return tuple(found)

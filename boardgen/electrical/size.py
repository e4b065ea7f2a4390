"""Parameters → Circuit: every value decided before layout."""

from boardgen.electrical.arrangement import arrangements, feed_for, in_series, row_branches
from boardgen.electrical.ballast import branch_kinds
from boardgen.electrical.rail import rail
from boardgen.electrical.sharing import refuse_shared
from boardgen.model.circuit import Branch, Circuit
from boardgen.model.parameters import Parameters


def size(parameters: Parameters) -> Circuit:
    """Decide branches, ballasts and the rail's width.

    Raises
    ------
    RefusalError
        When no board follows: the supply cannot drive the LEDs, no resistor fits, or one resistor
        is to serve all branches.
    """
    rows = parameters.form.rows
    columns = parameters.light.count // rows
    ways = arrangements(parameters)
    series, reason = in_series(parameters, ways)
    cuts, at_rail = row_branches(columns, series), feed_for(parameters, series)
    lengths = sorted({leds for _, leds in cuts}, reverse=True)
    kinds = dict(zip(lengths, branch_kinds(parameters, at_rail, lengths), strict=True))
    places = [(row, first, leds) for row in range(rows) for first, leds in cuts]
    branches = tuple(
        Branch(number=number, row=row, first_column=first, kind=kinds[leds])
        for number, (row, first, leds) in enumerate(places, start=1)
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
        columns=columns,
        nominal_a=sum(branch.kind.nominal.current_a for branch in branches),
        worst_a=worst,
        rail=rail(parameters, branches[0].kind, len(cuts), worst),
    )

"""Parameters → Circuit: every value decided before layout."""

from boardgen.electrical.arrangement import in_series, row_branches
from boardgen.electrical.ballast import branch_kind
from boardgen.electrical.rail import rail
from boardgen.model.circuit import Branch, Circuit
from boardgen.model.parameters import Parameters


def size(parameters: Parameters) -> Circuit:
    """Decide branches, ballasts and the rail's width.

    Raises
    ------
    RefusalError
        When no board follows: the supply cannot drive the LEDs, or no resistor fits.
    """
    series, reason = in_series(parameters)
    rows = parameters.form.rows
    columns = parameters.light.count // rows
    cuts = row_branches(columns, series)
    kinds = {leds: branch_kind(parameters, leds) for leds in sorted({n for _, n in cuts})[::-1]}
    places = [(row, first, leds) for row in range(rows) for first, leds in cuts]
    branches = tuple(
        Branch(number=number, row=row, first_column=first, kind=kinds[leds])
        for number, (row, first, leds) in enumerate(places, start=1)
    )
    worst = sum(branch.kind.high.current_a for branch in branches)
    return Circuit(
        supply=parameters.supply,
        in_series=series,
        in_series_reason=reason,
        current_a=parameters.current_a,
        branches=branches,
        kinds=tuple(kinds.values()),
        columns=columns,
        nominal_a=sum(branch.kind.nominal.current_a for branch in branches),
        worst_a=worst,
        rail=rail(parameters, branches[0].kind, len(cuts), worst),
    )

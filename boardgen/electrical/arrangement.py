"""How many LEDs in a branch, and which branches there are."""

import math

from boardgen.errors import Problem, RefusalError
from boardgen.model.parameters import Parameters


def in_series(parameters: Parameters) -> tuple[int, str]:
    """Choose how many LEDs stand in series, with the reason.

    The most whose highest forward voltages the lowest supply still feeds with the house's
    headroom; the user's own figure is taken as it is.

    Raises
    ------
    RefusalError
        When the nominal supply does not exceed the typical forward voltage of the branch.
    """
    supply, vf, limits = parameters.supply, parameters.led.data.vf, parameters.limits
    columns = parameters.light.count // parameters.form.rows
    fits = max(0, math.floor((supply.low_v - limits.headroom_v) / vf.max_v + 1e-9))
    sum_text = (
        f"({supply.low_v:g} V lowest supply - {limits.headroom_v:g} V headroom)"
        f" / {vf.max_v:g} V highest forward voltage"
    )
    if parameters.light.in_series is not None:
        chosen, reason = parameters.light.in_series, f"asked for; {sum_text} would allow {fits}"
    elif fits == 0:
        chosen = 1
        reason = f"{sum_text} is below one; one LED is the least that can be built"
    else:
        chosen = min(fits, columns)
        reason = f"{sum_text} = {(supply.low_v - limits.headroom_v) / vf.max_v:.2f}, so {fits}"
        if chosen < fits:
            reason += f", but a row has only {columns} LEDs"
    _refuse_dark(parameters, chosen)
    if chosen > columns:
        raise RefusalError(
            Problem(
                what=f"{chosen} LEDs in series do not fit a row of {columns}",
                remedy=f"take at most {columns} in series, or fewer rows",
                file=parameters.file,
                line=parameters.origin("light.in_series").line,
                path="light.in_series",
            )
        )
    return chosen, reason


def _refuse_dark(parameters: Parameters, chosen: int) -> None:
    supply, vf = parameters.supply, parameters.led.data.vf
    needed = chosen * vf.typical_v
    if supply.nominal_v > needed:
        return
    fewer = math.ceil(supply.nominal_v / vf.typical_v) - 1
    ways = [f"{fewer} in series"] if fewer >= 1 else []
    ways.append(f"a nominal supply above {needed:g} V")
    raise RefusalError(
        Problem(
            what=f"{chosen} x {vf.typical_v:g} V = {needed:g} V of LEDs cannot be driven from"
            f" {supply.nominal_v:g} V: headroom {supply.nominal_v - needed:.2f} V",
            remedy="take " + ", or ".join(ways) + ", or an LED with a lower forward voltage",
            file=parameters.file,
            line=parameters.origin("light.led").line,
            path="light",
        )
    )


def row_branches(columns: int, series: int) -> tuple[tuple[int, int], ...]:
    """Cut a row into branches: (first column, LEDs); a shorter one at the end takes what is left.

    Examples
    --------
    >>> row_branches(8, 3)
    ((0, 3), (3, 3), (6, 2))
    """
    return tuple((first, min(series, columns - first)) for first in range(0, columns, series))

"""Rules on the circuit: heat, currents, headroom, rails."""

import string
from collections.abc import Iterable

from boardgen import units
from boardgen.checks import verdicts
from boardgen.checks.finding import report
from boardgen.model.bounds import below
from boardgen.model.circuit import BranchKind
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.model.operation import LIGHT_OUT
from boardgen.tolerances import SAME_SHARE


def ballasts_of(design: Design, kind: BranchKind) -> tuple[str, ...]:
    """Name the resistors of all branches of a kind."""
    branches = (branch for branch in design.circuit.branches if branch.kind is kind)
    return tuple(name for branch in branches for name in branch.ballasts)


def span(names: tuple[str, ...]) -> str:
    """Name references by the ends of their unbroken runs; of many runs the first few.

    Examples
    --------
    >>> span(("R1", "R2", "R3", "R6")), span(("D4",))
    ('R1…R3, R6', 'D4')
    """
    runs: list[list[str]] = []
    for name in names:
        if runs and _number(name) == _number(runs[-1][-1]) + 1:
            runs[-1].append(name)
        else:
            runs.append([name])
    told = [run[0] if len(run) == 1 else f"{run[0]}…{run[-1]}" for run in runs[:_MOST_RUNS]]
    more = sum(map(len, runs[_MOST_RUNS:]))
    return ", ".join(told) + (f" and {more} more" if more else "")


_MOST_RUNS = 4


def _number(reference: str) -> int:
    return int(reference.lstrip(string.ascii_uppercase))


def power_ballast(design: Design) -> Iterable[Finding]:
    """A ballast gets hotter than it may.

    Why it matters
        An overloaded resistor browns the board, drifts and fails.
    How it is measured
        Heat at the highest supply, lowest forward voltage and lowest resistance, against the
        rating derated for the ambient; over the rating is an error, over the house's share of it
        a warning.
    How to mend it
        A larger size, a stated higher rating, less current, or more LEDs in series.
    """
    limits = design.limits
    for kind in verdicts.hot_ballasts(design.parameters, design.circuit):
        ballast = kind.ballast
        over = ballast.worst_w > ballast.derated_w
        names = ballasts_of(design, kind)
        turn = "turns" if len(names) == 1 else "each turn"
        worst, wanted = units.apart(ballast.worst_w, ballast.allowed_w(limits), "W")
        yield report(
            message=f"when the supply gives {kind.high.supply_v:.4g} V, {span(names)} {turn}"
            f" {worst} into heat",
            actual=worst,
            limit=_most_words(ballast.derated_w, "W", wanted, design),
            subjects=names,
            path="resistor.rating",
            severity=Severity.ERROR if over else Severity.WARNING,
        )


def _most_words(most: float, unit: str, wanted: str, design: Design) -> str:
    """Tell what a part bears at most; on a board that is too hot for it that is nothing."""
    if most <= 0:
        return f"none at all on a board of {design.circuit.warmth.board_degc:.0f} degC"
    return f"{units.engineering(most, unit)} at most, {wanted} wanted"


def ballast_low(design: Design) -> Iterable[Finding]:
    """A ballast is smaller than the current asked for allows.

    Why it matters
        Each ohm too few lets more current through every LED of the branch.
    How it is measured
        The resistors of a branch together against what the supply leaves over its LEDs at the
        current asked for; rounded to the nearest value of a series it may be a third smaller.
    How to mend it
        Report it with the file: boardgen chooses the value itself.
    """
    nearest = design.parameters.resistor.round == "nearest"
    share = _NEAREST_SHARE if nearest else 1.0
    for kind in design.circuit.kinds:
        ballast = kind.ballast
        whole = ballast.value_ohm * ballast.count
        drawer = design.parameters.resistor.drawer
        if not (nearest and drawer) and below(
            whole, share * ballast.wanted_ohm, ballast.wanted_ohm * SAME_SHARE
        ):
            yield report(
                message=f"{span(ballasts_of(design, kind))}: {units.resistance(whole)} stand in the"
                f" branch, {ballast.wanted_ohm:.4g} ohm are wanted",
                actual=units.resistance(whole),
                limit=f"at least {share * ballast.wanted_ohm:.4g} ohm",
                subjects=ballasts_of(design, kind),
                path="resistor.round",
            )


_NEAREST_SHARE = 0.67
"""E3, the coarsest series, steps by 2.2: its nearest value lies less than a third too low.
A drawer holds what it holds."""


def current_led(design: Design) -> Iterable[Finding]:
    """An LED carries more current than it may.

    Why it matters
        Too much current makes LEDs fade early and run hot.
    How it is measured
        Current at the highest corner, warmed up, against the data sheet's greatest, derated so that
        the junction stays within its bounds at the warmest ambient; over it is an error, over the
        house's share of it a warning.
    How to mend it
        Less current, a steadier supply, or fewer LEDs in series (more headroom, less spread).
    """
    limits = design.limits
    for kind in verdicts.driven_leds(design.parameters, design.circuit):
        corner, most = kind.led_corner
        worst, wanted = units.apart(corner.current_a, limits.led_share * most, "A")
        yield report(
            message=f"LEDs behind {span(ballasts_of(design, kind))} carry {worst} at"
            f" {corner.supply_v:.4g} V, their junctions at {corner.junction_degc:.0f} degC",
            actual=worst,
            limit=_most_words(most, "A", wanted, design),
            subjects=ballasts_of(design, kind),
            path="light.current",
            severity=Severity.ERROR if kind.led_load > 1 else Severity.WARNING,
        )


def current_connector(design: Design) -> Iterable[Finding]:
    """The connector carries more current than it may.

    Why it matters
        A loose or overloaded contact is where boards burn first.
    How it is measured
        Sum of all branches at the highest corner against the connector's rating.
    How to mend it
        Another connector, or less current.
    """
    limits = design.limits
    rating, worst = design.parameters.parts.connector.rating_a, design.circuit.worst_a
    if verdicts.connector_full(design.parameters, design.circuit):
        yield report(
            message=f"the connector carries {units.engineering(worst, 'A')} at worst",
            actual=units.engineering(worst, "A"),
            limit=f"{rating:g} A at most, {limits.connector_share * rating:g} A wanted",
            subjects=(design.circuit.inlet.connector,),
            path="connector.kind",
            severity=Severity.ERROR if worst > rating else Severity.WARNING,
        )


def current_switch(design: Design) -> Iterable[Finding]:
    """The switch carries more current than it may.

    Why it matters
        Its contacts burn, or weld together.
    How it is measured
        Sum of all branches at the highest corner against the switch's rating.
    How to mend it
        Less current, or a switch in the supply's lead that is made for it.
    """
    limits = design.limits
    part, worst = design.parameters.parts.switch, design.circuit.worst_a
    if part and verdicts.switch_full(design.parameters, design.circuit):
        wanted = limits.connector_share * part.rating_a
        yield report(
            message=f"the switch carries {units.engineering(worst, 'A')} at worst",
            actual=units.engineering(worst, "A"),
            limit=f"{part.rating_a:g} A at most, {wanted:g} A wanted",
            subjects=design.circuit.inlet.parts[-1:],
            path="connector.switch",
            severity=Severity.ERROR if worst > part.rating_a else Severity.WARNING,
        )


def current_guard(design: Design) -> Iterable[Finding]:
    """The guard against reversal carries more current than it may.

    Why it matters
        It gets too hot to touch, and fails as a short or an opening.
    How it is measured
        Sum of all branches at the highest corner against the guard's rating.
    How to mend it
        Less current.
    """
    limits = design.limits
    part, worst = design.parameters.parts.reverse, design.circuit.worst_a
    if part and verdicts.guard_full(design.parameters, design.circuit):
        wanted = limits.connector_share * part.rating_a
        yield report(
            message=f"the {part.name} guard carries {units.engineering(worst, 'A')} at worst",
            actual=units.engineering(worst, "A"),
            limit=f"{part.rating_a:g} A at most, {wanted:g} A wanted",
            subjects=(part.name,),
            path="protection.reverse",
            severity=Severity.ERROR if worst > part.rating_a else Severity.WARNING,
        )


def heat_board(design: Design) -> Iterable[Finding]:
    """The board as a whole gets too warm.

    Why it matters
        Each part may be within its bounds by itself and yet cook its neighbours: LEDs age, joints
        tire, fingers burn.
    How it is measured
        All heat at the highest corner, light counted as heat, on a board in still air that gives
        off 10 W/(m² K) on both faces and spreads heat in its copper; over the greatest temperature
        is an error, over the house's wish a warning. An estimate: an enclosure, a wall behind the
        board or sun make it warmer, moving air cooler.
    How to mend it
        Less current, more room between the LEDs, or a wider board.
    """
    limits = design.limits
    warmth = design.circuit.warmth
    if verdicts.hot_board(design.parameters, design.circuit):
        over = warmth.board_degc > limits.board_most_degc
        warm = _unlike(warmth.board_degc, (limits.board_warm_degc, limits.board_most_degc))
        yield report(
            message=f"{units.engineering(warmth.heat_w, 'W')} on this board make it about"
            f" {warm} degC warm in air of {warmth.air_degc:g} degC",
            actual=f"{warm} degC",
            limit=f"{limits.board_most_degc:g} degC at most, {limits.board_warm_degc:g} degC"
            " wanted",
            subjects=("board",),
            path="light.current",
            severity=Severity.ERROR if over else Severity.WARNING,
        )


_MOST_DIGITS = 3


def _unlike(value: float, limits: tuple[float, ...]) -> str:
    """Print a value with so many digits that it reads neither as a limit nor beyond one."""
    for digits in range(_MOST_DIGITS):
        printed = round(value, digits)
        if all((printed > limit) is (value > limit) and printed != limit for limit in limits):
            return f"{value:.{digits}f}"
    return f"{value:.{_MOST_DIGITS}f}"


def headroom_branch(design: Design) -> Iterable[Finding]:
    """The lowest supply leaves a branch little voltage for its ballast, or none.

    Why it matters
        With little left the light swings with every tenth of a volt; with none it goes out.
    How it is measured
        Lowest voltage at the rail less the greatest forward voltages of the branch in the cold, at
        the current asked for. Nothing left is an error on a supply that holds its voltage, and on
        cells when the light goes out with more than half of the charge unused, or, their charge
        unknown, when nothing is left at their usual voltage; else a warning.
    How to mend it
        LEDs with a lower forward voltage, fewer of them in series where there are several, or a
        supply of more volts.
    """
    limits = design.limits
    for kind in verdicts.short_headroom(design.parameters, design.circuit):
        yield report(
            message=_headroom_words(design, kind),
            actual=f"{kind.headroom_low_v:.2f} V",
            limit=f"at least {limits.headroom_v:g} V",
            subjects=ballasts_of(design, kind),
            path="light.in_series" if kind.leds > 1 else "supply",
            severity=Severity.ERROR if _useless(design, kind) else None,
        )


_MOST_LEFT = 0.5
"""A light that leaves more of the charge unused does not suit its cells: own choice."""


def _useless(design: Design, kind: BranchKind) -> bool:
    """Tell whether a branch is of no use on the lowest supply.

    Of a battery in plain volts nobody knows the charge: there nothing is left at its usual volts.
    """
    if kind.headroom_low_v > 0:
        return False
    left, supply = _left_in_the_dark(design), design.circuit.supply
    if left is not None:
        return left > _MOST_LEFT
    return not supply.kind.stored or kind.headroom_low_v + supply.nominal_v - supply.low_v <= 0


def _left_in_the_dark(design: Design) -> float | None:
    """Tell the share of the charge that is unused when the light goes out, None when unknown.

    Light that outlasts the battery's usual end is dark at its lowest volts only.
    """
    life, supply = design.operation.run_time, design.circuit.supply
    if life is None or life.ends_by == LIGHT_OUT:
        return life.left if life else None
    drawn = [share for share, volts in supply.curve if volts >= supply.low_v]
    return 1.0 - max(drawn, default=0.0)


def _headroom_words(design: Design, kind: BranchKind) -> str:
    names, supply = span(ballasts_of(design, kind)), design.circuit.supply
    low, usual, high = (
        units.engineering(corner.current_a, "A") for corner in (kind.low, kind.nominal, kind.high)
    )
    if kind.headroom_low_v > 0:
        return (
            f"the lowest supply leaves {kind.headroom_low_v:.2f} V for the ballast {names}: the"
            f" light swings with the supply, from {low} to {high} in each branch"
        )
    left, needed = _left_in_the_dark(design), supply.low_v - kind.headroom_low_v
    leds = f"the LEDs behind {names}"
    dim = f"{leds} go dark" if verdicts.goes_dark(kind) else f"{leds} get {low} instead of {usual}"
    one = "a flat cell" if supply.kind.counted else "a flat battery"
    flat = f"with {'flat cells' if supply.cells > 1 else one} ({supply.low_v:g} V)"
    if left is None:
        at = flat if supply.kind.stored else f"at {supply.low_v:g} V, the lowest supply,"
        return f"{at} {dim}; the current asked for needs up to {needed:.3g} V"
    unused = (
        f"by then {left:.0%} of the charge is still unused"
        if left > _LITTLE_LEFT
        else "by then the charge is nearly used up"
    )
    return f"{flat} {dim}; {unused}"


_LITTLE_LEFT = 0.05


def rail_drop(design: Design) -> Iterable[Finding]:
    """The last branch gets noticeably less current than the first.

    Why it matters
        The bar fades towards its end.
    How it is measured
        Currents of all branches along the rails as drawn, supply and return, at the nominal supply;
        the weakest against the strongest of its kind.
    How to mend it
        A wider rail on a wider board, thicker copper, less current, or another way to feed, each
        with what it would give.
    """
    limits = design.limits
    rails = design.operation.rails
    if rails.spread > limits.rail_share:
        of_the_first = "on the first board alone " if design.circuit.boards > 1 else ""
        ways = "; ".join(
            f"{way.title}: {way.spread:.1%}, {way.lightness_steps:.1f} steps of lightness"
            for way in rails.options
        )
        yield report(
            message=f"{of_the_first}{units.engineering(rails.drop_v, 'V')} are lost along the"
            f" {'pour' if rails.poured else 'rail'} and"
            f" {units.engineering(rails.return_drop_v, 'V')} along the return ({ways})",
            actual=f"{rails.spread:.1%} less current",
            limit=f"{100 * limits.rail_share:g}% at most",
            subjects=("V+",),
            path="copper.rail",
        )
